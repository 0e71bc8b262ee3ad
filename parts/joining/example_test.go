package joining_test

import (
	"fmt"

	"perch/parts/joining"
	"perch/parts/measure"
	"perch/parts/record/bracket"
	"perch/parts/shop"
)

// A plan says which parts come onto which, and with what.
func ExampleNew() {
	a := bracket.Assembly()
	for _, l := range joining.New(a, shop.Default()).Words(a) {
		if l.Step > 0 {
			fmt.Println(l.Step, l.Text.In(measure.Millimetres))
		}
	}
	// Output:
	// 1 2 times alike: put plate.1 and plate.2 onto angle.1 and angle.2.
	// 1 Pull: 4 blind rivets 4.8 mm; heads on plate.
}
