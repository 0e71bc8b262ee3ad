package shell_test

import (
	"context"
	"fmt"

	"perch/parts/shell"
	"perch/parts/solid"
)

// A strip of 1.5 mm steel, 40 mm wide and 100 mm long, held at one end, with 20 N at the other.
func Example() {
	steel := shell.Material{E: 210000, Nu: 0.3}
	m := &shell.Model{}
	for i := range 11 {
		x := 10 * float64(i)
		m.Nodes = append(m.Nodes, solid.Vec{X: x}, solid.Vec{X: x, Y: 40})
	}
	for i := range int32(10) {
		a, b, c, d := 2*i, 2*i+2, 2*i+3, 2*i+1
		m.Triangles = append(m.Triangles,
			shell.Triangle{Nodes: [3]int32{a, b, c}, Thickness: 1.5, Material: steel},
			shell.Triangle{Nodes: [3]int32{a, c, d}, Thickness: 1.5, Material: steel})
	}
	for f := shell.MoveX; f <= shell.TurnZ; f++ {
		m.Held = append(m.Held, shell.Held{Node: 0, Freedom: f}, shell.Held{Node: 1, Freedom: f})
	}
	s, err := shell.New(m, shell.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := s.Solve(context.Background(), []shell.Load{
		{Node: 20, Force: solid.Vec{Z: -10}}, {Node: 21, Force: solid.Vec{Z: -10}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("sags %.1f mm\n", -a.At(20).Z)
	// Output:
	// sags 2.8 mm
}
