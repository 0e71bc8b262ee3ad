package build

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/diag"
	"perch/lang/rules"
	"perch/lang/search"
	"perch/lang/value"
	"perch/solver"
)

// statements are the rules that the names are fitted to.
func (f *fit) statements() []Statement {
	var out []Statement
	for _, t := range f.targets {
		st := f.sys.RuleStatement(t.Rule)
		if len(out) == 0 || out[len(out)-1].At != st.At {
			out = append(out, st)
		}
	}
	return out
}

// tell writes what was fitted into the result.
func (f *fit) tell(p *probe) {
	to := f.statements()
	p.r.Status = rules.StatusWord(solver.Unproved)
	for _, q := range p.pins {
		d := f.sys.Params[q.Param]
		by := Statement{Kind: rules.KindFree, Name: d.Name, At: f.freedAt(q.Param), Names: []string{d.Name}}
		by.Text = rules.OneLine(by.At.Text())
		if fr := f.sys.Frees[q.Param]; fr != nil {
			by.Size = fr.Size
		}
		if w := f.w; w != nil && w.Param == q.Param {
			by.Kind, by.Size = rules.Kind(w.Word()), w.Size
			p.r.Choice = &Choice{Name: d.Name, Quantity: f.sys.QuantityOf(q.Param, q.V), By: by, Tried: f.builds, Stops: to}
			continue
		}
		p.r.Fits = append(p.r.Fits, Fit{Name: d.Name, Quantity: f.sys.QuantityOf(q.Param, q.V), By: by, To: to, Tried: f.builds})
	}
	for i := range p.r.Values {
		v := &p.r.Values[i]
		for _, q := range p.pins {
			if v.Name == f.sys.Params[q.Param].Name {
				v.From, v.Where = "rule", rules.Place(f.sys.Program, to[0].At)
			}
		}
	}
	p.r.Assembly.Values = p.r.Values
	for i := range p.r.Fits {
		fitted := &p.r.Fits[i]
		p.r.note(diag.Diagnostic{Code: "P3013", Span: fitted.By.At,
			Summary: fmt.Sprintf("%s is %s, %s", fitted.Name, fitted.Text(f.sys.Program.Shown), fitted.Certainty())})
	}
}

// several reports that more than one place was found.
func (f *fit) several() diag.Diagnostic {
	d := value.Diagnostic("P3003", f.freedAt(f.names[0]), fmt.Sprintf("%d values of %s were found with which the rules hold, and nothing chooses", len(f.good), f.listed(f.names)))
	for n, p := range f.good {
		if n == maxListing {
			d.Notes = append(d.Notes, fmt.Sprintf("and %d more", len(f.good)-n))
			break
		}
		d.Notes = append(d.Notes, "possible: "+f.describe(p))
	}
	if len(f.levels) > 0 && len(f.counts) == 0 {
		i, c := f.open[0], f.levels[0]
		d.Notes = append(d.Notes, fmt.Sprintf("%s holds all the way from %s to %s", f.sys.RuleStatement(f.targets[f.which].Rule).Text, f.sys.Read(i, c.From.X), f.sys.Read(i, c.To.X)))
	}
	d.Notes = append(d.Notes, fmt.Sprintf("to choose, narrow the range of %s, or say that it is to be largest or smallest", f.sys.Params[f.names[0]].Name))
	return d
}

func (f *fit) describe(p *probe) string {
	var out []string
	for _, q := range p.pins {
		out = append(out, fmt.Sprintf("%s = %s", f.sys.Params[q.Param].Name, f.sys.Read(q.Param, q.V)))
	}
	return strings.Join(out, ", ")
}

// nothing reports that no place was found, with what is nearest.
func (f *fit) nothing() diag.Diagnostic {
	d := value.Diagnostic("P3012", f.freedAt(f.names[0]), fmt.Sprintf("no value of %s was found with which the rules hold", f.listed(f.names)))
	for _, t := range f.targets {
		d.Related = append(d.Related, diag.Related{Span: t.Rule.At, Message: "must hold"})
	}
	if f.bad != nil {
		d.Notes = append(d.Notes, fmt.Sprintf("with %s: %s", f.describe(f.bad), f.against(f.bad)))
	} else if len(f.open) == 1 && len(f.counts) == 0 {
		d.Notes = append(d.Notes, f.reach()...)
	}
	if f.cut {
		d.Notes = append(d.Notes, fmt.Sprintf("the search was given up after %d sizes were built", f.builds))
	} else {
		d.Notes = append(d.Notes, fmt.Sprintf("%d sizes were built; that there is none is not proved", f.builds))
	}
	return d
}

// against is what stands against a place where the sought equalities hold: another
// equality, or the first mistake of the build.
func (f *fit) against(p *probe) string {
	for t, m := range p.miss {
		if !(math.Abs(m) <= p.near[t]) {
			units := f.sys.Program.Shown
			return fmt.Sprintf("%s does not hold, left is %s, right is %s", f.sys.RuleStatement(f.targets[t].Rule).Text, p.left[t].Text(units), p.right[t].Text(units))
		}
	}
	for _, f := range p.r.Faults() {
		if f.Severity == diag.Error {
			return f.In(p.r.Program().Shown).Summary
		}
	}
	return rules.OneLine(p.r.unmet[0].At.Text()) + " does not hold"
}

// reach tells how far the target's sides run over the range, or where they
// jump past each other.
func (f *fit) reach() []string {
	i := f.open[0]
	name := f.sys.Params[i].Name
	sides := func(at float64) (left, right string) {
		p := f.probe([]float64{at})
		return p.left[f.which].Text(f.sys.Program.Shown), p.right[f.which].Text(f.sys.Program.Shown)
	}
	var out []string
	for _, c := range f.jumps {
		before, _ := sides(c.From.X)
		after, right := sides(c.To.X)
		out = append(out, fmt.Sprintf("near %s = %s the left side jumps from %s to %s, past %s", name, f.sys.Read(i, c.From.X), before, after, right))
		if len(out) == 3 {
			break
		}
	}
	if out != nil {
		return out
	}
	var least, most *search.Sample
	for k := range f.spread {
		p := &f.spread[k]
		if !p.Known() {
			continue
		}
		if least == nil || p.Y < least.Y {
			least = p
		}
		if most == nil || p.Y > most.Y {
			most = p
		}
	}
	if least == nil {
		return nil
	}
	for _, p := range []*search.Sample{least, most} {
		left, right := sides(p.X)
		out = append(out, fmt.Sprintf("with %s = %s the left side is %s, the right side %s", name, f.sys.Read(i, p.X), left, right))
	}
	return out
}
