package panel

import (
	"math"
	"math/rand/v2"
	"testing"

	"perch/parts/plane"
	"perch/parts/solid"
)

// TestSegmentsBySearch holds the distance of two segments to the least of many samples, refined
// about the best: the distance of points on two lines is convex.
func TestSegmentsBySearch(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 1))
	point := func() solid.Vec {
		return solid.Vec{X: rnd.Float64()*20 - 10, Y: rnd.Float64()*20 - 10, Z: rnd.Float64()*20 - 10}
	}
	for n := range 400 {
		a, b, c, d := point(), point(), point(), point()
		switch n % 4 {
		case 1: // in parallel
			d = c.Add(b.Sub(a).Scale(rnd.Float64()*2 - 1))
		case 2: // crossing
			m := a.Add(b.Sub(a).Scale(rnd.Float64()))
			d = m.Add(m.Sub(c).Scale(rnd.Float64()))
		case 3: // one is a point
			d = c
		}
		s, q, step := 0.5, 0.5, 0.5
		at := func(s, q float64) float64 {
			return a.Add(b.Sub(a).Scale(s)).Sub(c.Add(d.Sub(c).Scale(q))).Len()
		}
		for range 60 {
			best := at(s, q)
			u, v := s, q
			for i := -4; i <= 4; i++ {
				for k := -4; k <= 4; k++ {
					x, y := max(0, min(1, s+float64(i)*step/4)), max(0, min(1, q+float64(k)*step/4))
					if l := at(x, y); l < best {
						best, u, v = l, x, y
					}
				}
			}
			s, q, step = u, v, step*0.7
		}
		if got := segments(a, b, c, d); math.Abs(got-at(s, q)) > 1e-5 {
			t.Fatalf("case %d: %v apart, by search %v", n%4, got, at(s, q))
		}
	}
}

// TestMarksAreAlike: what tells two marks of one path apart, and what does not.
func TestMarksAreAlike(t *testing.T) {
	here := plane.Translate(plane.Point{})
	path := plane.Loop{{P: pt(0, 0)}, {P: pt(10, 0)}, {P: pt(10, 5)}}
	back := plane.Loop{{P: pt(10, 5)}, {P: pt(10, 0)}, {P: pt(0, 0)}}
	ring := plane.Loop{{P: pt(0, 0)}, {P: pt(10, 0)}, {P: pt(10, 5)}, {P: pt(0, 5)}}
	bead := FlatMark{Mark: Mark{Kind: MarkBead, Path: path, Width: 8}}
	words := FlatMark{Mark: Mark{Kind: MarkText, Text: "A1", Height: 8, At: pt(3, 4), Dir: pt(1, 0)}}
	closed := FlatMark{Mark: Mark{Kind: MarkBead, Path: ring, Width: 8, Closed: true}}
	with := func(m FlatMark, change func(*FlatMark)) FlatMark { change(&m); return m }
	for n, c := range []struct {
		a, b FlatMark
		same bool
	}{
		{bead, bead, true}, {words, words, true}, {closed, closed, true},
		{bead, with(bead, func(m *FlatMark) { m.Path = back }), true},
		{bead, with(bead, func(m *FlatMark) { m.Width = 8.1 }), false},
		{bead, with(bead, func(m *FlatMark) { m.Width = 7.9 }), false},
		{bead, with(bead, func(m *FlatMark) { m.Kind = MarkLine }), false},
		{bead, with(bead, func(m *FlatMark) { m.Path = plane.Loop{path[0], path[1], {P: pt(10, 6)}} }), false},
		{bead, with(bead, func(m *FlatMark) { m.Path = path[:2] }), false},
		{words, with(words, func(m *FlatMark) { m.Height = 8.1 }), false},
		{words, with(words, func(m *FlatMark) { m.Height = 7.9 }), false},
		{words, with(words, func(m *FlatMark) { m.Text = "A2" }), false},
		{words, with(words, func(m *FlatMark) { m.At = pt(3, 5) }), false},
		{words, with(words, func(m *FlatMark) { m.Dir = pt(-1, 0) }), false},
		{closed, with(closed, func(m *FlatMark) { m.Path = ring.Reversed() }), true},
		{closed, with(closed, func(m *FlatMark) { m.Closed = false }), false},
		{closed, with(closed, func(m *FlatMark) { m.Path = ring.Transform(plane.Translate(pt(1, 0))) }), false},
	} {
		if got := sameMark(&c.a, &c.b, here); got != c.same {
			t.Errorf("case %d: alike is %v", n, got)
		}
	}
}

// TestFacing: of an outline the edge that looks at a border, the nearest one, never one
// that has no length.
func TestFacing(t *testing.T) {
	border := plane.HalfPlane{N: pt(1, 0), D: 50} // x ≤ 50
	notched := plane.Loop{{P: pt(0, 0)}, {P: pt(40, 0)}, {P: pt(40, 10)}, {P: pt(20, 10)}, {P: pt(20, 20)}, {P: pt(40.5, 20)}, {P: pt(40.5, 30)}, {P: pt(0, 30)}}
	if i := facing(notched, border); i != 5 {
		t.Errorf("edge %d faces the border, want 5, the nearest", i)
	}
	round := plane.Loop{{P: pt(0, 0)}, {P: pt(40, 0), Bulge: 1}, {P: pt(40, 30)}, {P: pt(0, 30)}}
	if i := facing(round, border); i != -1 {
		t.Errorf("edge %d of an outline with a round end faces the border", i)
	}
	doubled := plane.Loop{{P: pt(0, 0)}, {P: pt(40, 0)}, {P: pt(40, 1e-9)}, {P: pt(30, 30)}, {P: pt(0, 30)}}
	if i := facing(doubled, border); i != 2 {
		t.Errorf("edge %d faces the border, want 2", i)
	}
}

// TestTabEnd: a piece of a tab belongs to the end it lies at, and reaches in as far as its
// farthest point.
func TestTabEnd(t *testing.T) {
	u := &unfolder{outlines: []plane.Loop{{{P: pt(0, 0)}, {P: pt(100, 0)}, {P: pt(90, 20)}, {P: pt(10, 20)}}}}
	for _, c := range []struct {
		piece plane.Loop
		end   int
		far   float64
	}{
		{plane.Loop{{P: pt(0, 0)}, {P: pt(12, 0)}, {P: pt(10, 10)}}, 0, 12},
		{plane.Loop{{P: pt(100, 0)}, {P: pt(93, 10)}, {P: pt(85, 0)}}, 1, 15},
		{plane.Loop{{P: pt(90, 20)}, {P: pt(70, 20)}, {P: pt(88, 5)}}, 1, 20},
	} {
		if end, far := u.tabEnd(0, c.piece); end != c.end || math.Abs(far-c.far) > 1e-9 {
			t.Errorf("%v: end %d, %v in, by hand %d, %v", c.piece, end, far, c.end, c.far)
		}
	}
}
