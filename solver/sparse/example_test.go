package sparse_test

import (
	"context"
	"fmt"

	"perch/solver/sparse"
)

// Two springs in a row, of 2 and 3 N/mm, the near end held; the far end is pulled with 6 N.
func Example() {
	p, _ := sparse.NewPattern(2, [][]int32{{0, 1}})
	m := sparse.NewMatrix(p)
	m.Add(0, 0, 2+3)
	m.Add(1, 0, -3)
	m.Add(1, 1, 3)
	f, err := sparse.NewFactor(sparse.Analyse(p), 1<<20)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := f.Factor(context.Background(), m); err != nil {
		fmt.Println(err)
		return
	}
	x := []float64{0, 6}
	f.Solve(x)
	fmt.Printf("%.4g mm, %.4g mm; %d pivots below zero\n", x[0], x[1], f.Negative())
	// Output:
	// 3 mm, 5 mm; 0 pivots below zero
}
