package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
)

// The searches spent on making a conflict small are bounded by their number and,
// for large systems, by number times constraints; past that the conflict still
// cannot hold but may not be smallest.
const (
	// conflictProofs bounds the steps of proofs for a conflict.
	conflictProofs = 5_000_000
	maxFilterRuns  = 2000
	minFilterRuns  = 60
	maxFilterWork  = 400000
)

// none makes the Result of an outcome without solutions: Status None where that
// is proved, else Unproved with no values.
func (w *scratch) none(q *query, o *outcome) Result {
	r := Result{Status: None, Values: make([]float64, len(w.p.vars)), Origins: make([]Origin, len(w.p.vars)), Proof: o.proof()}
	if !o.complete {
		r.Status = Unproved
		w.guess = true
	}
	w.proof = min(w.proof, conflictProofs)
	for i := range r.Values {
		r.Values[i] = nan
		r.Origins[i].By = -1
	}
	for _, f := range o.failures {
		if f.check >= 0 && len(w.failed) < maxSeeds && !slices.Contains(w.failed, f.check) {
			w.failed = append(w.failed, f.check)
		}
	}
	c := &conflict{w: w, q: q.clone(), runs: max(minFilterRuns, min(maxFilterRuns, maxFilterWork/max(1, len(q.on))))}
	for _, i := range w.p.abouts {
		c.q.on[i] = false
	}
	kept := c.filter(c.suspects(o))
	for _, i := range kept {
		r.Conflict = append(r.Conflict, ID(i))
	}
	r.Range = c.ranges(kept)
	r.Nearest = w.needs(q, r.Range)
	slices.Sort(r.Conflict)
	return r
}

// fails tells whether a query has no solution: that there is none is proved, or
// intervals exclude those of the determined part. Where the first failure was not
// proved either, finding none is enough.
func (w *scratch) fails(q *query) bool {
	o := w.run(q)
	return len(o.solutions) == 0 && (o.complete || w.guess) || w.excluded(q, o) >= 0
}

// excluded returns a constraint that intervals prove cannot hold, alone or beside those near it, given the
// values of the determined variables and the ranges of the others; -1 if none.
func (w *scratch) excluded(q *query, o *outcome) int {
	if !slices.Contains(o.plan.under, true) || len(o.solutions) != 1 {
		return -1
	}
	box := slices.Clone(q.ranges)
	for v, x := range o.solutions[0] {
		if !math.IsNaN(x) {
			box[v] = interval.Point(x)
		}
	}
	for i := range w.p.cons {
		if !q.on[i] || w.p.cons[i].Strength >= About || w.known(i, o.solutions[0]) {
			continue
		}
		if !w.possible(i, box) {
			return i
		}
	}
	return w.refuted(q, o, box)
}

// possible tells whether constraint i may hold somewhere in a box.
func (w *scratch) possible(i int, box []interval.Interval) bool {
	t := &w.p.tapes[i]
	y := t.EncloseBox(box, w.dual)
	if y.IsEmpty() {
		return false
	}
	m := t.Sides(w.dual)
	if math.IsInf(m, 0) {
		m = 0
	}
	e := expr.Allowance(m)
	switch w.p.cons[i].Rel {
	case EQ:
		return y.Lo <= e && y.Hi >= -e
	case LE, LT:
		return y.Lo <= e
	case GE, GT:
		return y.Hi >= -e
	}
	return true
}

// conflict makes a set of constraints that cannot hold smaller.
type conflict struct {
	w    *scratch
	q    *query // on: only what is still suspected
	runs int
}

// suspects lists the constraints that the failures rest on, through all that
// their variables were solved from; all that are on, where nothing else fails.
func (c *conflict) suspects(o *outcome) []int {
	w, pl := c.w, o.plan
	mark := map[int]bool{}
	var queue []int
	push := func(i int) {
		if i >= 0 && !mark[i] {
			mark[i] = true
			queue = append(queue, i)
		}
	}
	for _, f := range o.failures {
		push(f.check)
		if f.block >= 0 {
			for _, i := range pl.blocks[f.block] {
				push(i)
			}
		}
	}
	for k := 0; k < len(queue); k++ {
		for _, v := range w.p.tapes[queue[k]].Vars {
			if b := pl.blockOf[v]; b >= 0 {
				for _, i := range pl.blocks[b] {
					push(i)
				}
			}
		}
	}
	var all, some []int
	for i := range c.q.on {
		if c.q.on[i] {
			all = append(all, i)
		}
	}
	for _, i := range slices.Backward(queue) { // the farthest from the failure are dropped first
		if c.q.on[i] {
			some = append(some, i)
		}
	}
	c.set(some)
	if len(some) == len(all) || c.fails() {
		return some
	}
	c.set(all)
	return all
}

func (c *conflict) set(ids []int) {
	clear(c.q.on)
	for _, i := range ids {
		c.q.on[i] = true
	}
}

func (c *conflict) fails() bool {
	c.runs--
	return c.w.fails(c.q)
}

// filter deletes what is not needed for the failure, in chunks that halve where
// they are needed, and returns what is left: taking any one away, the rest can
// hold.
func (c *conflict) filter(ids []int) []int {
	c.set(ids)
	var try func(chunk []int)
	try = func(chunk []int) {
		if len(chunk) == 0 || c.runs <= 0 {
			return
		}
		for _, i := range chunk {
			c.q.on[i] = false
		}
		if c.fails() {
			return
		}
		for _, i := range chunk {
			c.q.on[i] = true
		}
		if len(chunk) > 1 {
			try(chunk[:len(chunk)/2])
			try(chunk[len(chunk)/2:])
		}
	}
	try(ids)
	var kept []int
	for _, i := range ids {
		if c.q.on[i] {
			kept = append(kept, i)
		}
	}
	return kept
}

// ranges opens every range that the failure does not need and returns the
// variables of the others.
func (c *conflict) ranges(kept []int) []Var {
	var vars []Var
	for _, i := range kept {
		vars = append(vars, c.w.p.tapes[i].Vars...)
	}
	slices.Sort(vars)
	vars = slices.Compact(vars)
	var part []Var
	for _, v := range vars[:min(len(vars), maxNeeds)] {
		old, whole := c.q.ranges[v], c.q.whole[v]
		if !whole && math.IsInf(old.Lo, -1) && math.IsInf(old.Hi, 1) {
			continue
		}
		c.q.whole[v] = false
		for _, r := range wider(old) {
			c.q.ranges[v] = r
			if c.runs <= 0 || !c.fails() {
				c.q.ranges[v], c.q.whole[v] = old, whole
				part = append(part, v)
				break
			}
		}
	}
	return part
}

// maxNeeds bounds the searches for what variables would need.
const maxNeeds = 64

// needs tells, for each variable whose range takes part, the value it would have
// with that range open and all else as it is, the nearest to the range where
// there are several; of many variables of the first maxNeeds.
func (w *scratch) needs(q *query, vars []Var) []Bound {
	q = q.clone()
	for _, i := range w.p.abouts {
		q.on[i] = false
	}
	var out []Bound
	for _, v := range vars {
		old, whole := q.ranges[v], q.whole[v]
		q.whole[v] = false
		best, far := nan, math.Inf(1)
		for _, r := range wider(old) {
			q.ranges[v] = r
			for _, x := range w.run(q).solutions {
				d := math.Max(0, math.Max(old.Lo-x[v], x[v]-old.Hi))
				if elementary.Finite(x[v]) && d < far {
					best, far = x[v], d
				}
			}
			if !math.IsNaN(best) {
				out = append(out, Bound{v, best})
				break
			}
		}
		q.ranges[v], q.whole[v] = old, whole
	}
	return out
}

// wider opens a range in stages, so that the nearest values are met first: with
// periods an open range may hold more than a search can list.
func wider(r interval.Interval) []interval.Interval {
	d := r.Width()
	if !elementary.Finite(d) || d < 0 {
		return []interval.Interval{interval.Entire}
	}
	d = math.Max(d, 1e-3*math.Max(1, r.Magnitude()))
	return []interval.Interval{
		{Lo: r.Lo - d, Hi: r.Hi + d},
		{Lo: r.Lo - float64(16*d), Hi: r.Hi + float64(16*d)},
		interval.Entire,
	}
}
