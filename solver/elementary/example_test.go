package elementary_test

import (
	"fmt"
	"math"

	"perch/solver/elementary"
)

func Example() {
	s, c := elementary.Sincos(math.Pi / 6)
	fmt.Printf("%.12f %.12f %v\n", s, c, elementary.Hypot(3, 4))
	// Output: 0.500000000000 0.866025403784 5
}
