package mesh

import (
	"math"

	"perch/parts/plane"
)

// triangle is one of a triangulation, counter-clockwise. near[i] is the one across from
// corner i, −1 for none, and edge[i] what the edge between them is.
type triangle struct {
	v      [3]int32
	near   [3]int32
	edge   [3]uint8
	inside bool
}

type triangulation struct {
	points    []plane.Point
	triangles []triangle
	last      int32 // where the last point lay, near to which the next one may
	stack     []half
	changed   []int32 // triangles that were made or turned, for refinement
	corner    []int32 // by point: a triangle that had it as a corner
	given     int     // points that were there before refinement
}

// half is an edge as one triangle has it.
type half struct {
	t int32
	e int
}

// newTriangulation starts with one triangle far around a box.
func newTriangulation(box plane.Box) *triangulation {
	c, s := box.Center(), box.Size()
	r := float64(20 * (math.Max(s.X, s.Y) + 1))
	t := &triangulation{points: []plane.Point{
		{X: c.X - float64(2*r), Y: c.Y - r}, {X: c.X + float64(2*r), Y: c.Y - r}, {X: c.X, Y: c.Y + float64(2*r)}}}
	t.triangles = []triangle{{v: [3]int32{0, 1, 2}, near: [3]int32{-1, -1, -1}}}
	return t
}

// locate walks to the triangle that holds a point; edge is the one that it lies on, −1 for
// none, and at the corner that it is, −1 for none.
func (t *triangulation) locate(p plane.Point) (tri int32, edge, at int) {
	tri = t.last
	for range 2 * (len(t.triangles) + 8) {
		c := &t.triangles[tri]
		edge, at = -1, -1
		next := int32(-1)
		on := 0
		for i := range 3 {
			switch o := plane.Orient(t.points[c.v[(i+1)%3]], t.points[c.v[(i+2)%3]], p); {
			case o < 0 && next < 0:
				next = c.near[i]
			case o == 0:
				on++
				edge = i
			}
		}
		if next < 0 {
			if on == 2 {
				for i := range 3 {
					if t.points[c.v[i]] == p {
						at = i
					}
				}
			}
			t.last = tri
			return tri, edge, at
		}
		tri = next
	}
	return -1, -1, -1
}

// insert adds a point and keeps the triangulation Delaunay but for its fixed edges.
func (t *triangulation) insert(p plane.Point) int32 {
	tri, edge, at := t.locate(p)
	if tri < 0 {
		return -1
	}
	if at >= 0 {
		return t.triangles[tri].v[at]
	}
	t.points = append(t.points, p)
	n := int32(len(t.points) - 1)
	if edge >= 0 {
		t.splitEdge(tri, edge, n)
	} else {
		t.splitFace(tri, n)
	}
	t.legalize()
	return n
}

// relink has the neighbour of a half edge know its new triangle.
func (t *triangulation) relink(near, from, to int32) {
	if near < 0 {
		return
	}
	c := &t.triangles[near]
	for i := range 3 {
		if c.near[i] == from {
			c.near[i] = to
			return
		}
	}
}

func (t *triangulation) splitFace(tri, n int32) {
	c := t.triangles[tri]
	b, d := int32(len(t.triangles)), int32(len(t.triangles)+1)
	t.triangles = append(t.triangles,
		triangle{v: [3]int32{n, c.v[1], c.v[2]}, near: [3]int32{c.near[0], d, tri}, edge: [3]uint8{c.edge[0], free, free}, inside: c.inside},
		triangle{v: [3]int32{n, c.v[2], c.v[0]}, near: [3]int32{c.near[1], tri, b}, edge: [3]uint8{c.edge[1], free, free}, inside: c.inside})
	t.triangles[tri] = triangle{v: [3]int32{n, c.v[0], c.v[1]}, near: [3]int32{c.near[2], b, d}, edge: [3]uint8{c.edge[2], free, free}, inside: c.inside}
	t.relink(c.near[0], tri, b)
	t.relink(c.near[1], tri, d)
	t.stack = append(t.stack, half{tri, 0}, half{b, 0}, half{d, 0})
	t.changed = append(t.changed, tri, b, d)
}

// splitEdge puts n on edge e of a triangle: the two beside it become four.
func (t *triangulation) splitEdge(tri int32, e int, n int32) {
	c := t.triangles[tri]
	a, p, q := c.v[e], c.v[(e+1)%3], c.v[(e+2)%3]
	other := c.near[e]
	kind := c.edge[e]
	k := int32(len(t.triangles))
	// tri becomes a, p, n; k is a, n, q.
	t.triangles = append(t.triangles, triangle{v: [3]int32{a, n, q}, near: [3]int32{-1, c.near[(e+1)%3], tri}, edge: [3]uint8{kind, c.edge[(e+1)%3], free}, inside: c.inside})
	t.triangles[tri] = triangle{v: [3]int32{a, p, n}, near: [3]int32{-1, k, c.near[(e+2)%3]}, edge: [3]uint8{kind, free, c.edge[(e+2)%3]}, inside: c.inside}
	t.relink(c.near[(e+1)%3], tri, k)
	t.stack = append(t.stack, half{tri, 2}, half{k, 1})
	t.changed = append(t.changed, tri, k)
	if other < 0 {
		return
	}
	o := t.triangles[other]
	f := 0
	for o.near[f] != tri {
		f++
	}
	b := o.v[f] // o is b, q, p
	m := int32(len(t.triangles))
	// other becomes b, q, n; m is b, n, p.
	t.triangles = append(t.triangles, triangle{v: [3]int32{b, n, p}, near: [3]int32{tri, o.near[(f+1)%3], other}, edge: [3]uint8{kind, o.edge[(f+1)%3], free}, inside: o.inside})
	t.triangles[other] = triangle{v: [3]int32{b, q, n}, near: [3]int32{k, m, o.near[(f+2)%3]}, edge: [3]uint8{kind, free, o.edge[(f+2)%3]}, inside: o.inside}
	t.relink(o.near[(f+1)%3], other, m)
	t.triangles[tri].near[0] = m
	t.triangles[k].near[0] = other
	t.stack = append(t.stack, half{other, 2}, half{m, 1})
	t.changed = append(t.changed, other, m)
}

// legalize turns edges until each free one among those waiting is Delaunay.
func (t *triangulation) legalize() {
	for len(t.stack) > 0 {
		h := t.stack[len(t.stack)-1]
		t.stack = t.stack[:len(t.stack)-1]
		c := &t.triangles[h.t]
		o := c.near[h.e]
		if o < 0 || c.edge[h.e] != free {
			continue
		}
		f := t.across(o, h.t)
		d := t.triangles[o].v[f]
		if within(t.points[c.v[0]], t.points[c.v[1]], t.points[c.v[2]], t.points[d]) {
			t.turn(h.t, h.e, o, f)
			t.stack = append(t.stack, half{h.t, 0}, half{h.t, 1}, half{h.t, 2}, half{o, 0}, half{o, 1}, half{o, 2})
		}
	}
}

func (t *triangulation) across(o, tri int32) int {
	for f, n := range t.triangles[o].near {
		if n == tri {
			return f
		}
	}
	panic("mesh: neighbours that do not know each other")
}

// turn makes the edge between two triangles run across the other way.
func (t *triangulation) turn(a int32, e int, b int32, f int) {
	x, y := t.triangles[a], t.triangles[b]
	p, q, r, s := x.v[e], x.v[(e+1)%3], x.v[(e+2)%3], y.v[f] // x is p q r, y is s r q
	t.triangles[a] = triangle{v: [3]int32{p, q, s}, near: [3]int32{y.near[(f+1)%3], b, x.near[(e+2)%3]},
		edge: [3]uint8{y.edge[(f+1)%3], free, x.edge[(e+2)%3]}, inside: x.inside}
	t.triangles[b] = triangle{v: [3]int32{s, r, p}, near: [3]int32{x.near[(e+1)%3], a, y.near[(f+2)%3]},
		edge: [3]uint8{x.edge[(e+1)%3], free, y.edge[(f+2)%3]}, inside: y.inside}
	t.relink(y.near[(f+1)%3], b, a)
	t.relink(x.near[(e+1)%3], a, b)
	t.changed = append(t.changed, a, b)
}

// within tells that d lies in the circle through a, b, c, counter-clockwise, and surely so:
// where rounding could decide it, it does not (J. R. Shewchuk, Discrete & Computational
// Geometry 18, 1997, the bound of incircle). So an edge is turned only where that brings the
// triangulation nearer to Delaunay's, and turning ends.
func within(a, b, c, d plane.Point) bool {
	ax, ay, bx, by, cx, cy := a.X-d.X, a.Y-d.Y, b.X-d.X, b.Y-d.Y, c.X-d.X, c.Y-d.Y
	bcx, cbx := float64(bx*cy), float64(cx*by)
	cax, acx := float64(cx*ay), float64(ax*cy)
	abx, bax := float64(ax*by), float64(bx*ay)
	la := float64(ax*ax) + float64(ay*ay)
	lb := float64(bx*bx) + float64(by*by)
	lc := float64(cx*cx) + float64(cy*cy)
	det := float64(la*(bcx-cbx)) + float64(lb*(cax-acx)) + float64(lc*(abx-bax))
	size := float64(la*(math.Abs(bcx)+math.Abs(cbx))) + float64(lb*(math.Abs(cax)+math.Abs(acx))) + float64(lc*(math.Abs(abx)+math.Abs(bax)))
	return det > 1.2e-15*size
}

// at is a triangle that has a point as a corner: the one that was found last, if it still has.
func (t *triangulation) at(a int32) int32 {
	for int(a) >= len(t.corner) {
		t.corner = append(t.corner, 0)
	}
	if k := t.corner[a]; int(k) < len(t.triangles) && index(t.triangles[k].v, a) >= 0 {
		return k
	}
	if tri, _, _ := t.locate(t.points[a]); tri >= 0 && index(t.triangles[tri].v, a) >= 0 {
		t.corner[a] = tri
		return tri
	}
	for i := range t.triangles {
		if index(t.triangles[i].v, a) >= 0 {
			t.corner[a] = int32(i)
			return int32(i)
		}
	}
	return -1
}

// around finds the triangle at a that holds the way to b, or has the edge to it.
func (t *triangulation) around(a, b int32) (tri int32, corner int) {
	start := t.at(a)
	p, q := t.points[a], t.points[b]
	tri = start
	for range len(t.triangles) {
		c := &t.triangles[tri]
		k := 0
		for c.v[k] != a {
			k++
		}
		l, r := c.v[(k+1)%3], c.v[(k+2)%3]
		if l == b || r == b || plane.Orient(p, t.points[l], q) >= 0 && plane.Orient(p, t.points[r], q) <= 0 &&
			plane.Orient(t.points[l], t.points[r], q) < 0 {
			return tri, k
		}
		tri = c.near[(k+1)%3] // on to the next one, counter-clockwise
		if tri < 0 || tri == start {
			break
		}
	}
	return -1, -1
}

// constrain makes the way from a to b an edge, by turning those that cross it (S. W. Sloan,
// Computers & Structures 47, 1993). false where a fixed edge or a point stands in the way.
func (t *triangulation) constrain(a, b int32, kind uint8) bool {
	if a == b {
		return true
	}
	crossing, ok := t.crossed(a, b)
	if !ok {
		return false
	}
	p, q := t.points[a], t.points[b]
	for tries := 0; len(crossing) > 0; tries++ {
		if tries > 100*(len(crossing)+100) {
			return false
		}
		e := crossing[0]
		crossing = crossing[1:]
		h, ok := t.find(e[0], e[1])
		if !ok {
			return false
		}
		x := &t.triangles[h.t]
		o := x.near[h.e]
		f := t.across(o, h.t)
		u, v := x.v[h.e], t.triangles[o].v[f]
		pu, pv, l, r := t.points[u], t.points[v], t.points[e[0]], t.points[e[1]]
		if plane.Orient(pu, pv, l)*plane.Orient(pu, pv, r) >= 0 { // no convex quadrilateral: later
			crossing = append(crossing, e)
			continue
		}
		t.turn(h.t, h.e, o, f)
		if u != a && u != b && v != a && v != b && plane.Orient(p, q, pu)*plane.Orient(p, q, pv) < 0 {
			crossing = append(crossing, [2]int32{u, v})
		}
	}
	h, ok := t.find(a, b)
	if !ok {
		return false
	}
	t.fix(h, kind)
	for _, i := range append([]int32(nil), t.changed...) {
		t.stack = append(t.stack, half{i, 0}, half{i, 1}, half{i, 2})
	}
	t.changed = t.changed[:0]
	t.legalize()
	t.changed = t.changed[:0]
	return true
}

func (t *triangulation) fix(h half, kind uint8) {
	c := &t.triangles[h.t]
	c.edge[h.e] = max(c.edge[h.e], kind)
	if o := c.near[h.e]; o >= 0 {
		t.triangles[o].edge[t.across(o, h.t)] = c.edge[h.e]
	}
}

// crossed are the edges that the way from a to b crosses, in order.
func (t *triangulation) crossed(a, b int32) (edges [][2]int32, ok bool) {
	tri, k := t.around(a, b)
	if tri < 0 {
		return nil, false
	}
	p, q := t.points[a], t.points[b]
	e := k
	for range len(t.triangles) {
		c := &t.triangles[tri]
		if c.v[0] == b || c.v[1] == b || c.v[2] == b {
			return edges, true
		}
		l, r := c.v[(e+1)%3], c.v[(e+2)%3]
		if c.edge[e] != free || plane.Orient(p, q, t.points[l]) == 0 || plane.Orient(p, q, t.points[r]) == 0 {
			return nil, false
		}
		edges = append(edges, [2]int32{l, r})
		o := c.near[e]
		if o < 0 {
			return nil, false
		}
		f := t.across(o, tri)
		d := t.triangles[o].v[f]
		if d == b {
			return edges, true
		}
		// Of o = d, r, l the way leaves by the side across from r or from l.
		if plane.Orient(p, q, t.points[d]) > 0 {
			e = index(t.triangles[o].v, other(l, r, p, q, t, true))
		} else {
			e = index(t.triangles[o].v, other(l, r, p, q, t, false))
		}
		tri = o
	}
	return nil, false
}

// other is of two ends of a crossed edge the one left of the way, or the one right of it.
func other(l, r int32, p, q plane.Point, t *triangulation, left bool) int32 {
	if (plane.Orient(p, q, t.points[l]) > 0) == left {
		return l
	}
	return r
}

func index(v [3]int32, of int32) int {
	for i, x := range v {
		if x == of {
			return i
		}
	}
	return -1
}

// find is the half edge between two points.
func (t *triangulation) find(a, b int32) (half, bool) {
	tri, k := t.around(a, b)
	if tri < 0 {
		return half{}, false
	}
	c := &t.triangles[tri]
	switch b {
	case c.v[(k+1)%3]:
		return half{tri, (k + 2) % 3}, true
	case c.v[(k+2)%3]:
		return half{tri, (k + 1) % 3}, true
	}
	return half{}, false
}

// markInside tells which triangles an odd number of outlines go round.
func (t *triangulation) markInside() {
	const unseen = -1
	depth := make([]int8, len(t.triangles))
	for i := range depth {
		depth[i] = unseen
	}
	start := 0
	for i, c := range t.triangles {
		if c.v[0] == 0 || c.v[1] == 0 || c.v[2] == 0 {
			start = i
		}
	}
	depth[start] = 0
	queue := []int32{int32(start)}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		c := &t.triangles[i]
		c.inside = depth[i] == 1
		for e, o := range c.near {
			if o >= 0 && depth[o] == unseen {
				depth[o] = depth[i]
				if c.edge[e] == outline {
					depth[o] ^= 1
				}
				queue = append(queue, o)
			}
		}
	}
}
