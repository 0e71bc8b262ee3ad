package family_test

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
)

// A plate with a short lip in two sizes: both are built, and what the shop says of the
// lip is told once. The large size again, by itself and longer.
func Example() {
	text := `design "Ledge"

stock steel = sheet(mild_steel, 1.5mm)

param wide: length = 200mm

size small
size large: wide = 400mm

panel ledge() {
  face plate on upright(0mm) { outline rect(wide, 60mm) }
  face lip off plate.bottom up 90deg { outline strip(3mm) }
}

part ledge of steel = ledge()
`
	shop := shop.Default()
	program, _, _ := load.Source(diag.NewSource("ledge.perch", text), load.Library(), shop)
	longer, _ := family.Settings(program, []string{"wide = 450mm"})
	for _, job := range []family.Job{
		{Program: program, Shop: shop},
		{Program: program, Shop: shop, Sizes: []string{"large"}, Settings: longer},
	} {
		results, told := job.Results()
		for _, r := range results {
			box := r.Assembly.Blanks[0].Flat.Outer.Bounds().Size()
			fmt.Printf("%s: %.1f × %.1f mm\n", r.Assembly.Size, box.X, box.Y)
		}
		for _, d := range told {
			fmt.Println(d.Code, d.Summary)
		}
	}
	// Output:
	// small: 200.0 × 63.1 mm
	// large: 400.0 × 63.1 mm
	// P6011 ledge, fold plate/lip: face lip has 1.50 mm of flat beyond the bend; at least 5 mm is needed: make it 3.50 mm deeper
	// large: 450.0 × 63.1 mm
	// P6011 ledge, fold plate/lip: face lip has 1.50 mm of flat beyond the bend; at least 5 mm is needed: make it 3.50 mm deeper
}
