package shell

import (
	"math"
	"testing"

	"perch/parts/solid"
)

// clampedPlate is a square plate of four sheets' thickness of sag, clamped at its edges, loaded in
// its middle, of so many squares along a side.
func clampedPlate(n int) (*sheet, []Load) {
	s := newSheet(n, n, 1, Material{E: 200000, Nu: 0.3}, true, func(u, v float64) solid.Vec { return vec(200*u, 200*v, 0) })
	s.edges(func(k int32, _, _ int) { s.hold(k, MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ) })
	return s, []Load{{Node: s.node(n/2, n/2), Force: vec(0, 0, -600)}}
}

// TestNear: begun from the answer of coarser triangles, a solution comes to what it comes to
// from the beginning, with less work; so it does from its own answer.
func TestNear(t *testing.T) {
	const n, fine = 12, 24
	coarse, loads := clampedPlate(n)
	first := large(t, &coarse.Model, loads, 1)
	s, loads := clampedPlate(fine)
	st, err := New(&s.Model, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	want, err := st.Solve(t.Context(), loads)
	if err != nil {
		t.Fatal(err)
	}
	var in []Within
	for _, p := range s.Nodes {
		in = append(in, withinOf(coarse, p))
	}
	middle := int(s.node(fine/2, fine/2))
	carried := st.Carry(first, in)
	if got, want := carried.At(middle).Z, first.At(int(coarse.node(n/2, n/2))).Z; math.Abs(got-want) > 1e-12 {
		t.Errorf("carried over, the middle is at %v, on coarser triangles at %v", got, want)
	}
	got, err := st.SolveNear(t.Context(), loads, carried)
	if err != nil {
		t.Fatal(err)
	}
	again, err := st.SolveLike(t.Context(), loads, want)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("factored %d times from the beginning, %d from coarser triangles, %d from itself", want.Factored, got.Factored, again.Factored)
	for _, a := range []*Answer{got, again} {
		near(t, "the middle", a.At(middle).Z, want.At(middle).Z, 1e-6)
		if a.Factored >= want.Factored {
			t.Errorf("factored %d times, from the beginning %d", a.Factored, want.Factored)
		}
	}
}

// withinOf is where a place lies in a sheet's triangles.
func withinOf(s *sheet, p solid.Vec) Within {
	for _, t := range s.Triangles {
		a, b, c := s.Nodes[t.Nodes[0]], s.Nodes[t.Nodes[1]], s.Nodes[t.Nodes[2]]
		area := b.Sub(a).Cross(c.Sub(a)).Z
		w := [3]float64{0, p.Sub(a).Cross(c.Sub(a)).Z / area, b.Sub(a).Cross(p.Sub(a)).Z / area}
		w[0] = 1 - w[1] - w[2]
		if math.Min(w[0], math.Min(w[1], w[2])) > -1e-9 {
			return Within{t.Nodes, w}
		}
	}
	panic("outside")
}

// TestBeside: what the tangent says of a small load more is what solving with it says: the
// sagging plate gives less than the flat one.
func TestBeside(t *testing.T) {
	s, loads := clampedPlate(12)
	a := large(t, &s.Model, loads, 1)
	more := []Load{{Node: loads[0].Node, Force: vec(0, 0, -1)}}
	moved, err := a.Beside(t.Context(), more)
	if err != nil {
		t.Fatal(err)
	}
	b := large(t, &s.Model, append(more, loads...), 1)
	n := int(loads[0].Node)
	near(t, "the middle gives", moved[0][n].Z, b.At(n).Z-a.At(n).Z, 0.005)
	flat := linear(t, &s.Model, more)
	if flat.At(n).Z > 2*moved[0][n].Z {
		t.Errorf("flat it gives %v, sagging %v", flat.At(n).Z, moved[0][n].Z)
	}
}
