package solver

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// chain is n rules, each name solved from the one before.
func chain(n int) *System {
	s := New()
	x := s.Var("x0", 0, 1e6, false).Expr()
	s.Add(Constraint{Left: x, Right: Const(1), Strength: Stated})
	for i := 1; i < n; i++ {
		y := s.Var(fmt.Sprint("x", i), -1e9, 1e9, false).Expr()
		if i%2 == 0 {
			s.Add(Constraint{Left: y, Right: Sum(Product(Const(0.5), x), Const(1))})
		} else { // to be solved, not assigned
			s.Add(Constraint{Left: Sum(Product(Const(3), y), Sin(x)), Right: Const(7)})
		}
		x = y
	}
	return s
}

func TestChainIsSolvedAndScales(t *testing.T) { scales(t, "chain", chain, 1000, 10000) }

// scales solves a system of a and of b rules, which has one solution, and holds the work,
// in steps, to about the first power of their number; that of time is printed.
func scales(t *testing.T, name string, system func(n int) *System, a, b int) {
	t.Helper()
	solve := func(n int) (seconds, steps float64) {
		seconds = math.Inf(1)
		for range 3 {
			p := compileSystem(system(n))
			w := newScratch(p)
			start, before := time.Now(), w.proof
			o := w.run(p.query())
			seconds = math.Min(seconds, time.Since(start).Seconds())
			if len(o.solutions) != 1 || !o.complete || !o.exist {
				t.Fatalf("%s of %d: %d solutions; complete %v, exist %v", name, n, len(o.solutions), o.complete, o.exist)
			}
			steps = float64(before - w.proof + o.work)
		}
		return seconds, steps
	}
	s1, w1 := solve(a)
	s2, w2 := solve(b)
	growth := math.Log(float64(b) / float64(a))
	power := math.Log(w2/w1) / growth
	t.Logf("%s: %d in %.2f ms, %d in %.1f ms: time grows as n^%.2f, %.0f steps as n^%.2f", name, a, s1*1e3, b, s2*1e3, math.Log(s2/s1)/growth, w2, power)
	if !(power < 1.3) {
		t.Errorf("%s: steps grow as n^%.2f", name, power)
	}
}

func BenchmarkChain10000(b *testing.B) {
	s := chain(10000)
	for b.Loop() {
		s.Solve()
	}
}

func BenchmarkStool(b *testing.B) {
	s := newStool(b)
	flap, rungs, shell := s.v("flap", 30, 120), s.Var("rungs", 0, 2, true).Expr(), s.v("shell", 0, 5)
	s.is(flap, 70)
	s.is(rungs, 1)
	s.is(shell, 1.5)
	s.is(s.seat, 320)
	s.is(s.height, 760)
	s.is(s.foot, 480)
	s.rel(Quotient(s.height, Sum(rungs, Const(1))), GE, Const(160))
	if r := s.Solve(); r.Status != Unique {
		b.Fatalf("%+v", r)
	}
	for b.Loop() {
		s.Solve()
	}
}
