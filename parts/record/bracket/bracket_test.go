package bracket_test

import (
	"fmt"

	"perch/parts/record/bracket"
)

func ExampleAssembly() {
	for _, c := range bracket.Assembly().Copies {
		fmt.Println(c.Name, c.Mirrored)
	}
	// Output:
	// angle.1 false
	// angle.2 true
	// plate.1 false
	// plate.2 true
}
