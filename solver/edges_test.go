package solver

import (
	"math"
	"testing"

	"perch/solver/structure"
)

func TestIntegers(t *testing.T) {
	b := begin(t)
	n := b.Var("n", 0, 10, true).Expr()
	b.rule(Product(n, Const(3)), Const(12))
	b.near(b.solve(Unique), 4)

	b = begin(t)
	n = b.Var("n", 0, 10, true).Expr()
	id := b.rule(Product(n, Const(3)), Const(13))
	r := b.solve(None)
	b.same("conflict", r.Conflict, []ID{id})
	b.same("range", r.Range, []Var{0})

	b = begin(t)
	n = b.Var("n", 0, 10, true).Expr()
	b.about(n, 2.6)
	b.rel(n, GE, Const(3.5))
	b.near(b.solve(Unique), 4)
}

func TestDivisionByZeroInRange(t *testing.T) {
	b := begin(t)
	x := b.v("x", -10, 10)
	b.rule(Quotient(Const(1), x), Const(4))
	b.near(b.solve(Unique), 0.25)

	b = begin(t)
	x, y := b.v("x", -10, 10), b.free("y")
	b.is(x, 0)
	b.rule(y, Quotient(Const(1), x))
	b.solve(None)
}

func TestScales(t *testing.T) {
	b := begin(t)
	x, y := b.free("x"), b.free("y")
	b.rule(Product(x, Const(1e12)), Const(5))
	b.rule(Product(y, Const(1e-12)), x)
	r := b.solve(Unique)
	if math.Abs(r.Values[0]/5e-12-1) > 1e-12 || math.Abs(r.Values[1]/5-1) > 1e-12 {
		t.Errorf("%v", r.Values)
	}
	b = begin(t)
	x = b.free("x")
	b.is(x, 5e-12)
	b.is(x, 6e-12)
	b.solve(None)
}

func TestNonsenseIsNotFatal(t *testing.T) {
	b := begin(t)
	x := b.v("x", 5, -5)
	b.is(x, 1)
	b.solve(None)

	b = begin(t)
	x = b.v("x", math.NaN(), math.NaN())
	b.is(x, math.NaN())
	b.solve(None)

	b = begin(t)
	x = b.free("x")
	b.rule(x, Var(17).Expr())
	b.solve(None)

	b = begin(t)
	b.Add(Constraint{})
	b.solve(None)

	b = begin(t)
	b.rule(Const(1), Const(2))
	b.same("conflict", b.solve(None).Conflict, []ID{0})

	b = begin(t)
	x = b.free("x")
	b.rule(Lookup(x, []float64{1, 1}, []float64{2, 3}), Const(1))
	b.solve(None)

	b = begin(t)
	b.solve(Unique) // nothing to solve

	b = begin(t)
	x = b.free("x")
	b.is(x, math.Inf(1))
	b.solve(None)
}

func TestSteps(t *testing.T) {
	b := begin(t)
	x, n := b.v("x", 0, 100), b.v("n", 0, 100)
	b.rule(n, Ceil(x, Const(5)))
	b.about(x, 23)
	b.near(b.solve(Unique), 23, 25)

	// Backwards a step leaves x free within it; About picks.
	b = begin(t)
	x = b.v("x", 0, 100)
	b.rule(Ceil(x, Const(5)), Const(25))
	b.about(x, 23)
	b.near(b.solve(Unique), 23)
	b = begin(t)
	x = b.v("x", 0, 100)
	b.rule(Ceil(x, Const(5)), Const(25))
	b.about(x, 31)
	r := b.solve(Unique)
	b.near(r, 25)
	b = begin(t)
	x = b.v("x", 0, 100)
	b.rule(Ceil(x, Const(5)), Const(25))
	b.same("free sets", b.solve(Undetermined).FreeSets, [][]Var{{0}})
}

func TestLookupBothWays(t *testing.T) {
	xs, ys := []float64{0, 60, 110}, []float64{20, 50, 40}
	b := begin(t)
	x, y := b.v("x", 0, 200), b.free("y")
	b.rule(y, Lookup(x, xs, ys))
	b.is(x, 85)
	b.near(b.solve(Unique), 85, 45)

	b = begin(t)
	x = b.v("x", 0, 200)
	b.rule(Lookup(x, xs, ys), Const(45))
	b.same("solutions", len(b.solve(Several).Solutions), 2) // 50 and 85
}

// A name on both sides is not assigned from itself.
func TestNameOnBothSides(t *testing.T) {
	b := begin(t)
	x := b.v("x", 0, 1)
	b.rule(x, Sqrt(Sum(Const(1), Product(x, x))))
	b.solve(None)
	b = begin(t)
	x = b.v("x", 0, 10)
	b.rule(x, Cos(x))
	b.near(b.solve(Unique), 0.7390851332151607) // the cosine's fixed point, from memory
}

// A shared subexpression of 2^60 leaves is 60 nodes.
func TestSharedExpression(t *testing.T) {
	b := begin(t)
	x, y := b.free("x"), b.free("y")
	e := x
	for range 60 {
		e = Sum(e, e)
	}
	b.rule(y, e)
	b.is(x, 1)
	b.near(b.solve(Unique), 1, 0x1p+60)
}

func TestDeepExpression(t *testing.T) {
	b := begin(t)
	x, y := b.free("x"), b.free("y")
	e := x
	for range 60000 {
		e = Sum(e, Const(1))
	}
	b.rule(y, e)
	b.is(x, 1)
	b.near(b.solve(Unique), 1, 60001)
}

// A rule on a name doubled 200 times by adding it to itself, of 2^200 terms were they not
// shared, is solved either way, alone and beside others on parts of the same chain.
func TestSharedChain(t *testing.T) {
	for _, forward := range []bool{true, false} {
		b := begin(t)
		x, y := b.v("x", -1e3, 1e3), b.v("y", -1e70, 1e70)
		e := x
		steps := 0
		for k := range 200 {
			e = Sum(e, e)
			if k%50 == 0 {
				b.rule(e, Product(Const(math.Ldexp(1, k+1)), b.v("z", -1e3, 1e3)))
			}
		}
		b.rule(y, e)
		if forward {
			b.is(x, 3)
		} else {
			b.is(y, math.Ldexp(3, 200))
		}
		p := compileSystem(b.System)
		for i := range p.tapes {
			steps += p.tapes[i].Size()
		}
		if steps > 1000 {
			t.Errorf("%d steps", steps)
		}
		r := b.Solve()
		if r.Status != Unique || math.Abs(r.Values[0]-3) > 1e-9 || math.Abs(r.Values[2]-3) > 1e-9 {
			t.Errorf("forward %v: %v %v", forward, r.Status, r.Values)
		}
	}
}

// Twenty pairs, each with a sum: 2^20 smallest sets, of which the first are listed.
func TestManyFreeSets(t *testing.T) {
	b := begin(t)
	for range 20 {
		b.rule(Sum(b.v("x", 0, 9), b.v("y", 0, 9)), Const(5))
	}
	r := b.solve(Undetermined)
	if len(r.FreeSets) != structure.MaxFreeSets || len(r.FreeSets[0]) != 20 {
		t.Errorf("%d sets, %v", len(r.FreeSets), r.FreeSets[0])
	}
}

// Independent names with two roots each: the Abouts pick among 2^12 combinations
// more than are listed, the first being the nearest.
func TestManyRootsWithAbouts(t *testing.T) {
	b := begin(t)
	var want []float64
	for i := range 12 {
		x := b.v("x", -9, 9)
		b.rule(Product(x, x), Const(4))
		want = append(want, 2-4*float64(i%2))
		b.about(x, want[i]*1.5)
	}
	b.near(b.Solve(), want...)
}

func TestLongConflictEnds(t *testing.T) {
	s := chain(3000)
	last := s.Add(Constraint{Left: Var(2999).Expr(), Right: Const(1e6), Strength: Stated})
	r := s.Solve()
	if r.Status != None || r.Conflict[len(r.Conflict)-1] != last {
		t.Errorf("%v %d", r.Status, len(r.Conflict))
	}
}
