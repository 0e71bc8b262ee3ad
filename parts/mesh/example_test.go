package mesh_test

import (
	"context"
	"fmt"

	"perch/parts/mesh"
	"perch/parts/plane"
)

// A square of 10 mm, divided into sides of about 5 mm.
func Example() {
	m, err := mesh.Divide(context.Background(), mesh.Region{
		Loops: [][]plane.Point{{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}},
		Size:  func(plane.Point) float64 { return 5 },
		Apart: 0.1,
	})
	fmt.Println(err)
	fmt.Println(len(m.Nodes), "nodes,", len(m.Triangles), "triangles")
	// Output:
	// <nil>
	// 13 nodes, 16 triangles
}
