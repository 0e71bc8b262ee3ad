package interval

import (
	"math"

	"perch/solver/elementary"
)

// Quarter holds a quarter of a turn.
var Quarter = Around(math.Pi / 2)

// increasing maps x by an increasing function with error of two units.
func increasing(f func(float64) float64, x Interval) Interval {
	if x.IsEmpty() {
		return Empty
	}
	a, b := Around(f(x.Lo)), Around(f(x.Hi))
	return Interval{a.Lo, b.Hi, x.Partial}
}

// Within cuts x to a function's domain.
func Within(x Interval, lo, hi float64) Interval {
	y := Intersection(x, Interval{Lo: lo, Hi: hi})
	y.Partial = x.Partial || x.Lo < lo || x.Hi > hi
	return y
}

func Square(x Interval) Interval {
	if x.IsEmpty() {
		return Empty
	}
	a, b := float64(x.Lo*x.Lo), float64(x.Hi*x.Hi)
	if x.Lo <= 0 && x.Hi >= 0 {
		return Interval{0, Above(max(a, b)), x.Partial}
	}
	return outward(max(0, min(a, b)), max(a, b), x.Partial)
}

// Sin encloses sin over x; beyond sineLimit the period is not told apart.
func Sin(x Interval) Interval {
	const sineLimit = 1e6
	all := Interval{-1, 1, x.Partial}
	if x.IsEmpty() {
		return Empty
	}
	if x.Magnitude() > sineLimit || x.Width() >= 2*math.Pi {
		return all
	}
	a, b := Around(elementary.Sin(x.Lo)), Around(elementary.Sin(x.Hi))
	r := Interval{max(-1, min(a.Lo, b.Lo)), min(1, max(a.Hi, b.Hi)), x.Partial}
	if reaches(x, math.Pi/2) {
		r.Hi = 1
	}
	if reaches(x, -math.Pi/2) {
		r.Lo = -1
	}
	return r
}

func Cos(x Interval) Interval { return Sin(Add(x, Around(math.Pi/2))) }

// reaches tells whether x may hold at + 2kπ for a whole k.
func reaches(x Interval, at float64) bool {
	const slack = 1e-9 // more than the rounding of k·2π below sineLimit
	k := math.Ceil((x.Lo - slack - at) / (2 * math.Pi))
	return at+float64(k*(2*math.Pi)) <= x.Hi+slack
}

func Tan(x Interval) Interval {
	if x.IsEmpty() {
		return Empty
	}
	const tanLimit = 1e6
	pole := Interval{math.Inf(-1), math.Inf(1), true}
	if x.Magnitude() > tanLimit || x.Width() >= math.Pi {
		return pole
	}
	if reaches(x, math.Pi/2) || reaches(x, -math.Pi/2) {
		return pole
	}
	return increasing(elementary.Tan, x)
}

// Pow encloses x to the y.
func Pow(x, y Interval) Interval {
	if x.IsEmpty() || y.IsEmpty() {
		return Empty
	}
	if y.IsPoint() && y.Lo == math.Trunc(y.Lo) && math.Abs(y.Lo) < 1<<30 {
		r := PowWhole(x, int(y.Lo))
		r.Partial = r.Partial || x.Partial || y.Partial
		return r
	}
	if y.IsPoint() && y.Lo > 0 {
		r := increasing(func(a float64) float64 { return elementary.Pow(a, y.Lo) }, Within(x, 0, math.Inf(1)))
		r.Lo = max(r.Lo, 0)
		r.Partial = r.Partial || y.Partial
		return r
	}
	r := Exp(Mul(Log(x), y))
	if x.Has(0) && y.Hi > 0 { // 0 to a positive power is 0, which the logarithm misses
		r = Hull(r, Interval{0, 0, true})
	}
	if x.Lo < 0 { // whole powers of a negative number are defined, at single points
		r = Interval{math.Inf(-1), math.Inf(1), true}
	}
	return r
}

func PowWhole(x Interval, n int) Interval {
	switch {
	case n == 0:
		return Interval{1, 1, x.Partial}
	case n == 1:
		return x
	case n == 2:
		return Square(x)
	case n < 0:
		return Div(Point(1), PowWhole(x, -n))
	}
	p := func(a float64) Interval { return Around(elementary.Pow(a, float64(n))) }
	a, b := p(x.Lo), p(x.Hi)
	if n%2 == 1 {
		return Interval{a.Lo, b.Hi, x.Partial}
	}
	r := Interval{max(0, min(a.Lo, b.Lo)), max(a.Hi, b.Hi), x.Partial}
	if x.Has(0) {
		r.Lo = 0
	}
	return r
}

func Log(x Interval) Interval {
	y := Within(x, 0, math.Inf(1))
	if y.IsEmpty() || y.Hi == 0 {
		return Empty
	}
	r := increasing(elementary.Log, y)
	r.Partial = r.Partial || y.Lo == 0
	return r
}

func Exp(x Interval) Interval {
	r := increasing(elementary.Exp, x)
	if !r.IsEmpty() {
		r.Lo = max(0, r.Lo)
	}
	return r
}

func Sqrt(x Interval) Interval {
	y := Within(x, 0, math.Inf(1))
	if y.IsEmpty() {
		return Empty
	}
	return Interval{max(0, Below(math.Sqrt(y.Lo))), Above(math.Sqrt(y.Hi)), y.Partial}
}

func Abs(x Interval) Interval {
	switch {
	case x.IsEmpty():
		return Empty
	case x.Lo >= 0:
		return x
	case x.Hi <= 0:
		return Neg(x)
	}
	return Interval{0, x.Magnitude(), x.Partial}
}

// Sign encloses the slope of the absolute value.
func Sign(x Interval) Interval {
	switch {
	case x.Lo > 0:
		return Point(1)
	case x.Hi < 0:
		return Point(-1)
	}
	return Interval{Lo: -1, Hi: 1}
}

func Asin(x Interval) Interval { return increasing(elementary.Asin, Within(x, -1, 1)) }

func Acos(x Interval) Interval {
	return Neg(increasing(func(a float64) float64 { return -elementary.Acos(a) }, Within(x, -1, 1)))
}

func Atan(x Interval) Interval { return increasing(elementary.Atan, x) }

func Min(x, y Interval) Interval {
	if x.IsEmpty() || y.IsEmpty() {
		return Empty
	}
	return Interval{math.Min(x.Lo, y.Lo), math.Min(x.Hi, y.Hi), x.Partial || y.Partial}
}

func Max(x, y Interval) Interval {
	if x.IsEmpty() || y.IsEmpty() {
		return Empty
	}
	return Interval{math.Max(x.Lo, y.Lo), math.Max(x.Hi, y.Hi), x.Partial || y.Partial}
}
