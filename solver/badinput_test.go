package solver

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// What a maker can get wrong: each ends in bounded time with an honest status, and
// what is called Unique has no NaN.
func TestBadInput(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name string
		make func(b build)
		want []Status
	}{
		{"singular linear rules", func(b build) {
			x, y, z := b.free("x"), b.free("y"), b.free("z")
			b.rule(total(x, y, z), num(6))
			b.rule(less(x, y), num(0))
			b.rule(total(multiple(2, x), z), num(6)) // the sum of the two
		}, []Status{Undetermined}},
		{"nearly singular linear rules", func(b build) {
			x, y := b.v("x", -1e6, 1e6), b.v("y", -1e6, 1e6)
			b.rule(Sum(x, y), num(2))
			b.rule(Sum(x, multiple(1+1e-8, y)), num(2+1e-8))
		}, []Status{Unique}},
		{"dependent curved rules", func(b build) {
			x, y := b.v("x", 1, 10), b.v("y", 1, 10)
			b.rule(Product(x, y), num(6))
			b.rule(multiple(2, Product(y, x)), num(12))
		}, []Status{Undetermined}},
		{"true everywhere", func(b build) {
			x := b.v("x", 0, 10)
			b.rule(x, x)
			b.rule(Sum(Product(x, x), num(1)), Sum(num(1), Product(x, x)))
		}, []Status{Undetermined}},
		{"true everywhere, and stated", func(b build) {
			x := b.v("x", 0, 10)
			b.rule(x, x)
			b.is(x, 3)
		}, []Status{Unique}},
		{"inconsistent by 1e-12: forgiven", func(b build) {
			x, y := b.v("x", 0, 10), b.v("y", 0, 10)
			b.rule(Sum(x, y), num(5))
			b.rule(Sum(x, y), num(5*(1+1e-12)))
			b.is(x, 2)
		}, []Status{Unique}},
		{"inconsistent by 1e-6", func(b build) {
			x, y := b.v("x", 0, 10), b.v("y", 0, 10)
			b.rule(Sum(x, y), num(5))
			b.rule(Sum(x, y), num(5*(1+1e-6)))
			b.is(x, 2)
		}, []Status{None}},
		{"tangent circles off by 1e-12: no proof either way", func(b build) {
			x, y := b.v("x", -5, 5), b.v("y", -5, 5)
			b.rule(Sum(sqr(x), sqr(y)), num(4))
			b.rule(Sum(sqr(less(x, num(4+1e-12))), sqr(y)), num(4))
		}, []Status{Unproved}},
		{"tangent circles", func(b build) {
			x, y := b.v("x", -5, 5), b.v("y", -5, 5)
			b.rule(Sum(sqr(x), sqr(y)), num(4))
			b.rule(Sum(sqr(less(x, num(4))), sqr(y)), num(4))
		}, []Status{Unproved}},
		{"mixed scales", func(b build) {
			e, i, f, l := b.v("E", 1e10, 1e12), b.v("I", 1e-12, 1e-6), b.v("F", 1, 1e5), b.v("L", 1, 5000)
			w := b.v("w", 0, 100)
			b.rule(Product(multiple(3, Product(e, i)), w), Product(f, Power(Product(l, num(1e-3)), num(3))))
			b.rule(Product(w, num(1e-3)), Quotient(l, num(2e5)))
			b.is(e, 2.1e11)
			b.is(i, 1e-9)
			b.is(f, 1000)
		}, []Status{Unique, Several, None}},
		{"huge and tiny in a block", func(b build) {
			x, y := b.v("x", 0, 1e12), b.v("y", 0, 1e-6)
			b.rule(Product(x, y), num(1e3))
			b.rule(Sum(multiple(1e-12, x), multiple(1e6, y)), num(0.9))
		}, []Status{Several}},
		{"division by zero in range", func(b build) {
			x, y := b.v("x", -10, 10), b.v("y", -10, 10)
			b.rule(Quotient(num(1), less(x, y)), num(2))
			b.rule(Sum(x, y), num(1))
		}, []Status{Unique}},
		{"division by zero everywhere", func(b build) {
			x, y := b.v("x", -10, 10), b.v("y", -10, 10)
			b.rule(Quotient(num(1), less(x, x)), y)
			b.rule(Sum(x, y), num(1))
		}, []Status{None, Undetermined}},
		{"many periods in a block", func(b build) {
			x, y := b.v("x", 0, 1000), b.v("y", 0, 1000)
			b.rule(Sin(Product(x, y)), num(0.5))
			b.rule(Cos(Sum(x, y)), num(0.25))
		}, []Status{Several, Unproved}},
		{"periods without an end", func(b build) {
			x, y := b.v("x", -inf, inf), b.v("y", -inf, inf)
			b.rule(Sin(Sum(x, y)), num(0.5))
			b.rule(Cos(x), multiple(0.5, y))
		}, []Status{Several, Unproved}},
		{"whole numbers in equations", func(b build) {
			n, m := b.Var("n", 0, 100, true).Expr(), b.Var("m", 0, 100, true).Expr()
			b.rule(Sum(Product(n, n), m), num(40))
			b.rule(Sum(Product(m, m), n), num(22))
		}, []Status{Unique}},
		{"whole numbers that do not fit", func(b build) {
			n, m := b.Var("n", 0, 100, true).Expr(), b.Var("m", 0, 100, true).Expr()
			b.rule(Sum(Product(n, n), m), num(41))
			b.rule(Sum(Product(m, m), n), num(22))
		}, []Status{None}},
		{"a thousand identical rules", func(b build) {
			x, y := b.v("x", 0, 10), b.v("y", 0, 10)
			for range 1000 {
				b.rule(Sum(x, Product(y, y)), num(6))
			}
			b.is(x, 2)
		}, []Status{Unique}},
		{"a thousand identical rules and one that is not", func(b build) {
			x, y := b.v("x", 0, 10), b.v("y", 0, 10)
			for range 1000 {
				b.rule(Sum(x, y), num(6))
			}
			b.is(x, 2)
			b.rule(Sum(x, y), num(7))
		}, []Status{None}},
		{"a root at the end of a range", func(b build) {
			x, y := b.v("x", 0, 3), b.v("y", 4, 9)
			b.rule(Sum(sqr(x), sqr(y)), num(25))
			b.rule(less(y, x), num(1))
		}, []Status{Unique}},
		{"undefined in part", func(b build) {
			x, y := b.v("x", -10, 10), b.v("y", -10, 10)
			b.rule(Sqrt(x), y)
			b.rule(Sum(Ln(y), x), num(1))
		}, []Status{Unique}},
		{"not smooth", func(b build) {
			x, y := b.v("x", -10, 10), b.v("y", -10, 10)
			b.rule(Sum(Abs(x), y), num(3))
			b.rule(Max(x, multiple(2, y)), num(4))
		}, []Status{Several}},
		{"steps in a block", func(b build) {
			x, y := b.v("x", 0, 10), b.v("y", 0, 100)
			b.rule(y, Sum(Ceil(multiple(7, x), num(5)), num(0.5)))
			b.rule(Sum(x, multiple(0.1, y)), num(9.3))
		}, []Status{Unproved, Unique, None}},
	} {
		b := begin(t)
		c.make(b)
		start := time.Now()
		r := b.Solve()
		ok := false
		for _, s := range c.want {
			ok = ok || r.Status == s
		}
		if !ok {
			t.Errorf("%s: status %d, want one of %v: %v, conflict %v, %+v", c.name, r.Status, c.want, r.Solutions, r.Conflict, r.Proof)
		}
		for _, x := range r.Solutions {
			for _, v := range x {
				if r.Status == Unique && math.IsNaN(v) {
					t.Errorf("%s: NaN in %v", c.name, x)
				}
			}
		}
		if testing.Verbose() {
			fmt.Printf("%-50s %d, %d solutions, %d in conflict, %v\n", c.name, r.Status, len(r.Solutions), len(r.Conflict), time.Since(start))
		}
	}
}
