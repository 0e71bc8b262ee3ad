package solver_test

import (
	"fmt"

	"perch/solver"
)

// A rectangle's width, height and area: any two give the third.
func Example() {
	s := solver.New()
	width, height := s.Var("width", 0, 100, false), s.Var("height", 0, 100, false)
	area := s.Var("area", 0, 10000, false)
	s.Add(solver.Constraint{Left: area.Expr(), Right: solver.Product(width.Expr(), height.Expr()), Label: "area"})
	s.Add(solver.Constraint{Left: area.Expr(), Right: solver.Const(600), Strength: solver.Stated})
	s.Add(solver.Constraint{Left: width.Expr(), Right: solver.Const(20), Strength: solver.Stated})
	r := s.Solve()
	by := r.Origins[height].By
	fmt.Println(r.Status == solver.Unique, r.Values[height], s.Constraint(by).Label)
	// Output: true 30 area
}
