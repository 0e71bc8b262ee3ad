package build

import (
	"math"
	"slices"
)

// hold is what may hold a step back: a bound, a term, a wall or the end of a name's
// own range.
type hold struct {
	kind  holdKind
	n     int
	upper bool // of an end, in parts of the range
}

type holdKind int

const (
	onBound holdKind = iota
	onTerm
	onBend // a term, by its slopes beyond a bend
	onWall
	onEnd
	onReach
)

// stepping is the program for one step: the names' moves, and last by how much the
// worst row may miss.
type stepping struct {
	quadratic
	holds []hold
	n     int
}

// program has the names' own ends, and the distance to be trusted, as its rows. keep
// holds the wished name to a move of to.
func (c *company) program(at []float64, reach float64, keep bool, to float64) *stepping {
	n := len(at)
	p := &stepping{n: n}
	p.b, p.c = make([][]float64, n+1), make([]float64, n+1)
	for k := range p.b {
		p.b[k] = make([]float64, n+1)
		if k < n {
			p.b[k][k] = 1
		}
	}
	add := func(h hold, k int, sign, limit float64) {
		if math.IsInf(limit, 0) {
			return
		}
		row := make([]float64, n+1)
		row[k] = sign
		p.rows, p.limit, p.holds = append(p.rows, row), append(p.limit, limit), append(p.holds, h)
	}
	for k := range at {
		if keep && k == 0 && c.climbs {
			add(hold{kind: onReach}, k, 1, to)
			add(hold{kind: onReach}, k, -1, -to)
			continue
		}
		up, down := hold{onEnd, k, true}, hold{onEnd, k, false}
		upTo, downTo := c.to[k]-at[k], at[k]-c.from[k]
		if upTo > reach {
			up, upTo = hold{kind: onReach}, reach
		}
		if downTo > reach {
			down, downTo = hold{kind: onReach}, reach
		}
		add(up, k, 1, upTo)
		add(down, k, -1, downTo)
	}
	add(hold{kind: onReach}, n, -1, 0)
	return p
}

// row keeps value + slope · move at or below zero, or at zero.
func (p *stepping) row(h hold, slope []float64, value float64, equal bool) {
	for _, sign := range []float64{1, -1} {
		row := make([]float64, p.n+1)
		for k := range slope {
			row[k] = float64(sign * slope[k])
		}
		row[p.n] = -1
		p.rows, p.limit, p.holds = append(p.rows, row), append(p.limit, float64(-sign*value)), append(p.holds, h)
		if !equal {
			return
		}
	}
}

// solve finds the move where each unit that the worst row misses costs so much; nil
// where numbers give out.
func (p *stepping) solve(cost float64) (d []float64, miss float64, weight []float64) {
	p.c[p.n] = cost
	x, weight, ok := p.quadratic.solve()
	if !ok {
		return nil, 0, nil
	}
	return x[:p.n], max(0, x[p.n]), weight
}

// value is what the program expects of a solution.
func (p *stepping) value(d []float64, miss float64) float64 {
	sum := float64(p.c[p.n] * miss)
	for k := range d {
		sum += float64(p.c[k] * d[k])
		for j := range d {
			sum += float64(float64(0.5*p.b[k][j]) * float64(d[k]*d[j]))
		}
	}
	return sum
}

// plan is the step from a place by its slopes. terms are what is missing there, or
// what would be were the slopes right.
func (c *company) plan(p *stepping, s *spot, bounds, terms []float64) {
	for k, by := range bounds {
		if !slices.ContainsFunc(s.slopes[k], math.IsNaN) {
			p.row(hold{onBound, k, false}, s.slopes[k], by+inside, false)
		}
	}
	n := len(bounds)
	for k, by := range terms {
		equal := c.q.terms[k].equal()
		if !equal {
			by += inside
		}
		if !math.IsNaN(by) {
			p.row(hold{onTerm, k, false}, s.slopes[n+k], by, equal)
		}
	}
	for _, o := range c.bends {
		if distance(o.at, s.at) > bendReach {
			continue
		}
		for k, by := range terms {
			if c.q.terms[k].equal() || !bends(s.slopes[n+k], o.slopes[n+k]) {
				continue
			}
			there := c.term(o, k)
			for j := range s.at {
				there += float64(o.slopes[n+k][j] * (s.at[j] - o.at[j]))
			}
			if by = min(by, there) + inside; !math.IsNaN(by) {
				p.row(hold{onBend, k, false}, o.slopes[n+k], by, false)
			}
		}
	}
	for i, w := range c.walls {
		by := float64(1.05*w.past) + inside
		for k := range s.at {
			by += float64(w.slope[k] * (s.at[k] - w.at[k]))
		}
		if past, beyond := s.past(w.lack); !beyond {
			by = min(by, 0)
		} else if slices.Equal(s.at, w.at) {
			by = float64(1.05*past) + inside
		}
		p.row(hold{onWall, i, false}, w.slope, by, false)
	}
}

// step is the best step from s within reach; cost is raised as far as it takes for the
// rows to be met, if that much can be.
func (c *company) step(s *spot, bounds, terms []float64, reach float64, curve [][]float64, cost *float64) (p *stepping, d []float64, miss float64, weight []float64) {
	p = c.program(s.at, reach, false, 0)
	for k := range s.at {
		copy(p.b[k], curve[k])
	}
	if c.climbs {
		p.c[0] = -1
	}
	c.plan(p, s, bounds, terms)
	d, miss, weight = p.solve(*cost)
	if d == nil || miss <= inside {
		return p, d, miss, weight
	}
	_, least, _ := p.solve(mostCost)
	for *cost < mostCost && miss > inside && miss > float64(2*least) {
		*cost *= 10
		d, miss, weight = p.solve(*cost)
	}
	p.c[p.n] = *cost
	return p, d, miss, weight
}

// pull is how hard each bound and term holds, of equalities to either side.
func (p *stepping) pull(weight []float64, bounds, terms int) []float64 {
	out := make([]float64, bounds+terms)
	last := -1
	for i, h := range p.holds {
		at := h.n
		switch h.kind {
		case onTerm:
			at += bounds
		case onBound:
		default:
			last = -1
			continue
		}
		if at == last {
			out[at] -= weight[i]
		} else {
			out[at] += weight[i]
		}
		last = at
	}
	return out
}
