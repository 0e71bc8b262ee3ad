package brake

import (
	"math"

	"perch/parts/plane"
	"perch/parts/solid"
)

// parted is a lower bound on the distance between a convex polygon, moved, and a section;
// positive exactly where they share nothing: the widest gap along a normal of either.
func parted(hull []plane.Point, m rigid, s *section, moved []plane.Point) float64 {
	moved = moved[:0]
	for _, p := range hull {
		moved = append(moved, m.apply(p))
	}
	best := math.Inf(-1)
	for i, n := range s.normal {
		least := math.Inf(1)
		for _, p := range moved {
			least = min(least, n.Dot(p))
		}
		best = max(best, least-s.reach[i])
	}
	for i, p := range moved {
		e := moved[(i+1)%len(moved)].Sub(p)
		l := e.Len()
		if l < 1e-9 {
			continue
		}
		n := plane.Point{X: e.Y / l, Y: -e.X / l}
		least := math.Inf(1)
		for _, q := range s.poly {
			least = min(least, n.Dot(q))
		}
		best = max(best, least-n.Dot(p))
	}
	return best
}

// closest is a point of the convex hull of corners nearest to the origin, by the method of
// Gilbert, Johnson and Keerthi: what counts is the lower bound on the distance that comes
// with it, which is right whether or not the method has ended.
type closest struct {
	simplex [4]solid.Vec
	n       int
}

// apartBy is a lower bound on the distance between the convex hulls of two sets of corners,
// the second moved by m in the section's plane; not above 0 where they meet.
func apartBy(a, b []solid.Vec, m rigid) float64 {
	if len(a) == 0 || len(b) == 0 {
		return math.Inf(1)
	}
	const rounds = 40
	moved := func(v solid.Vec) solid.Vec {
		q := m.apply(plane.Point{X: v.X, Y: v.Z})
		return solid.Vec{X: q.X, Y: v.Y, Z: q.Y}
	}
	// The second set's support along a direction is found in its own place.
	support := func(d solid.Vec) solid.Vec {
		p := farthest(a, d.Neg())
		back := solid.Vec{X: float64(m.c*d.X) + float64(m.s*d.Z), Y: d.Y, Z: float64(m.c*d.Z) - float64(m.s*d.X)}
		q := farthest(b, back)
		return combine(1, p, -1, moved(q))
	}
	var c closest
	v := combine(1, a[0], -1, moved(b[0]))
	bound := math.Inf(-1)
	for range rounds {
		l := v.Len()
		if l < 1e-6 {
			return 0
		}
		w := support(v)
		bound = max(bound, v.Dot(w)/l)
		if l-bound < float64(1e-3*l)+1e-4 {
			return bound
		}
		if c.has(w) {
			return bound
		}
		c.simplex[c.n] = w
		c.n++
		var inside bool
		if v, inside = c.reduce(); inside {
			return 0
		}
	}
	return bound
}

func farthest(of []solid.Vec, d solid.Vec) solid.Vec {
	best, most := of[0], math.Inf(-1)
	for _, p := range of {
		if x := p.Dot(d); x > most {
			best, most = p, x
		}
	}
	return best
}

func (c *closest) has(w solid.Vec) bool {
	for _, s := range c.simplex[:c.n] {
		if s == w {
			return true
		}
	}
	return false
}

// reduce finds the simplex's point nearest to the origin and keeps the corners that it lies
// between. Every face is tried: that is plain, and no sign decides alone.
func (c *closest) reduce() (solid.Vec, bool) {
	best, at, keep := math.Inf(1), solid.Vec{}, 0
	for set := 1; set < 1<<c.n; set++ {
		p, ok := c.within(set)
		if !ok {
			continue
		}
		if l := p.Dot(p); l < best-1e-12 {
			best, at, keep = l, p, set
		}
	}
	n := 0
	for i := range c.n {
		if keep&(1<<i) != 0 {
			c.simplex[n] = c.simplex[i]
			n++
		}
	}
	c.n = n
	return at, n == 4 || best < 1e-12
}

// within is the point nearest to the origin of the flat through some corners, where it lies
// between them.
func (c *closest) within(set int) (solid.Vec, bool) {
	var q [4]solid.Vec
	n := 0
	for i := range c.n {
		if set&(1<<i) != 0 {
			q[n] = c.simplex[i]
			n++
		}
	}
	switch n {
	case 1:
		return q[0], true
	case 2:
		e := combine(1, q[1], -1, q[0])
		l := e.Dot(e)
		if l < 1e-18 {
			return solid.Vec{}, false
		}
		t := -q[0].Dot(e) / l
		return shift(q[0], t, e), t > 0 && t < 1
	case 3:
		return betweenThree(q[0], q[1], q[2])
	}
	return solid.Vec{}, holdsOrigin(q)
}

func betweenThree(a, b, c solid.Vec) (solid.Vec, bool) {
	n := combine(1, b, -1, a).Cross(combine(1, c, -1, a))
	l := n.Dot(n)
	if l < 1e-18 {
		return solid.Vec{}, false
	}
	p := n.Scale(a.Dot(n) / l)
	inside := func(x, y solid.Vec) bool { return combine(1, y, -1, x).Cross(combine(1, p, -1, x)).Dot(n) > 0 }
	return p, inside(a, b) && inside(b, c) && inside(c, a)
}

// holdsOrigin tells whether the origin lies inside a tetrahedron.
func holdsOrigin(q [4]solid.Vec) bool {
	for i := range q {
		a, b, c, d := q[i], q[(i+1)%4], q[(i+2)%4], q[(i+3)%4]
		n := combine(1, b, -1, a).Cross(combine(1, c, -1, a))
		side, origin := n.Dot(combine(1, d, -1, a)), -n.Dot(a)
		if !(side > 0 && origin > 0 || side < 0 && origin < 0) {
			return false
		}
	}
	return true
}
