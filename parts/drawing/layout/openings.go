package layout

import (
	"perch/parts/panel"
	"perch/parts/plane"
)

// Openings are all that is cut inside the blank, clockwise: the flat's inner loops,
// then the round holes that joins make (points of kind hole and plug). A point in an
// inner loop fastens through that opening and makes none of its own.
func Openings(f *panel.Flat) []plane.Loop {
	out := make([]plane.Loop, len(f.Inner), len(f.Inner)+len(f.Points))
	copy(out, f.Inner)
	for _, p := range f.Points {
		if p.Kind != panel.Hole && p.Kind != panel.Plug || p.Made() == panel.InPlace || !(p.Diameter > 0) || f.Open(p) {
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
