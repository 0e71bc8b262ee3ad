package solver

import (
	"math"
	"slices"

	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/optimize"
)

// Sense is the direction of an Extremum.
type Sense int8

const (
	Largest  Sense = 1
	Smallest Sense = -1
)

// Optimum is what Extremum found.
type Optimum struct {
	Result          // at the best values, Unique where there are any
	Value   float64 // of the target there, NaN where there is none
	Bound   float64 // proved: no admissible values give more (less for Smallest)
	Certain bool    // Value and Bound agree to 1e-6 of their size
	Limits  []ID    // the inequalities that stop it: those that hold just so
	Ends    []Var   // and the variables that stand at an end of their range
}

// maxBestWork bounds the steps of contraction of one search.
const maxBestWork = 20_000_000

// Extremum returns the values at which target is largest or smallest among all
// that satisfy the system: every constraint and range, and every About that can
// be honoured. What the constraints leave open is searched by branch and bound:
// boxes of the open variables are contracted by all constraints and dropped
// where the target cannot exceed the best value known; counts take whole values
// only. Its work is bounded; Certain tells whether it sufficed.
func (s *System) Extremum(target Expr, sense Sense) Optimum {
	p := compileSystem(s)
	w := newScratch(p)
	q := p.query()
	o := w.run(q)
	if len(o.solutions) == 0 && len(p.abouts) > 0 {
		q, o = w.relax(q, o)
	}
	if len(o.solutions) == 0 {
		return Optimum{Result: w.none(q, o), Value: nan, Bound: nan}
	}
	best := Optimum{Value: nan, Bound: nan}
	for _, x := range slices.Clone(o.solutions) {
		c := newExtreme(s, q, o, x, target, sense)
		c.search = optimize.NewSearch(c.Problem, maxBestWork)
		c.search.Run()
		if o.complete && !c.search.Certain() {
			if d := c.degenerate(); d != nil && d.search.Certain() {
				c = d
			}
		}
		best = c.merge(best)
	}
	best.Certain = o.complete && math.Abs(best.Bound-best.Value) <= optimize.CertainBest*math.Max(1, math.Abs(best.Value))
	if math.IsNaN(best.Value) {
		best.Status, best.Proof.Complete = Unproved, false
		if o.complete && math.IsInf(best.Bound, 0) && math.Signbit(best.Bound) == (sense > 0) {
			best.Status, best.Proof.Complete = None, true
		}
		best.Values, best.Origins = make([]float64, len(p.vars)), make([]Origin, len(p.vars))
		for i := range best.Values {
			best.Values[i], best.Origins[i].By = nan, -1
		}
		return best
	}
	for _, i := range p.checks {
		if w.known(i, best.Values) && w.isTight(i, best.Values) {
			best.Limits = append(best.Limits, ID(i))
		}
	}
	for v := range p.vars {
		if o.plan.under[v] && p.atEnd(Var(v), best.Values[v]) {
			best.Ends = append(best.Ends, Var(v))
		}
	}
	return best
}

// extreme asks for the best value of the target from one solution of the determined part.
// Values are times sense, so that the largest is wanted.
type extreme struct {
	optimize.Problem
	sense  float64
	open   []Var // by variable of the problem; the target is the variable beyond the last
	trial  *scratch
	asks   *query
	states []int     // constraints of the trial that state the free variables
	tape   expr.Tape // of the target
	search *optimize.Search
	result *outcome // with the best values

	prog  *program
	x     []float64 // what is fixed; NaN for what is open
	local []int32   // by Var: its index in open
	cons  []int     // constraints that are rows
}

// newExtreme prepares a search: what x has is fixed, the rest open. The free variables
// come last, so that Newton's operator solves for the others and the target.
func newExtreme(s *System, q *query, o *outcome, x []float64, target Expr, sense Sense) *extreme {
	c := &extreme{sense: float64(sense)}
	p := compileSystem(s)
	n := len(p.vars)
	local := c.order(chooseFree(o, target), x)
	for _, v := range c.open {
		r, whole := interval.Entire, false
		if int(v) < n {
			r, whole = q.ranges[v], q.whole[v]
		}
		c.Box, c.Whole = append(c.Box, r), append(c.Whole, whole)
	}
	signed := target
	if sense < 0 {
		signed = Negative(target)
	}
	c.tape = expr.Compile(target, Const(0), n)
	top := expr.Compile(signed, Var(n).Expr(), n+1)
	equations, others := []expr.Row{expr.NewRow(&top, 0, local, x)}, []expr.Row(nil)
	for i := range p.cons {
		r, ok := c.rowOf(p, q, o, i, local, x)
		switch {
		case !ok:
			continue
		case p.cons[i].Rel == EQ:
			equations = append(equations, r)
		default:
			others = append(others, r)
		}
		c.cons = append(c.cons, i)
	}
	c.prog, c.x, c.local = p, x, local
	c.Rows, c.Equations = append(equations, others...), len(equations)
	c.Try = c.state
	c.prepareTrial(s, q)
	return c
}

// order numbers the open variables, the target after them as the variable beyond
// the last and then the free ones; x has NaN for what is open.
func (c *extreme) order(free []Var, x []float64) []int32 {
	for v := range x {
		if math.IsNaN(x[v]) && !slices.Contains(free, Var(v)) {
			c.open = append(c.open, Var(v))
		}
	}
	c.Target = len(c.open)
	c.open = append(c.open, Var(len(x)))
	for _, v := range free {
		c.Free = append(c.Free, len(c.open))
		c.open = append(c.open, v)
	}
	local := make([]int32, len(x)+1)
	for v := range local {
		local[v] = -1
	}
	for k, v := range c.open {
		local[v] = int32(k)
	}
	return local
}

// rowOf is a constraint on open variables as a row, with the values its residual
// may take.
func (c *extreme) rowOf(p *program, q *query, o *outcome, i int, local []int32, x []float64) (expr.Row, bool) {
	con := &p.cons[i]
	open := slices.ContainsFunc(p.tapes[i].Vars, func(v Var) bool { return local[v] >= 0 })
	honoured := con.Strength < About
	for e, v := range o.plan.g.VarOf {
		honoured = honoured || v >= 0 && o.plan.cons[e] == i
	}
	if !q.on[i] || !open || !honoured || con.Rel == NE {
		return expr.Row{}, false
	}
	r := expr.NewRow(&p.tapes[i], q.shift[i], local, x)
	switch con.Rel {
	case LE, LT:
		r.Want.Lo = math.Inf(-1)
	case GE, GT:
		r.Want.Hi = math.Inf(1)
	}
	return r, true
}

// chooseFree takes the smallest set of open variables that fixes the rest, one
// with the target itself where it is a variable.
func chooseFree(o *outcome, target Expr) []Var {
	if !slices.Contains(o.plan.under, true) {
		return nil
	}
	sets := o.plan.g.FreeSets(o.plan.under)
	if v, ok := target.Variable(); ok {
		for _, s := range sets {
			if slices.Contains(s, v) {
				return s
			}
		}
	}
	return sets[0]
}

// prepareTrial makes a system in which the free variables are stated, each by
// a shift.
func (c *extreme) prepareTrial(s *System, q *query) {
	t := &System{s.vars, slices.Clone(s.cons)}
	for _, k := range c.Free {
		c.states = append(c.states, int(t.Add(Constraint{Left: c.open[k].Expr(), Right: Const(0), Strength: Stated})))
	}
	p := compileSystem(t)
	c.trial = newScratch(p)
	c.trial.work = math.MaxInt / 2
	if n := c.tape.Size(); len(c.trial.buf) < n {
		c.trial.buf = make([]float64, n)
	}
	c.asks = p.query()
	copy(c.asks.on, q.on)
	copy(c.asks.shift, q.shift)
	copy(c.asks.drop, q.drop)
}

// state is the problem's try: it states the free variables and keeps the outcome where
// the target is above least.
func (c *extreme) state(at []float64, least float64) (value float64, ok bool) {
	for i, k := range c.Free {
		y := at[i]
		if c.Whole[k] {
			y = math.Round(y)
		}
		c.asks.shift[c.states[i]] = y
	}
	o := c.trial.run(c.asks)
	for _, x := range o.solutions {
		y := c.sense * c.tape.Eval(x, c.trial.buf)
		if slices.ContainsFunc(x, math.IsNaN) || !(y > least) {
			continue
		}
		o.solutions = [][]float64{x}
		c.result = o
		return y, true
	}
	return least, false
}

// merge keeps the better of two optima.
func (c *extreme) merge(old Optimum) Optimum {
	bound := float64(c.sense * c.search.Bound)
	if !math.IsNaN(old.Bound) && old.Bound*c.sense > c.search.Bound {
		bound = old.Bound
	}
	old.Bound = bound
	if c.result == nil || !math.IsNaN(old.Value) && old.Value*c.sense >= c.search.Best {
		return old
	}
	res := c.trial.result(c.asks, c.result)
	for v := range res.Origins {
		if int(res.Origins[v].By) >= len(c.trial.p.cons)-len(c.states) {
			res.Origins[v].By = -1 // chosen here, not stated
		}
	}
	res.Status = Unique
	return Optimum{Result: res, Value: float64(c.sense * c.search.Best), Bound: bound}
}
