package plane

import (
	"iter"
	"math"
)

// Congruent is a sequence of the rigid maps that take loop a onto loop b with every
// vertex and edge middle within tol mm: without mirrored the motions, with it only the
// maps that mirror. The loops must have the same vertices, not just the same outline; a
// map is given once for each vertex that a's first can fall on, in b's order, so a circle
// of two half arcs answers with two.
func Congruent(a, b Loop, tol float64, mirrored bool) iter.Seq[Affine] {
	return func(yield func(Affine) bool) {
		if len(a) < 2 || len(a) != len(b) || !finite(a) || !finite(b) {
			return
		}
		first := Identity()
		if mirrored {
			first = MirrorX()
			a = a.Transform(first)
		}
		for shift := range b {
			if !alike(a, b, shift, tol) {
				continue
			}
			if m := fit(a, b, shift); lands(a, b, shift, m, tol) && !yield(first.Then(m)) {
				return
			}
		}
	}
}

// alike compares edges one by one: chord lengths and rises.
func alike(a, b Loop, shift int, tol float64) bool {
	for i := range a {
		e, f := a.Edge(i), b.Edge(i+shift)
		x, y := e.Chord(), f.Chord()
		if math.Abs(x-y) > 2*tol || math.Abs(float64(x*e.Bulge)-float64(y*f.Bulge)) > 4*tol {
			return false
		}
	}
	return true
}

// fit is the motion that takes a's vertices nearest to b's in the sense of least squares.
func fit(a, b Loop, shift int) Affine {
	n := len(a)
	var ca, cb Point
	for i := range a {
		ca, cb = ca.Add(a[i].P), cb.Add(b[i].P)
	}
	ca, cb = ca.Scale(1/float64(n)), cb.Scale(1/float64(n))
	var dir Point
	for i := range a {
		p, q := a[i].P.Sub(ca), b[(i+shift)%n].P.Sub(cb)
		dir = dir.Add(Point{p.Dot(q), p.Cross(q)})
	}
	m := RotateTo(dir)
	o := m.Vec(ca)
	m.E, m.F = cb.X-o.X, cb.Y-o.Y
	return m
}

func lands(a, b Loop, shift int, m Affine, tol float64) bool {
	for i := range a {
		e, f := a.Edge(i), b.Edge(i+shift)
		if !m.Apply(e.From).Near(f.From, tol) || !m.Apply(e.Mid()).Near(f.Mid(), tol) {
			return false
		}
	}
	return true
}
