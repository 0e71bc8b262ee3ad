package roots

import (
	"math"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
)

// Isolated proves that exactly one solution of the equations, as many as unknowns, lies at
// x or right beside it.
func Isolated(equations []expr.Row, scale, x []float64) bool {
	box := make([]interval.Interval, len(x))
	for k, v := range x {
		box[k] = interval.Point(v)
	}
	w := makeNewton(equations, len(x), scale)
	_, _, ok := w.verify(box)
	return ok
}

// verify proves that exactly one solution lies in or right beside a narrow box,
// and returns a tight enclosure of it and a wider one in which it is alone:
// Krawczyk's operator with derivatives maps the latter into its inside (R.
// Krawczyk, Computing 4, 1969; Moore, Kearfott, Cloud, theorem 8.2).
func (w *newton) verify(box []interval.Interval) (tight, unique []interval.Interval, ok bool) {
	n := w.n
	c := make([]interval.Interval, n)
	for k, b := range box {
		m := b.Lo + float64(0.5*(b.Hi-b.Lo))
		if !elementary.Finite(m) {
			return nil, nil, false
		}
		c[k] = interval.Point(m)
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
					c[k] = interval.Point(t[k].Lo + float64(0.5*(t[k].Hi-t[k].Lo)))
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
func (w *newton) beside(box, c []interval.Interval, grow float64) []interval.Interval {
	u := make([]interval.Interval, w.n)
	for k, b := range box[:w.n] {
		g := float64(0.1*b.Width()) + float64(grow*math.Max(math.Abs(c[k].Lo), 1e-3*math.Min(1, w.Scale[k])))
		u[k] = interval.Interval{Lo: b.Lo - g, Hi: b.Hi + g}
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
func (w *newton) derive(u, c []interval.Interval) bool {
	for i := range w.n {
		r := &w.rows[i]
		f := r.AtCenter(c)
		y := r.Over(u)
		if f.IsEmpty() || !elementary.Finite(f.Lo) || !elementary.Finite(f.Hi) || y.IsEmpty() || y.Partial {
			return false
		}
		w.fmid[i], w.frad[i] = interval.MiddleRadius(f)
		for at, slope := range r.Derivatives() {
			at += w.start[i]
			w.mid[at], w.rad[at] = interval.MiddleRadius(slope)
			if !elementary.Finite(w.mid[at]) || !elementary.Finite(w.rad[at]) {
				return false
			}
		}
	}
	return true
}

// krawczyk maps u by Krawczyk's operator about c, which lies in u, with the
// inverse at hand; ok where the image lies inside u.
func (w *newton) krawczyk(u, c []interval.Interval) (k []interval.Interval, ok bool) {
	if !w.derive(u, c) {
		return nil, false
	}
	w.beta = 0
	k = make([]interval.Interval, w.n)
	for i := range w.n {
		w.precondition(i)
		y := interval.Sub(c[i], w.res)
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
			r = interval.Above(interval.Above(r + float64(math.Abs(m)*0x1p-52)))
			y = interval.Add(y, interval.Mul(interval.Interval{Lo: interval.Below(m - r), Hi: interval.Above(m + r)}, interval.Sub(u[j], c[j])))
		}
		k[i] = y
		if !(y.Lo > u[i].Lo && y.Hi < u[i].Hi) {
			return nil, false
		}
	}
	return k, true
}
