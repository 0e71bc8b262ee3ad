package shopcheck

import (
	"math"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

// opening is one hole of the blank: a cut, or a hole that a join sets.
type opening struct {
	place    Subject
	face     int
	loop     plane.Loop
	diameter float64 // of a round hole, 0 for another shape
	drilled  bool
	after    bool // bending: it is drilled in place
}

func (c *checker) openings() []opening {
	all := make([]opening, 0, len(c.flat.Cuts)+len(c.flat.Points))
	for _, cut := range c.flat.Cuts {
		if !cut.Notch && len(cut.Loop) > 1 {
			all = append(all, opening{place: c.cutPlace(cut), face: cut.Face, loop: cut.Loop, diameter: roundness(cut.Loop)})
		}
	}
	for _, p := range c.flat.Points {
		if !p.Marked() && p.Diameter > 0 && !c.flat.Open(p) {
			all = append(all, opening{Subject{Kind: Hole, Name: p.Name}, p.Face, p.Hole(), p.Diameter, p.Kind == panel.Drill, p.Made() == panel.InPlace})
		}
	}
	return all
}

func (c *checker) cutPlace(cut panel.FlatCut) Subject {
	return Subject{Kind: Cut, Name: cut.Name, Face: c.faceName(cut.Face)}
}

// roundness is the diameter of a loop that is a circle, else 0.
func roundness(l plane.Loop) float64 {
	first := l.Edge(0)
	if first.Straight() {
		return 0
	}
	center, r := first.Center(), first.Radius()
	for _, e := range l.Edges() {
		if e.Straight() || !e.Center().Near(center, tol) || math.Abs(e.Radius()-r) > tol {
			return 0
		}
	}
	return 2 * r
}

// size is the largest measure of an opening.
func (o opening) size() float64 {
	s := o.loop.Bounds().Size()
	return max(s.X, s.Y)
}

// holes holds openings to the cutter, the drill and the bends.
func (c *checker) holes(all []opening) {
	for _, o := range all {
		c.holeSize(o)
		if !o.after { // no bend draws out what is drilled after it
			c.holeToBends(o)
		}
	}
}

func (c *checker) holeSize(o opening) {
	round := c.shop.Cutter.RoundHole(c.t)
	switch {
	case o.diameter == 0:
	case o.drilled:
		if d := c.shop.Drill; above(o.diameter, d.Max) || below(o.diameter, d.Min) {
			c.add(drillRange, o.place, o.diameter, d.Max, "hole of %.3g is to be drilled; the drill takes %#.3g to %.3g", measure.Length(o.diameter), measure.Length(d.Min), measure.Length(d.Max))
		} else if size, ok := d.Nearest(o.diameter); !ok {
			c.add(drillRange, o.place, o.diameter, size, "hole of %.3g is to be drilled; the shop's nearest drill is %.3g: buy one and list it in the shop file, or take a fastener whose hole it drills",
				measure.Length(o.diameter), measure.Length(size))
		}
	case below(o.diameter, round):
		c.add(smallHole, o.place, o.diameter, round, "hole of %.3g; the %s leaves holes round from %.3g: centre-mark and drill it",
			measure.Length(o.diameter), c.shop.Cutter.Kind, measure.Length(round))
	}
}

func (c *checker) holeToBends(o opening) {
	limit := 2 * c.t
	if o.diameter == 0 || o.size() > largeHole+tol {
		limit = float64(2.5 * c.t)
	}
	for _, line := range c.tangents(o.face) {
		var got float64
		if o.diameter > 0 {
			got = max(0, line.distance(o.loop.Edge(0).Center())-float64(o.diameter/2))
		} else {
			got = plane.EdgeDistance(loopEdges(o.loop), []plane.Edge{line.edge})
		}
		if below(got, limit) {
			c.add(holeToBend, o.place, got, limit, "its edge is %.2f from the bend of %s and would be drawn out; at least %.3g: move it %.2f away",
				measure.Length(got), c.foldPlace(line.fold), measure.Length(limit), measure.Length(limit-got))
		}
	}
}

// webs measures the metal left between openings, and to the blank's edge. Openings
// that touch are one; drilled holes leave no heat.
func (c *checker) webs(all []opening) {
	limit := c.shop.Cutter.Web(c.t)
	outer := plane.Region{c.flat.Outer}
	boxes := make([]plane.Box, len(all))
	for i, o := range all {
		if boxes[i] = plane.EmptyBox(); !o.drilled {
			boxes[i] = o.loop.Bounds()
		}
	}
	places := plane.NewPlaces(boxes)
	var near []int
	for i, o := range all {
		if o.drilled {
			continue
		}
		if len(c.flat.Outer) > 0 {
			d, _, _ := plane.Distance(plane.Region{o.loop}, outer)
			c.web(o, "the blank's edge", d, limit)
		}
		near = places.Near(boxes[i].Grow(limit), near[:0])
		for _, k := range near {
			if p := all[k]; k > i {
				d, _, _ := plane.Distance(plane.Region{o.loop}, plane.Region{p.loop})
				c.web(o, p.place.String(), d, limit)
			}
		}
	}
}

func (c *checker) web(o opening, other string, got, limit float64) {
	if got > tol && below(got, limit) {
		c.add(thinWeb, o.place, got, limit, "leaves %.2f of metal to %s; the %s needs %.3g: move them %.2f apart",
			measure.Length(got), other, c.shop.Cutter.Kind, measure.Length(limit), measure.Length(limit-got))
	}
}

// corners looks for inside corners sharper than the cut can be, in openings and in
// the faces' outlines as drawn where they are on the blank's edge. Reliefs are
// left out: nothing has to fit them.
func (c *checker) corners() {
	for _, cut := range c.flat.Cuts {
		if len(cut.Loop) < 2 || roundness(cut.Loop) > 0 {
			continue
		}
		loop := cut.Loop
		if loop.Area() < 0 {
			loop = loop.Reversed()
		}
		c.corner(c.cutPlace(cut), loop, 1, func(p plane.Point) bool { return !cut.Notch || !c.mouth(p) })
	}
	edge := plane.Region{c.flat.Outer}
	for i, face := range c.flat.Panel.Faces {
		if i >= len(c.flat.Faces) {
			break
		}
		for _, loop := range face.Outline {
			l := loop.Transform(c.flat.Faces[i].ToFlat)
			c.corner(Subject{Kind: Face, Name: face.Name, Face: face.Name}, l, -1, func(p plane.Point) bool {
				d, _ := edge.DistanceTo(p)
				return d <= tol
			})
		}
	}
}

// mouth says whether the blank's outline turns outward at a point, as it does where a
// notch meets the edge: the metal there has an outside corner.
func (c *checker) mouth(p plane.Point) bool {
	outer := c.flat.Outer
	for i, e := range outer.Edges() {
		if e.From.Sub(p).Len() <= tol {
			return turned(outer.Edge(i-1).EndTangent(), e.StartTangent(), 1)
		}
	}
	return false
}

// corner looks for turns of the given sign (+1 left, −1 right) of a counter-clockwise
// loop that are sharp or an arc of too small a radius, and tells the sharpest.
func (c *checker) corner(place Subject, l plane.Loop, turn float64, counts func(plane.Point) bool) {
	limit := c.shop.Cutter.CornerRadius()
	n, least := 0, math.Inf(1)
	var at plane.Point
	for i, e := range l.Edges() {
		r, p := math.Inf(1), e.From
		if !e.Straight() && e.Bulge*turn > 0 {
			r = e.Radius()
		}
		if turned(l.Edge(i-1).EndTangent(), e.StartTangent(), turn) {
			r = 0
		}
		if below(r, limit) && counts(p) {
			n++
			if r < least {
				least, at = r, p
			}
		}
	}
	if n > 0 {
		c.add(sharpCorner, place, least, limit, "%s sharper than the cut, the sharpest of radius %.2f at %.1f; round to %.2f or more",
			measure.Counted(n, "inside corner"), measure.Length(least), measure.Place(at), measure.Length(limit))
	}
}

// sharpTurn is the sine of the least turn, about 3°, that counts as a corner.
const sharpTurn = 0.05

// turned tells whether a path turns between two directions, unit vectors, by more than
// 3°, to the left where turn is 1, to the right where it is −1; a path that all but goes
// back the way it came does.
func turned(in, out plane.Point, turn float64) bool {
	sine := in.Cross(out) * turn
	return sine > sharpTurn || sine > 0 && in.Dot(out) < 0
}
