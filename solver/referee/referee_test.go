package referee

import (
	"fmt"
	"testing"

	"perch/solver/expr"
)

// Where x² = 2.
func Example() {
	x := expr.Var(0).Expr()
	f := []expr.Expr{expr.Difference(expr.Product(x, x), expr.Const(2))}
	fmt.Println(Proves(f, []float64{1.4142135623730951}, 1e-9), Proves(f, []float64{1.4142}, 1e-9))
	// Output: true false
}

// TestDoubts holds it to a double root, an equation too few and an operation unknown to it.
func TestDoubts(t *testing.T) {
	x := expr.Var(0).Expr()
	double := expr.Product(x, x)
	for name, f := range map[string][]expr.Expr{
		"double": {double}, "too few": nil, "unknown": {expr.Difference(expr.Abs(x), expr.Const(1))},
	} {
		if Proves(f, []float64{0}, 1e-9) {
			t.Errorf("%s: proved", name)
		}
	}
}

// TestWander meets both roots of x² = 4 and nothing outside the ends.
func TestWander(t *testing.T) {
	x := expr.Var(0).Expr()
	seen := map[float64]bool{}
	for _, r := range Wander([]expr.Expr{expr.Difference(expr.Product(x, x), expr.Const(4))}, []float64{-5}, []float64{5}, 50) {
		seen[float64(int(r[0]*1e6+0.5))/1e6] = true
		if r[0] < -5 || r[0] > 5 || r[0]*r[0] < 3.999 || r[0]*r[0] > 4.001 {
			t.Errorf("%v", r)
		}
	}
	if len(seen) < 2 {
		t.Errorf("%v", seen)
	}
}
