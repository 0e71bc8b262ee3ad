package family_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
)

// TestNotchCorners asks that of a slot that is open at the edge only the corners in
// the metal are held to what the cutter can do, not those of its mouth.
func TestNotchCorners(t *testing.T) {
	const design = `design "Axle plate" in millimetres

stock steel = sheet(mild_steel, 2mm)

panel plate() "A plate with a slot from above." {
  face leaf on upright(0mm) {
    outline rect(80mm, 100mm)
    cut axle = SLOT at (0mm, 50mm)
  }
}

part plate of steel = plate()
`
	for slot, want := range map[string]string{
		"rect(12mm, 60mm)":               "2 inside corners sharper",
		"rect(12mm, 60mm).rounded(4mm)":  "",
		"slot(60mm, 12mm).turned(90deg)": "",
	} {
		prog, diags, err := load.Source(diag.NewSource("plate.perch", strings.Replace(design, "SLOT", slot, 1)), load.Library(), shop.Default())
		if err != nil || len(diags) > 0 {
			t.Fatal(err, diags)
		}
		said := family.Job{Program: prog, Shop: shop.Default()}.Check()
		switch {
		case want == "" && len(said) > 0:
			t.Errorf("%s: %v", slot, said)
		case want != "" && (len(said) != 1 || !strings.Contains(said[0].Summary, want)):
			t.Errorf("%s: got %v, want %s", slot, said, want)
		}
	}
}
