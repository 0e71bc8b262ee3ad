package search_test

import (
	"fmt"
	"math"

	"perch/lang/search"
)

// The longest rectangle of at most 12 square metres that is no more than three times as
// long as it is wide.
func Example() {
	p := search.Problem{
		Variables: []search.Variable{{From: 1, To: 20, Min: 1, Max: 20}, {From: 1, To: 20, Min: 1, Max: 20}},
		Residuals: []search.Kind{search.Inequality, search.Inequality},
		Evaluate: func(x []float64) search.Verdict {
			return search.Verdict{Residuals: []float64{x[0]*x[1]/12 - 1, x[0]/x[1]/3 - 1}, Load: math.NaN()}
		},
		Implicit: func([]float64, []int) ([]float64, bool) { return nil, true },
		Step:     0.001,
		Budget:   &search.Budget{Most: 1000},
	}
	s := p.Farthest([]float64{1, 1})
	fmt.Printf("%.3f by %.3f\n", s.Confirmed[0], s.Confirmed[1])
	for _, r := range s.Stops() {
		fmt.Println("held by residual", r.Index)
	}
	// Output:
	// 6.000 by 2.000
	// held by residual 0
	// held by residual 1
}
