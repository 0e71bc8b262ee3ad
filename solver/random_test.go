package solver

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"perch/solver/elementary"
	"perch/solver/expr"
	"pgregory.net/rapid"
)

// randomExpr is an expression over xs that is defined near at.
func randomExpr(t *rapid.T, xs []Expr, depth int) Expr {
	pick := rapid.IntRange(0, 13).Draw(t, "op")
	if depth == 0 || pick < 3 {
		if pick == 0 || len(xs) == 0 {
			return Const(rapid.Float64Range(-3, 3).Draw(t, "c"))
		}
		return xs[rapid.IntRange(0, len(xs)-1).Draw(t, "x")]
	}
	a := randomExpr(t, xs, depth-1)
	switch pick {
	case 3, 4:
		return Sum(a, randomExpr(t, xs, depth-1))
	case 5:
		return Difference(a, randomExpr(t, xs, depth-1))
	case 6:
		return Product(a, randomExpr(t, xs, depth-1))
	case 7:
		return Quotient(a, Sum(Const(2), Abs(randomExpr(t, xs, depth-1))))
	case 8:
		return Sin(a)
	case 9:
		return Atan(a)
	case 10:
		return Sqrt(Sum(Const(1), Product(a, a)))
	case 11:
		return Exp(Sin(a))
	case 12:
		return Power(Sum(Const(1), Abs(a)), Const(1.5))
	}
	return Ln(Sum(Const(2), Abs(a)))
}

// Values are picked first and rules made that hold there; the solver must find
// values at which all hold, and those where it claims Unique.
func TestRandomSystems(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := New()
		n := rapid.IntRange(1, 6).Draw(t, "n")
		want := make([]float64, n)
		xs := make([]Expr, n)
		for i := range xs {
			want[i] = rapid.Float64Range(-5, 5).Draw(t, "value")
			xs[i] = s.Var(fmt.Sprint("x", i), -6, 6, false).Expr()
		}
		buf := make([]float64, 4096)
		for i := range xs {
			e := randomExpr(t, xs[:i], 3)
			// a slope in x[i] that is never 0, and its value at want
			l := Sum(e, Sum(Product(Const(2), xs[i]), Sin(xs[i])))
			tp := expr.Compile(l, Const(0), n)
			if tp.Size() > len(buf) {
				t.Skip("too long")
			}
			y := tp.Eval(want, buf)
			if !elementary.Finite(y) || math.Abs(y) > 1e6 {
				t.Skip("undefined")
			}
			s.Add(Constraint{Left: l, Right: Const(y)})
		}
		r := s.Solve()
		if r.Status != Unique {
			t.Fatalf("status %v, want %v; %+v", r.Status, want, r)
		}
		w := newScratch(compileSystem(s))
		for i := range s.cons {
			if !w.holds(i, r.Values) {
				t.Fatalf("%d does not hold at %v", i, r.Values)
			}
		}
	})
}

// Any system at all: no panic, no NaN called a solution, all rules hold.
func TestAnySystemIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := New()
		n := rapid.IntRange(1, 4).Draw(t, "n")
		xs := make([]Expr, n)
		for i := range xs {
			lo := float64(rapid.IntRange(-4, 4).Draw(t, "lo"))
			xs[i] = s.Var(fmt.Sprint("x", i), lo, lo+float64(rapid.IntRange(0, 6).Draw(t, "w")), rapid.IntRange(0, 4).Draw(t, "whole") == 0).Expr()
		}
		for range rapid.IntRange(1, 5).Draw(t, "m") {
			s.Add(Constraint{
				Left: randomExpr(t, xs, 2), Right: randomExpr(t, xs, 1),
				Rel: Relation(rapid.IntRange(0, 8).Draw(t, "rel") % 6 * rapid.IntRange(0, 1).Draw(t, "not EQ")), Strength: Strength(rapid.IntRange(0, 4).Draw(t, "strength")),
			})
		}
		r := s.Solve()
		w := newScratch(compileSystem(s))
		if r.Status == Unique || r.Status == Several {
			for i, c := range s.cons {
				if c.Strength < About && !w.holds(i, r.Values) && !forgiven(s, w, i, r.Values) {
					t.Fatalf("%d does not hold: %+v", i, r)
				}
			}
			for v, x := range r.Values {
				if !(x >= s.vars[v].lo && x <= s.vars[v].hi) || s.vars[v].integer && x != math.Round(x) {
					t.Fatalf("x%d = %v: %+v", v, x, r)
				}
			}
		}
		if r.Status == None && len(r.Conflict) == 0 && len(s.cons) > 0 && !emptyRange(s) {
			t.Fatalf("none without a conflict: %+v", r)
		}
		if r.Status == Undetermined && len(r.FreeSets) == 0 {
			t.Fatalf("undetermined without free sets: %+v", r)
		}
	})
}

// forgiven tells whether an equality is off by no more than setting its variables
// to an end of their range, or to a whole number, may have moved it.
func forgiven(s *System, w *scratch, i int, x []float64) bool {
	tp := &w.p.tapes[i]
	r := math.Abs(tp.Eval(x, w.buf))
	clear(w.grad)
	tp.Gradient(w.buf, w.adj, w.grad)
	may := expr.LeastResidual
	for _, v := range tp.Vars {
		may += 1.01 * expr.Tolerance * math.Max(1, math.Abs(x[v])) * math.Abs(w.grad[v])
	}
	return s.cons[i].Rel == EQ && r <= may
}

func emptyRange(s *System) bool {
	for _, v := range s.vars {
		if v.lo > v.hi {
			return true
		}
	}
	return false
}

// TestPlantedRootsStay solves sparse random systems of a known solution, of sizes at
// which the ways to prove change: none may be called unsolvable, and where all
// solutions are claimed to be known that one is among them.
func TestPlantedRootsStay(t *testing.T) {
	trials := 60
	if testing.Short() {
		trials = 15
	}
	r := rand.New(rand.NewPCG(7, 9))
	complete := 0
	for trial := range trials {
		b, root, span := planted(t, r, 13+r.IntN(60))
		res := b.Solve()
		hit := slices.ContainsFunc(res.Solutions, func(x []float64) bool {
			for i := range x {
				if !(math.Abs(x[i]-root[i]) < 1e-5*(1+span)) {
					return false
				}
			}
			return true
		})
		if res.Proof.Complete {
			complete++
		}
		if res.Status == None || res.Proof.Complete && !hit {
			t.Errorf("trial %d, %d names: status %d, %+v, %d solutions without %v", trial, len(root), res.Status, res.Proof, len(res.Solutions), root)
		}
	}
	t.Logf("all solutions claimed to be known in %d of %d", complete, trials)
	if complete == 0 {
		t.Error("nothing was claimed")
	}
}

// planted is a system of n rules on names within span of zero, each on a few that are
// near it, which root solves.
func planted(t *testing.T, r *rand.Rand, n int) (b build, root []float64, span float64) {
	b = begin(t)
	xs := make([]Expr, n)
	root = make([]float64, n)
	span = []float64{0.3, 1, 3}[r.IntN(3)]
	for i := range xs {
		xs[i] = b.v(fmt.Sprint("x", i), -span, span)
		root[i] = (2*r.Float64() - 1) * span
	}
	main, reach := []float64{0.2, 1, 3, 6}[r.IntN(4)], 1+r.IntN(6)
	for i, x := range xs {
		e, v := multiple(main, x), main*root[i]
		switch r.IntN(3) {
		case 0:
			e, v = Sum(e, Product(x, x)), v+root[i]*root[i]
		case 1:
			e, v = Sum(e, Sin(x)), v+math.Sin(root[i])
		}
		for range 1 + r.IntN(3) {
			j, c := (i+r.IntN(2*reach+1)-reach+n)%n, 2*r.Float64()-1
			if r.IntN(2) == 0 {
				e, v = Sum(e, multiple(c, xs[j])), v+c*root[j]
			} else {
				e, v = Sum(e, multiple(c, Product(xs[j], x))), v+c*root[j]*root[i]
			}
		}
		b.rule(e, num(v))
	}
	return b, root, span
}
