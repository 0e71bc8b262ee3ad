package eval_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/load"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/shop"
)

// settled is an evaluator of a text's one size, with the values that its rules come to, and
// the last of its rules.
func settled(t *testing.T, text string) (*eval.Evaluator, *syntax.Rule) {
	t.Helper()
	facts := shop.Default()
	p, diags, err := load.Source(diag.NewSource("it.perch", text), load.Library(), facts)
	if err != nil || diag.HasErrors(diags) {
		t.Fatalf("%s\n%v %v", text, err, diags)
	}
	size := rules.FindSize(p, "it")
	sys, faults := rules.Read(p, facts, size, nil)
	if sys == nil {
		t.Fatal(faults)
	}
	ev := eval.New(p, facts, size)
	sys.Give(ev, sys.Solver.Solve().Values)
	last, _ := p.Root.File.Stmts[len(p.Root.File.Stmts)-1].(*syntax.Rule)
	return ev, last
}

// TestHolds judges conditions on a plate of 200 mm × 100 mm × 1 mm and tells their numbers:
// of several that must hold, those of the first that does not.
func TestHolds(t *testing.T) {
	const plate = `design "It" in millimetres
param wide: length in 0mm..900mm = 200mm
param high: length in 0mm..900mm = 100mm
param rows: count in 1..9 = 3
stock tin = sheet(mild_steel, 1mm, size: (300mm, 300mm))
stock none = sheet(mild_steel, 2mm)
panel plate(w: length, h: length, z: length) { face base on level(z) { outline rect(w, h) } }
part one[i in 1..rows] of tin = plate(wide, high, 10mm * i) loose
let long = flat_long(one)
let low = long < 150mm
let flat = not low
size it
rule `
	for _, c := range []struct {
		rule  string
		holds bool
		told  string
	}{
		{"long <= 200mm", true, ""},
		{"long < 200mm", false, "left is 200mm, right is 200mm"},
		{"long < 200.0000001mm", false, "left is 200mm, right is 200mm"}, // equal is within one part in 10⁹
		{"long < 200.000001mm", true, ""},
		{"long >= 201mm", false, "left is 200mm, right is 201mm"},
		{"long = 2 * flat_wide(one)", true, ""},
		{"long != 200mm", false, "left is 200mm, right is 200mm"},
		{"low", false, "left is 200mm, right is 150mm"},
		{"flat", true, ""},
		{"not flat", false, "left is 200mm, right is 150mm"},
		{"low or flat", true, ""},
		{"low or long > 250mm", false, ""},
		{"low and flat", false, "left is 200mm, right is 150mm"},
		{"flat and long > 250mm", false, "left is 200mm, right is 250mm"},
		{"flat and flat_wide(one) in 120mm..150mm", false, "flat_wide(one) is 100mm"},
		{"flat_wide(one) in 80mm..150mm", true, ""},
		{"not flat_wide(one) in 80mm..150mm", false, "flat_wide(one) is 100mm"},
		{"not (low or flat_wide(one) > 99mm)", false, "left is 100mm, right is 99mm"},
		{"mass() in 0.4kg..0.5kg", true, ""}, // 3 · 20 000 mm³ of 7850 kg/m³, 0.471 kg
		// a sheet of 300 mm less margins takes two of 200 mm × 100 mm: three take two sheets
		{"sheets(tin) <= 2", true, ""},
		{"sheets(tin) < 2", false, "left is 2, right is 2"},
		{"2 >= sheets(tin)", true, ""},
		{"1 >= sheets(tin)", false, "left is 1, right is 2"},
		{"2 > sheets(tin)", false, "left is 2, right is 2"},
		{"sheets(tin) >= 2", true, ""},
		{"sheets(tin) > 2", false, "left is 2, right is 2"},
		{"sheets(tin) = 2", true, ""},
		{"sheets(none) <= 0", true, ""},
		{"sheets(none) < 0", false, "left is 0, right is 0"},
		{"sheets(tin) <= 0", false, "left is 2, right is 0"},
	} {
		text := plate + c.rule + " \"why\"\n"
		ev, p := settled(t, text)
		if ev.Make() == nil {
			t.Fatalf("%s: %v", c.rule, ev.Faults())
		}
		holds, ok := ev.Holds(p)
		if holds != c.holds || !ok || ev.Broken() {
			t.Errorf("%s: %v %v, want %v", c.rule, holds, ok, c.holds)
			continue
		}
		if holds {
			continue
		}
		ev.ReportUnmet(p)
		f := ev.Faults()
		if len(f) != 1 || f[0].Code != "P3006" || f[0].Label != "why" || strings.Join(f[0].Notes, "; ") != c.told || f[0].Cause != (eval.Unmet{Rule: p}) {
			t.Errorf("%s: %+v, want %q", c.rule, f, c.told)
		}
	}
}
