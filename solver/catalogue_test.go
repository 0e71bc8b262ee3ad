package solver

import (
	"fmt"
	"math"
	"testing"

	"perch/solver/referee"
)

// published is a square system with the number of solutions in its ranges.
type published struct {
	name   string
	source string
	count  int
	make   func(b build)
}

const (
	mgh  = "J. J. Moré, B. S. Garbow, K. E. Hillstrom, ACM TOMS 7 (1981), from memory, problem "
	hand = "closed form"
)

func total(xs ...Expr) Expr {
	s := xs[0]
	for _, x := range xs[1:] {
		s = Sum(s, x)
	}
	return s
}
func multiple(c float64, x Expr) Expr { return Product(Const(c), x) }
func less(x, y Expr) Expr             { return Difference(x, y) }
func sqr(x Expr) Expr                 { return Product(x, x) }
func num(x float64) Expr              { return Const(x) }

// names makes n variables of one range.
func (b build) names(n int, lo, hi float64) []Expr {
	xs := make([]Expr, n)
	for i := range xs {
		xs[i] = b.v(fmt.Sprint("x", i+1), lo, hi)
	}
	return xs
}
func (b build) zero(e Expr) { b.rule(e, num(0)) }

var catalogue = []published{
	{"Rosenbrock", mgh + "1", 1, func(b build) {
		x := b.names(2, -10, 10)
		b.zero(multiple(10, less(x[1], sqr(x[0]))))
		b.zero(less(num(1), x[0]))
	}},
	{"Freudenstein and Roth", mgh + "2", 1, func(b build) {
		x := b.names(2, -50, 50)
		b.zero(total(num(-13), x[0], Product(less(Product(less(num(5), x[1]), x[1]), num(2)), x[1])))
		b.zero(total(num(-29), x[0], Product(less(Product(Sum(x[1], num(1)), x[1]), num(14)), x[1])))
	}},
	{"Powell, badly scaled", mgh + "3; the roots mirror each other", 2, func(b build) {
		x := b.names(2, 0, 20)
		b.zero(less(Product(multiple(1e4, x[0]), x[1]), num(1)))
		b.zero(less(Sum(Exp(Negative(x[0])), Exp(Negative(x[1]))), num(1.0001)))
	}},
	{"Helical valley, right half", mgh + "7", 1, func(b build) {
		x := []Expr{b.v("x1", 0.1, 10), b.v("x2", -10, 10), b.v("x3", -10, 10)}
		turn := multiple(1/(2*math.Pi), Atan(Quotient(x[1], x[0])))
		b.zero(multiple(10, less(x[2], multiple(10, turn))))
		b.zero(multiple(10, less(Sqrt(Sum(sqr(x[0]), sqr(x[1]))), num(1))))
		b.zero(x[2])
	}},
	{"Extended Rosenbrock, 10", mgh + "21", 1, func(b build) {
		x := b.names(10, -5, 5)
		for i := 0; i < 10; i += 2 {
			b.zero(multiple(10, less(x[i+1], sqr(x[i]))))
			b.zero(less(num(1), x[i]))
		}
	}},
	{"Wood", mgh + "14, its gradient; the count is that of a public benchmark set", 3, func(b build) {
		x := b.names(4, -1e6, 1e6)
		one := func(k int) Expr { return less(x[k], num(1)) }
		u, v := less(x[1], sqr(x[0])), less(x[3], sqr(x[2]))
		b.zero(less(one(0), multiple(200, Product(x[0], u))))
		b.zero(total(multiple(200, u), multiple(20.2, one(1)), multiple(19.8, one(3))))
		b.zero(less(one(2), multiple(180, Product(x[2], v))))
		b.zero(total(multiple(180, v), multiple(20.2, one(3)), multiple(19.8, one(1))))
	}},
	{"Variably dimensioned, 6", mgh + "25, its gradient: convex", 1, func(b build) {
		x := b.names(6, -10, 10)
		t := num(0)
		for k := range x {
			t = Sum(t, multiple(float64(k+1), less(x[k], num(1))))
		}
		u := b.v("u", -1000, 1000)
		b.rule(u, t)
		for k := range x {
			b.zero(Sum(less(x[k], num(1)), multiple(float64(k+1), Product(u, Sum(num(1), multiple(2, sqr(u)))))))
		}
	}},
	{"Trigonometric, 2", mgh + "26; the count by scattered starts", 1, func(b build) { trigonometric(b, 2) }},
	{"Trigonometric, 3", mgh + "26; the count by scattered starts", 1, func(b build) { trigonometric(b, 3) }},
	{"Trigonometric, 5", mgh + "26; the count is that of a public benchmark set", 3, func(b build) { trigonometric(b, 5) }},
	{"Linear, full rank, 10", mgh + "32: -1 everywhere", 1, func(b build) {
		x := b.names(10, -100, 100)
		all := total(x...)
		for k := range x {
			b.zero(less(less(x[k], multiple(0.2, all)), num(1)))
		}
	}},
	{"Brown, almost linear, 5", mgh + "27; t^4(6-5t) = 1 has three real roots", 3, func(b build) {
		x := b.names(5, -10, 10)
		all := total(x...)
		for i := range 4 {
			b.zero(less(Sum(x[i], all), num(6)))
		}
		b.zero(less(Product(Product(Product(x[0], x[1]), Product(x[2], x[3])), x[4]), num(1)))
	}},
	{"Discrete boundary value, 8", mgh + "28", 1, func(b build) { boundary(b, 8) }},
	{"Discrete integral equation, 6", mgh + "29", 1, func(b build) {
		const n = 6
		const h = 1.0 / (n + 1)
		x := b.names(n, -1, 1)
		cube := func(j int) Expr { return Power(Sum(x[j], num(float64(float64(j+1)*h)+1)), num(3)) }
		for i := range n {
			e := x[i]
			ti := float64(float64(i+1) * h)
			for j := range n {
				tj := float64(float64(j+1) * h)
				c := float64(h/2*(1-ti)) * tj
				if j > i {
					c = float64(h/2*ti) * (1 - tj)
				}
				e = Sum(e, multiple(c, cube(j)))
			}
			b.zero(e)
		}
	}},
	{"Broyden, tridiagonal, 10", mgh + "30; two as the wide range of a public benchmark set has", 2, func(b build) { tridiagonal(-100, 100)(b, 10) }},
	{"Broyden, banded, 8", mgh + "31", 1, func(b build) { banded(-1, 1)(b, 8) }},
	{"Chebyquad, 2", mgh + "35; every order of the points", 2, func(b build) { chebyquad(b, 2) }},
	{"Chebyquad, 3", mgh + "35; every order of the points", 6, func(b build) { chebyquad(b, 3) }},
	{"Chebyquad, 4", mgh + "35; every order of the points", 24, func(b build) { chebyquad(b, 4) }},
	{"Himmelblau's critical points", "D. M. Himmelblau 1972, as widely reproduced: 4 minima, 4 saddles, 1 maximum", 9, func(b build) {
		x := b.names(2, -6, 6)
		u, v := less(Sum(sqr(x[0]), x[1]), num(11)), less(Sum(x[0], sqr(x[1])), num(7))
		b.zero(Sum(Product(multiple(4, x[0]), u), multiple(2, v)))
		b.zero(Sum(multiple(2, u), Product(multiple(4, x[1]), v)))
	}},
	{"Circle and line", hand, 2, func(b build) {
		x := b.names(2, -10, 10)
		b.rule(Sum(sqr(x[0]), sqr(x[1])), num(25))
		b.rule(less(x[0], x[1]), num(1))
	}},
	{"Circle and hyperbola", hand + ": (±3, ±4) and (±4, ±3)", 4, func(b build) {
		x := b.names(2, -10, 10)
		b.rule(Sum(sqr(x[0]), sqr(x[1])), num(25))
		b.rule(Product(x[0], x[1]), num(12))
	}},
	{"Circles apart", hand, 0, func(b build) {
		x := b.names(2, -10, 10)
		b.rule(Sum(sqr(x[0]), sqr(x[1])), num(4))
		b.rule(Sum(sqr(less(x[0], num(5))), sqr(x[1])), num(4))
	}},
	{"Three spheres", hand + ": mirror points", 2, func(b build) {
		x := b.names(3, -10, 10)
		for _, c := range [][3]float64{{0, 0, 0}, {2, 0, 0}, {0, 2, 1}} {
			b.rule(total(sqr(less(x[0], num(c[0]))), sqr(less(x[1], num(c[1]))), sqr(less(x[2], num(c[2])))), num(4))
		}
	}},
	{"Elementary symmetric, cube roots of one", hand + ": two of the three are complex", 0, func(b build) {
		x := b.names(3, -10, 10)
		b.rule(total(x...), num(0))
		b.rule(total(Product(x[0], x[1]), Product(x[1], x[2]), Product(x[2], x[0])), num(0))
		b.rule(Product(Product(x[0], x[1]), x[2]), num(1))
	}},
	{"Elementary symmetric, 1 2 3", hand + ": orders of (t-1)(t-2)(t-3)", 6, func(b build) {
		x := b.names(3, -10, 10)
		b.rule(total(x...), num(6))
		b.rule(total(Product(x[0], x[1]), Product(x[1], x[2]), Product(x[2], x[0])), num(11))
		b.rule(Product(Product(x[0], x[1]), x[2]), num(6))
	}},
	{"Arm of two links", hand + ": elbow up or down", 2, func(b build) {
		a := []Expr{b.v("a", -math.Pi, math.Pi), b.v("b", -math.Pi, math.Pi)}
		b.rule(Sum(multiple(3, Cos(a[0])), multiple(2, Cos(Sum(a[0], a[1])))), num(3.5))
		b.rule(Sum(multiple(3, Sin(a[0])), multiple(2, Sin(Sum(a[0], a[1])))), num(1.5))
	}},
	{"Arm out of reach", hand + ": 5.2 away, 5 long", 0, func(b build) {
		a := []Expr{b.v("a", -math.Pi, math.Pi), b.v("b", -math.Pi, math.Pi)}
		b.rule(Sum(multiple(3, Cos(a[0])), multiple(2, Cos(Sum(a[0], a[1])))), num(2))
		b.rule(Sum(multiple(3, Sin(a[0])), multiple(2, Sin(Sum(a[0], a[1])))), num(4.8))
	}},
	{"Exponential and line", hand + ": e^x = x + 2 twice", 2, func(b build) {
		x := b.names(2, -5, 5)
		b.rule(Exp(x[0]), Sum(x[1], Product(num(0), x[0])))
		b.rule(less(x[1], multiple(0.5, x[0])), Sum(num(2), multiple(0.5, x[0])))
	}},
	{"Sine and cosine", hand + ": x = cos y, y = sin x is a contraction", 1, func(b build) {
		x := b.names(2, -5, 5)
		b.zero(less(x[0], Cos(x[1])))
		b.zero(less(x[1], Sin(x[0])))
	}},
	{"Crossed ladders", "the old problem of ladders 20 and 30 that cross 8 up: one street, width 16.2121", 1, func(b build) {
		x := []Expr{b.v("w", 1, 19), b.v("a", 8.5, 20), b.v("c", 8.5, 30)}
		b.rule(Sum(sqr(x[0]), sqr(x[1])), num(400))
		b.rule(Sum(sqr(x[0]), sqr(x[2])), num(900))
		b.rule(Product(x[1], x[2]), multiple(8, Sum(x[1], x[2])))
	}},
	{"Coupled cubics", hand + ": x = y³, y = x³ at -1, 0, 1", 3, func(b build) {
		x := b.names(2, -3, 3.1)
		b.zero(less(x[0], Power(x[1], num(3))))
		b.zero(less(x[1], Power(x[0], num(3))))
	}},
}

// trigonometric is problem 26 over one period, less its ends, where all zeros is a
// root.
func trigonometric(b build, n int) {
	x := b.names(n, 1e-8, 2*math.Pi-1e-8)
	all := num(0)
	for _, y := range x {
		all = Sum(all, Cos(y))
	}
	for k, y := range x {
		b.zero(less(total(less(num(float64(n)), all), multiple(float64(k+1), less(num(1), Cos(y)))), Sin(y)))
	}
}

// chebyquad is the quadrature system of problem 35 on 0..1.
func chebyquad(b build, n int) {
	x := b.names(n, 0, 1)
	for i := 1; i <= n; i++ {
		e := num(0)
		for _, y := range x {
			z := less(multiple(2, y), num(1))
			t0, t1 := num(1), z
			for range i - 1 {
				t0, t1 = t1, less(Product(multiple(2, z), t1), t0)
			}
			e = Sum(e, multiple(1/float64(n), t1))
		}
		if i%2 == 0 {
			e = Sum(e, num(1/float64(i*i-1)))
		}
		b.zero(e)
	}
}

// Every count is right and proved; every solution is proved again by the referee
// in big numbers; and scattered Newton starts find no other.
func TestCatalogue(t *testing.T) {
	for _, c := range catalogue {
		b := begin(t)
		c.make(b)
		r := b.Solve()
		if len(r.Solutions) != c.count || !r.Proof.Complete || c.count > 0 && !r.Proof.Exist {
			t.Errorf("%s (%s): %d solutions, want %d; status %d, %+v", c.name, c.source, len(r.Solutions), c.count, r.Status, r.Proof)
			continue
		}
		want := map[int]Status{0: None, 1: Unique}[c.count]
		if c.count > 1 {
			want = Several
		}
		if r.Status != want {
			t.Errorf("%s: status %d, want %d", c.name, r.Status, want)
		}
		for _, x := range r.Solutions {
			if !refereed(t, b.System, x, 1e-9) {
				t.Errorf("%s: the referee does not prove %v", c.name, x)
			}
		}
		for _, y := range wanders(b.System, 200) {
			if !nearOne(r.Solutions, y) {
				t.Errorf("%s: %v is missing of %v", c.name, y, r.Solutions)
			}
		}
	}
}

func nearOne(all [][]float64, y []float64) bool {
	for _, x := range all {
		same := true
		for k := range x {
			same = same && math.Abs(x[k]-y[k]) <= 1e-5*math.Max(1, math.Abs(x[k]))
		}
		if same {
			return true
		}
	}
	return false
}

// The referee itself must not believe everything.
func TestRefereeDoubts(t *testing.T) {
	b := begin(t)
	x := b.names(2, -10, 10)
	b.rule(Sum(sqr(x[0]), sqr(x[1])), num(25))
	b.rule(less(x[0], x[1]), num(1))
	if refereed(t, b.System, []float64{4.001, 3}, 1e-9) {
		t.Error("(4.001, 3) is no solution")
	}
	if !refereed(t, b.System, []float64{4, 3}, 1e-9) {
		t.Error("(4, 3) is one")
	}
}

// equations are the sides' differences of a System's rules, with the ends of its ranges.
func equations(s *System) (f []Expr, lo, hi []float64) {
	for _, c := range s.cons {
		f = append(f, Difference(c.Left, c.Right))
	}
	for _, v := range s.vars {
		lo, hi = append(lo, v.lo), append(hi, v.hi)
	}
	return f, lo, hi
}

// refereed asks the independent proof whether one solution lies within radius of x.
func refereed(t *testing.T, s *System, x []float64, radius float64) bool {
	t.Helper()
	f, _, _ := equations(s)
	if len(f) != len(x) {
		t.Fatalf("%d equations, %d unknowns", len(f), len(x))
	}
	return referee.Proves(f, x, radius)
}

// wanders asks it for solutions met by chance.
func wanders(s *System, starts int) [][]float64 {
	f, lo, hi := equations(s)
	return referee.Wander(f, lo, hi, starts)
}
