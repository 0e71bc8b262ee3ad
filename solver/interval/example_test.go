package interval_test

import (
	"fmt"

	"perch/solver/interval"
)

// A plate of 299 to 301 mm by 199 to 201 mm, and its length where the area is known.
func Example() {
	length, width := interval.Interval{Lo: 299, Hi: 301}, interval.Interval{Lo: 199, Hi: 201}
	area := interval.Mul(length, width)
	fmt.Printf("%.0f to %.0f\n", area.Lo, area.Hi)
	interval.SolveProduct(&length, interval.Interval{Lo: 60300, Hi: 60400}, width)
	fmt.Printf("%.0f to %.0f\n", length.Lo, length.Hi)
	// Output:
	// 59501 to 60501
	// 300 to 301
}
