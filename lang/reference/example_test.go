package reference_test

import (
	"fmt"
	"testing/fstest"

	"perch/lang/reference"
)

func ExampleFill() {
	root := fstest.MapFS{"flat.perch": {Data: []byte("design \"Flat\"\n")}}
	text := "A design:\n<!-- generated: file flat.perch -->\nwhat stood here\n<!-- end -->\n"
	filled, err := reference.Fill(text, root)
	fmt.Print(filled, err)
	// Output:
	// A design:
	// <!-- generated: file flat.perch -->
	// ```perch
	// design "Flat"
	// ```
	// <!-- end -->
	// <nil>
}
