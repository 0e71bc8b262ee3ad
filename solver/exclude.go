package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/roots"
)

const (
	maxTogether = 12  // constraints looked at together
	maxBoxes    = 400 // boxes they are tried on
	maxSeeds    = 8   // surplus constraints tried
	maxAround   = 2   // rules between a surplus constraint and another
)

// refuted looks for a constraint that cannot hold beside those near it, whatever
// the variables that structure leaves open are: each that failed when all were
// on or that structure has no use for, and its neighbours, are put to branch and
// prune on the ranges. It returns
// the constraint, or -1.
func (w *scratch) refuted(q *query, o *outcome, box []interval.Interval) int {
	x := o.solutions[0]
	tried := 0
	for _, i := range slices.Concat(w.failed, o.plan.extra) {
		if tried >= maxSeeds || !q.on[i] || w.p.cons[i].Rel == NE || w.known(i, x) {
			continue
		}
		tried++
		if w.refutes(q, o.plan, w.around(q, i, x), box, x) {
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
			for _, v := range w.p.tapes[out[from]].Vars {
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
			for _, v := range w.p.tapes[i].Vars {
				w.usedIn[v] = append(w.usedIn[v], i)
			}
		}
	}
	return w.usedIn[v]
}

// refutes tells whether branch and prune on the first constraint's variables
// leaves nothing that satisfies all within tolerance.
func (w *scratch) refutes(q *query, pl *plan, cons []int, ranges []interval.Interval, x []float64) bool {
	local := make([]int32, len(w.p.vars))
	for v := range local {
		local[v] = -1
	}
	var first []interval.Interval
	seeds := 0
	for k, c := range cons {
		for _, v := range w.p.tapes[c].Vars {
			if local[v] < 0 && math.IsNaN(x[v]) {
				local[v] = int32(len(first))
				first = append(first, ranges[v])
			}
		}
		if k == 0 {
			seeds = len(first)
		}
	}
	rows := make([]expr.Row, len(cons))
	for i, c := range cons {
		rows[i] = expr.NewRow(&w.p.tapes[c], q.shift[c], local, x)
		rows[i].Want = w.allowed(c, ranges)
	}
	scale := interval.Scale(first)
	p := roots.NewProver(rows, 0, scale, maxBestWork)
	todo := [][]interval.Interval{first}
	for n := 0; len(todo) > 0; n++ {
		box := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if n >= maxBoxes {
			return false
		}
		if !p.Contract(box) {
			continue
		}
		k, most := -1, 0.0
		for j := range box[:seeds] {
			if d := math.Min(box[j].Width()/scale[j], math.MaxFloat64); d > most {
				k, most = j, d
			}
		}
		if k < 0 || most < 1e-6 {
			return false
		}
		m := interval.SplitPoint(box[k])
		if !(m > box[k].Lo && m < box[k].Hi) {
			return false
		}
		half := slices.Clone(box)
		box[k].Hi, half[k].Lo = m, m
		todo = append(todo, half, box)
	}
	return true
}

// allowed is what a constraint's residual may be over a box, with its tolerance.
func (w *scratch) allowed(i int, box []interval.Interval) interval.Interval {
	t := &w.p.tapes[i]
	t.EncloseBox(box, w.dual)
	m := t.Sides(w.dual)
	if !elementary.Finite(m) {
		m = 0
	}
	e := expr.Allowance(m)
	switch w.p.cons[i].Rel {
	case LE, LT:
		return interval.Interval{Lo: math.Inf(-1), Hi: e}
	case GE, GT:
		return interval.Interval{Lo: -e, Hi: math.Inf(1)}
	}
	return interval.Interval{Lo: -e, Hi: e}
}
