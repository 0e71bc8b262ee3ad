package nest

import (
	"context"
	"math"
	"sync"
	"sync/atomic"

	"perch/parts/plane"
)

type point = plane.Point

// shape is an outline as the search sees it: straight edges, about its own origin.
type shape struct {
	outer []point
	holes [][]point
	parts [][]point // convex
	area  float64
	// The true outline, where the polygon is a simpler one around it, and what it was
	// grown by: by it boxes are exact.
	exact plane.Region
	grown float64
	// Two shapes that move as one: what they are. It has no parts of its own.
	members []member
}

// member is a shape of a compound one: turned about its own origin by degrees, then
// moved.
type member struct {
	shape   int
	degrees float64
	at      point
}

func newShape(outer []point, holes [][]point) *shape {
	s := &shape{outer: outer, holes: holes, parts: plane.ConvexParts(outer, holes)}
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

// model is a packing problem: what never changes in a search.
type model struct {
	stop   context.Context // when it ends, searches do; nil: never
	shapes []*shape
	poses  []pose
	items  []item
	fixed  []fixed
	margin float64 // how far apart shapes are pushed in the search
	known  *nofits
	links  []atomic.Pointer[link]
}

// stopped tells that whoever asked for the search wants no more of it.
func (m *model) stopped() bool { return m.stop != nil && m.stop.Err() != nil }

// nofits are no-fit shapes made so far, shared by all who search in models of the
// same shapes and margin. Each is a function of its key alone.
type nofits struct {
	mu    sync.Mutex
	byKey map[nofitKey]*nofit
	cells int
}

// nofitKey is B turned about A, both shapes of a model; in 1e−6 degrees.
type nofitKey struct {
	a, b  int
	delta int64
}

func newNofits(outlines int) *nofits {
	n := &nofits{byKey: map[nofitKey]*nofit{}, cells: gridCells}
	if outlines > fewOutlines {
		n.cells = fewGridCells
	}
	return n
}

// mostNofits bounds what is kept from one model for the next.
const mostNofits = 4000

// trim forgets all when there are too many.
func (n *nofits) trim() {
	n.mu.Lock()
	defer n.mu.Unlock()
	if len(n.byKey) > mostNofits {
		clear(n.byKey)
	}
}

// link is the no-fit shape of two poses: B about A, in A's own turned frame.
type link struct {
	f    *nofit
	swap bool // the second pose is A
	cos  float64
	sin  float64
	// Where one is compound f is nil, and these stand for its members.
	terms []term
}

// term is the no-fit shape of two members; shift is the way from the place of the
// first to that of the second, when their compounds lie at one place.
type term struct {
	l     link
	shift point
}

// addPoses makes the poses of a shape at the given rotations.
func (m *model) addPoses(shape int, degrees []float64) []int {
	var out []int
	for _, d := range degrees {
		c, s := plane.Turned(d)
		p := pose{shape: shape, degrees: d, cos: c, sin: s}
		p.box = m.shapes[shape].box(c, s)
		out = append(out, len(m.poses))
		m.poses = append(m.poses, p)
	}
	return out
}

// box is around the turned shape: the true one where it is known.
func (s *shape) box(cos, sin float64) plane.Box {
	if len(s.exact) > 0 {
		return s.exact.Transform(plane.Affine{A: cos, B: -sin, C: sin, D: cos}).Bounds().Grow(s.grown)
	}
	p, b := pose{cos: cos, sin: sin}, plane.EmptyBox()
	for _, v := range s.outer {
		b = b.With(p.apply(v))
	}
	return b
}

// seal ends the building of the model.
func (m *model) seal() {
	if m.known == nil {
		m.known = newNofits(0)
	}
	m.links = make([]atomic.Pointer[link], len(m.poses)*len(m.poses))
}

// link is the no-fit shape of poses a and b. The shape with the lower index is A
// and unturned; B is turned by the difference, so that all pairs with the same
// difference share one.
func (m *model) link(a, b int) *link {
	slot := &m.links[a*len(m.poses)+b]
	if l := slot.Load(); l != nil {
		return l
	}
	pa, pb := &m.poses[a], &m.poses[b]
	ma, mb := m.shapes[pa.shape].members, m.shapes[pb.shape].members
	l := &link{}
	if len(ma) == 0 && len(mb) == 0 {
		*l = m.plain(pa.shape, pa.degrees, pb.shape, pb.degrees)
	} else {
		if len(ma) == 0 {
			ma = []member{{shape: pa.shape}}
		}
		if len(mb) == 0 {
			mb = []member{{shape: pb.shape}}
		}
		for _, x := range ma {
			for _, y := range mb {
				t := term{l: m.plain(x.shape, pa.degrees+x.degrees, y.shape, pb.degrees+y.degrees)}
				t.shift = pb.apply(y.at).Sub(pa.apply(x.at))
				l.terms = append(l.terms, t)
			}
		}
	}
	slot.Store(l)
	return l
}

// plain is the link of two shapes that are not compound, at their rotations.
func (m *model) plain(a int, da float64, b int, db float64) link {
	swap := a > b
	if swap {
		a, b, da, db = b, a, db, da
	}
	c, s := plane.Turned(da)
	return link{f: m.nofit(a, b, db-da), swap: swap, cos: c, sin: s}
}

// depth is how deep two lie in each other, the second at (dx, dy) from the first;
// of compounds the deepest of their members.
func (l *link) depth(dx, dy, margin float64) float64 {
	if l.f != nil {
		x, y := l.local(dx, dy)
		return l.f.depth(x, y, margin)
	}
	var d float64
	for i := range l.terms {
		t := &l.terms[i]
		x, y := t.l.local(dx+t.shift.X, dy+t.shift.Y)
		d = max(d, t.l.f.depth(x, y, margin))
	}
	return d
}

// nofit is the no-fit shape of two shapes, the second turned by delta degrees. Two
// that make it at once make the same.
func (m *model) nofit(a, b int, delta float64) *nofit {
	key := nofitKey{a, b, int64(math.Round(float64((delta - float64(360*math.Floor(delta/360))) * 1e6)))}
	if key.delta == 360e6 {
		key.delta = 0
	}
	m.known.mu.Lock()
	f := m.known.byKey[key]
	m.known.mu.Unlock()
	if f != nil {
		return f
	}
	c, s := plane.Turned(float64(key.delta) / 1e6)
	turn := pose{cos: c, sin: s}
	var parts [][]point
	for _, p := range m.shapes[b].parts {
		q := make([]point, len(p))
		for i, v := range p {
			q[i] = turn.apply(v)
		}
		parts = append(parts, q)
	}
	f = newNofit(m.shapes[a].parts, parts, m.margin, m.known.cells)
	m.known.mu.Lock()
	m.known.byKey[key] = f
	m.known.mu.Unlock()
	return f
}

// local takes the way from the first pose's place to the second's into the no-fit
// shape's frame.
func (l *link) local(dx, dy float64) (x, y float64) {
	if l.swap {
		dx, dy = -dx, -dy
	}
	return float64(l.cos*dx) + float64(l.sin*dy), float64(l.cos*dy) - float64(l.sin*dx)
}
