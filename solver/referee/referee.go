// Package referee proves independently, for tests, that an equation's root is one: it shares
// no code with the solver but the expression's graph. Its intervals have ends of 160 bits
// rounded by math/big, its functions are Taylor sums, its derivatives are carried forward,
// its proof is Krawczyk's. It finds no roots but by chance, and takes its time.
package referee

import (
	"math"
	"math/big"

	"perch/solver/expr"
)

const refBits = 160

type ball struct{ lo, hi *big.Float }

func refFloat(mode big.RoundingMode) *big.Float { return new(big.Float).SetPrec(refBits).SetMode(mode) }
func down() *big.Float                          { return refFloat(big.ToNegativeInf) }
func up() *big.Float                            { return refFloat(big.ToPositiveInf) }

func exactly(x float64) ball { return ball{down().SetFloat64(x), up().SetFloat64(x)} }
func (x ball) plus(y ball) ball {
	return ball{down().Add(x.lo, y.lo), up().Add(x.hi, y.hi)}
}
func (x ball) minus(y ball) ball {
	return ball{down().Sub(x.lo, y.hi), up().Sub(x.hi, y.lo)}
}
func (x ball) times(y ball) ball {
	r := ball{}
	for _, a := range []*big.Float{x.lo, x.hi} {
		for _, b := range []*big.Float{y.lo, y.hi} {
			l, h := down().Mul(a, b), up().Mul(a, b)
			if r.lo == nil || l.Cmp(r.lo) < 0 {
				r.lo = l
			}
			if r.hi == nil || h.Cmp(r.hi) > 0 {
				r.hi = h
			}
		}
	}
	return r
}
func (x ball) hasZero() bool { return x.lo.Sign() <= 0 && x.hi.Sign() >= 0 }
func (x ball) inverse() (ball, bool) {
	if x.hasZero() {
		return x, false
	}
	one := big.NewFloat(1)
	return ball{down().Quo(one, x.hi), up().Quo(one, x.lo)}, true
}

// middle and half width of x, the latter rounded up.
func (x ball) middle() (ball, ball) {
	m := down().Add(x.lo, x.hi)
	m.Quo(m, big.NewFloat(2))
	a, b := up().Sub(x.hi, m), up().Sub(m, x.lo)
	if a.Cmp(b) < 0 {
		a = b
	}
	return ball{m, up().Set(m)}, ball{down().Neg(a), up().Set(a)}
}

// series sums x^k·c(k)/k! with the tail of an alternating or geometric sum of
// |x| < 40 bounded by the last term.
func (x ball) series(first, step int, alternate bool) ball {
	sum, term := exactly(0), exactly(1)
	for k := 1; k <= first; k++ {
		term = term.times(x)
	}
	sign := 1.0
	for k := first; k < 400; k += step {
		sum = sum.plus(term.times(exactly(sign)))
		for j := 1; j <= step; j++ {
			inv, _ := exactly(float64(k + j)).inverse()
			term = term.times(x).times(inv)
		}
		if alternate {
			sign = -sign
		}
	}
	return sum.plus(ball{term.hullZero().lo, term.hullZero().hi}.times(ball{down().SetInt64(-2), up().SetInt64(2)}))
}

func (x ball) hullZero() ball {
	r := ball{down().Set(x.lo), up().Set(x.hi)}
	if r.lo.Sign() > 0 {
		r.lo = down()
	}
	if r.hi.Sign() < 0 {
		r.hi = up()
	}
	return r
}

// function and derivative of a narrow x: at its middle, widened by the half width
// times a bound of the derivative.
func (x ball) function(o expr.Op) (f, d ball, ok bool) {
	m, e := x.middle()
	switch o {
	case expr.OpSin, expr.OpCos:
		s, c := m.series(1, 2, true).plus(e), m.series(0, 2, true).plus(e)
		if o == expr.OpSin {
			return s, c, true
		}
		return c, exactly(0).minus(s), true
	case expr.OpExp:
		y := m.series(0, 1, false)
		y = y.plus(y.times(e).times(exactly(3))) // e^h - 1 < 3h for 0 < h < 1
		return y, y, true
	case expr.OpSqrt:
		if x.lo.Sign() <= 0 {
			return x, x, false
		}
		y := ball{down().Sqrt(x.lo), up().Sqrt(x.hi)}
		y.lo, y.hi = y.lo.Mul(y.lo, big.NewFloat(1-1e-15)), y.hi.Mul(y.hi, big.NewFloat(1+1e-15))
		i, ok := y.times(exactly(2)).inverse()
		return y, i, ok
	case expr.OpAtan: // by Newton on sin m - y cos m in ordinary numbers, then enclosed
		i, ok := exactly(1).plus(x.times(x)).inverse()
		mf, _ := m.lo.Float64()
		y := exactly(math.Atan(mf))
		for range 4 {
			s, c := y.series(1, 2, true), y.series(0, 2, true)
			y, _ = y.minus(s.times(c).minus(m.times(c).times(c))).middle()
		}
		s, c := y.series(1, 2, true), y.series(0, 2, true)
		off := s.minus(m.times(c)).times(ball{down().SetInt64(-2), up().SetInt64(2)}).hullZero()
		return y.plus(off).plus(off.times(exactly(-1))).plus(e), i, ok
	}
	return x, x, false
}

// refDual is a value with its derivatives.
type refDual struct {
	v ball
	d []ball
}

// evaluate encloses e over a box with its derivatives; ok is false where an
// operation is not known here.
func evaluate(e expr.Expr, box []ball, memo map[expr.Expr]*refDual) (r *refDual, ok bool) {
	if r := memo[e]; r != nil {
		return r, true
	}
	r = &refDual{d: make([]ball, len(box))}
	var x, y *refDual
	operands := e.Operands()
	for k, to := range []**refDual{&x, &y}[:len(operands)] {
		if *to, ok = evaluate(operands[k], box, memo); !ok {
			return nil, false
		}
	}
	each := func(f func(k int) ball) {
		for k := range r.d {
			r.d[k] = f(k)
		}
	}
	switch e.Op() {
	case expr.OpConst:
		c, _ := e.Number()
		r.v = exactly(c)
		each(func(int) ball { return exactly(0) })
	case expr.OpVar:
		v, _ := e.Variable()
		r.v = box[v]
		each(func(k int) ball {
			if expr.Var(k) == v {
				return exactly(1)
			}
			return exactly(0)
		})
	case expr.OpAdd:
		r.v = x.v.plus(y.v)
		each(func(k int) ball { return x.d[k].plus(y.d[k]) })
	case expr.OpSub:
		r.v = x.v.minus(y.v)
		each(func(k int) ball { return x.d[k].minus(y.d[k]) })
	case expr.OpNeg:
		r.v = exactly(0).minus(x.v)
		each(func(k int) ball { return exactly(0).minus(x.d[k]) })
	case expr.OpMul:
		r.v = x.v.times(y.v)
		each(func(k int) ball { return x.d[k].times(y.v).plus(x.v.times(y.d[k])) })
	case expr.OpDiv:
		i, ok := y.v.inverse()
		if !ok {
			return nil, false
		}
		r.v = x.v.times(i)
		each(func(k int) ball { return x.d[k].minus(r.v.times(y.d[k])).times(i) })
	case expr.OpPow:
		n, known := operands[1].Number()
		if !known || n != math.Trunc(n) || n < 1 || n > 20 {
			return nil, false
		}
		low := exactly(1)
		for range int(n) - 1 {
			low = low.times(x.v)
		}
		r.v = low.times(x.v)
		each(func(k int) ball { return low.times(x.d[k]).times(exactly(n)) })
	default:
		f, d, ok := x.v.function(e.Op())
		if !ok {
			return nil, false
		}
		r.v = f
		each(func(k int) ball { return d.times(x.d[k]) })
	}
	memo[e] = r
	return r, true
}

// Proves tells whether exactly one solution of the equations f = 0, as many as unknowns,
// lies within radius of x, relative to x's own size.
func Proves(f []expr.Expr, x []float64, radius float64) bool {
	n := len(x)
	if len(f) != n {
		return false
	}
	center, box := make([]ball, n), make([]ball, n)
	for k := range x {
		e := radius * math.Max(math.Abs(x[k]), 1e-4)
		center[k], box[k] = exactly(x[k]), exactly(x[k]).plus(ball{down().SetFloat64(-e), up().SetFloat64(e)})
	}
	jac := make([][]float64, n)
	fc, jb := make([]ball, n), make([][]ball, n)
	vars := make([][]expr.Var, n) // by equation; all other derivatives are 0
	for i := range f {
		g, at := numbered(f[i])
		vars[i] = at
		a, ok1 := evaluate(g, pick(center, at), map[expr.Expr]*refDual{})
		b, ok2 := evaluate(g, pick(box, at), map[expr.Expr]*refDual{})
		if !ok1 || !ok2 {
			return false
		}
		fc[i], jb[i] = a.v, b.d
		jac[i] = make([]float64, n)
		for k, v := range at {
			jac[i][v], _ = a.d[k].lo.Float64()
		}
	}
	inv := invertPlain(jac)
	if inv == nil {
		return false
	}
	for i := range n {
		y := center[i]
		for k := range n {
			y = y.minus(exactly(inv[i][k]).times(fc[k]))
		}
		m := make([]ball, n)
		for j := range m {
			m[j] = exactly(0)
		}
		m[i] = exactly(1)
		for k := range n {
			for at, j := range vars[k] {
				m[j] = m[j].minus(exactly(inv[i][k]).times(jb[k][at]))
			}
		}
		for j := range n {
			y = y.plus(m[j].times(box[j].minus(center[j])))
		}
		if y.lo.Cmp(box[i].lo) <= 0 || y.hi.Cmp(box[i].hi) >= 0 {
			return false
		}
	}
	return true
}

// numbered is an expression with its variables numbered from 0, and what they were.
func numbered(e expr.Expr) (expr.Expr, []expr.Var) {
	var vars []expr.Var
	number := map[expr.Var]expr.Var{}
	return e.Substitute(func(leaf expr.Expr) expr.Expr {
		v, ok := leaf.Variable()
		if !ok {
			return leaf
		}
		k, known := number[v]
		if !known {
			k = expr.Var(len(vars))
			number[v], vars = k, append(vars, v)
		}
		return k.Expr()
	}), vars
}

func pick(xs []ball, at []expr.Var) []ball {
	out := make([]ball, len(at))
	for k, v := range at {
		out[k] = xs[v]
	}
	return out
}

// invertPlain inverts by Gauss–Jordan elimination.
func invertPlain(m [][]float64) [][]float64 {
	n := len(m)
	a := make([][]float64, n)
	for i := range a {
		a[i] = append(append([]float64(nil), m[i]...), make([]float64, n)...)
		a[i][n+i] = 1
	}
	for i := range n {
		p := i
		for r := i; r < n; r++ {
			if math.Abs(a[r][i]) > math.Abs(a[p][i]) {
				p = r
			}
		}
		a[i], a[p] = a[p], a[i]
		if d := a[i][i]; d == 0 {
			return nil
		} else {
			for k := range a[i] {
				a[i][k] /= d
			}
		}
		for r := range n {
			if d := a[r][i]; r != i && d != 0 {
				for k := range a[r] {
					a[r][k] -= float64(d * a[i][k])
				}
			}
		}
	}
	for i := range a {
		a[i] = a[i][n:]
	}
	return a
}

// plain evaluates an expression in ordinary numbers with package math's functions.
func plain(e expr.Expr, x []float64) float64 {
	if c, ok := e.Number(); ok {
		return c
	}
	if v, ok := e.Variable(); ok {
		return x[v]
	}
	operands := e.Operands()
	a, b := plain(operands[0], x), 0.0
	if len(operands) > 1 {
		b = plain(operands[1], x)
	}
	switch e.Op() {
	case expr.OpAdd:
		return a + b
	case expr.OpSub:
		return a - b
	case expr.OpMul:
		return float64(a * b)
	case expr.OpDiv:
		return a / b
	case expr.OpPow:
		return math.Pow(a, b)
	case expr.OpNeg:
		return -a
	case expr.OpSin:
		return math.Sin(a)
	case expr.OpCos:
		return math.Cos(a)
	case expr.OpExp:
		return math.Exp(a)
	case expr.OpSqrt:
		return math.Sqrt(a)
	case expr.OpAtan:
		return math.Atan(a)
	}
	return math.NaN()
}

// Wander runs Newton's method with differences from many scattered points and
// returns where it comes to rest between lo and hi.
func Wander(f []expr.Expr, lo, hi []float64, starts int) [][]float64 {
	n := len(f)
	var out [][]float64
	seed := uint64(88172645463325252)
	random := func() float64 {
		seed ^= seed << 13
		seed ^= seed >> 7
		seed ^= seed << 17
		return float64(seed>>11) / (1 << 53)
	}
	for range starts {
		x := make([]float64, n)
		for k := range x {
			x[k] = lo[k] + float64(random()*(hi[k]-lo[k]))
		}
		for range 60 {
			jac, r := make([][]float64, n), make([]float64, n)
			for i := range f {
				r[i] = plain(f[i], x)
				jac[i] = make([]float64, n)
				for k := range x {
					old, h := x[k], float64(1e-6*math.Max(1e-3, math.Abs(x[k])))
					x[k] = old + h
					hi := plain(f[i], x)
					x[k] = old - h
					jac[i][k] = (hi - plain(f[i], x)) / (2 * h)
					x[k] = old
				}
			}
			inv := invertPlain(jac)
			if inv == nil {
				break
			}
			moved := 0.0
			for i := range x {
				d := 0.0
				for k := range r {
					d += float64(inv[i][k] * r[k])
				}
				x[i] -= d
				moved = math.Max(moved, math.Abs(d)/math.Max(1, math.Abs(x[i])))
			}
			if !(moved < 1e6) {
				break
			}
			if moved < 1e-13 {
				in := true
				for k := range x {
					in = in && x[k] >= lo[k] && x[k] <= hi[k]
				}
				if in {
					out = append(out, x)
				}
				break
			}
		}
	}
	return out
}
