package build

import (
	"math"
	"slices"

	"perch/lang/diag"
)

// leaps are how far beyond the best place others are looked for, in parts of the way
// to the wished name's end: what is measured may jump, and hold again further on.
var leaps = []float64{0.5, 0.2, 0.08, 0.03, 0.01, 5e-3, 2e-3, 5e-4, 1e-4, 1e-5}

const (
	leastShort = 0.03 // the least leap where sheets are counted
	maxLeaps   = 4    // from which climbs are taken
	wellApart  = 0.2  // of the ranges, between places that are climbed from
	samePeak   = 1e-6 // of the wished name's range, by which the best place may differ from one told by weights
	bearing    = 1e-4 // of the heaviest weight: what holds a place bears at least that
)

// joint looks for values of the open names with which the size holds while the
// wished name is v; where there are none it returns the nearest.
func (q *search) joint(f found, v float64) *outcome {
	c, ok := q.enter(f, v)
	if !ok {
		return nil
	}
	first := q.plain(f, v)
	if first.good() || unmeasurable(first.diags) || len(c.params) == 0 {
		return first
	}
	c.roam(c.start(f.pins, v))
	c.sides(c.start(f.pins, v))
	if c.best == nil {
		return c.nearest(first)
	}
	o, at := c.pins(c.best.at)
	return q.plain(o, at)
}

// nearest is the place that comes nearest to one where all holds, first where none is
// known.
func (c *company) nearest(first *outcome) *outcome {
	if c.close == nil || math.IsInf(c.close.worst, 0) {
		return first
	}
	if c.q.nearest == nil || c.close.worst < c.q.nearest.worst {
		c.q.nearest = c.close
	}
	return c.close.o
}

// sides roams again with each choice of one side of what either side may hold of.
func (c *company) sides(start []float64) {
	if c.stop {
		return
	}
	sides(c.q.terms, func() bool {
		from := [][]float64{start}
		if c.best != nil {
			from = append(from, c.best.at)
		}
		c.roam(from...)
		return !c.stop
	})
}

// roam climbs from the best of the places given, which may do, and then from the best of
// many.
func (c *company) roam(starts ...[]float64) {
	n, places, climbs := len(c.params), manyStarts, maxClimbs
	if c.q.kept != nil || c.best != nil {
		places, climbs = fewStarts, fewClimbs
	}
	if !c.gauged {
		all := slices.Clone(starts)
		for k := range fewStarts {
			all = append(all, spread(k+1, n))
		}
		c.gauge(all)
	}
	var seen, from []*spot
	add := func(at []float64) {
		if s := c.spot(at, false); s != nil && !s.void && !c.stop {
			seen = append(seen, s)
		}
	}
	for _, at := range starts {
		if !c.stop {
			add(at)
		}
	}
	from = c.rise(seen, from, 1)
	for k := 1; k <= wideStarts && !c.stop && (k <= places || len(seen) == 0); k++ {
		add(spread(k, n))
	}
	c.rise(seen, from, climbs)
	if c.best == nil && !c.stop && c.sheets() {
		c.wander()
	}
}

// wander looks for a place where sheets suffice, which hangs on more than the metal: at
// many places, each brought to where all else holds.
func (c *company) wander() {
	for k := manyStarts + 1; k <= manyStarts+wideStarts && !c.stop && c.best == nil; k++ {
		s := c.spot(spread(k, len(c.params)), false)
		if s == nil || s.void || s.good || c.stop {
			continue
		}
		c.measure(s)
		c.mend(s)
	}
	if c.best != nil && !c.stop {
		c.top(c.climb(c.best))
	}
}

// sheets tells whether a rule counts them.
func (c *company) sheets() bool {
	return slices.ContainsFunc(c.q.terms, func(t term) bool { return t.counts })
}

// halve narrows how far the wished name goes where sheets are counted: nothing tells how
// near they are to not sufficing.
func (c *company) halve() {
	b := c.best
	if !c.sheets() || math.IsNaN(c.full) {
		return
	}
	lo, hi := b.at[0], 1.0
	for hi-lo > 1.0/nestSteps && !c.stop {
		m := lo + float64(0.5*(hi-lo))
		if good, _ := c.push(b, m); good != nil {
			lo = m
		} else {
			hi = m
		}
	}
	// the limit is likelier a round value than not
	step := 1000 * readStep(paramDim(c.q.s.params[c.q.w.param]), Units(c.q.s.ev.prog))
	v := c.value(0, lo) / step
	if v = math.Ceil(v) * step; !c.q.w.large {
		v = math.Floor(c.value(0, lo)/step) * step
	}
	if to := c.part(0, v); to > lo && to <= hi && !c.stop {
		c.push(b, to)
	}
}

// rise climbs from the best places, each well apart from those that were climbed from,
// until there are so many of these.
func (c *company) rise(seen, from []*spot, climbs int) []*spot {
	worth := func(s *spot) float64 {
		v := float64(firstCost * s.worst)
		if c.climbs {
			v -= s.at[0]
		}
		return v
	}
	slices.SortStableFunc(seen, func(a, b *spot) int {
		switch x, y := worth(a), worth(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	for _, s := range seen {
		if c.stop || len(from) >= climbs {
			break
		}
		if !slices.ContainsFunc(from, func(o *spot) bool { return distance(o.at, s.at) < wellApart }) {
			from = append(from, s)
			c.top(c.climb(s))
		}
	}
	return from
}

// top keeps the end of a climb.
func (c *company) top(s *spot) {
	if !s.still {
		return
	}
	if c.peak == nil || s.at[0] > c.peak.at[0] {
		c.peak = s
	}
}

func distance(a, b []float64) float64 {
	most := 0.0
	for k := range a {
		most = max(most, math.Abs(a[k]-b[k]))
	}
	return most
}

// ascend looks for the values of the wished name and of those that are open with it
// with which it goes farthest and the size holds. Where there are none it returns
// the nearest.
func (q *search) ascend(f found) *outcome {
	first := q.plain(f, f.v)
	if first.good() || unmeasurable(first.diags) {
		return first
	}
	c, ok := q.enter(f, math.NaN())
	if !ok {
		return first
	}
	starts := [][]float64{c.start(f.pins, f.v)}
	if q.kept != nil {
		starts = append(starts, c.start(q.kept.pins, q.kept.v))
	}
	c.roam(starts...)
	c.sides(starts[0])
	if c.best == nil {
		return c.nearest(first)
	}
	c.leap()
	c.halve()
	o := c.read()
	if o.good() {
		q.kept = o
	}
	return o
}

// leap looks beyond the best place, and climbs from what it finds.
func (c *company) leap() {
	for n := 0; n < maxLeaps && !c.stop; n++ {
		b := c.best
		if b.slopes == nil {
			c.measure(b)
		}
		for _, part := range leaps {
			if part < leastShort && c.sheets() {
				break // halving will tell, at less cost
			}
			if c.stop {
				return
			}
			if good, _ := c.push(b, b.at[0]+float64(part*(1-b.at[0]))); good != nil {
				c.top(c.climb(good))
				break
			}
		}
		if c.best == b {
			return
		}
	}
}

// read builds the best place with the wished name at a value that can be read off, if
// all holds there too.
func (c *company) read() *outcome {
	q, b := c.q, c.best
	far, most := b, b.at[0]
	if c.peak != nil && c.peak.at[0] >= most-samePeak {
		far, most = c.peak, max(most, c.peak.at[0])
	}
	v := c.value(0, most)
	step := readStep(paramDim(q.s.params[q.w.param]), Units(q.s.ev.prog))
	on, back := math.Ceil(v/step)*step, math.Floor(v/step)*step
	if !q.w.large {
		on, back = back, on
	}
	tries := []float64{on, back, c.value(0, b.at[0])}
	if far.slopes == nil {
		c.measure(far)
	}
	for _, v := range tries {
		s := b
		if v != c.value(0, b.at[0]) {
			s, _ = c.push(far, c.part(0, v))
		}
		if s == nil {
			continue
		}
		g, _ := c.pins(s.at)
		if o := q.plain(g, v); o.good() {
			if math.Abs(v-c.f.v) <= float64(equalWithin*max(1, math.Abs(v))) {
				o.stops = c.f.stops // as far as the rules alone let it go
				return o
			}
			o.proved = false
			o.climbed, o.stops = true, c.stops(far)
			return o
		}
	}
	return b.o
}

// stops are the statements that hold a place where it is: by their weights where no
// step leads on; else those that are broken by one that does.
func (c *company) stops(s *spot) []Statement {
	var out []Statement
	add := func(st Statement) {
		if !slices.ContainsFunc(out, func(o Statement) bool { return o.At == st.At && o.Text == st.Text }) {
			out = append(out, st)
		}
	}
	if s.still {
		weight := slices.Clone(s.weight)
		most := 0.0
		for i, h := range s.holds {
			if i > 0 && h == s.holds[i-1] && h.kind == onTerm { // an equality, from either side
				weight[i-1], weight[i] = math.Abs(weight[i-1]-weight[i]), 0
			}
		}
		for i, h := range s.holds {
			if h.kind != onReach {
				most = max(most, weight[i])
			}
		}
		for _, kind := range []holdKind{onTerm, onBend, onBound, onWall, onEnd} {
			for i, w := range weight {
				if h := s.holds[i]; h.kind == kind && w > float64(bearing*most) {
					if st, ok := c.statement(h); ok {
						add(st)
					}
				}
			}
		}
		return out
	}
	for _, part := range []float64{1e-5, 1e-4, 1e-3, 1e-2} {
		_, o := c.push(s, min(c.to[0], s.at[0]+part))
		if o == nil || o.good {
			continue
		}
		for k := range o.terms {
			if o.terms[k] > 0 || c.q.terms[k].equal() && o.terms[k] != 0 {
				add(c.q.s.ruleStatement(c.q.terms[k].rule))
			}
		}
		for k, by := range o.bounds {
			if by > -10*inside {
				if st, ok := c.statement(hold{onBound, k, false}); ok {
					add(st)
				}
			}
		}
		for k, at := range o.at {
			if k > 0 && (at == c.from[k] || at == c.to[k]) {
				add(c.q.s.rangeOf(c.q.s.vars[c.params[k]]))
			}
		}
		for _, l := range o.lacks {
			add(l.statement())
		}
		for _, d := range o.o.diags {
			if d.Severity == diag.Error && d.Code != "P3006" && d.Code != "P5002" {
				add(c.q.broken(d))
			}
		}
		if out != nil {
			break
		}
	}
	return out
}
