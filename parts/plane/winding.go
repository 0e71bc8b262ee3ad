package plane

import "math"

// windings counts how often each owner's edges run round a point just right of
// the middle of sub e. A ray leaves the point along the axis that crosses e the
// more squarely. Subs that coincide with e pass the point on the side that their
// direction says; all others are judged by exact signs, ties as if the point
// were moved by an infinitesimal along the ray, then across it, so that an arc's
// chord and its segment always agree.
func (ar *arrangement) windings(e int32) (w [2]int32) {
	lead := &ar.subs[e]
	m := lead.mid
	d := lead.b.Sub(lead.a)
	turned := math.Abs(d.X) > math.Abs(d.Y)
	if ar.asked++; ar.asked > fewWindings && len(ar.subs) >= treeFrom {
		return ar.windingsByPlace(e, m, turned)
	}
	for k := range ar.subs {
		ar.wind(&w, int32(k), e, m, turned)
	}
	return w
}

// fewWindings is how many windings are told by a look at all subs.
const fewWindings = 8

// windingsByPlace is windings, of those subs alone that the ray may meet.
func (ar *arrangement) windingsByPlace(e int32, m Point, turned bool) (w [2]int32) {
	ray := Box{m, Point{math.Inf(1), m.Y}}
	if turned {
		ray.Max = Point{m.X, math.Inf(1)}
	}
	ar.subsByPlace().overlapping(ray.Grow(2*coincidence*ar.tol), func(k int32) { ar.wind(&w, k, e, m, turned) })
	return w
}

// subsByPlace finds subs by what of them a ray may meet: of an arc, also the rest of its
// edge, in whose box a point may lie that the arc goes round.
func (ar *arrangement) subsByPlace() *boxTree {
	if ar.byPlace == nil {
		ar.byPlace = newBoxTree(len(ar.subs), func(i int) Box {
			s := &ar.subs[i]
			box := Box{s.a, s.a}.With(s.b)
			if s.bulge != 0 {
				box = box.Union(ar.segs[s.seg].box)
			}
			return box
		})
	}
	return ar.byPlace
}

// wind adds the share of sub k in the windings about m, the middle of sub e.
func (ar *arrangement) wind(w *[2]int32, k, e int32, m Point, turned bool) {
	s := &ar.subs[k]
	var clear bool // of the ray's line, as most edges are
	if turned {
		clear = (s.a.X >= m.X) == (s.b.X >= m.X)
	} else {
		clear = (s.a.Y <= m.Y) == (s.b.Y <= m.Y)
	}
	if clear && s.bulge == 0 {
		return
	}
	sg := &ar.segs[s.seg]
	if clear && s.lead != e && !sg.box.Holds(m) {
		return
	}
	if s.lead == e && (s.bulge == 0 || !bowsTo(s.a, s.b, m, s.bulge)) {
		w[sg.owner] += chordWinding(s.a, s.b, m, turned, true, s.same)
		return
	}
	w[sg.owner] += chordWinding(s.a, s.b, m, turned, false, false)
	if s.bulge == 0 {
		return
	}
	inside := false
	if s.lead == e {
		inside = s.same == (s.bulge < 0)
	} else if sg.box.Holds(m) {
		// The segment lies square above its chord; asking first keeps the other
		// parts of the same circle out where a short chord's direction is noise.
		v, d := m.Sub(sg.c), s.b.Sub(s.a)
		inside = v.Dot(v) < sg.r*sg.r && d.Dot(m.Sub(s.a)) >= 0 && d.Dot(m.Sub(s.b)) <= 0
	}
	if inside && rightOf(s.a, s.b, m, turned) == (s.bulge > 0) {
		w[sg.owner] += signOf(s.bulge)
	}
}

// bowsTo tells whether m lies well off the chord ab on the side of its arc.
func bowsTo(a, b, m Point, bulge float64) bool {
	d := b.Sub(a)
	x := -d.Cross(m.Sub(a))
	if bulge < 0 {
		x = -x
	}
	return x > 1e-3*d.Dot(d)
}

func signOf(x float64) int32 {
	if x < 0 {
		return -1
	}
	return 1
}

// chordWinding is the crossing of ab with the ray from m towards +x, or +y when
// turned; forced says that m lies right of ab (right) or left of it.
func chordWinding(a, b, m Point, turned, forced, right bool) int32 {
	au, av, bu, bv, mu, mv := a.X, a.Y, b.X, b.Y, m.X, m.Y
	if turned {
		au, av, bu, bv, mu, mv = a.Y, -a.X, b.Y, -b.X, m.Y, -m.X
	}
	up := av <= mv
	if up == (bv <= mv) {
		return 0
	}
	switch {
	case forced:
	case au < mu && bu < mu:
		return 0
	case au > mu && bu > mu:
		right = !up
	default:
		right = rightOf(a, b, m, turned)
	}
	switch {
	case up && !right:
		return 1
	case !up && right:
		return -1
	}
	return 0
}

// rightOf tells whether m lies right of ab, ties by the rule of windings.
func rightOf(a, b, m Point, turned bool) bool {
	if o := Orient(a, b, m); o != 0 {
		return o < 0
	}
	du, dv := b.X-a.X, b.Y-a.Y
	if turned {
		du, dv = b.Y-a.Y, -(b.X - a.X)
	}
	if dv != 0 {
		return dv > 0
	}
	return du < 0
}

// Side tells where a point lies.
type Side int8

const (
	Outside Side = iota - 1
	On
	Inside
)

// String names the side.
func (s Side) String() string {
	switch s {
	case Outside:
		return "outside"
	case On:
		return "on"
	}
	return "inside"
}

// Locate tells where p lies: On within Tol of an edge.
func (r Region) Locate(p Point) Side { return r.LocateWithin(p, Tol) }

// LocateWithin tells where p lies: On within tol mm of an edge.
func (r Region) LocateWithin(p Point, tol float64) Side {
	var w int32
	for _, l := range r {
		for i := range l {
			e := l.Edge(i)
			if e.Nearest(p).Near(p, tol) {
				return On
			}
			w += e.winding(p)
		}
	}
	if w > 0 {
		return Inside
	}
	return Outside
}

// winding is the edge's share in the winding number about p.
func (e Edge) winding(p Point) int32 {
	w := chordWinding(e.From, e.To, p, false, false, false)
	if e.Bulge == 0 || rightOf(e.From, e.To, p, false) != (e.Bulge > 0) {
		return w
	}
	if p.Dist(e.Center()) < e.Radius() {
		w += signOf(e.Bulge)
	}
	return w
}

// Locate tells where p lies in the area the loop surrounds, whichever way it runs.
func (l Loop) Locate(p Point) Side {
	if l.Area() < 0 {
		l = l.Reversed()
	}
	return Region{l}.Locate(p)
}
