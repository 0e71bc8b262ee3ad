package shell

import (
	"errors"
	"math"
	"testing"

	"perch/parts/solid"
	"perch/solver/sparse"
)

// strip is a cantilever of 200 by 20 by 2 mm, without Poisson's ratio so that beam theory
// holds, and its EI.
func strip(n int) (*sheet, float64) {
	m := Material{E: 210000, Nu: 0}
	s := newSheet(n, 1, 2, m, false, func(u, v float64) solid.Vec { return vec(200*u, 20*v, 0) })
	for j := range 2 {
		s.hold(s.node(0, j), MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ)
	}
	return s, m.E * 20 * 8 / 12
}

// TestStop: a cantilever's end comes to rest on a stop 0.5 mm below; the stop carries what
// is above 3·EI/l³·0.5 mm (beam theory). A stop that is out of reach carries nothing.
func TestStop(t *testing.T) {
	const n, p = 10, 10.0
	for _, c := range []struct{ clear, want float64 }{{0.5, p - 0.5*3*210000*20*8/12/8e6}, {20, 0}} {
		s, _ := strip(n)
		for j := range 2 {
			s.Contacts = append(s.Contacts, Contact{Node: s.node(n, j), Face: [3]int32{-1, -1, -1}, Normal: vec(0, 0, 1), Clear: c.clear, Stiffness: 1e6})
		}
		a := large(t, &s.Model, []Load{{Node: s.node(n, 0), Force: vec(0, 0, -p/2)}, {Node: s.node(n, 1), Force: vec(0, 0, -p/2)}}, 1)
		got := s.Pressure(a.State, 0) + s.Pressure(a.State, 1)
		if math.Abs(got-c.want) > 0.01*p {
			t.Errorf("a stop %v mm away carries %.4f N, want %.4f", c.clear, got, c.want)
		}
	}
}

// TestTouching: the end of one cantilever is pushed onto another, 0.3 mm under it: the two
// share what is beyond by their stiffnesses.
func TestTouching(t *testing.T) {
	const n, p, gap = 10, 10.0, 0.3
	s, ei := strip(n)
	other, _ := strip(n)
	base := int32(len(s.Nodes))
	for _, v := range other.Nodes {
		s.Nodes = append(s.Nodes, v.Add(vec(0, 0, -2-gap)))
	}
	for _, tri := range other.Triangles {
		for i := range tri.Nodes {
			tri.Nodes[i] += base
		}
		s.Triangles = append(s.Triangles, tri)
	}
	for _, h := range other.Held {
		s.Held = append(s.Held, Held{h.Node + base, h.Freedom})
	}
	for j := range 2 {
		k := s.node(n, j)
		s.Contacts = append(s.Contacts, Contact{Node: k, Face: [3]int32{base + s.node(n, j), base + s.node(n-1, 0), base + s.node(n-1, 1)},
			Weight: [3]float64{1, 0, 0}, Normal: vec(0, 0, 1), Clear: gap, Stiffness: 1e6})
	}
	a := large(t, &s.Model, []Load{{Node: s.node(n, 0), Force: vec(0, 0, -p/2)}, {Node: s.node(n, 1), Force: vec(0, 0, -p/2)}}, 1)
	k := 3 * ei / 8e6
	want := (p + k*gap) / (2 * k) // sag of the upper one
	near(t, "upper end", -s.moved(a, s.node(n, 0)).Z, want, 0.01)
	near(t, "pushed over", s.Pressure(a.State, 0)+s.Pressure(a.State, 1), (p-k*gap)/2, 0.01)
}

// TestFriction: a sheet lies on the floor with 10 N and is pushed: below 0.3 · 10 N it
// stays, above it goes until a spring holds it.
func TestFriction(t *testing.T) {
	for _, c := range []struct{ push, want float64 }{{2, 0}, {4, 1}} {
		s := newSheet(2, 2, 2, steel, true, func(u, v float64) solid.Vec { return vec(50*u, 50*v, 0) })
		corners := []int32{s.node(0, 0), s.node(2, 0), s.node(0, 2), s.node(2, 2)}
		var l []Load
		for _, k := range corners {
			s.Contacts = append(s.Contacts, Contact{Node: k, Face: [3]int32{-1, -1, -1}, Normal: vec(0, 0, 1), Stiffness: 1e4, Friction: 0.3})
			l = append(l, Load{Node: k, Force: vec(c.push/4, 0, -2.5)})
			// A spring of 1 N/mm in all holds what slides.
			s.Ties = append(s.Ties, Tie{Of: []Held{{k, MoveX}}, Factor: []float64{1}, Spring: 0.25})
		}
		a := large(t, &s.Model, l, 1)
		if got := s.moved(a, corners[0]).X; math.Abs(got-c.want) > 0.01 {
			t.Errorf("pushed with %v N it slides %.4f mm, want %v", c.push, got, c.want)
		}
	}
}

// TestLap: two strips joined end to end by links at two nodes part there by P/(2·k).
func TestLap(t *testing.T) {
	const n, p, k = 10, 1000.0, 5000.0
	s, _ := strip(n)
	other, _ := strip(n)
	base := int32(len(s.Nodes))
	for _, v := range other.Nodes {
		s.Nodes = append(s.Nodes, v.Add(vec(200, 0, 0)))
	}
	for _, tri := range other.Triangles {
		for i := range tri.Nodes {
			tri.Nodes[i] += base
		}
		s.Triangles = append(s.Triangles, tri)
	}
	for j := range 2 {
		s.Links = append(s.Links, Link{A: s.node(n, j), B: base + s.node(0, j), Axis: vec(0, 0, 1), Shear: k, Pull: 1e5, Tilt: 1e6, Twist: 1e6})
	}
	a := linear(t, &s.Model, []Load{{Node: base + s.node(n, 0), Force: vec(p/2, 0, 0)}, {Node: base + s.node(n, 1), Force: vec(p/2, 0, 0)}})
	near(t, "a link gives", s.moved(a, base+s.node(0, 0)).X-s.moved(a, s.node(n, 0)).X, p/(2*k), 1e-6)
	f := a.LinkForce(0)
	near(t, "a link's share", f.Shear, p/2, 0.001)
}

// TestFree: what nothing holds is told as a freedom, not as a large movement.
func TestFree(t *testing.T) {
	s := newSheet(2, 2, 2, steel, true, func(u, v float64) solid.Vec { return vec(50*u, 50*v, 0) })
	st, err := New(&s.Model, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	var pivot *sparse.PivotError
	if _, err := st.Linear(t.Context(), []Load{{Node: 0, Force: vec(0, 0, 1)}}); !errors.As(err, &pivot) {
		t.Errorf("a free sheet: %v", err)
	} else if n, f := st.Freedom(pivot); n < 0 || n > 8 || f < 0 || f > 5 {
		t.Errorf("node %d, freedom %d", n, f)
	}
	var memory *sparse.MemoryError
	if _, err := New(&s.Model, Limits{Memory: 1000}); !errors.As(err, &memory) {
		t.Errorf("too little memory: %v", err)
	}
	var model *ModelError
	s.Triangles[0].Nodes[0] = 99
	if _, err := New(&s.Model, Limits{}); !errors.As(err, &model) {
		t.Errorf("a node that there is not: %v", err)
	}
}
