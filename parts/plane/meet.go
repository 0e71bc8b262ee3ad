package plane

import "math"

// meet records where segs i and j touch or cross. An end of one within tol of
// the other splits the other at that very vertex; crossings make new vertices.
func (ar *arrangement) meet(i, j int32) {
	s, t := &ar.segs[i], &ar.segs[j]
	if s.bulge == 0 && t.bulge == 0 && (apart(s, t, ar.tol) || apart(t, s, ar.tol)) {
		return
	}
	var touch [4]int32
	n := 0
	for _, v := range [2]int32{t.from, t.to} {
		if v == s.from || v == s.to || ar.touch(i, v) {
			touch[n] = v
			n++
		}
	}
	for _, v := range [2]int32{s.from, s.to} {
		if v != t.from && v != t.to && ar.touch(j, v) {
			touch[n] = v
			n++
		}
	}
	if s.bulge == 0 && t.bulge == 0 {
		if n == 0 {
			ar.crossLines(i, j)
		}
		return
	}
	var xs [2]Point
	var m int
	switch {
	case s.bulge == 0:
		m = crossLineArc(s, t, ar.tol, &xs)
	case t.bulge == 0:
		m = crossLineArc(t, s, ar.tol, &xs)
	default:
		m = crossArcs(s, t, ar.tol, &xs)
	}
next:
	for _, x := range xs[:m] {
		if !s.spans(x) || !t.spans(x) {
			continue
		}
		for _, v := range touch[:n] {
			if ar.together(s, t, x, ar.pts[v]) {
				continue next
			}
		}
		ar.split(i, j, ar.vertex(x))
	}
}

// apart tells whether both ends of t lie beyond tol on one side of the line s.
func apart(s, t *seg, tol float64) bool {
	d := s.b.Sub(s.a)
	x, y := d.Cross(t.a.Sub(s.a)), d.Cross(t.b.Sub(s.a))
	if (x > 0) != (y > 0) {
		return false
	}
	lim := 4 * tol * tol * d.Dot(d)
	return x*x > lim && y*y > lim
}

// touch splits seg i at vertex v if v lies within tol of its inside.
func (ar *arrangement) touch(i, v int32) bool {
	s, p := &ar.segs[i], ar.pts[v]
	if !s.box.Grow(ar.tol).Holds(p) || !s.near(p, ar.tol) {
		return false
	}
	ar.splits = append(ar.splits, split{seg: i, vertex: v})
	return true
}

// near tells whether p lies within tol of the edge's inside.
func (s *seg) near(p Point, tol float64) bool {
	if !s.spans(p) {
		return false
	}
	if s.bulge == 0 {
		d := s.b.Sub(s.a)
		x := d.Cross(p.Sub(s.a))
		return x*x <= tol*tol*d.Dot(d)
	}
	return math.Abs(p.Dist(s.c)-s.r) <= tol
}

// spans tells whether p, known to lie on the line or circle of the edge, lies
// between its ends.
func (s *seg) spans(p Point) bool {
	d := s.b.Sub(s.a)
	if s.bulge == 0 {
		return d.Dot(p.Sub(s.a)) > 0 && d.Dot(p.Sub(s.b)) < 0
	}
	// An arc of up to half a turn is the part of its circle on one side of the chord.
	o := Orient(s.a, s.b, p)
	return o != 0 && (o < 0) == (s.bulge > 0)
}

func (ar *arrangement) split(i, j, v int32) {
	if s := &ar.segs[i]; v != s.from && v != s.to {
		ar.splits = append(ar.splits, split{seg: i, vertex: v})
	}
	if t := &ar.segs[j]; v != t.from && v != t.to {
		ar.splits = append(ar.splits, split{seg: j, vertex: v})
	}
}

// crossLines splits two straight segs where they properly cross.
func (ar *arrangement) crossLines(i, j int32) {
	s, t := &ar.segs[i], &ar.segs[j]
	if Orient(s.a, s.b, t.a)*Orient(s.a, s.b, t.b) >= 0 || Orient(t.a, t.b, s.a)*Orient(t.a, t.b, s.b) >= 0 {
		return
	}
	ar.split(i, j, ar.vertex(lineCrossing(s.a, s.b, t.a, t.b)))
}

// lineCrossing is where segment ab, known to cross cd, does so.
func lineCrossing(a, b, c, d Point) Point {
	u, v := b.Sub(a), d.Sub(c)
	k := c.Sub(a).Cross(v) / u.Cross(v)
	if !(k >= 0 && k <= 1) {
		k = 0.5 // only for lines parallel to the last bit
	}
	return a.Lerp(b, k)
}

// crossLineArc finds where the line of s meets the circle of t; a line within
// tol of being tangent touches once.
func crossLineArc(s, t *seg, tol float64, xs *[2]Point) int {
	u := s.b.Sub(s.a).Unit()
	foot := s.a.Add(u.Scale(u.Dot(t.c.Sub(s.a))))
	h := math.Abs(u.Cross(t.c.Sub(s.a)))
	switch {
	case h > t.r+tol:
		return 0
	case h >= t.r-tol:
		xs[0] = foot
		return 1
	}
	w := math.Sqrt((t.r - h) * (t.r + h))
	xs[0], xs[1] = foot.Sub(u.Scale(w)), foot.Add(u.Scale(w))
	return 2
}

// crossArcs finds where the circles of s and t meet: none for one and the same
// circle, one where they are tangent within tol.
func crossArcs(s, t *seg, tol float64, xs *[2]Point) int {
	v := t.c.Sub(s.c)
	d := v.Len()
	if d > s.r+t.r+tol || d < math.Abs(s.r-t.r)-tol || (d <= tol && math.Abs(s.r-t.r) <= tol) {
		return 0
	}
	u := v.Scale(1 / d)
	if d >= s.r+t.r-tol {
		xs[0] = s.c.Add(u.Scale(s.r))
		return 1
	}
	if d <= math.Abs(s.r-t.r)+tol {
		if s.r < t.r {
			u = u.Neg()
		}
		xs[0] = s.c.Add(u.Scale(s.r))
		return 1
	}
	a := float64((d + float64((s.r-t.r)*(s.r+t.r))/d) / 2)
	h := math.Sqrt(math.Max((s.r-a)*(s.r+a), 0))
	foot, n := s.c.Add(u.Scale(a)), u.Perp().Scale(h)
	xs[0], xs[1] = foot.Sub(n), foot.Add(n)
	return 2
}

// together tells whether s and t run within tol of each other from x to v, so
// that a touch at v already stands for a crossing at x.
func (ar *arrangement) together(s, t *seg, x, v Point) bool {
	m := x.Lerp(v, 0.5)
	if s.bulge != 0 && t.bulge != 0 {
		m = s.c.Add(m.Sub(s.c).Unit().Scale(s.r))
	} else if t.bulge == 0 {
		t = s
	}
	return math.Abs(m.Dist(t.c)-t.r) <= ar.tol
}
