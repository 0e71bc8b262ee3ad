package eval_test

import (
	"fmt"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// mats is a design of n mats of 80 × 55 mm, cut from sheets of 300 × 200 mm, the
// first of them standing 12 mm over a floor plate. Metal is 1 mm thick.
func mats(n int, rule string) *diag.Source {
	return diag.NewSource("mats.perch", fmt.Sprintf(`design "Mats"

stock steel = sheet(mild_steel, 1mm, size: (300mm, 200mm))
stock other = sheet(mild_steel, 2mm)

panel mat(z: length) { face flat on level(z) { outline rect(80mm, 55mm) } }

part tray[i in 1..%d] of steel = mat(100mm * i) loose
part floor_plate of other = mat(88mm) loose

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
		shop := shop.Default()
		prog, diags, err := load.Source(mats(c.n, c.rule), load.Library(), shop)
		if err != nil || diag.HasErrors(diags) {
			t.Fatalf("%s: %v %v", c.rule, err, diags)
		}
		_, diags = build.Size(prog, "only", shop, nil)
		if diag.HasErrors(diags) == c.holds {
			t.Errorf("%d mats, %s: holds is wanted to be %v: %v", c.n, c.rule, c.holds, diags)
		}
		for _, d := range diags {
			if d.Code != "P3006" {
				t.Errorf("%s: %s %s", c.rule, d.Code, d.Summary)
			}
		}
	}
}

// TestArea holds area() to what a plate of 50 × 40 mm with a hole of 10 mm has: the
// hole's name is an edge's too, and means the hole.
func TestArea(t *testing.T) {
	const text = `design "Plate"
stock steel = sheet(mild_steel, 1mm)
panel plate() {
  face web on level(0mm) {
    outline [(0mm, 0mm), (50mm, 0mm) edge rim, (50mm, 40mm), (0mm, 40mm)]
    cut rim = circle(10mm) at (25mm, 20mm)
  }
}
part p of steel = plate()
rule area(%s) = %s
`
	for of, is := range map[string]string{
		"p.web.rim": "25mm * 3.14159265359 * 1mm",
		"p.web":     "2000mm * 1mm - 25mm * 3.14159265359 * 1mm",
		"p":         "2000mm * 1mm - 25mm * 3.14159265359 * 1mm",
	} {
		shop := shop.Default()
		prog, diags, err := load.Source(diag.NewSource("plate.perch", fmt.Sprintf(text, of, is)), load.Library(), shop)
		if err == nil && !diag.HasErrors(diags) {
			_, diags = build.Size(prog, "only", shop, nil)
		}
		if err != nil || diag.HasErrors(diags) {
			t.Errorf("area(%s): %v %v", of, err, diags)
		}
	}
}

// TestMeasuredRulesSeeHoles holds rules on measured results, in which nothing is
// open, to the piece as it is made: two plates of 200 × 100 × 3 mm in steel of
// 7850 kg/m³ are 0.942 kg, less four holes of 9 mm for bolts of 8 mm (ISO 273,
// medium) of 1.498 g each.
func TestMeasuredRulesSeeHoles(t *testing.T) {
	const plates = `design "Plates"
stock plate = sheet(mild_steel, 3mm)
panel up(z: length) { face base on level(z) { outline rect(200mm, 100mm) } }
part low of plate = up(0mm) loose
part high of plate = up(3mm) loose
join pin = high.base to low.base by bolt(8mm, count: 2, drilled: all)
let all = mass()
rule %s
`
	for rule, note := range map[string]string{
		"mass() <= 0.94kg": "",
		"all <= 0.94kg":    "",
		"2 * all <= 1.88kg and mass(low) < 0.47kg": "",
		"mass() <= 0.936kg":                        "left is 0.936007kg, right is 0.936kg",
		"all > 0.94kg":                             "left is 0.936007kg, right is 0.94kg",
		"mass() in 1kg..2kg":                       "mass() is 0.936007kg",
		"1kg > 2 * 0.4kg and (all > 0.94kg)":       "left is 0.936007kg, right is 0.94kg",
		"flat_long(low) < 200mm":                   "left is 200mm, right is 200mm",
	} {
		shop := shop.Default()
		prog, diags, err := load.Source(diag.NewSource("plates.perch", fmt.Sprintf(plates, rule)), load.Library(), shop)
		if err != nil || diag.HasErrors(diags) {
			t.Fatalf("%s: %v %v", rule, err, diags)
		}
		_, diags = build.Size(prog, "only", shop, nil)
		switch {
		case note == "" && diag.HasErrors(diags):
			t.Errorf("%s: %v", rule, diags)
		case note != "" && (len(diags) != 1 || diags[0].Code != "P3006" || len(diags[0].Notes) == 0 || diags[0].Notes[0] != note):
			t.Errorf("%s: want the note %q: %+v", rule, note, diags)
		}
	}
}
