package brake

import (
	"math"

	"perch/parts/plane"
)

// profile is a convex polygon by its two sides, each from the lowest corner up to the highest.
type profile struct{ left, right []plane.Point }

func profileOf(poly []plane.Point) profile {
	var p profile
	p.of(poly)
	return p
}

// of takes the sides of a polygon, anticlockwise, into the room that there is.
func (s *profile) of(poly []plane.Point) {
	n := len(poly)
	right, left, top := 0, 0, math.Inf(-1) // the lowest corner at the right, at the left
	for i, p := range poly {
		low := poly[right].Y
		if p.Y < low || p.Y == low && p.X > poly[right].X {
			right = i
		}
		if p.Y < low || p.Y == low && p.X < poly[left].X {
			left = i
		}
		top = max(top, p.Y)
	}
	s.right, s.left = s.right[:0], s.left[:0]
	for k := range n {
		p := poly[(right+k)%n]
		s.right = append(s.right, p)
		if p.Y == top {
			break
		}
	}
	for k := range n {
		p := poly[(left+n-k)%n]
		s.left = append(s.left, p)
		if p.Y == top {
			break
		}
	}
}

// shifts are the shifts along x at which one convex polygon meets another that is raised,
// within the heights that they share.
func shifts(a, b *profile, up, lo, hi float64) (Span, bool) {
	if lo >= hi {
		return Span{}, false
	}
	out := Span{least(b.left, up, a.right, 0, lo, hi), -least(a.left, 0, b.right, up, lo, hi)}
	return out, out.From < out.To
}

// least is by how much, at least, one chain of lines lies right of another, each raised, between two
// heights: at one of them or at a corner.
func least(p []plane.Point, pUp float64, q []plane.Point, qUp, lo, hi float64) float64 {
	i, j := 0, 0
	z, out := lo, math.Inf(1)
	for {
		for i+1 < len(p) && p[i+1].Y+pUp <= z {
			i++
		}
		for j+1 < len(q) && q[j+1].Y+qUp <= z {
			j++
		}
		out = min(out, across(p, i, z-pUp)-across(q, j, z-qUp))
		if z >= hi {
			return out
		}
		next := hi
		if i+1 < len(p) {
			next = min(next, p[i+1].Y+pUp)
		}
		if j+1 < len(q) {
			next = min(next, q[j+1].Y+qUp)
		}
		z = next
	}
}

// across is where a chain lies at a height that its line behind corner i comes to.
func across(p []plane.Point, i int, z float64) float64 {
	a := p[i]
	if i+1 == len(p) {
		return a.X
	}
	b := p[i+1]
	k := min(max((z-a.Y)/(b.Y-a.Y), 0), 1)
	return a.X + float64(k*(b.X-a.X))
}

func heights(p []plane.Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, q := range p {
		lo, hi = min(lo, q.Y), max(hi, q.Y)
	}
	return lo, hi
}
