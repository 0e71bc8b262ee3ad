package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/expr"
)

// solve answers for the whole program.
func (p *program) solve() Result {
	w := newScratch(p)
	q := p.query()
	o := w.run(q)
	if len(o.solutions) == 0 && len(p.abouts) > 0 {
		q, o = w.relax(q, o)
	}
	if i := w.excluded(q, o); i >= 0 {
		o.solutions = nil
		o.failures = []failure{{block: -1, check: i, v: -1}}
	}
	if len(o.solutions) == 0 {
		return w.none(q, o)
	}
	return w.result(q, o)
}

// result makes the Result of an outcome that has solutions.
func (w *scratch) result(q *query, o *outcome) Result {
	p := w.p
	best, tie := w.nearest(q, o)
	r := Result{Values: best, Solutions: o.solutions, Origins: make([]Origin, len(p.vars)), Proof: o.proof(), plan: o.plan, prog: p}
	for v := range r.Origins {
		r.Origins[v].By = -1
		if e := o.plan.g.EquationOf[v]; e >= 0 && !o.plan.under[v] {
			r.Origins[v].By = ID(o.plan.cons[e])
		}
	}
	for _, i := range p.abouts {
		if !w.known(i, best) || !w.holds(i, best) {
			r.GaveWay = append(r.GaveWay, ID(i))
		}
	}
	r.Competing = w.competing(o.plan, best)
	switch {
	case slices.Contains(o.plan.under, true):
		r.Status = Undetermined
		r.FreeSets = o.plan.g.FreeSets(o.plan.under)
	case tie:
		r.Status = Several
	case !o.complete:
		r.Status = Unproved
	}
	return r
}

func (o *outcome) proof() Proof {
	slices.Sort(o.open)
	return Proof{Complete: o.complete, Exist: o.exist && len(o.solutions) > 0, Open: slices.Compact(o.open)}
}

// known tells whether all variables of constraint i have values.
func (w *scratch) known(i int, x []float64) bool {
	for _, v := range w.p.tapes[i].Vars {
		if math.IsNaN(x[v]) {
			return false
		}
	}
	return true
}

// sameCost is the relative difference below which an About likes two solutions
// equally.
const sameCost = 1e-9

// nearest puts the solution that the Abouts like best first, by the sum of
// squares of their distances relative to the range or size. tie tells that
// another is as good.
func (w *scratch) nearest(q *query, o *outcome) (best []float64, tie bool) {
	type scored struct {
		x    []float64
		cost float64
	}
	var all []scored
	for _, x := range o.solutions {
		c := 0.0
		for _, i := range w.p.abouts {
			if !q.on[i] || !w.known(i, x) {
				continue
			}
			t := &w.p.tapes[i]
			d := t.Eval(x, w.buf)
			size := math.Max(math.Abs(t.Right(w.buf)), expr.LeastResidual)
			for _, v := range t.Vars {
				if r := q.ranges[v]; elementary.Finite(r.Width()) && r.Width() > 0 {
					size = r.Width()
				}
			}
			d /= size
			c += float64(d * d)
		}
		all = append(all, scored{x, c})
	}
	slices.SortStableFunc(all, func(a, b scored) int {
		switch {
		case a.cost < b.cost:
			return -1
		case a.cost > b.cost:
			return 1
		}
		return 0
	})
	for i := range all {
		o.solutions[i] = all[i].x
	}
	tie = len(all) > 1 && !(all[1].cost > all[0].cost+float64(sameCost*math.Max(all[0].cost, 1e-6)))
	return all[0].x, tie
}

// competing returns the Abouts that structure sets against each other and of
// which one does not hold.
func (w *scratch) competing(pl *plan, x []float64) []ID {
	bad := false
	for _, i := range pl.compete {
		bad = bad || w.known(i, x) && !w.holds(i, x)
	}
	if !bad {
		return nil
	}
	var ids []ID
	for _, i := range pl.compete {
		ids = append(ids, ID(i))
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}
