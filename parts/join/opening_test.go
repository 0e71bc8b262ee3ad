package join

import (
	"math"
	"testing"

	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/plane"
)

// A bolt through a slot of one sheet drills the other one round, and cuts nothing more in
// the slot: neither an outline in it nor a mark over it.
func TestPlacesInASlot(t *testing.T) {
	slotted := plate(t, "slotted", 0, 1.5, box(0, 0, 100, 50), false)
	slotted.Inner = []plane.Loop{plane.Slot(16, 7).Transform(plane.Translate(pt(30, 25))).Reversed()}
	bare := plate(t, "bare", -1.5, 1.5, box(0, 0, 100, 50), false)
	p, err := Contact([]Member{{slotted, 0}, {bare, 0}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []Fastener{
		{Kind: Bolt, Diameter: 6, Hole: 6.6},
		{Kind: Bolt, Diameter: 6, Hole: 6.6, Round: func(float64) float64 { return 8 }},
	} {
		places, err := Stated(p, f, []plane.Point{pt(30, 25)})
		if err != nil {
			t.Fatal(err)
		}
		fix, err := Fix("b", 1, p, f, places)
		if err != nil {
			t.Fatal(err)
		}
		through, drilled := fix[0].Members[0].Point, fix[0].Members[1].Point
		slotted.Points, bare.Points = []panel.Point{through}, []panel.Point{drilled}
		if n := len(layout.Openings(slotted)); n != 1 || len(layout.Strokes(through)) != 0 || slotted.Holes() != 1 {
			t.Errorf("the slotted sheet: %d openings, %d strokes, %d holes; want the slot alone", n, len(layout.Strokes(through)), slotted.Holes())
		}
		if want := map[bool]panel.PointKind{true: panel.Hole, false: panel.Drill}[f.Round == nil]; drilled.Kind != want || math.Abs(drilled.Diameter-6.6) > 1e-12 {
			t.Errorf("the bare sheet: %+v, want a %s of 6.6", drilled, want)
		}
		slotted.Points, bare.Points = nil, nil
	}
}
