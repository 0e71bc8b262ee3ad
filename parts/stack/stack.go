// Package stack tells how pieces of one shape stand on each other: how far a piece that is let
// down onto another, straight or turned, comes, where the two then touch, and how far it
// leans. Metal is rigid and the pieces are as drawn: it knows nothing of paint, springback
// or of pieces that are pushed sideways to go on.
package stack

import (
	"math"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/parts/tipping"
	"perch/solver/elementary"
)

// Contact is where a piece touches the one that it is let down onto.
type Contact struct {
	At           solid.Vec // on the lower piece
	Lower, Upper int       // the parts, by their place among the flats
}

// Nesting is how pieces stand on each other.
type Nesting struct {
	Pitch   float64 // from one to the next, up, mm
	Height  float64 // of one piece, mm
	First   Contact // what touches first on the way down
	Touches int     // places that touch within 0.01 mm
	// Lean is how far the upper piece settles out of plumb, in radians, where it touches on
	// one side only, and Toward the way that its top goes, seen from above; for small angles.
	Lean   float64
	Toward plane.Point
}

// Nests tells whether pieces go into each other at all: one let down on another comes lower
// than to stand on top of it.
func (n Nesting) Nests() bool { return n.Pitch < n.Height-settled }

// settled is what is no distance, in mm, where pieces rest on each other.
const settled = 0.01

// Stacked is the height of so many pieces, mm.
func (n Nesting) Stacked(pieces int) float64 {
	return n.Height + float64(n.Pitch*float64(max(pieces-1, 0)))
}

// Down lets a copy of a piece, turned by an angle in radians about the plumb line through an
// axis, straight down onto the piece: for the metal over each other at every place seen from
// above, the greatest height of the lower less the least of the upper. Between flat
// facets that is greatest at a corner of one over the other or where two edges cross.
// Spend is told of work, and stops it by panicking.
func Down(flats []*panel.Flat, turn float64, axis plane.Point, spend func(steps int)) Nesting {
	lower := surfaceOf(flats)
	upper := lower
	if turn != 0 {
		upper = lower.turned(turn, axis)
	}
	var n Nesting
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range lower.corners {
		low, high = min(low, c.p.Z), max(high, c.p.Z)
	}
	n.Height = max(0, high-low)
	all := gaps(lower, upper, spend)
	if len(all) == 0 {
		return n // turned past each other: nothing stands over anything
	}
	first := all[0]
	for _, g := range all {
		if g.height > first.height {
			first = g
		}
	}
	n.Pitch, n.First = first.height, first.Contact
	for _, g := range all {
		if g.height > first.height-settled {
			n.Touches++
		}
	}
	stand := tipping.On(flats)
	centre := above(stand.Centre)
	n.Lean, n.Toward = lean(all, rotated(centre, turn, axis))
	return n
}

// Middle is the middle of parts, seen from above: of the box around them.
func Middle(flats []*panel.Flat) plane.Point {
	box := plane.EmptyBox()
	for _, c := range surfaceOf(flats).corners {
		box = box.With(above(c.p))
	}
	if box.Empty() {
		return plane.Point{}
	}
	return box.Center()
}

// turned is the surface turned about a plumb line.
func (s *surface) turned(angle float64, axis plane.Point) *surface {
	out := &surface{}
	spin := func(p solid.Vec) solid.Vec {
		q := rotated(above(p), angle, axis)
		return solid.Vec{X: q.X, Y: q.Y, Z: p.Z}
	}
	for _, c := range s.corners {
		out.corners = append(out.corners, corner{spin(c.p), c.part})
	}
	for _, e := range s.edges {
		out.edges = append(out.edges, edge{spin(e.a), spin(e.b), e.part})
	}
	for _, f := range s.facets {
		g := facet{box: plane.EmptyBox(), at: spin(f.at), slope: rotated(f.slope, angle, plane.Point{}), part: f.part, low: f.low, high: f.high}
		for _, l := range f.loops {
			var seen []plane.Point
			for _, p := range l {
				q := rotated(p, angle, axis)
				seen = append(seen, q)
				g.box = g.box.With(q)
			}
			g.loops = append(g.loops, seen)
		}
		out.facets = append(out.facets, g)
	}
	return out
}

func rotated(p plane.Point, angle float64, axis plane.Point) plane.Point {
	s, c := elementary.Sincos(angle)
	d := p.Sub(axis)
	return axis.Add(plane.Point{X: float64(d.X*c) - float64(d.Y*s), Y: float64(d.X*s) + float64(d.Y*c)})
}

// gap is how far the upper piece has to stand over the lower for the two to touch at a
// place.
type gap struct {
	height float64
	Contact
}

// gaps are those at which the greatest can be: corners over and under facets, and edges
// that cross. Those far below the greatest are left out.
func gaps(lower, upper *surface, spend func(int)) []gap {
	g := &gatherer{spend: spend, best: math.Inf(-1)}
	facets := func(s *surface) *plane.Places {
		boxes := make([]plane.Box, len(s.facets))
		for i := range s.facets {
			boxes[i] = s.facets[i].box
		}
		return plane.NewPlaces(boxes)
	}
	under, over := facets(upper), facets(lower)
	var found []int
	for _, c := range lower.corners {
		p := above(c.p)
		found = under.Near(plane.EmptyBox().With(p).Grow(touch), found[:0])
		g.spend(1 + len(found))
		for _, i := range found {
			if f := &upper.facets[i]; c.p.Z-f.low >= g.floor() && f.covers(p) {
				g.take(c.p.Z-f.height(p), c.p, c.part, f.part)
			}
		}
	}
	for _, c := range upper.corners {
		p := above(c.p)
		found = over.Near(plane.EmptyBox().With(p).Grow(touch), found[:0])
		g.spend(1 + len(found))
		for _, i := range found {
			if f := &lower.facets[i]; f.high-c.p.Z >= g.floor() && f.covers(p) {
				z := f.height(p)
				g.take(z-c.p.Z, solid.Vec{X: p.X, Y: p.Y, Z: z}, f.part, c.part)
			}
		}
	}
	g.crossings(lower.edges, upper.edges)
	return g.kept()
}

// reach is how far below the first touch, in mm, places are kept that a leaning piece may
// touch.
const reach = 60

type gatherer struct {
	spend func(int)
	best  float64
	all   []gap
}

func (g *gatherer) floor() float64 { return g.best - reach }

func (g *gatherer) take(height float64, at solid.Vec, lower, upper int) {
	if height < g.floor() {
		return
	}
	g.best = max(g.best, height)
	g.all = append(g.all, gap{height, Contact{at, lower, upper}})
}

func (g *gatherer) kept() []gap {
	var out []gap
	for _, x := range g.all {
		if x.height >= g.floor() {
			out = append(out, x)
		}
	}
	return out
}

// crossings are where edges of the two cross, seen from above.
func (g *gatherer) crossings(lower, upper []edge) {
	boxes := make([]plane.Box, len(upper))
	for i, e := range upper {
		boxes[i] = plane.EmptyBox().With(above(e.a)).With(above(e.b))
	}
	places := plane.NewPlaces(boxes)
	var found []int
	for _, e := range lower {
		a, b := above(e.a), above(e.b)
		found = places.Near(plane.EmptyBox().With(a).With(b).Grow(touch), found[:0])
		g.spend(1 + len(found))
		high := max(e.a.Z, e.b.Z)
		for _, i := range found {
			f := upper[i]
			if high-min(f.a.Z, f.b.Z) >= g.floor() {
				g.cross(e, f)
			}
		}
	}
}

// cross is where two edges cross, or where they end on each other.
func (g *gatherer) cross(e, f edge) {
	a, c := above(e.a), above(f.a)
	d, w := above(e.b).Sub(a), above(f.b).Sub(c)
	det := d.Cross(w)
	if math.Abs(det) > 1e-12*d.Len()*w.Len() {
		s, t := c.Sub(a).Cross(w)/det, c.Sub(a).Cross(d)/det
		if slack := touch / max(d.Len(), touch); s < -slack || s > 1+slack {
			return
		}
		if slack := touch / max(w.Len(), touch); t < -slack || t > 1+slack {
			return
		}
		g.pair(e, f, clamp(s), clamp(t))
		return
	}
	for _, s := range [2]float64{0, 1} { // side by side, or one of them plumb
		p := a.Add(d.Scale(s))
		if t, on := share(p, c, w); on {
			g.pair(e, f, s, t)
		}
		q := c.Add(w.Scale(s))
		if t, on := share(q, a, d); on {
			g.pair(e, f, t, s)
		}
	}
}

func (g *gatherer) pair(e, f edge, s, t float64) {
	at := e.a.Add(e.b.Sub(e.a).Scale(s))
	g.take(at.Z-f.a.Z-float64((f.b.Z-f.a.Z)*t), at, e.part, f.part)
}

func clamp(s float64) float64 { return max(0, min(s, 1)) }

// share is the share of a stretch from a along d at which a place lies on it.
func share(p, a, d plane.Point) (t float64, on bool) {
	if !near(p, a, a.Add(d)) {
		return 0, false
	}
	if long := d.Dot(d); long > 0 {
		return clamp(p.Sub(a).Dot(d) / long), true
	}
	return 0, true
}
