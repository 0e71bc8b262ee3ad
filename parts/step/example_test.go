package step_test

import (
	"bytes"
	"fmt"

	"perch/parts/record/bracket"
	"perch/parts/step"
)

// Two brackets of one blank, a right and a left one, and a flat plate on each.
func ExampleWrite() {
	var file bytes.Buffer
	if err := step.Write(&file, bracket.Assembly()); err != nil {
		fmt.Println(err)
		return
	}
	for _, kind := range []string{"MANIFOLD_SOLID_BREP", "NEXT_ASSEMBLY_USAGE_OCCURRENCE", "CYLINDRICAL_SURFACE", "PLANE"} {
		fmt.Println(kind, bytes.Count(file.Bytes(), []byte("="+kind+"(")))
	}
	// Output:
	// MANIFOLD_SOLID_BREP 3
	// NEXT_ASSEMBLY_USAGE_OCCURRENCE 4
	// CYLINDRICAL_SURFACE 32
	// PLANE 34
}
