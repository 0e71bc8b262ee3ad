package plane

import (
	"cmp"
	"math"
	"slices"
	"sync"
)

// Clip is the part of r in the half-plane. It cuts each edge once where it passes
// the line and closes the outline along it, so it costs little more than a look
// at every edge; vertices within Tol of the line count as on it and stay as they are.
func Clip(r Region, h HalfPlane) Region {
	c := clippers.Get().(*clipper)
	defer clippers.Put(c)
	ar := newArrangement(Tol)
	defer ar.free()
	*c = clipper{ar: ar, h: h, along: h.N.Perp(), ends: c.ends[:0], work: c.work}
	for _, l := range r {
		if len(l) > 1 && finite(l) {
			c.loop(l)
		}
	}
	if len(c.ends) == 0 && len(ar.pieces) == 0 {
		return c.out
	}
	c.close()
	rest, whole := ar.stitch()
	if !whole {
		return Intersect(r, Region{h.box(r.Bounds())})
	}
	return append(c.out, rest...)
}

// box is a rectangle that covers the half-plane as far as bounds reach.
func (h HalfPlane) box(b Box) Loop {
	mid := b.Center()
	size := 2*b.Size().Len() + math.Abs(h.Dist(mid)) + 1
	on := mid.Sub(h.N.Scale(h.N.Dot(mid) - h.D))
	u := h.N.Perp().Scale(size)
	back := h.N.Scale(-size)
	p, q := on.Sub(u), on.Add(u)
	return Loop{{P: p}, {P: q}, {P: q.Add(back)}, {P: p.Add(back)}}
}

// Dist is how far p lies outside the half-plane, negative inside.
func (h HalfPlane) Dist(p Point) float64 { return h.N.Dot(p) - h.D }

var clippers = sync.Pool{New: func() any { return new(clipper) }}

type clipper struct {
	ar    *arrangement
	h     HalfPlane
	along Point // along the line, the kept side on its left
	ends  []lineEnd
	work  []clipped
	out   Region
}

// lineEnd is where an outline leaves the half-plane (+1) or comes back (−1).
type lineEnd struct {
	t    float64
	v    int32
	step int
}

// clipped is a stretch of an edge on one side of the line.
type clipped struct {
	Edge
	keep bool
}

// side is Dist with 0 for points on the line.
func (c *clipper) side(p Point) float64 {
	if d := c.h.Dist(p); math.Abs(d) > Tol {
		return d
	}
	return 0
}

func (c *clipper) loop(l Loop) {
	switch lo, hi := c.reach(l); {
	case lo > Tol:
		return
	case hi < -Tol:
		c.out = append(c.out, l.Clone())
		return
	}
	c.work = c.work[:0]
	all, none := true, true
	for i := range l {
		c.edge(l.Edge(i))
	}
	for i := range c.work {
		all = all && c.work[i].keep
		none = none && !c.work[i].keep
	}
	switch {
	case none:
		return
	case all:
		c.out = append(c.out, l.Clone())
		return
	}
	for i := range c.work {
		w, prev := &c.work[i], &c.work[(i+len(c.work)-1)%len(c.work)]
		p := c.ar.vertex(w.From)
		if w.keep != prev.keep {
			step := 1
			if w.keep {
				step = -1
			}
			c.ends = append(c.ends, lineEnd{c.along.Dot(c.ar.pts[p]), p, step})
		}
		if w.keep {
			c.ar.addPiece(p, c.ar.vertex(w.To), w.Bulge)
		}
	}
}

func (ar *arrangement) addPiece(p, q int32, bulge float64) {
	if p != q {
		ar.pieces = append(ar.pieces, piece{p: p, q: q, seg: -1, bulge: bulge})
	}
}

// edge cuts an edge at the line.
func (c *clipper) edge(e Edge) {
	a, b := c.side(e.From), c.side(e.To)
	if e.Bulge == 0 {
		c.straight(e, a, b)
		return
	}
	var s seg
	if s.set(e); s.bulge == 0 {
		c.straight(e, a, b)
		return
	}
	off := c.h.Dist(s.c)
	if math.Abs(off) >= s.r-Tol {
		c.stretch(e)
		return
	}
	foot := s.c.Sub(c.h.N.Scale(off))
	w := c.along.Scale(math.Sqrt((s.r - off) * (s.r + off)))
	xs := [2]Point{foot.Sub(w), foot.Add(w)}
	if xs[0].Dist(e.From) > xs[1].Dist(e.From) {
		xs[0], xs[1] = xs[1], xs[0]
	}
	at := e.From
	for _, x := range xs {
		if s.spans(x) && !x.Near(e.From, Tol) && !x.Near(e.To, Tol) {
			c.stretch(Edge{at, x, bulgeAbout(at, x, s.c, s.r, s.bulge > 0)})
			at = x
		}
	}
	if at != e.From {
		e = Edge{at, e.To, bulgeAbout(at, e.To, s.c, s.r, s.bulge > 0)}
	}
	c.stretch(e)
}

// straight cuts a straight edge whose ends lie a and b outside the line.
func (c *clipper) straight(e Edge, a, b float64) {
	if a*b < 0 {
		x := e.From.Lerp(e.To, a/(a-b))
		c.stretch(Edge{e.From, x, 0})
		c.stretch(Edge{x, e.To, 0})
		return
	}
	c.stretch(e)
}

// reach is at least how far a loop lies outside the line, from least to most.
func (c *clipper) reach(l Loop) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range l {
		d := c.h.Dist(l[i].P)
		lo, hi = min(lo, d), max(hi, d)
		if l[i].Bulge != 0 {
			e := l.Edge(i)
			w, bow := c.h.Dist(e.To), e.bow()
			lo, hi = min(lo, d-bow, w-bow), max(hi, d+bow, w+bow)
		}
	}
	return lo, hi
}

// stretch takes an edge that does not pass the line.
func (c *clipper) stretch(e Edge) {
	side := c.side(e.Mid())
	for _, p := range [2]Point{e.From, e.To} {
		if d := c.side(p); math.Abs(d) > math.Abs(side) && (side == 0 || e.Bulge == 0) {
			side = d
		}
	}
	keep := side < 0
	if side == 0 {
		// Along the line: it bounds the result if the inside lies on the kept side.
		keep = e.To.Sub(e.From).Dot(c.along) > 0
	}
	c.work = append(c.work, clipped{e, keep})
}

// close runs along the line from where outlines leave to where they come back.
func (c *clipper) close() {
	slices.SortFunc(c.ends, func(x, y lineEnd) int {
		if x.t != y.t {
			return cmp.Compare(x.t, y.t)
		}
		return cmp.Compare(x.v, y.v)
	})
	depth := 0
	for i := 0; i+1 < len(c.ends); i++ {
		if depth += c.ends[i].step; depth > 0 {
			c.ar.addPiece(c.ends[i].v, c.ends[i+1].v, 0)
		}
	}
}
