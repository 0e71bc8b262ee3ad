package layout

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
)

// Openings are all that is cut inside the blank, clockwise: the flat's inner loops,
// then the round holes that joins make (points of kind hole and plug). A point whose
// hole is an inner loop already is not given twice.
func Openings(f *panel.Flat) []plane.Loop {
	out := make([]plane.Loop, len(f.Inner), len(f.Inner)+len(f.Points))
	copy(out, f.Inner)
	for _, p := range f.Points {
		if p.Kind != panel.Hole && p.Kind != panel.Plug || !(p.Diameter > 0) || cutThere(f.Inner, p.At) {
			continue
		}
		r := float64(p.Diameter / 2)
		out = append(out, plane.Loop{
			{P: plane.Point{X: p.At.X - r, Y: p.At.Y}, Bulge: -1},
			{P: plane.Point{X: p.At.X + r, Y: p.At.Y}, Bulge: -1},
		})
	}
	return out
}

// cutThere reports whether one of the loops is a circle about c.
func cutThere(loops []plane.Loop, c plane.Point) bool {
	const same = 1e-6 // mm
	for _, l := range loops {
		if o, _, ok := Circle(l); ok && math.Abs(o.X-c.X) < same && math.Abs(o.Y-c.Y) < same {
			return true
		}
	}
	return false
}
