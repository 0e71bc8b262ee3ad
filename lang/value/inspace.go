package value

import (
	"fmt"
	"math"

	"perch/lang/diag"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Strip is d (mm) of metal along the whole fold of a hung face, short of its two ends,
// the one that u starts from first.
func (c *Canvas) Strip(d float64, ends [2]float64, at diag.Span) Drawn {
	if !c.Hung {
		Fail("P4005", at, "strip() spans a fold: only a face that hangs `off` an edge has one")
	}
	lo, hi := ends[0]-float64(c.Span/2), float64(c.Span/2)-ends[1]
	if !(lo < hi) {
		Fail("P4003", at, "nothing is left of this strip", measure.Say("the fold is %s long, its ends are short by %s and %s", ShownLength(c.Span), ShownLength(ends[0]), ShownLength(ends[1])))
	}
	p := [4]plane.Point{{X: lo}, {X: hi}, {X: hi, Y: d}, {X: lo, Y: d}}
	return Drawn{Region: plane.Region{LoopOf(p[:])}, Names: func() []Segment { return Quad(p) }}
}

// Section is a body's section in the canvas' plane. In a plane that is not level its
// straight edges are called by the way that they face; those of a level section are
// found by their side of the body.
func (c *Canvas) Section(b *solid.Body, at diag.Span) Drawn {
	hs, err := b.Section(c.Frame)
	if err != nil {
		Fail("P4006", at, "the body has no section in this face's plane", measure.Of(err))
	}
	r := plane.Region{plane.Rect(2*far, 2*far)}
	for _, h := range hs {
		r = plane.Clip(r, h)
	}
	bb := r.Bounds()
	if len(r) == 0 || bb.Max.X-bb.Min.X > far/2 || bb.Max.Y-bb.Min.Y > far/2 {
		Fail("P4006", at, "the body has no section in this face's plane")
	}
	return Drawn{Region: r, Names: func() []Segment { return c.facing(r) }}
}

// facing names the straight edges of a region by the way they face on the canvas:
// those along u top and bottom, the others left and right. On a level plane nothing
// is named: which way u runs there is nobody's concern.
func (c *Canvas) facing(r plane.Region) []Segment {
	if c.Level() {
		return nil
	}
	m := c.upright()
	u, v := plane.Point{X: m.A, Y: m.C}, plane.Point{X: m.B, Y: m.D}
	var out []Segment
	for _, l := range r {
		for i := range l {
			e := l.Edge(i)
			s := Segment{EdgeName{Own: true}, e.From, e.To}
			n := s.outward()
			n = plane.Point{X: n.Dot(u), Y: n.Dot(v)}
			switch {
			case !e.Straight():
				continue
			case math.Abs(n.X) < 1e-9 && n.Y > 0:
				s.Name = "top"
			case math.Abs(n.X) < 1e-9:
				s.Name = "bottom"
			case n.X > 0:
				s.Name = "right"
			default:
				s.Name = "left"
			}
			out = append(out, s)
		}
	}
	return out
}

// Level tells whether the canvas lies level.
func (c *Canvas) Level() bool { return math.Abs(c.Frame.Normal().Z) > 1-1e-12 }

// Behind is the part of the canvas' plane on the metal side of planes, kept free from
// each by clear (mm).
func (c *Canvas) Behind(planes []solid.Plane, clear float64, at diag.Span) Drawn {
	d := Drawn{Endless: true}
	for _, p := range planes {
		h, ok, inside := solid.Behind(c.Frame, p, clear)
		switch {
		case ok:
			d.Clips = append(d.Clips, h)
		case !inside:
			Fail("P4006", at, "this face lies in front of the plane all over, nothing of it is behind")
		}
	}
	return d
}

// Band is what lies between two v (mm), without end along u; its ends get their names
// where something cuts it.
func (c *Canvas) Band(lo, hi float64) Drawn {
	m := c.upright()
	v := plane.Point{X: m.B, Y: m.D}
	return c.between(v, plane.Point{Y: lo}, plane.Point{Y: hi})
}

// BandAcross is what lies between two u (mm), without end along v.
func (c *Canvas) BandAcross(lo, hi float64) Drawn {
	n := plane.Point{X: c.Point.B, Y: c.Point.D}.Unit().Perp() // u = lo runs as v does
	if n.Dot(c.along()) < 0 {
		n = n.Neg()
	}
	return c.between(n, plane.Point{X: lo}, plane.Point{X: hi})
}

// between is the plane between two lines square to n, each through a point of the canvas.
func (c *Canvas) between(n, lo, hi plane.Point) Drawn {
	p, q := c.Point.Apply(lo), c.Point.Apply(hi)
	return Drawn{Endless: true, Names: c.farEdges, Clips: []plane.HalfPlane{
		{N: n, D: n.Dot(q)}, {N: n.Neg(), D: -n.Dot(p)},
	}}
}

// farEdges are the edges of all that can be drawn, called as on the canvas.
func (c *Canvas) farEdges() []Segment {
	m := c.upright()
	out := Quad([4]plane.Point{{X: -far, Y: -far}, {X: far, Y: -far}, {X: far, Y: far}, {X: -far, Y: far}})
	other := map[string]string{"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
	for i, s := range out {
		n := s.outward()
		if across := s.Name == "left" || s.Name == "right"; across && n.X*m.A < 0 != (s.Name == "left") || !across && n.Y*m.D < 0 != (s.Name == "bottom") {
			out[i].Name = other[s.Name]
		}
	}
	return out
}

// SideBand is a side of a body between two heights up its slope (mm).
func (c *Canvas) SideBand(s solid.Side, lo, hi float64, at diag.Span) Drawn {
	p := s.Band(lo, hi)
	f := s.Frame()
	if !(p[1].X > p[0].X && p[2].X > p[3].X) {
		Fail("P4001", at, "the side has run out of width where this band lies")
	}
	for i := range p {
		if math.Abs(c.Frame.Plane().Height(f.At(p[i]))) > 1e-6 {
			Fail("P4006", at, fmt.Sprintf("the band of side %d does not lie in this face's plane", s.Number()),
				"draw the face on that side, or draw it with rect, band(…), points or inside(BODY), which lie in any plane")
		}
	}
	d := Drawn{Region: plane.Region{LoopOf(p[:])}, Names: func() []Segment { return Quad(p) }}
	return d.Mapped(Between(f, c.Frame))
}

// Symmetric closes half an outline with its mirror image about u = 0. Points on the
// axis are kept once; arc clauses and names belong to the edge that leaves a point.
// A named edge comes twice, but for the one that crosses the axis.
func Symmetric(l *List) *List {
	n := len(l.Items)
	out := &List{Items: append([]Item(nil), l.Items...)}
	onAxis := func(i int) bool {
		p, ok := l.Items[i].V.(Pair)
		if !ok {
			Wrong(l.Items[i], l.Items[i].V, "point")
		}
		return math.Abs(p.X.V) < plane.Tol
	}
	for i := range out.Items {
		if i < n-1 || onAxis(i) {
			out.Items[i].Edges = copied(l.Items[i].Edges, "1")
		}
	}
	for i := n - 1; i >= 0; i-- {
		axis := onAxis(i)
		it := l.Items[i]
		it.V = mirrored(it.V.(Pair))
		it.Arc, it.Through, it.Edges = 0, nil, nil
		if i > 0 { // the mirrored edge runs from this point to the one before
			prev := l.Items[i-1]
			it.Arc, it.Edges = prev.Arc, copied(prev.Edges, "2")
			if prev.Through != nil {
				q := mirrored(*prev.Through)
				it.Through = &q
			}
		}
		if axis && i == n-1 { // the axis point at the turn starts the mirrored half
			turn := &out.Items[n-1]
			turn.Arc, turn.Through = it.Arc, it.Through
			if own := l.Items[i].Edges; n > 1 && len(own) > 0 { // it names that edge and so its image
				out.Items[n-2].Edges = append(out.Items[n-2].Edges, copied(own, "1")...)
				turn.Edges = copied(own, "2")
			} else {
				turn.Edges = nil
			}
			turn.Edges = append(turn.Edges, it.Edges...)
		}
		if axis && (i == 0 || i == n-1) {
			continue
		}
		out.Items = append(out.Items, it)
	}
	return out
}

func mirrored(p Pair) Pair { p.X.V = -p.X.V; return p }

// copied is the names as those of a copy.
func copied(names []EdgeName, copy string) []EdgeName {
	var out []EdgeName
	for _, n := range names {
		n.Copy = copy + "." + n.Copy
		out = append(out, n)
	}
	return out
}
