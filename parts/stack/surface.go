package stack

import (
	"cmp"
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// chord is how far, in mm, the flats that stand for true arcs leave them.
const chord = 0.002

// touch is how near, in mm, things seen from above are that touch: rounding of what was
// worked out.
const touch = 1e-7

// plumb is the level part of a unit normal from which on a facet has no upper or lower side:
// its edges tell all of it.
const plumb = 1e-9

// surface is the metal of a piece, seen from above.
type surface struct {
	facets  []facet
	corners []corner
	edges   []edge
}

// facet is a flat polygon that is not plumb: its loops seen from above, holes behind the
// outline, and its height over the plane.
type facet struct {
	loops     [][]plane.Point
	box       plane.Box
	at        solid.Vec // on it
	slope     plane.Point
	part      int
	low, high float64
}

type corner struct {
	p    solid.Vec
	part int
}

type edge struct {
	a, b solid.Vec
	part int
}

// surfaceOf reads the surface of parts where they stand.
func surfaceOf(flats []*panel.Flat) *surface {
	s := &surface{}
	for i, f := range flats {
		for _, piece := range f.Solids(chord) {
			for _, fc := range piece.Facets {
				for _, flat := range untwisted(fc) {
					s.add(flat, i)
				}
			}
		}
	}
	s.once()
	return s
}

// untwisted is a facet as triangles where its corners do not lie in one plane, as at the
// oblique end of a bend; else the facet.
func untwisted(f panel.Facet) []panel.Facet {
	n := normal(f.Loop)
	flat := len(f.Loop) == 3 || len(f.Holes) > 0
	if !flat {
		flat = true
		for _, p := range f.Loop {
			flat = flat && math.Abs(p.Sub(f.Loop[0]).Dot(n)) <= touch*n.Len()
		}
	}
	if flat {
		return []panel.Facet{f}
	}
	var out []panel.Facet
	for i := 1; i+1 < len(f.Loop); i++ {
		out = append(out, panel.Facet{Loop: []solid.Vec{f.Loop[0], f.Loop[i], f.Loop[i+1]}})
	}
	return out
}

func (s *surface) add(f panel.Facet, part int) {
	loops := append([][]solid.Vec{f.Loop}, f.Holes...)
	for _, l := range loops {
		for i, a := range l {
			s.corners = append(s.corners, corner{a, part})
			s.edges = append(s.edges, edge{a, l[(i+1)%len(l)], part})
		}
	}
	n := normal(f.Loop)
	if math.Abs(n.Z) <= plumb*n.Len() {
		return
	}
	out := facet{box: plane.EmptyBox(), at: f.Loop[0], slope: plane.Point{X: -n.X / n.Z, Y: -n.Y / n.Z}, part: part, low: math.Inf(1), high: math.Inf(-1)}
	for _, l := range loops {
		var seen []plane.Point
		for _, p := range l {
			seen = append(seen, above(p))
			out.box = out.box.With(above(p))
			out.low, out.high = min(out.low, p.Z), max(out.high, p.Z)
		}
		out.loops = append(out.loops, seen)
	}
	s.facets = append(s.facets, out)
}

// normal is the area vector of a polygon, twice its area long.
func normal(l []solid.Vec) solid.Vec {
	var n solid.Vec
	for i := 1; i+1 < len(l); i++ {
		n = n.Add(l[i].Sub(l[0]).Cross(l[i+1].Sub(l[0])))
	}
	return n
}

func above(p solid.Vec) plane.Point { return plane.Point{X: p.X, Y: p.Y} }

// once keeps one of each corner and edge: two facets or more share them.
func (s *surface) once() {
	byPlace := func(a, b solid.Vec) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.Z, b.Z))
	}
	slices.SortFunc(s.corners, func(a, b corner) int { return cmp.Or(byPlace(a.p, b.p), cmp.Compare(a.part, b.part)) })
	s.corners = slices.CompactFunc(s.corners, func(a, b corner) bool { return a.p == b.p })
	for i, e := range s.edges {
		if byPlace(e.a, e.b) > 0 {
			s.edges[i].a, s.edges[i].b = e.b, e.a
		}
	}
	slices.SortFunc(s.edges, func(a, b edge) int { return cmp.Or(byPlace(a.a, b.a), byPlace(a.b, b.b), cmp.Compare(a.part, b.part)) })
	s.edges = slices.CompactFunc(s.edges, func(a, b edge) bool { return a.a == b.a && a.b == b.b })
}

// height is how high a facet lies at a place on it. A steep one's is held to where its
// corners lie, since rounding moves it far.
func (f *facet) height(p plane.Point) float64 {
	return max(f.low, min(f.at.Z+f.slope.Dot(p.Sub(above(f.at))), f.high))
}

// covers tells whether a place lies on a facet, its edges included.
func (f *facet) covers(p plane.Point) bool {
	if !f.box.Grow(touch).Holds(p) {
		return false
	}
	inside := false
	for _, l := range f.loops {
		for i, a := range l {
			b := l[(i+1)%len(l)]
			if near(p, a, b) {
				return true
			}
			if (a.Y > p.Y) != (b.Y > p.Y) && (plane.Orient(a, b, p) > 0) == (b.Y > a.Y) {
				inside = !inside
			}
		}
	}
	return inside
}

// near tells whether a place lies on a stretch.
func near(p, a, b plane.Point) bool {
	d := b.Sub(a)
	long := d.Len()
	if long <= touch {
		return p.Near(a, touch)
	}
	u := d.Scale(1 / long)
	along, off := p.Sub(a).Dot(u), p.Sub(a).Cross(u)
	return math.Abs(off) <= touch && along >= -touch && along <= long+touch
}
