package build

import (
	"math"
	"slices"

	"perch/solver"
)

// bound is an inequality among names alone, or an end of the range of a name that
// follows from others: by how much it is passed, in its own size, is a number
// above zero.
type bound struct {
	id   solver.ID  // −1 for a range
	v    solver.Var // the range's
	end  float64
	up   bool // v is not to go above end
	size float64
}

// follow lists the bounds.
func (c *company) follow() {
	s := c.q.s
	for i, con := range s.cons {
		switch con.Rel {
		case solver.LE, solver.LT, solver.GE, solver.GT:
			c.bounds = append(c.bounds, bound{id: solver.ID(i), size: 1})
		}
	}
	for v, l := range s.limits {
		i := s.of[v]
		stated := slices.Contains(c.params, i) || i == c.q.w.param && !c.f.fixed || slices.ContainsFunc(c.f.pins, func(p pin) bool { return p.param == i })
		wide := l.hi - l.lo
		if stated || l.whole || !(wide > 0) {
			continue
		}
		if math.IsInf(wide, 0) {
			wide = 1
		}
		if !math.IsInf(l.lo, 0) {
			c.bounds = append(c.bounds, bound{id: -1, v: solver.Var(v), end: l.lo, size: wide})
		}
		if !math.IsInf(l.hi, 0) {
			c.bounds = append(c.bounds, bound{id: -1, v: solver.Var(v), end: l.hi, up: true, size: wide})
		}
	}
}

// solve solves the rules at a place, with nothing to hold the names that follow but
// the equations, and tells the bounds; ok is false where they have no values.
func (c *company) solve(at []float64) (res solver.Result, bounds []float64, ok bool) {
	s := c.q.s
	lims := slices.Clone(s.limits)
	for v := range lims {
		if l := &lims[v]; !l.whole {
			wide := l.hi - l.lo
			l.lo, l.hi = l.lo-wide, l.hi+wide
		}
	}
	sys, _ := s.variant(lims, func(id solver.ID, con *solver.Constraint) bool {
		if con.Strength == solver.About && !slices.Contains(c.q.free, id) {
			con.Strength = solver.Default
		}
		return con.Rel == solver.EQ
	})
	f, v := c.pins(at)
	pins := f.pins
	if !f.fixed {
		pins = append(pins, pin{c.q.w.param, v})
	}
	for _, p := range pins {
		sys.Add(solver.Constraint{Left: s.vars[p.param].Expr(), Right: solver.Const(p.v), Strength: solver.Setting})
	}
	slack := make([]solver.Var, len(c.bounds))
	for k, b := range c.bounds {
		if b.id < 0 {
			continue
		}
		con := s.cons[b.id]
		left, right := con.Left, con.Right
		if con.Rel == solver.GE || con.Rel == solver.GT {
			left, right = right, left
		}
		slack[k] = sys.Var("", math.Inf(-1), math.Inf(1), false)
		sys.Add(solver.Constraint{Left: slack[k].Expr(), Right: solver.Difference(left, right)})
	}
	res = sys.Solve()
	bounds = make([]float64, len(c.bounds))
	if len(res.Solutions) == 0 {
		return res, bounds, false
	}
	for k, b := range c.bounds {
		switch {
		case b.id >= 0:
			bounds[k] = res.Values[slack[k]]
		case b.up:
			bounds[k] = res.Values[b.v] - b.end
		default:
			bounds[k] = b.end - res.Values[b.v]
		}
		bounds[k] /= b.size
		if math.Abs(bounds[k]) < 1e-12 {
			bounds[k] = 0
		}
	}
	return res, bounds, !slices.ContainsFunc(res.Values[:len(s.of)], math.IsNaN)
}

// gauge takes the sizes of the bounds from what they are at some places, and drops
// those that are the same everywhere.
func (c *company) gauge(places [][]float64) {
	var seen [][]float64
	for _, at := range places {
		if _, by, ok := c.solve(at); ok {
			seen = append(seen, by)
		}
	}
	var kept []bound
	for k, b := range c.bounds {
		most, lo, hi := 0.0, math.Inf(1), math.Inf(-1)
		for _, by := range seen {
			most, lo, hi = max(most, math.Abs(by[k])), min(lo, by[k]), max(hi, by[k])
		}
		if b.id >= 0 && most > 0 && !math.IsInf(most, 0) {
			b.size = most
		}
		if !(hi-lo <= float64(1e-9*most) && hi <= 0) {
			kept = append(kept, b)
		}
	}
	c.bounds, c.gauged = kept, true
}

// settle moves a place to where the rules among names hold.
func (c *company) settle(at []float64, keep bool) (_ []float64, res solver.Result, bounds []float64, ok bool) {
	at = slices.Clone(at)
	for k := range at {
		at[k] = c.within(k, at[k])
	}
	for range maxSettle {
		if res, bounds, ok = c.solve(at); !ok {
			return at, res, bounds, false
		}
		if !slices.ContainsFunc(bounds, func(b float64) bool { return b > 0 }) {
			return at, res, bounds, true
		}
		p := c.program(at, 1, keep, 0)
		for k, slope := range c.inclines(at, bounds) {
			if !slices.ContainsFunc(slope, math.IsNaN) {
				p.row(hold{onBound, k, false}, slope, bounds[k]+inside, false)
			}
		}
		d, _, _ := p.solve(1e3)
		if d == nil {
			return at, res, bounds, false
		}
		moved := false
		for k := range at {
			was := at[k]
			at[k] = c.within(k, at[k]+d[k])
			moved = moved || at[k] != was
		}
		if !moved {
			return at, res, bounds, false
		}
	}
	return at, res, bounds, false
}

// inclines are the slopes of the bounds, by bound and name; NaN where there are none.
func (c *company) inclines(at []float64, bounds []float64) [][]float64 {
	out := make([][]float64, len(bounds))
	for b := range out {
		out[b] = make([]float64, len(at))
	}
	for k := range at {
		to := c.aside(at, k, slopeStep)
		_, by, ok := c.solve(to)
		for b := range out {
			out[b][k] = (by[b] - bounds[b]) / (to[k] - at[k])
			if !ok {
				out[b][k] = math.NaN()
			}
		}
	}
	return out
}
