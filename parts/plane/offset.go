package plane

import "math"

// Offset grows a region by d mm with round joins (d > 0) or shrinks it (d < 0).
// Arcs stay arcs. What becomes too thin vanishes, holes that close are gone.
//
// Every edge sweeps a strip on the side it moves to, every corner that opens a
// sector. The outline is run so that it adds each strip to the region's winding
// number (growing) or takes it off (shrinking): the result is where that number
// stays positive. An arc that would shrink past its centre sweeps up to it.
func Offset(r Region, d float64) Region { return offset(r, d, 0) }

// OffsetMiter is Offset with sharp joins where they reach no farther than limit
// times d from the corner; others are round. Joins at an arc follow its tangent.
func OffsetMiter(r Region, d, limit float64) Region { return offset(r, d, limit) }

func offset(r Region, d, miter float64) Region {
	if d == 0 || d-d != 0 {
		return Union(r, nil)
	}
	if d < 0 && len(r) == 1 && convexPolygon(r[0]) {
		return shrunk(r[0], -d)
	}
	var out Region
	for _, k := range looser {
		ar := newArrangement(k * Tol)
		o := offsetter{ar: ar, d: d, miter: miter}
		for _, l := range r {
			if len(l) > 1 && finite(l) {
				o.loop(l)
			}
		}
		var whole bool
		out, whole = ar.resolve(true, inAny)
		ar.free()
		if whole {
			break
		}
	}
	return out
}

type offsetter struct {
	ar       *arrangement
	d, miter float64
}

func (o *offsetter) loop(l Loop) {
	n := len(l)
	prev := l.Edge(n - 1)
	moved := o.edge(prev)
	first := len(o.ar.segs)
	for i := range l {
		e := l.Edge(i)
		if e.Chord() < Tol {
			continue
		}
		m := o.edge(e)
		o.corner(prev, e, moved.To, m.From)
		o.run(m)
		prev, moved = e, m
	}
	// The walk began at the last edge's moved end; a last edge too short to count
	// leaves that end open.
	if len(o.ar.segs) > first {
		if start := o.ar.segs[first].a; start != moved.To {
			o.run(Edge{From: moved.To, To: start})
		}
	}
}

func (o *offsetter) run(e Edge) {
	if e.From != e.To {
		o.ar.addEdge(e, 0)
	}
}

// edge moves an edge by d to its right.
func (o *offsetter) edge(e Edge) Edge {
	if math.Abs(e.Bulge)*e.Chord() < Tol {
		v := e.To.Sub(e.From).Unit().Perp().Scale(-o.d)
		return Edge{e.From.Add(v), e.To.Add(v), 0}
	}
	c, r := e.Center(), e.Radius()
	grown := r + o.d
	if e.Bulge < 0 {
		grown = r - o.d
	}
	if grown <= Tol {
		return Edge{c, c, 0}
	}
	k := grown / r
	return Edge{c.Add(e.From.Sub(c).Scale(k)), c.Add(e.To.Sub(c).Scale(k)), e.Bulge}
}

// corner joins the moved end p of e to the moved start q of f.
func (o *offsetter) corner(e, f Edge, p, q Point) {
	if p.Near(q, Tol) {
		o.run(Edge{p, q, 0})
		return
	}
	u, v := e.EndTangent(), f.StartTangent()
	turn, cos := u.Cross(v), u.Dot(v)
	at := f.From
	opens := (turn > 0) == (o.d > 0)
	if math.Abs(turn) < 1e-12 && cos < 0 {
		opens = true
	}
	if !opens {
		o.run(Edge{p, at, 0})
		o.run(Edge{at, q, 0})
		return
	}
	// Where an arc shrank to its centre its moved end is not d away: the sector
	// ends on the arc's normal all the same, and from there it is straight.
	if w := at.Add(u.Perp().Scale(-o.d)); !w.Near(p, Tol) {
		o.run(Edge{p, w, 0})
		p = w
	}
	if w := at.Add(v.Perp().Scale(-o.d)); !w.Near(q, Tol) {
		o.sector(p, w, u, v)
		o.run(Edge{w, q, 0})
		return
	}
	o.sector(p, q, u, v)
}

// sector runs from p to q about the corner between them, the edges' directions
// there being u and v.
func (o *offsetter) sector(p, q, u, v Point) {
	turn, cos := u.Cross(v), u.Dot(v)
	// tan(turn/4) from tan(turn/2) = |sin|/(1+cos)
	half := math.Abs(turn) / (1 + cos)
	if cos <= -1+1e-15 {
		half = math.Inf(1)
	}
	sec := math.Sqrt(1 + float64(half*half))
	if o.miter > 0 && sec <= o.miter {
		x := p.Add(u.Scale(half * math.Abs(o.d)))
		o.run(Edge{p, x, 0})
		o.run(Edge{x, q, 0})
		return
	}
	b := 1.0
	if !math.IsInf(half, 1) {
		b = half / (1 + sec)
	}
	if o.d < 0 {
		b = -b
	}
	o.run(Edge{p, q, b})
}

// Across is the diameter of the largest circle that the region holds, to 0.005 mm.
func (r Region) Across() float64 {
	s := r.Bounds().Size()
	lo, hi := 0.0, min(s.X, s.Y)/2
	for hi-lo > 0.005 {
		mid := (lo + hi) / 2
		if len(Offset(r, -mid)) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + hi
}
