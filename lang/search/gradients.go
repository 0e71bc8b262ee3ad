package search

import (
	"math"
	"slices"
)

const (
	differenceStep = 1e-6 // of a stretch, over which a gradient is taken
	steep          = 20   // a slope that is likelier a jump
)

// limit is a limit that shows beyond it alone: where it was last met, by how much it
// was missed there, and the gradient of that.
type limit struct {
	of       any
	at       []float64
	by       float64
	gradient []float64
}

// shortfall is by how much the worst shortfall of a kind is missed; ok is false where
// there is none.
func (p *point) shortfall(of any) (by float64, ok bool) {
	for _, s := range p.Shortfalls {
		if s.Of == of {
			by, ok = max(by, s.By), true
		}
	}
	return by, ok
}

// differentiate takes the gradients at a point by differences, an evaluation for each
// variable.
func (j *joint) differentiate(p *point) {
	n := len(p.implicit)
	p.gradients = append(j.implicitGradients(p.at, p.implicit), make([][]float64, len(p.Residuals))...)
	for r := range p.Residuals {
		p.gradients[n+r] = make([]float64, len(p.at))
	}
	var met []*limit
	for _, s := range p.Shortfalls {
		if by, _ := p.shortfall(s.Of); !slices.ContainsFunc(met, func(l *limit) bool { return l.of == s.Of }) {
			met = append(met, &limit{s.Of, p.at, by, make([]float64, len(p.at))})
		}
	}
	for k := range p.at {
		for try, h := range []float64{differenceStep, -differenceStep} {
			to := j.beside(p.at, k, h)
			if j.Budget.Spent() {
				j.done = true
				return
			}
			implicit, ok := j.implicitAt(to)
			if !ok {
				continue
			}
			o := j.evaluate(to, implicit, true)
			if !j.difference(p, o, k, to[k]-p.at[k], try > 0, met) {
				break
			}
		}
	}
	for r := range p.Residuals {
		for k, v := range p.gradients[n+r] {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				p.gradients[n+r][k] = 0
			}
		}
	}
	for _, m := range met {
		j.limits = append(slices.DeleteFunc(j.limits, func(l *limit) bool { return l.of == m.of }), m)
	}
}

// difference takes the slopes along variable k from a point h further on, and tells
// whether they look like a jump. Of a second point only what is flatter is taken.
func (j *joint) difference(p, o *point, k int, h float64, second bool, met []*limit) (jump bool) {
	n := len(p.implicit)
	jump = o.void || len(o.Shortfalls) > 0 && len(p.Shortfalls) == 0
	for r := range p.Residuals {
		rise := (o.Residuals[r] - p.Residuals[r]) / h
		if j.Residuals[r] == Counted {
			rise = (o.Load - p.Load) / j.load / h
		}
		if old := p.gradients[n+r][k]; !second || !jump && (math.IsNaN(old) || math.Abs(rise) < math.Abs(old)) {
			p.gradients[n+r][k] = rise
		}
		jump = jump || !(math.Abs(rise) < steep)
	}
	for _, m := range met {
		if by, ok := o.shortfall(m.of); ok {
			m.gradient[k] = (by - m.by) / h
		} else {
			jump = true
		}
	}
	return jump
}

// kinked tells whether gradients differ by more than a smooth function's would nearby.
func kinked(a, b []float64) bool {
	size, apart := 0.0, 0.0
	for k := range a {
		size, apart = max(size, math.Abs(a[k]), math.Abs(b[k])), max(apart, math.Abs(a[k]-b[k]))
	}
	return apart > float64(0.2*size)
}

// unforeseen takes from what was found at o what the gradients at p tell of the way there.
func (j *joint) unforeseen(p, o *point, implicit, residuals []float64) {
	n := len(implicit)
	for k := range p.at {
		d := o.at[k] - p.at[k]
		for g := range implicit {
			implicit[g] -= float64(p.gradients[g][k] * d)
		}
		for r := range residuals {
			residuals[r] -= float64(p.gradients[n+r][k] * d)
		}
	}
}

// beyondKink tells whether a residual is missed at o where by the gradients at p it would
// not be.
func (j *joint) beyondKink(p, o *point) bool {
	implicit, residuals := slices.Clone(o.implicit), j.residuals(o)
	j.unforeseen(p, o, implicit, residuals)
	for k, was := range j.residuals(p) {
		if d := residuals[k] - was; j.residual(o, k) > 0 && d > float64(0.1*distance(p.at, o.at)*largest(p.gradients[len(implicit)+k])) {
			return true
		}
	}
	return false
}

func distance(a, b []float64) float64 {
	far := 0.0
	for k := range a {
		far = max(far, math.Abs(a[k]-b[k]))
	}
	return far
}

func moved(at, d []float64) []float64 {
	out := make([]float64, len(at))
	for k := range at {
		out[k] = at[k] + d[k]
	}
	return out
}
