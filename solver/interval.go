package solver

import (
	"math"

	"perch/solver/elementary"
)

// interval is a closed set of numbers, rounded outward; empty where lo > hi.
// partial: the expression may be undefined for some of its arguments.
type interval struct {
	lo, hi  float64
	partial bool
}

var (
	empty  = interval{lo: math.Inf(1), hi: math.Inf(-1), partial: true}
	entire = interval{lo: math.Inf(-1), hi: math.Inf(1)}
)

func point(x float64) interval {
	if math.IsNaN(x) {
		return empty
	}
	return interval{lo: x, hi: x}
}

func (x interval) isEmpty() bool              { return !(x.lo <= x.hi) }
func (x interval) has(y float64) bool         { return x.lo <= y && y <= x.hi }
func (x interval) isPoint() bool              { return x.lo == x.hi }
func (x interval) width() float64             { return x.hi - x.lo }
func (x interval) magnitude() float64         { return max(math.Abs(x.lo), math.Abs(x.hi)) }
func outward(lo, hi float64, p bool) interval { return interval{below(lo), above(hi), p} }

// tiny is the least number above 0.
const tiny = 0x1p-1074

// below is the number before x, and above the one after it.
func below(x float64) float64 { return -above(-x) }

func above(x float64) float64 {
	switch {
	case x > 0 && x <= math.MaxFloat64:
		return math.Float64frombits(math.Float64bits(x) + 1)
	case x < 0:
		return math.Float64frombits(math.Float64bits(x) - 1)
	case x == 0:
		return tiny
	}
	return x
}

// around allows for the elementary functions' error of two units.
func around(x float64) interval {
	if math.IsNaN(x) {
		return empty
	}
	return interval{lo: below(below(below(x))), hi: above(above(above(x)))}
}

func hull(x, y interval) interval {
	switch {
	case x.isEmpty():
		return y
	case y.isEmpty():
		return x
	}
	return interval{min(x.lo, y.lo), max(x.hi, y.hi), x.partial || y.partial}
}

func meet(x, y interval) interval {
	return interval{max(x.lo, y.lo), min(x.hi, y.hi), x.partial || y.partial}
}

func add(x, y interval) interval {
	p := x.partial || y.partial
	switch {
	case x.isEmpty() || y.isEmpty():
		return empty
	case x.lo == 0 && x.hi == 0:
		y.partial = p
		return y
	case y.lo == 0 && y.hi == 0:
		x.partial = p
		return x
	}
	lo, hi := x.lo+y.lo, x.hi+y.hi
	if math.IsNaN(lo) {
		lo = math.Inf(-1)
	}
	if math.IsNaN(hi) {
		hi = math.Inf(1)
	}
	return outward(lo, hi, p)
}

func neg(x interval) interval    { return interval{-x.hi, -x.lo, x.partial} }
func sub(x, y interval) interval { return add(x, neg(y)) }

// times is the product of bounds, where 0·∞ is 0: a bound of ∞ is never reached.
func times(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	return float64(a * b)
}

func mul(x, y interval) interval {
	p := x.partial || y.partial
	switch {
	case x.isEmpty() || y.isEmpty():
		return empty
	case x.lo == 1 && x.hi == 1:
		y.partial = p
		return y
	case y.lo == 1 && y.hi == 1:
		x.partial = p
		return x
	case x.isPoint() && x.lo == 0 || y.isPoint() && y.lo == 0:
		return interval{0, 0, p}
	}
	var lo, hi float64
	switch {
	case x.lo >= 0 && y.lo >= 0: // 0 and the sign are kept
		lo, hi = times(x.lo, y.lo), times(x.hi, y.hi)
		return interval{max(0, below(lo)), above(hi), p}
	case x.lo >= 0 && y.hi <= 0:
		lo, hi = times(x.hi, y.lo), times(x.lo, y.hi)
	case x.hi <= 0 && y.lo >= 0:
		lo, hi = times(x.lo, y.hi), times(x.hi, y.lo)
	case x.hi <= 0 && y.hi <= 0:
		lo, hi = times(x.hi, y.hi), times(x.lo, y.lo)
	case x.lo >= 0:
		lo, hi = times(x.hi, y.lo), times(x.hi, y.hi)
	case x.hi <= 0:
		lo, hi = times(x.lo, y.hi), times(x.lo, y.lo)
	case y.lo >= 0:
		lo, hi = times(x.lo, y.hi), times(x.hi, y.hi)
	case y.hi <= 0:
		lo, hi = times(x.hi, y.lo), times(x.lo, y.lo)
	default:
		lo, hi = min(times(x.lo, y.hi), times(x.hi, y.lo)), max(times(x.lo, y.lo), times(x.hi, y.hi))
	}
	return outward(lo, hi, p)
}

func div(x, y interval) interval {
	p := x.partial || y.partial
	switch {
	case x.isEmpty() || y.isEmpty() || y.lo == 0 && y.hi == 0:
		return empty
	case y.lo < 0 && y.hi > 0:
		return interval{math.Inf(-1), math.Inf(1), true}
	case y.lo == 0:
		return mul(x, interval{below(1 / y.hi), math.Inf(1), true})
	case y.hi == 0:
		return mul(x, interval{math.Inf(-1), above(1 / y.lo), true})
	}
	if x.lo >= -math.MaxFloat64 && x.hi <= math.MaxFloat64 && y.lo >= -math.MaxFloat64 && y.hi <= math.MaxFloat64 {
		return divFinite(x, y, p)
	}
	q := func(a, b float64) float64 {
		if a == 0 || math.IsInf(b, 0) && math.IsInf(a, 0) {
			return 0
		}
		return a / b
	}
	a, b, c, d := q(x.lo, y.lo), q(x.lo, y.hi), q(x.hi, y.lo), q(x.hi, y.hi)
	lo, hi := min(min(a, b), min(c, d)), max(max(a, b), max(c, d))
	if math.IsInf(x.lo, 0) || math.IsInf(x.hi, 0) { // ∞/∞ may be anything up to ∞
		if x.lo < 0 && math.IsInf(x.lo, 0) || x.hi > 0 && math.IsInf(x.hi, 0) {
			if math.IsInf(y.lo, 0) || math.IsInf(y.hi, 0) {
				lo, hi = math.Inf(-1), math.Inf(1)
			}
		}
	}
	return outward(lo, hi, p)
}

// divFinite divides finite intervals, y without 0.
func divFinite(x, y interval, p bool) interval {
	var lo, hi float64
	if y.hi < 0 {
		x.lo, x.hi = -x.hi, -x.lo
		y.lo, y.hi = -y.hi, -y.lo
	}
	switch {
	case x.lo >= 0:
		lo, hi = x.lo/y.hi, x.hi/y.lo
	case x.hi <= 0:
		lo, hi = x.lo/y.lo, x.hi/y.hi
	default:
		lo, hi = x.lo/y.lo, x.hi/y.lo
	}
	return outward(lo, hi, p)
}

// increasing maps x by an increasing function with error of two units.
func increasing(f func(float64) float64, x interval) interval {
	if x.isEmpty() {
		return empty
	}
	a, b := around(f(x.lo)), around(f(x.hi))
	return interval{a.lo, b.hi, x.partial}
}

// within cuts x to a function's domain.
func within(x interval, lo, hi float64) interval {
	y := meet(x, interval{lo: lo, hi: hi})
	y.partial = x.partial || x.lo < lo || x.hi > hi
	return y
}

func square(x interval) interval {
	if x.isEmpty() {
		return empty
	}
	a, b := float64(x.lo*x.lo), float64(x.hi*x.hi)
	if x.lo <= 0 && x.hi >= 0 {
		return interval{0, above(max(a, b)), x.partial}
	}
	return outward(max(0, min(a, b)), max(a, b), x.partial)
}

// sine encloses sin over x; beyond sineLimit the period is not told apart.
func sine(x interval) interval {
	const sineLimit = 1e6
	all := interval{-1, 1, x.partial}
	if x.isEmpty() {
		return empty
	}
	if x.magnitude() > sineLimit || x.width() >= 2*math.Pi {
		return all
	}
	a, b := around(elementary.Sin(x.lo)), around(elementary.Sin(x.hi))
	r := interval{max(-1, min(a.lo, b.lo)), min(1, max(a.hi, b.hi)), x.partial}
	if reaches(x, math.Pi/2) {
		r.hi = 1
	}
	if reaches(x, -math.Pi/2) {
		r.lo = -1
	}
	return r
}

func cosine(x interval) interval { return sine(add(x, around(math.Pi/2))) }

// reaches tells whether x may hold at + 2kπ for a whole k.
func reaches(x interval, at float64) bool {
	const slack = 1e-9 // more than the rounding of k·2π below sineLimit
	k := math.Ceil((x.lo - slack - at) / (2 * math.Pi))
	return at+float64(k*(2*math.Pi)) <= x.hi+slack
}

func tangent(x interval) interval {
	if x.isEmpty() {
		return empty
	}
	const tanLimit = 1e6
	pole := interval{math.Inf(-1), math.Inf(1), true}
	if x.magnitude() > tanLimit || x.width() >= math.Pi {
		return pole
	}
	if reaches(x, math.Pi/2) || reaches(x, -math.Pi/2) {
		return pole
	}
	return increasing(elementary.Tan, x)
}

// power encloses x to the y.
func power(x, y interval) interval {
	if x.isEmpty() || y.isEmpty() {
		return empty
	}
	if y.isPoint() && y.lo == math.Trunc(y.lo) && math.Abs(y.lo) < 1<<30 {
		r := wholePower(x, int(y.lo))
		r.partial = r.partial || x.partial || y.partial
		return r
	}
	if y.isPoint() && y.lo > 0 {
		r := increasing(func(a float64) float64 { return elementary.Pow(a, y.lo) }, within(x, 0, math.Inf(1)))
		r.lo = max(r.lo, 0)
		r.partial = r.partial || y.partial
		return r
	}
	r := exponential(mul(logarithm(x), y))
	if x.has(0) && y.hi > 0 { // 0 to a positive power is 0, which the logarithm misses
		r = hull(r, interval{0, 0, true})
	}
	if x.lo < 0 { // whole powers of a negative number are defined, at single points
		r = interval{math.Inf(-1), math.Inf(1), true}
	}
	return r
}

func wholePower(x interval, n int) interval {
	switch {
	case n == 0:
		return interval{1, 1, x.partial}
	case n == 1:
		return x
	case n == 2:
		return square(x)
	case n < 0:
		return div(point(1), wholePower(x, -n))
	}
	p := func(a float64) interval { return around(elementary.Pow(a, float64(n))) }
	a, b := p(x.lo), p(x.hi)
	if n%2 == 1 {
		return interval{a.lo, b.hi, x.partial}
	}
	r := interval{max(0, min(a.lo, b.lo)), max(a.hi, b.hi), x.partial}
	if x.has(0) {
		r.lo = 0
	}
	return r
}

func logarithm(x interval) interval {
	y := within(x, 0, math.Inf(1))
	if y.isEmpty() || y.hi == 0 {
		return empty
	}
	r := increasing(elementary.Log, y)
	r.partial = r.partial || y.lo == 0
	return r
}

func exponential(x interval) interval {
	r := increasing(elementary.Exp, x)
	if !r.isEmpty() {
		r.lo = max(0, r.lo)
	}
	return r
}

func squareRoot(x interval) interval {
	y := within(x, 0, math.Inf(1))
	if y.isEmpty() {
		return empty
	}
	return interval{max(0, below(math.Sqrt(y.lo))), above(math.Sqrt(y.hi)), y.partial}
}

func absolute(x interval) interval {
	switch {
	case x.isEmpty():
		return empty
	case x.lo >= 0:
		return x
	case x.hi <= 0:
		return neg(x)
	}
	return interval{0, x.magnitude(), x.partial}
}
