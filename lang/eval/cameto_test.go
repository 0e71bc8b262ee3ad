package eval_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// places writes numbers with as many decimals, and no zero with a sign.
func places(decimals int, xs ...float64) string {
	out := make([]string, len(xs))
	unit := math.Pow(10, float64(decimals))
	for i, x := range xs {
		out[i] = strconv.FormatFloat(math.Round(x*unit)/unit+0, 'f', -1, 64)
	}
	return strings.Join(out, " ")
}

func space(v solid.Vec) string    { return "(" + places(3, v.X, v.Y, v.Z) + ")" }
func flatly(p plane.Point) string { return "(" + places(3, p.X, p.Y) + ")" }

// cameTo tells what one size of a design came to: values, and of every part its faces where
// they stand, its cuts, marks, bends and the points that joins set, and what was told of it.
func cameTo(b *strings.Builder, name string, r *build.Result, told []diag.Diagnostic) {
	fmt.Fprintf(b, "# %s, size %s: %s\n", name, r.Size, r.Status)
	for _, v := range r.Values {
		fmt.Fprintf(b, "%s = %v, %s\n", v.Name, v.Value, v.From)
	}
	for _, f := range r.Flats {
		s := f.Panel.Stock
		fmt.Fprintf(b, "part %s of %s %s mm: %s kg\n", f.Panel.Name, s.Name, places(3, s.Thickness), places(6, f.Mass()))
		for _, face := range f.Panel.Faces {
			fmt.Fprintf(b, "  face %s at %s x %s y %s: %s mm², corners %d\n", face.Name, space(face.Frame.O), space(face.Frame.X), space(face.Frame.Y),
				places(2, face.Outline.Area()), len(face.Outline[0]))
			for _, c := range face.Cuts {
				fmt.Fprintf(b, "    cut %s: %s mm² about %s\n", c.Name, places(2, c.Region.Area()), flatly(c.Region.Centroid()))
			}
			for _, m := range face.Marks {
				fmt.Fprintf(b, "    mark %s: %v %q at %s dir %s height %s path %d width %s closed %v\n", m.Name, m.Kind, m.Text, flatly(m.At), flatly(m.Dir), places(3, m.Height), len(m.Path), places(3, m.Width), m.Closed)
			}
		}
		for _, fold := range f.Panel.Folds {
			fmt.Fprintf(b, "  fold %s: %s° r %s k %s down %v relief %d %s\n", fold.Name, places(4, fold.Angle*180/math.Pi), places(3, fold.Radius), places(4, fold.K), fold.Down, fold.Relief, places(3, fold.ReliefSize))
		}
		for _, seam := range f.Panel.Seams {
			fmt.Fprintf(b, "  seam %s: %d gap %s lap %s\n", seam.Name, seam.Kind, places(3, seam.Gap), places(3, seam.Lap))
		}
		for _, p := range f.Points {
			fmt.Fprintf(b, "  point %s for %s: %s %s at %s\n", p.Name, p.For, p.Kind, places(3, p.Diameter), space(f.World(p.Face).At(p.At)))
		}
	}
	for _, d := range told {
		fmt.Fprintf(b, "%v %s at %v: %s\n", d.Severity, d.Code, d.Span.Position(), d.Summary)
	}
}

// TestWhatDesignsComeTo holds the first and last size of every kept design to what it came
// to when people looked at it (testdata/cameto.txt; anew with PERCH_UPDATE=1).
func TestWhatDesignsComeTo(t *testing.T) {
	kept, err := filepath.Glob("../../testdata/designs/*.perch")
	if err != nil || len(kept) < 20 {
		t.Fatalf("%d kept designs, %v", len(kept), err)
	}
	facts := shop.Default()
	var b strings.Builder
	for _, name := range append(kept, "testdata/cabinet.perch", "testdata/chest.perch") {
		prog, told, err := load.Design(name, facts)
		if err != nil {
			t.Fatal(err)
		}
		sizes := build.Sizes(prog)
		for _, size := range slices.Compact([]string{sizes[0], sizes[len(sizes)-1]}) {
			r, more := build.Size(prog, size, facts, nil)
			cameTo(&b, filepath.Base(name), r, append(slices.Clone(told), more...))
		}
	}
	const file = "testdata/cameto.txt"
	if os.Getenv("PERCH_UPDATE") != "" {
		if err := os.WriteFile(file, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")); d != "" {
		t.Errorf("designs come to something else:\n%s", d)
	}
}
