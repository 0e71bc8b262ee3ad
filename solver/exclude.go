package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
)

const (
	maxTogether = 12  // constraints looked at together
	maxBoxes    = 400 // boxes they are tried on
	maxSeeds    = 8   // surplus constraints tried
	maxAround   = 2   // rules between a surplus constraint and another
)

// clash looks for a constraint that cannot hold beside those near it, whatever
// the variables that structure leaves open are: each that failed when all were
// on or that structure has no use for, and its neighbours, are put to branch and
// prune on the ranges. It returns
// the constraint, or -1.
func (w *scratch) clash(q *query, o *outcome, box []interval) int {
	x := o.solutions[0]
	tried := 0
	for _, i := range slices.Concat(w.failed, o.plan.extra) {
		if tried >= maxSeeds || !q.on[i] || w.p.cons[i].Rel == NE || w.known(i, x) {
			continue
		}
		tried++
		if w.clashes(q, o.plan, w.around(q, i, x), box, x) {
			return i
		}
	}
	return -1
}

// around lists a constraint and those near it, nearest first, by the open
// variables that they share.
func (w *scratch) around(q *query, i int, x []float64) []int {
	out := []int{i}
	for from, hop := 0, 0; hop < maxAround; hop++ {
		end := len(out)
		for ; from < end; from++ {
			for _, v := range w.p.tapes[out[from]].vars {
				if !math.IsNaN(x[v]) {
					continue
				}
				for _, k := range w.uses(v) {
					if len(out) >= maxTogether {
						return out
					}
					if q.on[k] && w.p.cons[k].Strength < About && w.p.cons[k].Rel != NE && !slices.Contains(out, k) {
						out = append(out, k)
					}
				}
			}
		}
	}
	return out
}

// uses lists the constraints in which v occurs.
func (w *scratch) uses(v Var) []int {
	if w.usedIn == nil {
		w.usedIn = make([][]int, len(w.p.vars))
		for i := range w.p.tapes {
			for _, v := range w.p.tapes[i].vars {
				w.usedIn[v] = append(w.usedIn[v], i)
			}
		}
	}
	return w.usedIn[v]
}

// clashes tells whether branch and prune on the first constraint's variables
// leaves nothing that satisfies all within tolerance.
func (w *scratch) clashes(q *query, pl *plan, cons []int, ranges []interval, x []float64) bool {
	local := make([]int32, len(w.p.vars))
	for v := range local {
		local[v] = -1
	}
	var first []interval
	seeds := 0
	for k, c := range cons {
		for _, v := range w.p.tapes[c].vars {
			if local[v] < 0 && math.IsNaN(x[v]) {
				local[v] = int32(len(first))
				first = append(first, ranges[v])
			}
		}
		if k == 0 {
			seeds = len(first)
		}
	}
	rows := make([]row, len(cons))
	for i, c := range cons {
		rows[i] = newRow(&w.p.tapes[c], q.shift[c], local, x)
		rows[i].want = w.allowed(c, ranges)
	}
	scale := boxScale(first)
	p := newProver(rows, 0, scale, maxBestWork)
	todo := [][]interval{first}
	for n := 0; len(todo) > 0; n++ {
		box := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if n >= maxBoxes {
			return false
		}
		if !p.contract(box) {
			continue
		}
		k, most := -1, 0.0
		for j := range box[:seeds] {
			if d := math.Min(box[j].width()/scale[j], math.MaxFloat64); d > most {
				k, most = j, d
			}
		}
		if k < 0 || most < 1e-6 {
			return false
		}
		m := splitAt(box[k])
		if !(m > box[k].lo && m < box[k].hi) {
			return false
		}
		half := slices.Clone(box)
		box[k].hi, half[k].lo = m, m
		todo = append(todo, half, box)
	}
	return true
}

// allowed is what a constraint's residual may be over a box, with its tolerance.
func (w *scratch) allowed(i int, box []interval) interval {
	t := &w.p.tapes[i]
	t.encloseBox(box, w.dual)
	m := t.sides(w.dual)
	if !elementary.Finite(m) {
		m = 0
	}
	e := allowance(m)
	switch w.p.cons[i].Rel {
	case LE, LT:
		return interval{lo: math.Inf(-1), hi: e}
	case GE, GT:
		return interval{lo: -e, hi: math.Inf(1)}
	}
	return interval{lo: -e, hi: e}
}
