package eval

import (
	"fmt"
	"math"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
)

// call works out f(…) and x.f(…).
func (ev *evaluator) call(x *syntax.Call, e *env) value.Value {
	b := ev.prog.Bound(x)
	if m, ok := unwrapped(x.Fun).(*syntax.Member); ok {
		return ev.method(ev.eval(m.X, e), m, x, b, e)
	}
	if b != nil && b.Function != nil {
		return ev.function(b, nil, x.At, e)
	}
	switch f := ev.eval(x.Fun, e).(type) {
	case function:
		return ev.apply(f, b, x, e)
	case panelRef:
		ev.fail("P2024", x.At, fmt.Sprintf("%s is a panel: it is made by a part", f.def.Name.Name))
	default:
		ev.fail("P2010", x.Fun.Span(), value.Article(value.KindOf(f))+" cannot be called")
	}
	return nil
}

// unwrapped takes the brackets off an expression.
func unwrapped(x syntax.Expr) syntax.Expr {
	for {
		p, ok := x.(*syntax.Paren)
		if !ok {
			return x
		}
		x = p.X
	}
}

// function works out a function of the language, or a method of a thing.
func (ev *evaluator) function(b *check.Bound, of value.Value, at diag.Span, e *env) value.Value {
	var few struct { // one piece of memory: most calls are given no more
		args  builtin.Args
		given [2]builtin.Arg
	}
	a := &few.args
	*a = builtin.Args{Function: b.Function, At: at, Of: of, Given: few.given[:], World: ev}
	if len(b.Args) > len(few.given) {
		a.Given = make([]builtin.Arg, len(b.Args))
	}
	a.Given = a.Given[:len(b.Args)]
	params := b.Function.Params
	for i, x := range b.Args {
		switch p := &params[min(i, len(params)-1)]; {
		case x == nil:
			a.Given[i] = builtin.Arg{V: p.Value}
		case p.TakesWord():
			a.Given[i] = builtin.Arg{V: value.Word(unwrapped(x).(*syntax.Name).Name), At: x}
		default:
			v := ev.eval(x, e)
			if f, ok := v.(*value.Family); ok && (p.TakesList() || f.OfPoints()) {
				v = value.ListFrom(f)
			}
			a.Given[i] = builtin.Arg{V: v, At: x}
		}
	}
	return b.Function.Value(a)
}

// apply calls a let with parameters.
func (ev *evaluator) apply(f function, b *check.Bound, x *syntax.Call, e *env) value.Value {
	if b == nil {
		b = ev.bindLate(check.Bound{Decl: f.decl}, x)
	}
	in := f.env.child(len(b.Params()))
	ev.bind(b, x, e, in)
	key := ev.calls.Begin(f)
	for _, p := range b.Params() {
		key = ev.calls.With(key, in.find(p).v)
	}
	if k, known := ev.calls.Known(key); known {
		if k.measured {
			ev.measured++
		}
		return k.v
	}
	ev.depth++
	defer func() { ev.depth-- }()
	if ev.depth > maxDepth {
		ev.fail("P2061", x.At, "functions call each other too deep")
	}
	before := ev.measured
	v := ev.eval(f.let.Value, in)
	ev.calls.Keep(key, called{v, ev.measured > before})
	return v
}

// called is what a call of a design's function came to.
type called struct {
	v        value.Value
	measured bool // on the way, of what was made
}

// bindLate binds the call of what only its receiver's value told.
func (ev *evaluator) bindLate(to check.Bound, x *syntax.Call) *check.Bound {
	b, wrong := check.BindLate(to, x)
	if wrong != nil {
		panic(value.Mistake{D: *wrong})
	}
	return b
}

// bind gives the declared parameters of a call their arguments or defaults in a new
// scope, and holds each to its range.
func (ev *evaluator) bind(b *check.Bound, call *syntax.Call, e, in *env) {
	params := b.Params()
	for i, p := range params {
		d := p.Param
		x, from := b.Args[i], e
		if x == nil {
			x, from = d.Default, in
		}
		if x == nil {
			ev.fail("P2023", call.At, fmt.Sprintf("%s is not given", d.Name.Name), diag.Related{Span: d.At, Message: "declared here"})
		}
		in.later(p, d.At, func() value.Value {
			v := ev.eval(x, from)
			if d.List { // of a family, which is counted from 1 from here on
				v = value.ListFrom(v)
			}
			ev.within(v, d, x, in)
			return v
		}).says = source{x, from}
	}
	for _, p := range params { // mistakes belong to the call, not to the first use
		in.find(p).value(ev, p.Param.At)
	}
}

// within holds an argument to its parameter's range.
func (ev *evaluator) within(v value.Value, d *syntax.Decl, x syntax.Expr, in *env) {
	n, ok := v.(value.Number)
	if d.Domain == nil || d.Domain.Hi == nil || !ok {
		return
	}
	lo, hi := ev.number(d.Domain.Lo, in), ev.number(d.Domain.Hi, in)
	slack := float64(equalWithin * max(1, math.Abs(n.V)))
	if n.V < lo.V-slack || n.V > hi.V+slack || math.IsNaN(n.V) {
		more := []any{diag.Related{Span: d.At, Message: ev.says("declared in %s..%s", value.Shown(lo), value.Shown(hi))}}
		ev.fail("P3010", x.Span(), ev.says("%s is %s, outside its range", d.Name.Name, value.Shown(n)), append(more, ev.sources(x)...)...)
	}
}

// sources tells of every parameter of the design that an expression names what
// it is at this size, and points to the statement that says so.
func (ev *evaluator) sources(x syntax.Expr) []any {
	var out []any
	seen := map[*check.Decl]bool{}
	syntax.Inspect(x, func(n syntax.Node) bool {
		name, ok := n.(*syntax.Name)
		if !ok {
			return true
		}
		d := ev.prog.DeclOf(name)
		if d == nil || d.Param == nil || seen[d] || ev.top[d] == nil {
			return true
		}
		seen[d] = true
		v, ok := ev.top[d].v.(value.Number)
		if !ok {
			return true
		}
		says := diag.Related{Span: d.At, Message: ev.says("%s is %s", d.Name, value.Shown(v))}
		if ev.size != nil {
			for i := range ev.size.States {
				if st := &ev.size.States[i]; st.Name.Name == d.Name {
					says = diag.Related{Span: st.At, Message: ev.says("size %s makes %s %s", ev.size.Name.Name, d.Name, value.Shown(v))}
				}
			}
		}
		out = append(out, says)
		return true
	})
	return out
}

// stock is a sheet metal under the name that the design gives it.
func (ev *evaluator) stock(s *syntax.Stock, e *env) value.Value {
	v := ev.eval(s.Value, e)
	st := as[value.Stock](v, s.Value, "stock")
	named := *st.Stock
	named.Name = s.Name.Name
	return value.Stock{Stock: &named}
}
