package compare

import (
	"strings"
	"testing"
)

// A hole keeps its place on its face whatever the bends around it do: of the plate with
// a rim all round, the old flat's middle is the new flat's middle.
func TestFlatsLieFaceOnFace(t *testing.T) {
	rim := `design "Lid"
stock s = sheet(mild_steel, 1.5mm, radius: 1.5mm, k: 0.4)
panel lid() {
  face top on level(0mm) {
    outline rect(200mm, 120mm)
    cut hand = circle(30mm) at (20mm, 10mm)
  }
  face rim[e in [top.left, top.right, top.top, top.bottom]] off e down 90deg { outline strip(30mm) }
}
part lid of s = lid()
`
	d := changedText(t, rim, "radius: 1.5mm", "radius: 2mm")
	f := d.Sizes[0].Parts[0].Flat
	if len(f.Cuts) != 0 {
		t.Errorf("a hole that kept its place on its face is told as %+v", f.Cuts)
	}
	if len(f.Folds) != 4 {
		t.Fatalf("four folds are bent otherwise, told are %+v", f.Folds)
	}
	// The neutral line is at 0.4 of the sheet. A fold's middle line lies off the sharp
	// edge by r + t less half the arc, π/4·(r + 0.4·t): that changes by 0.5·(1 − π/4).
	for _, x := range f.Folds {
		if x.Moved < 0.1073 || x.Moved > 0.1074 {
			t.Errorf("%s moved %g mm, not 0.5·(1 − π/4)", x.Name, x.Moved)
		}
	}
	if d := changedText(t, rim, "(20mm, 10mm)", "(20mm, 13mm)", "radius: 1.5mm", "radius: 2mm"); len(d.Sizes[0].Parts[0].Flat.Cuts) != 1 || d.Sizes[0].Parts[0].Flat.Cuts[0].Moved != 3 {
		t.Errorf("a hole moved 3 mm on its face is told as %+v", d.Sizes[0].Parts[0].Flat.Cuts)
	}
}

// A face drawn from another origin has not moved: what lies otherwise in it is told alone.
func TestFaceDrawnFromElsewhere(t *testing.T) {
	d := changedText(t, plate,
		"outline rect(w, 100mm)", "outline [(0mm, 0mm), (w, 0mm), (w, 100mm), (0mm, 100mm) edge left]",
		"at (at_of(1), 0mm)", "at (w / 2 + at_of(1), 50mm)",
		"at (-30mm, 20mm)", "at (w / 2 - 30mm, 74mm)",
		`text("UP", height: 5mm)`, `text("UP", height: 5mm) at (w / 2, 50mm)`)
	f := d.Sizes[0].Parts[0].Flat
	if f == nil || f.Outline != 0 || len(f.Cuts) != 1 || f.Cuts[0].Name != "base.slot_1" || f.Cuts[0].Moved != 4 || len(f.Folds) != 0 {
		t.Errorf("a slot moved 4 mm in a face drawn from its corner is told as %+v\n%s", f, textOf(t, d))
	}
}

// Of a part that is bent the other way as well, the flat is told by its mirror image.
func TestMirroredFlatsLieFaceOnFace(t *testing.T) {
	d := changedText(t, strings.Replace(plate, `    mark note = text("UP", height: 5mm)`+"\n", "", 1),
		"(at_of(1), 0mm)", "(-at_of(1), 0mm)", "(-30mm, 20mm)", "(33mm, 20mm)", "base.left", "base.right")
	p := d.Sizes[0].Parts[0]
	if !p.Turned || p.Flat == nil || len(p.Flat.Cuts) != 1 || p.Flat.Cuts[0].Moved != 3 || p.Flat.Outline != 0 {
		t.Errorf("mirrored, and a slot moved 3 mm: %+v", p.Flat)
	}
	if _, mirrored := align(p.old.Flat, p.new.Flat); !mirrored {
		t.Error("the map is no mirror")
	}
}
