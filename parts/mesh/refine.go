package mesh

import (
	"context"
	"math"

	"perch/parts/plane"
)

// shape is the greatest circle around a triangle, by its shortest side, that is left alone:
// √2 ensures angles of 20.7° (J. Ruppert, Journal of Algorithms 18, 1995), but where lines
// meet more sharply.
const shape = math.Sqrt2

// finest is the part of the size asked for below which no side is divided to better a shape.
const finest = 0.25

// refine adds points until triangles are as small and as well shaped as asked for.
func (t *triangulation) refine(ctx context.Context, r *Region) error {
	if r.Size == nil {
		return nil
	}
	var queue []int32
	for i := range t.triangles {
		queue = append(queue, int32(i))
	}
	for n := 0; len(queue) > 0; n++ {
		if n%256 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		i := queue[0]
		queue = queue[1:]
		c, bad := t.worse(i, r)
		if !bad {
			continue
		}
		if len(t.points) > r.Most {
			return &TooManyError{r.Most}
		}
		t.changed = t.changed[:0]
		if t.better(i, c, r) {
			queue = append(queue, t.changed...)
			queue = append(queue, i)
		}
	}
	t.smooth()
	return nil
}

// worse tells whether a triangle is to be divided, and the middle of its circle.
func (t *triangulation) worse(i int32, r *Region) (c plane.Point, bad bool) {
	tri := &t.triangles[i]
	if !tri.inside {
		return c, false
	}
	p, q, s := t.points[tri.v[0]], t.points[tri.v[1]], t.points[tri.v[2]]
	c, radius := circle(p, q, s)
	a, b, d := p.Dist(q), q.Dist(s), s.Dist(p)
	short, long := math.Min(a, math.Min(b, d)), math.Max(a, math.Max(b, d))
	size := r.Size(plane.Point{X: (p.X + q.X + s.X) / 3, Y: (p.Y + q.Y + s.Y) / 3})
	if long > 1.4*size {
		return c, true
	}
	return c, radius > shape*short && short > finest*size
}

// circle is the one through three points.
func circle(p, q, s plane.Point) (c plane.Point, radius float64) {
	u, v := q.Sub(p), s.Sub(p)
	d := 2 * u.Cross(v)
	uu, vv := u.Dot(u), v.Dot(v)
	w := plane.Point{X: (float64(v.Y*uu) - float64(u.Y*vv)) / d, Y: (float64(u.X*vv) - float64(v.X*uu)) / d}
	return p.Add(w), w.Len()
}

// better puts a point into the middle of a triangle's circle or, where a fixed edge stands
// before it or near it, into the middle of that edge. It tells whether it did.
func (t *triangulation) better(i int32, c plane.Point, r *Region) bool {
	h, at, ok := t.walk(i, c)
	if !ok {
		return false
	}
	if h.e >= 0 {
		return t.halve(h, r)
	}
	if h, ok := t.encroached(at, c); ok {
		return t.halve(h, r)
	}
	t.last = at
	n := len(t.points)
	t.insert(c)
	return len(t.points) > n
}

// walk goes from a triangle straight to a point: to the triangle that holds it, or to the
// fixed edge that stands before it.
func (t *triangulation) walk(i int32, to plane.Point) (h half, at int32, ok bool) {
	for range len(t.triangles) {
		c := &t.triangles[i]
		next := -1
		for e := range 3 {
			if plane.Orient(t.points[c.v[(e+1)%3]], t.points[c.v[(e+2)%3]], to) < 0 {
				next = e
				break
			}
		}
		if next < 0 {
			return half{-1, -1}, i, true
		}
		if c.edge[next] != free || c.near[next] < 0 {
			return half{i, next}, i, true
		}
		i = c.near[next]
	}
	return half{}, 0, false
}

// encroached is a fixed edge of the triangle at a point whose own circle holds the point.
func (t *triangulation) encroached(at int32, p plane.Point) (half, bool) {
	for _, i := range append([]int32{at}, t.triangles[at].near[:]...) {
		if i < 0 {
			continue
		}
		c := &t.triangles[i]
		for e := range 3 {
			a, b := t.points[c.v[(e+1)%3]], t.points[c.v[(e+2)%3]]
			if c.edge[e] != free && a.Sub(p).Dot(b.Sub(p)) < 0 {
				return half{i, e}, true
			}
		}
	}
	return half{}, false
}

// halve puts a point into the middle of a fixed edge, where its halves are not too short.
func (t *triangulation) halve(h half, r *Region) bool {
	c := &t.triangles[h.t]
	a, b := t.points[c.v[(h.e+1)%3]], t.points[c.v[(h.e+2)%3]]
	m := a.Lerp(b, 0.5)
	if a.Dist(b) < 2*finest*r.Size(m) {
		return false
	}
	t.points = append(t.points, m)
	t.splitEdge(h.t, h.e, int32(len(t.points)-1))
	t.legalize()
	return true
}

// smooth moves free points towards the middle of their neighbours, three times, wherever
// no triangle turns over or gets a smaller angle, and makes the mesh Delaunay again.
func (t *triangulation) smooth() {
	fixed := make([]bool, len(t.points))
	for i := range t.given {
		fixed[i] = true
	}
	around := make([][]int32, len(t.points))
	for range 3 {
		for i := range around {
			around[i] = around[i][:0]
		}
		for i := range t.triangles {
			c := &t.triangles[i]
			for k := range 3 {
				around[c.v[k]] = append(around[c.v[k]], int32(i))
				if c.edge[k] != free || !c.inside {
					fixed[c.v[(k+1)%3]], fixed[c.v[(k+2)%3]] = true, true
				}
			}
		}
		for p := range t.points {
			if !fixed[p] && len(around[p]) > 0 {
				t.settle(int32(p), around[p])
			}
		}
		for i := range t.triangles {
			t.stack = append(t.stack, half{int32(i), 0}, half{int32(i), 1}, half{int32(i), 2})
		}
		t.legalize()
	}
	t.changed = nil
}

func (t *triangulation) settle(p int32, around []int32) {
	var sum plane.Point
	for _, i := range around {
		for _, v := range t.triangles[i].v {
			if v != p {
				sum = sum.Add(t.points[v])
			}
		}
	}
	old, worst := t.points[p], t.worst(around)
	n := float64(2 * len(around))
	t.points[p] = plane.Point{X: sum.X / n, Y: sum.Y / n}
	if t.worst(around) <= worst {
		t.points[p] = old
	}
}

// worst is the least shape among triangles: twice the area by the square of the longest
// side, below zero for one that is turned over.
func (t *triangulation) worst(of []int32) float64 {
	least := 1.0
	for _, i := range of {
		c := &t.triangles[i]
		p, q, s := t.points[c.v[0]], t.points[c.v[1]], t.points[c.v[2]]
		long := math.Max(p.Dist(q), math.Max(q.Dist(s), s.Dist(p)))
		least = math.Min(least, q.Sub(p).Cross(s.Sub(p))/(long*long))
	}
	return least
}
