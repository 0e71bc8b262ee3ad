package solver

import (
	"math"

	"perch/solver/elementary"
)

// narrow meets x with y, telling whether something is left.
func narrow(x *interval, y interval) bool {
	x.lo, x.hi = max(x.lo, y.lo), min(x.hi, y.hi)
	return x.lo <= x.hi
}

// factor narrows x to the solutions of x·y = z.
func factor(x *interval, z, y interval) bool {
	switch {
	case y.lo > 0 || y.hi < 0:
		q := div(z, y)
		return narrow(x, q)
	case z.lo <= 0 && z.hi >= 0: // y and z may both be 0
		return true
	case y.lo == 0 && y.hi == 0:
		return false
	}
	// two rays, from dividing by either half of y
	left, right := empty, empty
	if y.lo < 0 {
		left = meet(*x, div(z, interval{lo: y.lo, hi: 0}))
	}
	if y.hi > 0 {
		right = meet(*x, div(z, interval{lo: 0, hi: y.hi}))
	}
	h := hull(left, right)
	x.lo, x.hi = h.lo, h.hi
	return !h.isEmpty()
}

// mirrored narrows x to r and -r; r is not negative.
func mirrored(x *interval, r interval) bool {
	h := hull(meet(*x, r), meet(*x, neg(r)))
	x.lo, x.hi = h.lo, h.hi
	return !h.isEmpty()
}

// rooted narrows x to the n-th roots of z; n is not 0, and may be negative.
func rooted(x *interval, z interval, n int) bool {
	if n < 0 {
		if z.lo <= 0 && z.hi >= 0 {
			return true
		}
		z = div(point(1), z)
		n = -n
	}
	if n%2 == 0 {
		if z.hi < 0 {
			return false
		}
		return mirrored(x, interval{lo: rootBelow(max(0, z.lo), n), hi: rootAbove(z.hi, n)})
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
	return narrow(x, interval{lo: odd(z.lo, false), hi: odd(z.hi, true)})
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

// periodic narrows x to where sin(x + ahead) is in z.
func periodic(x *interval, z, ahead interval) bool {
	const limit = 1e5 // beyond it a period is not worth telling apart
	if z.lo > 1 || z.hi < -1 {
		return false
	}
	if z.lo <= -1 && z.hi >= 1 || x.magnitude() > limit {
		return true
	}
	r := increasing(elementary.Asin, within(z, -1, 1))
	if r.isEmpty() {
		return true
	}
	const slack = 1e-10 // more than the rounding of multiples of π below limit
	first := interval{lo: r.lo - slack, hi: r.hi + slack}
	second := interval{lo: math.Pi - r.hi - slack, hi: math.Pi - r.lo + slack}
	y := add(*x, ahead)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range [2]interval{first, second} {
		k := math.Ceil((y.lo - p.hi) / (2 * math.Pi)) // first copy that ends within
		lo = min(lo, max(y.lo, p.lo+float64(k*(2*math.Pi))))
		k = math.Floor((y.hi - p.lo) / (2 * math.Pi))
		hi = max(hi, min(y.hi, p.hi+float64(k*(2*math.Pi))))
	}
	return narrow(x, sub(interval{lo: lo, hi: hi}, ahead))
}
