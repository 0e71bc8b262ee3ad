package foldmark

import (
	"math"
	"slices"

	"perch/parts/measure"
	"perch/parts/plane"
)

// mostDeep is how many times as deep as it is to be in the metal a nick may be drawn; a
// kerf that asks for more gets a wider nick. A choice of ours.
const mostDeep = 2.5

// edgeTurn is the cosine of the turn, 35°, by which the edge at a nick's mouth may bend
// and still be one edge. A choice of ours.
const edgeTurn = 0.82

// vee is the shape of a nick as it is drawn; lengths in mm.
type vee struct {
	half  float64 // half its width at a square edge
	deep  float64 // of its tip
	touch float64 // along a flank, from the tip to where the kerf's circle touches it
	flank float64 // length of a flank at a square edge
}

// veeFor is the V that is drawn for a nick of that width and of that depth in the metal.
//
// A kerf is cut by a circle of radius ρ, half the kerf, that stays off the metal: in a V of
// half width a and depth D it goes down until it touches both flanks, when its centre is
// ρ/sin h from the tip and its lowest point ρ·(1/sin h − 1), h the V's half angle, sin h =
// a/√(a² + D²). What is left in the metal is then d = D − ρ·(√(a² + D²)/a − 1) deep, and
// with k = ρ/a
//
//	D = (d − ρ + k·√((d − ρ)² + a²·(1 − k²)))/(1 − k²).
//
// A V that would have to be drawn too deep, as where it is no wider than the kerf, is as
// deep as may be, and wide enough: a = D/√((1 + (D − d)/ρ)² − 1). Derived.
func veeFor(width, depth, kerf float64) vee {
	a, r := float64(width/2), float64(kerf/2)
	k := r / a
	most := float64(mostDeep * depth)
	deep := most
	if k < 1 {
		e, q := depth-r, 1-float64(k*k)
		deep = (e + float64(k*math.Sqrt(float64(e*e)+float64(float64(a*a)*q)))) / q
	}
	if deep > most || k >= 1 {
		deep = most
		s := 1 + (deep-depth)/r
		a = deep / math.Sqrt(float64(s*s)-1)
	}
	return vee{half: a, deep: deep, touch: float64(r*deep) / a, flank: math.Sqrt(float64(a*a) + float64(deep*deep))}
}

// cut is a nick on an outline.
type cut struct {
	tip           plane.Point
	before, after mouth // where the outline reaches the nick, and where it goes on
}

// mouth is one of the two places where a nick's flanks leave the metal.
type mouth struct {
	edge int // of the outline
	at   plane.Point
}

// cutAt lays a nick on the outline about a line that enters the metal at its P, or tells
// why there can be none.
func (m *marker) cutAt(from Line) (*cut, measure.Text) {
	i, ok := edgeAt(m.outer, from.P)
	if !ok {
		return nil, measure.Plain("another nick is there, or the fold ends in the metal")
	}
	c := &cut{tip: from.at(m.vee.deep)}
	along := from.Dir.Perp().Neg() // the way that the outline runs, the metal on its left
	cos, sin := m.vee.deep/m.vee.flank, m.vee.half/m.vee.flank
	out := from.Dir.Scale(-cos)
	var why measure.Text
	if c.before, why = m.mouth(i, from.P, c.tip, out.Sub(along.Scale(sin)), -1); !why.Empty() {
		return nil, why
	}
	if c.after, why = m.mouth(i, from.P, c.tip, out.Add(along.Scale(sin)), 1); !why.Empty() {
		return nil, why
	}
	return c, measure.Text{}
}

// onEdge is how far, in mm, a place may lie off an outline and be on it.
const onEdge = 1e-4

// edgeAt is the edge of an outline that p lies on.
func edgeAt(l plane.Loop, p plane.Point) (int, bool) {
	best, least := -1, onEdge
	for i, e := range l.Edges() {
		if d := e.Nearest(p).Dist(p); d < least {
			best, least = i, d
		}
	}
	return best, best >= 0
}

// mouth follows the outline from p on edge i, onwards or back, to where a nick's flank from
// the tip leaves the metal.
func (m *marker) mouth(i int, p, tip, dir plane.Point, way int) (mouth, measure.Text) {
	l := m.outer
	n := len(l)
	base := tangentNear(l.Edge(i), p)
	far := float64(4 * m.vee.flank)
	for k, gone := 0, 0.0; k < n && gone < far; k++ {
		j := ((i+way*k)%n + n) % n
		e := l.Edge(j)
		if e.StartTangent().Dot(base) < edgeTurn || e.EndTangent().Dot(base) < edgeTurn {
			return mouth{}, measure.Plain("the edge turns a corner beside the fold")
		}
		if k == 0 { // from p on
			a, b := e.SplitAt(p)
			if e = a; way > 0 {
				e = b
			}
		}
		if e.Chord() > plane.Tol {
			ts := e.Meets(tip, dir)
			slices.Sort(ts)
			for _, t := range ts {
				if t > plane.Tol && t < m.vee.touch {
					return mouth{}, measure.Plain("the edge runs too flat along the fold for a nick")
				}
				if t > plane.Tol {
					return mouth{j, snapped(l.Edge(j), tip.Add(dir.Scale(t)))}, measure.Text{}
				}
			}
		}
		gone += e.Len()
	}
	return mouth{}, measure.Plain("the edge runs too flat along the fold for a nick")
}

// snapped is a place on an edge, or the edge's end that it all but is: an outline has no
// edges too short to be seen.
func snapped(e plane.Edge, p plane.Point) plane.Point {
	const least = 1e-3 // mm
	switch {
	case p.Near(e.From, least):
		return e.From
	case p.Near(e.To, least):
		return e.To
	}
	return p
}

// tangentNear is the direction of an edge at a place on it.
func tangentNear(e plane.Edge, p plane.Point) plane.Point {
	a, b := e.SplitAt(p)
	if a.Chord() > b.Chord() {
		return a.EndTangent()
	}
	return b.StartTangent()
}

// outline is an outline with the nick in it.
func (c *cut) outline(l plane.Loop) plane.Loop {
	first, _ := l.Edge(c.before.edge).SplitAt(c.before.at)
	_, rest := l.Edge(c.after.edge).SplitAt(c.after.at)
	var out plane.Loop
	if c.after.at != rest.To { // else the next corner is the mouth
		out = plane.Loop{{P: c.after.at, Bulge: rest.Bulge}}
	}
	for k := c.after.edge + 1; ; k++ {
		j := k % len(l)
		if j == c.before.edge {
			break
		}
		out = append(out, l[j])
	}
	if c.before.at != first.From {
		out = append(out, plane.Vertex{P: first.From, Bulge: first.Bulge})
	}
	return append(out, plane.Vertex{P: c.before.at}, plane.Vertex{P: c.tip})
}

// flanks are the nick's two edges, along the outline.
func (c *cut) flanks() []plane.Edge {
	return []plane.Edge{{From: c.before.at, To: c.tip}, {From: c.tip, To: c.after.at}}
}

// distance is how far a place is from the nick.
func (c *cut) distance(p plane.Point) float64 {
	d, _ := c.region().DistanceTo(p)
	if c.region().Locate(p) != plane.Outside {
		return 0
	}
	return d
}

// region is what the nick takes off the metal, its mouth closed by a straight line.
func (c *cut) region() plane.Region {
	return plane.Region{{{P: c.tip}, {P: c.before.at}, {P: c.after.at}}}
}

// touches tells whether the nick reaches into an outline.
func (c *cut) touches(l plane.Loop) bool {
	r := plane.Region{l}
	for _, p := range [3]plane.Point{c.tip, c.before.at, c.after.at} {
		if r.Locate(p) != plane.Outside {
			return true
		}
	}
	return plane.EdgeDistance(c.flanks(), pathEdges(l, true)) <= plane.Tol
}

// beside are the edges of an outline but for those that the nick lies on, which go on
// from its mouth with no corner.
func (c *cut) beside(l plane.Loop) []plane.Edge {
	n := len(l)
	skip := make([]bool, n)
	for j := c.before.edge; ; j = (j + 1) % n {
		skip[j] = true
		if j == c.after.edge {
			break
		}
	}
	base := l.Edge(c.before.edge).EndTangent()
	smooth := func(e plane.Edge) bool {
		return e.StartTangent().Dot(base) >= edgeTurn && e.EndTangent().Dot(base) >= edgeTurn
	}
	for j := (c.after.edge + 1) % n; !skip[j] && smooth(l.Edge(j)); j = (j + 1) % n {
		skip[j] = true
	}
	for j := (c.before.edge - 1 + n) % n; !skip[j] && smooth(l.Edge(j)); j = (j - 1 + n) % n {
		skip[j] = true
	}
	var out []plane.Edge
	for j, e := range l.Edges() {
		if !skip[j] {
			out = append(out, e)
		}
	}
	return out
}
