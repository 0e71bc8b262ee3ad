// Package rules reads what a design states of its params at one size, its rules, ranges,
// defaults and the size's own statements, into one system for the solver, and tells in
// the design's own words what the solver found: where a value is from, what gives way,
// what can't all hold. It makes nothing and looks for nothing.
package rules

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/shop"
	"perch/parts/spelling"
	"perch/solver"
)

// Setting is a value stated outside the file, as on a command line.
type Setting struct {
	State syntax.State
	// Value, where it is set, takes the place of State's: a number in internal units.
	Value *float64
}

// Pinned states a param by a number in internal units, to the last bit.
func Pinned(d *check.Decl, v float64) Setting {
	return Setting{State: syntax.State{Name: syntax.Ident{Name: d.Name}}, Value: &v}
}

// stated is what one statement says of a parameter.
type stated struct {
	from  solver.Strength
	at    diag.Span
	x     syntax.Expr
	pin   *float64 // in place of x
	about bool
	size  string
}

// System is the rules of one size on their way through the solver.
type System struct {
	eval.Reports
	Program *check.Program
	Size    *syntax.Size // nil of a design without sizes
	Solver  *solver.System
	Params  []*check.Decl
	Vars    []solver.Var // of Params; −1 for those that are no numbers
	Of      []int        // by solver.Var: its param
	Limits  []Limits     // by solver.Var
	Wishes  []*Wish      // of Params: largest or smallest
	Frees   []*Freed     // of Params: freed of their defaults
	// Constraints are by solver.ID.
	Constraints []solver.Constraint
	Later       []*syntax.Rule  // those that ask for what is made
	ev          *eval.Evaluator // knows everything that needs no number
	sym         *symbols
	texts       map[*check.Decl]value.Value // the values of params that are no numbers
	at          map[*check.Decl]int         // of Params
	says        []*stated                   // of Params: the strongest statement, nil where none
	loses       []*stated                   // of Params: the default that a stronger statement replaces
	notes       []constraint                // by solver.ID
	// stating hands the statements about parameters to the solver, once all have
	// their variables: they may name parameters that are declared further down
	stating []func()
}

// Limits are the range that a variable was made with.
type Limits struct {
	Lo, Hi float64
	Whole  bool
}

// Wish is a parameter wanted as large or as small as can be.
type Wish struct {
	Param int
	Large bool
	At    diag.Span
	Size  string
}

// Word is the wish as it is written.
func (w *Wish) Word() string {
	if w.Large {
		return "largest"
	}
	return "smallest"
}

// Freed is a statement that drops a name's default.
type Freed struct {
	At   diag.Span
	Size string
}

// constraint tells where a constraint comes from.
type constraint struct {
	at    diag.Span
	decl  *check.Decl // of a statement about a parameter
	kind  Kind
	about bool
	size  string
	label string        // of a rule
	exprs []syntax.Expr // what it is made of
	pin   *float64      // of a statement by number
}

// Read reads the rules of a size; nil, with what is wrong, where they can't be read.
// Settings are stronger than the size's own statements.
func Read(p *check.Program, sh *shop.Shop, size *syntax.Size, settings []Setting) (*System, []eval.Fault) {
	s := &System{Program: p, Size: size, Solver: solver.New(), ev: eval.New(p, sh, nil), at: map[*check.Decl]int{}, texts: map[*check.Decl]value.Value{}}
	s.sym = &symbols{prog: p, vars: map[*check.Decl]solver.Var{}, fixed: s.ev}
	s.declare()
	s.state(size, settings)
	ok := true
	for i, d := range s.Params {
		ok = s.Try(func() { s.param(i, d) }) && ok
	}
	for _, do := range s.stating {
		ok = s.Try(do) && ok
	}
	for _, st := range p.Root.File.Stmts {
		if r, is := st.(*syntax.Rule); is {
			ok = s.Try(func() { s.rule(r) }) && ok
		}
	}
	if !ok || s.Broken() {
		return nil, s.Faults()
	}
	return s, nil
}

func (s *System) declare() {
	for _, d := range s.Program.Root.Order {
		if d.Kind == check.Param {
			s.at[d] = len(s.Params)
			s.Params = append(s.Params, d)
		}
	}
	s.says = make([]*stated, len(s.Params))
	s.loses = make([]*stated, len(s.Params))
	s.Wishes = make([]*Wish, len(s.Params))
	s.Frees = make([]*Freed, len(s.Params))
	s.Vars = make([]solver.Var, len(s.Params))
}

// state finds the strongest statement about each parameter: a setting, the
// size, else its default.
func (s *System) state(size *syntax.Size, settings []Setting) {
	for i, d := range s.Params {
		if d.Param.Default != nil {
			s.says[i] = &stated{from: solver.Default, at: d.Param.Default.Span(), x: d.Param.Default, about: d.Param.About}
		}
	}
	for _, row := range s.likes(size) {
		for i := range row.States {
			s.apply(&row.States[i], nil, solver.Stated, row.Name.Name)
		}
	}
	for i := range settings {
		s.apply(&settings[i].State, settings[i].Value, solver.Setting, "")
	}
}

// apply takes one statement of a size or setting, which replaces what was said
// of the name before.
func (s *System) apply(st *syntax.State, pin *float64, from solver.Strength, size string) {
	i, ok := s.at[s.Program.Root.Find(check.Values, st.Name.Name)]
	if !ok {
		s.unknown(st)
		return
	}
	if say := s.says[i]; say != nil && say.from == solver.Default {
		s.loses[i] = say
	}
	s.says[i], s.Wishes[i], s.Frees[i] = nil, nil, nil
	switch st.How {
	case syntax.StateEq, syntax.StateAbout:
		s.says[i] = &stated{from: from, at: st.At, x: st.Value, pin: pin, about: st.How == syntax.StateAbout, size: size}
	case syntax.StateLargest, syntax.StateSmallest:
		s.Wishes[i] = &Wish{Param: i, Large: st.How == syntax.StateLargest, At: st.At, Size: size}
	case syntax.StateFree:
		s.Frees[i] = &Freed{At: st.At, Size: size}
	}
}

// unknown reports a statement about no parameter.
func (s *System) unknown(st *syntax.State) {
	d := value.Diagnostic("P2001", st.Name.At, fmt.Sprintf("the design has no param %s", st.Name.Name))
	var known []string
	for _, p := range s.Params {
		known = append(known, p.Name)
	}
	if best := spelling.Nearest(st.Name.Name, known); best != "" {
		d.Notes = append(d.Notes, "did you mean "+best+"?")
	} else if len(known) > 0 {
		d.Notes = append(d.Notes, "it has "+strings.Join(known, ", "))
	}
	s.Report(d)
}

// likes lists a size and those it starts from, the farthest first.
func (s *System) likes(size *syntax.Size) []*syntax.Size {
	var out []*syntax.Size
	for row := size; row != nil && len(out) < 1000; {
		out = append([]*syntax.Size{row}, out...)
		if row.Like == nil {
			break
		}
		row = FindSize(s.Program, row.Like.Name)
	}
	return out
}

// param makes a parameter's variable and what is stated about it.
func (s *System) param(i int, d *check.Decl) {
	typ, _ := quantity.TypeByName(d.Param.Type.Name)
	say := s.says[i]
	e := &eval.Env{}
	if !typ.Numeric() {
		s.Vars[i] = -1
		if w := s.Wishes[i]; w != nil {
			value.Fail("P3007", w.At, fmt.Sprintf("%s is a %s, which has no %s", d.Name, d.Param.Type.Name, w.Word()))
		}
		if say == nil {
			value.Fail("P3002", d.At, fmt.Sprintf("%s has no value", d.Name), "give it a default, or state it in the size")
		}
		v := s.ev.Eval(say.x, e)
		s.ev.Know(d, v)
		s.texts[d] = v
		return
	}
	lim := Limits{math.Inf(-1), math.Inf(1), typ == quantity.CountType}
	var loX, hiX *symbol
	if dom := d.Param.Domain; dom != nil && dom.Hi != nil {
		lim.Lo, loX = s.bound(dom.Lo, e, lim.Lo)
		lim.Hi, hiX = s.bound(dom.Hi, e, lim.Hi)
		if lim.Lo > lim.Hi && loX == nil && hiX == nil {
			value.Fail("P3008", dom.At, fmt.Sprintf("the range of %s runs backwards: write the smaller end first", d.Name))
		}
	}
	v := s.Solver.Var(d.Name, lim.Lo, lim.Hi, lim.Whole)
	s.Vars[i] = v
	s.Of, s.Limits = append(s.Of, i), append(s.Limits, lim)
	s.sym.vars[d] = v
	for _, b := range []struct {
		x   *symbol
		rel solver.Relation
	}{{loX, solver.GE}, {hiX, solver.LE}} {
		if b.x != nil {
			s.add(solver.Constraint{Left: v.Expr(), Rel: b.rel, Right: b.x.x},
				constraint{at: d.Param.Domain.At, decl: d, kind: KindRange, exprs: []syntax.Expr{d.Param.Domain.Lo, d.Param.Domain.Hi}})
		}
	}
	if say != nil {
		s.stating = append(s.stating, func() { s.stateValue(d, v, say) })
	}
}

func (s *System) bound(x syntax.Expr, e *eval.Env, or float64) (float64, *symbol) {
	if n, ok := s.ev.Quietly(x, e); ok {
		if n, ok := n.(value.Number); ok {
			return n.V, nil
		}
	}
	s.noNumber(x, e)
	if y, ok := s.sym.of(x, e); ok {
		return or, &y
	}
	value.Fail("P3008", x.Span(), "a range is made of numbers and other parameters")
	return 0, nil
}

var kindOf = map[solver.Strength]Kind{solver.Default: KindDefault, solver.Stated: KindSize, solver.Setting: KindSetting}

// noNumber reports an expression of constants alone that comes to no number, such as
// a division by zero.
func (s *System) noNumber(x syntax.Expr, e *eval.Env) {
	if m := s.ev.Mistake(x, e); m != nil {
		if _, is := m.Cause.(value.NoNumber); is {
			panic(*m)
		}
	}
}

func (s *System) stateValue(d *check.Decl, v solver.Var, say *stated) {
	st := say.from
	if say.about {
		st = solver.About
	}
	n := constraint{at: say.at, decl: d, kind: kindOf[say.from], about: say.about, size: say.size}
	if say.pin != nil {
		n.pin = say.pin
		s.add(solver.Constraint{Left: v.Expr(), Rel: solver.EQ, Right: solver.Const(*say.pin), Strength: st, Label: d.Name}, n)
		return
	}
	s.noNumber(say.x, &eval.Env{})
	s.sym.begin()
	y, ok := s.sym.of(say.x, &eval.Env{})
	if !ok {
		value.Fail("P3008", say.x.Span(), fmt.Sprintf("%s is stated by something that is no number before the design is solved", d.Name), asLet(d, say.x))
	}
	if y.dim != ParamDim(d) {
		value.Fail("P2012", say.x.Span(), fmt.Sprintf("%s is %s, this is %s", d.Name, value.Article(ParamDim(d).String()), value.Article(y.dim.String())))
	}
	n.exprs = []syntax.Expr{say.x}
	s.add(solver.Constraint{Left: v.Expr(), Rel: solver.EQ, Right: y.x, Strength: st, Label: d.Name}, n)
	s.bindRanges(n)
}

func (s *System) add(c solver.Constraint, n constraint) {
	s.Solver.Add(c)
	s.Constraints = append(s.Constraints, c)
	s.notes = append(s.notes, n)
}

// Variant is the same system with other ranges, nil for its own, and with each
// constraint as edit leaves it; edit drops one by returning false. ids are the
// constraints' places in the system itself.
func (s *System) Variant(lims []Limits, edit func(id solver.ID, c *solver.Constraint) bool) (sys *solver.System, ids []solver.ID) {
	if lims == nil {
		lims = s.Limits
	}
	sys = solver.New()
	for v, l := range lims {
		sys.Var(s.Params[s.Of[v]].Name, l.Lo, l.Hi, l.Whole)
	}
	for i, c := range s.Constraints {
		if edit == nil || edit(solver.ID(i), &c) {
			sys.Add(c)
			ids = append(ids, solver.ID(i))
		}
	}
	return sys, ids
}

// rule hands a rule to the solver where it is arithmetic over parameters, part
// by part; what is not is checked later.
func (s *System) rule(r *syntax.Rule) {
	var g *guard
	if r.Guard != nil {
		holds, known := s.sym.flag(r.Guard, &eval.Env{})
		if known && !holds {
			return
		}
		if !known {
			cond, ok := s.sym.margin(eval.ConditionOf(s.Program, r.Guard), &eval.Env{})
			if !ok {
				s.Later = append(s.Later, r)
				return
			}
			g = s.sym.guarded(guard{cond: cond})
		}
	}
	later := false
	eval.ConditionOf(s.Program, r.Cond).All(func(c *eval.Condition) { later = !s.arithmetic(r, c, g) || later })
	if later {
		s.Later = append(s.Later, r)
	}
}

// arithmetic hands a part of a rule to the solver, if it is arithmetic over parameters.
func (s *System) arithmetic(r *syntax.Rule, c *eval.Condition, g *guard) bool {
	switch {
	case c.Kind == eval.Relation:
		return s.relation(r, c.X, builtin.OperatorOf(c.Op).Relation, c.Y, g)
	case c.Kind == eval.Range && !c.Not:
		return s.relation(r, c.X, solver.GE, c.In.Lo, g) && s.relation(r, c.X, solver.LE, c.In.Hi, g)
	}
	return false
}

func (s *System) relation(r *syntax.Rule, x syntax.Expr, rel solver.Relation, y syntax.Expr, g *guard) bool {
	if g != nil && rel != solver.EQ && rel != solver.LE && rel != solver.GE {
		return false
	}
	n := constraint{at: r.At, kind: KindRule, exprs: []syntax.Expr{x, y}}
	if r.Label != nil {
		n.label = r.Label.Value
	}
	s.sym.begin()
	s.sym.under = g
	a, b := s.sym.value(x, &eval.Env{}), s.sym.value(y, &eval.Env{})
	s.sym.under = nil
	pairs := [][2]value.Value{{a, b}}
	if p, ok := builtin.AsPlace(a); ok && rel == solver.EQ { // two points are equal where both coordinates are
		if q, ok := builtin.AsPlace(b); ok {
			pairs = [][2]value.Value{{p.X, q.X}, {p.Y, q.Y}}
		}
	}
	var cons []solver.Constraint
	for _, p := range pairs {
		l, okL := builtin.AsSymbol(p[0])
		r, okR := builtin.AsSymbol(p[1])
		if !okL || !okR || l.Dim != r.Dim {
			return false
		}
		c := solver.Constraint{Left: l.X, Rel: rel, Right: r.X, Label: n.label}
		if g != nil {
			c.Left, c.Right = g.of(solver.Difference(l.X, r.X)), solver.Const(0)
		}
		cons = append(cons, c)
	}
	for _, c := range cons {
		s.add(c, n)
	}
	s.bindRanges(n)
	return true
}

// FindSize is a size of a design, nil for none.
func FindSize(p *check.Program, name string) *syntax.Size {
	for _, s := range p.Root.File.Stmts {
		if s, ok := s.(*syntax.Size); ok && s.Name.Name == name {
			return s
		}
	}
	return nil
}

// ParamDim is the dimension of a param.
func ParamDim(d *check.Decl) quantity.Dim {
	t, _ := quantity.TypeByName(d.Param.Type.Name)
	return t.Dim()
}
