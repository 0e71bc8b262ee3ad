package plane

import "fmt"

// BadNumberError says that a vertex is NaN or infinite.
type BadNumberError struct {
	Vertex int
	Value  Vertex
}

func (e *BadNumberError) Error() string {
	return fmt.Sprintf("point %d is not a number: (%g, %g), bulge %g", e.Vertex+1, e.Value.P.X, e.Value.P.Y, e.Value.Bulge)
}

// CrossingError says that an outline crosses or touches itself.
type CrossingError struct {
	At   Point
	A, B int // indices of the two edges
}

func (e *CrossingError) Error() string {
	return fmt.Sprintf("the outline crosses itself at (%.3f, %.3f), edges %d and %d", e.At.X, e.At.Y, e.A+1, e.B+1)
}

// ShortError says that a loop or an edge has too little in it.
type ShortError struct {
	Edge  int // −1 when the loop has too few vertices
	Count int
	At    Point
}

func (e *ShortError) Error() string {
	if e.Edge < 0 {
		return fmt.Sprintf("an outline needs two edges or more, has %d", e.Count)
	}
	return fmt.Sprintf("edge %d has no length, at (%.3f, %.3f)", e.Edge+1, e.At.X, e.At.Y)
}

// Check errs when a loop is not a simple outline: *BadNumberError, *ShortError,
// or *CrossingError with the first place where it crosses or touches itself.
func Check(l Loop) error {
	for i, v := range l {
		if !v.P.Finite() || v.Bulge-v.Bulge != 0 {
			return &BadNumberError{i, v}
		}
	}
	if len(l) < 2 {
		return &ShortError{Edge: -1, Count: len(l)}
	}
	ar := newArrangement(Tol)
	defer ar.free()
	for i := range l {
		var s seg
		s.set(l.Edge(i))
		s.from, s.to = int32(i), int32((i+1)%len(l))
		if s.a.Near(s.b, Tol) {
			return &ShortError{Edge: i, At: s.a}
		}
		ar.segs = append(ar.segs, s)
		ar.pts = append(ar.pts, l[i].P)
	}
	var err error
	ar.neighbours(func(i, j int) bool {
		if at, bad := ar.clash(int32(i), int32(j)); bad {
			err = &CrossingError{at, i, j}
		}
		return err == nil
	})
	return err
}

// clash tells whether segs i and j meet anywhere but in a vertex they share as
// neighbours.
func (ar *arrangement) clash(i, j int32) (Point, bool) {
	s, t := &ar.segs[i], &ar.segs[j]
	for _, v := range [2]int32{t.from, t.to} {
		for _, w := range [2]int32{s.from, s.to} {
			if v != w && ar.pts[v].Near(ar.pts[w], Tol) {
				return ar.pts[v], true
			}
		}
	}
	ar.splits = ar.splits[:0]
	n := int32(len(ar.pts))
	ar.meet(i, j)
	if len(ar.splits) > 0 {
		p := ar.pts[ar.splits[0].vertex]
		ar.pts = ar.pts[:n]
		return p, true
	}
	// Neighbours that share both ends, or fold back within one another.
	if s.from == t.to && s.to == t.from {
		a, b := l2(s), l2(t)
		if a.Near(b, Tol) {
			return a, true
		}
	}
	return Point{}, false
}

func l2(s *seg) Point { return Edge{s.a, s.b, s.bulge}.Mid() }
