package solver

import (
	"math"

	"perch/solver/elementary"
)

// verify proves that exactly one solution lies in or right beside a narrow box,
// and returns a tight enclosure of it and a wider one in which it is alone:
// Krawczyk's operator with derivatives maps the latter into its inside (R.
// Krawczyk, Computing 4, 1969; Moore, Kearfott, Cloud, theorem 8.2).
func (w *newton) verify(box []interval) (tight, unique []interval, ok bool) {
	n := w.n
	c := make([]interval, n)
	for k, b := range box {
		m := b.lo + float64(0.5*(b.hi-b.lo))
		if !elementary.Finite(m) {
			return nil, nil, false
		}
		c[k] = point(m)
	}
	if w.sparse != nil {
		if tight, unique, ok = w.verifyCompared(box, c); ok {
			return tight, unique, true
		}
	}
	w.spent += 2 * w.invertCost
	if !w.linearize(c, c) || !w.invert() {
		return nil, nil, false
	}
	for _, grow := range growths {
		u := w.beside(box, c, grow)
		if t, ok := w.krawczyk(u, c); ok {
			for range tighter(n) {
				for k := range c {
					c[k] = point(t[k].lo + float64(0.5*(t[k].hi-t[k].lo)))
				}
				if t2, ok := w.krawczyk(t, c); ok {
					t = t2
				}
			}
			return t, u, true
		}
	}
	return nil, nil, false
}

// growths are by how much of its place a box is widened, to be mapped into its inside.
var growths = [3]float64{1e-6, 1e-9, 1e-12}

// beside is a box widened on all sides, about c.
func (w *newton) beside(box, c []interval, grow float64) []interval {
	u := make([]interval, w.n)
	for k, b := range box[:w.n] {
		g := float64(0.1*b.width()) + float64(grow*math.Max(math.Abs(c[k].lo), 1e-3*math.Min(1, w.scale[k])))
		u[k] = interval{lo: b.lo - g, hi: b.hi + g}
	}
	return u
}

// tighter is how often an enclosure is mapped once more: for large blocks, of which
// each takes long, not at all.
func tighter(n int) int {
	if n > 400 {
		return 0
	}
	return 2
}

// derive encloses the rows' derivatives over u and their values at c; false where
// something is unbounded or not defined everywhere.
func (w *newton) derive(u, c []interval) bool {
	for i := range w.n {
		r := &w.rows[i]
		f := r.atCenter(c)
		y := r.over(u)
		if f.isEmpty() || !elementary.Finite(f.lo) || !elementary.Finite(f.hi) || y.isEmpty() || y.partial {
			return false
		}
		w.fmid[i], w.frad[i] = middleRadius(f)
		for at, slope := range r.derivatives() {
			at += w.start[i]
			w.mid[at], w.rad[at] = middleRadius(slope)
			if !elementary.Finite(w.mid[at]) || !elementary.Finite(w.rad[at]) {
				return false
			}
		}
	}
	return true
}

// krawczyk maps u by Krawczyk's operator about c, which lies in u, with the
// inverse at hand; ok where the image lies inside u.
func (w *newton) krawczyk(u, c []interval) (k []interval, ok bool) {
	if !w.derive(u, c) {
		return nil, false
	}
	w.beta = 0
	k = make([]interval, w.n)
	for i := range w.n {
		w.precondition(i)
		y := sub(c[i], w.res)
		for _, j := range w.cols {
			m, r := w.mmid[j], w.mrad[j]
			if i == int(j) {
				m = 1 - m
			} else {
				m = -m
			}
			if m == 0 && r == 0 {
				continue
			}
			r = above(above(r + float64(math.Abs(m)*0x1p-52)))
			y = add(y, mul(interval{lo: below(m - r), hi: above(m + r)}, sub(u[j], c[j])))
		}
		k[i] = y
		if !(y.lo > u[i].lo && y.hi < u[i].hi) {
			return nil, false
		}
	}
	return k, true
}
