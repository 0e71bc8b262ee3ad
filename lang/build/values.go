package build

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/solver"
)

// Quantity is a number of the design in internal units: mm, radians, kg.
type Quantity struct {
	Value float64
	Dim   quantity.Dim
	Whole bool // a count
}

// Text writes the quantity as a maker reads it: lengths to 0.001 mm or 0.0001 in,
// angles to 0.0001 degrees, the rest to six places.
func (q Quantity) Text(sys quantity.System) string {
	step := readStep(q.Dim, sys)
	v := math.Round(q.Value/step) * step
	if q.Dim == quantity.Length && sys == quantity.Inches && !strings.Contains(quantity.FormatFraction(q.Value, 64), ".") {
		v = q.Value
	}
	return quantity.Format(v, q.Dim, sys)
}

// readStep is what a maker can still read off, in internal units.
func readStep(d quantity.Dim, sys quantity.System) float64 {
	switch {
	case d == quantity.Length && sys == quantity.Inches:
		return quantity.InchMM * 1e-4
	case d == quantity.Length:
		return 1e-3
	case d == quantity.Angle:
		return math.Pi / 180 * 1e-4
	case d == quantity.Area:
		return 1
	}
	return 1e-6
}

// Recorded is the quantity in the units of the record: mm, degrees, kg.
func (q Quantity) Recorded() (value float64, unit string) { return recordUnit(q.Value, q.Dim) }

// Statement is a statement of a design that takes part in an answer.
type Statement struct {
	Kind  string // rule, size, setting, default, range, largest or smallest
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

var statusWords = map[solver.Status]string{
	solver.Unique: "unique", solver.Several: "several", solver.None: "none",
	solver.Undetermined: "undetermined", solver.Unproved: "unproved",
}

// named is a solution by names, in the record's units.
func (s *system) named(values []float64) map[string]float64 {
	out := map[string]float64{}
	for i, v := range s.vars {
		if v >= 0 && !math.IsNaN(values[v]) {
			out[s.params[i].Name], _ = recordUnit(values[v], paramDim(s.params[i]))
		}
	}
	return out
}

// quantityOf is a value of a param.
func (s *system) quantityOf(i int, v float64) Quantity {
	typ, _ := quantity.TypeByName(s.params[i].Param.Type.Name)
	return Quantity{v, typ.Dim(), typ == quantity.CountType}
}

// take hands the solved values to the evaluator and to the record.
func (s *system) take(res solver.Result) []panel.Value {
	var out []panel.Value
	for i, d := range s.params {
		if s.vars[i] < 0 {
			continue
		}
		q := s.quantityOf(i, res.Values[s.vars[i]])
		s.ev.know(d, value.Number{V: q.Value, Dim: q.Dim, Whole: q.Whole})
		val := panel.Value{Name: d.Name, From: "rule"}
		val.Value, val.Unit = q.Recorded()
		if by := res.Origins[s.vars[i]].By; by >= 0 {
			n := s.notes[by]
			val.From, val.Where = n.kind, place(n.at)
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
func (r *Result) Unproved() []string {
	var out []string
	if r.stands && !(r.solved.Proof.Complete && r.solved.Proof.Exist) {
		for _, v := range r.solved.Proof.Open {
			out = append(out, r.sys.params[r.sys.of[v]].Name)
		}
	}
	return out
}

// unproved tells the maker what is not known of values that are used all the same.
func (s *system) unproved(names []string) diag.Diagnostic {
	first := s.params[slices.IndexFunc(s.params, func(d *check.Decl) bool { return d.Name == names[0] })]
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
	d.Notes = append([]string{what + joined(names, "and")}, d.Notes...)
	return d
}

// statement tells where constraint id comes from.
func (s *system) statement(id solver.ID) Statement {
	n := s.notes[id]
	st := Statement{Kind: n.kind, Size: n.size, About: n.about, Label: n.label, At: n.at, Text: oneLine(n.at.Text())}
	if n.decl != nil {
		st.Name = n.decl.Name
		st.Names = []string{st.Name}
	}
	switch n.kind {
	case "default":
		st.Text = defaultText(n.decl, n.about, n.at)
	case "range":
		st.Text = n.decl.Name + " in " + oneLine(n.at.Text())
	case "rule":
		st.Text = ruleText(st.Text, n.label)
	}
	for _, name := range s.mentions(n.exprs) {
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

// ruleStatement is a rule that is checked on what is made, as a statement.
func (s *system) ruleStatement(r *syntax.Rule) Statement {
	st := Statement{Kind: "rule", At: r.At, Text: oneLine(r.At.Text()), Names: s.mentions([]syntax.Expr{r.Cond})}
	if r.Label != nil {
		st.Label = r.Label.Value
		st.Text = ruleText(st.Text, st.Label)
	}
	return st
}

func defaultText(d *check.Decl, about bool, at diag.Span) string {
	if about {
		return d.Name + " about " + oneLine(at.Text())
	}
	return d.Name + " = " + oneLine(at.Text())
}

// rangeOf is the range of a variable as a statement.
func (s *system) rangeOf(v solver.Var) Statement {
	d := s.params[s.of[v]]
	st := Statement{Kind: "range", Name: d.Name, At: d.At, Names: []string{d.Name}, Text: d.Name + " is a whole number"}
	if dom := d.Param.Domain; dom != nil {
		st.At, st.Text = dom.At, d.Name+" in "+oneLine(dom.At.Text())
	}
	return st
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// mentions lists the params that expressions speak of, through lets, in order.
func (s *system) mentions(xs []syntax.Expr) []string {
	var names []string
	seen := map[*check.Decl]bool{}
	var visit func(n syntax.Node) bool
	visit = func(n syntax.Node) bool {
		name, ok := n.(*syntax.Name)
		if !ok {
			return true
		}
		d := s.ev.prog.DeclOf(name)
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

// Causes tells what gave every param its value, in the order of Values.
func (r *Result) Causes() []Cause {
	if !r.stands {
		return nil
	}
	var out []Cause
	for i := range r.sys.params {
		if r.sys.vars[i] >= 0 {
			out = append(out, r.cause(i))
		}
	}
	return out
}

func (r *Result) cause(i int) Cause {
	s, v := r.sys, r.sys.vars[i]
	c := Cause{Name: s.params[i].Name, Quantity: s.quantityOf(i, r.solved.Values[v])}
	c.By = Statement{Kind: "rule", At: s.params[i].At, Names: []string{c.Name}}
	if by := r.solved.Origins[v].By; by >= 0 {
		c.By = s.statement(by)
	}
	if lost := s.loses[i]; lost != nil {
		c.Loses = &Statement{Kind: "default", Name: c.Name, About: lost.about, At: lost.at, Text: defaultText(s.params[i], lost.about, lost.at)}
	}
	if ch := r.Choice; ch != nil && ch.Name == c.Name {
		c.By = ch.By
	}
	for _, f := range r.Fits {
		if f.Name == c.Name {
			c.By = f.To[0]
			c.By.Names = append([]string{c.Name}, f.To[0].Names...)
		}
	}
	for _, id := range r.solved.GaveWay {
		if s.notes[id].decl == s.params[i] {
			y := r.yield(id)
			c.Yields = &y
		}
	}
	return c
}

// Yields lists the abouts that gave way.
func (r *Result) Yields() []Yield {
	var out []Yield
	for _, id := range r.solved.GaveWay {
		out = append(out, r.yield(id))
	}
	return out
}

// yield finds the statements that an about gave way to: what clashes with it
// once it has to hold, the other abouts that hold included.
func (r *Result) yield(id solver.ID) Yield {
	s := r.sys
	i := s.at[s.notes[id].decl]
	y := Yield{Statement: s.statement(id), Got: s.quantityOf(i, r.solved.Values[s.vars[i]])}
	if v, ok := s.worth(s.notes[id].exprs[0], r.solved.Values); ok {
		y.Wanted = s.quantityOf(i, v)
	}
	sys, ids := s.variant(nil, func(k solver.ID, c *solver.Constraint) bool {
		if k == id || c.Strength == solver.About && !slices.Contains(r.solved.GaveWay, k) {
			c.Strength = solver.Stated
		}
		return c.Strength != solver.About
	})
	res := sys.Solve()
	for _, k := range res.Conflict {
		if ids[k] != id {
			y.To = append(y.To, s.statement(ids[k]))
		}
	}
	for _, v := range res.Range {
		y.To = append(y.To, s.rangeOf(v))
	}
	return y
}

// worth evaluates an expression over params at a solution.
func (s *system) worth(x syntax.Expr, values []float64) (float64, bool) {
	ev := s.ev.constants()
	for i, d := range s.params {
		if v := s.vars[i]; v >= 0 && !math.IsNaN(values[v]) {
			q := s.quantityOf(i, values[v])
			ev.know(d, value.Number{V: q.Value, Dim: q.Dim, Whole: q.Whole})
		}
	}
	y, ok := ev.quietly(x, &env{})
	n, is := y.(value.Number)
	return n.V, ok && is
}

// Units is how the design's maker writes lengths: in inches where more of its
// literals are inches and feet than are metric.
func Units(p *check.Program) quantity.System {
	metric, inches := 0, 0
	syntax.InspectFile(p.Root.File, func(n syntax.Node) bool {
		if l, ok := n.(*syntax.Literal); ok && l.Value.Dim == quantity.Length && l.Value.Kind == quantity.Unit {
			if strings.ContainsAny(l.Value.Spelling, `'"`) || strings.HasSuffix(l.Value.Spelling, "in") || strings.HasSuffix(l.Value.Spelling, "ft") {
				inches++
			} else {
				metric++
			}
		}
		return true
	})
	if inches > metric {
		return quantity.Inches
	}
	return quantity.Millimetres
}

// recordUnit writes a value in the units of the record.
func recordUnit(v float64, d quantity.Dim) (float64, string) {
	switch d {
	case quantity.None:
		return v, ""
	case quantity.Angle:
		return v * 180 / math.Pi, "deg"
	}
	return v, d.Units()
}

func place(at diag.Span) string {
	if at.Source == nil {
		return ""
	}
	p := at.Position()
	return fmt.Sprintf("%s:%d:%d", at.Source.Name, p.Line, p.Column)
}
