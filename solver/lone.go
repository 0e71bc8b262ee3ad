package solver

import (
	"math"
	"slices"
)

// Where the admissible values are a single point, or as good as one, such as where
// a line touches a disc, trying points of boxes does not meet them, and boxes about
// them cannot be told from them. Both are mended here: the point is approached by
// steps that take what nearly holds as equations, and inequalities whose slopes
// oppose each other there are added up, which leaves curvature alone.
const (
	loneSteps     = 80
	loneStalls    = 8    // steps without betterment that end an approach
	nearActive    = 10   // times the worst miss: how near a limit counts as an equation
	loneActive    = 1e-6 // of its terms, within which a limit binds at the point
	loneOppose    = 1e-4 // of their length: what may be left of slopes that oppose
	maxOpposed    = 8    // limits of which pairs are looked at
	balanceSweeps = 500
	steadied      = 1e-13 // of the slopes' squares
)

// lone searches again for the best value where the first search found none or could
// not tell that there is no better: nil where no point is approached.
func (c *climb) lone() *climb {
	var starts [][]float64
	if c.result != nil {
		starts = append(starts, c.result.solutions[0])
	}
	for _, box := range [][]interval{c.rest, c.first} {
		if box == nil {
			continue
		}
		x := slices.Clone(c.x)
		for k, v := range c.open {
			if int(v) < len(x) {
				x[v] = inner(box[k])
			}
		}
		starts = append(starts, x)
	}
	for _, x := range starts {
		x, miss := c.approach(x)
		if !(miss <= tolerance) {
			continue
		}
		n := *c
		rows := n.opposed(x)
		if len(rows) == 0 && c.result != nil {
			return nil
		}
		n.p = newProver(slices.Concat(c.rows, rows), c.equations, c.p.scale, maxBestWork/4)
		n.best, n.bound, n.result, n.tried, n.rest = math.Inf(-1), math.Inf(-1), nil, 0, nil
		at := make([]float64, len(n.pick))
		for i, k := range n.pick {
			at[i] = x[n.open[k]]
		}
		if !n.try(at) {
			continue
		}
		n.asks = n.asks.clone()
		n.asks.strict = true // or what is forgiven would pass for room beyond
		n.run()
		return &n
	}
	return nil
}

// residual is what constraint i has left at x: its sides' difference, which is to be
// zero or, signed so, at most zero, and the size of its terms.
func (c *climb) residual(i int, x []float64) (r, size float64) {
	w, t := c.trial, &c.prog.tapes[i]
	r = t.eval(x, w.buf)
	size = math.Max(t.magnitude(w.buf, w.adj), floor)
	if rel := c.prog.cons[i].Rel; rel == GE || rel == GT {
		r = -r
	}
	return r, size
}

// slopes are the derivatives of residual by the open variables, each by its scale.
func (c *climb) slopes(i int, x []float64, size float64) []float64 {
	w, t := c.trial, &c.prog.tapes[i]
	t.eval(x, w.buf)
	for _, v := range t.vars {
		w.grad[v] = 0
	}
	t.gradient(w.buf, w.adj, w.grad)
	out := make([]float64, len(c.open))
	for k, v := range c.open {
		if int(v) < len(x) && slices.Contains(t.vars, v) {
			out[k] = float64(w.grad[v]*c.p.scale[k]) / size
		}
	}
	for _, v := range t.vars {
		w.grad[v] = 0
	}
	if rel := c.prog.cons[i].Rel; rel == GE || rel == GT {
		for k := range out {
			out[k] = -out[k]
		}
	}
	return out
}

// approach takes steps from x towards where all constraints on open variables hold,
// those that nearly bind held as equations: the least step that would do were they
// straight (Gauss, Newton). It returns the place that missed least, and by how much,
// in parts of the size of a constraint's terms.
func (c *climb) approach(x []float64) (best []float64, least float64) {
	x, least = slices.Clone(x), math.Inf(1)
	stalls := 0
	for range loneSteps {
		rs, sizes := make([]float64, len(c.cons)), make([]float64, len(c.cons))
		worst := 0.0
		for n, i := range c.cons {
			rs[n], sizes[n] = c.residual(i, x)
			by := rs[n] / sizes[n]
			if c.prog.cons[i].Rel == EQ {
				by = math.Abs(by)
			}
			worst = math.Max(worst, by) // NaN stays
		}
		if !finite(worst) {
			break
		}
		if stalls++; worst < least {
			best, least, stalls = slices.Clone(x), worst, 0
		}
		if worst == 0 || stalls >= loneStalls {
			break
		}
		var rows [][]float64
		var miss []float64
		for n, i := range c.cons {
			if by := rs[n] / sizes[n]; c.prog.cons[i].Rel == EQ || by > float64(-nearActive*worst) {
				rows, miss = append(rows, c.slopes(i, x, sizes[n])), append(miss, by)
			}
		}
		d := leastStep(rows, miss)
		if d == nil {
			break
		}
		for k, v := range c.open {
			if int(v) < len(x) {
				x[v] = math.Max(c.first[k].lo, math.Min(c.first[k].hi, x[v]+float64(d[k]*c.p.scale[k])))
			}
		}
	}
	return best, least
}

// leastStep is the shortest d with rows·d = -miss, or nearly so where there is none.
func leastStep(rows [][]float64, miss []float64) []float64 {
	n := len(rows)
	a, r := make([]float64, n*n), make([]float64, n)
	trace := 0.0
	for i := range n {
		for j := range n {
			for k := range rows[i] {
				a[i*n+j] += float64(rows[i][k] * rows[j][k])
			}
		}
		r[i] = -miss[i]
		trace += a[i*n+i]
	}
	if !finite(trace) || !(trace > 0) {
		return nil
	}
	y := solvePositive(a, r, float64(steadied*trace))
	if y == nil {
		return nil
	}
	d := make([]float64, len(rows[0]))
	for i := range rows {
		for k := range d {
			d[k] += float64(rows[i][k] * y[i])
		}
	}
	for _, v := range d {
		if !finite(v) {
			return nil
		}
	}
	return d
}

// solvePositive solves a linear system whose matrix, n by n, has no negative direction;
// add is added to its diagonal. nil where that is not enough.
func solvePositive(a, r []float64, add float64) []float64 {
	n := len(r)
	for i := range n {
		a[i*n+i] += add
	}
	d, x := newDense(n), make([]float64, n)
	if !d.factor(a, 0) || !d.solve(r, x) {
		return nil
	}
	return x
}

// limit says left <= right, or left = right; slopes are those of its residual, long is
// the longest of them.
type limit struct {
	left, right Expr
	slopes      []float64
	long        float64
}

// opposed are sums of limits that bind at x, weighted so that their slopes cancel there,
// with what of each equation it takes: what satisfies all satisfies the sum.
func (c *climb) opposed(x []float64) []row {
	var equal, most []limit
	for _, i := range c.cons {
		con := c.prog.cons[i]
		r, size := c.residual(i, x)
		if !(math.Abs(r) <= float64(loneActive*size)) || con.Strength >= About {
			continue
		}
		l := limit{left: con.Left, right: con.Right, slopes: c.slopes(i, x, 1)}
		for _, s := range l.slopes {
			l.long = math.Max(l.long, math.Abs(s))
		}
		switch {
		case !(l.long > 0) || !finite(l.long):
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
	var out []row
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
func (c *climb) sum(equal, set []limit) (out row, ok bool) {
	side := slices.Clone(set) // with the slopes that no equation takes up
	takes := make([][]float64, len(set))
	for i := range side {
		own := side[i].slopes
		n := len(equal)
		m, r := make([]float64, n*n), make([]float64, n) // of the products of their slopes, and with own
		for j, e := range equal {
			for k := range own {
				r[j] -= float64(e.slopes[k] / e.long * (own[k] / side[i].long))
				for h, f := range equal {
					m[j*n+h] += float64(e.slopes[k] / e.long * (f.slopes[k] / f.long))
				}
			}
		}
		if takes[i] = solvePositive(m, r, steadied); takes[i] == nil {
			return out, false
		}
		side[i].slopes = make([]float64, len(own))
		for k := range own {
			rest := own[k] / side[i].long
			for j, e := range equal {
				rest += float64(takes[i][j] * (e.slopes[k] / e.long))
			}
			side[i].slopes[k] = float64(rest * side[i].long)
		}
	}
	weight, left := balance(side)
	if !(left <= loneOppose) {
		return out, false
	}
	var low, high Expr
	for i, w := range weight {
		by := Const(w / set[i].long)
		low, high = Sum(low, Product(by, set[i].left)), Sum(high, Product(by, set[i].right))
	}
	for j, e := range equal {
		by := 0.0
		for i, w := range weight {
			by += float64(w * takes[i][j])
		}
		low, high = Sum(low, Product(Const(by/e.long), e.left)), Sum(high, Product(Const(by/e.long), e.right))
	}
	t := compile(low, high, len(c.prog.vars))
	out = newRow(&t, 0, c.local, c.x)
	out.want.lo = math.Inf(-1)
	return out, true
}

// balance finds weights, none below zero and one in all, with which slopes, each by the
// longest of its limit, cancel as far as they can: the nearest point to zero of what
// they span, found by moving weight between two of them at a time. left is how far from
// zero it is.
func balance(set []limit) (weight []float64, left float64) {
	n := len(set)
	dot := make([][]float64, n)
	for i := range set {
		dot[i] = make([]float64, n)
		for j := range set {
			for k := range set[i].slopes {
				dot[i][j] += float64(set[i].slopes[k] / set[i].long * (set[j].slopes[k] / set[j].long))
			}
		}
	}
	weight = make([]float64, n)
	weight[0] = 1
	for range balanceSweeps {
		moved := 0.0
		for i := range n {
			for j := range i {
				slope, curve := 0.0, dot[i][i]+dot[j][j]-2*dot[i][j]
				for k, w := range weight {
					slope += float64(w * (dot[i][k] - dot[j][k]))
				}
				if curve <= 0 {
					continue
				}
				d := math.Max(-weight[i], math.Min(weight[j], -slope/curve))
				weight[i], weight[j] = math.Max(0, weight[i]+d), math.Max(0, weight[j]-d)
				moved = math.Max(moved, math.Abs(d))
			}
		}
		if moved < 1e-15 {
			break
		}
	}
	for k := range set[0].slopes {
		sum := 0.0
		for i, w := range weight {
			sum += float64(w * (set[i].slopes[k] / set[i].long))
		}
		left = math.Max(left, math.Abs(sum))
	}
	return weight, left
}
