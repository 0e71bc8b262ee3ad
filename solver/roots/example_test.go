package roots_test

import (
	"fmt"

	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/roots"
)

// Where a circle of radius 5 meets the line y = x + 1, above the x axis.
func Example() {
	x, y := expr.Var(0).Expr(), expr.Var(1).Expr()
	box := []interval.Interval{{Lo: -9, Hi: 9}, {Lo: 0, Hi: 9}}
	var rows []expr.Row
	for _, e := range []expr.Expr{
		expr.Difference(expr.Sum(expr.Product(x, x), expr.Product(y, y)), expr.Const(25)),
		expr.Difference(y, expr.Sum(x, expr.Const(1))),
	} {
		t := expr.Compile(e, expr.Const(0), 2)
		rows = append(rows, expr.NewRow(&t, 0, []int32{0, 1}, nil))
	}
	p := roots.NewProver(rows, 2, interval.Scale(box), 1_000_000)
	p.Run(box)
	fmt.Println("all found and proved:", p.Done)
	for _, f := range p.Found {
		fmt.Printf("%.6f %.6f\n", f.Tight[0].Lo, f.Tight[1].Lo)
	}
	// Output:
	// all found and proved: true
	// 3.000000 4.000000
}
