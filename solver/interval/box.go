package interval

import (
	"math"

	"perch/solver/elementary"
)

// Inside tells whether box x lies in box y, side by side.
func Inside(x, y []Interval) bool {
	for k := range x {
		if !(x[k].Lo >= y[k].Lo && x[k].Hi <= y[k].Hi) {
			return false
		}
	}
	return true
}

// Apart tells whether boxes x and y share no point.
func Apart(x, y []Interval) bool {
	for k := range x {
		if x[k].Hi < y[k].Lo || y[k].Hi < x[k].Lo {
			return true
		}
	}
	return false
}

// Scale are the widths of a box's sides, 1 where they are not finite or 0.
func Scale(box []Interval) []float64 {
	scale := make([]float64, len(box))
	for k, b := range box {
		scale[k] = 1
		if d := b.Width(); elementary.Finite(d) && d > 0 {
			scale[k] = d
		}
	}
	return scale
}

// ScaleOf is the size of number a range speaks of: its width, at most 1 where
// nothing is known.
func ScaleOf(lo, hi float64) float64 {
	if w := hi - lo; w > 0 && w < 1 {
		return w
	}
	return 1
}

// Middle splits a box: in half where it is narrow for its place, else between
// the exponents, so that an infinite box takes few steps.
func Middle(b Interval) float64 {
	switch {
	case b.Lo < 0 && b.Hi > 0 && (math.IsInf(b.Lo, 0) || math.IsInf(b.Hi, 0)):
		return 0
	case b.Lo < 0 && b.Hi > 0 || b.Magnitude() < 1e3 && b.Width() < 1e3:
		return b.Lo + float64(0.5*(b.Hi-b.Lo))
	case b.Hi <= 0:
		return -Middle(Interval{Lo: -b.Hi, Hi: -b.Lo})
	}
	if b.Hi <= 4*b.Lo {
		return b.Lo + float64(0.5*(b.Hi-b.Lo))
	}
	lo, hi := math.Max(b.Lo, 1e-3), b.Hi
	switch {
	case lo >= hi:
		return b.Lo + float64(0.5*(b.Hi-b.Lo))
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

// SplitPoint is where a side is split: off its middle, which is often a root or a
// line of symmetry.
func SplitPoint(b Interval) float64 {
	const share = 0.4834
	if w := b.Width(); elementary.Finite(w) && (b.Lo < 0 && b.Hi > 0 || b.Magnitude() < 1e3) {
		return b.Lo + float64(share*w)
	}
	return Middle(b)
}

// MiddleRadius is x as a middle and a radius, rounded outward.
func MiddleRadius(x Interval) (m, r float64) {
	m = float64(0.5*x.Lo) + float64(0.5*x.Hi)
	return m, Above(max(x.Hi-m, m-x.Lo))
}
