package solver

import (
	"math"
	"slices"

	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/roots"
	"perch/solver/structure"
)

// query is one question to a program: which constraints are on, with which
// ranges, and which target each About aims at.
type query struct {
	on     []bool              // by constraint
	ranges []interval.Interval // by Var
	shift  []float64           // by constraint, of Abouts: added to the target
	drop   []bool              // by constraint: known to add nothing, so only checked
	whole  []bool              // by Var: takes whole values only
	strict bool                // forgive nothing at ranges and inequalities
}

func (p *program) query() *query {
	q := &query{
		on: make([]bool, len(p.cons)), ranges: make([]interval.Interval, len(p.vars)),
		shift: make([]float64, len(p.cons)), drop: make([]bool, len(p.cons)),
		whole: make([]bool, len(p.vars)),
	}
	for i := range q.on {
		q.on[i] = true
	}
	for i, v := range p.vars {
		q.ranges[i] = interval.Interval{Lo: v.lo, Hi: v.hi}
		q.whole[i] = v.integer
	}
	return q
}

func (q *query) clone() *query {
	return &query{slices.Clone(q.on), slices.Clone(q.ranges), slices.Clone(q.shift), slices.Clone(q.drop), slices.Clone(q.whole), q.strict}
}

// plan is the structure of a query: what is solved from what, in which order.
type plan struct {
	g       *structure.Graph
	cons    []int   // constraint by the graph's equation
	under   []bool  // by Var: cannot be determined
	blocks  [][]int // constraints, in order
	solves  [][]Var // by block
	checks  [][]int // by block, and before the first at 0: constraints to check once it is solved
	compete []int   // Abouts that structure alone sets against each other
	blockOf []int   // by Var, -1 where under
	extra   []int   // constraints that no variable is solved from
}

func (w *scratch) plan(q *query) *plan {
	p := w.p
	pl := &plan{g: structure.NewGraph(len(p.vars))}
	var extra []int
	for _, i := range p.order {
		if !q.on[i] {
			continue
		}
		if q.drop[i] || len(p.deps[i]) == 0 {
			extra = append(extra, i)
			continue
		}
		w.mark++
		pl.cons = append(pl.cons, i)
		if !pl.g.AddEquation(p.deps[i], p.tapes[i].Assigns, w.seen, w.mark) {
			extra = append(extra, i)
		}
	}
	for _, i := range p.abouts {
		if !q.on[i] || p.cons[i].Rel != EQ || q.drop[i] || len(p.deps[i]) == 0 {
			continue
		}
		w.mark++
		pl.cons = append(pl.cons, i)
		if !pl.g.AddEquation(p.deps[i], p.tapes[i].Assigns, w.seen, w.mark) {
			for _, e := range pl.g.Overdetermined(len(pl.cons) - 1) {
				if k := pl.cons[e]; p.cons[k].Strength >= About && k != i {
					pl.compete = append(pl.compete, k, i)
				}
			}
		}
	}
	pl.under = pl.g.Underdetermined()
	pl.arrange(w, q, extra)
	return pl
}

// arrange orders the blocks and hangs every check on the block after which it
// can be made.
func (pl *plan) arrange(w *scratch, q *query, extra []int) {
	p := w.p
	pl.blockOf = make([]int, len(p.vars))
	for i := range pl.blockOf {
		pl.blockOf[i] = -1
	}
	for _, b := range pl.g.Blocks(pl.under) {
		var cons []int
		var vars []Var
		for _, e := range b {
			cons = append(cons, pl.cons[e])
			vars = append(vars, pl.g.VarOf[e])
			pl.blockOf[pl.g.VarOf[e]] = len(pl.blocks)
		}
		pl.blocks = append(pl.blocks, cons)
		pl.solves = append(pl.solves, vars)
	}
	pl.checks = make([][]int, len(pl.blocks)+1)
	hang := func(i int) {
		last := 0
		for _, v := range p.tapes[i].Vars {
			if pl.blockOf[v] < 0 {
				return
			}
			last = max(last, pl.blockOf[v]+1)
		}
		pl.checks[last] = append(pl.checks[last], i)
	}
	for _, i := range p.checks {
		if q.on[i] {
			extra = append(extra, i)
		}
	}
	for _, i := range extra {
		hang(i)
	}
	pl.extra = extra
}

// failure tells why a branch of the search ended.
type failure struct {
	block int     // that has no value in range, or -1
	check int     // constraint that does not hold, or -1
	v     Var     // that is out of range, or -1
	need  float64 // the value it would need
}

// outcome of a query.
type outcome struct {
	plan       *plan
	solutions  [][]float64
	complete   bool  // no solution is missing
	exist      bool  // each solution is proved to be one
	open       []Var // of blocks whose solutions are not all proved
	failures   []failure
	degenerate int // constraint found to carry no information, or -1
	work       int
}

// doubt notes that a block's solutions are not proved, or not proved to be all.
func (o *outcome) doubt(complete bool, vars ...Var) {
	o.complete = o.complete && complete
	o.exist = false
	o.open = append(o.open, vars...)
}

// run answers a query, dropping constraints that turn out to say nothing new.
func (w *scratch) run(q *query) *outcome {
	for {
		if w.work <= 0 {
			return &outcome{plan: w.plan(q), degenerate: -1}
		}
		o := w.search(q, w.plan(q))
		w.work -= o.work + 4*len(q.on)
		if o.degenerate < 0 || q.drop[o.degenerate] {
			return o
		}
		q = q.clone()
		q.drop[o.degenerate] = true
	}
}

// level is a block on the search's path, with the values still to try.
type level struct {
	values [][]float64 // each by the block's variables
	next   int
}

// search walks the blocks depth first, trying each block's solutions nearest to
// its Abouts first.
func (w *scratch) search(q *query, pl *plan) *outcome {
	o := &outcome{plan: pl, complete: true, exist: true, degenerate: -1}
	x := make([]float64, len(w.p.vars))
	for i := range x {
		x[i] = nan
	}
	limit := min(w.work, w.p.budget())
	budget := limit
	defer func() { o.work = limit - budget }()
	if !w.check(q, o, x, 0) {
		return o
	}
	levels := make([]level, 0, len(pl.blocks))
	for {
		at := len(levels)
		budget--
		if budget <= 0 {
			o.complete = false
			break
		}
		if at == len(pl.blocks) {
			o.solutions = append(o.solutions, slices.Clone(x))
			if len(o.solutions) >= maxSolutions {
				o.complete = false
				break
			}
		} else {
			vs := w.solveBlock(q, o, at, x, &budget)
			if o.degenerate >= 0 {
				return o
			}
			levels = append(levels, level{values: vs})
		}
		if !w.advance(q, o, &levels, x) {
			break
		}
	}
	return o
}

// advance moves to the next value to try, back up the path where a block has no
// more; false at the end.
func (w *scratch) advance(q *query, o *outcome, levels *[]level, x []float64) bool {
	for len(*levels) > 0 {
		at := len(*levels) - 1
		l := &(*levels)[at]
		for l.next < len(l.values) {
			for k, v := range o.plan.solves[at] {
				x[v] = l.values[l.next][k]
			}
			l.next++
			if w.check(q, o, x, at+1) {
				return true
			}
		}
		for _, v := range o.plan.solves[at] {
			x[v] = nan
		}
		*levels = (*levels)[:at]
	}
	return false
}

// check makes the checks that hang on a block.
func (w *scratch) check(q *query, o *outcome, x []float64, at int) bool {
	for _, i := range o.plan.checks[at] {
		if !w.satisfies(i, x, q.strict) {
			o.failures = append(o.failures, failure{block: at - 1, check: i, v: -1})
			return false
		}
	}
	return true
}

// solveBlock returns the block's values that lie in range.
func (w *scratch) solveBlock(q *query, o *outcome, at int, x []float64, budget *int) [][]float64 {
	cons, vars := o.plan.blocks[at], o.plan.solves[at]
	if len(cons) == 1 {
		return w.solveOne(q, o, at, cons[0], vars[0], x, budget)
	}
	return w.solveMany(q, o, at, cons, vars, x, budget)
}

// solveOne solves a block of one equation for its one unknown.
func (w *scratch) solveOne(q *query, o *outcome, at, con int, v Var, x []float64, budget *int) [][]float64 {
	t := &w.p.tapes[con]
	*budget -= t.Size()
	if t.Assigns == v {
		y, r := t.Assigned(x, w.buf)
		if math.IsNaN(r) || math.IsInf(y, 0) {
			o.failures = append(o.failures, failure{block: at, check: con, v: -1})
			return nil
		}
		if q.shift[con] != 0 {
			y += float64(side(t) * q.shift[con])
		}
		return w.inRange(q, o, at, []Var{v}, []float64{y}, 1)
	}
	s := &roots.Scalar{Tape: t, Shift: q.shift[con], Var: v, X: x, Buf: w.buf, Adj: w.adj, Grad: w.grad, Duals: w.dual, Steps: budget}
	rg := q.ranges[v]
	slackLo, slackHi := slack(rg)
	s.Near, _ = w.target(q, v)
	r := s.Find(rg.Lo-slackLo, rg.Hi+slackHi)
	if !r.Complete || !r.Exist {
		o.doubt(r.Complete, v)
	}
	if r.Free && len(r.At) == 0 {
		o.degenerate = con
		return nil
	}
	if len(r.At) == 0 {
		o.failures = append(o.failures, failure{block: at, check: -1, v: v, need: nan})
		return nil
	}
	w.sortNear(q, v, r.At)
	return w.inRange(q, o, at, []Var{v}, r.At, 1)
}

// side is +1 where the variable that t assigns is its left side, else -1.
func side(t *expr.Tape) float64 {
	if t.AssignsLeft() {
		return 1
	}
	return -1
}

// slack is how far beyond its ends a range forgives.
func slack(r interval.Interval) (lo, hi float64) {
	s := interval.ScaleOf(r.Lo, r.Hi)
	f := func(x float64) float64 {
		if math.IsInf(x, 0) {
			return 0
		}
		return float64(expr.Tolerance * math.Max(math.Abs(x), s))
	}
	return f(r.Lo), f(r.Hi)
}

// inRange keeps the candidates, n numbers each, whose every number is in range
// and whole where it must be, set to the end or the whole number it is off by
// rounding.
func (w *scratch) inRange(q *query, o *outcome, at int, vars []Var, cand []float64, n int) [][]float64 {
	var out [][]float64
	for ; len(cand) >= n; cand = cand[n:] {
		ok := true
		for k, v := range vars {
			y, fits := w.fit(q, v, cand[k])
			if !fits {
				o.failures = append(o.failures, failure{block: at, check: -1, v: v, need: cand[k]})
				ok = false
				break
			}
			cand[k] = y
		}
		if ok {
			out = append(out, cand[:n:n])
		}
	}
	return out
}

func (w *scratch) fit(q *query, v Var, y float64) (float64, bool) {
	r := q.ranges[v]
	lo, hi := slack(r)
	if q.strict {
		lo, hi = 0, 0
	}
	switch {
	case math.IsNaN(y) || y < r.Lo-lo || y > r.Hi+hi:
		return y, false
	case y < r.Lo:
		y = r.Lo
	case y > r.Hi:
		y = r.Hi
	}
	if q.whole[v] {
		n := math.Round(y)
		if math.Abs(y-n) > expr.WholeTolerance*math.Max(1, math.Abs(y)) {
			return y, false
		}
		y = n
	}
	if y == 0 {
		y = 0 // no negative zero
	}
	return y, true
}

// sortNear puts the values nearest to an About on v alone first.
func (w *scratch) sortNear(q *query, v Var, at []float64) {
	if len(at) < 2 {
		return
	}
	for _, i := range w.p.abouts {
		t := &w.p.tapes[i]
		if !q.on[i] || len(t.Vars) != 1 || t.Vars[0] != v {
			continue
		}
		far := func(y float64) float64 {
			w.x[v] = y
			return math.Abs(t.Eval(w.x, w.buf) - q.shift[i])
		}
		slices.SortStableFunc(at, func(a, b float64) int {
			switch x, y := far(a), far(b); {
			case x < y:
				return -1
			case x > y:
				return 1
			}
			return 0
		})
		return
	}
}
