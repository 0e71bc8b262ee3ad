package build

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/diag"
	"perch/solver"
)

// idle tells that there was nothing to choose but the values of names that do not matter
// to the wished one.
func (q *search) idle(o *outcome) diag.Diagnostic {
	name := q.s.params[q.w.param].Name
	var names, states []string
	for _, i := range o.open {
		n := q.s.params[i].Name
		names = append(names, n)
		for _, p := range o.pins {
			if p.param == i {
				states = append(states, fmt.Sprintf("%s = %s", n, q.s.read(i, p.v)))
			}
		}
	}
	return diag.Diagnostic{Code: "P3013", Severity: diag.Note, Span: q.w.at,
		Summary: fmt.Sprintf("%s is %s whatever %s: the rules fix it, and `%s` chooses nothing", name, q.s.read(q.w.param, o.v), is(names), q.w.word()),
		Notes: []string{"values with which the rules hold were taken, which are not the only ones: " + strings.Join(states, ", "),
			fmt.Sprintf("state %s, or say of %s that it is to be largest or smallest", joined(names, "and"), joined(names, "or"))}}
}

func is(names []string) string {
	if len(names) == 1 {
		return names[0] + " is"
	}
	return joined(names, "and") + " are"
}

// tell writes the choice into the result.
func (q *search) tell(o, beyond *outcome) {
	d := q.s.params[q.w.param]
	c := &Choice{Name: d.Name, Quantity: q.s.quantityOf(q.w.param, o.v), Proved: o.proved && beyond == nil}
	c.By = Statement{Kind: q.w.word(), Name: d.Name, Size: q.w.size, At: q.w.at, Text: oneLine(q.w.at.Text()), Names: []string{d.Name}}
	c.Fixed = o.fixed
	for _, i := range o.open {
		c.Beside = append(c.Beside, q.s.params[i].Name)
	}
	if len(o.open) > 0 && len(q.terms) > 0 {
		o.r.Status = statusWords[solver.Unproved]
	}
	if o.climbed {
		c.Tried, c.Cut, c.Stops = q.builds, q.spent(), o.stops
	} else if beyond != nil {
		c.Tried, c.Cut = q.builds, q.spent()
		c.Proved = o.proved && q.s.limits[q.x].whole && len(o.open) == 0
		for _, b := range beyond.diags {
			if b.Severity == diag.Error {
				c.Stops = append(c.Stops, q.broken(b))
			}
		}
	} else if c.Stops = o.stops; len(c.Stops) == 0 {
		c.Stops = q.stops(o.found)
	}
	o.r.Choice = c
	for i := range o.r.Values {
		v := &o.r.Values[i]
		for _, p := range append(slices.Clone(o.pins), pin{q.w.param, o.v}) {
			if v.Name == q.s.params[p.param].Name && !(o.fixed && p.param == q.w.param) {
				v.From, v.Where = "choice", place(q.w.at)
			}
		}
	}
	if o.r.Assembly != nil {
		o.r.Assembly.Values = o.r.Values
	}
}

// broken is what a build just beyond the choice breaks.
func (q *search) broken(d diag.Diagnostic) Statement {
	st := Statement{Kind: "rule", At: d.Span, Text: d.Summary, Label: d.Label}
	if d.Code == "P3006" {
		st.Text = oneLine(d.Span.Text())
	}
	return st
}

// stops are the statements that can't all hold with the wished name beyond v.
func (q *search) stops(f found) []Statement {
	s := q.s
	lim := s.limits[q.x]
	gap := 1e-6 * max(1, math.Abs(f.v))
	if lim.whole {
		gap = 1
	}
	beyond := limits{lo: f.v + gap, hi: math.Inf(1), whole: lim.whole}
	if !q.w.large {
		beyond = limits{lo: math.Inf(-1), hi: f.v - gap, whole: lim.whole}
	}
	if lim.hi < beyond.lo || lim.lo > beyond.hi {
		return []Statement{s.rangeOf(q.x)}
	}
	beyond.lo, beyond.hi = max(beyond.lo, lim.lo), min(beyond.hi, lim.hi)
	res, ids := q.trial(f.pins, &beyond)
	var out []Statement
	for _, id := range res.Conflict {
		if ids[id] >= 0 {
			out = append(out, s.statement(ids[id]))
		}
	}
	for _, v := range res.Range {
		if v != q.x {
			out = append(out, s.rangeOf(v))
		}
	}
	return out
}
