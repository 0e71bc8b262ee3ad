package blankpage

import (
	"math"
	"slices"
	"strconv"

	"perch/parts/drawing/layout"
	"perch/parts/paper"
	"perch/parts/plane"
)

// radius is that of arcs of the outline or of openings that are no round holes.
type radius struct {
	text  string
	count int
	at    plane.Point // the middle of the longest of them, in the flat
	long  float64
	round []plane.Point // the middles of their circles, once each
}

// labelRadii tells every radius once, with how many there are, at the longest arc of it; of a
// box of the turned flat, where there is one, those that lie in it. What finds no room is noted.
func (d *drawing) labelRadii(within *plane.Box) {
	for _, r := range d.radii(within) {
		text := "R " + r.text
		if r.count > 1 {
			text = strconv.Itoa(r.count) + " × R " + r.text
		}
		switch {
		case d.page.Point(d.to.Apply(r.at), paper.Style{}, text, "R "+r.text):
		case within == nil:
			d.notes = append(d.notes, text+" of the outline, for which the drawing has no room.")
		}
	}
}

// radii finds them in order round the outline and the openings.
func (d *drawing) radii(within *plane.Box) []*radius {
	const flat = 1e5 // mm: as good as straight
	var all []*radius
	known := map[string]*radius{}
	add := func(l plane.Loop) {
		for _, e := range l.Edges() {
			if e.Straight() || e.Radius() > flat || within != nil && !within.Holds(d.turn.Apply(e.Mid())) {
				continue
			}
			text := d.read.Fine(e.Radius())
			r := known[text]
			if r == nil {
				r = &radius{text: text}
				known[text] = r
				all = append(all, r)
			}
			const same = 1e-3 // mm: arcs round one middle are one
			c := e.Center()
			if !slices.ContainsFunc(r.round, func(q plane.Point) bool { return q.Near(c, same) }) {
				r.round = append(r.round, c)
				r.count++
			}
			if long := e.Radius() * math.Abs(e.Sweep()); long > float64(r.long*1.001) {
				r.long, r.at = long, e.PointAt(0.5)
			}
		}
	}
	add(d.f.Outer)
	for _, l := range d.f.Inner {
		if _, _, round := layout.Circle(l); !round {
			add(l)
		}
	}
	return all
}
