package eval_test

import (
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
)

// TestBendsThatRunThroughAnotherPart: a foot laid on a plate, whose leaf is bent into it,
// runs through it with its bend; bent away from it, or with the plate ended before the
// bend, it only touches. A sheet whose edge lies in a bend's inner corner only rests there.
func TestBendsThatRunThroughAnotherPart(t *testing.T) {
	const pair = `design "d" in millimetres
stock steel = sheet(mild_steel, 2mm)
panel plate(bed: plane, wide: length) { face web on bed { outline rect(wide, 60mm) } }
panel angle(under: face) {
  face foot on under.over { outline rect(40mm, 30mm) }
  face leaf off foot.right `
	facts := shop.Default()
	for text, want := range map[string]int{
		pair + "up 90deg { outline strip(25mm) }\n}\npart low of steel = plate(level(0mm), 90mm)\npart high of steel = angle(low.web)\n":   1,
		pair + "up 45deg { outline strip(25mm) }\n}\npart low of steel = plate(level(0mm), 90mm)\npart high of steel = angle(low.web)\n":   1,
		pair + "down 90deg { outline strip(25mm) }\n}\npart low of steel = plate(level(0mm), 90mm)\npart high of steel = angle(low.web)\n": 0,
		pair + "up 90deg { outline strip(25mm) }\n}\npart low of steel = plate(level(0mm), 30mm)\npart high of steel = angle(low.web)\n":   0,
		pair + "up 90deg { outline strip(25mm) }\n}\npart low of steel = plate(level(0mm), 40mm)\npart high of steel = angle(low.web)\n":   0,
	} {
		prog, diags, err := load.Source(diag.NewSource("bends.perch", text), load.Library(), facts)
		if err != nil || len(diags) > 0 {
			t.Fatal(err, diags)
		}
		r, diags := build.Size(prog, build.Sizes(prog)[0], facts, nil)
		if r == nil {
			t.Fatal(diags)
		}
		if got := panel.Clashes(r.Flats); len(got) != want {
			t.Errorf("%s: %d clashes %v, want %d", text, len(got), got, want)
		}
	}
}
