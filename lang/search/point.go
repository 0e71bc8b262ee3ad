package search

import (
	"math"
	"slices"
)

// joint is a joint search for the values of all variables of a problem. Points are
// told in parts of the variables' stretches: 0 is From and 1 is To.
type joint struct {
	*Problem
	objective bool // the first variable is to be as far as it can
	min, max  []float64
	implicit  []int     // those of the implicit constraints that are looked at
	size      []float64 // of each of them
	scaled    bool
	limits    []*limit // met so far
	kinks     []*point // points beyond a kink of a residual, in this local search
	// The load at most for which counted residuals were seen to be met and at least for
	// which not, NaN before they were; and the most of any point.
	met, unmet, load float64
	done             bool   // found, or the budget is spent
	best             *point // feasible, the farthest
	closest          *point // the nearest to feasible
	stationary       *point // the farthest from which no step leads on
}

// point is a trial point.
type point struct {
	at       []float64
	implicit []float64
	Verdict
	void      bool // it has no residuals
	feasible  bool
	violation float64
	gradients [][]float64 // of implicit constraints, then residuals, by variable; nil until they are needed
	// the point is stationary by its gradients; the multipliers are those of the rows
	// of its subproblem
	stationary  bool
	rows        []row
	multipliers []float64
}

func newJoint(p *Problem, objective bool) *joint {
	j := &joint{Problem: p, objective: objective, met: math.NaN(), unmet: math.NaN()}
	for _, v := range p.Variables {
		a, b := (v.Min-v.From)/(v.To-v.From), (v.Max-v.From)/(v.To-v.From)
		j.min, j.max = append(j.min, min(a, b)), append(j.max, max(a, b))
	}
	for k, size := range p.Scale {
		j.implicit = append(j.implicit, k)
		if size == 0 {
			size = 1
		}
		j.size = append(j.size, size)
	}
	return j
}

// value is what a part of a variable's stretch stands for; its ends to the last bit.
func (j *joint) value(k int, part float64) float64 {
	v := j.Variables[k]
	switch part {
	case 0:
		return v.From
	case 1:
		return v.To
	case j.min[k], j.max[k]:
		if (part == j.min[k]) == (v.From < v.To) {
			return v.Min
		}
		return v.Max
	}
	return v.From + float64(part*(v.To-v.From))
}

func (j *joint) values(at []float64) []float64 {
	out := make([]float64, len(at))
	for k := range at {
		out[k] = j.value(k, at[k])
	}
	return out
}

// part is the contrary of value.
func (j *joint) part(k int, value float64) float64 {
	v := j.Variables[k]
	return j.within(k, (value-v.From)/(v.To-v.From))
}

func (j *joint) parts(x []float64) []float64 {
	out := make([]float64, len(x))
	for k := range x {
		out[k] = j.part(k, x[k])
	}
	return out
}

// within keeps to where a variable may lie, and takes an end for what is all but there.
func (j *joint) within(k int, part float64) float64 {
	const near = 1e-10
	for _, end := range []float64{0, 1, j.min[k], j.max[k]} {
		if math.Abs(part-end) <= near {
			part = end
		}
	}
	return max(j.min[k], min(j.max[k], part))
}

// evaluate evaluates a point. Where only gradients are wanted nothing is counted; nor
// is it where something else does not hold.
func (j *joint) evaluate(at, implicit []float64, gradient bool) *point {
	j.Budget.Used++
	p := &point{at: at, implicit: implicit, Verdict: j.Problem.Evaluate(j.values(at))}
	if !math.IsNaN(p.Load) {
		j.load = max(j.load, p.Load)
	}
	p.void = p.Err != nil
	p.feasible = len(p.Shortfalls) == 0
	for k, r := range p.Residuals {
		if j.Residuals[k] != Counted {
			p.void = p.void || math.IsNaN(r)
			p.feasible = p.feasible && r <= 0 && (r == 0 || j.Residuals[k] != Equality)
		}
	}
	p.feasible = p.feasible && !p.void && !slices.ContainsFunc(implicit, positive)
	if p.feasible && !gradient {
		j.count(p)
	}
	return p
}

func positive(x float64) bool { return x > 0 }

// count asks for the counted residuals of a point in which all else holds. Each may
// cost far more than the point did, so that a load far above one that was seen to be
// too much is taken to be too much.
func (j *joint) count(p *point) {
	for k, kind := range j.Residuals {
		if kind != Counted || p.Residuals[k] > 0 {
			continue
		}
		fails := p.Load > float64(1.05*j.unmet)
		if !fails {
			if fails = !j.Problem.Count(k); fails {
				j.unmet = least(j.unmet, p.Load)
			} else {
				j.met = most(j.met, p.Load)
			}
		}
		if fails {
			p.Residuals[k], p.feasible = 1, false
			return
		}
	}
}

// least is the lesser of two, a being NaN before there is any.
func least(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

func most(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// try evaluates a point, once the implicit constraints hold there or nearby; nil where
// they don't. hold keeps the objective where it is meanwhile.
func (j *joint) try(at []float64, hold bool) *point {
	at, implicit, ok := j.restoreImplicit(at, hold)
	if !ok {
		return nil
	}
	p := j.evaluate(at, implicit, false)
	p.violation = math.Inf(1)
	if !p.void {
		p.violation = j.violation(p, 0)
	}
	if j.closest == nil || p.violation < j.closest.violation {
		j.closest = p
	}
	if p.feasible && (j.best == nil || j.objective && p.at[0] > j.best.at[0]) {
		j.best = p
	}
	j.done = j.done || p.feasible && (!j.objective || p.at[0] == 1) || j.Budget.Spent()
	return p
}

// trial is a point for the caller.
func (j *joint) trial(p *point) *Trial {
	if p == nil {
		return nil
	}
	return &Trial{X: j.values(p.at), Verdict: p.Verdict, Violation: p.violation}
}

// residual is what residual k of a point comes to; NaN where that does not show. One that
// is counted goes by the load.
func (j *joint) residual(p *point, k int) float64 {
	if j.Residuals[k] != Counted {
		return p.Residuals[k]
	}
	by := (p.Load - j.bearable()) / j.load
	if p.Residuals[k] > 0 {
		return most(1e-3, by)
	}
	return min(0, by)
}

// bearable is the load that is aimed at: between the most that was seen to be met and
// the least that was not. NaN before one was not.
func (j *joint) bearable() float64 {
	switch {
	case math.IsNaN(j.unmet):
		return math.NaN()
	case math.IsNaN(j.met):
		return 0.8 * j.unmet
	case j.unmet-j.met < float64(1e-3*j.unmet):
		return j.met
	}
	return j.met + float64(0.5*(j.unmet-j.met))
}

// residuals are those of a point.
func (j *joint) residuals(p *point) []float64 {
	out := make([]float64, len(p.Residuals))
	for k := range out {
		out[k] = j.residual(p, k)
	}
	return out
}

// violation is the worst of what does not hold, with a margin where a limit is not to be
// reached quite.
func (j *joint) violation(p *point, margin float64) float64 {
	worst := 0.0
	for _, g := range p.implicit {
		if g > 0 || margin > 0 {
			worst = max(worst, g+margin)
		}
	}
	for k := range p.Residuals {
		r := j.residual(p, k)
		switch {
		case math.IsNaN(r):
		case j.Residuals[k] == Equality:
			worst = max(worst, math.Abs(r))
		default:
			if r > 0 || margin > 0 {
				worst = max(worst, r+margin)
			}
		}
	}
	for _, s := range p.Shortfalls {
		worst = max(worst, s.By)
	}
	return worst
}

// uncounted tells whether a counted residual of a point was asked for and not met.
func (j *joint) uncounted(p *point) bool {
	for k, kind := range j.Residuals {
		if kind == Counted && p.Residuals[k] > 0 {
			return true
		}
	}
	return false
}

// counts tells whether any residual is counted.
func (j *joint) counts() bool { return slices.Contains(j.Residuals, Counted) }
