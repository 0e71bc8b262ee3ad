package solver

import (
	"math"

	"perch/solver/elementary"
)

// inside tells whether box x lies in box y, side by side.
func inside(x, y []interval) bool {
	for k := range x {
		if !(x[k].lo >= y[k].lo && x[k].hi <= y[k].hi) {
			return false
		}
	}
	return true
}

// apart tells whether boxes x and y share no point.
func apart(x, y []interval) bool {
	for k := range x {
		if x[k].hi < y[k].lo || y[k].hi < x[k].lo {
			return true
		}
	}
	return false
}

// boxScale are the widths of a box's sides, 1 where they are not finite or 0.
func boxScale(box []interval) []float64 {
	scale := make([]float64, len(box))
	for k, b := range box {
		scale[k] = 1
		if d := b.width(); elementary.Finite(d) && d > 0 {
			scale[k] = d
		}
	}
	return scale
}

// scaleOf is the size of number a range speaks of: its width, at most 1 where
// nothing is known.
func scaleOf(lo, hi float64) float64 {
	if w := hi - lo; w > 0 && w < 1 {
		return w
	}
	return 1
}

// middle splits a box: in half where it is narrow for its place, else between
// the exponents, so that an infinite box takes few steps.
func middle(b interval) float64 {
	switch {
	case b.lo < 0 && b.hi > 0 && (math.IsInf(b.lo, 0) || math.IsInf(b.hi, 0)):
		return 0
	case b.lo < 0 && b.hi > 0 || b.magnitude() < 1e3 && b.width() < 1e3:
		return b.lo + float64(0.5*(b.hi-b.lo))
	case b.hi <= 0:
		return -middle(interval{lo: -b.hi, hi: -b.lo})
	}
	if b.hi <= 4*b.lo {
		return b.lo + float64(0.5*(b.hi-b.lo))
	}
	lo, hi := math.Max(b.lo, 1e-3), b.hi
	switch {
	case lo >= hi:
		return b.lo + float64(0.5*(b.hi-b.lo))
	case math.IsInf(hi, 0):
		if lo < 1e6 {
			return 1e6
		}
		if lo < 1e150 {
			return lo * lo
		}
		return float64(0.5*lo) + 0.5*math.MaxFloat64
	}
	return math.Sqrt(lo) * math.Sqrt(hi)
}

// splitAt is where a side is split: off its middle, which is often a root or a
// line of symmetry.
func splitAt(b interval) float64 {
	const share = 0.4834
	if w := b.width(); elementary.Finite(w) && (b.lo < 0 && b.hi > 0 || b.magnitude() < 1e3) {
		return b.lo + float64(share*w)
	}
	return middle(b)
}

// middleRadius is x as a middle and a radius, rounded outward.
func middleRadius(x interval) (m, r float64) {
	m = float64(0.5*x.lo) + float64(0.5*x.hi)
	return m, above(max(x.hi-m, m-x.lo))
}
