package solver

import (
	"math"
	"slices"

	"perch/solver/expr"
	"perch/solver/interval"
)

// Reason tells where the value of one variable came from.
type Reason struct {
	Var    Var
	By     ID    // the constraint that gave the value
	From   []Var // the other variables of By, whose values it used; none where By states the value
	With   []ID  // the constraints of the block that By was solved in, where it is not alone
	Limits []ID  // where By is an About that gave way: the inequalities that stopped it
	Ends   []Var // and the variables that stand at an end of their range
}

// Why lists the chain of reasons behind the value of v, its own first, each
// variable once and before those it came from, down to what is stated. It is
// nil where v has no value.
func (r Result) Why(v Var) []Reason {
	if r.plan == nil || v < 0 || int(v) >= len(r.Origins) || r.Origins[v].By < 0 {
		return nil
	}
	var out []Reason
	seen := map[Var]bool{v: true}
	todo := []Var{v}
	for i := 0; i < len(todo); i++ {
		x := r.reason(todo[i])
		out = append(out, x)
		for _, f := range x.From {
			if !seen[f] && r.Origins[f].By >= 0 {
				seen[f] = true
				todo = append(todo, f)
			}
		}
	}
	return out
}

func (r Result) reason(v Var) Reason {
	by := r.Origins[v].By
	x := Reason{Var: v, By: by}
	for _, f := range r.prog.deps[by] {
		if f != v {
			x.From = append(x.From, f)
		}
	}
	if b := r.plan.blockOf[v]; b >= 0 && len(r.plan.blocks[b]) > 1 {
		for _, c := range r.plan.blocks[b] {
			x.With = append(x.With, ID(c))
			for _, f := range r.prog.deps[c] {
				if f != v && !slices.Contains(x.From, f) {
					x.From = append(x.From, f)
				}
			}
		}
		slices.Sort(x.With)
	}
	if slices.Contains(r.GaveWay, by) {
		x.Limits, x.Ends = r.stops(v)
	}
	return x
}

// tight is the relative distance from its limit at which an inequality or a
// range takes part in stopping a value.
const tight = 1e-7

// stops lists the inequalities and ends of ranges that hold just so and depend
// on v.
func (r Result) stops(v Var) (limits []ID, ends []Var) {
	after := r.dependents(v)
	w := newScratch(r.prog)
	for _, i := range r.prog.checks {
		if slices.ContainsFunc(r.prog.deps[i], func(u Var) bool { return after[u] }) && w.isTight(i, r.Values) {
			limits = append(limits, ID(i))
		}
	}
	for u := range after {
		if after[u] && r.prog.atEnd(Var(u), r.Values[u]) {
			ends = append(ends, Var(u))
		}
	}
	return limits, ends
}

// isTight tells whether an inequality's sides are equal but for little.
func (w *scratch) isTight(i int, x []float64) bool {
	t := &w.p.tapes[i]
	d := t.Eval(x, w.buf)
	return w.p.cons[i].Rel != NE && math.Abs(d) <= float64(tight*t.Magnitude(w.buf, w.adj))+expr.LeastResidual
}

// atEnd tells whether x is an end of v's range but for little.
func (p *program) atEnd(v Var, x float64) bool {
	d := p.vars[v]
	s := float64(tight * math.Max(math.Abs(x), interval.ScaleOf(d.lo, d.hi)))
	return math.Abs(x-d.lo) <= s || math.Abs(x-d.hi) <= s
}

// dependents marks v and the variables solved from it.
func (r Result) dependents(v Var) []bool {
	after := make([]bool, len(r.Origins))
	after[v] = true
	for b, cons := range r.plan.blocks { // in the order solved
		for _, c := range cons {
			if slices.ContainsFunc(r.prog.deps[c], func(u Var) bool { return after[u] }) {
				for _, u := range r.plan.solves[b] {
					after[u] = true
				}
				break
			}
		}
	}
	return after
}
