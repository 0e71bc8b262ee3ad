package eval_test

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/load"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/shop"
)

// A plate is made with its params as they are given, and weighed.
func Example() {
	text := `design "Plate"
param wide: length in 0mm..900mm
stock tin = sheet(mild_steel, 1mm)
panel plate(w: length) { face base on level(0mm) { outline rect(w, 100mm) } }
part one of tin = plate(wide)
let heavy = mass(one)
`
	facts := shop.Default()
	p, _, _ := load.Source(diag.NewSource("plate.perch", text), load.Library(), facts)
	sys, _ := rules.Read(p, facts, nil, nil)
	ev := eval.New(p, facts, nil)
	sys.Give(ev, []float64{200})
	made := ev.Make()
	heavy, _, _ := ev.Number(p.Root.File.Stmts[4].(*syntax.Let).Value)
	fmt.Println(len(made.Assembly.Blanks), "blank of", heavy.Text(p.Units))
	// Output:
	// 1 blank of 0.157kg
}
