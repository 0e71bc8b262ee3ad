package structure_test

import (
	"fmt"

	"perch/solver/expr"
	"perch/solver/structure"
)

// x0 is stated; x1 and x2 follow together; nothing fixes x3.
func Example() {
	g := structure.NewGraph(4)
	seen := make([]int, 4)
	for k, vars := range [][]expr.Var{{0}, {0, 1, 2}, {1, 2}} {
		g.AddEquation(vars, -1, seen, k+1)
	}
	under := g.Underdetermined()
	fmt.Println("open:", under)
	fmt.Println("in order:", g.Blocks(under))
	// Output:
	// open: [false false false true]
	// in order: [[0] [1 2]]
}
