package rules

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/solver"
)

// Quantity is a number of the design in internal units: mm, radians, kg.
type Quantity = value.Number

// Kind is what a Statement is.
type Kind string

// The kinds of statements. The last four are of what a search goes by: KindJoin is what a
// join asks for.
const (
	KindRule     Kind = "rule"
	KindSize     Kind = "size"
	KindSetting  Kind = "setting"
	KindDefault  Kind = "default"
	KindRange    Kind = "range"
	KindLargest  Kind = "largest"
	KindSmallest Kind = "smallest"
	KindFree     Kind = "free"
	KindJoin     Kind = "join"
)

// Statement is a statement of a design that takes part in an answer.
type Statement struct {
	Kind  Kind
	Name  string // the param that it is about; "" of a rule
	Size  string // the size that states it
	About bool   // it says about
	Text  string // on one line
	Label string // of a rule
	At    diag.Span
	Names []string // the params that it speaks of, Name first
}

// Cause tells what gave a param its value.
type Cause struct {
	Name string
	Quantity
	By     Statement
	Loses  *Statement // the default that a stronger statement replaces
	Yields *Yield     // set where an about did not get its value
}

// Yield tells which about gave way, by how much and to what.
type Yield struct {
	Statement
	Wanted, Got Quantity
	To          []Statement
}

// StatusWord is what the record says of the rules.
func StatusWord(s solver.Status) string { return statusWords[s] }

var statusWords = map[solver.Status]string{
	solver.Unique: "unique", solver.Several: "several", solver.None: "none",
	solver.Undetermined: "undetermined", solver.Unproved: "unproved",
}

// Named is a solution by names, in the record's units.
func (s *System) Named(values []float64) map[string]float64 {
	out := map[string]float64{}
	for i, v := range s.Vars {
		if v >= 0 && !math.IsNaN(values[v]) {
			out[s.Params[i].Name], _ = s.QuantityOf(i, values[v]).Recorded()
		}
	}
	return out
}

// QuantityOf is a value of a param.
func (s *System) QuantityOf(i int, v float64) Quantity {
	typ, _ := quantity.TypeByName(s.Params[i].Param.Type.Name)
	return Quantity{V: v, Dim: typ.Dim(), Whole: typ == quantity.CountType}
}

// Give hands the values of params to an evaluator.
func (s *System) Give(ev *eval.Evaluator, values []float64) {
	for i, d := range s.Params {
		if s.Vars[i] < 0 {
			ev.Know(d, s.texts[d])
			continue
		}
		ev.Know(d, s.QuantityOf(i, values[s.Vars[i]]))
	}
	ev.Settle()
}

// Recorded are the solved values for the record.
func (s *System) Recorded(res solver.Result) []panel.Value {
	var out []panel.Value
	for i, d := range s.Params {
		if s.Vars[i] < 0 {
			continue
		}
		val := panel.Value{Name: d.Name, From: "rule"}
		val.Value, val.Unit = s.QuantityOf(i, res.Values[s.Vars[i]]).Recorded()
		if by := res.Origins[s.Vars[i]].By; by >= 0 {
			n := s.notes[by]
			val.From, val.Where = string(n.kind), Place(s.Program, n.at)
			if n.about && slices.Contains(res.GaveWay, by) {
				val.From = "choice"
			}
		}
		out = append(out, val)
	}
	return out
}

// Unproved are the params whose values were found by search, so that there may be
// others, or where the rules hold within what counts as equal and no more is proved.
func (s *System) Unproved(res solver.Result) []string {
	var out []string
	if !(res.Proof.Complete && res.Proof.Exist) {
		for _, v := range res.Proof.Open {
			out = append(out, s.Params[s.Of[v]].Name)
		}
	}
	return out
}

// UnprovedNote tells the maker what is not known of values that are used all the same.
func (s *System) UnprovedNote(names []string) diag.Diagnostic {
	first := s.Params[slices.IndexFunc(s.Params, func(d *check.Decl) bool { return d.Name == names[0] })]
	d := value.Diagnostic("P3013", first.At, "values were found, but that there are no others is not proved",
		"state one of the names, or narrow their ranges, and the search can be carried through")
	d.Severity = diag.Note
	what := fmt.Sprintf("the rules make %d names depend on each other: ", len(names))
	if len(names) == 1 {
		what = "a rule has to be solved for "
	}
	if n := len(names); n > maxListed {
		names = append(names[:maxListed:maxListed], fmt.Sprintf("%d more", n-maxListed))
	}
	d.Notes = append([]string{what + Joined(names, "and")}, d.Notes...)
	return d
}

// Statement tells where constraint id comes from.
func (s *System) Statement(id solver.ID) Statement {
	n := s.notes[id]
	st := Statement{Kind: n.kind, Size: n.size, About: n.about, Label: n.label, At: n.at, Text: OneLine(n.at.Text())}
	if n.decl != nil {
		st.Name = n.decl.Name
		st.Names = []string{st.Name}
	}
	switch n.kind {
	case KindDefault:
		st.Text = defaultText(n.decl, n.about, n.at)
	case KindRange:
		st.Text = n.decl.Name + " in " + OneLine(n.at.Text())
	case KindRule:
		st.Text = ruleText(st.Text, n.label)
	}
	for _, name := range s.Mentions(n.exprs) {
		if !slices.Contains(st.Names, name) {
			st.Names = append(st.Names, name)
		}
	}
	return st
}

// ruleText is a rule's text without its label.
func ruleText(text, label string) string {
	return strings.TrimSpace(strings.TrimSuffix(text, `"`+label+`"`))
}

// RuleStatement is a rule that is checked on what is made, as a statement.
func (s *System) RuleStatement(r *syntax.Rule) Statement {
	st := Statement{Kind: KindRule, At: r.At, Text: OneLine(r.At.Text()), Names: s.Mentions([]syntax.Expr{r.Cond, r.Guard})}
	if r.Label != nil {
		st.Label = r.Label.Value
		st.Text = ruleText(st.Text, st.Label)
	}
	return st
}

func defaultText(d *check.Decl, about bool, at diag.Span) string {
	if about {
		return d.Name + " about " + OneLine(at.Text())
	}
	return d.Name + " = " + OneLine(at.Text())
}

// RangeOf is the range of a variable as a statement.
func (s *System) RangeOf(v solver.Var) Statement {
	d := s.Params[s.Of[v]]
	st := Statement{Kind: KindRange, Name: d.Name, At: d.At, Names: []string{d.Name}, Text: d.Name + " is a whole number"}
	if dom := d.Param.Domain; dom != nil {
		st.At, st.Text = dom.At, d.Name+" in "+OneLine(dom.At.Text())
	}
	return st
}

// OneLine is a text without line breaks.
func OneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// Mentions lists the params that expressions speak of, through lets, in order.
func (s *System) Mentions(xs []syntax.Expr) []string {
	var names []string
	seen := map[*check.Decl]bool{}
	var visit func(n syntax.Node) bool
	visit = func(n syntax.Node) bool {
		name, ok := n.(*syntax.Name)
		if !ok {
			return true
		}
		d := s.Program.DeclOf(name)
		if d == nil || seen[d] {
			return true
		}
		seen[d] = true
		if d.Kind == check.Param {
			names = append(names, d.Name)
		} else if l, is := d.Node.(*syntax.Let); is && d.Kind == check.Let {
			syntax.Inspect(l.Value, visit)
		}
		return true
	}
	for _, x := range xs {
		syntax.Inspect(x, visit)
	}
	return names
}

// Cause is what gave param i its value.
func (s *System) Cause(i int, res solver.Result) Cause {
	v := s.Vars[i]
	c := Cause{Name: s.Params[i].Name, Quantity: s.QuantityOf(i, res.Values[v])}
	c.By = Statement{Kind: KindRule, At: s.Params[i].At, Names: []string{c.Name}}
	if by := res.Origins[v].By; by >= 0 {
		c.By = s.Statement(by)
	}
	if lost := s.loses[i]; lost != nil {
		c.Loses = &Statement{Kind: KindDefault, Name: c.Name, About: lost.about, At: lost.at, Text: defaultText(s.Params[i], lost.about, lost.at)}
	}
	for _, id := range res.GaveWay {
		if s.notes[id].decl == s.Params[i] {
			y := s.Yield(id, res)
			c.Yields = &y
		}
	}
	return c
}

// Yield finds the statements that an about gave way to: what clashes with it
// once it has to hold, the other abouts that hold included.
func (s *System) Yield(id solver.ID, res solver.Result) Yield {
	i := s.at[s.notes[id].decl]
	y := Yield{Statement: s.Statement(id), Got: s.QuantityOf(i, res.Values[s.Vars[i]])}
	if v, ok := s.wanted(s.notes[id], res.Values); ok {
		y.Wanted = s.QuantityOf(i, v)
	}
	sys, ids := s.Variant(nil, func(k solver.ID, c *solver.Constraint) bool {
		if k == id || c.Strength == solver.About && !slices.Contains(res.GaveWay, k) {
			c.Strength = solver.Stated
		}
		return c.Strength != solver.About
	})
	clash := sys.Solve()
	for _, k := range clash.Conflict {
		if ids[k] != id {
			y.To = append(y.To, s.Statement(ids[k]))
		}
	}
	for _, v := range clash.Range {
		y.To = append(y.To, s.RangeOf(v))
	}
	return y
}

// wanted is the value that a statement about a param asks for, at a solution.
func (s *System) wanted(n constraint, values []float64) (float64, bool) {
	if n.pin != nil {
		return *n.pin, true
	}
	return s.worth(n.exprs[0], values)
}

// worth evaluates an expression over params at a solution.
func (s *System) worth(x syntax.Expr, values []float64) (float64, bool) {
	ev := s.ev.Constants()
	for i, d := range s.Params {
		if v := s.Vars[i]; v >= 0 && !math.IsNaN(values[v]) {
			ev.Know(d, s.QuantityOf(i, values[v]))
		}
	}
	y, ok := ev.Quietly(x, &eval.Env{})
	n, is := y.(value.Number)
	return n.V, ok && is
}

// sizeAt is the size's line, or the design's where it has none.
func (s *System) sizeAt() diag.Span {
	switch {
	case s.Size != nil:
		return s.Size.At
	case s.Program.Root.File.Design != nil:
		return s.Program.Root.File.Design.At
	}
	return diag.Span{}
}

// Place is where a statement of a design stands, for the record: file:line:column.
func Place(prog *check.Program, at diag.Span) string {
	if at.Source == nil {
		return ""
	}
	p := at.Position()
	return fmt.Sprintf("%s:%d:%d", prog.FromDesign(at.Source), p.Line, p.Column)
}

// States tells whether constraint id states the value of param i.
func (s *System) States(id solver.ID, i int) bool {
	return id >= 0 && s.notes[id].decl == s.Params[i] && s.notes[id].kind != KindRange
}

// Inequalities are the rules that the solver takes for inequalities, as many as most.
func (s *System) Inequalities(most int) []Statement {
	var out []Statement
	for id, c := range s.Constraints {
		if c.Rel != solver.EQ && s.notes[id].kind == KindRule && len(out) < most {
			out = append(out, s.Statement(solver.ID(id)))
		}
	}
	return out
}

// open tells whether what bounds the names of a conflict leaves its own end out: rules
// with < or > alone.
func (s *System) open(res solver.Result) bool {
	without := false
	for _, id := range res.Conflict {
		switch s.Constraints[id].Rel {
		case solver.LT, solver.GT:
			without = true
		case solver.LE, solver.GE:
			return false
		}
	}
	return without && len(res.Range) == 0
}
