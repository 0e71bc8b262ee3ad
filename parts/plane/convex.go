package plane

import (
	"math"
	"slices"
)

// ConvexParts cuts a polygon with holes into convex polygons, counter-clockwise:
// holes are bridged to the outline, ears are clipped, and triangles are merged
// while they stay convex (Hertel and Mehlhorn). outer runs counter-clockwise,
// holes clockwise; none crosses itself or another. A polygon that cannot be cut so
// (it crosses itself) gives back what ears were found, which is less than it.
func ConvexParts(outer []Point, holes [][]Point) [][]Point {
	ring := bridge(outer, holes)
	if len(holes) == 0 && Convex(ring) {
		return [][]Point{slices.Clone(ring)}
	}
	return merge(clipEars(ring))
}

// Convex tells whether a polygon never turns clockwise.
func Convex(p []Point) bool {
	for i := range p {
		if turned(p[i], p[(i+1)%len(p)], p[(i+2)%len(p)]) < 0 {
			return false
		}
	}
	return len(p) >= 3
}

// turned is twice the area of the triangle a, b, c; positive counter-clockwise.
func turned(a, b, c Point) float64 { return b.Sub(a).Cross(c.Sub(a)) }

// bridge joins the holes to the outline, rightmost first, each by a double edge
// from its rightmost vertex to a vertex it sees.
func bridge(outer []Point, holes [][]Point) []Point {
	ring := slices.Clone(outer)
	right := func(h []Point) int {
		k := 0
		for i, p := range h {
			if p.X > h[k].X {
				k = i
			}
		}
		return k
	}
	hs := slices.Clone(holes)
	slices.SortStableFunc(hs, func(a, b []Point) int {
		x, y := a[right(a)].X, b[right(b)].X
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	for hi, h := range hs {
		k := right(h)
		v := seen(h[k], ring, hs[hi:])
		if v < 0 {
			continue
		}
		joined := make([]Point, 0, len(ring)+len(h)+2)
		joined = append(joined, ring[:v+1]...)
		joined = append(joined, h[k:]...)
		joined = append(joined, h[:k+1]...)
		joined = append(joined, ring[v:]...)
		ring = joined
	}
	return ring
}

// seen is the nearest vertex of ring that p sees past ring and holes, −1 for none.
func seen(p Point, ring []Point, holes [][]Point) int {
	order := make([]int, len(ring))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := p.Dist(ring[a]), p.Dist(ring[b])
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	blocked := func(q Point, poly []Point) bool {
		for i := range poly {
			a, b := poly[i], poly[(i+1)%len(poly)]
			if a == q || b == q || a == p || b == p {
				continue
			}
			if Orient(p, q, a)*Orient(p, q, b) <= 0 && Orient(a, b, p)*Orient(a, b, q) <= 0 {
				return true
			}
		}
		return false
	}
	for _, v := range order {
		q := ring[v]
		if !inWedge(ring, v, p) || blocked(q, ring) {
			continue
		}
		if !slices.ContainsFunc(holes, func(h []Point) bool { return blocked(q, h) }) {
			return v
		}
	}
	return -1
}

// inWedge tells whether p lies in the inside angle of ring at vertex v.
func inWedge(ring []Point, v int, p Point) bool {
	n := len(ring)
	a, b, c := ring[(v+n-1)%n], ring[v], ring[(v+1)%n]
	l, r := Orient(a, b, p), Orient(b, c, p)
	if Orient(a, b, c) >= 0 {
		return l >= 0 && r >= 0
	}
	return l > 0 || r > 0
}

// clipEars cuts a ring, which may touch itself along bridges, into triangles of
// indices into the returned points.
func clipEars(ring []Point) ([]Point, [][]int) {
	idx := make([]int, len(ring))
	for i := range idx {
		idx[i] = i
	}
	var out [][]int
	for len(idx) > 3 {
		best, quality := -1, math.Inf(-1)
		for i := range idx {
			if q, ok := ear(ring, idx, i); ok && q > quality {
				best, quality = i, q
			}
		}
		if best < 0 {
			// Only flat or touching corners are left: drop the flattest.
			best = flattest(ring, idx)
			idx = slices.Delete(idx, best, best+1)
			continue
		}
		n := len(idx)
		out = append(out, []int{idx[(best+n-1)%n], idx[best], idx[(best+1)%n]})
		idx = slices.Delete(idx, best, best+1)
	}
	if len(idx) == 3 && turned(ring[idx[0]], ring[idx[1]], ring[idx[2]]) > 0 {
		out = append(out, slices.Clone(idx))
	}
	return ring, out
}

// ear tells whether corner i of what is left can be cut off, and how good the
// triangle is: its height over its longest side.
func ear(ring []Point, idx []int, i int) (float64, bool) {
	n := len(idx)
	a, b, c := ring[idx[(i+n-1)%n]], ring[idx[i]], ring[idx[(i+1)%n]]
	area := turned(a, b, c)
	if area <= 0 {
		return 0, false
	}
	for _, k := range idx {
		p := ring[k]
		if p == a || p == b || p == c {
			continue
		}
		if turned(a, b, p) >= 0 && turned(b, c, p) >= 0 && turned(c, a, p) >= 0 {
			return 0, false
		}
	}
	long := max(a.Dist(b), b.Dist(c), c.Dist(a))
	return area / float64(long*long), true
}

func flattest(ring []Point, idx []int) int {
	n, best, least := len(idx), 0, math.Inf(1)
	for i := range idx {
		if t := math.Abs(turned(ring[idx[(i+n-1)%n]], ring[idx[i]], ring[idx[(i+1)%n]])); t < least {
			best, least = i, t
		}
	}
	return best
}

// merge joins polygons over shared edges while the union stays convex, longest
// shared edge first.
func merge(pts []Point, polys [][]int) [][]Point {
	for {
		bi, bj, long := -1, -1, 0.0
		var joined []int
		for i := range polys {
			for j := i + 1; j < len(polys); j++ {
				u, l := fuse(pts, polys[i], polys[j])
				if u != nil && l > long {
					bi, bj, long, joined = i, j, l, u
				}
			}
		}
		if bi < 0 {
			break
		}
		polys[bi] = joined
		polys = slices.Delete(polys, bj, bj+1)
	}
	out := make([][]Point, 0, len(polys))
	for _, p := range polys {
		l := make([]Point, len(p))
		for i, k := range p {
			l[i] = pts[k]
		}
		out = append(out, l)
	}
	return out
}

// fuse is the union of two polygons over a shared edge and that edge's length; nil
// when they share none or the union is not convex.
func fuse(pts []Point, p, q []int) ([]int, float64) {
	same := func(a, b int) bool { return pts[a] == pts[b] }
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		for j := range q {
			if !same(q[j], b) || !same(q[(j+1)%len(q)], a) {
				continue
			}
			u := make([]int, 0, len(p)+len(q)-2)
			for k := 1; k < len(p); k++ {
				u = append(u, p[(i+k)%len(p)])
			}
			u = append(u, a)
			for k := 2; k < len(q); k++ {
				u = append(u, q[(j+k)%len(q)])
			}
			for k := range u {
				if turned(pts[u[k]], pts[u[(k+1)%len(u)]], pts[u[(k+2)%len(u)]]) < 0 {
					return nil, 0
				}
			}
			return u, pts[a].Dist(pts[b])
		}
	}
	return nil, 0
}
