package builtin_test

import (
	"math"
	"testing"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/value"
	"perch/solver"
)

// TestRelations: for numbers of every size, just equal, equal but for their last digits, and
// not, each relation tells the same of values as its margin does in rules, and as arithmetic has it.
func TestRelations(t *testing.T) {
	want := map[string]func(x, y float64, equal bool) bool{
		"=":  func(_, _ float64, equal bool) bool { return equal },
		"!=": func(_, _ float64, equal bool) bool { return !equal },
		"<":  func(x, y float64, equal bool) bool { return x < y && !equal },
		"<=": func(x, y float64, equal bool) bool { return x < y || equal },
		">":  func(x, y float64, equal bool) bool { return x > y && !equal },
		">=": func(x, y float64, equal bool) bool { return x > y || equal },
	}
	sys := solver.New()
	a, b := sys.Var("a", -1e9, 1e9, false), sys.Var("b", -1e9, 1e9, false)
	tried := 0
	for i := range builtin.Operators {
		o := &builtin.Operators[i]
		if o.Margin == nil {
			continue
		}
		tried++
		margin := o.MarginOf(a.Expr(), b.Expr())
		for _, x := range []float64{0, 1e-3, 0.5, 1, 7, 1e4, 1e7, -3, -2e6} {
			size := math.Max(1, math.Abs(x))
			for _, by := range []float64{0, 0.3, -0.3, 3, -3, 1e3, -1e3, 1e8, -1e8} { // of what counts as equal
				y := x + by*value.EqualWithin*size
				equal := math.Abs(by) < 1
				holds := want[o.Sign](x, y, equal)
				if got := o.Compare(value.Number{V: x}, value.Number{V: y}, diag.Span{}); got != holds {
					t.Errorf("%v %s %v: %v", x, o.Sign, y, got)
				}
				if m := valueOf(margin, []float64{x, y}); (m >= 0) != holds {
					t.Errorf("%v %s %v: a margin of %g", x, o.Sign, y, m)
				}
			}
		}
	}
	if tried != len(want) {
		t.Errorf("%d relations have a margin", tried)
	}
}
