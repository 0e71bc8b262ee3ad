package roots

import (
	"math"

	"perch/solver/elementary"
	"perch/solver/interval"
)

// comparison bounds what the slopes' matrix A lets the unknowns move, by its
// comparison matrix ⟨A⟩: the least sizes of its diagonal, and less the greatest of
// the rest. Where some v > 0 has ⟨A⟩v > 0 every matrix in A is regular, and a
// solution x of A(x - c) = -r is within ⟨A⟩⁻¹|r| of c (A. Ostrowski, Comment. Math.
// Helv. 10, 1937; A. Neumaier, "Interval methods for systems of equations", 1990,
// chapter 3). It needs factors of a sparse matrix, no inverse.
type comparison struct {
	v    []float64 // by variable: positive, with ⟨A⟩v at least gain
	gain []float64 // by row: positive
	size []float64 // by row: |r|
	near []float64 // by variable: about ⟨A⟩⁻¹|r|
	far  []float64 // by variable: at least ⟨A⟩⁻¹|r|
}

func newComparison(n int) *comparison {
	f := func() []float64 { return make([]float64, n) }
	return &comparison{v: f(), gain: f(), size: f(), near: f(), far: f()}
}

// beyond is by what part of a side a center may be outside it.
const beyond = 0.5

// compared is an entry of the comparison matrix by the pattern's order, or one
// that is less.
func (w *newton) compared(row, at int) float64 {
	at += w.start[row]
	m, r := math.Abs(w.mid[at]), w.rad[at]
	if int(w.vars[at]) == row {
		return max(0, interval.Below(m-r))
	}
	return -interval.Above(m + r)
}

// timesCompared is row i of the comparison matrix times x, rounded down.
func (w *newton) timesCompared(i int, x []float64) float64 {
	sum := 0.0
	for at := range w.start[i+1] - w.start[i] {
		if y := float64(w.compared(i, at) * x[w.vars[w.start[i]+at]]); y != 0 {
			sum = interval.Below(sum + interval.Below(y))
		}
	}
	return sum
}

// dominant tells whether the comparison matrix proves the slopes regular; then its
// factors are at hand. Rows are compared by the variable of their own number,
// which structure matched them with.
func (w *newton) dominant() bool {
	c := w.compare
	for i := range w.n {
		c.size[i] = 0
		for at := range w.start[i+1] - w.start[i] {
			if int(w.vars[w.start[i]+at]) == i {
				c.size[i] = w.compared(i, at)
			}
		}
		if !(c.size[i] > 0) {
			return false
		}
	}
	w.spent += w.sparse.Cost()
	if !w.sparse.Factor(w.compared, 0) || !w.sparse.Solve(c.size, c.v) {
		return false
	}
	for _, v := range c.v {
		if !(v > 0) {
			return false
		}
	}
	for i := range w.n {
		c.gain[i] = w.timesCompared(i, c.v)
		if !(c.gain[i] > 0) {
			return false
		}
	}
	return true
}

// reach sets far to how much the unknowns are from the center at most, after
// dominant: with any u about ⟨A⟩⁻¹|r|, ⟨A⟩⁻¹|r| is at most u + tv, t being the
// greatest of (|r| - ⟨A⟩u) / ⟨A⟩v.
func (w *newton) reach() bool {
	c := w.compare
	for i := range w.n {
		c.size[i] = interval.Above(math.Abs(w.fmid[i]) + w.frad[i])
	}
	if !w.sparse.Solve(c.size, c.near) {
		return false
	}
	t := 0.0
	for i := range w.n {
		if d := interval.Above(c.size[i] - w.timesCompared(i, c.near)); !(d <= 0) {
			t = max(t, interval.Above(d/c.gain[i]))
		}
	}
	for k, u := range c.near {
		c.far[k] = max(0, interval.Above(u+interval.Above(float64(c.v[k]*t))))
		if !elementary.Finite(c.far[k]) {
			return false
		}
	}
	return true
}

// descend sets the center to where one of Newton's steps leads from it, by the slopes
// at hand. That may be a little outside the box, as a solution may be: seen from there
// the box is empty.
func (w *newton) descend(box []interval.Interval) bool {
	w.spent += w.sparse.Cost()
	if !w.sparse.Factor(w.entry, 0) || !w.sparse.Solve(w.fmid, w.compare.near) {
		return false
	}
	for k, d := range w.compare.near {
		e := float64(beyond * box[k].Width())
		w.center[k] = interval.Point(max(box[k].Lo-e, min(box[k].Hi+e, w.center[k].Lo-d)))
	}
	return true
}

// stepCompared contracts the box about a better center than its middle, for
// which, and the middle's values, w holds the slopes. ok where the slopes are proved
// to be regular: then the box holds one solution at most, and repeated steps close in
// on it.
func (w *newton) stepCompared(box []interval.Interval) (st StepState, ok bool) {
	if !w.descend(box) {
		return Unknown, false
	}
	for k, c := range w.center { // slopes are of a box that holds their center
		w.before[k] = interval.Hull(box[k], c)
	}
	if !w.linearize(w.before, w.center) || !w.dominant() || !w.reach() {
		return Unknown, false
	}
	for k := range box {
		e := w.compare.far[k]
		if !interval.Intersect(&box[k], interval.Add(w.center[k], interval.Interval{Lo: -e, Hi: e})) {
			return Empty, true
		}
	}
	w.beta = 0
	return Contracted, true
}

// verifyCompared is verify by the comparison matrix: where every solution of
// A(x - c) = -t·f(c), 0 ≤ t ≤ 1, is inside u, A holding all derivatives in u, u has
// one solution: the paths from c to it cannot leave u (Neumaier, chapter 5).
func (w *newton) verifyCompared(box, c []interval.Interval) (tight, unique []interval.Interval, ok bool) {
	copy(w.center, c)
	if !w.linearize(c, c) || !w.descend(w.beside(box, c, 1e-6)) {
		return nil, nil, false
	}
	c = append([]interval.Interval(nil), w.center...)
	for _, grow := range growths {
		u := w.beside(box, c, grow)
		if !w.derive(u, c) || !w.dominant() || !w.reach() {
			continue
		}
		tight = make([]interval.Interval, w.n)
		ok = true
		for k, e := range w.compare.far {
			tight[k] = interval.Add(c[k], interval.Interval{Lo: -e, Hi: e})
			ok = ok && tight[k].Lo > u[k].Lo && tight[k].Hi < u[k].Hi
		}
		if ok {
			return tight, u, true
		}
	}
	return nil, nil, false
}
