package search

import (
	"math"
	"slices"
)

const (
	maxSteps       = 30    // steps of one local search
	maxUncounted   = 3     // points where a counted residual is not met that end one
	maxLearned     = 12    // limits met in one, each met again counted
	firstReach     = 0.25  // of the stretches: how far gradients are trusted at first
	leastReach     = 1e-7  // and where a search ends
	leastGain      = 1e-9  // of the objective's stretch: a step that promises less is none
	rounding       = 1e-12 // of a violation
	flat           = 1e-4  // curvature before any is seen, so that a step is no longer than it need be
	firstPenalty   = 10    // of what does not hold, against the objective's stretch
	mostPenalty    = 1e6
	maxKinks       = 8 // points beyond kinks, in one local search
	kinkReach      = 0.05
	sufficientPart = 1e-4 // of the gain that was promised: a step that brings less is refused
)

// local is one local search: sequential quadratic steps from a point.
type local struct {
	*joint
	hessian        [][]float64
	reach, penalty float64
	learned        int // limits
	uncounted      int // points
}

// sequential takes steps from a point, each the best that the gradients promise within
// the distance they are trusted: towards where all holds and the objective is farthest.
// It is sequential quadratic programming on an exact penalty of the worst violation
// (R. Fletcher, 'Practical Methods of Optimization', 1987, chapter 14), with curvature
// learned from the gradients.
func (j *joint) sequential(p *point) *point {
	n := len(p.at)
	j.kinks = nil
	l := &local{joint: j, hessian: make([][]float64, n), reach: firstReach, penalty: firstPenalty}
	for k := range l.hessian {
		l.hessian[k] = make([]float64, n)
		l.hessian[k][k] = flat
	}
	var before *point
	var multipliers []float64 // at before
	for range maxSteps {
		if p.gradients == nil {
			j.differentiate(p)
		}
		if j.done || n == 0 {
			return p
		}
		if before != nil {
			updateHessian(l.hessian, before, p, multipliers)
			before = nil
		}
		next, s, weights := l.next(p)
		if s == nil || j.done {
			return p
		}
		if next != nil {
			before, multipliers = p, s.lagrange(weights, len(p.implicit), len(p.Residuals))
			p = next
		}
	}
	return p
}

// merit is what is made least: the penalty on the violation, less the objective.
func (l *local) merit(p *point) float64 {
	v := float64(l.penalty * l.violation(p, inside))
	if l.objective {
		v -= p.at[0]
	}
	return v
}

// next tries a step from p: nil where it is refused, and then reach is less or something
// was learned. s is nil where no step leads on.
func (l *local) next(p *point) (next *point, s *subproblem, multipliers []float64) {
	s, d, miss, multipliers := l.step(p, p.implicit, l.residuals(p), l.reach, l.hessian, &l.penalty)
	if d == nil {
		return nil, nil, nil
	}
	gain := float64(l.penalty*l.violation(p, inside)) - s.value(d, miss)
	if gain <= leastGain+float64(l.penalty*rounding) {
		p.stationary, p.rows, p.multipliers = miss <= 10*inside, s.of, multipliers
		return nil, nil, nil
	}
	o := l.try(moved(p.at, d), false)
	if o != nil && l.joint.uncounted(o) {
		l.uncounted++
	}
	if l.done || l.uncounted > maxUncounted {
		return nil, nil, nil
	}
	long := largest(d)
	if o != nil && !o.void && !l.sufficient(p, o, gain) {
		if l.learnLimits(p, o) {
			return nil, s, nil
		}
		o = l.corrected(p, o)
		if l.done {
			return nil, nil, nil
		}
	}
	if o != nil && !o.void && !l.sufficient(p, o, gain) && long < kinkReach && len(l.kinks) < maxKinks && l.beyondKink(p, o) {
		if o.gradients == nil {
			l.differentiate(o)
		}
		if l.done {
			return nil, nil, nil
		}
		l.kinks = append(l.kinks, o)
		l.reach = long / 2
		return nil, s, nil
	}
	if o == nil || o.void || !l.sufficient(p, o, gain) {
		if l.reach = long / 4; l.reach < leastReach {
			return nil, nil, nil
		}
		return nil, s, nil
	}
	switch got := l.merit(p) - l.merit(o); {
	case got > float64(0.75*gain) && long > float64(0.99*l.reach):
		l.reach = min(1, 2*l.reach)
	case got < float64(0.25*gain):
		l.reach = long / 2
	}
	return o, s, multipliers
}

// sufficient tells whether a step to o brings enough of what it promised.
func (l *local) sufficient(p, o *point, gain float64) bool {
	return l.merit(p)-l.merit(o) > float64(sufficientPart*gain)
}

// learnLimits takes the gradients of limits that o lies beyond, and tells whether p did
// not know of them.
func (l *local) learnLimits(p, o *point) bool {
	if len(o.Shortfalls) == 0 || l.learned >= maxLearned {
		return false
	}
	l.learned++
	l.differentiate(o)
	return len(p.Shortfalls) == 0
}

// corrected is the step again with what the gradients did not tell put right, or o where
// that is no better.
func (l *local) corrected(p, o *point) *point {
	implicit, residuals := slices.Clone(o.implicit), l.residuals(o)
	l.unforeseen(p, o, implicit, residuals)
	if _, d, _, _ := l.step(p, implicit, residuals, l.reach, l.hessian, &l.penalty); d != nil {
		if again := l.try(moved(p.at, d), false); again != nil && !again.void && l.merit(again) < l.merit(o) {
			return again
		}
	}
	return o
}

// updateHessian learns curvature from how the gradients that held changed on the way
// (BFGS, kept positive as by M. Powell, 1978).
func updateHessian(b [][]float64, from, to *point, multipliers []float64) {
	n := len(from.at)
	d, y, bd := make([]float64, n), make([]float64, n), make([]float64, n)
	for k := range d {
		d[k] = to.at[k] - from.at[k]
		for r, w := range multipliers {
			if by := float64(w * (to.gradients[r][k] - from.gradients[r][k])); !math.IsNaN(by) {
				y[k] += by
			}
		}
	}
	dy, dbd := 0.0, 0.0
	for k := range d {
		for j := range d {
			bd[k] += float64(b[k][j] * d[j])
		}
		dy += float64(d[k] * y[k])
		dbd += float64(d[k] * bd[k])
	}
	if !(dbd > 0) {
		return
	}
	if dy < float64(0.2*dbd) {
		part := float64(0.8*dbd) / (dbd - dy)
		dy = 0
		for k := range y {
			y[k] = float64(part*y[k]) + float64((1-part)*bd[k])
			dy += float64(d[k] * y[k])
		}
	}
	if !(dy > 0) || math.IsInf(dy, 0) {
		return
	}
	for k := range b {
		for j := range b {
			b[k][j] += float64(y[k]*y[j])/dy - float64(bd[k]*bd[j])/dbd
		}
	}
}
