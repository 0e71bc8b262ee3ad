package elementary_test

import (
	"fmt"
	"math"

	"perch/solver/elementary"
)

func Example() {
	s, c := elementary.Sincos(math.Pi / 6)
	fmt.Println(s, c, elementary.Hypot(3, 4))
	// Output: 0.49999999999999994 0.8660254037844387 5
}
