package search

import (
	"math"
	"slices"
)

// leaps are how far beyond the best point others are looked for, in parts of the way to
// the objective's end: a costly function may jump, and hold again further on.
var leaps = []float64{0.5, 0.2, 0.08, 0.03, 0.01, 5e-3, 2e-3, 5e-4, 1e-4, 1e-5}

const (
	leastLeap = 0.03 // where residuals are counted
	maxLeaps  = 4    // from which local searches are taken
	sameValue = 1e-6 // of the objective's stretch, by which the best point may differ from a stationary one
	bearing   = 1e-4 // of the largest multiplier: what holds a point bears at least that
	// CountSteps is the part of a range to which the objective is narrowed where residuals
	// are counted: whether they are met hangs on more than the value.
	CountSteps = 1000
)

// Feasible looks for a point where all holds, and goes with the first that it finds.
func (p *Problem) Feasible(start []float64) Solution {
	j := newJoint(p, false)
	at := j.parts(start)
	j.multistart(at)
	j.eachSide(at)
	return j.solution()
}

// Farthest looks for the point where all holds and the first variable is nearest to its
// To. It needs a start, and takes more.
func (p *Problem) Farthest(starts ...[]float64) Solution {
	j := newJoint(p, true)
	at := make([][]float64, len(starts))
	for i, x := range starts {
		at[i] = j.parts(x)
	}
	j.multistart(at...)
	j.eachSide(at[0])
	if j.best == nil {
		return j.solution()
	}
	j.leap()
	j.bisectCounted()
	return j.confirmed()
}

func (j *joint) solution() Solution {
	return Solution{Best: j.trial(j.best), Nearest: j.trial(j.closest)}
}

// leap looks beyond the best point, and searches from what it finds.
func (j *joint) leap() {
	for n := 0; n < maxLeaps && !j.done; n++ {
		b := j.best
		if b.gradients == nil {
			j.differentiate(b)
		}
		for _, part := range leaps {
			if part < leastLeap && j.counts() {
				break // bisection will tell, at less cost
			}
			if j.done {
				return
			}
			if p, _ := j.restoreAt(b, b.at[0]+float64(part*(1-b.at[0]))); p != nil {
				j.keepStationary(j.sequential(p))
				break
			}
		}
		if j.best == b {
			return
		}
	}
}

// bisectCounted narrows how far the objective goes where residuals are counted: nothing
// tells how near they are to not being met.
func (j *joint) bisectCounted() {
	b := j.best
	if !j.counts() || math.IsNaN(j.unmet) {
		return
	}
	lo, hi := b.at[0], 1.0
	for hi-lo > 1.0/CountSteps && !j.done {
		m := lo + float64(0.5*(hi-lo))
		if p, _ := j.restoreAt(b, m); p != nil {
			lo = m
		} else {
			hi = m
		}
	}
	if j.Round == 0 {
		return
	}
	v := j.value(0, lo) / j.Round // the limit is likelier a round value than not
	if j.Variables[0].From < j.Variables[0].To {
		v = math.Ceil(v) * j.Round
	} else {
		v = math.Floor(v) * j.Round
	}
	if to := j.part(0, v); to > lo && to <= hi && !j.done {
		j.restoreAt(b, to)
	}
}

// confirmed is the best point with the objective at a round value, if all holds there too.
func (j *joint) confirmed() Solution {
	out := j.solution()
	b := j.best
	far, reach := b, b.at[0]
	if j.stationary != nil && j.stationary.at[0] >= reach-sameValue {
		far, reach = j.stationary, max(reach, j.stationary.at[0])
	}
	own := j.value(0, b.at[0])
	tries := []float64{own}
	if v := j.value(0, reach); j.Step > 0 {
		on, back := math.Ceil(v/j.Step)*j.Step, math.Floor(v/j.Step)*j.Step
		if j.Variables[0].From > j.Variables[0].To {
			on, back = back, on
		}
		tries = []float64{on, back, own}
	}
	if far.gradients == nil {
		j.differentiate(far)
	}
	for _, v := range tries {
		p := b
		if v != own {
			p, _ = j.restoreAt(far, j.part(0, v))
		}
		if p == nil {
			continue
		}
		x := j.values(p.at)
		if x[0] = v; j.Confirm == nil || j.Confirm(x) {
			out.Confirmed, out.Stops = x, func() []Reason { return j.reasons(far) }
			return out
		}
	}
	return out
}

// reasons are what holds a point where it is: by the multipliers where it is stationary;
// else what does not hold a little further on.
func (j *joint) reasons(p *point) []Reason {
	if p.stationary {
		return j.binding(p)
	}
	var out []Reason
	for _, part := range []float64{1e-5, 1e-4, 1e-3, 1e-2} {
		if _, o := j.restoreAt(p, min(j.max[0], p.at[0]+part)); o != nil && !o.feasible {
			if out = j.violated(o); out != nil {
				break
			}
		}
	}
	return out
}

// binding are the rows that hold a stationary point.
func (j *joint) binding(p *point) []Reason {
	weight := slices.Clone(p.multipliers)
	for i, r := range p.rows {
		if i > 0 && r == p.rows[i-1] && r.kind == onResidual { // an equality, from either side
			weight[i-1], weight[i] = math.Abs(weight[i-1]-weight[i]), 0
		}
	}
	heaviest := 0.0
	for i, r := range p.rows {
		if r.kind != onReach {
			heaviest = max(heaviest, weight[i])
		}
	}
	var out []Reason
	for _, kind := range []ReasonKind{ByResidual, ByImplicit, ByShortfall, ByRange} {
		for i, w := range weight {
			if r, ok := j.reason(p.rows[i]); ok && r.Kind == kind && w > float64(bearing*heaviest) {
				out = append(out, r)
			}
		}
	}
	return out
}

// reason tells what a row stands for; ok is false of those that are of the search alone.
func (j *joint) reason(r row) (_ Reason, ok bool) {
	switch r.kind {
	case onResidual, onKink:
		return Reason{Kind: ByResidual, Index: r.n}, true
	case onImplicit:
		return Reason{Kind: ByImplicit, Index: j.implicit[r.n]}, true
	case onLimit:
		return Reason{Kind: ByShortfall, Of: j.limits[r.n].of}, true
	case onUpper, onLower:
		return Reason{Kind: ByRange, Index: r.n}, true
	}
	return Reason{}, false
}

// violated are what does not hold at a point, or holds by a hair.
func (j *joint) violated(p *point) []Reason {
	var out []Reason
	for k, r := range p.Residuals {
		if r > 0 || j.Residuals[k] == Equality && r != 0 {
			out = append(out, Reason{Kind: ByResidual, Index: k})
		}
	}
	for k, g := range p.implicit {
		if g > -10*inside {
			out = append(out, Reason{Kind: ByImplicit, Index: j.implicit[k]})
		}
	}
	for k, at := range p.at {
		if k > 0 && (at == j.min[k] || at == j.max[k]) {
			out = append(out, Reason{Kind: ByRange, Index: k})
		}
	}
	for _, s := range p.Shortfalls {
		out = append(out, Reason{Kind: ByShortfall, Of: s.Of})
	}
	if p.Err != nil {
		out = append(out, Reason{Kind: ByError, Err: p.Err, Made: p.Made})
	}
	return out
}
