// Package interval computes with closed sets of numbers, rounded outward: what it returns
// holds every value that an operation takes over its arguments, and tells where it may be
// undefined. It knows no expressions, variables or equations, and never guesses.
package interval

import "math"

// Interval is a closed set of numbers, rounded outward; empty where lo > hi.
// partial: the expression may be undefined for some of its arguments.
type Interval struct {
	Lo, Hi  float64
	Partial bool
}

var (
	Empty  = Interval{Lo: math.Inf(1), Hi: math.Inf(-1), Partial: true}
	Entire = Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}
)

func Point(x float64) Interval {
	if math.IsNaN(x) {
		return Empty
	}
	return Interval{Lo: x, Hi: x}
}

func (x Interval) IsEmpty() bool              { return !(x.Lo <= x.Hi) }
func (x Interval) Has(y float64) bool         { return x.Lo <= y && y <= x.Hi }
func (x Interval) IsPoint() bool              { return x.Lo == x.Hi }
func (x Interval) Width() float64             { return x.Hi - x.Lo }
func (x Interval) Magnitude() float64         { return max(math.Abs(x.Lo), math.Abs(x.Hi)) }
func outward(lo, hi float64, p bool) Interval { return Interval{Below(lo), Above(hi), p} }

// Tiny is the least number above 0.
const Tiny = 0x1p-1074

// Below is the number before x, and above the one after it.
func Below(x float64) float64 { return -Above(-x) }

func Above(x float64) float64 {
	switch {
	case x > 0 && x <= math.MaxFloat64:
		return math.Float64frombits(math.Float64bits(x) + 1)
	case x < 0:
		return math.Float64frombits(math.Float64bits(x) - 1)
	case x == 0:
		return Tiny
	}
	return x
}

// Around allows for the elementary functions' error of two units.
func Around(x float64) Interval {
	if math.IsNaN(x) {
		return Empty
	}
	return Interval{Lo: Below(Below(Below(x))), Hi: Above(Above(Above(x)))}
}

func Hull(x, y Interval) Interval {
	switch {
	case x.IsEmpty():
		return y
	case y.IsEmpty():
		return x
	}
	return Interval{min(x.Lo, y.Lo), max(x.Hi, y.Hi), x.Partial || y.Partial}
}

func Intersection(x, y Interval) Interval {
	return Interval{max(x.Lo, y.Lo), min(x.Hi, y.Hi), x.Partial || y.Partial}
}

func Add(x, y Interval) Interval {
	p := x.Partial || y.Partial
	switch {
	case x.IsEmpty() || y.IsEmpty():
		return Empty
	case x.Lo == 0 && x.Hi == 0:
		y.Partial = p
		return y
	case y.Lo == 0 && y.Hi == 0:
		x.Partial = p
		return x
	}
	lo, hi := x.Lo+y.Lo, x.Hi+y.Hi
	if math.IsNaN(lo) {
		lo = math.Inf(-1)
	}
	if math.IsNaN(hi) {
		hi = math.Inf(1)
	}
	return outward(lo, hi, p)
}

func Neg(x Interval) Interval    { return Interval{-x.Hi, -x.Lo, x.Partial} }
func Sub(x, y Interval) Interval { return Add(x, Neg(y)) }

// times is the product of bounds, where 0·∞ is 0: a bound of ∞ is never reached.
func times(a, b float64) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	return float64(a * b)
}

func Mul(x, y Interval) Interval {
	p := x.Partial || y.Partial
	switch {
	case x.IsEmpty() || y.IsEmpty():
		return Empty
	case x.Lo == 1 && x.Hi == 1:
		y.Partial = p
		return y
	case y.Lo == 1 && y.Hi == 1:
		x.Partial = p
		return x
	case x.IsPoint() && x.Lo == 0 || y.IsPoint() && y.Lo == 0:
		return Interval{0, 0, p}
	}
	var lo, hi float64
	switch {
	case x.Lo >= 0 && y.Lo >= 0: // 0 and the sign are kept
		lo, hi = times(x.Lo, y.Lo), times(x.Hi, y.Hi)
		return Interval{max(0, Below(lo)), Above(hi), p}
	case x.Lo >= 0 && y.Hi <= 0:
		lo, hi = times(x.Hi, y.Lo), times(x.Lo, y.Hi)
	case x.Hi <= 0 && y.Lo >= 0:
		lo, hi = times(x.Lo, y.Hi), times(x.Hi, y.Lo)
	case x.Hi <= 0 && y.Hi <= 0:
		lo, hi = times(x.Hi, y.Hi), times(x.Lo, y.Lo)
	case x.Lo >= 0:
		lo, hi = times(x.Hi, y.Lo), times(x.Hi, y.Hi)
	case x.Hi <= 0:
		lo, hi = times(x.Lo, y.Hi), times(x.Lo, y.Lo)
	case y.Lo >= 0:
		lo, hi = times(x.Lo, y.Hi), times(x.Hi, y.Hi)
	case y.Hi <= 0:
		lo, hi = times(x.Hi, y.Lo), times(x.Lo, y.Lo)
	default:
		lo, hi = min(times(x.Lo, y.Hi), times(x.Hi, y.Lo)), max(times(x.Lo, y.Lo), times(x.Hi, y.Hi))
	}
	return outward(lo, hi, p)
}

func Div(x, y Interval) Interval {
	p := x.Partial || y.Partial
	switch {
	case x.IsEmpty() || y.IsEmpty() || y.Lo == 0 && y.Hi == 0:
		return Empty
	case y.Lo < 0 && y.Hi > 0:
		return Interval{math.Inf(-1), math.Inf(1), true}
	case y.Lo == 0:
		return Mul(x, Interval{Below(1 / y.Hi), math.Inf(1), true})
	case y.Hi == 0:
		return Mul(x, Interval{math.Inf(-1), Above(1 / y.Lo), true})
	}
	if x.Lo >= -math.MaxFloat64 && x.Hi <= math.MaxFloat64 && y.Lo >= -math.MaxFloat64 && y.Hi <= math.MaxFloat64 {
		return divFinite(x, y, p)
	}
	q := func(a, b float64) float64 {
		if a == 0 || math.IsInf(b, 0) && math.IsInf(a, 0) {
			return 0
		}
		return a / b
	}
	a, b, c, d := q(x.Lo, y.Lo), q(x.Lo, y.Hi), q(x.Hi, y.Lo), q(x.Hi, y.Hi)
	lo, hi := min(min(a, b), min(c, d)), max(max(a, b), max(c, d))
	if math.IsInf(x.Lo, 0) || math.IsInf(x.Hi, 0) { // ∞/∞ may be anything up to ∞
		if x.Lo < 0 && math.IsInf(x.Lo, 0) || x.Hi > 0 && math.IsInf(x.Hi, 0) {
			if math.IsInf(y.Lo, 0) || math.IsInf(y.Hi, 0) {
				lo, hi = math.Inf(-1), math.Inf(1)
			}
		}
	}
	return outward(lo, hi, p)
}

// divFinite divides finite intervals, y without 0.
func divFinite(x, y Interval, p bool) Interval {
	var lo, hi float64
	if y.Hi < 0 {
		x.Lo, x.Hi = -x.Hi, -x.Lo
		y.Lo, y.Hi = -y.Hi, -y.Lo
	}
	switch {
	case x.Lo >= 0:
		lo, hi = x.Lo/y.Hi, x.Hi/y.Lo
	case x.Hi <= 0:
		lo, hi = x.Lo/y.Lo, x.Hi/y.Hi
	default:
		lo, hi = x.Lo/y.Lo, x.Hi/y.Lo
	}
	return outward(lo, hi, p)
}

// IsZero tells whether x is exactly 0.
func (x Interval) IsZero() bool { return x.Lo == 0 && x.Hi == 0 }
