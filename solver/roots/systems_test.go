package roots

import (
	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/referee"
)

// system is equations f = 0 over as many unknowns, each in its side of a box.
type system struct {
	x         []expr.Expr
	box       []interval.Interval
	equations []expr.Expr
}

func newSystem(n int, lo, hi float64) *system {
	s := &system{}
	for k := range n {
		s.x = append(s.x, expr.Var(k).Expr())
		s.box = append(s.box, interval.Interval{Lo: lo, Hi: hi})
	}
	return s
}

func (s *system) zero(e expr.Expr) { s.equations = append(s.equations, e) }

// rows lays the equations out.
func (s *system) rows() []expr.Row {
	local := make([]int32, len(s.x))
	for k := range local {
		local[k] = int32(k)
	}
	rows := make([]expr.Row, len(s.equations))
	for i, e := range s.equations {
		t := expr.Compile(e, expr.Const(0), len(s.x))
		rows[i] = expr.NewRow(&t, 0, local, make([]float64, len(s.x)))
	}
	return rows
}

// operator is the interval Newton operator of the system, with a copy of its box.
func (s *system) operator() (*newton, []interval.Interval) {
	scale := make([]float64, len(s.x))
	for k := range scale {
		scale[k] = 1
	}
	w := makeNewton(s.rows(), len(s.x), scale)
	return &w, append([]interval.Interval(nil), s.box...)
}

// solve runs branch and prune over the box.
func (s *system) solve(steps int) *Prover {
	p := NewProver(s.rows(), len(s.x), interval.Scale(s.box), steps)
	p.Run(s.box)
	return p
}

func (s *system) wander(starts int) [][]float64 {
	var lo, hi []float64
	for _, b := range s.box {
		lo, hi = append(lo, b.Lo), append(hi, b.Hi)
	}
	return referee.Wander(s.equations, lo, hi, starts)
}

func num(x float64) expr.Expr                   { return expr.Const(x) }
func multiple(c float64, x expr.Expr) expr.Expr { return expr.Product(num(c), x) }
func less(x, y expr.Expr) expr.Expr             { return expr.Difference(x, y) }
func sqr(x expr.Expr) expr.Expr                 { return expr.Product(x, x) }
func total(xs ...expr.Expr) expr.Expr {
	s := xs[0]
	for _, x := range xs[1:] {
		s = expr.Sum(s, x)
	}
	return s
}

// line is n equations: a first, for x[0], and 3x[i] = x[i-1] + x[i+1] + 1.
func line(n int, first func(x expr.Expr) expr.Expr) *system {
	s := newSystem(n, -2, 2)
	s.zero(first(s.x[0]))
	for i := 1; i < n; i++ {
		e := less(less(multiple(3, s.x[i]), s.x[i-1]), num(1))
		if i < n-1 {
			e = less(e, s.x[i+1])
		}
		s.zero(e)
	}
	return s
}

// lineFrom solves the rules of line for a first value, by elimination.
func lineFrom(x0 float64, n int) []float64 {
	x := make([]float64, n)
	x[0] = x0
	c, d := make([]float64, n), make([]float64, n) // x[i] = c·x[i+1] + d
	d[0] = x0
	for i := 1; i < n; i++ {
		p := 3 - c[i-1]
		c[i], d[i] = 1/p, (1+d[i-1])/p
	}
	for i := n - 1; i > 0; i-- {
		x[i] = d[i]
		if i < n-1 {
			x[i] += float64(c[i] * x[i+1])
		}
	}
	return x
}

// tridiagonal is Broyden's: (3 - 2x)x - x[i-1] - 2x[i+1] + 1 = 0 (J. J. Moré, B. S. Garbow,
// K. E. Hillstrom, "Testing unconstrained optimization software", ACM Transactions on
// Mathematical Software 7, 1981, problem 30).
func tridiagonal(n int) *system {
	s := newSystem(n, -2, 2)
	for i, x := range s.x {
		e := total(expr.Product(less(num(3), multiple(2, x)), x), num(1))
		if i > 0 {
			e = less(e, s.x[i-1])
		}
		if i < n-1 {
			e = less(e, multiple(2, s.x[i+1]))
		}
		s.zero(e)
	}
	return s
}

// boundary is the discrete boundary value problem (the same, problem 28).
func boundary(n int) *system {
	h := 1.0 / float64(n+1)
	s := newSystem(n, -1, 1)
	for i, x := range s.x {
		up := total(x, num(float64(i+1)*h+1))
		e := total(multiple(2, x), multiple(h*h/2, expr.Product(up, sqr(up))))
		if i > 0 {
			e = less(e, s.x[i-1])
		}
		if i < n-1 {
			e = less(e, s.x[i+1])
		}
		s.zero(e)
	}
	return s
}

// wells is a chain in which k unknowns, far from each other, have two values each.
func wells(k int) func(n int) *system {
	return func(n int) *system {
		s := newSystem(n, -3, 3)
		for i, x := range s.x {
			e := multiple(3, x)
			if i%(n/k) == n/k/2 {
				e = less(multiple(3, sqr(x)), num(3))
			}
			if i > 0 {
				e = less(e, multiple(0.3, s.x[i-1]))
			}
			if i < n-1 {
				e = less(e, multiple(0.3, expr.Sin(s.x[i+1])))
			}
			s.zero(e)
		}
		return s
	}
}

// unreached is a chain whose rules leave its last unknown nothing in its side.
func unreached(n int) *system {
	s := newSystem(n, -1, 1)
	for i, x := range s.x {
		e := expr.Sum(multiple(3, x), expr.Power(x, num(3)))
		if i > 0 {
			e = less(e, sqr(s.x[i-1]))
		}
		if i < n-1 {
			e = less(e, multiple(0.5, s.x[i+1]))
		} else {
			e = less(e, num(5.5))
		}
		s.zero(e)
	}
	return s
}
