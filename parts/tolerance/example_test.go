package tolerance_test

import (
	"fmt"

	"perch/parts/panel"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// The outer sheet's hole is made in the flat, and guides the drill through the inner one.
func ExampleBegin() {
	by := shop.Default().Joining
	for k := range 2 {
		p := tolerance.Begin(panel.Point{Name: "head.1", Kind: panel.Hole, Diameter: 4.9}, k, false, by.Matched, by)
		fmt.Println(p.Kind, p.Made())
	}
	// Output:
	// hole before
	// drill in_place
}
