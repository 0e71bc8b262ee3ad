package stdlib_test

import (
	"fmt"

	"perch/stdlib"
)

func ExampleModule() {
	name, text, err := stdlib.Module("std.stool")
	fmt.Println(name, len(text) > 0, err)
	// Output: std/stool.perch true <nil>
}
