package build

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/panel"
	"perch/solver"
)

// Setting is a value stated outside the file, as on a command line: State as it
// is written in a size row.
type Setting struct{ State syntax.State }

// stated is what one statement says of a parameter.
type stated struct {
	from  solver.Strength
	at    diag.Span
	x     syntax.Expr
	about bool
	size  string
}

// system is the rules of one size on their way through the solver.
type system struct {
	ev     *evaluator
	sys    *solver.System
	sym    *symbols
	params []*check.Decl
	vars   []solver.Var // of params; −1 for those that are no numbers
	says   []*stated    // of params: the strongest statement, nil where none
	notes  []constraint // by solver.ID
	later  []*syntax.Rule
	// stating hands the statements about parameters to the solver, once all have
	// their variables: they may name parameters that are declared further down
	stating []func()
}

// constraint tells where a constraint comes from.
type constraint struct {
	at   diag.Span
	text string
	decl *check.Decl // of a statement about a parameter
	kind string      // rule, size, setting, default, choice
}

// solve gives every parameter its value at this size. Rules that need geometry
// are returned to be checked when it is there.
func (ev *evaluator) solve(size *syntax.Size, settings []Setting) ([]panel.Value, []*syntax.Rule) {
	s := &system{ev: ev, sys: solver.New()}
	s.sym = &symbols{vars: map[*check.Decl]solver.Var{}, fixed: ev.constants()}
	s.declare()
	s.state(size, settings)
	ok := true
	for i, d := range s.params {
		ok = ev.try(func() { s.param(i, d) }) && ok
	}
	for _, do := range s.stating {
		ok = ev.try(do) && ok
	}
	for _, st := range ev.prog.Root.File.Stmts {
		if r, is := st.(*syntax.Rule); is {
			s.rule(r, r.Cond)
		}
	}
	if !ok {
		panic(silent{})
	}
	res := s.sys.Solve()
	ev.status = statusWords[res.Status]
	for _, sol := range res.Solutions {
		ev.solutions = append(ev.solutions, s.named(sol))
	}
	s.judge(res)
	return s.take(res), s.later
}

func (s *system) declare() {
	for _, d := range s.ev.prog.Root.Order {
		if d.Kind == check.Param {
			s.params = append(s.params, d)
		}
	}
	s.says = make([]*stated, len(s.params))
	s.vars = make([]solver.Var, len(s.params))
}

// state finds the strongest statement about each parameter: a setting, the
// size, else its default.
func (s *system) state(size *syntax.Size, settings []Setting) {
	for i, d := range s.params {
		if d.Param.Default != nil {
			s.says[i] = &stated{from: solver.Default, at: d.Param.Default.Span(), x: d.Param.Default, about: d.Param.About}
		}
	}
	apply := func(st *syntax.State, from solver.Strength, name string) {
		for i, d := range s.params {
			if d.Name != st.Name.Name {
				continue
			}
			switch st.How {
			case syntax.StateFree:
				s.says[i] = nil
			case syntax.StateEq, syntax.StateAbout:
				s.says[i] = &stated{from: from, at: st.At, x: st.Value, about: st.How == syntax.StateAbout, size: name}
			default:
				s.ev.report(diagnostic("P3007", st.At, "largest and smallest cannot be solved for yet", "state a value, or use about"))
			}
			return
		}
		d := diagnostic("P2001", st.Name.At, fmt.Sprintf("the design has no param %s", st.Name.Name))
		var known []string
		for _, p := range s.params {
			known = append(known, p.Name)
		}
		if best := check.Nearest(st.Name.Name, known); best != "" {
			d.Notes = append(d.Notes, "did you mean "+best+"?")
		} else {
			d.Notes = append(d.Notes, "it has "+strings.Join(known, ", "))
		}
		s.ev.report(d)
	}
	for _, row := range s.ev.likes(size) {
		for i := range row.States {
			apply(&row.States[i], solver.Stated, row.Name.Name)
		}
	}
	for i := range settings {
		apply(&settings[i].State, solver.Setting, "")
	}
}

// likes lists a size and those it starts from, the farthest first.
func (ev *evaluator) likes(size *syntax.Size) []*syntax.Size {
	var out []*syntax.Size
	for s := size; s != nil && len(out) < 1000; {
		out = append([]*syntax.Size{s}, out...)
		if s.Like == nil {
			break
		}
		s = findSize(ev.prog, s.Like.Name)
	}
	return out
}

// param makes a parameter's variable and what is stated about it.
func (s *system) param(i int, d *check.Decl) {
	typ, _ := quantity.TypeByName(d.Param.Type.Name)
	say := s.says[i]
	e := s.ev.module(d.Module)
	if !typ.Numeric() {
		s.vars[i] = -1
		if say == nil {
			s.ev.fail("P3002", d.At, fmt.Sprintf("%s has no value", d.Name), "give it a default, or state it in the size")
		}
		v := s.sym.fixed.eval(say.x, e)
		s.ev.know(d, v)
		s.sym.fixed.know(d, v)
		return
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	var loX, hiX *symbol
	if dom := d.Param.Domain; dom != nil && dom.Hi != nil {
		lo, loX = s.bound(dom.Lo, e, lo)
		hi, hiX = s.bound(dom.Hi, e, hi)
	}
	v := s.sys.Var(d.Name, lo, hi, typ == quantity.CountType)
	s.vars[i] = v
	s.sym.vars[d] = v
	for _, b := range []struct {
		x   *symbol
		rel solver.Relation
	}{{loX, solver.GE}, {hiX, solver.LE}} {
		if b.x != nil {
			s.add(solver.Constraint{Left: v.Expr(), Rel: b.rel, Right: b.x.x}, constraint{d.Param.Domain.At, "range of " + d.Name, nil, "rule"})
		}
	}
	if say == nil {
		return
	}
	s.stating = append(s.stating, func() { s.stateValue(d, v, say) })
}

func (s *system) bound(x syntax.Expr, e *env, or float64) (float64, *symbol) {
	if n, ok := s.sym.fixed.quietly(x, e); ok {
		if n, ok := n.(number); ok {
			return n.v, nil
		}
	}
	if y, ok := s.sym.of(x, e); ok {
		return or, &y
	}
	s.ev.fail("P3008", x.Span(), "a range is made of numbers and other parameters")
	return 0, nil
}

func (s *system) stateValue(d *check.Decl, v solver.Var, say *stated) {
	y, ok := s.sym.of(say.x, s.ev.module(s.ev.prog.Root))
	if !ok {
		s.ev.quietly(say.x, s.ev.module(s.ev.prog.Root))
		s.ev.fail("P3008", say.x.Span(), fmt.Sprintf("%s is stated by something that is no number before the design is solved", d.Name))
	}
	if y.dim != paramDim(d) {
		s.ev.fail("P2012", say.x.Span(), fmt.Sprintf("%s is a %s, this is a %s", d.Name, paramDim(d), y.dim))
	}
	kind := map[solver.Strength]string{solver.Default: "default", solver.Stated: "size", solver.Setting: "setting"}[say.from]
	st := say.from
	if say.about {
		st, kind = solver.About, "choice"
	}
	s.add(solver.Constraint{Left: v.Expr(), Rel: solver.EQ, Right: y.x, Strength: st, Label: d.Name},
		constraint{say.at, "", d, kind})
}

func (s *system) add(c solver.Constraint, n constraint) {
	if n.text == "" {
		n.text = strings.Join(strings.Fields(n.at.Text()), " ")
	}
	s.sys.Add(c)
	s.notes = append(s.notes, n)
}

// rule hands a rule to the solver where it is arithmetic over parameters, part
// by part; what is not is checked later.
func (s *system) rule(r *syntax.Rule, x syntax.Expr) {
	e := s.ev.module(s.ev.prog.Root)
	switch x := x.(type) {
	case *syntax.Paren:
		s.rule(r, x.X)
		return
	case *syntax.Binary:
		if x.Op == syntax.OpAnd {
			s.rule(r, x.X)
			s.rule(r, x.Y)
			return
		}
		if rel, ok := relations[x.Op]; ok && s.relation(r, x.X, rel, x.Y, e) {
			return
		}
	case *syntax.In:
		if x.Domain.Hi != nil && s.relation(r, x.X, solver.GE, x.Domain.Lo, e) && s.relation(r, x.X, solver.LE, x.Domain.Hi, e) {
			return
		}
	}
	if n := len(s.later); n == 0 || s.later[n-1] != r {
		s.later = append(s.later, r)
	}
}

var relations = map[syntax.Op]solver.Relation{
	syntax.OpEq: solver.EQ, syntax.OpNe: solver.NE, syntax.OpLt: solver.LT,
	syntax.OpLe: solver.LE, syntax.OpGt: solver.GT, syntax.OpGe: solver.GE,
}

func (s *system) relation(r *syntax.Rule, x syntax.Expr, rel solver.Relation, y syntax.Expr, e *env) bool {
	a, ok := s.sym.of(x, e)
	if !ok {
		return false
	}
	b, ok := s.sym.of(y, e)
	if !ok || a.dim != b.dim {
		return false
	}
	s.add(solver.Constraint{Left: a.x, Rel: rel, Right: b.x, Label: r.At.Text()}, constraint{at: r.At, kind: "rule"})
	return true
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

// judge reports what the solver could not do.
func (s *system) judge(res solver.Result) {
	at := s.ev.sizeAt()
	switch {
	case res.Status == solver.None:
		s.conflict(res, at)
	case res.Status == solver.Undetermined:
		s.undetermined(res, at)
	case len(res.Competing) > 0:
		d := diagnostic("P3005", at, "`about` values compete: not all can be had, and none is told to yield",
			"state one of the names in the size, or drop one `about`")
		for _, id := range res.Competing {
			d.Related = append(d.Related, diag.Related{Span: s.notes[id].at, Message: "this one"})
		}
		s.ev.report(d)
	case res.Status == solver.Several:
		d := diagnostic("P3003", at, "the rules allow several values and nothing chooses between them",
			"state one of the names, or give it `about` a value near the one you want")
		for _, sol := range res.Solutions {
			d.Notes = append(d.Notes, "possible: "+s.describe(sol))
		}
		s.ev.report(d)
	case len(res.Solutions) == 0:
		d := diagnostic("P3004", at, "no values were found for these rules, and that there are none is not proved")
		for _, id := range res.Conflict {
			d.Related = append(d.Related, diag.Related{Span: s.notes[id].at, Message: "takes part"})
		}
		s.ev.report(d)
	default:
		return
	}
	panic(silent{})
}

func (s *system) conflict(res solver.Result, at diag.Span) {
	d := diagnostic("P3001", at, "these cannot all hold")
	if len(res.Conflict) == 1 && len(res.Range) == 1 && s.notes[res.Conflict[0]].decl != nil {
		s.ev.report(s.outside(s.notes[res.Conflict[0]]))
		return
	}
	for i, id := range res.Conflict {
		n := s.notes[id]
		if i == 0 {
			d.Span = n.at
			d.Label = conflictLabel[n.kind]
			continue
		}
		d.Related = append(d.Related, diag.Related{Span: n.at, Message: conflictLabel[n.kind]})
	}
	for _, v := range res.Range {
		p := s.params[s.paramOf(v)]
		d.Related = append(d.Related, diag.Related{Span: p.Param.Domain.At, Message: p.Name + " stays within this range"})
	}
	for _, b := range res.Nearest {
		p := s.params[s.paramOf(b.Var)]
		d.Notes = append(d.Notes, fmt.Sprintf("%s would have to be %s", p.Name, show(number{v: b.Need, dim: paramDim(p)})))
	}
	s.ev.report(d)
}

// outside is a value stated outside its parameter's range, or a count that is not whole.
func (s *system) outside(n constraint) diag.Diagnostic {
	p := n.decl.Param
	d := diagnostic("P3010", n.at, fmt.Sprintf("%s is outside its range", n.decl.Name))
	for i, say := range s.says {
		if s.params[i] != n.decl || say == nil {
			continue
		}
		v, ok := s.sym.fixed.quietly(say.x, s.ev.module(s.ev.prog.Root))
		if x, is := v.(number); ok && is {
			d.Summary = fmt.Sprintf("%s is %s, outside its range", n.decl.Name, show(x))
			if x.v != math.Trunc(x.v) && p.Type.Name == "count" {
				d.Summary = fmt.Sprintf("%s is %s, but a count is whole", n.decl.Name, show(x))
			}
		}
	}
	d.Label = conflictLabel[n.kind]
	if p.Domain != nil {
		d.Related = append(d.Related, diag.Related{Span: p.Domain.At, Message: "its range"})
	}
	return d
}

var conflictLabel = map[string]string{
	"rule": "must hold", "size": "stated by the size", "setting": "stated on the command line",
	"default": "the default holds unless a size states the name", "choice": "wanted about this",
}

func (s *system) paramOf(v solver.Var) int {
	for i, w := range s.vars {
		if w == v {
			return i
		}
	}
	return -1
}

func (s *system) undetermined(res solver.Result, at diag.Span) {
	var names []string
	var first diag.Span
	for i, v := range s.vars {
		if v >= 0 && math.IsNaN(res.Values[v]) {
			names = append(names, s.params[i].Name)
			if first.Source == nil {
				first = s.params[i].At
			}
		}
	}
	d := diagnostic("P3002", first, fmt.Sprintf("nothing fixes %s", strings.Join(names, ", ")))
	if at.Source != nil {
		d.Related = append(d.Related, diag.Related{Span: at, Message: "at this size"})
	}
	for _, set := range res.FreeSets {
		var of []string
		for _, v := range set {
			of = append(of, s.params[s.paramOf(v)].Name)
		}
		d.Notes = append(d.Notes, "it would be enough to state "+strings.Join(of, " and "))
	}
	s.ev.report(d)
}

func (s *system) describe(values []float64) string {
	var out []string
	for i, v := range s.vars {
		if v >= 0 {
			out = append(out, fmt.Sprintf("%s = %s", s.params[i].Name, show(number{v: values[v], dim: paramDim(s.params[i])})))
		}
	}
	return strings.Join(out, ", ")
}

// take hands the solved values to the evaluator and to the record.
func (s *system) take(res solver.Result) []panel.Value {
	var out []panel.Value
	for i, d := range s.params {
		if s.vars[i] < 0 {
			continue
		}
		v := res.Values[s.vars[i]]
		typ, _ := quantity.TypeByName(d.Param.Type.Name)
		s.ev.know(d, number{v: v, dim: typ.Dim(), whole: typ == quantity.CountType})
		val := panel.Value{Name: d.Name, Value: v, From: "rule"}
		val.Value, val.Unit = recordUnit(v, typ.Dim())
		if by := res.Origins[s.vars[i]].By; by >= 0 {
			n := s.notes[by]
			val.From, val.Where = n.kind, place(n.at)
			if n.kind == "choice" && !contains(res.GaveWay, by) {
				val.From = "default"
			}
		}
		out = append(out, val)
	}
	return out
}

func contains(ids []solver.ID, id solver.ID) bool {
	for _, x := range ids {
		if x == id {
			return true
		}
	}
	return false
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

// holds checks a rule when everything is known.
func (ev *evaluator) holds(r *syntax.Rule, e *env, in string) {
	if ev.flag(r.Cond, e) {
		return
	}
	d := diagnostic("P3006", r.At, "this rule does not hold")
	if r.Label != nil {
		d.Label = r.Label.Value
	}
	if b, ok := r.Cond.(*syntax.Binary); ok && relations[b.Op] != 0 || ok && b.Op == syntax.OpEq {
		x, okx := ev.quietly(b.X, e)
		y, oky := ev.quietly(b.Y, e)
		nx, isx := x.(number)
		ny, isy := y.(number)
		if okx && oky && isx && isy {
			d.Notes = append(d.Notes, fmt.Sprintf("left is %s, right is %s", show(nx), show(ny)))
		}
	}
	if in != "" {
		d.Notes = append(d.Notes, "in "+in)
	}
	panic(reported{d})
}
