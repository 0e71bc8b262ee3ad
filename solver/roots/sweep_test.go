package roots

import (
	"math"
	"slices"
	"testing"

	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/referee"
)

// TestSweepsAgree compares what sweeps from either end find, at once and in many short
// turns, to what halving does.
func TestSweepsAgree(t *testing.T) {
	const steps = 1_000_000_000
	n := 40
	if testing.Short() {
		n = 20
	}
	for _, c := range []struct {
		name  string
		make  func(n int) *system
		count int
	}{
		{"tridiagonal", tridiagonal, 2},
		{"wells", wells(3), 8},
		{"discrete boundary value", boundary, 1},
		{"out of reach", unreached, 0},
	} {
		b := c.make(n)
		w, box := b.operator()
		for _, back := range []bool{false, true} {
			for _, turn := range []int{steps, 2000} {
				p := NewProver(w.rows, n, w.Scale, turn)
				order := slices.Clone(p.along())
				if order == nil {
					t.Fatalf("%s: no order", c.name)
				}
				if back {
					slices.Reverse(order)
				}
				s := newSweep(p, box, order)
				turns := 1
				for ; !s.run() && turns < steps/turn; turns++ {
					p.Steps = turn
				}
				left, done := s.open()
				if len(left) > 0 || !done || len(p.Found) != c.count {
					t.Errorf("%s, back %v, turns of %d: found %d, want %d; %d left, done %v", c.name, back, turn, len(p.Found), c.count, len(left), done)
				}
				if turn < steps && c.count > 1 && turns < 10 {
					t.Errorf("%s: only %d turns", c.name, turns)
				}
				for k, x := range box { // it is the caller's
					if x != b.box[k] {
						t.Fatalf("%s: changed the box given", c.name)
					}
				}
				for _, f := range p.Found {
					var x []float64
					for _, side := range f.Tight {
						x = append(x, interval.Middle(side))
					}
					if back && turn == steps && !referee.Proves(b.equations, x, 1e-9) {
						t.Errorf("%s: the referee does not prove %v", c.name, x)
					}
				}
			}
		}
		p := NewProver(w.rows, n, w.Scale, steps)
		p.Run(box)
		for _, y := range b.wander(3) {
			if !slices.ContainsFunc(p.Found, func(f proved) bool {
				for k, side := range f.unique {
					if math.Abs(y[k]-interval.Middle(side)) > 1e-5 {
						return false
					}
				}
				return true
			}) {
				t.Errorf("%s: %v is missing", c.name, y)
			}
		}
	}
}

// TestSweepGivesUp leaves what no step can decide: a double root.
func TestSweepGivesUp(t *testing.T) {
	const n = 40
	w, box := line(n, func(x expr.Expr) expr.Expr { return sqr(less(x, num(0.3))) }).operator()
	p := NewProver(w.rows, n, w.Scale, 1_000_000_000)
	s := newSweep(p, box, p.along())
	for !s.run() {
		t.Fatal("spent its steps")
	}
	if left, done := s.open(); len(p.Found) > 0 || done || len(left) == 0 {
		t.Fatalf("found %d, %d left, done %v", len(p.Found), len(left), done)
	}
}
