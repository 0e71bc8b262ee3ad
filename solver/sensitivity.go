package solver

import (
	"math"
	"slices"
)

// Sensitivity returns, by Var and then by the entries of stated, by how much each
// value moves with a stated one, all other statements as they are: the
// derivative by the implicit function theorem at values, a solution that Solve
// gave. A column is NaN where its variable is not stated but solved for; an entry
// is NaN where the derivative does not exist or the variable has no value. Where
// an About gave way, the limit that stopped it is taken to stay in force.
func (s *System) Sensitivity(values []float64, stated []Var) [][]float64 {
	p := compileSystem(s.stopped(values))
	d := &derivatives{w: newScratch(p), x: values, stated: stated, rows: make([][]float64, len(p.vars))}
	for v := range d.rows {
		d.rows[v] = make([]float64, len(stated))
		for k := range stated {
			d.rows[v][k] = nan
		}
	}
	if len(values) != len(p.vars) {
		return d.rows
	}
	q := p.query()
	for range len(p.cons) + 1 { // constraints that say nothing new are dropped
		d.plan = d.w.plan(q)
		bad := d.solve()
		if bad < 0 || q.drop[bad] {
			break
		}
		q.drop[bad] = true
	}
	return d.rows
}

// stopped is the system with every About that gave way at x exchanged for the
// limit that stopped it: an inequality that holds just so, or an end of a range.
func (s *System) stopped(x []float64) *System {
	p := compileSystem(s)
	if len(x) != len(p.vars) {
		return s
	}
	w := newScratch(p)
	out := &System{s.vars, slices.Clone(s.cons)}
	for _, i := range p.abouts {
		if s.cons[i].Rel != EQ || !w.known(i, x) || w.holds(i, x) {
			continue
		}
		old := out.cons[i]
		under := out.undetermined()
		out.cons[i] = Constraint{Left: Const(0), Right: Const(0)} // says nothing
		open := out.undetermined()
		if open == under { // it did not determine anything
			continue
		}
		for _, c := range w.limits(x) {
			out.cons[i] = c
			if out.undetermined() == under {
				break
			}
			out.cons[i] = old
		}
	}
	return out
}

// undetermined counts the variables that structure leaves open.
func (s *System) undetermined() int {
	p := compileSystem(s)
	n := 0
	for _, u := range newScratch(p).plan(p.query()).under {
		if u {
			n++
		}
	}
	return n
}

// limits lists what stops values at x, as equations.
func (w *scratch) limits(x []float64) []Constraint {
	var out []Constraint
	for _, i := range w.p.checks {
		if w.known(i, x) && w.isTight(i, x) {
			c := w.p.cons[i]
			out = append(out, Constraint{Left: c.Left, Right: c.Right})
		}
	}
	for v := range w.p.vars {
		if w.p.atEnd(Var(v), x[v]) {
			out = append(out, Constraint{Left: Var(v).Expr(), Right: Const(x[v]), Strength: Default})
		}
	}
	return out
}

// derivatives are worked out block by block.
type derivatives struct {
	w      *scratch
	plan   *plan
	x      []float64
	stated []Var
	rows   [][]float64 // by Var, by stated
}

// solve goes through the blocks; it returns a constraint that depends on the
// others of its block, -1 if there is none.
func (d *derivatives) solve() int {
	for at, cons := range d.plan.blocks {
		vars := d.plan.solves[at]
		n := len(vars)
		jac := make([]float64, n*n)
		rhs := make([][]float64, n)
		for i, c := range cons {
			rhs[i] = d.equation(c, vars, jac[i*n:i*n+n], len(cons) == 1)
		}
		bad := d.block(cons, vars, jac, rhs)
		if bad >= 0 {
			return bad
		}
	}
	d.columns()
	return -1
}

// equation fills the block's part of a constraint's gradient and returns the
// rest, times what is known, by stated.
func (d *derivatives) equation(c int, vars []Var, jac []float64, alone bool) []float64 {
	rhs := make([]float64, len(d.stated))
	con := &d.w.p.cons[c]
	if alone && con.Strength != Rule && d.w.p.tapes[c].Assigns == vars[0] && len(d.w.p.tapes[c].Vars) == 1 {
		jac[0] = 1
		for k, v := range d.stated {
			if v == vars[0] {
				rhs[k] = 1
			}
		}
		return rhs
	}
	if con.Strength >= About && !d.w.holds(c, d.x) { // nothing is known to have stopped it
		jac[0] = 1
		for k := range rhs {
			rhs[k] = nan
		}
		return rhs
	}
	t := &d.w.p.tapes[c]
	t.Eval(d.x, d.w.buf)
	for _, v := range t.Vars {
		d.w.grad[v] = 0
	}
	t.Gradient(d.w.buf, d.w.adj, d.w.grad)
	for k, v := range vars {
		if hasVar(t.Vars, v) {
			jac[k] = d.w.grad[v]
		}
	}
	for _, v := range t.Vars {
		if slices.Contains(vars, v) || d.w.grad[v] == 0 {
			continue
		}
		for k := range rhs {
			rhs[k] -= float64(d.w.grad[v] * d.rows[v][k])
		}
	}
	return rhs
}

// block solves a block's linear system for every column.
func (d *derivatives) block(cons []int, vars []Var, jac []float64, rhs [][]float64) int {
	n := len(vars)
	if n == 1 {
		for k := range d.stated {
			d.rows[vars[0]][k] = finiteSlope(rhs[0][k] / jac[0])
		}
		return -1
	}
	b := &block{n: n, cons: cons, vars: vars, jac: jac, r: make([]float64, n), step: make([]float64, n)}
	for k := range d.stated {
		for i := range b.r {
			b.r[i] = rhs[i][k]
		}
		row, ok := b.solveLinear()
		if row >= 0 {
			return cons[row]
		}
		for i, v := range vars {
			d.rows[v][k] = nan
			if ok {
				d.rows[v][k] = finiteSlope(b.step[i])
			}
		}
	}
	return -1
}

// finiteSlope is x, NaN where it is infinite, and 0 without a sign.
func finiteSlope(x float64) float64 {
	if math.IsInf(x, 0) {
		return nan
	}
	return x + 0
}

// columns makes those of variables that are not stated NaN.
func (d *derivatives) columns() {
	for k, v := range d.stated {
		if v >= 0 && int(v) < len(d.rows) && d.rows[v][k] == 1 && d.states(v) {
			continue
		}
		for _, r := range d.rows {
			r[k] = nan
		}
	}
}

// states tells whether v's value is a statement about v alone.
func (d *derivatives) states(v Var) bool {
	e := d.plan.g.EquationOf[v]
	if e < 0 {
		return false
	}
	c := d.plan.cons[e]
	return d.w.p.cons[c].Strength != Rule && d.w.p.tapes[c].Assigns == v && len(d.w.p.tapes[c].Vars) == 1
}
