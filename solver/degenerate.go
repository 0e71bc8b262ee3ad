package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/optimize"
)

// bindsWithin is the part of its terms within which a limit binds at a point.
const bindsWithin = 1e-6

// maxOpposed is of how many limits pairs are looked at.
const maxOpposed = 8

// degenerate searches again for the best value where the first search found none or could
// not tell that there is no better: nil where no point is approached.
//
// Where the admissible values are a single point, or as good as one, such as where a line
// touches a disc, trying points of boxes does not meet them, and boxes about them cannot
// be told from them. The point is restored by steps that take what nearly holds as
// equations, and inequalities whose slopes oppose each other there are added up by their
// multipliers, which leaves curvature alone.
func (c *extreme) degenerate() *extreme {
	var starts [][]float64
	if c.result != nil {
		starts = append(starts, c.result.solutions[0])
	}
	for _, box := range [][]interval.Interval{c.search.Rest, c.Box} {
		if box == nil {
			continue
		}
		x := slices.Clone(c.x)
		for k, v := range c.open {
			if int(v) < len(x) {
				x[v] = optimize.Inner(box[k])
			}
		}
		starts = append(starts, x)
	}
	for _, x := range starts {
		x, miss := c.approach(x)
		if !(miss <= expr.Tolerance) {
			continue
		}
		n := *c
		rows := n.opposed(x)
		if len(rows) == 0 && c.result != nil {
			return nil
		}
		p := c.Problem
		p.Rows, p.Try = slices.Concat(c.Rows, rows), n.state
		n.search, n.result = optimize.NewSearch(p, maxBestWork/4), nil
		at := make([]float64, len(n.Free))
		for i, k := range n.Free {
			at[i] = x[n.open[k]]
		}
		if !n.search.Attempt(at) {
			continue
		}
		n.asks = n.asks.clone()
		n.asks.strict = true // or what is forgiven would pass for room beyond
		n.search.Run()
		return &n
	}
	return nil
}

// approach restores the open variables from x; it returns where all variables stand and
// by how much a constraint misses there.
func (c *extreme) approach(x []float64) (best []float64, miss float64) {
	x = slices.Clone(x)
	z := make([]float64, len(c.open))
	for k, v := range c.open {
		if int(v) < len(x) {
			z[k] = x[v]
		}
	}
	place := func(z []float64) {
		for k, v := range c.open {
			if int(v) < len(x) {
				x[v] = z[k]
			}
		}
	}
	all := make([]optimize.Constraint, len(c.cons))
	scale := interval.Scale(c.Box)
	z, miss = optimize.Restore(z, c.Box, scale, func(z []float64) []optimize.Constraint {
		place(z)
		for n, i := range c.cons {
			all[n] = c.residual(i, x)
		}
		return all
	}, func(n int) []float64 { return c.gradient(c.cons[n], x, scale, all[n].Size) })
	if z == nil {
		return x, miss
	}
	place(z)
	return x, miss
}

// residual is what constraint i has left at x: its sides' difference, signed so that it is
// to be at most zero.
func (c *extreme) residual(i int, x []float64) optimize.Constraint {
	w, t := c.trial, &c.prog.tapes[i]
	r := t.Eval(x, w.buf)
	if rel := c.prog.cons[i].Rel; rel == GE || rel == GT {
		r = -r
	}
	return optimize.Constraint{Residual: r, Size: math.Max(t.Magnitude(w.buf, w.adj), expr.LeastResidual), Equation: c.prog.cons[i].Rel == EQ}
}

// gradient are the derivatives of residual by the open variables, each by its scale.
func (c *extreme) gradient(i int, x, scale []float64, size float64) []float64 {
	w, t := c.trial, &c.prog.tapes[i]
	t.Eval(x, w.buf)
	for _, v := range t.Vars {
		w.grad[v] = 0
	}
	t.Gradient(w.buf, w.adj, w.grad)
	out := make([]float64, len(c.open))
	for k, v := range c.open {
		if int(v) < len(x) && slices.Contains(t.Vars, v) {
			out[k] = float64(w.grad[v]*scale[k]) / size
		}
	}
	for _, v := range t.Vars {
		w.grad[v] = 0
	}
	if rel := c.prog.cons[i].Rel; rel == GE || rel == GT {
		for k := range out {
			out[k] = -out[k]
		}
	}
	return out
}

// limit says left <= right, or left = right, with the slopes of its residual.
type limit struct {
	left, right Expr
	optimize.Slopes
}

// opposed are sums of limits that bind at x, weighted so that their slopes cancel there,
// with what of each equation it takes: what satisfies all satisfies the sum.
func (c *extreme) opposed(x []float64) []expr.Row {
	var equal, most []limit
	scale := interval.Scale(c.Box)
	for _, i := range c.cons {
		con := c.prog.cons[i]
		r := c.residual(i, x)
		if !(math.Abs(r.Residual) <= float64(bindsWithin*r.Size)) || con.Strength >= About {
			continue
		}
		l := limit{con.Left, con.Right, optimize.NewSlopes(c.gradient(i, x, scale, 1))}
		switch {
		case !(l.Long > 0) || !elementary.Finite(l.Long):
			continue
		case con.Rel == EQ:
			equal = append(equal, l)
			continue
		case con.Rel == GE || con.Rel == GT:
			l.left, l.right = l.right, l.left
		}
		if len(most) < maxOpposed {
			most = append(most, l)
		}
	}
	var out []expr.Row
	add := func(set ...limit) {
		if r, ok := c.sum(equal, set); ok {
			out = append(out, r)
		}
	}
	for i, a := range most {
		if len(equal) > 0 {
			add(a)
		}
		for _, b := range most[i+1:] {
			add(a, b)
		}
	}
	if len(most) > 2 {
		add(most...)
	}
	return out
}

// sum is the row of a weighted sum of limits and equations whose slopes cancel; ok is
// false where they don't.
func (c *extreme) sum(equal, set []limit) (out expr.Row, ok bool) {
	of := func(ls []limit) []optimize.Slopes {
		s := make([]optimize.Slopes, len(ls))
		for i, l := range ls {
			s[i] = l.Slopes
		}
		return s
	}
	takes, weight, ok := optimize.Multipliers(of(equal), of(set))
	if !ok {
		return out, false
	}
	low, high := Const(0), Const(0)
	add := func(l limit, weight float64) {
		by := Const(weight / l.Long)
		low, high = Sum(low, Product(by, l.left)), Sum(high, Product(by, l.right))
	}
	for i, w := range weight {
		add(set[i], w)
	}
	for j, w := range takes {
		add(equal[j], w)
	}
	t := expr.Compile(low, high, len(c.prog.vars))
	out = expr.NewRow(&t, 0, c.local, c.x)
	out.Want.Lo = math.Inf(-1)
	return out, true
}
