package build

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
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
	at     map[*check.Decl]int // of params
	vars   []solver.Var        // of params; −1 for those that are no numbers
	of     []int               // by solver.Var: its param
	limits []limits            // by solver.Var
	says   []*stated           // of params: the strongest statement, nil where none
	loses  []*stated           // of params: the default that a stronger statement replaces
	wishes []*wish             // of params: largest or smallest
	frees  []*freed            // of params: freed of their defaults
	cons   []solver.Constraint // by solver.ID
	notes  []constraint        // by solver.ID
	later  []*syntax.Rule
	// stating hands the statements about parameters to the solver, once all have
	// their variables: they may name parameters that are declared further down
	stating []func()
}

// limits are the range that a variable was made with.
type limits struct {
	lo, hi float64
	whole  bool
}

// wish is a parameter wanted as large or as small as can be.
type wish struct {
	param int
	large bool
	at    diag.Span
	size  string
}

func (w *wish) word() string {
	if w.large {
		return "largest"
	}
	return "smallest"
}

// constraint tells where a constraint comes from.
type constraint struct {
	at    diag.Span
	decl  *check.Decl // of a statement about a parameter
	kind  string      // rule, size, setting, default
	about bool
	size  string
	label string        // of a rule
	exprs []syntax.Expr // what it is made of
}

// prepare reads the rules of this size. Rules that need geometry are kept in
// later, to be checked when it is there.
func (ev *evaluator) prepare(size *syntax.Size, settings []Setting) *system {
	s := &system{ev: ev, sys: solver.New(), at: map[*check.Decl]int{}}
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
	if !ok || ev.broken {
		panic(silent{})
	}
	return s
}

func (s *system) declare() {
	for _, d := range s.ev.prog.Root.Order {
		if d.Kind == check.Param {
			s.at[d] = len(s.params)
			s.params = append(s.params, d)
		}
	}
	s.says = make([]*stated, len(s.params))
	s.loses = make([]*stated, len(s.params))
	s.wishes = make([]*wish, len(s.params))
	s.frees = make([]*freed, len(s.params))
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
	for _, row := range s.ev.likes(size) {
		for i := range row.States {
			s.apply(&row.States[i], solver.Stated, row.Name.Name)
		}
	}
	for i := range settings {
		s.apply(&settings[i].State, solver.Setting, "")
	}
}

// apply takes one statement of a size or setting, which replaces what was said
// of the name before.
func (s *system) apply(st *syntax.State, from solver.Strength, size string) {
	i, ok := s.at[s.ev.prog.Root.Find(check.Values, st.Name.Name)]
	if !ok {
		s.unknown(st)
		return
	}
	if say := s.says[i]; say != nil && say.from == solver.Default {
		s.loses[i] = say
	}
	s.says[i], s.wishes[i], s.frees[i] = nil, nil, nil
	switch st.How {
	case syntax.StateEq, syntax.StateAbout:
		s.says[i] = &stated{from: from, at: st.At, x: st.Value, about: st.How == syntax.StateAbout, size: size}
	case syntax.StateLargest, syntax.StateSmallest:
		s.wishes[i] = &wish{param: i, large: st.How == syntax.StateLargest, at: st.At, size: size}
	case syntax.StateFree:
		s.frees[i] = &freed{at: st.At, size: size}
	}
}

// unknown reports a statement about no parameter.
func (s *system) unknown(st *syntax.State) {
	d := value.Diagnostic("P2001", st.Name.At, fmt.Sprintf("the design has no param %s", st.Name.Name))
	var known []string
	for _, p := range s.params {
		known = append(known, p.Name)
	}
	if best := check.Nearest(st.Name.Name, known); best != "" {
		d.Notes = append(d.Notes, "did you mean "+best+"?")
	} else if len(known) > 0 {
		d.Notes = append(d.Notes, "it has "+strings.Join(known, ", "))
	}
	s.ev.report(d)
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
	e := &env{}
	if !typ.Numeric() {
		s.vars[i] = -1
		if w := s.wishes[i]; w != nil {
			s.ev.fail("P3007", w.at, fmt.Sprintf("%s is a %s, which has no %s", d.Name, d.Param.Type.Name, w.word()))
		}
		if say == nil {
			s.ev.fail("P3002", d.At, fmt.Sprintf("%s has no value", d.Name), "give it a default, or state it in the size")
		}
		v := s.sym.fixed.eval(say.x, e)
		s.ev.know(d, v)
		s.sym.fixed.know(d, v)
		return
	}
	lim := limits{math.Inf(-1), math.Inf(1), typ == quantity.CountType}
	var loX, hiX *symbol
	if dom := d.Param.Domain; dom != nil && dom.Hi != nil {
		lim.lo, loX = s.bound(dom.Lo, e, lim.lo)
		lim.hi, hiX = s.bound(dom.Hi, e, lim.hi)
		if lim.lo > lim.hi && loX == nil && hiX == nil {
			s.ev.fail("P3008", dom.At, fmt.Sprintf("the range of %s runs backwards: write the smaller end first", d.Name))
		}
	}
	v := s.sys.Var(d.Name, lim.lo, lim.hi, lim.whole)
	s.vars[i] = v
	s.of, s.limits = append(s.of, i), append(s.limits, lim)
	s.sym.vars[d] = v
	for _, b := range []struct {
		x   *symbol
		rel solver.Relation
	}{{loX, solver.GE}, {hiX, solver.LE}} {
		if b.x != nil {
			s.add(solver.Constraint{Left: v.Expr(), Rel: b.rel, Right: b.x.x},
				constraint{at: d.Param.Domain.At, decl: d, kind: "range", exprs: []syntax.Expr{d.Param.Domain.Lo, d.Param.Domain.Hi}})
		}
	}
	if say != nil {
		s.stating = append(s.stating, func() { s.stateValue(d, v, say) })
	}
}

func (s *system) bound(x syntax.Expr, e *env, or float64) (float64, *symbol) {
	if n, ok := s.sym.fixed.quietly(x, e); ok {
		if n, ok := n.(value.Number); ok {
			return n.V, nil
		}
	}
	s.noNumber(x, e)
	if y, ok := s.sym.of(x, e); ok {
		return or, &y
	}
	s.ev.fail("P3008", x.Span(), "a range is made of numbers and other parameters")
	return 0, nil
}

var kindOf = map[solver.Strength]string{solver.Default: "default", solver.Stated: "size", solver.Setting: "setting"}

// noNumber reports an expression of constants alone that comes to no number, such as
// a division by zero.
func (s *system) noNumber(x syntax.Expr, e *env) {
	defer func() {
		switch r := recover().(type) {
		case nil, silent:
		case value.Mistake:
			if r.D.Code == "P2063" {
				panic(r)
			}
		default:
			panic(r)
		}
	}()
	s.sym.fixed.eval(x, e)
}

func (s *system) stateValue(d *check.Decl, v solver.Var, say *stated) {
	s.noNumber(say.x, &env{})
	y, ok := s.sym.of(say.x, &env{})
	if !ok {
		s.ev.quietly(say.x, &env{})
		s.ev.fail("P3008", say.x.Span(), fmt.Sprintf("%s is stated by something that is no number before the design is solved", d.Name))
	}
	if y.dim != paramDim(d) {
		s.ev.fail("P2012", say.x.Span(), fmt.Sprintf("%s is a %s, this is a %s", d.Name, paramDim(d), y.dim))
	}
	st := say.from
	if say.about {
		st = solver.About
	}
	s.add(solver.Constraint{Left: v.Expr(), Rel: solver.EQ, Right: y.x, Strength: st, Label: d.Name},
		constraint{at: say.at, decl: d, kind: kindOf[say.from], about: say.about, size: say.size, exprs: []syntax.Expr{say.x}})
}

func (s *system) add(c solver.Constraint, n constraint) {
	s.sys.Add(c)
	s.cons = append(s.cons, c)
	s.notes = append(s.notes, n)
}

// variant is the same system with other ranges, nil for its own, and with each
// constraint as edit leaves it; edit drops one by returning false. ids are the
// constraints' places in the system itself.
func (s *system) variant(lims []limits, edit func(id solver.ID, c *solver.Constraint) bool) (sys *solver.System, ids []solver.ID) {
	if lims == nil {
		lims = s.limits
	}
	sys = solver.New()
	for v, l := range lims {
		sys.Var(s.params[s.of[v]].Name, l.lo, l.hi, l.whole)
	}
	for i, c := range s.cons {
		if edit == nil || edit(solver.ID(i), &c) {
			sys.Add(c)
			ids = append(ids, solver.ID(i))
		}
	}
	return sys, ids
}

// rule hands a rule to the solver where it is arithmetic over parameters, part
// by part; what is not is checked later.
func (s *system) rule(r *syntax.Rule, x syntax.Expr) {
	e := &env{}
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
	n := constraint{at: r.At, kind: "rule", exprs: []syntax.Expr{x, y}}
	if r.Label != nil {
		n.label = r.Label.Value
	}
	s.add(solver.Constraint{Left: a.x, Rel: rel, Right: b.x, Label: n.label}, n)
	return true
}

// holds checks a rule when everything is known.
func (ev *evaluator) holds(r *syntax.Rule, e *env, in string) {
	if ev.trial && ev.tried(r.Cond, e) || !ev.trial && ev.flag(r.Cond, e) {
		return
	}
	d := value.Diagnostic("P3006", r.At, "this rule does not hold")
	if r.Label != nil {
		d.Label = r.Label.Value
	}
	if !ev.trial {
		if n := ev.sides(r.Cond, e); n != "" {
			d.Notes = append(d.Notes, n)
		}
	}
	if in != "" {
		d.Notes = append(d.Notes, "in "+in)
	}
	panic(value.Mistake{D: d})
}

// sides tells the numbers of a condition that does not hold; of several that are
// joined by and, those of the first that does not.
func (ev *evaluator) sides(x syntax.Expr, e *env) string {
	num := func(x syntax.Expr) (value.Number, bool) {
		v, ok := ev.quietly(x, e)
		n, is := v.(value.Number)
		return n, ok && is
	}
	read := func(n value.Number) string { return Quantity{n.V, n.Dim, n.Whole}.Text(Units(ev.prog)) }
	switch x := x.(type) {
	case *syntax.Paren:
		return ev.sides(x.X, e)
	case *syntax.Binary:
		if x.Op == syntax.OpAnd {
			if v, ok := ev.quietly(x.X, e); ok && v == true {
				return ev.sides(x.Y, e)
			}
			return ev.sides(x.X, e)
		}
		l, okl := num(x.X)
		r, okr := num(x.Y)
		if _, is := relations[x.Op]; is && okl && okr {
			if a, b := read(l), read(r); a != b {
				return fmt.Sprintf("left is %s, right is %s", a, b)
			}
			return fmt.Sprintf("left is %s, right is %s", value.Show(l), value.Show(r)) // they differ in what is not read off
		}
	case *syntax.In:
		if v, ok := num(x.X); ok {
			return fmt.Sprintf("%s is %s", oneLine(x.X.Span().Text()), read(v))
		}
	}
	return ""
}
