package format

import (
	goformat "go/format"
	"os"
	"strings"
	"testing"

	"perch/lang/diag"
)

// Both benchmarks take 64 kB; compare their MB/s.

const benchBytes = 64 << 10

func BenchmarkFormat(b *testing.B) {
	lib, err := os.ReadFile("../../stdlib/std/stool.perch")
	if err != nil {
		b.Fatal(err)
	}
	text := strings.Repeat(string(lib), benchBytes/len(lib)+1)
	src := diag.NewSource("lib.perch", text)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, diags := Source(src); len(diags) > 0 {
			b.Fatal(diags)
		}
	}
}

// BenchmarkGofmt formats this package's own layout, repeated to the same size.
func BenchmarkGofmt(b *testing.B) {
	own, err := os.ReadFile("layout.go")
	if err != nil {
		b.Fatal(err)
	}
	head, body, _ := strings.Cut(string(own), "\n")
	text := []byte(head + "\n" + strings.Repeat(body, benchBytes/len(body)+1))
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := goformat.Source(text); err != nil {
			b.Fatal(err)
		}
	}
}
