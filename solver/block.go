package solver

import (
	"math"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/linear"
	"perch/solver/roots"
)

const (
	maxStarts = 40 // points Newton's method is started from
	// probeStarts are tried before all else
	probeStarts = 3
	maxNewton   = 60 // steps from one point
)

// solveMany solves a block of several equations. A linear one has one point;
// else a few Newton steps from fixed points tell whether the equations depend on
// each other, and branch and prune finds every solution or proves that there is
// none. Where its work is spent, more starting points find what they can.
func (w *scratch) solveMany(q *query, o *outcome, at int, cons []int, vars []Var, x []float64, budget *int) [][]float64 {
	probe := min(*budget/4, 200*w.sizeOf(cons))
	b := newBlock(w, q, cons, vars, x, &probe)
	var found [][]float64
	for k := 0; k < probeStarts && len(found) == 0; k++ { // a regular solution rules dependence out
		found = b.findAll(k, k+1, nil)
	}
	*budget -= w.sizeOf(cons)
	b.budget = budget
	if b.dependent >= 0 && len(found) > 0 {
		o.degenerate = cons[b.dependent]
		return nil
	}
	if !b.linear {
		found = b.prove(o, found)
		if b.dependent >= 0 && len(found) > 0 {
			o.degenerate = cons[b.dependent]
			return nil
		}
	}
	if b.linear && !b.confirm(found) {
		o.doubt(probe > 0, vars...)
	}
	if *budget <= 0 {
		o.complete = false
	}
	if len(found) == 0 {
		o.failures = append(o.failures, failure{block: at, check: -1, v: -1, need: nan})
		return nil
	}
	var flat []float64
	for _, f := range found {
		flat = append(flat, f...)
	}
	return w.inRange(q, o, at, vars, flat, len(vars))
}

// sizeOf is the number of steps of constraints.
func (w *scratch) sizeOf(cons []int) int {
	n := 0
	for _, c := range cons {
		n += w.p.tapes[c].Size()
	}
	return n
}

// rows lays the block's equations over its own variables.
func (b *block) rows() []expr.Row {
	w := b.w
	w.number(b.vars)
	rows := make([]expr.Row, b.n)
	for i, c := range b.cons {
		rows[i] = expr.NewRow(&w.p.tapes[c], b.q.shift[c], w.local, b.x)
	}
	w.unnumber(b.vars)
	return rows
}

// number sets local to the places of variables among those given, until unnumber.
func (w *scratch) number(vars []Var) {
	if w.local == nil {
		w.local = make([]int32, len(w.p.vars))
		for i := range w.local {
			w.local[i] = -1
		}
	}
	for k, v := range vars {
		w.local[v] = int32(k)
	}
}

func (w *scratch) unnumber(vars []Var) {
	for _, v := range vars {
		w.local[v] = -1
	}
}

// maxConfirm is the size above which a linear block's matrix is not proved to be
// regular: elimination found it so.
const maxConfirm = 2000

// confirm proves the one solution of a linear block.
func (b *block) confirm(found [][]float64) bool {
	if len(found) != 1 || b.n > maxConfirm {
		return false
	}
	return roots.Isolated(b.rows(), b.scale, found[0])
}

// prove returns the block's solutions as branch and prune finds them, adding
// those of other starts where that is not complete.
func (b *block) prove(o *outcome, found [][]float64) [][]float64 {
	w := b.w
	box := make([]interval.Interval, b.n)
	for k := range box {
		box[k] = interval.Interval{Lo: b.lo[k], Hi: b.hi[k]}
	}
	p := roots.NewProver(b.rows(), b.n, b.scale, w.proof/2)
	p.Run(box)
	w.proof -= w.proof/2 - p.Steps
	var out [][]float64
	for _, f := range p.Found {
		y := make([]float64, b.n)
		for k, t := range f.Tight {
			y[k] = t.Lo + float64(0.5*(t.Hi-t.Lo))
		}
		out = append(out, y)
	}
	if p.Done && len(out) > 0 {
		return out
	}
	if !p.Done {
		tries := *b.budget / 2
		*b.budget -= tries
		defer func(left *int) { *left += max(0, tries); b.budget = left }(b.budget)
		b.budget = &tries
		found = b.findAll(probeStarts, maxStarts, found)
		if b.dependent >= 0 {
			return found
		}
		for _, l := range p.Left {
			y := make([]float64, b.n)
			for k := range l {
				y[k] = l[k].Lo + float64(0.5*(l[k].Hi-l[k].Lo))
			}
			if b.newton(y) && b.dependent < 0 && !b.known(found, y) {
				found = append(found, y)
			}
		}
	}
	for _, y := range found { // hold within tolerance, but are not proved
		if !b.known(out, y) {
			out = append(out, y)
		}
	}
	if !p.Done || len(out) > 0 {
		o.doubt(false, b.vars...)
	}
	return out
}

// block is a square system of n equations; vectors are by its variables.
type block struct {
	w         *scratch
	q         *query
	cons      []int
	vars      []Var
	x         []float64 // all variables
	n         int
	lo, hi    []float64
	scale     []float64
	r, step   []float64
	jac       []float64     // n by n, rows by equation, scaled columns
	dense     *linear.Dense // of jac, once it was factored
	sparse    *sparse       // instead of jac, of a large block
	linear    bool          // the Jacobian is the same everywhere
	dependent int           // equation whose gradient depends on the others' at a solution, or -1
	budget    *int
}

func newBlock(w *scratch, q *query, cons []int, vars []Var, x []float64, budget *int) *block {
	n := len(vars)
	w.number(vars)
	defer w.unnumber(vars)
	b := &block{w: w, q: q, cons: cons, vars: vars, x: x, n: n, dependent: -1, budget: budget,
		lo: make([]float64, n), hi: make([]float64, n), scale: make([]float64, n),
		r: make([]float64, n), step: make([]float64, n)}
	if n > linear.DenseUpTo {
		b.sparse = newSparse(w, cons)
	}
	if b.sparse == nil {
		b.jac = make([]float64, n*n)
	}
	for k, v := range vars {
		r := q.ranges[v]
		sl, sh := slack(r)
		b.lo[k], b.hi[k] = r.Lo-sl, r.Hi+sh
		b.scale[k] = 1
		if wd := r.Hi - r.Lo; elementary.Finite(wd) && wd > 0 {
			b.scale[k] = wd
		}
	}
	b.linear = true
	for _, c := range cons {
		b.linear = b.linear && w.p.tapes[c].IsLinear(w.local)
	}
	if b.linear { // at most one point, wherever it is; whether in range is asked later
		for k := range vars {
			b.lo[k], b.hi[k] = math.Inf(-1), math.Inf(1)
		}
	}
	return b
}

// residual evaluates the equations and returns the sum of squares, each
// relative to the size of its terms.
func (b *block) residual(y []float64, jacobian bool) (sum float64, ok bool) {
	for k, v := range b.vars {
		b.x[v] = y[k]
	}
	ok = true
	for i, c := range b.cons {
		t := &b.w.p.tapes[c]
		*b.budget -= t.Size()
		r := t.Eval(b.x, b.w.buf) - b.q.shift[c]
		if !elementary.Finite(r) {
			return math.Inf(1), false
		}
		if jacobian {
			for _, v := range t.Vars {
				b.w.grad[v] = 0
			}
			t.Gradient(b.w.buf, b.w.adj, b.w.grad)
			if b.sparse != nil {
				for at, k := range b.sparse.cols[i] {
					b.sparse.entry[i][at] = float64(b.w.grad[b.vars[k]] * b.scale[k])
				}
			} else {
				for k, v := range b.vars {
					b.jac[i*b.n+k] = 0
					if hasVar(t.Vars, v) {
						b.jac[i*b.n+k] = float64(b.w.grad[v] * b.scale[k])
					}
				}
			}
		}
		m := t.Magnitude(b.w.buf, b.w.adj) + math.Abs(b.q.shift[c])
		if !(math.Abs(r) <= float64(expr.Tolerance*m)+expr.LeastResidual) {
			ok = false
		}
		b.r[i] = r
		sum += float64(r * r)
	}
	return sum, ok
}

func hasVar(vars []Var, v Var) bool {
	lo, hi := 0, len(vars)
	for lo < hi {
		m := (lo + hi) / 2
		if vars[m] < v {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo < len(vars) && vars[lo] == v
}

// findAll adds the distinct solutions found from the given starts, in order of
// finding.
func (b *block) findAll(from, to int, found [][]float64) [][]float64 {
	if b.linear {
		to = min(to, 1)
	}
	for k := from; k < to; k++ {
		if *b.budget <= 0 {
			break
		}
		y := b.start(k)
		if !b.newton(y) {
			continue
		}
		if b.dependent >= 0 {
			return [][]float64{y}
		}
		if !b.known(found, y) {
			found = append(found, y)
		}
	}
	return found
}

func (b *block) known(found [][]float64, y []float64) bool {
	for _, f := range found {
		same := true
		for k := range y {
			if math.Abs(f[k]-y[k]) > 1e-6*math.Max(math.Abs(y[k]), math.Min(1, b.scale[k])) {
				same = false
				break
			}
		}
		if same {
			return true
		}
	}
	return false
}

// start is the k-th starting point: the middle, an About's target where one is
// on a variable alone, then a low-discrepancy sequence.
func (b *block) start(k int) []float64 {
	y := make([]float64, b.n)
	for j, v := range b.vars {
		p := b.w.p.vars[v]
		p.lo, p.hi = b.q.ranges[v].Lo, b.q.ranges[v].Hi
		switch {
		case k == 0 && elementary.Finite(p.lo) && elementary.Finite(p.hi):
			y[j] = float64(0.5*p.lo) + float64(0.5*p.hi)
		case k == 0:
			y[j] = math.Max(p.lo, math.Min(p.hi, 1))
		default:
			y[j] = spread(p, j, k)
		}
		if k < 2 {
			if a, ok := b.w.target(b.q, v); ok {
				y[j] = a
			}
		}
	}
	return y
}

// spread is the k-th point of a sequence for the j-th variable; unbounded
// ranges are covered on both sides and at several sizes.
func spread(v variable, j, k int) float64 {
	u := float64(float64(k) * (0.6180339887498949 + float64(0.1412135623730951*float64(j))))
	u -= math.Floor(u)
	size := float64(uint64(1) << (k % 8))
	switch {
	case elementary.Finite(v.lo) && elementary.Finite(v.hi):
		return v.lo + float64(u*(v.hi-v.lo))
	case elementary.Finite(v.lo):
		return v.lo + float64(u*size)
	case elementary.Finite(v.hi):
		return v.hi - float64(u*size)
	}
	return float64((2*u - 1) * size)
}

// target is what an About on v alone aims at, where it is `v = number`.
func (w *scratch) target(q *query, v Var) (float64, bool) {
	for _, i := range w.p.abouts {
		t := &w.p.tapes[i]
		if q.on[i] && len(t.Vars) == 1 && t.Assigns == v {
			y, _ := t.Assigned(w.x, w.buf)
			return y, elementary.Finite(y)
		}
	}
	return 0, false
}

// newton improves y until its residual is rounding, keeping it in range. It
// tells whether it came to a solution, and sets dependent where the Jacobian is
// singular there.
func (b *block) newton(y []float64) bool {
	sum, ok := b.residual(y, true)
	trial := make([]float64, b.n)
	for range maxNewton {
		if math.IsInf(sum, 0) {
			return false
		}
		if *b.budget <= 0 { // it may be there
			break
		}
		row, solved := b.solveLinear()
		if ok && row >= 0 && b.degenerate(y) {
			b.dependent = row
			return true
		}
		if !solved {
			return ok
		}
		b.pin(y)
		next, nok, moved := b.damped(y, trial, sum)
		if !moved {
			return ok
		}
		copy(y, trial)
		done := ok && nok && next >= 0.25*sum
		sum, ok = next, nok
		if sum == 0 || done {
			break
		}
		b.residual(y, true)
	}
	if _, ok = b.residual(y, true); ok {
		if row, _ := b.solveLinear(); row >= 0 && b.degenerate(y) {
			b.dependent = row
		}
	}
	return ok
}

// degenerate tells whether the Jacobian, singular at y, is singular nearby too: if
// not, y is a root of its own, only a multiple one.
func (b *block) degenerate(y []float64) bool {
	const aside = 1e-3
	near := make([]float64, b.n)
	singular := true
	for k := range y {
		d := float64(aside * b.scale[k] * (0.6 + 0.4/float64(k+1))) // unlike in each variable
		if near[k] = y[k] + d; near[k] > b.hi[k] {
			near[k] = y[k] - d
		}
	}
	if sum, _ := b.residual(near, true); elementary.Finite(sum) {
		row, _ := b.solveLinear()
		singular = row >= 0
	}
	b.residual(y, true)
	b.solveLinear()
	return singular
}

// pin solves again without the variables that stand at an end of their range and
// would step beyond it.
func (b *block) pin(y []float64) {
	for range b.n {
		pinned := false
		for k := range y {
			if b.step[k] > 0 && y[k] <= b.lo[k] || b.step[k] < 0 && y[k] >= b.hi[k] {
				b.drop(k)
				pinned = true
			}
		}
		if !pinned {
			return
		}
		b.solveLinear()
	}
}

// drop takes a variable out of the Jacobian; of a large block it keeps its value in
// place of the equation that it is matched with, the one in the same place.
func (b *block) drop(k int) {
	if b.sparse == nil {
		for i := range b.n {
			b.jac[i*b.n+k] = 0
		}
		return
	}
	for at, c := range b.sparse.cols[k] {
		b.sparse.entry[k][at] = 0
		if int(c) == k {
			b.sparse.entry[k][at] = 1
		}
	}
	b.r[k] = 0
}

// damped steps along b.step, halved until the residual falls.
func (b *block) damped(y, trial []float64, sum float64) (next float64, ok, moved bool) {
	f := 1.0
	for range 40 {
		changed := false
		for k := range y {
			z := y[k] - float64(f*float64(b.step[k]*b.scale[k]))
			trial[k] = math.Max(b.lo[k], math.Min(b.hi[k], z))
			changed = changed || trial[k] != y[k]
		}
		if !changed {
			return sum, ok, false
		}
		next, ok = b.residual(trial, false)
		if next < sum {
			return next, ok, true
		}
		f *= 0.5
	}
	return sum, ok, false
}
