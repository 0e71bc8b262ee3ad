package interval

import (
	"math"

	"perch/solver/elementary"
)

// Intersect meets x with y, telling whether something is left.
func Intersect(x *Interval, y Interval) bool {
	x.Lo, x.Hi = max(x.Lo, y.Lo), min(x.Hi, y.Hi)
	return x.Lo <= x.Hi
}

// SolveProduct narrows x to the solutions of x·y = z.
func SolveProduct(x *Interval, z, y Interval) bool {
	switch {
	case y.Lo > 0 || y.Hi < 0:
		q := Div(z, y)
		return Intersect(x, q)
	case z.Lo <= 0 && z.Hi >= 0: // y and z may both be 0
		return true
	case y.Lo == 0 && y.Hi == 0:
		return false
	}
	// two rays, from dividing by either half of y
	left, right := Empty, Empty
	if y.Lo < 0 {
		left = Intersection(*x, Div(z, Interval{Lo: y.Lo, Hi: 0}))
	}
	if y.Hi > 0 {
		right = Intersection(*x, Div(z, Interval{Lo: 0, Hi: y.Hi}))
	}
	h := Hull(left, right)
	x.Lo, x.Hi = h.Lo, h.Hi
	return !h.IsEmpty()
}

// IntersectMirrored narrows x to r and -r; r is not negative.
func IntersectMirrored(x *Interval, r Interval) bool {
	h := Hull(Intersection(*x, r), Intersection(*x, Neg(r)))
	x.Lo, x.Hi = h.Lo, h.Hi
	return !h.IsEmpty()
}

// SolvePower narrows x to the n-th roots of z; n is not 0, and may be negative.
func SolvePower(x *Interval, z Interval, n int) bool {
	if n < 0 {
		if z.Lo <= 0 && z.Hi >= 0 {
			return true
		}
		z = Div(Point(1), z)
		n = -n
	}
	if n%2 == 0 {
		if z.Hi < 0 {
			return false
		}
		return IntersectMirrored(x, Interval{Lo: rootBelow(max(0, z.Lo), n), Hi: rootAbove(z.Hi, n)})
	}
	odd := func(v float64, up bool) float64 {
		switch {
		case v < 0 && up:
			return -rootBelow(-v, n)
		case v < 0:
			return -rootAbove(-v, n)
		case up:
			return rootAbove(v, n)
		}
		return rootBelow(v, n)
	}
	return Intersect(x, Interval{Lo: odd(z.Lo, false), Hi: odd(z.Hi, true)})
}

// rootAbove and rootBelow bound the n-th root of v, not negative: the slack
// covers the rounding of 1/n and the error of the power.
func rootAbove(v float64, n int) float64 {
	if v == 0 || math.IsInf(v, 1) {
		return v
	}
	return float64(elementary.Pow(v, 1/float64(n)) * (1 + 1e-12))
}

func rootBelow(v float64, n int) float64 {
	if v == 0 || math.IsInf(v, 1) {
		return 0
	}
	return float64(elementary.Pow(v, 1/float64(n)) * (1 - 1e-12))
}

// SolveSine narrows x to where sin(x + ahead) is in z.
func SolveSine(x *Interval, z, ahead Interval) bool {
	const limit = 1e5 // beyond it a period is not worth telling apart
	if z.Lo > 1 || z.Hi < -1 {
		return false
	}
	if z.Lo <= -1 && z.Hi >= 1 || x.Magnitude() > limit {
		return true
	}
	r := increasing(elementary.Asin, Within(z, -1, 1))
	if r.IsEmpty() {
		return true
	}
	const slack = 1e-10 // more than the rounding of multiples of π below limit
	first := Interval{Lo: r.Lo - slack, Hi: r.Hi + slack}
	second := Interval{Lo: math.Pi - r.Hi - slack, Hi: math.Pi - r.Lo + slack}
	y := Add(*x, ahead)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range [2]Interval{first, second} {
		k := math.Ceil((y.Lo - p.Hi) / (2 * math.Pi)) // first copy that ends within
		lo = min(lo, max(y.Lo, p.Lo+float64(k*(2*math.Pi))))
		k = math.Floor((y.Hi - p.Lo) / (2 * math.Pi))
		hi = max(hi, min(y.Hi, p.Hi+float64(k*(2*math.Pi))))
	}
	return Intersect(x, Sub(Interval{Lo: lo, Hi: hi}, ahead))
}
