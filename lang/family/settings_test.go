package family_test

import (
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
)

// TestSettingsNameTheDesign states values that name lets of the design, and one that
// names nothing.
func TestSettingsNameTheDesign(t *testing.T) {
	facts := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("plate.perch", `design "Plate"
stock steel = sheet(mild_steel, 1mm)
param w: length = 10mm
let unit = 25mm
panel plate(long: length) { face web on level(0mm) { outline rect(long, 20mm) } }
part one of steel = plate(w)
`), load.Library(), facts)
	if err != nil || len(diags) > 0 {
		t.Fatal(err, diags)
	}
	settings, diags := family.Settings(prog, []string{"w = 3 * unit"})
	if len(diags) > 0 {
		t.Fatal(diags)
	}
	results, diags := family.Job{Program: prog, Shop: facts, Settings: settings}.Results()
	if len(diags) > 0 || results[0].Values[0].Value != 75 {
		t.Errorf("3 * 25 mm came to %v %v", results[0].Values, diags)
	}
	if _, diags = family.Settings(prog, []string{"w = 3 * unite"}); len(diags) != 1 || diags[0].Code != "P2001" || diags[0].Fix == nil {
		t.Errorf("a name that nothing has: %v", diags)
	}
}
