package roots

import (
	"math"
	"testing"

	"perch/solver/expr"
	"perch/solver/interval"
)

// Textbook systems with all their solutions in the box (J. J. Moré, B. S. Garbow, K. E.
// Hillstrom, "Testing unconstrained optimization software", ACM Transactions on Mathematical
// Software 7, 1981, by number), and ones without.
func TestTextbookSystems(t *testing.T) {
	for _, c := range []struct {
		name string
		make func() *system
		want [][]float64
	}{
		{"Rosenbrock, 1", func() *system {
			s := newSystem(2, -10, 10)
			s.zero(multiple(10, less(s.x[1], sqr(s.x[0]))))
			s.zero(less(num(1), s.x[0]))
			return s
		}, [][]float64{{1, 1}}},
		{"Freudenstein and Roth, 2", func() *system {
			s := newSystem(2, -20, 20)
			x, y := s.x[0], s.x[1]
			s.zero(total(num(-13), x, expr.Product(less(expr.Product(less(num(5), y), y), num(2)), y)))
			s.zero(total(num(-29), x, expr.Product(less(expr.Product(total(y, num(1)), y), num(14)), y)))
			return s
		}, [][]float64{{5, 4}}},
		{"a circle and a hyperbola", func() *system { // (x+y)² = 9, (x-y)² = 1
			s := newSystem(2, -5, 5)
			s.zero(less(total(sqr(s.x[0]), sqr(s.x[1])), num(5)))
			s.zero(less(expr.Product(s.x[0], s.x[1]), num(2)))
			return s
		}, [][]float64{{1, 2}, {2, 1}, {-1, -2}, {-2, -1}}},
		{"circles apart", func() *system {
			s := newSystem(2, -5, 5)
			s.zero(less(total(sqr(s.x[0]), sqr(s.x[1])), num(1)))
			s.zero(less(total(sqr(less(s.x[0], num(3))), sqr(s.x[1])), num(1)))
			return s
		}, nil},
	} {
		p := c.make().solve(100_000_000)
		if !p.Done || len(p.Found) != len(c.want) {
			t.Errorf("%s: found %d, want %d, done %v", c.name, len(p.Found), len(c.want), p.Done)
			continue
		}
		for _, w := range c.want {
			hit := 0
			for _, f := range p.Found {
				in := true
				for k, x := range w {
					in = in && f.Tight[k].Has(x)
				}
				if in {
					hit++
				}
			}
			if hit != 1 {
				t.Errorf("%s: %v is enclosed %d times", c.name, w, hit)
			}
		}
	}
}

// TestIsolated proves single roots and not double ones.
func TestIsolated(t *testing.T) {
	for _, c := range []struct {
		f    func(x expr.Expr) expr.Expr
		x    float64
		want bool
	}{
		{func(x expr.Expr) expr.Expr { return less(sqr(x), num(2)) }, math.Sqrt2, true},
		{func(x expr.Expr) expr.Expr { return less(sqr(x), num(2)) }, 1.41, false},
		{func(x expr.Expr) expr.Expr { return sqr(less(x, num(2))) }, 2, false},
	} {
		s := newSystem(1, -9, 9)
		s.zero(c.f(s.x[0]))
		if got := Isolated(s.rows(), []float64{1}, []float64{c.x}); got != c.want {
			t.Errorf("%v: %v", c.x, got)
		}
	}
}

// scalarOf finds the roots of one equation between lo and hi, in so many steps.
func scalarOf(e expr.Expr, lo, hi float64, steps int) Set {
	t := expr.Compile(e, expr.Const(0), 1)
	n := t.Size()
	s := Scalar{Tape: &t, X: make([]float64, 1), Buf: make([]float64, n), Adj: make([]float64, n), Grad: make([]float64, 1), Duals: make([]expr.Dual, n), Steps: &steps}
	return s.Find(lo, hi)
}

// TestScalarRoots finds the roots of one equation: of the Chebyshev polynomial T8 they are
// cos((2k-1)π/16), of a sine the multiples of π, and a double one only where it is told apart.
func TestScalarRoots(t *testing.T) {
	x := expr.Var(0).Expr()
	chebyshev := [2]expr.Expr{num(1), x}
	for range 7 { // T(n+1) = 2x·T(n) - T(n-1)
		chebyshev = [2]expr.Expr{chebyshev[1], less(expr.Product(multiple(2, x), chebyshev[1]), chebyshev[0])}
	}
	var eight []float64
	for k := 8; k >= 1; k-- {
		eight = append(eight, math.Cos(float64(2*k-1)*math.Pi/16))
	}
	for _, c := range []struct {
		name   string
		e      expr.Expr
		lo, hi float64
		want   []float64
		exist  bool
	}{
		{"T8", chebyshev[1], -2, 2, eight, true},
		{"sine", expr.Sin(x), 1, 10, []float64{math.Pi, 2 * math.Pi, 3 * math.Pi}, true},
		{"double", sqr(less(x, num(1.25))), -9, 9, []float64{1.25}, false},
		{"none", total(sqr(x), num(1)), -9, 9, nil, true},
		{"infinite range", less(expr.Exp(x), num(5)), math.Inf(-1), math.Inf(1), []float64{math.Log(5)}, true},
		{"in a far corner", less(expr.Ln(x), num(300)), 0, math.Inf(1), []float64{math.Exp(300)}, true},
	} {
		r := scalarOf(c.e, c.lo, c.hi, 10_000_000)
		if len(r.At) != len(c.want) || !r.Complete || r.Exist != c.exist || r.Free {
			t.Errorf("%s: %+v", c.name, r)
			continue
		}
		for k, w := range c.want {
			if math.Abs(r.At[k]-w) > 1e-9*math.Max(1, math.Abs(w)) {
				t.Errorf("%s: %v, want %v", c.name, r.At, c.want)
			}
		}
	}
	if r := scalarOf(multiple(0, x), 1, 2, 1_000_000); !r.Free {
		t.Errorf("0x: %+v", r)
	}
	if r := scalarOf(expr.Sin(expr.Quotient(num(1), x)), 0, 1, 3000); r.Complete {
		t.Error("endless roots are called all found")
	}
}

// TestProverGivesUp leaves boxes where its steps end, and says so.
func TestProverGivesUp(t *testing.T) {
	s := wells(3)(40)
	p := NewProver(s.rows(), 40, interval.Scale(s.box), 2000)
	p.Run(s.box)
	if p.Done || len(p.Left) == 0 {
		t.Errorf("done %v, %d left", p.Done, len(p.Left))
	}
}
