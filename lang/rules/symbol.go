package rules

import (
	"fmt"
	"slices"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/eval"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/solver"
)

// symbol is a number of a rule: an expression over the design's parameters.
type symbol struct {
	x   solver.Expr
	dim quantity.Dim
}

// symbols turns expressions of rules into the solver's.
type symbols struct {
	vars  map[*check.Decl]solver.Var
	prog  *check.Program
	fixed *eval.Evaluator // knows everything that needs no parameter
	depth int
	lets  map[*check.Decl]symbolic // what lets came to
	calls eval.Memory[symbolic]    // what calls of lets came to

	under  *guard           // what has to hold for what is being read to count
	guards map[guard]*guard // each once
	ranges []ranged         // met on the way
	had    map[ranged]bool  // of ranges
}

// symbolic is what an expression of a rule came to: a builtin.Symbol, a builtin.Place,
// or a value that needs no parameter; nil where it is no arithmetic over parameters; and
// the ranges that it binds.
type symbolic struct {
	v      value.Value
	ranges []ranged
}

// of returns the symbol of x, and false where x is not an arithmetic expression
// over parameters (it asks for geometry, say): such a rule is checked afterwards.
func (s *symbols) of(x syntax.Expr, e *eval.Env) (symbol, bool) {
	v, ok := builtin.AsSymbol(s.value(x, e))
	return symbol{v.X, v.Dim}, ok
}

// begin forgets what ranges the last statement met.
func (s *symbols) begin() { s.ranges, s.had = nil, nil }

// maxSymbolDepth is how deep expressions and the lets that they name may nest in rules.
const maxSymbolDepth = 5000

// symbolWork is what reading an expression costs, in steps of evaluation.
const symbolWork = 8

// value is what x comes to; nil where it is no arithmetic over parameters.
func (s *symbols) value(x syntax.Expr, e *eval.Env) value.Value {
	s.fixed.Spend(x.Span(), symbolWork)
	if v := s.constant(x, e); v != nil {
		return v
	}
	if s.depth++; s.depth > maxSymbolDepth {
		value.Fail("P2061", x.Span(), "what this rule names goes too deep to follow", fmt.Sprintf("more than %d steps", maxSymbolDepth))
	}
	defer func() { s.depth-- }()
	switch x := x.(type) {
	case *syntax.Paren:
		return s.value(x.X, e)
	case *syntax.Name:
		return s.name(x, e)
	case *syntax.Pair:
		return pointOf(s.value(x.X, e), s.value(x.Y, e))
	case *syntax.Unary:
		return builtin.OperatorOf(x.Op).Symbols(s.value(x.X, e), nil)
	case *syntax.Binary:
		return s.binary(x, e)
	case *syntax.If:
		if c, ok := s.flag(x.Cond, e); ok {
			if c {
				return s.value(x.Then, e)
			}
			return s.value(x.Else, e)
		}
		return s.choice(x, e)
	case *syntax.IndexExpr:
		return s.one(x, e)
	case *syntax.Call:
		return s.call(x, e)
	}
	return nil
}

// pointOf is the point of two coordinates.
func pointOf(x, y value.Value) value.Value {
	a, okA := builtin.AsSymbol(x)
	b, okB := builtin.AsSymbol(y)
	if !okA || !okB {
		return nil
	}
	return builtin.Place{X: a, Y: b}
}

// constant is what needs no parameter; nil where x does.
func (s *symbols) constant(x syntax.Expr, e *eval.Env) value.Value {
	if lit, is := x.(*syntax.Literal); is && lit.Value.Kind != quantity.Gauge {
		return value.Number{V: lit.Value.Value, Dim: lit.Value.Dim, Whole: lit.Value.Whole}
	}
	if _, is := x.(*syntax.Binary); is { // its sides are tried one by one
		return nil
	}
	v, ok := s.fixed.Quietly(x, e)
	if !ok {
		return nil
	}
	return v
}

func (s *symbols) flag(x syntax.Expr, e *eval.Env) (bool, bool) {
	v, ok := s.fixed.Quietly(x, e)
	if !ok {
		return false, false
	}
	f, ok := v.(bool)
	return f, ok
}

// quietly works a rule out and forgets the mistake that it meets.
func quietly(do func()) {
	defer func() {
		if r := recover(); r != nil {
			if _, mistake := r.(value.Mistake); !mistake {
				panic(r)
			}
		}
	}()
	do()
}

func (s *symbols) name(x *syntax.Name, e *eval.Env) value.Value {
	d := s.prog.DeclOf(x)
	if d == nil {
		return nil
	}
	if v, ok := e.Find(d); ok {
		return v
	}
	if v, ok := s.vars[d]; ok {
		return builtin.Symbol{X: v.Expr(), Dim: ParamDim(d)}
	}
	l, ok := d.Node.(*syntax.Let)
	if !ok || d.Kind != check.Let || l.IsFunc || d.Indices != nil {
		return nil
	}
	known, ok := s.lets[d]
	if !ok {
		if s.lets == nil {
			s.lets = map[*check.Decl]symbolic{}
		}
		s.lets[d] = symbolic{} // until it is known: circles are no arithmetic
		known = s.alone(func() value.Value { return s.value(l.Value, &eval.Env{}) })
		s.lets[d] = known
	}
	return s.use(known)
}

// one is the member of a family of lets that a constant index picks, of counts from lo
// to hi; nil of any other.
func (s *symbols) one(x *syntax.IndexExpr, e *eval.Env) value.Value {
	n, ok := x.X.(*syntax.Name)
	if !ok {
		return nil
	}
	d := s.prog.DeclOf(n)
	if d == nil || d.Kind != check.Let || d.Owner != nil || len(d.Indices) != len(x.Index) {
		return nil
	}
	in := &eval.Env{}
	key := s.calls.Begin(d)
	for i, index := range d.Indices {
		k := s.value(x.Index[i], e)
		if !isConstant(k) || !slices.ContainsFunc(s.fixed.Domain(index.Each.Domain, in), func(v value.Value) bool { return value.SameKey(v, k) }) {
			return nil
		}
		in.Set(index, k)
		key = s.calls.With(key, k)
	}
	known, ok := s.calls.Known(key)
	if !ok {
		known = s.alone(func() value.Value { return s.value(d.Node.(*syntax.Let).Value, in) })
		s.calls.Keep(key, known)
	}
	return s.use(known)
}

func (s *symbols) binary(x *syntax.Binary, e *eval.Env) value.Value {
	l, r := s.value(x.X, e), s.value(x.Y, e)
	if isConstant(l) && isConstant(r) {
		v, _ := s.fixed.Quietly(x, e)
		return v
	}
	return builtin.OperatorOf(x.Op).Symbols(l, r)
}

// isConstant tells values that need no parameter.
func isConstant(v value.Value) bool {
	switch v.(type) {
	case nil, builtin.Symbol, builtin.Place:
		return false
	}
	return true
}

// like combines two numbers of one dimension.
func like(a, b builtin.Symbol, f func(x, y solver.Expr) solver.Expr) value.Value {
	if a.Dim != b.Dim {
		return nil
	}
	return builtin.Symbol{X: f(a.X, b.X), Dim: a.Dim}
}

// call inlines the design's own functions and knows those of the table that have a rule.
func (s *symbols) call(x *syntax.Call, e *eval.Env) value.Value {
	b := s.prog.Bound(x)
	switch {
	case b == nil:
		return nil
	case b.Function == nil:
		return s.inline(b, e)
	case b.Function.Rule == nil:
		return nil
	}
	a := &builtin.Args{Function: b.Function, At: x.At, Given: make([]builtin.Arg, len(b.Args)), World: s.fixed}
	params := b.Function.Params
	for i, arg := range b.Args {
		if arg == nil {
			a.Given[i] = builtin.Arg{V: params[i].Value}
			continue
		}
		v := s.value(arg, e)
		if v == nil {
			return nil
		}
		a.Given[i] = builtin.Arg{V: v, At: arg}
	}
	var out value.Value
	quietly(func() { out = b.Function.Rule(a) })
	return out
}

// inline is the body of a let with the call's arguments in it.
func (s *symbols) inline(b *check.Bound, e *eval.Env) value.Value {
	l, ok := b.Decl.Node.(*syntax.Let)
	if !ok || b.Decl.Owner != nil {
		return nil
	}
	in := &eval.Env{}
	key := s.calls.Begin(b.Decl)
	for i, p := range b.Params() {
		arg, from := b.Args[i], e
		if arg == nil {
			arg, from = p.Param.Default, in
		}
		v := s.value(arg, from)
		if v == nil {
			return nil
		}
		in.Set(p, v)
		key = s.calls.With(key, v)
	}
	known, ok := s.calls.Known(key)
	if !ok {
		known = s.alone(func() value.Value {
			for _, p := range b.Params() {
				if !s.within(p, in) {
					return nil
				}
			}
			return s.value(l.Value, in)
		})
		s.calls.Keep(key, known)
	}
	return s.use(known)
}
