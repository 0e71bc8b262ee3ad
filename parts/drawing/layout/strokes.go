package layout

import (
	"perch/parts/panel"
	"perch/parts/plane"
)

const (
	// MarkReach is the half length of a centre mark's strokes, mm.
	MarkReach = 2
	// LightReach is that of a mark where a hole is drilled in place: it shows, and does not
	// ask for the drill.
	LightReach = 1
)

// TickReach is how far in from the blank's edge the ticks at a bead's ends go, mm.
const TickReach = 5

// Strokes are the lines that mark a place to drill, to tack or to weld: a cross, or for a
// bead that has a direction a line along it; where it runs along the blank's edge, which
// is cut, a tick across the edge at either end instead. Holes have none.
func Strokes(p panel.Point) [][2]plane.Point {
	along := func(dir plane.Point, reach float64) [2]plane.Point {
		u := dir.Scale(reach)
		return [2]plane.Point{p.At.Sub(u), p.At.Add(u)}
	}
	switch {
	case p.Marked() && p.In != (plane.Point{}):
		in := p.In.Scale(TickReach)
		ends := along(p.Dir, p.Diameter/2)
		return [][2]plane.Point{{ends[0], ends[0].Add(in)}, {ends[1], ends[1].Add(in)}}
	case p.Marked() && p.Dir != (plane.Point{}):
		return [][2]plane.Point{along(p.Dir, p.Diameter/2)}
	case p.Bare:
		return nil
	case p.Made() == panel.InPlace:
		return [][2]plane.Point{along(plane.Point{X: 1}, LightReach), along(plane.Point{Y: 1}, LightReach)}
	case p.Marked(), p.Kind == panel.Drill:
		return [][2]plane.Point{along(plane.Point{X: 1}, MarkReach), along(plane.Point{Y: 1}, MarkReach)}
	}
	return nil
}
