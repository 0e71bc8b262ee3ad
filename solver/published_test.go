package solver

import (
	"fmt"
	"math"
	"testing"
)

// Systems of J. J. Moré, B. S. Garbow, K. E. Hillstrom, "Testing unconstrained
// optimization software", ACM TOMS 7 (1981); stated from memory, their roots
// checked here by substitution.

func TestRosenbrock(t *testing.T) { // problem 1
	b := begin(t)
	x, y := b.v("x", -10, 10), b.v("y", -10, 10)
	b.rule(Product(Const(10), Difference(y, Product(x, x))), Const(0))
	b.rule(Difference(Const(1), x), Const(0))
	b.near(b.solve(Unique), 1, 1) // block-triangular: proved
}

func TestFreudensteinRoth(t *testing.T) { // problem 2
	b := begin(t)
	x, y := b.v("x", -50, 50), b.v("y", -50, 50)
	cubic := func(c, d float64) Expr { // ((c - y)y + d)y
		return Product(Sum(Product(Difference(Const(c), y), y), Const(d)), y)
	}
	b.rule(Sum(Sum(Const(-13), x), cubic(5, -2)), Const(0))
	b.rule(Sum(Sum(Const(-29), x), Product(Difference(Product(Sum(y, Const(1)), y), Const(14)), y)), Const(0))
	b.near(b.solve(Unique), 5, 4)
}

func TestPowellBadlyScaled(t *testing.T) { // problem 3
	b := begin(t)
	x, y := b.v("x", 0, 1), b.v("y", 0, 20)
	b.rule(Product(Product(Const(1e4), x), y), Const(1))
	b.rule(Sum(Exp(Negative(x)), Exp(Negative(y))), Const(1.0001))
	r := b.solve(Unique)
	if math.Abs(r.Values[0]/1.098e-5-1) > 1e-3 || math.Abs(r.Values[1]/9.106-1) > 1e-3 {
		t.Errorf("%v", r.Values)
	}
}

func TestBroydenTridiagonal(t *testing.T) { // problem 30
	const n = 10
	b := begin(t)
	xs := make([]Expr, n)
	for i := range xs {
		xs[i] = b.v(fmt.Sprint("x", i), -1.5, 0)
	}
	for i := range xs {
		e := Sum(Product(Difference(Const(3), Product(Const(2), xs[i])), xs[i]), Const(1))
		if i > 0 {
			e = Difference(e, xs[i-1])
		}
		if i < n-1 {
			e = Difference(e, Product(Const(2), xs[i+1]))
		}
		b.rule(e, Const(0))
	}
	r := b.solve(Unique)
	w := newScratch(compileSystem(b.System))
	for i := range b.cons {
		if !w.holds(i, r.Values) {
			t.Errorf("equation %d does not hold at %v", i, r.Values)
		}
	}
}

// TestPowellSingular is problem 13 and, with two and three of its blocks, problem
// 22. The Jacobian is singular at the root 0, so no interval-Newton test can prove
// it single: it is found, and neither called unique nor said to be all there is.
func TestPowellSingular(t *testing.T) {
	sq := func(e Expr) Expr { return Product(e, e) }
	for _, n := range []int{4, 8, 12} {
		b := begin(t)
		for range n / 4 {
			x := b.names(4, -4, 4)
			b.rule(Sum(x[0], Product(Const(10), x[1])), Const(0))
			b.rule(Product(Const(math.Sqrt(5)), Difference(x[2], x[3])), Const(0))
			b.rule(sq(Difference(x[1], Product(Const(2), x[2]))), Const(0))
			b.rule(Product(Const(math.Sqrt(10)), sq(Difference(x[0], x[3]))), Const(0))
		}
		r := b.solve(Unproved)
		for i, v := range r.Values {
			if !(math.Abs(v) < 1e-3) {
				t.Errorf("n = %d: x%d = %v, want 0", n, i, v)
			}
		}
		if r.Proof.Complete && r.Proof.Exist || len(r.Proof.Open) != n {
			t.Errorf("n = %d: too much is called proved: %+v", n, r.Proof)
		}
	}
}

// Circle and line: both points, the About picks.
func TestCircleAndLine(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", -10, 10), b.v("y", -10, 10)
	b.rule(Sum(Product(x, x), Product(y, y)), Const(25))
	b.rule(Difference(x, y), Const(1))
	r := b.solve(Several) // both found; more are not disproved, but that it is one is
	if len(r.Solutions) != 2 {
		t.Fatalf("%v", r.Solutions)
	}
	b.about(x, 3)
	b.near(b.Solve(), 4, 3)
}

// A circle and a line that miss each other: proved by subdivision.
func TestCircleAndLineApart(t *testing.T) {
	b := begin(t)
	x, y := b.v("x", -10, 10), b.v("y", -10, 10)
	circle := b.rule(Sum(Product(x, x), Product(y, y)), Const(1))
	line := b.rule(Sum(x, y), Const(4))
	b.is(b.free("z"), 1)
	b.same("conflict", b.solve(None).Conflict, []ID{circle, line})
}
