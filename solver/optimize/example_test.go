package optimize_test

import (
	"fmt"

	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/optimize"
)

// The largest rectangle of a fence of 12 along three sides: x(12 - 2x).
func Example() {
	area := func(x float64) float64 { return float64(x * (12 - 2*x)) }
	x, y := expr.Var(0).Expr(), expr.Var(1).Expr()
	t := expr.Compile(expr.Product(x, expr.Difference(expr.Const(12), expr.Product(expr.Const(2), x))), y, 2)
	s := optimize.NewSearch(optimize.Problem{
		Rows:      []expr.Row{expr.NewRow(&t, 0, []int32{1, 0}, nil)}, // variable 0 is the target
		Equations: 1,
		Box:       []interval.Interval{interval.Entire, {Lo: 0, Hi: 6}},
		Whole:     []bool{false, false},
		Target:    0,
		Free:      []int{1},
		Try: func(at []float64, least float64) (float64, bool) {
			y := area(at[0])
			return y, y > least
		},
	}, 1_000_000)
	s.Run()
	fmt.Printf("%.6f, proved: %v\n", s.Best, s.Certain())
	// Output: 18.000000, proved: true
}
