package nest

import (
	"math"
	"sync/atomic"

	"perch/parts/plane"
	"perch/solver/elementary"
)

// shape is an outline as the search sees it: straight edges, about its own origin.
type shape struct {
	outer []point
	holes [][]point
	parts [][]point // convex
	area  float64
}

func newShape(outer []point, holes [][]point) *shape {
	s := &shape{outer: outer, holes: holes, parts: convexParts(outer, holes)}
	for _, p := range s.parts {
		s.area += polygonArea(p)
	}
	return s
}

func polygonArea(p []point) float64 {
	var a float64
	for i := range p {
		a += p[i].Sub(p[0]).Cross(p[(i+1)%len(p)].Sub(p[0]))
	}
	return float64(a / 2)
}

// pose is a shape at one rotation.
type pose struct {
	shape    int
	degrees  float64
	cos, sin float64
	box      plane.Box // of the turned shape about its origin
	over     bool      // the shape is its blank turned over
}

// turned is the cosine and sine of an angle in degrees, exact at quarter turns.
func turned(degrees float64) (c, s float64) {
	d := degrees - float64(360*math.Floor(degrees/360))
	switch d {
	case 0:
		return 1, 0
	case 90:
		return 0, 1
	case 180:
		return -1, 0
	case 270:
		return 0, -1
	}
	s, c = elementary.Sincos(d * math.Pi / 180)
	return c, s
}

func (p *pose) apply(v point) point {
	return point{X: float64(p.cos*v.X) - float64(p.sin*v.Y), Y: float64(p.sin*v.X) + float64(p.cos*v.Y)}
}

// item is one thing to place: the poses it may take.
type item struct {
	poses []int
	blank int     // index of the caller's blank
	area  float64 // of its shape
	size  float64 // the longer side of its box
}

// bin is a rectangle that holds items; bins lie apart.
type bin struct {
	box   plane.Box
	shift point // from its sheet's own coordinates
}

// fixed is a shape that stays where it is: what is missing of a remnant.
type fixed struct {
	pose int
	at   point
}

// model is a packing problem: what never changes in a search. Its no-fit shapes
// are made on first use and shared by all who search.
type model struct {
	shapes []*shape
	poses  []pose
	items  []item
	fixed  []fixed
	margin float64 // how far apart shapes are pushed in the search
	nofits []atomic.Pointer[link]
}

// link is the no-fit shape of two poses: B about A, in A's own turned frame.
type link struct {
	f    *nofit
	swap bool // the second pose is A
	cos  float64
	sin  float64
}

// addPoses makes the poses of a shape at the given rotations.
func (m *model) addPoses(shape int, degrees []float64) []int {
	var out []int
	for _, d := range degrees {
		c, s := turned(d)
		p := pose{shape: shape, degrees: d, cos: c, sin: s, box: plane.EmptyBox()}
		for _, v := range m.shapes[shape].outer {
			p.box = p.box.With(p.apply(v))
		}
		out = append(out, len(m.poses))
		m.poses = append(m.poses, p)
	}
	return out
}

// seal ends the building of the model.
func (m *model) seal() {
	m.nofits = make([]atomic.Pointer[link], len(m.poses)*len(m.poses))
}

// link is the no-fit shape of poses a and b. The shape with the lower index is A
// and unturned; B is turned by the difference, so that all pairs with the same
// difference share one. Two that make it at once make the same.
func (m *model) link(a, b int) *link {
	slot := &m.nofits[a*len(m.poses)+b]
	if l := slot.Load(); l != nil {
		return l
	}
	pa, pb := &m.poses[a], &m.poses[b]
	swap := pa.shape > pb.shape
	if swap {
		pa, pb = pb, pa
	}
	delta := pb.degrees - pa.degrees
	delta -= float64(360 * math.Floor(delta/360))
	l := &link{swap: swap, cos: pa.cos, sin: pa.sin}
	for i := range m.poses {
		// The first pair with the same difference lends its no-fit shape.
		if m.poses[i].shape != pa.shape {
			continue
		}
		for j := range m.poses {
			d := m.poses[j].degrees - m.poses[i].degrees
			if m.poses[j].shape != pb.shape || math.Abs(d-float64(360*math.Floor(d/360))-delta) > 1e-9 {
				continue
			}
			x, y := i, j
			if swap {
				x, y = j, i
			}
			if k := m.nofits[x*len(m.poses)+y].Load(); k != nil {
				l.f = k.f
			}
		}
	}
	if l.f == nil {
		c, s := turned(delta)
		turn := pose{cos: c, sin: s}
		var parts [][]point
		for _, p := range m.shapes[pb.shape].parts {
			q := make([]point, len(p))
			for i, v := range p {
				q[i] = turn.apply(v)
			}
			parts = append(parts, q)
		}
		l.f = newNofit(m.shapes[pa.shape].parts, parts, m.margin)
	}
	slot.Store(l)
	return l
}

// local takes the way from the first pose's place to the second's into the no-fit
// shape's frame.
func (l *link) local(dx, dy float64) (x, y float64) {
	if l.swap {
		dx, dy = -dx, -dy
	}
	return float64(l.cos*dx) + float64(l.sin*dy), float64(l.cos*dy) - float64(l.sin*dx)
}
