package build

import (
	"math"
	"slices"
)

const (
	climbSteps = 30    // steps of one climb
	maxShorts  = 3     // places where sheets do not suffice that end a climb
	maxLearned = 12    // walls met in one climb, each met again counted
	firstReach = 0.25  // of the ranges: how far slopes are trusted at first
	leastReach = 1e-7  // and where a climb ends
	leastGain  = 1e-9  // of the wished name's range: a step that promises less is none
	rounding   = 1e-12 // of a miss
	flat       = 1e-4  // curvature before any is seen, so that a step is no longer than it need be
	firstCost  = 10    // of what does not hold, against the wished name's range
	mostCost   = 1e6
	steep      = 20 // a slope that is likelier a jump
	maxBends   = 8  // places beyond bends of a term, in one climb
	bendReach  = 0.05
	pushes     = 4 // builds in which a place is brought back to where all holds
)

// climb takes steps from a place, each the best that the slopes promise within the
// distance they are trusted: towards where all holds and the wished name is farthest.
// The steps are those of an exact penalty on the worst miss (R. Fletcher, 'Practical
// Methods of Optimization', 1987, chapter 14), with curvature learned from the slopes.
func (c *company) climb(s *spot) *spot {
	n := len(s.at)
	c.bends = nil
	curve := make([][]float64, n)
	for k := range curve {
		curve[k] = make([]float64, n)
		curve[k][k] = flat
	}
	reach, cost, learned, shorts := firstReach, float64(firstCost), 0, 0
	worth := func(o *spot) float64 { // less is better
		v := float64(cost * c.missed(o, inside))
		if c.climbs {
			v -= o.at[0]
		}
		return v
	}
	var before *spot
	var pull []float64 // of bounds and terms, at before
	for range climbSteps {
		if s.slopes == nil {
			c.measure(s)
		}
		if c.stop || n == 0 {
			return s
		}
		if before != nil {
			c.bend(curve, before, s, pull)
			before = nil
		}
		terms := c.missing(s)
		p, d, miss, weight := c.step(s, s.bounds, terms, reach, curve, &cost)
		if d == nil {
			return s
		}
		gain := float64(cost*c.missed(s, inside)) - p.value(d, miss)
		if gain <= leastGain+float64(cost*rounding) {
			s.still, s.holds, s.weight = miss <= 10*inside, p.holds, weight
			return s
		}
		o := c.spot(moved(s.at, d), false)
		if o != nil && c.short(o) {
			shorts++
		}
		if c.stop || shorts > maxShorts {
			return s
		}
		if o != nil && !o.void && !(worth(s)-worth(o) > float64(1e-4*gain)) {
			if len(o.lacks) > 0 && learned < maxLearned {
				learned++
				c.measure(o)
				if len(s.lacks) == 0 {
					continue // with what it learned
				}
			}
			// what the slopes did not tell is put right once
			by, bent := c.missing(o), slices.Clone(o.bounds)
			c.straighten(s, o, bent, by)
			if _, d, _, _ := c.step(s, bent, by, reach, curve, &cost); d != nil {
				if again := c.spot(moved(s.at, d), false); again != nil && !again.void && worth(again) < worth(o) {
					o = again
				}
			}
			if c.stop {
				return s
			}
		}
		long := largest(d)
		if o != nil && !o.void && long < bendReach && len(c.bends) < maxBends && c.bent(s, o) && !(worth(s)-worth(o) > float64(1e-4*gain)) {
			if o.slopes == nil {
				c.measure(o)
			}
			if c.stop {
				return s
			}
			c.bends = append(c.bends, o)
			reach = long / 2
			continue
		}
		if o == nil || o.void || !(worth(s)-worth(o) > float64(1e-4*gain)) {
			if reach = long / 4; reach < leastReach {
				return s
			}
			continue
		}
		switch got := worth(s) - worth(o); {
		case got > float64(0.75*gain) && long > float64(0.99*reach):
			reach = min(1, 2*reach)
		case got < float64(0.25*gain):
			reach = long / 2
		}
		before, pull = s, p.pull(weight, len(s.bounds), len(s.terms))
		s = o
	}
	return s
}

// short tells whether sheets were counted at a place and did not suffice.
func (c *company) short(s *spot) bool {
	for k, t := range c.q.terms {
		if t.counts && s.terms[k] > 0 {
			return true
		}
	}
	return false
}

func moved(at, d []float64) []float64 {
	out := make([]float64, len(at))
	for k := range at {
		out[k] = at[k] + d[k]
	}
	return out
}

// bend learns curvature from how the slopes that pulled changed on the way (BFGS, kept
// positive as by M. Powell, 1978).
func (c *company) bend(b [][]float64, from, to *spot, pull []float64) {
	n := len(from.at)
	d, y, bd := make([]float64, n), make([]float64, n), make([]float64, n)
	for k := range d {
		d[k] = to.at[k] - from.at[k]
		for r, w := range pull {
			if by := float64(w * (to.slopes[r][k] - from.slopes[r][k])); !math.IsNaN(by) {
				y[k] += by
			}
		}
	}
	dy, dbd := 0.0, 0.0
	for k := range d {
		for j := range d {
			bd[k] += float64(b[k][j] * d[j])
		}
		dy += float64(d[k] * y[k])
		dbd += float64(d[k] * bd[k])
	}
	if !(dbd > 0) {
		return
	}
	if dy < float64(0.2*dbd) {
		part := float64(0.8*dbd) / (dbd - dy)
		dy = 0
		for k := range y {
			y[k] = float64(part*y[k]) + float64((1-part)*bd[k])
			dy += float64(d[k] * y[k])
		}
	}
	if !(dy > 0) || math.IsInf(dy, 0) {
		return
	}
	for k := range b {
		for j := range b {
			b[k][j] += float64(y[k]*y[j])/dy - float64(bd[k]*bd[j])/dbd
		}
	}
}

// push brings the wished name to a value and the others, by the slopes at s, to where
// all holds; nil where that does not come about in a few builds, with the last.
func (c *company) push(s *spot, to float64) (good, last *spot) {
	return c.chase(s, c.missing(s), true, to)
}

// mend brings a place, by its slopes, to where all holds but that sheets suffice.
func (c *company) mend(s *spot) (good, last *spot) {
	terms := c.missing(s)
	for k := range terms {
		if c.q.terms[k].counts {
			terms[k] = math.NaN()
		}
	}
	return c.chase(s, terms, false, 0)
}

// chase takes steps from s, each by the slopes there and what the last one missed.
func (c *company) chase(s *spot, terms []float64, keep bool, to float64) (good, last *spot) {
	bounds := slices.Clone(s.bounds)
	for range pushes {
		p := c.program(s.at, 1, keep, to-s.at[0])
		c.plan(p, s, bounds, terms)
		d, _, _ := p.solve(1e3)
		if d == nil || c.stop {
			return nil, last
		}
		at := moved(s.at, d)
		if keep {
			at[0] = to
		}
		o := c.spot(at, keep)
		if o == nil {
			return nil, last
		}
		last = o
		if o.good {
			return o, o
		}
		if o.void {
			return nil, last
		}
		for _, w := range c.walls {
			if past, ok := o.past(w.lack); ok {
				w.at, w.past = o.at, past
			}
		}
		if c.short(o) {
			return nil, last
		}
		left := c.missing(o)
		bounds = slices.Clone(o.bounds)
		c.straighten(s, o, bounds, left)
		for k := range terms {
			if !math.IsNaN(terms[k]) {
				terms[k] = left[k]
			}
		}
	}
	return nil, last
}

// statement tells what holds a place: ok is false of what is no statement of the design.
func (c *company) statement(h hold) (st Statement, ok bool) {
	s := c.q.s
	switch h.kind {
	case onBound:
		if b := c.bounds[h.n]; b.id >= 0 {
			return s.statement(b.id), true
		}
		return s.rangeOf(c.bounds[h.n].v), true
	case onTerm, onBend:
		return s.ruleStatement(c.q.terms[h.n].rule), true
	case onEnd:
		return s.rangeOf(s.vars[c.params[h.n]]), true
	case onWall:
		return c.walls[h.n].statement(), true
	}
	return st, false
}
