package solver

import (
	"math"

	"perch/solver/elementary"
)

// quarter holds a quarter of a turn.
var quarter = around(math.Pi / 2)

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

// sign encloses the slope of the absolute value.
func sign(x interval) interval {
	switch {
	case x.lo > 0:
		return point(1)
	case x.hi < 0:
		return point(-1)
	}
	return interval{lo: -1, hi: 1}
}

func arcSine(x interval) interval { return increasing(elementary.Asin, within(x, -1, 1)) }

func arcCosine(x interval) interval {
	return neg(increasing(func(a float64) float64 { return -elementary.Acos(a) }, within(x, -1, 1)))
}

func arcTangent(x interval) interval { return increasing(elementary.Atan, x) }

func minimum(x, y interval) interval {
	if x.isEmpty() || y.isEmpty() {
		return empty
	}
	return interval{math.Min(x.lo, y.lo), math.Min(x.hi, y.hi), x.partial || y.partial}
}

func maximum(x, y interval) interval {
	if x.isEmpty() || y.isEmpty() {
		return empty
	}
	return interval{math.Max(x.lo, y.lo), math.Max(x.hi, y.hi), x.partial || y.partial}
}
