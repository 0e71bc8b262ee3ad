package solver

import (
	"math"
	"slices"
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

const (
	// sameBest is the relative distance to its bound at which a value counts as
	// the best, certainBest that at which it is certain.
	sameBest    = 1e-9
	certainBest = 1e-6
	maxTrials   = 4000       // points tried
	maxBestWork = 20_000_000 // steps of contraction
)

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
		q, o = w.yield(q, o)
	}
	if len(o.solutions) == 0 {
		return Optimum{Result: w.none(q, o), Value: nan, Bound: nan}
	}
	best := Optimum{Value: nan, Bound: nan}
	for _, x := range slices.Clone(o.solutions) {
		c := newClimb(s, q, o, x, target, sense)
		c.run()
		if o.complete && !c.certain() {
			if n := c.lone(); n != nil && n.certain() {
				c = n
			}
		}
		best = c.merge(best)
	}
	best.Certain = o.complete && math.Abs(best.Bound-best.Value) <= certainBest*math.Max(1, math.Abs(best.Value))
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

// climb is the search for the best value of the target from one solution of the
// determined part. Values are times sense, so that the largest is wanted.
type climb struct {
	sense  float64
	p      *prover
	open   []Var // target as the variable beyond the last
	target int   // its index in open
	square bool  // as many equations as variables that are not picked
	first  []interval
	whole  []bool
	pick   []int // open variables that, stated, fix the others; by index
	trial  *scratch
	asks   *query
	states []int // constraints of the trial that state them
	tape   tape  // of the target
	best   float64
	result *outcome
	bound  float64    // of boxes given up
	rest   []interval // the box given up with the highest target
	tried  int

	prog      *program
	x         []float64 // what is fixed; NaN for what is open
	local     []int32   // by Var: its index in open
	cons      []int     // constraints that are rows
	rows      []row     // the target's first
	equations int       // so many of them
}

// newClimb prepares a search: what x has is fixed, the rest open. The picked
// variables come last, so that Newton's operator solves for the others and the
// target.
func newClimb(s *System, q *query, o *outcome, x []float64, target Expr, sense Sense) *climb {
	c := &climb{sense: float64(sense), best: math.Inf(-1), bound: math.Inf(-1)}
	p := compileSystem(s)
	n := len(p.vars)
	local := c.order(choosePick(o, target), x)
	for _, v := range c.open {
		r, whole := entire, false
		if int(v) < n {
			r, whole = q.ranges[v], q.whole[v]
		}
		c.first, c.whole = append(c.first, r), append(c.whole, whole)
	}
	signed := target
	if sense < 0 {
		signed = Negative(target)
	}
	c.tape = compile(target, Const(0), n)
	top := compile(signed, Var(n).Expr(), n+1)
	equations, others := []row{newRow(&top, 0, local, x)}, []row(nil)
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
	scale := make([]float64, len(c.first))
	for k := range scale {
		scale[k] = 1
		if d := c.first[k].width(); finite(d) && d > 0 {
			scale[k] = d
		}
	}
	c.prog, c.x, c.local = p, x, local
	c.rows, c.equations = append(equations, others...), len(equations)
	c.p = newProver(c.rows, c.equations, scale, maxBestWork)
	c.square = len(equations)+len(c.pick) == len(c.open)
	c.prepareTrial(s, q)
	return c
}

// order numbers the open variables, the target after them as the variable beyond
// the last and then the picked ones; x has NaN for what is open.
func (c *climb) order(pick []Var, x []float64) []int32 {
	for v := range x {
		if math.IsNaN(x[v]) && !slices.Contains(pick, Var(v)) {
			c.open = append(c.open, Var(v))
		}
	}
	c.target = len(c.open)
	c.open = append(c.open, Var(len(x)))
	for _, v := range pick {
		c.pick = append(c.pick, len(c.open))
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
func (c *climb) rowOf(p *program, q *query, o *outcome, i int, local []int32, x []float64) (row, bool) {
	con := &p.cons[i]
	open := slices.ContainsFunc(p.tapes[i].vars, func(v Var) bool { return local[v] >= 0 })
	honoured := con.Strength < About
	for e, v := range o.plan.g.ofEq {
		honoured = honoured || v >= 0 && o.plan.cons[e] == i
	}
	if !q.on[i] || !open || !honoured || con.Rel == NE {
		return row{}, false
	}
	r := newRow(&p.tapes[i], q.shift[i], local, x)
	switch con.Rel {
	case LE, LT:
		r.want.lo = math.Inf(-1)
	case GE, GT:
		r.want.hi = math.Inf(1)
	}
	return r, true
}

// choosePick takes the smallest set of open variables that fixes the rest, one
// with the target itself where it is a variable.
func choosePick(o *outcome, target Expr) []Var {
	if !slices.Contains(o.plan.under, true) {
		return nil
	}
	sets := o.plan.freeSets()
	if n := target.node(); n.op == opVar {
		for _, s := range sets {
			if slices.Contains(s, n.v) {
				return s
			}
		}
	}
	return sets[0]
}

// prepareTrial makes a system in which the picked variables are stated, each by
// a shift.
func (c *climb) prepareTrial(s *System, q *query) {
	t := &System{s.vars, slices.Clone(s.cons)}
	for _, k := range c.pick {
		c.states = append(c.states, int(t.Add(Constraint{Left: c.open[k].Expr(), Right: Const(0), Strength: Stated})))
	}
	p := compileSystem(t)
	c.trial = newScratch(p)
	c.trial.work = math.MaxInt / 2
	c.asks = p.query()
	copy(c.asks.on, q.on)
	copy(c.asks.shift, q.shift)
	copy(c.asks.drop, q.drop)
}

// try states the picked variables and keeps the outcome where it is better.
func (c *climb) try(at []float64) bool {
	c.tried++
	for i, k := range c.pick {
		y := at[i]
		if c.whole[k] {
			y = math.Round(y)
		}
		c.asks.shift[c.states[i]] = y
	}
	o := c.trial.run(c.asks)
	better := false
	for _, x := range o.solutions {
		y := c.sense * c.tape.eval(x, c.buf())
		if slices.ContainsFunc(x, math.IsNaN) || !(y > c.best) {
			continue
		}
		c.best, better = y, true
		o.solutions = [][]float64{x}
		c.result = o
		break
	}
	return better
}

func (c *climb) buf() []float64 {
	if len(c.trial.buf) < len(c.tape.code) {
		c.trial.buf = make([]float64, len(c.tape.code))
	}
	return c.trial.buf
}

// run searches best first.
func (c *climb) run() {
	todo := [][]interval{slices.Clone(c.first)}
	last := c.target
	for len(todo) > 0 {
		at := 0
		for k := range todo {
			if todo[k][last].hi > todo[at][last].hi {
				at = k
			}
		}
		box := todo[at]
		todo[at] = todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if box[last].hi <= c.enough() {
			c.giveUp(box)
			continue
		}
		if c.p.steps <= 0 || c.tried >= maxTrials {
			c.giveUp(box)
			continue
		}
		if !c.shrink(box) {
			continue
		}
		c.sample(box)
		if box[last].hi <= c.enough() {
			c.giveUp(box)
			continue
		}
		k := c.widest(box)
		if k < 0 {
			c.giveUp(box)
			continue
		}
		half := slices.Clone(box)
		m := splitAt(box[k])
		if c.whole[k] {
			m = math.Floor(m)
			box[k].hi, half[k].lo = m, m+1
		} else {
			box[k].hi, half[k].lo = m, m
		}
		todo = append(todo, box, half)
	}
	c.bound = max(c.bound, c.best)
}

// giveUp leaves a box without a look at its parts.
func (c *climb) giveUp(box []interval) {
	if c.rest == nil || box[c.target].hi > c.bound {
		c.rest = box
	}
	c.bound = max(c.bound, box[c.target].hi)
}

// certain tells whether the best value is all that can be had.
func (c *climb) certain() bool {
	if c.result == nil {
		return math.IsInf(c.bound, -1)
	}
	return c.bound-c.best <= float64(certainBest*math.Max(1, math.Abs(c.best)))
}

// enough is the target's value below which a box is not worth a look.
func (c *climb) enough() float64 {
	if math.IsInf(c.best, 0) {
		return c.best
	}
	return c.best + float64(sameBest*math.Max(math.Abs(c.best), 1e-3))
}

// shrink contracts a box by the constraints and to whole numbers.
func (c *climb) shrink(box []interval) bool {
	last := c.target
	for range 5 {
		box[last].lo = max(box[last].lo, c.best)
		copy(c.p.old, box)
		if !c.p.contract(box) {
			return false
		}
		for k, whole := range c.whole {
			if !whole {
				continue
			}
			box[k].lo = math.Ceil(box[k].lo - float64(wholeTolerance*math.Max(1, math.Abs(box[k].lo))))
			box[k].hi = math.Floor(box[k].hi + float64(wholeTolerance*math.Max(1, math.Abs(box[k].hi))))
			if box[k].isEmpty() {
				return false
			}
		}
		if c.square {
			st := c.p.step(box)
			c.p.steps -= c.p.cost + c.p.spent
			c.p.spent = 0
			if st == stepEmpty {
				return false
			}
		}
		if c.p.shrink(box) < wideEnough {
			break
		}
	}
	return true
}

// sample tries points of a box: its middle, then for each picked variable the
// ends, keeping what is better.
func (c *climb) sample(box []interval) {
	at := make([]float64, len(c.pick))
	for i, k := range c.pick {
		at[i] = inner(box[k])
	}
	c.try(at)
	for i, k := range c.pick {
		m := at[i]
		for _, e := range [2]float64{box[k].lo, box[k].hi} {
			if !finite(e) || e == m {
				continue
			}
			old := at[i]
			if at[i] = e; !c.try(at) {
				at[i] = old
			}
		}
	}
}

// inner is a finite point of an interval.
func inner(x interval) float64 {
	m := middle(x)
	if !finite(m) || !x.has(m) {
		m = math.Max(x.lo, math.Min(x.hi, 0))
	}
	return m
}

// widest is the variable to split: the picked one that is widest for its range,
// else any other; -1 where all are narrow.
func (c *climb) widest(box []interval) int {
	best, most := -1, 0.0
	wide := func(k int) {
		w := box[k].width()
		if w <= 1e-13*math.Max(box[k].magnitude(), math.Min(1, c.p.scale[k])) || c.whole[k] && w < 1 {
			return
		}
		if m := splitAt(box[k]); !c.whole[k] && !(m > box[k].lo && m < box[k].hi) {
			return
		}
		if w = math.Min(w/c.p.scale[k], math.MaxFloat64); w > most {
			best, most = k, w
		}
	}
	for _, k := range c.pick {
		wide(k)
	}
	if best < 0 {
		for k := range box {
			if k != c.target {
				wide(k)
			}
		}
	}
	return best
}

// merge keeps the better of two optima.
func (c *climb) merge(old Optimum) Optimum {
	bound := float64(c.sense * c.bound)
	if !math.IsNaN(old.Bound) && old.Bound*c.sense > c.bound {
		bound = old.Bound
	}
	old.Bound = bound
	if c.result == nil || !math.IsNaN(old.Value) && old.Value*c.sense >= c.best {
		return old
	}
	res := c.trial.result(c.asks, c.result)
	for v := range res.Origins {
		if int(res.Origins[v].By) >= len(c.trial.p.cons)-len(c.states) {
			res.Origins[v].By = -1 // chosen here, not stated
		}
	}
	res.Status = Unique
	return Optimum{Result: res, Value: float64(c.sense * c.best), Bound: bound}
}
