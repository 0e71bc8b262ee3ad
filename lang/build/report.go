package build

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/rules"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/measure"
	"perch/solver"
)

// idle tells that there was nothing to choose but the values of names that do not matter
// to the wished one.
func (q *extremum) idle(o *outcome) diag.Diagnostic {
	name := q.sys.Params[q.w.Param].Name
	var names, states []string
	for _, i := range o.open {
		n := q.sys.Params[i].Name
		names = append(names, n)
		for _, p := range o.pins {
			if p.Param == i {
				states = append(states, fmt.Sprintf("%s = %s", n, q.sys.Read(i, p.V)))
			}
		}
	}
	return diag.Diagnostic{Code: "P3013", Span: q.w.At,
		Summary: fmt.Sprintf("%s is %s whatever %s: the rules fix it, and `%s` chooses nothing", name, q.sys.Read(q.w.Param, o.v), is(names), q.w.Word()),
		Notes: []string{"values with which the rules hold were taken, which are not the only ones: " + strings.Join(states, ", "),
			fmt.Sprintf("state %s, or say of %s that it is to be largest or smallest", rules.Joined(names, "and"), rules.Joined(names, "or"))}}
}

func is(names []string) string {
	if len(names) == 1 {
		return names[0] + " is"
	}
	return rules.Joined(names, "and") + " are"
}

// tell writes the choice into the result.
func (q *extremum) tell(o, beyond *outcome) {
	d := q.sys.Params[q.w.Param]
	c := &Choice{Name: d.Name, Quantity: q.sys.QuantityOf(q.w.Param, o.v), Proved: o.proved && beyond == nil}
	c.By = Statement{Kind: rules.Kind(q.w.Word()), Name: d.Name, Size: q.w.Size, At: q.w.At, Text: rules.OneLine(q.w.At.Text()), Names: []string{d.Name}}
	c.Fixed = o.fixed
	for _, i := range o.open {
		c.Beside = append(c.Beside, q.sys.Params[i].Name)
	}
	if len(o.open) > 0 && len(q.residuals) > 0 {
		o.r.Status = rules.StatusWord(solver.Unproved)
	}
	if o.joint {
		c.Tried, c.Cut, c.Stops = q.budget.Used, q.budget.Spent(), o.stops
	} else if beyond != nil {
		c.Tried, c.Cut = q.budget.Used, q.budget.Spent()
		c.Proved = o.proved && q.sys.Limits[q.x].Whole && len(o.open) == 0
		c.Stops = brokenAt(beyond.r)
	} else if c.Stops = o.stops; len(c.Stops) == 0 {
		c.Stops = q.stops(o.candidate)
	}
	o.r.Choice = c
	for i := range o.r.Values {
		v := &o.r.Values[i]
		for _, p := range append(slices.Clone(o.pins), rules.Pin{Param: q.w.Param, V: o.v}) {
			if v.Name == q.sys.Params[p.Param].Name && !(o.fixed && p.Param == q.w.Param) {
				v.From, v.Where = "choice", rules.Place(q.sys.Program, q.w.At)
			}
		}
	}
	if o.r.Assembly != nil {
		o.r.Assembly.Values = o.r.Values
	}
}

// brokenAt is what a build breaks.
func brokenAt(r *Result) []Statement {
	var out []Statement
	for _, f := range r.Faults() {
		if f.Severity == diag.Error {
			out = append(out, faultStatement(f, r.Program().Shown))
		}
	}
	for _, rule := range r.unmet {
		st := Statement{Kind: rules.KindRule, At: rule.At, Text: rules.OneLine(rule.At.Text())}
		if rule.Label != nil {
			st.Label = rule.Label.Value
		}
		out = append(out, st)
	}
	return out
}

// faultStatement is a mistake as what stands against a value.
func faultStatement(f eval.Fault, in measure.System) Statement {
	st := Statement{Kind: rules.KindRule, At: f.Span, Text: f.In(in).Summary, Label: f.Label}
	if _, is := f.Cause.(eval.Unmet); is {
		st.Text = rules.OneLine(f.Span.Text())
	}
	return st
}

// shortfallStatement words a limit as what the join asks for.
func shortfallStatement(s eval.Shortfall, in measure.System) Statement {
	st := Statement{Kind: rules.KindJoin, Name: s.Of.Name.Name, At: s.Of.At}
	switch s.Short {
	case join.NoRoom:
		st.Text = measure.Say("join %s: a %s needs a contact of %.4g", st.Name, s.Kind, measure.Length(s.Need)).In(in)
	case join.NearEdge:
		st.Text = measure.Say("join %s: a %s stays %.4g from edges", st.Name, s.Kind, measure.Length(s.Need)).In(in)
	default:
		st.Text = measure.Say("join %s: %ss stand at least %.4g apart", st.Name, s.Kind, measure.Length(s.Need)).In(in)
	}
	return st
}

// stops are the statements that can't all hold with the wished name beyond v.
func (q *extremum) stops(f candidate) []Statement {
	lim := q.sys.Limits[q.x]
	gap := 1e-6 * max(1, math.Abs(f.v))
	if lim.Whole {
		gap = 1
	}
	beyond := rules.Limits{Lo: f.v + gap, Hi: math.Inf(1), Whole: lim.Whole}
	if !q.w.Large {
		beyond = rules.Limits{Lo: math.Inf(-1), Hi: f.v - gap, Whole: lim.Whole}
	}
	if lim.Hi < beyond.Lo || lim.Lo > beyond.Hi {
		return []Statement{q.sys.RangeOf(q.x)}
	}
	beyond.Lo, beyond.Hi = max(beyond.Lo, lim.Lo), min(beyond.Hi, lim.Hi)
	sys, ids := q.rules(f.pins, &beyond)
	res := sys.Solve()
	var out []Statement
	for _, id := range res.Conflict {
		if ids[id] >= 0 {
			out = append(out, q.sys.Statement(ids[id]))
		}
	}
	for _, v := range res.Range {
		if v != q.x {
			out = append(out, q.sys.RangeOf(v))
		}
	}
	return out
}

// barred reports that inequalities leave the wished name no value.
func (q *extremum) barred() eval.Fault {
	name := q.sys.Params[q.w.Param].Name
	d := value.Diagnostic("P3001", q.w.At, fmt.Sprintf("no value of %s was found with which the rules hold", name))
	if q.doubt {
		d.Notes = append(d.Notes, "that there is none is not proved: narrow the ranges of the names, or state one of them")
	} else {
		d.Summary = fmt.Sprintf("with no value of %s can the rules hold", name)
	}
	of := q.sys.Inequalities(maxListing)
	for _, st := range of {
		d.Related = append(d.Related, diag.Related{Span: st.At, Message: "must hold"})
	}
	return eval.Fault{Diagnostic: d, Cause: rules.Conflict{Of: of}}
}

// none reports that no value was found, with the mistakes of the first that was tried
// or, where other names were open too, of the nearest.
func (q *extremum) none(first *outcome) *Result {
	tried, cut := q.budget.Used, q.budget.Spent()
	if q.nearest != nil {
		first = q.nearest
	}
	r := q.at(first.candidate, first.v).r
	r.reportUnmet()
	if tried > 1 {
		d := diag.Diagnostic{Code: "P3011", Mark: diag.Beside, Span: q.w.At,
			Summary: fmt.Sprintf("%d values of %s were tried and none can be built", tried, q.sys.Params[q.w.Param].Name)}
		if q.nearest != nil {
			d.Summary = fmt.Sprintf("%d sizes were built and all rules hold in none", tried)
			d.Notes = []string{"it comes nearest at " + q.describe(first) + ", whose mistakes are told", "that there is none is not proved"}
		} else {
			d.Notes = []string{"the mistakes are those at " + q.describe(first)}
		}
		if cut {
			d.Notes = append(d.Notes, "the search was given up there: no more are built")
		}
		r.note(d)
	}
	return r
}

// describe gives the values of a build, the wished name first.
func (q *extremum) describe(o *outcome) string {
	out := []string{fmt.Sprintf("%s = %s", q.sys.Params[q.w.Param].Name, q.sys.Read(q.w.Param, o.v))}
	for _, p := range o.pins {
		out = append(out, fmt.Sprintf("%s = %s", q.sys.Params[p.Param].Name, q.sys.Read(p.Param, p.V)))
	}
	return strings.Join(out, ", ")
}
