package layout

import (
	"perch/parts/panel"
	"perch/parts/plane"
)

// MarkReach is the half length of a centre mark's strokes, mm.
const MarkReach = 2

// Strokes are the lines that mark a place to drill, to tack or to weld: a cross, or a
// line as long as the tack where the tack has a direction. Holes have none.
func Strokes(p panel.Point) [][2]plane.Point {
	along := func(dir plane.Point, reach float64) [2]plane.Point {
		u := dir.Scale(reach)
		return [2]plane.Point{p.At.Sub(u), p.At.Add(u)}
	}
	switch {
	case p.Kind == panel.Tack && p.Dir != (plane.Point{}):
		return [][2]plane.Point{along(p.Dir, p.Diameter/2)}
	case p.Kind == panel.Tack, p.Kind == panel.Drill:
		return [][2]plane.Point{along(plane.Point{X: 1}, MarkReach), along(plane.Point{Y: 1}, MarkReach)}
	}
	return nil
}
