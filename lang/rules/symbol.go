package rules

import (
	"slices"

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
}

// of returns the symbol of x, and false where x is not an arithmetic expression
// over parameters (it asks for geometry, say): such a rule is checked afterwards.
func (s *symbols) of(x syntax.Expr, e *eval.Env) (symbol, bool) {
	if n, ok := s.constant(x, e); ok {
		return symbol{solver.Const(n.V), n.Dim}, true
	}
	if s.depth > 200 {
		return symbol{}, false
	}
	s.depth++
	defer func() { s.depth-- }()
	switch x := x.(type) {
	case *syntax.Paren:
		return s.of(x.X, e)
	case *syntax.Name:
		return s.name(x, e)
	case *syntax.Unary:
		v, ok := s.of(x.X, e)
		if !ok || x.Op != syntax.OpNeg {
			return symbol{}, false
		}
		return symbol{solver.Negative(v.x), v.dim}, true
	case *syntax.Binary:
		return s.binary(x, e)
	case *syntax.If:
		if c, ok := s.flag(x.Cond, e); ok {
			if c {
				return s.of(x.Then, e)
			}
			return s.of(x.Else, e)
		}
	case *syntax.Call:
		return s.call(x, e)
	}
	return symbol{}, false
}

// constant evaluates what needs no parameter.
func (s *symbols) constant(x syntax.Expr, e *eval.Env) (n value.Number, ok bool) {
	if lit, is := x.(*syntax.Literal); is && lit.Value.Kind != quantity.Gauge {
		return value.Number{V: lit.Value.Value, Dim: lit.Value.Dim}, true
	}
	if _, is := x.(*syntax.Binary); is { // its sides are tried one by one
		return value.Number{}, false
	}
	v, ok := s.fixed.Quietly(x, e)
	if !ok {
		return value.Number{}, false
	}
	n, ok = v.(value.Number)
	return n, ok
}

func (s *symbols) flag(x syntax.Expr, e *eval.Env) (bool, bool) {
	v, ok := s.fixed.Quietly(x, e)
	if !ok {
		return false, false
	}
	f, ok := v.(bool)
	return f, ok
}

func (s *symbols) name(x *syntax.Name, e *eval.Env) (symbol, bool) {
	d := s.prog.DeclOf(x)
	if d == nil {
		return symbol{}, false
	}
	if v, ok := e.Find(d); ok {
		v, ok := v.(symbol)
		return v, ok
	}
	if v, ok := s.vars[d]; ok {
		return symbol{v.Expr(), ParamDim(d)}, true
	}
	if l, ok := d.Node.(*syntax.Let); ok && !l.IsFunc {
		return s.of(l.Value, &eval.Env{})
	}
	return symbol{}, false
}

func (s *symbols) binary(x *syntax.Binary, e *eval.Env) (symbol, bool) {
	a, ok := s.of(x.X, e)
	if !ok {
		return symbol{}, false
	}
	b, ok := s.of(x.Y, e)
	if !ok {
		return symbol{}, false
	}
	switch x.Op {
	case syntax.OpAdd:
		return symbol{solver.Sum(a.x, b.x), a.dim}, a.dim == b.dim
	case syntax.OpSub:
		return symbol{solver.Difference(a.x, b.x), a.dim}, a.dim == b.dim
	case syntax.OpMul:
		return symbol{solver.Product(a.x, b.x), a.dim.Mul(b.dim)}, true
	case syntax.OpDiv:
		return symbol{solver.Quotient(a.x, b.x), a.dim.Div(b.dim)}, true
	case syntax.OpPow:
		d := a.dim
		if d != quantity.None {
			n, ok := s.constant(x.Y, e)
			if !ok {
				return symbol{}, false
			}
			d = d.Pow(int(n.V))
		}
		return symbol{solver.Power(a.x, b.x), d}, true
	}
	return symbol{}, false
}

// call inlines the design's own functions and knows the arithmetic ones.
func (s *symbols) call(x *syntax.Call, e *eval.Env) (symbol, bool) {
	n, ok := x.Fun.(*syntax.Name)
	if !ok {
		return symbol{}, false
	}
	if d := s.prog.DeclOf(n); d != nil {
		l, ok := d.Node.(*syntax.Let)
		if !ok || !l.IsFunc {
			return symbol{}, false
		}
		return s.inline(d, l, x, e, &eval.Env{})
	}
	var args []symbol
	for _, a := range x.Args {
		if _, table := a.Value.(*syntax.List); table {
			continue
		}
		v, ok := s.of(a.Value, e)
		if !ok {
			return symbol{}, false
		}
		args = append(args, v)
	}
	return s.arithmetic(n.Name, args, x, e)
}

func (s *symbols) inline(d *check.Decl, l *syntax.Let, x *syntax.Call, e, in *eval.Env) (symbol, bool) {
	params := d.Indices
	for i, a := range x.Args {
		k := i
		if a.Label != nil {
			k = slices.IndexFunc(params, func(p *check.Decl) bool { return p.Name == a.Label.Name })
		}
		if k < 0 || k >= len(params) {
			return symbol{}, false
		}
		v, ok := s.of(a.Value, e)
		if !ok {
			return symbol{}, false
		}
		in.Set(params[k], v)
	}
	for _, p := range params {
		if _, ok := in.Find(p); ok {
			continue
		}
		if p.Param.Default == nil {
			return symbol{}, false
		}
		v, ok := s.of(p.Param.Default, in)
		if !ok {
			return symbol{}, false
		}
		in.Set(p, v)
	}
	return s.of(l.Value, in)
}

func (s *symbols) arithmetic(name string, args []symbol, x *syntax.Call, e *eval.Env) (symbol, bool) {
	one := map[string]func(solver.Expr) solver.Expr{
		"sin": solver.Sin, "cos": solver.Cos, "tan": solver.Tan, "asin": solver.Asin, "acos": solver.Acos,
		"atan": solver.Atan, "exp": solver.Exp, "ln": solver.Ln, "abs": solver.Abs, "sqrt": solver.Sqrt,
	}
	if f := one[name]; f != nil && len(args) == 1 {
		d := quantity.None
		switch name {
		case "asin", "acos", "atan":
			d = quantity.Angle
		case "abs":
			d = args[0].dim
		case "sqrt":
			d, _ = args[0].dim.Root(2)
		}
		return symbol{f(args[0].x), d}, true
	}
	steps := map[string]func(x, step solver.Expr) solver.Expr{"round": solver.Round, "floor": solver.Floor, "ceil": solver.Ceil}
	if f := steps[name]; f != nil && len(args) > 0 {
		step := solver.Const(1)
		if len(args) > 1 {
			step = args[1].x
		}
		return symbol{f(args[0].x, step), args[0].dim}, true
	}
	switch {
	case name == "min" && len(args) > 0, name == "max" && len(args) > 0:
		out := args[0]
		for _, a := range args[1:] {
			if name == "min" {
				out.x = solver.Min(out.x, a.x)
			} else {
				out.x = solver.Max(out.x, a.x)
			}
		}
		return out, true
	case name == "lookup" && len(args) == 1 && len(x.Args) == 2:
		return s.table(args[0], x.Args[1].Value, e)
	}
	return symbol{}, false
}

func (s *symbols) table(at symbol, x syntax.Expr, e *eval.Env) (symbol, bool) {
	v, ok := s.fixed.Quietly(x, e)
	if !ok {
		return symbol{}, false
	}
	l, ok := v.(*value.List)
	if !ok {
		return symbol{}, false
	}
	var xs, ys []float64
	d := quantity.None
	for i, it := range l.Items {
		p, ok := it.V.(value.Pair)
		if !ok || i > 0 && p.X.V <= xs[i-1] {
			return symbol{}, false
		}
		xs, ys, d = append(xs, p.X.V), append(ys, p.Y.V), p.Y.Dim
	}
	return symbol{solver.Lookup(at.x, xs, ys), d}, len(xs) > 0
}
