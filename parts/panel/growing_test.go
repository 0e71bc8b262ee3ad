package panel

import (
	"math"
	"strings"
	"testing"

	"perch/parts/plane"
)

// TestGrowTo: a wall's end moves to a corner line along the lines of its neighbour edges; what
// else reaches over is clipped. The corner lies at x = 12 beside a wall of 10 × 6.
func TestGrowTo(t *testing.T) {
	at := func(d float64) plane.HalfPlane { return plane.HalfPlane{N: pt(1, 0), D: d} }
	wall := plane.RectAt(pt(0, 0), pt(10, 6))
	leaning := loopOf(pt(0, 0), pt(10, 0), pt(7, 6), pt(0, 6))   // its end leans back
	spreading := loopOf(pt(0, 0), pt(8, -2), pt(8, 8), pt(0, 6)) // its edges spread: 1 in 4
	bowed := plane.Loop{{P: pt(0, 0), Bulge: 0.2}, {P: pt(10, 0)}, {P: pt(10, 6)}, {P: pt(0, 6)}}
	square := loopOf(pt(0, 0), pt(4, 0), pt(4, -5), pt(10, -5), pt(10, 6), pt(0, 6)) // a neighbour far below
	for _, c := range []struct {
		name string
		l    plane.Loop
		h    plane.HalfPlane
		back float64
		area float64 // 0: refused
		why  string
	}{
		{"grown", wall, at(12), 0, 72, ""},
		{"grown, less a gap", wall, at(12), 0.5, 69, ""},
		{"cut back", wall, at(9), 1, 48, ""},
		{"a leaning end", leaning, at(12), 0, 72, ""},
		{"spreading edges", spreading, at(12), 0, 12 * (6 + 12) / 2, ""},
		{"spreading edges, cut back", spreading, at(4), 0, 4 * (6 + 8) / 2, ""},
		{"a step", square, at(12), 0, 4*6 + 8*11, ""},
		{"beside a bow", bowed, at(12), 0, 0, "can't grow to the corner"},
		{"a bow, cut back", bowed, at(10), 0, bowed.Area(), ""},
		{"a disc", plane.Circle(10), at(12), 0, 0, "no straight edge along the corner"},
		{"past its other end", wall, at(-2), 0, 0, "nothing left of it"},
	} {
		got, why := growTo(c.l, c.h, c.back)
		switch {
		case c.why != "":
			if !strings.Contains(why, c.why) {
				t.Errorf("%s: %q, %v", c.name, why, got)
			}
		case why != "" || math.Abs(got.Area()-c.area) > 1e-9:
			t.Errorf("%s: %g mm², %q, want %g", c.name, got.Area(), why, c.area)
		}
	}
	for _, c := range []struct {
		from, to plane.Point
		straight bool
		want     plane.Point
		ok       bool
	}{
		{pt(0, 0), pt(10, 0), true, pt(12, 0), true},
		{pt(0, 0), pt(10, 5), true, pt(12, 6), true},
		{pt(0, 0), pt(10, 0), false, pt(10, 0), false},
		{pt(0, 0), pt(0, 10), true, pt(0, 10), false},     // it runs along the line
		{pt(0, 0), pt(0.9, 10), true, pt(0.9, 10), false}, // nearly so
		{pt(10, 0), pt(0, 0), true, pt(0, 0), false},      // it leads away
		{pt(13, 0), pt(14, 0), true, pt(14, 0), false},    // it begins beyond
	} {
		if got, ok := slide(c.from, c.to, at(12), c.straight); ok != c.ok || !got.Near(c.want, 1e-12) {
			t.Errorf("%v to %v: %v, %v", c.from, c.to, got, ok)
		}
	}
}
