package expr

import (
	"math"
	"sort"

	"perch/solver/elementary"
	"perch/solver/interval"
)

// table is a piecewise linear function: xs ascending, all finite.
type table struct{ xs, ys []float64 }

// newTable copies the table, or returns nil where it is malformed.
func newTable(xs, ys []float64) *table {
	if len(xs) == 0 || len(xs) != len(ys) {
		return nil
	}
	for i := range xs {
		if !elementary.Finite(xs[i]) || !elementary.Finite(ys[i]) || i > 0 && !(xs[i] > xs[i-1]) {
			return nil
		}
	}
	return &table{append([]float64(nil), xs...), append([]float64(nil), ys...)}
}

// segment is the index i of the piece xs[i]..xs[i+1] that holds x; ok is false
// outside the table.
func (t *table) segment(x float64) (i int, ok bool) {
	n := len(t.xs)
	if !(x >= t.xs[0] && x <= t.xs[n-1]) {
		return 0, false
	}
	i = sort.SearchFloat64s(t.xs, x)
	if i > 0 {
		i--
	}
	return i, true
}

// at returns the value and slope at x, NaN outside.
func (t *table) at(x float64) (y, slope float64) {
	i, ok := t.segment(x)
	if !ok {
		return math.NaN(), math.NaN()
	}
	if len(t.xs) == 1 {
		return t.ys[0], 0
	}
	if x == t.xs[i+1] { // exact at the knots
		y = t.ys[i+1]
	}
	dx, dy := t.xs[i+1]-t.xs[i], t.ys[i+1]-t.ys[i]
	slope = dy / dx
	if x != t.xs[i+1] {
		y = t.ys[i] + float64((x-t.xs[i])/dx*dy)
	}
	return y, slope
}

// enclose returns bounds of value and slope over x; a part outside is left off.
func (t *table) enclose(x interval.Interval) (y, slope interval.Interval) {
	n := len(t.xs)
	lo, hi := math.Max(x.Lo, t.xs[0]), math.Min(x.Hi, t.xs[n-1])
	if !(lo <= hi) {
		return interval.Empty, interval.Empty
	}
	i, _ := t.segment(lo)
	y, slope = interval.Empty, interval.Empty
	for ; i < n && (t.xs[i] <= hi || i == 0); i++ {
		a := math.Max(lo, t.xs[i])
		b := hi
		if i+1 < n {
			b = math.Min(hi, t.xs[i+1])
		}
		ya, sa := t.at(a)
		yb, sb := t.at(b)
		y = interval.Hull(y, interval.Hull(interval.Around(ya), interval.Around(yb)))
		slope = interval.Hull(slope, interval.Hull(interval.Around(sa), interval.Around(sb)))
		if i+1 < n {
			dx, dy := t.xs[i+1]-t.xs[i], t.ys[i+1]-t.ys[i]
			slope = interval.Hull(slope, interval.Around(dy/dx))
		}
	}
	y.Partial = x.Partial || x.Lo < lo || x.Hi > hi
	return y, slope
}
