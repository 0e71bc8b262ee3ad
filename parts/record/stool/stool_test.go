package stool_test

import (
	"fmt"

	"perch/parts/record/stool"
)

func ExampleAssembly() {
	a, err := stool.Assembly()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range a.Blanks {
		fmt.Println(b.Name, b.Count)
	}
	fmt.Println(len(a.Joins), "rivets")
	// Output:
	// cap 1
	// leg 4
	// 16 rivets
}
