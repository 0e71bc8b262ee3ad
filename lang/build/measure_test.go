package build_test

import (
	"fmt"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/bend"
)

// mats is a design of n mats of 80 × 55 mm, cut from sheets of 300 × 200 mm, the
// first of them standing 12 mm over a floor plate. Metal is 1 mm thick.
func mats(n int, rule string) *diag.Source {
	return diag.NewSource("mats.perch", fmt.Sprintf(`design "Mats"

stock steel = sheet(mild_steel, 1mm, size: (300mm, 200mm))
stock other = sheet(mild_steel, 2mm)

panel mat(z: length) { face flat on level(z) { outline rect(80mm, 55mm) } }

part tray[i in 1..%d] of steel = mat(100mm * i)
part floor_plate of other = mat(88mm)

rule %s
`, n, rule))
}

// TestMeasuredRules holds sheets() and clearance() to what can be counted by hand:
// six mats fit on a sheet, eighteen have more metal than one; between the floor
// plate's top at 88 mm and the first mat's underside at 99 mm lie 11 mm.
func TestMeasuredRules(t *testing.T) {
	for _, c := range []struct {
		n     int
		rule  string
		holds bool
	}{
		{6, "sheets(steel) = 1", true},
		{18, "sheets(steel) <= 1", false},
		{1, "sheets(other) = 1", true},
		{2, "clearance(tray, floor_plate) = 11mm", true},
		{2, "clearance(tray, floor_plate) >= 12mm", false},
		{2, "clearance(tray.flat, floor_plate.flat) = 11mm", true},
	} {
		shop := bend.Default()
		prog, diags, err := load.Source(mats(c.n, c.rule), load.Library(), shop)
		if err != nil || diag.HasErrors(diags) {
			t.Fatalf("%s: %v %v", c.rule, err, diags)
		}
		_, diags = build.Size(prog, "only", shop, nil)
		if diag.HasErrors(diags) == c.holds {
			t.Errorf("%d mats, %s: holds is wanted to be %v: %v", c.n, c.rule, c.holds, diags)
		}
		for _, d := range diags {
			if d.Code != "P3006" && d.Code != "P3001" { // P3001 where nothing in the rule is open
				t.Errorf("%s: %s %s", c.rule, d.Code, d.Summary)
			}
		}
	}
}
