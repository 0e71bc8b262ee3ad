package mockup_test

import (
	"math"
	"testing"

	"perch/parts/mockup"
	"perch/parts/mockup/folding"
	"perch/parts/record/stool"
)

func TestStoolFoldsUp(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	for _, scale := range []mockup.Scale{{Paper: 1, Metal: 4}, {Paper: 1, Metal: 1}} {
		m, err := mockup.Make(a, scale)
		if err != nil {
			t.Fatal(err)
		}
		for _, fault := range folding.Faults(m) {
			t.Error(scale, fault)
		}
		// Four legs of two cheeks each lie in four flaps; a seam in each corner of the cap.
		patches, tabs := 0, 0
		for _, g := range m.Glues {
			if g.Tab != nil {
				tabs++
			} else {
				patches++
			}
		}
		if patches != 8 || tabs != 4 || len(m.Gaps) != 0 {
			t.Errorf("%v: %d patches, %d tabs, %d gaps, want 8, 4, 0", scale, patches, tabs, len(m.Gaps))
		}
	}
}

// The middle line's width of a square bend of 1.5 mm sheet at r 1.5 is 2·2.25·tan 45°; the
// stool's cap bends 90° less its lean.
func TestWidthOfAStrip(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	p, err := mockup.Unfold(a.Blanks[0].Flat, mockup.Scale{Paper: 1, Metal: 4})
	if err != nil {
		t.Fatal(err)
	}
	lean := math.Atan((448.0 - 320) / 2 / 610)
	want := 2 * 2.25 * math.Tan((math.Pi/2-lean)/2)
	if got := p.Strips[0].Wide; math.Abs(got-want) > 1e-9 {
		t.Errorf("the strip is %v wide, want %v", got, want)
	}
}
