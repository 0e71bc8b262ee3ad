package search

import (
	"math"
	"slices"
)

// maxRestorations is how many evaluations are spent on bringing a point back to where all
// holds.
const maxRestorations = 4

// restoreAt brings the objective to a value and the other variables, by the gradients at
// p, to where all holds; nil where that does not come about in a few evaluations, with the
// last.
func (j *joint) restoreAt(p *point, to float64) (feasible, last *point) {
	return j.restore(p, j.residuals(p), true, to)
}

// repair brings a point, by its gradients, to where all holds but what is counted.
func (j *joint) repair(p *point) (feasible, last *point) {
	residuals := j.residuals(p)
	for k := range residuals {
		if j.Residuals[k] == Counted {
			residuals[k] = math.NaN()
		}
	}
	return j.restore(p, residuals, false, 0)
}

// restore takes steps from p, each by the gradients there and what the last one missed.
// Residuals that are NaN are not looked at; hold brings the objective to a value.
func (j *joint) restore(p *point, residuals []float64, hold bool, to float64) (feasible, last *point) {
	implicit := slices.Clone(p.implicit)
	for range maxRestorations {
		s := j.subproblem(p.at, 1, hold, to-p.at[0])
		j.linearise(s, p, implicit, residuals)
		d, _, _ := s.solve(1e3)
		if d == nil || j.done {
			return nil, last
		}
		at := moved(p.at, d)
		if hold {
			at[0] = to
		}
		o := j.try(at, hold)
		if o == nil {
			return nil, last
		}
		last = o
		if o.feasible {
			return o, o
		}
		if o.void {
			return nil, last
		}
		for _, l := range j.limits {
			if by, ok := o.shortfall(l.of); ok {
				l.at, l.by = o.at, by
			}
		}
		if j.uncounted(o) {
			return nil, last
		}
		left := j.residuals(o)
		implicit = slices.Clone(o.implicit)
		j.unforeseen(p, o, implicit, left)
		for k := range residuals {
			if !math.IsNaN(residuals[k]) {
				residuals[k] = left[k]
			}
		}
	}
	return nil, last
}
