package check_test

import (
	"fmt"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
)

func ExampleCheck() {
	root, _ := syntax.Parse(diag.NewSource("sum.perch", `design "sum"
param seat: length = 320mm
param splay: angle = 6deg
let wrong = seat + splay
`))
	_, diags := check.Check(root, nil, check.Builtins{})
	for _, d := range diags {
		p := d.Span.Position()
		fmt.Printf("%d:%d %s %s\n", p.Line, p.Column, d.Code, d.Summary)
	}
	// Output: 4:18 P2011 a length + an angle
}
