package shell

import (
	"math"
	"testing"

	"perch/parts/solid"
)

// TestRolledUp: a cantilever with a moment M at its end bends to an arc of radius EI/M, and
// with M = 2π·EI/L to a whole circle (closed form).
func TestRolledUp(t *testing.T) {
	const n, l, h = 40, 10.0, 0.1
	m := Material{E: 1.2e6, Nu: 0}
	s := newSheet(n, 1, h, m, false, func(u, v float64) solid.Vec { return vec(l*u, v, 0) })
	for j := range 2 {
		s.hold(s.node(0, j), MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ)
	}
	for i := range s.Nodes { // it stays in its plane
		s.hold(int32(i), MoveY, TurnX, TurnZ)
	}
	ei := m.E * h * h * h / 12
	for _, part := range []float64{0.25, 0.5, 1} {
		load := -2 * math.Pi * ei / l * part / 2
		a := large(t, &s.Model, []Load{{Node: s.node(n, 0), Moment: vec(0, load, 0)}, {Node: s.node(n, 1), Moment: vec(0, load, 0)}}, 4)
		r := l / (2 * math.Pi * part)
		want := vec(r*math.Sin(l/r), 0, r*(1-math.Cos(l/r)))
		for j := range 2 {
			got := a.At(int(s.node(n, j)))
			if d := math.Hypot(got.X-want.X, got.Z-want.Z); d > 0.005*l {
				t.Errorf("%v of a circle: the end is at %.4f, %.4f, want %.4f, %.4f", part, got.X, got.Z, want.X, want.Z)
			}
		}
		t.Logf("%v of a circle in %d steps: %.5f %.5f, closed form %.5f %.5f", part, a.Steps, a.At(int(s.node(n, 0))).X, a.At(int(s.node(n, 0))).Z, want.X, want.Z)
	}
}

// The problems of K. Y. Sze, X. H. Liu, S. H. Lo, "Popular benchmark problems for geometric
// nonlinear analysis of shells", Finite Elements in Analysis and Design 40 (2004); the values
// at the full load are from memory of their tables.

func TestEndShear(t *testing.T) {
	const n = 16
	s := newSheet(n, 1, 0.1, Material{E: 1.2e6, Nu: 0}, false, func(u, v float64) solid.Vec { return vec(10*u, v, 0) })
	for j := range 2 {
		s.hold(s.node(0, j), MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ)
	}
	a := large(t, &s.Model, []Load{{Node: s.node(n, 0), Force: vec(0, 0, 2)}, {Node: s.node(n, 1), Force: vec(0, 0, 2)}}, 2)
	d := s.moved(a, s.node(n, 0))
	t.Logf("%d steps", a.Steps)
	near(t, "back", -d.X, 3.286, 0.01)
	near(t, "up", d.Z, 6.698, 0.01)
}

func TestSlitRing(t *testing.T) {
	if testing.Short() {
		t.Skip("takes 400 steps")
	}
	const nr, nc = 8, 64
	s := newSheet(nc, nr, 0.03, Material{E: 21e6, Nu: 0}, true, func(u, v float64) solid.Vec {
		r, a := 6+4*v, 2*math.Pi*u
		return vec(r*math.Cos(a), r*math.Sin(a), 0)
	})
	var l []Load
	for j := range nr + 1 {
		s.hold(s.node(nc, j), MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ)
		f := 0.8 * 4 / nr
		if j == 0 || j == nr {
			f /= 2
		}
		l = append(l, Load{Node: s.node(0, j), Force: vec(0, 0, f)})
	}
	a := large(t, &s.Model, l, 10)
	t.Logf("%d steps", a.Steps)
	near(t, "inner corner", s.moved(a, s.node(0, 0)).Z, 13.891, 0.01)
	near(t, "outer corner", s.moved(a, s.node(0, nr)).Z, 17.528, 0.01)
}

func TestPulledCylinder(t *testing.T) {
	const nx, na = 24, 36 // an eighth
	const r, l = 4.953, 10.35
	s := newSheet(nx, na, 0.094, Material{E: 10.5e6, Nu: 0.3125}, true, func(u, v float64) solid.Vec {
		a := math.Pi / 2 * v
		return vec(l/2*u, r*math.Sin(a), r*math.Cos(a))
	})
	s.edges(func(k int32, i, j int) {
		if i == 0 {
			s.hold(k, MoveX, TurnY, TurnZ)
		}
		if j == 0 {
			s.hold(k, MoveY, TurnX, TurnZ)
		}
		if j == na {
			s.hold(k, MoveZ, TurnX, TurnY)
		}
	})
	a := large(t, &s.Model, []Load{{Node: 0, Force: vec(0, 0, 40000.0/4)}}, 10)
	t.Logf("%d steps", a.Steps)
	near(t, "under the load", s.moved(a, 0).Z, 2.768, 0.013) // their shells shear under a point load, these do not
	near(t, "at the side", -s.moved(a, s.node(0, na)).Y, 4.551, 0.01)
}

// TestDrum: a clamped round plate that sags one to three thicknesses is held up by
// stretching, to a third of what bending alone would let it sag. T. von Kármán's equations
// of a round plate whose rim can't move in, ν = 0.3, solved by collocation (SciPy's
// solve_bvp, to 1e-8); the usual one-term formula (Timoshenko and Woinowsky-Krieger,
// "Theory of Plates and Shells", article 100) sags 1, 2 and 3 thicknesses for these loads.
func TestDrum(t *testing.T) {
	const n, r, h = 12, 500.0, 1.0
	s := disc(n, r, h, steel)
	s.edges(func(k int32, i, j int) {
		if i == 0 {
			s.hold(k, MoveX, TurnY, TurnZ)
		}
		if j == 0 {
			s.hold(k, MoveY, TurnX, TurnZ)
		}
		if i == n || j == n {
			s.hold(k, MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ)
		}
	})
	for _, c := range []struct{ term, sag float64 }{{1, 0.964925}, {2, 1.876045}, {3, 2.768480}} {
		q := (c.term + 0.471*c.term*c.term*c.term) / 0.171 * steel.E / math.Pow(r/h, 4)
		a := large(t, &s.Model, s.pressure(vec(0, 0, -q)), 1)
		t.Logf("%d steps", a.Steps)
		near(t, "sag", -s.moved(a, 0).Z/h, c.sag, 0.01)
	}
}
