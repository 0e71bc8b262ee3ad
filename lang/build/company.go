package build

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// Bounds of the search for values of the names that are open beside the one that
// is to be largest or smallest. Each place costs a build.
const (
	maxJoint   = 1500 // sizes built in all
	fewStarts  = 8    // places spread over the ranges, beside where rules were last seen to hold
	manyStarts = 24   // as many before they were seen to
	wideStarts = 64   // as many where the wished name is looked for too
	manyClimbs = 3    // of the starts, the best, from which steps are taken
	fewClimbs  = 2    // with few starts
	climbSteps = 8    // towards where the rules hold
	maxPattern = 3    // rounds of the last, plain search
	// A limit is aimed at from inside by this part of its own size, more than numbers
	// may differ by and be equal.
	inside = 1e-8
)

// term is a condition on measured results, as one number that says by how much
// it does not hold.
type term struct {
	rule *syntax.Rule
	cond syntax.Expr
	size float64 // of its sides where it was first seen; 0 before
}

// company are the names that are open beside the wished one, while values for
// them are looked for with which all rules hold.
type company struct {
	q      *search
	f      found
	params []int // with the values that are looked for
	lo, hi []float64
	v      float64 // of the wished name; among params it is NaN
	stop   bool    // a place was found, or the search has come to its bound
	best   *spot   // the nearest so far
}

// spot is a place in parts of the ranges and how far the terms are from holding
// there. Equalities miss to either side, limits only above zero.
type spot struct {
	at    []float64
	miss  []float64 // by term, in its size; NaN where nothing can be measured
	worst float64   // the largest miss, +Inf where the piece can't be made
	o     *outcome
}

// terms are the conditions that are checked on what is made, each rule cut at its
// ands.
func (s *system) terms() []term {
	var out []term
	var add func(r *syntax.Rule, x syntax.Expr)
	add = func(r *syntax.Rule, x syntax.Expr) {
		switch x := x.(type) {
		case *syntax.Paren:
			add(r, x.X)
			return
		case *syntax.Binary:
			if x.Op == syntax.OpAnd {
				add(r, x.X)
				add(r, x.Y)
				return
			}
		}
		out = append(out, term{rule: r, cond: x})
	}
	for _, r := range s.later {
		add(r, r.Cond)
	}
	return out
}

// equal tells whether the term can miss to either side.
func (t *term) equal() bool {
	b, is := t.cond.(*syntax.Binary)
	return is && b.Op == syntax.OpEq
}

// missing is by how much the term does not hold in a size that was built, in its
// own size: the difference of its sides, zero where they count as equal. Where
// sheets are counted it is the metal, as less of it needs fewer.
func (t *term) missing(s *system, o *outcome) float64 {
	if s.counts(t.cond) {
		broken := slices.ContainsFunc(o.diags, func(d diag.Diagnostic) bool { return d.Code == "P3006" && d.Span == t.rule.At })
		if !broken {
			return 0
		}
		sum := 0.0
		for _, f := range o.r.Flats {
			sum += math.Abs(f.Outer.Area())
		}
		return t.scaled(sum, sum, 0)
	}
	value := func(x syntax.Expr) float64 {
		q, _ := o.r.Eval(x)
		return q.Value
	}
	switch x := t.cond.(type) {
	case *syntax.Binary:
		if _, is := relations[x.Op]; !is || x.Op == syntax.OpNe {
			break
		}
		a, b := value(x.X), value(x.Y)
		if x.Op == syntax.OpGe || x.Op == syntax.OpGt {
			a, b = b, a
		}
		return t.scaled(a-b, a, b)
	case *syntax.In:
		if x.Domain.Hi != nil {
			a, lo, hi := value(x.X), value(x.Domain.Lo), value(x.Domain.Hi)
			return t.scaled(max(lo-a, a-hi), lo, hi)
		}
	}
	return math.NaN()
}

// scaled is a difference of a and b in the term's size.
func (t *term) scaled(by, a, b float64) float64 {
	if math.Abs(by) <= equalWithin*max(1, math.Abs(a), math.Abs(b)) {
		by = 0
	}
	if t.size == 0 && !math.IsNaN(by) {
		if t.size = max(math.Abs(a), math.Abs(b)); t.size == 0 {
			t.size = 1
		}
	}
	return by / t.size
}

// joint looks for values of the open names with which the size holds while the
// wished name is v; where there are none it returns the nearest.
func (q *search) joint(f found, v float64) *outcome {
	c := &company{q: q, f: f, v: v, params: f.open}
	return c.look()
}

// anywhere looks for values of the wished name too.
func (q *search) anywhere(f found) *outcome {
	c := &company{q: q, f: f, v: math.NaN(), params: append([]int{q.w.param}, f.open...)}
	o := c.look()
	if o.good() {
		q.kept = o.pins
	}
	return o
}

func (c *company) look() *outcome {
	q := c.q
	if !c.ranges() {
		return nil
	}
	first := c.spot(c.parts())
	if !c.stop && unmeasurable(first.o.diags) {
		return first.o
	}
	seen := []*spot{first}
	n, climbs := fewStarts, fewClimbs
	switch {
	case math.IsNaN(c.v):
		n, climbs = wideStarts, manyClimbs
	case q.kept == nil:
		n, climbs = manyStarts, manyClimbs
	}
	for k := 1; k <= n && !c.stop; k++ {
		seen = append(seen, c.spot(spread(k, len(c.params))))
	}
	slices.SortStableFunc(seen, func(a, b *spot) int {
		switch {
		case a.worst < b.worst:
			return -1
		case a.worst > b.worst:
			return 1
		}
		return 0
	})
	for _, s := range seen[:min(len(seen), climbs)] {
		if !c.stop {
			c.near(s)
		}
	}
	if !c.stop && c.best != nil {
		c.around(*c.best)
	}
	if c.best == nil {
		return first.o
	}
	if q.nearest == nil || c.best.worst < q.nearest.worst {
		q.nearest = c.best
	}
	return c.best.o
}

// ranges finds how far each name may go by the rules alone. False where they
// do not hold at all; a name without an end stays where it is.
func (c *company) ranges() bool {
	q := c.q
	pins := slices.Clone(c.f.pins[:len(c.f.pins)-len(c.f.open)])
	if !math.IsNaN(c.v) {
		pins = append(pins, pin{q.w.param, c.v})
	}
	for _, i := range c.params {
		lo, hi, ok := q.reach(i, pins)
		if !ok {
			return false
		}
		if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			lo = c.valueOf(i)
			hi = lo
		}
		c.lo, c.hi = append(c.lo, lo), append(c.hi, hi)
	}
	return true
}

// reach is how far a param may go by the rules alone.
func (q *search) reach(param int, pins []pin) (lo, hi float64, ok bool) {
	sys, _ := q.rules(pins, nil)
	return q.s.ends(sys, param)
}

func (c *company) valueOf(param int) float64 {
	if param == c.q.w.param {
		return c.f.v
	}
	for _, p := range c.f.pins {
		if p.param == param {
			return p.v
		}
	}
	return math.NaN()
}

// parts are the values the names have now, in parts of their ranges.
func (c *company) parts() []float64 {
	out := make([]float64, len(c.params))
	for k, i := range c.params {
		if wide := c.hi[k] - c.lo[k]; wide > 0 {
			out[k] = max(0, min(1, (c.valueOf(i)-c.lo[k])/wide))
		}
	}
	return out
}

// spread is the k-th of evenly spread places of a box with n sides: multiples of
// powers of the root of x^(n+1) = x + 1, less their whole parts.
func spread(k, n int) []float64 {
	root := 1.5
	for range 60 {
		p, slope := 1.0, 0.0
		for range n + 1 {
			slope = float64(slope*root) + p
			p *= root
		}
		root -= (p - root - 1) / (slope - 1)
	}
	out := make([]float64, n)
	step := 1.0
	for i := range out {
		step /= root
		x := 0.5 + float64(float64(k)*step)
		out[i] = x - math.Floor(x)
	}
	return out
}

// spot builds the size at a place.
func (c *company) spot(at []float64) *spot {
	q := c.q
	f, v := c.f, c.v
	f.pins = slices.Clone(f.pins)
	for k, i := range c.params {
		x := c.lo[k] + float64(at[k]*(c.hi[k]-c.lo[k]))
		if at[k] == 1 {
			x = c.hi[k]
		}
		if i == q.w.param {
			v = x
		}
		for n := range f.pins {
			if f.pins[n].param == i {
				f.pins[n].v = x
			}
		}
	}
	s := &spot{at: at, worst: math.Inf(1), o: q.plain(f, v)}
	s.miss = make([]float64, len(q.terms))
	worst := 0.0
	for k := range q.terms {
		t := &q.terms[k]
		m := math.NaN()
		if s.o.r.stands {
			m = t.missing(q.s, s.o)
		}
		s.miss[k] = m
		if t.equal() {
			m = math.Abs(m)
		}
		worst = max(worst, m)
	}
	good := s.o.good()
	if !math.IsNaN(worst) && (good || worst > 0) {
		s.worst = worst
	}
	if good {
		s.worst = 0
	}
	if c.best == nil || s.worst < c.best.worst {
		c.best = s
	}
	if !good {
		s.o.r.Assembly, s.o.r.Flats = nil, nil
	}
	c.stop = c.stop || good || q.spent()
	return s
}

// near takes steps from a place towards where all terms hold, each the shortest
// that would do if the terms were straight.
func (c *company) near(s *spot) {
	for range climbSteps {
		d := c.step(s)
		if c.stop || d == nil {
			return
		}
		next := s
		for part := 1.0; part > 0.05 && !(next.worst < s.worst) && !c.stop; part /= 4 {
			at := make([]float64, len(d))
			for k := range at {
				at[k] = max(0, min(1, s.at[k]+float64(part*d[k])))
			}
			if !slices.Equal(at, s.at) {
				next = c.spot(at)
			}
		}
		if !(next.worst < s.worst) {
			return
		}
		s = next
	}
}

// step is the shortest step that would bring the terms that do not hold, and all
// equalities, to where they hold; nil where there is no way.
func (c *company) step(s *spot) []float64 {
	var rows []int
	for k := range c.q.terms {
		if m := s.miss[k]; m > 0 || c.q.terms[k].equal() && !math.IsNaN(m) {
			rows = append(rows, k)
		}
	}
	if len(rows) == 0 || math.IsInf(s.worst, 1) {
		return nil
	}
	slopes := make([][]float64, len(rows)) // by row, then name
	for r := range rows {
		slopes[r] = make([]float64, len(c.params))
	}
	for k := range c.params {
		if c.hi[k] <= c.lo[k] {
			continue
		}
		at := slices.Clone(s.at)
		h := slopeStep
		if at[k]+h > 1 {
			h = -h
		}
		at[k] += h
		n := c.spot(at)
		if c.stop {
			return nil
		}
		for r, t := range rows {
			if to := n.miss[t]; !math.IsNaN(to) {
				slopes[r][k] = (to - s.miss[t]) / (at[k] - s.at[k])
			}
		}
	}
	held := make([]bool, len(c.params)) // at an end of their range, and pushed beyond
	for {
		d := c.shortest(s, rows, slopes, held)
		again := false
		for k := range d {
			if !held[k] && (s.at[k] <= 0 && d[k] < 0 || s.at[k] >= 1 && d[k] > 0) {
				held[k], again = true, true
			}
		}
		if !again {
			return d
		}
	}
}

// shortest solves slopes · d = −miss for the d of least length, or, where not all
// can be met, of least squares, over the names that are not held.
func (c *company) shortest(s *spot, rows []int, slopes [][]float64, held []bool) []float64 {
	n := len(rows)
	a := make([][]float64, n)
	trace := 0.0
	for i := range a {
		a[i] = make([]float64, n+1)
		for j := range n {
			for k := range held {
				if !held[k] {
					a[i][j] += float64(slopes[i][k] * slopes[j][k])
				}
			}
		}
		trace += a[i][i]
		t := &c.q.terms[rows[i]]
		if a[i][n] = -s.miss[rows[i]]; !t.equal() {
			a[i][n] -= inside
		}
	}
	if !(trace > 0) || math.IsInf(trace, 0) {
		return nil
	}
	for i := range a {
		for j := range a[i] {
			a[i][j] /= trace
		}
		a[i][i] += 1e-10
	}
	y := eliminate(a)
	if y == nil {
		return nil
	}
	d := make([]float64, len(held))
	for k := range d {
		if !held[k] {
			for i := range rows {
				d[k] += float64(slopes[i][k] * y[i])
			}
		}
	}
	return d
}

// around looks along each name for a nearer place, with ever shorter steps: it
// needs no slopes.
func (c *company) around(s spot) {
	h := 0.25
	for range maxPattern {
		moved := false
		for k := range s.at {
			for _, by := range []float64{-h, h} {
				at := slices.Clone(s.at)
				at[k] = max(0, min(1, at[k]+by))
				if at[k] == s.at[k] || c.hi[k] <= c.lo[k] {
					continue
				}
				n := c.spot(at)
				if c.stop {
					return
				}
				if n.worst < s.worst {
					s, moved = *n, true
				}
			}
		}
		if !moved {
			h /= 2
		}
	}
}

// describe gives the values of a place, the wished name first.
func (q *search) describe(o *outcome) string {
	out := []string{fmt.Sprintf("%s = %s", q.s.params[q.w.param].Name, q.s.read(q.w.param, o.v))}
	for _, p := range o.pins {
		out = append(out, fmt.Sprintf("%s = %s", q.s.params[p.param].Name, q.s.read(p.param, p.v)))
	}
	return strings.Join(out, ", ")
}
