package roots

import (
	"math"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/linear"
)

// newton is the interval Newton operator of a block, with the space it needs: of
// n equations, solved for the first n of m variables. Slopes are by row, from its
// start on, in the order of the row's variables; of a small block the inverse is
// whole, n by n, of a larger one each of its rows is worked out where it is needed.
type newton struct {
	rows       []expr.Row
	n, m       int
	Scale      []float64
	center     []interval.Interval
	before     []interval.Interval
	start      []int     // by row: where its slopes start
	vars       []int32   // by slope: its variable
	own        [][]int   // by row: its slopes by the first n variables
	mid        []float64 // of the slopes
	rad        []float64
	inv        []float64       // approximate inverse of mid
	sparse     linear.Factors  // factors, of a block that is sparse; inv may be there too
	shape      *linear.Pattern // of sparse, where it has a band
	compare    *comparison     // beside sparse
	missed     int             // trials of it in vain
	mmid       []float64       // a row of inv·slopes
	mrad       []float64
	cols       []int32           // the variables for which that may be other than 0
	taken      []bool            // by variable: is in cols
	res        interval.Interval // of that row, inv·f(center)
	fmid       []float64
	frad       []float64
	work       []float64
	dense      *linear.Dense
	weight     []float64
	known      bool    // mid and rad are of the box last stepped
	beta       float64 // norm of 1 - inv·slopes
	cost       int     // of evaluating all rows and their slopes, in steps
	spent      int     // on inverses, in steps
	invertCost int     // of an inverse with its use
}

type StepState uint8

const (
	Contracted StepState = iota // the box was contracted
	Empty                       // no solution in the box
	Unknown                     // the operator does not apply
)

// makeNewton makes the operator of rows, of which the first n are equations.
func makeNewton(rows []expr.Row, n int, scale []float64) newton {
	m := len(scale)
	w := newton{rows: rows, n: n, m: m, Scale: scale,
		center: make([]interval.Interval, m), before: make([]interval.Interval, m), start: make([]int, n+1),
		fmid: make([]float64, n), frad: make([]float64, n), weight: make([]float64, m),
		mmid: make([]float64, m), mrad: make([]float64, m), taken: make([]bool, m)}
	for i := range rows[:n] {
		w.cost += 4 * rows[i].Size()
		w.vars = append(w.vars, rows[i].Vars...)
		w.start[i+1] = len(w.vars)
	}
	w.mid, w.rad = make([]float64, len(w.vars)), make([]float64, len(w.vars))
	w.invertCost = n * n * n / 4
	switch {
	case n <= linear.DenseUpTo:
		w.inv, w.work, w.dense = make([]float64, n*n), make([]float64, n*n), linear.NewDense(n)
		for v := range int32(m) {
			w.cols = append(w.cols, v)
		}
		if n > alwaysStep && len(w.vars) <= n*n/thin {
			if w.sparse, _ = linear.NewFactors(n, w.columns()); w.sparse != nil {
				w.compare = newComparison(n)
			}
		}
	default:
		if w.sparse, w.shape = linear.NewFactors(n, w.columns()); w.sparse != nil {
			w.compare = newComparison(n)
			w.invertCost = w.sparse.Cost() // its rows are counted as they are made
		}
	}
	return w
}

// columns lists the first n variables by row.
func (w *newton) columns() [][]int32 {
	cols := make([][]int32, w.n)
	w.own = make([][]int, w.n)
	for i := range cols {
		for at, v := range w.rows[i].Vars {
			if int(v) < w.n {
				cols[i], w.own[i] = append(cols[i], v), append(w.own[i], w.start[i]+at)
			}
		}
	}
	return cols
}

// step contracts the box by the Hansen–Sengupta operator: Gauss–Seidel steps on
// the slopes' linear system, preconditioned by the inverse of their middle (A.
// Neumaier, "Interval methods for systems of equations", 1990, chapter 5).
func (w *newton) step(box []interval.Interval) StepState {
	w.known = false
	for k, b := range box {
		c := b.Lo + float64(0.5*(b.Hi-b.Lo))
		if !elementary.Finite(c) {
			return Unknown
		}
		w.center[k] = interval.Point(c)
	}
	if !w.linearize(box, w.center) || w.n > alwaysStep && w.bend(box) > mostBend {
		return Unknown
	}
	if w.compares() {
		if st, ok := w.stepCompared(box); ok {
			w.missed = 0
			return st
		}
		w.missed++
		for k, b := range box {
			w.center[k] = interval.Point(b.Lo + float64(0.5*(b.Hi-b.Lo)))
		}
		w.linearize(box, w.center)
	}
	if !w.invert() {
		return Unknown
	}
	w.spent += w.invertCost
	w.beta = 0
	for i := range w.n {
		w.precondition(i)
		sum := w.res
		for _, j := range w.cols {
			m, r := w.mmid[j], w.mrad[j]
			if int(j) == i || m == 0 && r == 0 {
				continue
			}
			d := interval.Sub(box[j], w.center[j])
			sum = interval.Add(sum, interval.Mul(interval.Interval{Lo: interval.Below(m - r), Hi: interval.Above(m + r)}, d))
		}
		m, r := w.mmid[i], w.mrad[i]
		d := interval.Sub(box[i], w.center[i])
		if !interval.SolveProduct(&d, interval.Neg(sum), interval.Interval{Lo: interval.Below(m - r), Hi: interval.Above(m + r)}) {
			return Empty
		}
		if !interval.Intersect(&box[i], interval.Add(d, w.center[i])) {
			return Empty
		}
	}
	return Contracted
}

// compares tells whether a step should try the comparison matrix: where the inverse is
// cheap only now and then, once it failed.
func (w *newton) compares() bool {
	switch {
	case w.sparse == nil || w.m > w.n:
		return false
	case w.inv == nil || w.missed < fewMissed:
		return true
	}
	w.missed++
	return w.missed%manyMissed == 0
}

const (
	fewMissed  = 4   // trials in vain
	manyMissed = 16  // steps from one trial to the next after those
	thin       = 4   // of a block's entries, the part up to which comparing pays
	alwaysStep = 12  // variables up to which every box is stepped
	mostBend   = 0.5 // above which a step of a large block is not worth its inverse
)

// bend is the mean over the rows of how much of their movement in the box is not
// linear.
func (w *newton) bend(box []interval.Interval) float64 {
	sum := 0.0
	for i := range w.n {
		r := &w.rows[i]
		line, off := 0.0, 0.0
		for k, v := range r.Vars {
			d := box[v].Width()
			line += float64(math.Abs(w.mid[w.start[i]+k]) * d)
			off += float64(w.rad[w.start[i]+k] * d)
		}
		if off > 0 {
			sum += min(off/line, 10)
		}
	}
	return sum / float64(w.n)
}

// linearize encloses the rows' slopes over box from center, and their values at
// center; false where something is unbounded.
func (w *newton) linearize(box, center []interval.Interval) bool {
	clear(w.mid)
	clear(w.rad)
	ok := true
	for i := range w.n {
		r := &w.rows[i]
		f := r.AtCenter(center)
		y := r.Over(box)
		if f.IsEmpty() || !elementary.Finite(f.Lo) || !elementary.Finite(f.Hi) || y.IsEmpty() {
			ok = false
			continue
		}
		w.fmid[i], w.frad[i] = interval.MiddleRadius(f)
		for k, slope := range r.Slopes() {
			k += w.start[i]
			w.mid[k], w.rad[k] = interval.MiddleRadius(slope)
			ok = ok && elementary.Finite(w.mid[k]) && elementary.Finite(w.rad[k])
		}
	}
	w.known = true
	return ok
}

// precondition works out row i of the linear system times inv, in middles and radii
// with the rounding allowed for (S. M. Rump, "Fast and parallel interval
// arithmetic", BIT 39, 1999). Any approximate inverse will do, so that what a row of
// it leaves out costs no certainty.
func (w *newton) precondition(i int) {
	gamma := float64(w.n+4) * 0x1p-52
	var rm, rr float64
	if w.inv != nil {
		rm, rr = w.wholeRow(w.inv[i*w.n:i*w.n+w.n], gamma)
	} else {
		rm, rr = w.sparseRow(i, gamma)
	}
	const up = 1 + 1e-10 // more than twice gamma
	rr = float64(rr*up) + 1e-300
	w.res = interval.Interval{Lo: interval.Below(rm - rr), Hi: interval.Above(rm + rr)}
	norm := 0.0
	for _, v := range w.cols {
		if w.mrad[v] != 0 {
			w.mrad[v] = float64(w.mrad[v]*up) + 1e-300
		}
		d := w.mmid[v]
		if int(v) == i {
			d--
		}
		norm += math.Abs(d) + w.mrad[v]
	}
	w.beta = max(w.beta, norm)
	if norm != norm {
		w.beta = math.Inf(1)
	}
}

// wholeRow is a row of inv times the slopes, for all variables, and times the values
// at the center: its middle and radius.
func (w *newton) wholeRow(inv []float64, gamma float64) (rm, rr float64) {
	mmid, mrad := w.mmid, w.mrad
	clear(mmid)
	clear(mrad)
	for k, y := range inv {
		if y == 0 {
			continue
		}
		ya := math.Abs(y)
		rm += float64(y * w.fmid[k])
		rr += float64(ya * (w.frad[k] + float64(gamma*math.Abs(w.fmid[k])) + interval.Tiny))
		at := w.start[k]
		for _, v := range w.vars[at:w.start[k+1]] {
			a := w.mid[at]
			mmid[v] += float64(y * a)
			mrad[v] += float64(ya * (w.rad[at] + float64(gamma*math.Abs(a))))
			at++
		}
	}
	return rm, rr
}

// sparseRow is wholeRow for a large block: cols lists where it may be other than 0.
func (w *newton) sparseRow(i int, gamma float64) (rm, rr float64) {
	for _, v := range w.cols {
		w.mmid[v], w.mrad[v], w.taken[v] = 0, 0, false
	}
	w.cols = w.cols[:0]
	w.take(int32(i))
	inv, lo, hi := w.sparse.InverseRow(i)
	for p := lo; p <= hi; p++ {
		y := inv[p]
		if y == 0 {
			continue
		}
		k := w.sparse.RowAtPlace(p)
		ya := math.Abs(y)
		rm += float64(y * w.fmid[k])
		rr += float64(ya * (w.frad[k] + float64(gamma*math.Abs(w.fmid[k])) + interval.Tiny))
		at := w.start[k]
		w.spent += w.start[k+1] - at
		for _, v := range w.vars[at:w.start[k+1]] {
			a := w.mid[at]
			w.take(v)
			w.mmid[v] += float64(y * a)
			w.mrad[v] += float64(ya * (w.rad[at] + float64(gamma*math.Abs(a))))
			at++
		}
	}
	w.spent += (hi-lo)*4 + 4*len(w.cols)
	return rm, rr
}

// take enters a variable in the row that is worked out.
func (w *newton) take(v int32) {
	if !w.taken[v] {
		w.taken[v] = true
		w.cols = append(w.cols, v)
	}
}

// smear is by how much each variable moves the rows over the box, each row's
// moves summing to one.
func (w *newton) smear(box []interval.Interval) []float64 {
	out := w.weight
	clear(out)
	if !w.known {
		for k, b := range box {
			out[k] = math.Min(b.Width()/w.Scale[k], math.MaxFloat64)
			if w.Scale[k] == 1 && math.IsInf(b.Width(), 1) {
				out[k] = math.MaxFloat64
			}
		}
		return out
	}
	for i := range w.n {
		r := &w.rows[i]
		sum := 0.0
		move := func(at int) float64 {
			a := w.start[i] + at
			m := float64((math.Abs(w.mid[a]) + w.rad[a]) * box[r.Vars[at]].Width())
			if m != m || m > 1e200 {
				m = 1e200
			}
			return m
		}
		for at := range r.Vars {
			sum += move(at)
		}
		if sum == 0 {
			continue
		}
		for at, v := range r.Vars {
			out[v] += move(at) / sum
		}
	}
	return out
}

// invert makes inv the approximate inverse of mid by Gaussian
// elimination, or of a large block its factors; false where it is singular, or too large.
func (w *newton) invert() bool {
	n := w.n
	if n > linear.DenseUpTo {
		if w.sparse == nil || !w.sparse.Factor(w.entry, 0) {
			return false
		}
		w.invertCost = w.sparse.Cost()
		return true
	}
	a := w.work
	clear(a)
	for i := range n {
		r := &w.rows[i]
		for at, v := range r.Vars {
			if v := int(v); v < n {
				a[i*n+v] = w.mid[w.start[i]+at]
			}
		}
	}
	return w.dense.Invert(a, w.inv)
}

// entry is a slope by the pattern's order.
func (w *newton) entry(row, at int) float64 { return w.mid[w.own[row][at]] }
