package solver

import "math"

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

// isZero tells whether x is exactly 0.
func (x interval) isZero() bool { return x.lo == 0 && x.hi == 0 }
