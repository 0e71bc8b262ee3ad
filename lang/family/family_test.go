package family_test

import (
	"fmt"
	"strings"
	"testing"

	"os"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/output"
	"perch/parts/shop"
)

// manySizes is the metric stool with n sizes, each a little different.
func manySizes(t testing.TB, n int) *diag.Source {
	t.Helper()
	b, err := os.ReadFile("../../examples/stool/stool.perch")
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(b), "size low")
	_, tail, ok2 := strings.Cut(rest, "body frame")
	if !ok || !ok2 {
		t.Fatal("the stool's sizes are not where they were")
	}
	var s strings.Builder
	s.WriteString(head)
	for i := range n {
		fmt.Fprintf(&s, "size s%d: height = %gmm, seat = %dmm\n", i, 400+350*float64(i)/float64(n), 300+i%50)
	}
	s.WriteString("\nbody frame" + tail)
	return diag.NewSource("many.perch", s.String())
}

func BenchmarkSizes(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			src := manySizes(b, n)
			for b.Loop() {
				shop := shop.Default()
				prog, diags, _ := load.Source(src, load.Library(), shop)
				if diag.HasErrors(diags) {
					b.Fatal(diags)
				}
				if _, err := (family.Job{Program: prog, Shop: shop}).Build(b.TempDir(), output.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkStool is the whole build of the metric stool, three sizes, all files.
func BenchmarkStool(b *testing.B) {
	shop := shop.Default()
	for b.Loop() {
		prog, diags, err := load.Design("../../examples/stool/stool.perch", shop)
		if err != nil || diag.HasErrors(diags) {
			b.Fatal(err, diags)
		}
		if _, err := (family.Job{Program: prog, Shop: shop}).Build(b.TempDir(), output.Options{Pictures: true}); err != nil {
			b.Fatal(err)
		}
	}
}
