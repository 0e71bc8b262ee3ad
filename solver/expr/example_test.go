package expr_test

import (
	"fmt"

	"perch/solver/expr"
	"perch/solver/interval"
)

// x² + x at a point, with its derivative, and over a side.
func Example() {
	x := expr.Var(0).Expr()
	t := expr.Compile(expr.Sum(expr.Product(x, x), x), expr.Const(0), 1)
	buf, adjoint, gradient := make([]float64, t.Size()), make([]float64, t.Size()), make([]float64, 1)
	fmt.Println(t.Eval([]float64{3}, buf))
	t.Gradient(buf, adjoint, gradient)
	fmt.Println(gradient[0])
	r := expr.NewRow(&t, 0, []int32{0}, nil)
	y := r.Over([]interval.Interval{{Lo: 1, Hi: 3}})
	fmt.Printf("%.0f to %.0f\n", y.Lo, y.Hi)
	// Output:
	// 12
	// 7
	// 2 to 12
}
