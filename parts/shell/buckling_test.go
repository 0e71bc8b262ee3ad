package shell

import (
	"math"
	"testing"

	"perch/parts/solid"
)

// TestPlateBuckling: a square plate on four simple edges, pressed along one way, buckles at
// k·π²·D/(b²·h), k = 4 (G. H. Bryan, Proceedings of the London Mathematical Society 22, 1890).
func TestPlateBuckling(t *testing.T) {
	const n, a, h, sigma = 16, 400.0, 1.0, 1.0
	s := newSheet(n, n, h, steel, true, func(u, v float64) solid.Vec { return vec(a*u, a*v, 0) })
	var l []Load
	s.edges(func(k int32, i, j int) {
		s.hold(k, MoveZ)
		f := sigma * h * a / n
		if j == 0 || j == n {
			f /= 2
		}
		switch i {
		case 0:
			l = append(l, Load{Node: k, Force: vec(f, 0, 0)})
		case n:
			l = append(l, Load{Node: k, Force: vec(-f, 0, 0)})
		}
	})
	s.hold(s.node(n/2, n/2), MoveX, MoveY, TurnZ)
	got, err := linear(t, &s.Model, l).Buckling(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plate pressed one way", got*sigma, 4*math.Pi*math.Pi*steel.E/(12*(1-steel.Nu*steel.Nu))*(h/a)*(h/a), 0.01)
}

// TestColumn: a strip, held at its foot, buckles at π²·E·I/(2·l)² (L. Euler), and the
// other way round never.
func TestColumn(t *testing.T) {
	const n, l, w, h = 20, 400.0, 20.0, 1.0
	m := Material{E: 210000, Nu: 0}
	s := newSheet(n, 1, h, m, true, func(u, v float64) solid.Vec { return vec(w*v, 0, l*u) })
	for j := range 2 {
		s.hold(s.node(0, j), MoveX, MoveY, MoveZ, TurnX, TurnY, TurnZ)
	}
	push := func(f float64) float64 {
		a := linear(t, &s.Model, []Load{{Node: s.node(n, 0), Force: vec(0, 0, -f/2)}, {Node: s.node(n, 1), Force: vec(0, 0, -f/2)}})
		got, err := a.Buckling(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return got * f
	}
	euler := math.Pi * math.Pi * m.E * w * h * h * h / 12 / (4 * l * l)
	near(t, "column", push(1), euler, 0.01)
	if got := push(-1); -got < 100*euler {
		t.Errorf("a strip that is pulled buckles at %.4g N", -got)
	}
}
