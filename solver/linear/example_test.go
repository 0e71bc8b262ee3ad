package linear_test

import (
	"fmt"

	"perch/solver/linear"
)

// Two unknowns: 2x + y = 5, x - y = 1.
func Example() {
	d := linear.NewDense(2)
	x := make([]float64, 2)
	fmt.Println(d.Factor([]float64{2, 1, 1, -1}, 0) && d.Solve([]float64{5, 1}, x))
	fmt.Printf("%.6g %.6g\n", x[0], x[1])
	// Output:
	// true
	// 2 1
}
