package rules_test

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/rules"
	"perch/parts/shop"
)

// The rules of a step are read, solved, and told in the design's own words.
func Example() {
	text := `design "Step"
param rise: length in 100mm..300mm = 200mm
param foot: length in 0mm..100mm
rule foot = rise / 4
size low: rise = 160mm
`
	facts := shop.Default()
	p, _, _ := load.Source(diag.NewSource("step.perch", text), load.Library(), facts)
	sys, _ := rules.Read(p, facts, rules.FindSize(p, "low"), nil)
	res := sys.Solver.Solve()
	for i := range sys.Params {
		c := sys.Cause(i, res)
		fmt.Println(c.Name, "=", c.Text(p.Units), "by", c.By.Kind, c.By.Text)
	}
	// Output:
	// rise = 160mm by size rise = 160mm
	// foot = 40mm by rule rule foot = rise / 4
}
