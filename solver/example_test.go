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

// The largest area that 40 of edge can go round, and what stops it.
func ExampleSystem_Extremum() {
	s := solver.New()
	width, height := s.Var("width", 0, 100, false), s.Var("height", 0, 8, false)
	s.Add(solver.Constraint{
		Left:  solver.Product(solver.Const(2), solver.Sum(width.Expr(), height.Expr())),
		Right: solver.Const(40), Label: "edge",
	})
	best := s.Extremum(solver.Product(width.Expr(), height.Expr()), solver.Largest)
	fmt.Printf("%.3f %v %s\n", best.Value, best.Certain, s.Name(best.Ends[0]))
	// Output: 96.000 true height
}
