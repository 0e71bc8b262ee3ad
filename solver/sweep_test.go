package solver

import (
	"math"
	"slices"
	"testing"
)

// TestSweepsAgree compares what sweeps from either end find, at once and in many short
// turns, to what halving does.
func TestSweepsAgree(t *testing.T) {
	const n, steps = 40, 1_000_000_000
	for _, c := range []struct {
		name  string
		make  func(b build, n int)
		count int
	}{
		{"tridiagonal", tridiagonal(-2, 2), 2},
		{"wells", wells(3), 8},
		{"discrete boundary value", boundary, 1},
		{"out of reach", unreached, 0},
	} {
		b := begin(t)
		c.make(b, n)
		w, box := operator(b.System)
		for _, back := range []bool{false, true} {
			for _, turn := range []int{steps, 2000} {
				p := newProver(w.rows, n, w.scale, turn)
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
					p.steps = turn
				}
				left, done := s.open()
				if len(left) > 0 || !done || len(p.found) != c.count {
					t.Errorf("%s, back %v, turns of %d: found %d, want %d; %d left, done %v", c.name, back, turn, len(p.found), c.count, len(left), done)
				}
				if turn < steps && c.count > 1 && turns < 10 {
					t.Errorf("%s: only %d turns", c.name, turns)
				}
				for k, x := range box { // it is the caller's
					if v := b.vars[k]; x.lo != v.lo || x.hi != v.hi {
						t.Fatalf("%s: changed the box given", c.name)
					}
				}
				for _, f := range p.found {
					var x []float64
					for _, side := range f.tight {
						x = append(x, middle(side))
					}
					if back && turn == steps && !referee(t, b.System, x, 1e-9) {
						t.Errorf("%s: the referee does not prove %v", c.name, x)
					}
				}
			}
		}
		p := newProver(w.rows, n, w.scale, steps)
		p.run(box)
		for _, y := range wanders(b.System, 3) {
			if !slices.ContainsFunc(p.found, func(f proved) bool {
				for k, side := range f.unique {
					if math.Abs(y[k]-middle(side)) > 1e-5 {
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
	w, box := operator(line(t, n, func(x Expr) Expr { return sqr(less(x, num(0.3))) }))
	p := newProver(w.rows, n, w.scale, 1_000_000_000)
	s := newSweep(p, box, p.along())
	for !s.run() {
		t.Fatal("spent its steps")
	}
	if left, done := s.open(); len(p.found) > 0 || done || len(left) == 0 {
		t.Fatalf("found %d, %d left, done %v", len(p.found), len(left), done)
	}
}
