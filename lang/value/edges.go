package value

import (
	"math"

	"perch/parts/plane"
)

// EdgeName is what an edge of an outline is called.
type EdgeName struct {
	Name string
	Own  bool   // the language gives it, nobody wrote it: in a mirror its left and right change places
	Copy string // which of several copies of one shape it is of; "" where there is one
}

// Segment is a straight stretch of an outline that carries a name, the metal to its
// left.
type Segment struct {
	EdgeName
	A, B plane.Point
}

const (
	// onLine is how far, in mm, an edge may lie off a named line and still be on it,
	// and the least length of a stretch that counts.
	onLine = 1e-6
	// aligned is how nearly, by the cosine of the angle between them, the edge that a
	// cut makes has to face the way of the edge whose place it takes: within 60°.
	aligned = 0.5
	// slide is how far, in distances moved, an edge may slide along its line at a corner:
	// as far as at one of 14°, twice the inverse of the tangent of half of it.
	slide = 16
)

// Quad names the four edges of a shape drawn as four points, anticlockwise from
// the lower left.
func Quad(p [4]plane.Point) []Segment {
	out := make([]Segment, 4)
	for i, name := range []string{"bottom", "right", "top", "left"} {
		out[i] = Segment{EdgeName{Name: name, Own: true}, p[i], p[(i+1)%4]}
	}
	return out
}

func (s Segment) dir() plane.Point { return s.B.Sub(s.A).Unit() }

// outward is the direction across the edge, away from the metal.
func (s Segment) outward() plane.Point { return s.dir().Perp().Neg() }

// mapped is the segment where a rigid map takes it, the metal still to its left.
func (s Segment) mapped(m plane.Affine) Segment {
	s.A, s.B = m.Apply(s.A), m.Apply(s.B)
	if m.Det() < 0 {
		s.A, s.B = s.B, s.A
	}
	return s
}

// swapped is the segment as a mirror names it.
func (s Segment) swapped() Segment {
	switch {
	case !s.Own:
	case s.Name == "left":
		s.Name = "right"
	case s.Name == "right":
		s.Name = "left"
	}
	return s
}

// on is the stretch of a straight edge that lies on the segment and runs its way.
// Where the edge ends on the segment the stretch ends in the edge's own vertex.
func (s Segment) on(e plane.Edge) (Segment, bool) {
	if !e.Straight() {
		return s, false
	}
	l, d := s.A.Dist(s.B), s.dir()
	from, to := e.From.Sub(s.A), e.To.Sub(s.A)
	if math.Abs(d.Cross(from)) > onLine || math.Abs(d.Cross(to)) > onLine {
		return s, false
	}
	lo, hi := d.Dot(from), d.Dot(to)
	if min(hi, l)-max(lo, 0) <= onLine {
		return s, false
	}
	if lo > -onLine {
		s.A = e.From
	}
	if hi < l+onLine {
		s.B = e.To
	}
	return s, true
}

// joined is two stretches of one line as one, where they touch or overlap.
func (s Segment) joined(t Segment) (Segment, bool) {
	d := s.dir()
	a, b := t.A.Sub(s.A), t.B.Sub(s.A)
	l, lo, hi := s.A.Dist(s.B), d.Dot(a), d.Dot(b)
	if math.Abs(d.Cross(a)) > onLine || math.Abs(d.Cross(b)) > onLine || hi <= lo || lo > l+onLine || hi < -onLine {
		return s, false
	}
	if lo < 0 {
		s.A = t.A
	}
	if hi > l {
		s.B = t.B
	}
	return s, true
}

// with adds a stretch to others; what it touches under its own name becomes one with
// it, in the place of the first.
func with(all []Segment, s Segment) []Segment {
	at := len(all)
	for i := 0; i < len(all); i++ {
		if all[i].EdgeName != s.EdgeName {
			continue
		}
		if j, ok := all[i].joined(s); ok {
			s = j
			all = append(all[:i], all[i+1:]...)
			at = min(at, i)
			i = -1 // as one they may touch another
		}
	}
	all = append(all, Segment{})
	copy(all[at+1:], all[at:])
	all[at] = s
	return all
}

// lying is what of the names is an edge of r, in the order of the names.
func lying(names []Segment, r plane.Region) []Segment {
	var out []Segment
	for _, s := range names {
		for _, l := range r {
			for i := range l {
				if piece, ok := s.on(l.Edge(i)); ok {
					out = with(out, piece)
				}
			}
		}
	}
	return out
}

// cutBack is what is left of the names once r is what h left of a region. An edge
// that lies wholly in what was cut off is cut back: it is now the edge that the cut
// made, where that faces its way.
func cutBack(names []Segment, r plane.Region, h plane.HalfPlane) []Segment {
	left := make([][]Segment, len(names))
	stays := map[EdgeName]bool{}
	for i, s := range names {
		left[i] = lying(names[i:i+1], r)
		if len(left[i]) > 0 || h.Dist(s.A) < -onLine || h.Dist(s.B) < -onLine {
			stays[s.EdgeName] = true
		}
	}
	facing := aligned
	gone := func(s Segment) float64 {
		if stays[s.EdgeName] {
			return -1
		}
		return s.outward().Dot(h.N)
	}
	for _, s := range names {
		facing = max(facing, gone(s))
	}
	var out []Segment
	for i, s := range names {
		for _, piece := range left[i] {
			out = with(out, piece)
		}
		if gone(s) < facing-1e-9 {
			continue
		}
		mid := h.N.Scale(h.D)
		along := h.N.Perp().Scale(4 * far)
		for _, piece := range lying([]Segment{{s.EdgeName, mid.Sub(along), mid.Add(along)}}, r) {
			out = with(out, piece)
		}
	}
	return out
}

// shifted is the names of a region every edge of which moved outward by d (mm),
// which made it r. An edge between a sharp corner and a hollow one slides along its
// line as it moves, past its own stretch if it is short.
func shifted(names []Segment, r plane.Region, d float64) []Segment {
	var edges []plane.Edge
	for _, l := range r {
		for i := range l {
			edges = append(edges, l.Edge(i))
		}
	}
	at := make([]Segment, len(names))
	taken := make([]bool, len(edges))
	for i, s := range names {
		n := s.outward().Scale(d)
		at[i] = Segment{s.EdgeName, s.A.Add(n), s.B.Add(n)}
		for k, e := range edges {
			_, ok := at[i].on(e)
			taken[k] = taken[k] || ok
		}
	}
	var out []Segment
	for _, s := range at {
		slides := s.dir().Scale(slide * math.Abs(d))
		reach := Segment{s.EdgeName, s.A.Sub(slides), s.B.Add(slides)}
		for k, e := range edges {
			if _, ok := s.on(e); !ok {
				if _, ok = reach.on(e); !ok || taken[k] {
					continue
				}
			}
			out = with(out, Segment{s.EdgeName, e.From, e.To})
		}
	}
	return out
}

// OutlineEdges returns the straight edges of a loop in order. An edge with a named
// stretch has its name; several of one name are told apart by a number, in the order
// of the names. The others are called by their position from 1.
func OutlineEdges(loop plane.Loop, names []Segment) []Segment {
	var out []Segment
	for i := range loop {
		e := loop.Edge(i)
		if !e.Straight() {
			continue
		}
		s := Segment{EdgeName{Name: position(i)}, e.From, e.To}
		for _, n := range names {
			if _, ok := n.on(e); ok {
				s.EdgeName = EdgeName{Name: n.Name, Own: n.Own}
				break
			}
		}
		out = append(out, s)
	}
	number(out, names)
	return out
}

// number tells edges of one name apart.
func number(edges, names []Segment) {
	count, next := map[string]int{}, map[string]int{}
	for _, s := range edges {
		count[s.Name]++
	}
	done := make([]bool, len(edges))
	for _, n := range names {
		for i, s := range edges {
			if done[i] || s.Name != n.Name || count[s.Name] < 2 {
				continue
			}
			if _, ok := n.on(plane.Edge{From: s.A, To: s.B}); ok {
				done[i] = true
				next[n.Name]++
				edges[i].Name = n.Name + "." + position(next[n.Name]-1)
			}
		}
	}
}

// Named is what an outline has under a name: the stretches of every copy of it, and
// whether there are copies. What of two copies is one straight edge is one of them.
func Named(names []Segment, name string) (copies [][]Segment, several bool) {
	var all []Segment
	for _, s := range names {
		if s.Name == name {
			several = several || s.Copy != ""
		}
	}
	for _, s := range names {
		if s.Name != name {
			continue
		}
		if several {
			for _, t := range all {
				if _, ok := t.joined(s); ok {
					s.Copy = t.Copy
				}
			}
		}
		s.Own = false
		all = with(all, s)
	}
	at := map[string]int{}
	for _, s := range all {
		i, ok := at[s.Copy]
		if !ok {
			i = len(copies)
			at[s.Copy] = i
			copies = append(copies, nil)
		}
		copies[i] = append(copies[i], s)
	}
	return copies, several
}

// Together is stretches of one line without their names, those that touch made one.
func Together(all []Segment) []Segment {
	var out []Segment
	for _, s := range all {
		s.EdgeName = EdgeName{}
		out = with(out, s)
	}
	return out
}
