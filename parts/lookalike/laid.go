package lookalike

import (
	"iter"
	"math"

	"perch/parts/plane"
)

// laid are the rigid maps that can lay outline a on b: corner on corner where both have
// as many, else long edge on long edge.
func laid(a, b plane.Loop, mirrored bool) iter.Seq[plane.Affine] {
	if len(a) == len(b) {
		return plane.Congruent(a, b, Eye, mirrored)
	}
	return func(yield func(plane.Affine) bool) {
		first := plane.Identity()
		if mirrored {
			first = plane.MirrorX()
		}
		for _, e := range longest(a.Transform(first)) {
			for _, f := range longest(b) {
				if math.Abs(e.Len()-f.Len()) <= 2*Eye && !yield(first.Then(onto(e, f, e.Mid(), f.Mid()))) {
					return
				}
			}
		}
	}
}

// edged are the maps near m that lay an edge of a along one of b's longest, end on end,
// where m already brings the two together.
func edged(a, b plane.Loop, m plane.Affine) iter.Seq[plane.Affine] {
	there := a.Transform(m)
	return func(yield func(plane.Affine) bool) {
		for _, f := range longest(b) {
			for _, e := range there.Edges() {
				if !e.From.Near(f.From, Eye) || !e.To.Near(f.To, Eye) || f.Chord() < 2*Eye {
					continue
				}
				if !yield(m.Then(onto(e, f, e.From, f.From))) || !yield(m.Then(onto(e, f, e.To, f.To))) {
					return
				}
			}
		}
	}
}

// onto is the motion that lays e along f, p on q.
func onto(e, f plane.Edge, p, q plane.Point) plane.Affine {
	u, v := e.To.Sub(e.From), f.To.Sub(f.From)
	m := plane.RotateTo(plane.Point{X: u.Dot(v), Y: u.Cross(v)})
	o := m.Vec(p)
	m.E, m.F = q.X-o.X, q.Y-o.Y
	return m
}

// longest are a loop's longest straight edges, up to four, in their order.
func longest(l plane.Loop) []plane.Edge {
	const most = 4
	var out []plane.Edge
	for _, e := range l.Edges() {
		if !e.Straight() {
			continue
		}
		out = append(out, e)
		if len(out) > most {
			short := 0
			for i := range out {
				if out[i].Len() < out[short].Len() {
					short = i
				}
			}
			out = append(out[:short], out[short+1:]...)
		}
	}
	return out
}
