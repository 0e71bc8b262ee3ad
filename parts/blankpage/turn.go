package blankpage

import (
	"cmp"
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
)

// How a flat is turned to be read, as shares of the length of its straight edges and bends.
const (
	alignedEnough = 0.1 // so much level and upright: it is drawn as it lies
	worthATurn    = 0.3 // so much would be, at least, where it is turned
	turnTol       = 1e-4
	mostTried     = 48 // of the longest lines
)

// levelled is the turn that lays the most of a flat's edges and bends level and upright, where as
// good as none are; else no turn: dimensions from a corner say little about lines aslant.
func levelled(f *panel.Flat) plane.Affine {
	var lines []plane.Point
	for _, e := range f.Outer.Edges() {
		if e.Straight() {
			lines = append(lines, e.To.Sub(e.From))
		}
	}
	for _, s := range f.Folds {
		lines = append(lines, s.To.Sub(s.From))
	}
	lines = slices.DeleteFunc(lines, func(l plane.Point) bool { return !(l.Len() > 0) })
	slices.SortStableFunc(lines, func(a, b plane.Point) int { return cmp.Compare(b.Len(), a.Len()) })
	whole := 0.0
	for _, l := range lines {
		whole += l.Len()
	}
	along := func(u plane.Point) (sum float64) {
		for _, l := range lines {
			if n := l.Len(); min(math.Abs(l.Cross(u)), math.Abs(l.Dot(u))) <= float64(turnTol*n) {
				sum += n
			}
		}
		return sum
	}
	if along(plane.Point{X: 1}) >= float64(alignedEnough*whole) {
		return plane.Identity()
	}
	best, most := plane.Point{X: 1}, float64(worthATurn*whole)
	for _, l := range lines[:min(len(lines), mostTried)] {
		if u := l.Unit(); along(u) > float64(most*1.001) {
			best, most = u, along(u)
		}
	}
	for math.Abs(best.X) < math.Abs(best.Y) { // the least turn
		best = best.Perp()
	}
	if best.X < 0 {
		best = best.Neg()
	}
	return plane.Affine{A: best.X, B: best.Y, C: -best.Y, D: best.X}
}

// back takes a point of the turned flat to the flat.
func (d *drawing) back(p plane.Point) plane.Point {
	m := d.turn
	return plane.Point{X: float64(m.A*p.X) + float64(m.C*p.Y), Y: float64(m.B*p.X) + float64(m.D*p.Y)}
}

// setTo puts the turned flat on the page.
func (d *drawing) setTo(m plane.Affine) { d.set, d.to = m, d.turn.Then(m) }

// turned says how the drawing is turned; "" where it is not.
func (d *drawing) turned() string {
	if d.turn == plane.Identity() {
		return ""
	}
	return " – turned by " + degrees(math.Abs(plane.Point{X: d.turn.A, Y: d.turn.C}.Angle())) + " from the drawing for cutting"
}
