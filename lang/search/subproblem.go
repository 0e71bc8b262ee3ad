package search

import (
	"math"
	"slices"
)

// inside is the part of its own size by which a limit is aimed at from inside: more than
// numbers may differ by and be equal.
const inside = 1e-8

// row is a row of a subproblem, which may hold a step back.
type row struct {
	kind rowKind
	n    int
}

type rowKind uint8

const (
	onImplicit rowKind = iota
	onResidual
	onKink // a residual, by its gradient beyond a kink
	onLimit
	onUpper // of a variable's own range
	onLower
	onReach
)

// subproblem is the quadratic program of one step: the variables' moves, and last by how
// much the worst row may be missed.
type subproblem struct {
	quadratic
	of []row
	n  int
	// held is the first variable's move where that is given: it is left out of the
	// program, since a pair of rows that allows one value alone has no inside.
	held *float64
}

// subproblem has the variables' own ends, and how far gradients are trusted, as its rows.
// hold keeps the objective to a move of to.
func (j *joint) subproblem(at []float64, reach float64, hold bool, to float64) *subproblem {
	n := len(at)
	s := &subproblem{n: n}
	s.b, s.c = make([][]float64, n+1), make([]float64, n+1)
	for k := range s.b {
		s.b[k] = make([]float64, n+1)
		if k < n {
			s.b[k][k] = 1
		}
	}
	add := func(r row, k int, sign, limit float64) {
		if math.IsInf(limit, 0) {
			return
		}
		slope := make([]float64, n+1)
		slope[k] = sign
		s.rows, s.limit, s.of = append(s.rows, slope), append(s.limit, limit), append(s.of, r)
	}
	for k := range at {
		if hold && k == 0 && j.objective {
			s.held = &to
			continue
		}
		up, down := row{onUpper, k}, row{onLower, k}
		upTo, downTo := j.max[k]-at[k], at[k]-j.min[k]
		if upTo > reach {
			up, upTo = row{kind: onReach}, reach
		}
		if downTo > reach {
			down, downTo = row{kind: onReach}, reach
		}
		add(up, k, 1, upTo)
		add(down, k, -1, downTo)
	}
	add(row{kind: onReach}, n, -1, 0)
	return s
}

// row keeps value + slope · move at or below zero, or at zero.
func (s *subproblem) row(r row, slope []float64, value float64, equal bool) {
	if s.held != nil {
		value += float64(slope[0] * *s.held)
	}
	for _, sign := range []float64{1, -1} {
		line := make([]float64, s.n+1)
		for k := range slope {
			line[k] = float64(sign * slope[k])
		}
		if s.held != nil {
			line[0] = 0
		}
		line[s.n] = -1
		s.rows, s.limit, s.of = append(s.rows, line), append(s.limit, float64(-sign*value)), append(s.of, r)
		if !equal {
			return
		}
	}
}

// solve finds the move where each unit that the worst row is missed by costs so much;
// nil where numbers give out.
func (s *subproblem) solve(penalty float64) (d []float64, miss float64, multipliers []float64) {
	s.c[s.n] = penalty
	x, multipliers, ok := s.quadratic.solve()
	if !ok {
		return nil, 0, nil
	}
	if s.held != nil {
		x[0] = *s.held
	}
	return x[:s.n], max(0, x[s.n]), multipliers
}

// value is what the program expects of a solution.
func (s *subproblem) value(d []float64, miss float64) float64 {
	sum := float64(s.c[s.n] * miss)
	for k := range d {
		sum += float64(s.c[k] * d[k])
		for j := range d {
			sum += float64(float64(0.5*s.b[k][j]) * float64(d[k]*d[j]))
		}
	}
	return sum
}

// linearise adds the rows of a point by its gradients. residuals are what they are there,
// or would be were the gradients right.
func (j *joint) linearise(s *subproblem, p *point, implicit, residuals []float64) {
	for k, g := range implicit {
		if !slices.ContainsFunc(p.gradients[k], math.IsNaN) {
			s.row(row{onImplicit, k}, p.gradients[k], g+inside, false)
		}
	}
	n := len(implicit)
	for k, r := range residuals {
		equal := j.Residuals[k] == Equality
		if !equal {
			r += inside
		}
		if !math.IsNaN(r) {
			s.row(row{onResidual, k}, p.gradients[n+k], r, equal)
		}
	}
	j.lineariseKinks(s, p, n, residuals)
	for i, l := range j.limits {
		by := float64(1.05*l.by) + inside
		for k := range p.at {
			by += float64(l.gradient[k] * (p.at[k] - l.at[k]))
		}
		if past, beyond := p.shortfall(l.of); !beyond {
			by = min(by, 0)
		} else if slices.Equal(p.at, l.at) {
			by = float64(1.05*past) + inside
		}
		s.row(row{onLimit, i}, l.gradient, by, false)
	}
}

// lineariseKinks adds the rows of residuals by their gradients beyond kinks nearby.
func (j *joint) lineariseKinks(s *subproblem, p *point, n int, residuals []float64) {
	for _, o := range j.kinks {
		if distance(o.at, p.at) > kinkReach {
			continue
		}
		for k, r := range residuals {
			if j.Residuals[k] == Equality || !kinked(p.gradients[n+k], o.gradients[n+k]) {
				continue
			}
			there := j.residual(o, k)
			for i := range p.at {
				there += float64(o.gradients[n+k][i] * (p.at[i] - o.at[i]))
			}
			if r = min(r, there) + inside; !math.IsNaN(r) {
				s.row(row{onKink, k}, o.gradients[n+k], r, false)
			}
		}
	}
}

// step is the best step from p within reach; the penalty is raised as far as it takes for
// the rows to be met, if that much can be.
func (j *joint) step(p *point, implicit, residuals []float64, reach float64, hessian [][]float64, penalty *float64) (s *subproblem, d []float64, miss float64, multipliers []float64) {
	s = j.subproblem(p.at, reach, false, 0)
	for k := range p.at {
		copy(s.b[k], hessian[k])
	}
	if j.objective {
		s.c[0] = -1
	}
	j.linearise(s, p, implicit, residuals)
	d, miss, multipliers = s.solve(*penalty)
	if d == nil || miss <= inside {
		return s, d, miss, multipliers
	}
	_, least, _ := s.solve(mostPenalty)
	for *penalty < mostPenalty && miss > inside && miss > float64(2*least) {
		*penalty *= 10
		d, miss, multipliers = s.solve(*penalty)
	}
	s.c[s.n] = *penalty
	return s, d, miss, multipliers
}

// lagrange are the multipliers by implicit constraint and residual, of equalities to
// either side.
func (s *subproblem) lagrange(multipliers []float64, implicit, residuals int) []float64 {
	out := make([]float64, implicit+residuals)
	last := -1
	for i, r := range s.of {
		at := r.n
		switch r.kind {
		case onResidual:
			at += implicit
		case onImplicit:
		default:
			last = -1
			continue
		}
		if at == last {
			out[at] -= multipliers[i]
		} else {
			out[at] += multipliers[i]
		}
		last = at
	}
	return out
}
