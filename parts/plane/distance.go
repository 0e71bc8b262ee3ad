package plane

import "math"

// Distance is the least distance between the edges of a and of b and where it
// is: 0 where edges cross or touch, the width of the web where one lies within
// the other, +Inf when either is empty.
func Distance(a, b Region) (d float64, onA, onB Point) {
	ar := newArrangement(Tol) // for the room of its segs
	defer ar.free()
	for _, l := range a {
		ar.add(l, 0)
	}
	n := len(ar.segs)
	for _, l := range b {
		ar.add(l, 1)
	}
	return least(ar.segs[:n], ar.segs[n:])
}

// EdgeDistance is the least distance between edges of a and of b; +Inf when there are none.
func EdgeDistance(a, b []Edge) float64 {
	ar := newArrangement(Tol)
	defer ar.free()
	for _, e := range a {
		ar.addEdge(e, 0)
	}
	for _, e := range b {
		ar.addEdge(e, 1)
	}
	d, _, _ := least(ar.segs[:len(a)], ar.segs[len(a):])
	return d
}

func least(ea, eb []seg) (d float64, onA, onB Point) {
	d = math.Inf(1)
	for i := range ea {
		for j := range eb {
			if ea[i].box.gap(eb[j].box) >= d {
				continue
			}
			if t, p, q := segDistance(&ea[i], &eb[j]); t < d {
				if d, onA, onB = t, p, q; d == 0 {
					return d, onA, onB
				}
			}
		}
	}
	return d, onA, onB
}

// gap is the distance between two boxes.
func (b Box) gap(c Box) float64 {
	dx := max(b.Min.X-c.Max.X, c.Min.X-b.Max.X, 0)
	dy := max(b.Min.Y-c.Max.Y, c.Min.Y-b.Max.Y, 0)
	return Point{dx, dy}.Len()
}

// Distance is the least distance between two edges and the points where it is.
func (e Edge) Distance(f Edge) (d float64, onE, onF Point) {
	var s, t seg
	s.set(e)
	t.set(f)
	return segDistance(&s, &t)
}

func segDistance(s, t *seg) (d float64, onS, onT Point) {
	e, f := Edge{s.a, s.b, s.bulge}, Edge{t.a, t.b, t.bulge}
	if x, ok := crossing(s, t); ok {
		return 0, x, x
	}
	d = math.Inf(1)
	try := func(p, q Point) {
		if k := p.Dist(q); k < d {
			d, onS, onT = k, p, q
		}
	}
	try(s.a, f.Nearest(s.a))
	try(s.b, f.Nearest(s.b))
	try(e.Nearest(t.a), t.a)
	try(e.Nearest(t.b), t.b)
	// Between insides the shortest way is square to both: it runs through the centres.
	if t.bulge != 0 {
		p := e.Nearest(t.c)
		try(p, f.Nearest(p))
	}
	if s.bulge != 0 {
		q := f.Nearest(s.c)
		try(e.Nearest(q), q)
	}
	if s.bulge != 0 && t.bulge != 0 {
		u := t.c.Sub(s.c).Unit().Scale(s.r)
		for _, p := range [2]Point{s.c.Add(u), s.c.Sub(u)} {
			if s.spans(p) {
				try(p, f.Nearest(p))
			}
		}
	}
	return d, onS, onT
}

// crossing is a point where two edges properly cross.
func crossing(s, t *seg) (Point, bool) {
	if s.bulge == 0 && t.bulge == 0 {
		if Orient(s.a, s.b, t.a)*Orient(s.a, s.b, t.b) >= 0 || Orient(t.a, t.b, s.a)*Orient(t.a, t.b, s.b) >= 0 {
			return Point{}, false
		}
		return lineCrossing(s.a, s.b, t.a, t.b), true
	}
	var xs [2]Point
	var n int
	switch {
	case s.bulge == 0:
		n = crossLineArc(s, t, 0, &xs)
	case t.bulge == 0:
		n = crossLineArc(t, s, 0, &xs)
	default:
		n = crossArcs(s, t, 0, &xs)
	}
	for _, x := range xs[:n] {
		if s.spans(x) && t.spans(x) {
			return x, true
		}
	}
	return Point{}, false
}
