package build

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/diag"
	"perch/solver"
)

// Bounds of the search for values of the names that are open beside the one that
// is to be largest or smallest. Each place costs a build.
const (
	maxJoint   = 1500 // sizes built in all
	fewStarts  = 8    // places spread over the ranges, beside where rules were last seen to hold
	manyStarts = 20   // as many before they were seen to
	wideStarts = 64   // as many where nothing can be made at those
	maxClimbs  = 3    // of the starts, the best, from which steps are taken
	fewClimbs  = 2    // as many where rules were seen to hold
	maxSettle  = 6    // steps back to where the rules among names hold; they cost no build
	// A limit is aimed at from inside by this part of its own size, more than numbers
	// may differ by and be equal.
	inside = 1e-8
)

// company are names for which values are looked for with which all rules hold:
// those that are open beside the wished one, and that one itself where it is to go
// as far as it can. A place is told in parts of the names' ranges; the wished name
// is the first and grows from its worse end to its better one.
type company struct {
	q      *search
	f      found
	params []int
	lo, hi []float64 // what 0 and 1 stand for
	from   []float64 // the ends of their own ranges, in those parts
	to     []float64
	climbs bool // the wished name is one of them
	v      float64
	stop   bool // all that is to be built was
	bounds []bound
	gauged bool // their sizes are known
	walls  []*wall
	bends  []*spot // places that lie beyond a bend of a term, in this climb
	fits   float64 // the most metal for which sheets were seen to suffice, NaN before
	full   float64 // and the least for which not
	most   float64 // of metal seen
	best   *spot   // where all holds, the farthest
	close  *spot   // the nearest to that
	peak   *spot   // the farthest from which no step leads on
}

// spot is a size that was built.
type spot struct {
	at     []float64
	bounds []float64
	terms  []float64
	lacks  []lack
	metal  float64
	void   bool // it can't be made, and by how much is not known
	good   bool
	worst  float64     // by how much the worst of all does not hold
	slopes [][]float64 // of bounds, then terms, by name; nil until they are needed
	o      *outcome
	// the place is one from which no step leads on, by the slopes; what holds it
	// there weighs so much: by row, then by each name's lower and upper end
	still  bool
	holds  []hold
	weight []float64
}

// enter makes the names ready: false where the rules do not hold at all. A name
// without an end stays where it is.
func (q *search) enter(f found, v float64) (*company, bool) {
	c := &company{q: q, f: f, v: v, fits: math.NaN(), full: math.NaN(), climbs: math.IsNaN(v)}
	c.f.pins = slices.Clone(f.pins)
	pins := slices.Clone(f.pins[:len(f.pins)-len(f.open)])
	params := f.open
	if c.climbs {
		params = append([]int{q.w.param}, f.open...)
	} else if !f.fixed {
		pins = append(pins, pin{q.w.param, v})
	}
	for _, i := range params {
		lo, hi, ok := q.reach(i, pins)
		if !ok {
			return nil, false
		}
		if !(lo < hi) || math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			if i == q.w.param {
				return nil, false
			}
			continue
		}
		if i == q.w.param && !q.w.large {
			lo, hi = hi, lo
		}
		c.params, c.lo, c.hi = append(c.params, i), append(c.lo, lo), append(c.hi, hi)
		own := q.s.limits[q.s.vars[i]]
		from, to := (own.lo-lo)/(hi-lo), (own.hi-lo)/(hi-lo)
		c.from, c.to = append(c.from, min(from, to)), append(c.to, max(from, to))
	}
	c.follow()
	return c, true
}

// reach is how far a param may go by the rules alone.
func (q *search) reach(param int, pins []pin) (lo, hi float64, ok bool) {
	sys, _ := q.rules(pins, nil)
	return q.s.ends(sys, param)
}

// value is what a part of the k-th name's range stands for.
func (c *company) value(k int, part float64) float64 {
	switch part {
	case 0:
		return c.lo[k]
	case 1:
		return c.hi[k]
	case c.from[k], c.to[k]:
		own := c.q.s.limits[c.q.s.vars[c.params[k]]]
		if (part == c.from[k]) == (c.lo[k] < c.hi[k]) {
			return own.lo
		}
		return own.hi
	}
	return c.lo[k] + float64(part*(c.hi[k]-c.lo[k]))
}

// part is the contrary of value.
func (c *company) part(k int, value float64) float64 {
	return c.within(k, (value-c.lo[k])/(c.hi[k]-c.lo[k]))
}

// within keeps to the name's own range, and takes its end for what is all but there.
func (c *company) within(k int, part float64) float64 {
	const near = 1e-10
	for _, end := range []float64{0, 1, c.from[k], c.to[k]} {
		if math.Abs(part-end) <= near {
			part = end
		}
	}
	return max(c.from[k], min(c.to[k], part))
}

// pins are the values of a place, and the wished name's.
func (c *company) pins(at []float64) (found, float64) {
	f, v := c.f, c.v
	f.pins = slices.Clone(f.pins)
	for k, i := range c.params {
		x := c.value(k, at[k])
		if i == c.q.w.param {
			v = x
		}
		for n := range f.pins {
			if f.pins[n].param == i {
				f.pins[n].v = x
			}
		}
	}
	return f, v
}

// start are the values that the names have in f.
func (c *company) start(pins []pin, v float64) []float64 {
	out := make([]float64, len(c.params))
	for k, i := range c.params {
		x := v
		for _, p := range pins {
			if p.param == i {
				x = p.v
			}
		}
		out[k] = c.part(k, x)
	}
	return out
}

// build builds the size at a place whose rules were solved. Where only slopes are
// wanted, sheets are not counted; nor are they where something else does not hold.
func (c *company) build(at []float64, res solver.Result, bounds []float64, slope bool) *spot {
	f, v := c.pins(at)
	o := &outcome{found: f}
	o.v = v
	o.r, o.diags = c.q.loose(f, v, res)
	s := &spot{at: at, bounds: bounds, lacks: o.r.sys.ev.lacks, metal: math.NaN(), o: o}
	if o.r.Flats != nil {
		s.metal = metal(o.r)
		c.most = max(c.most, s.metal)
	}
	s.terms = make([]float64, len(c.q.terms))
	s.good = o.r.Flats != nil
	for k := range c.q.terms {
		if t := &c.q.terms[k]; !t.counts {
			s.terms[k] = t.missing(c.q.s, o.r)
			s.void = s.void || math.IsNaN(s.terms[k])
			s.good = s.good && s.terms[k] <= 0 && (s.terms[k] == 0 || !t.equal())
		}
	}
	for _, d := range o.diags {
		s.void = s.void || d.Severity == diag.Error && d.Code != "P3006" && !(d.Code == "P5002" && len(s.lacks) > 0)
	}
	s.good = s.good && !s.void && !diag.HasErrors(o.diags) && !slices.ContainsFunc(bounds, func(b float64) bool { return b > 0 })
	if s.good && !slope {
		c.count(s)
	}
	if !s.good {
		o.r.Assembly, o.r.Flats = nil, nil
	}
	return s
}

// count looks at the rules on how many sheets a size takes, in which all else holds.
// Each takes a nesting, so that what takes far more metal than was seen to be too much
// is taken not to fit.
func (c *company) count(s *spot) {
	for k := range c.q.terms {
		t := &c.q.terms[k]
		if !t.counts || s.terms[k] > 0 {
			continue
		}
		fails := s.metal > float64(1.05*c.full)
		if !fails {
			s.o.diags = s.o.r.check(t.rule)
			if fails = broken(s.o.diags, t.rule); fails {
				c.full = fmin(c.full, s.metal)
			} else {
				c.fits = fmax(c.fits, s.metal)
			}
		}
		if fails {
			s.terms[k], s.good = 1, false
			return
		}
	}
}

func fmin(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

func fmax(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// spot builds the size at a place, once the rules among names hold there, or nearby:
// it is settled with the wished name where it is, if that is to be kept. nil where they don't.
func (c *company) spot(at []float64, keep bool) *spot {
	at, res, bounds, ok := c.settle(at, keep)
	if !ok {
		return nil
	}
	s := c.build(at, res, bounds, false)
	s.worst = math.Inf(1)
	if !s.void {
		s.worst = c.missed(s, 0)
	}
	if c.close == nil || s.worst < c.close.worst {
		c.close = s
	}
	if s.good && (c.best == nil || c.climbs && s.at[0] > c.best.at[0]) {
		c.best = s
	}
	c.stop = c.stop || s.good && (!c.climbs || s.at[0] == 1) || c.q.spent()
	return s
}

// aside is a place h beside one along a name, to the other side where its range ends.
func (c *company) aside(at []float64, k int, h float64) []float64 {
	to := slices.Clone(at)
	if to[k]+h > c.to[k] || to[k]+h < c.from[k] {
		h = -h
	}
	to[k] += h
	return to
}

// loose builds the size with the values that the rules were solved for, without a look
// at the ranges and inequalities among them, nor at rules on how many sheets it takes.
func (q *search) loose(f found, v float64, res solver.Result) (*Result, []diag.Diagnostic) {
	q.builds++
	ev := newEvaluator(q.s.ev.prog, q.s.ev.shop)
	ev.size, ev.trial, ev.uncount = findSize(ev.prog, q.name()), true, true
	r := &Result{Size: q.name(), program: ev.prog, sys: &system{ev: ev}}
	if !ev.try(func() { r.sys = ev.prepare(ev.size, q.pinned(f, v)) }) {
		return r, ev.diags
	}
	n := len(q.s.of)
	r.solved = solver.Result{Values: res.Values[:n], Origins: make([]solver.Origin, n)}
	for i := range r.solved.Origins {
		r.solved.Origins[i].By = -1
	}
	r.Values = r.sys.take(r.solved)
	r.stands = true
	return r.make()
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

// describe gives the values of a place, the wished name first.
func (q *search) describe(o *outcome) string {
	out := []string{fmt.Sprintf("%s = %s", q.s.params[q.w.param].Name, q.s.read(q.w.param, o.v))}
	for _, p := range o.pins {
		out = append(out, fmt.Sprintf("%s = %s", q.s.params[p.param].Name, q.s.read(p.param, p.v)))
	}
	return strings.Join(out, ", ")
}
