package build

import (
	"fmt"
	"math"
	"slices"

	"perch/lang/syntax"
	"perch/parts/join"
)

// lack is what a join found too little room for.
type lack struct {
	of    *syntax.Join
	short join.PatternError
}

// by is the part of what is needed that is lacking.
func (l lack) by() float64 { return (l.short.Need - l.short.Got) / l.short.Need }

// wall is a limit that shows beyond it alone: where it was last met, by how much it
// was passed there, and the slopes of that.
type wall struct {
	lack
	at    []float64
	past  float64
	slope []float64
}

// past is by how much the worst lack of a kind is there; ok is false where none is.
func (s *spot) past(of lack) (past float64, ok bool) {
	for _, l := range s.lacks {
		if l.of == of.of && l.short.Short == of.short.Short {
			past, ok = max(past, l.by()), true
		}
	}
	return past, ok
}

// limit is how much metal is looked for where sheets are counted: between the most for
// which they sufficed and the least for which not. NaN before they were seen not to.
func (c *company) limit() float64 {
	switch {
	case math.IsNaN(c.full):
		return math.NaN()
	case math.IsNaN(c.fits):
		return 0.8 * c.full
	case c.full-c.fits < float64(1e-3*c.full):
		return c.fits
	}
	return c.fits + float64(0.5*(c.full-c.fits))
}

// term is what term k misses by; NaN where that does not show.
func (c *company) term(s *spot, k int) float64 {
	if !c.q.terms[k].counts {
		return s.terms[k]
	}
	by := (s.metal - c.limit()) / c.most
	if s.terms[k] > 0 {
		return fmax(1e-3, by)
	}
	return min(0, by)
}

// missed is the worst miss, with a margin where a limit is not to be reached quite.
func (c *company) missed(s *spot, margin float64) float64 {
	worst := 0.0
	for _, b := range s.bounds {
		if b > 0 || margin > 0 {
			worst = max(worst, b+margin)
		}
	}
	for k := range s.terms {
		by := c.term(s, k)
		switch {
		case math.IsNaN(by):
		case c.q.terms[k].equal():
			worst = max(worst, math.Abs(by))
		default:
			if by > 0 || margin > 0 {
				worst = max(worst, by+margin)
			}
		}
	}
	for _, l := range s.lacks {
		worst = max(worst, l.by())
	}
	return worst
}

// measure takes the slopes at a place by differences, a build for each name.
func (c *company) measure(s *spot) {
	n := len(s.bounds)
	s.slopes = append(c.inclines(s.at, s.bounds), make([][]float64, len(s.terms))...)
	for t := range s.terms {
		s.slopes[n+t] = make([]float64, len(s.at))
	}
	var met []*wall
	for _, l := range s.lacks {
		if past, _ := s.past(l); !slices.ContainsFunc(met, func(w *wall) bool { return w.is(l) }) {
			met = append(met, &wall{l, s.at, past, make([]float64, len(s.at))})
		}
	}
	for k := range s.at {
		for try, h := range []float64{slopeStep, -slopeStep} {
			to := c.aside(s.at, k, h)
			if c.q.spent() {
				c.stop = true
				return
			}
			res, by, ok := c.solve(to)
			if !ok {
				continue
			}
			o := c.build(to, res, by, true)
			h = to[k] - s.at[k]
			jump := o.void || len(o.lacks) > 0 && len(s.lacks) == 0
			for t := range s.terms {
				rise := (o.terms[t] - s.terms[t]) / h
				if c.q.terms[t].counts {
					rise = (o.metal - s.metal) / c.most / h
				}
				if old := s.slopes[n+t][k]; try == 0 || !jump && (math.IsNaN(old) || math.Abs(rise) < math.Abs(old)) {
					s.slopes[n+t][k] = rise
				}
				jump = jump || !(math.Abs(rise) < steep)
			}
			for _, w := range met {
				if past, ok := o.past(w.lack); ok {
					w.slope[k] = (past - w.past) / h
				} else {
					jump = true
				}
			}
			if !jump {
				break
			}
		}
	}
	for t := range s.terms {
		for k, v := range s.slopes[n+t] {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				s.slopes[n+t][k] = 0
			}
		}
	}
	for _, w := range met {
		c.walls = append(slices.DeleteFunc(c.walls, func(o *wall) bool { return o.is(w.lack) }), w)
	}
}

func (w *wall) is(l lack) bool { return w.of == l.of && w.short.Short == l.short.Short }

// bends tells whether slopes differ by more than a smooth term's would nearby.
func bends(a, b []float64) bool {
	most, apart := 0.0, 0.0
	for k := range a {
		most, apart = max(most, math.Abs(a[k]), math.Abs(b[k])), max(apart, math.Abs(a[k]-b[k]))
	}
	return apart > float64(0.2*most)
}

// missing are the terms of a place.
func (c *company) missing(s *spot) []float64 {
	out := make([]float64, len(s.terms))
	for k := range out {
		out[k] = c.term(s, k)
	}
	return out
}

// straighten takes from what was found at o what the slopes at s tell of the way there.
func (c *company) straighten(s, o *spot, bounds, terms []float64) {
	n := len(bounds)
	for k := range s.at {
		d := o.at[k] - s.at[k]
		for b := range bounds {
			bounds[b] -= float64(s.slopes[b][k] * d)
		}
		for t := range terms {
			terms[t] -= float64(s.slopes[n+t][k] * d)
		}
	}
}

// bent tells whether a term is missed at o where by the slopes at s it would not be.
func (c *company) bent(s, o *spot) bool {
	bounds, terms := slices.Clone(o.bounds), c.missing(o)
	c.straighten(s, o, bounds, terms)
	for k, was := range c.missing(s) {
		if d := terms[k] - was; c.term(o, k) > 0 && d > float64(0.1*distance(s.at, o.at)*largest(s.slopes[len(bounds)+k])) {
			return true
		}
	}
	return false
}

// statement words a wall as what the join asks for.
func (l lack) statement() Statement {
	st := Statement{Kind: "join", Name: l.of.Name.Name, At: l.of.At}
	e := l.short
	switch e.Short {
	case join.NoRoom:
		st.Text = fmt.Sprintf("join %s: a %s needs a contact of %.4gmm", st.Name, e.Kind, e.Need)
	case join.NearEdge:
		st.Text = fmt.Sprintf("join %s: a %s stays %.4gmm from edges", st.Name, e.Kind, e.Need)
	default:
		st.Text = fmt.Sprintf("join %s: %ss stand at least %.4gmm apart", st.Name, e.Kind, e.Need)
	}
	return st
}
