package build

import (
	"fmt"
	"math"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// eval works an expression out in a scope.
func (ev *evaluator) eval(x syntax.Expr, e *env) value {
	ev.step(x.Span())
	switch x := x.(type) {
	case *syntax.Literal:
		if x.Value.Kind == quantity.Gauge {
			return gauge{int(x.Value.Value)}
		}
		return number{x.Value.Value, x.Value.Dim, x.Value.Whole}
	case *syntax.Text:
		return x.Value
	case *syntax.Name:
		return ev.name(x, e)
	case *syntax.Paren:
		return ev.eval(x.X, e)
	case *syntax.Pair:
		return pair{ev.number(x.X, e), ev.number(x.Y, e)}
	case *syntax.List:
		return ev.list(x, e)
	case *syntax.If:
		if ev.flag(x.Cond, e) {
			return ev.eval(x.Then, e)
		}
		return ev.eval(x.Else, e)
	case *syntax.Unary:
		return ev.unary(x, e)
	case *syntax.Binary:
		return ev.binary(x, e)
	case *syntax.In:
		return ev.in(x, e)
	case *syntax.Call:
		return ev.call(x, e)
	case *syntax.Member:
		return ev.member(ev.eval(x.X, e), x.Name.Name, x)
	case *syntax.IndexExpr:
		return ev.index(x, e)
	}
	panic(fmt.Sprintf("no rule to evaluate %T", x))
}

func (ev *evaluator) name(x *syntax.Name, e *env) value {
	if b := e.find(x.Name); b != nil {
		return b.value(ev, x.At)
	}
	if d := e.mod.Names[x.Name]; d != nil {
		return ev.declared(d, x.At)
	}
	switch x.Name {
	case "true", "false":
		return x.Name == "true"
	}
	if _, ok := ev.shop.Material(x.Name); ok {
		return material(x.Name)
	}
	if check.IsFunction(x.Name) {
		return builtin(x.Name)
	}
	if check.IsWord(x.Name) {
		return word(x.Name)
	}
	ev.fail("P2001", x.At, fmt.Sprintf("unknown name %s", x.Name))
	return nil
}

// declared is the value of a top-level name, worked out once a size.
func (ev *evaluator) declared(d *check.Decl, at diag.Span) value {
	b := ev.top[d]
	if b == nil {
		b = &binding{name: d.Name, state: waiting, at: d.Node.Span()}
		b.work = func() value { return ev.statement(d) }
		ev.top[d] = b
	}
	return b.value(ev, at)
}

func (ev *evaluator) statement(d *check.Decl) value {
	e := ev.module(d.Module)
	switch s := d.Node.(type) {
	case *syntax.Let:
		if s.IsFunc {
			return function{s, e}
		}
		return ev.eval(s.Value, e)
	case *syntax.Stock:
		return ev.stock(s, e)
	case *syntax.Body:
		v := ev.eval(s.Value, e)
		if b, ok := v.(*solid.Body); ok {
			return b
		}
		ev.fail("P2010", s.Value.Span(), "a body is wanted, this is "+one(kind(v)))
	case *syntax.Panel:
		return panelRef{s, e}
	case *syntax.Part:
		return ev.parts(s, e)
	case *syntax.Param:
		// its value is put in place by the solver before anything is evaluated
		panic(silent{})
	}
	ev.fail("P2010", d.Node.Span(), fmt.Sprintf("%s has no value", d.Name))
	return nil
}

func (ev *evaluator) module(m *check.Module) *env {
	e := ev.modules[m]
	if e == nil {
		e = &env{mod: m}
		ev.modules[m] = e
	}
	return e
}

func (ev *evaluator) list(x *syntax.List, e *env) value {
	l := &list{}
	for i := range x.Items {
		it := &x.Items[i]
		v := item{at: it, v: ev.eval(it.Value, e)}
		if it.Round != nil {
			v.round = ev.lengthOf(it.Round, e)
		}
		if it.Chamfer != nil {
			v.chamfer = ev.lengthOf(it.Chamfer, e)
		}
		if it.Arc != nil {
			switch a := ev.eval(it.Arc, e).(type) {
			case pair:
				v.through = &a
			case number:
				v.arc = a.v
			}
		}
		if it.Edge != nil {
			v.edge = it.Edge.Name
		}
		l.items = append(l.items, v)
	}
	return l
}

func (ev *evaluator) unary(x *syntax.Unary, e *env) value {
	if x.Op == syntax.OpNot {
		return !ev.flag(x.X, e)
	}
	n := ev.number(x.X, e)
	n.v = -n.v
	return n
}

func (ev *evaluator) in(x *syntax.In, e *env) value {
	v := ev.eval(x.X, e)
	if x.Domain.Hi == nil {
		for _, m := range ev.domain(x.Domain, e) {
			if sameKey(v, m) {
				return true
			}
		}
		return false
	}
	n, ok := v.(number)
	if !ok {
		ev.wrong(x.X, v, "number")
	}
	lo, hi := ev.number(x.Domain.Lo, e), ev.number(x.Domain.Hi, e)
	return n.v >= lo.v && n.v <= hi.v
}

func (ev *evaluator) index(x *syntax.IndexExpr, e *env) value {
	v := ev.eval(x.X, e)
	keys := make([]value, len(x.Index))
	for i, k := range x.Index {
		keys[i] = ev.eval(k, e)
	}
	switch v := v.(type) {
	case *family:
		m, ok := v.pick(keys)
		if !ok {
			ev.fail("P2062", x.At, fmt.Sprintf("%s has no copy of this index", x.X.Span().Text()), describeKeys(v))
		}
		return m
	case *list:
		i := ev.count(keys[0], x.Index[0])
		if len(keys) != 1 || i < 1 || i > len(v.items) {
			ev.fail("P2062", x.At, fmt.Sprintf("the list has %d items, counted from 1", len(v.items)))
		}
		return v.items[i-1].v
	}
	ev.fail("P2010", x.X.Span(), one(kind(v))+" has no copies to index")
	return nil
}

func describeKeys(f *family) string {
	if len(f.members) == 0 {
		return "it is empty at this size"
	}
	return fmt.Sprintf("it has %d copies at this size", len(f.members))
}

func (ev *evaluator) binary(x *syntax.Binary, e *env) value {
	switch x.Op {
	case syntax.OpAnd:
		return ev.flag(x.X, e) && ev.flag(x.Y, e)
	case syntax.OpOr:
		return ev.flag(x.X, e) || ev.flag(x.Y, e)
	}
	a, b := ev.eval(x.X, e), ev.eval(x.Y, e)
	na, oka := a.(number)
	nb, okb := b.(number)
	if oka && okb {
		return ev.arithmetic(x, na, nb)
	}
	switch x.Op {
	case syntax.OpEq:
		return sameKey(a, b)
	case syntax.OpNe:
		return !sameKey(a, b)
	case syntax.OpAt:
		return ev.placedAt(x, a, b)
	case syntax.OpMeet:
		return meet(ev.shapeOf(a, x.X), ev.shapeOf(b, x.Y), x.At)
	case syntax.OpAdd, syntax.OpSub:
		if p, ok := a.(pair); ok {
			if q, ok := b.(pair); ok {
				s := 1.0
				if x.Op == syntax.OpSub {
					s = -1
				}
				p.x.v += s * q.x.v
				p.y.v += s * q.y.v
				return p
			}
		}
		if x.Op == syntax.OpAdd {
			return plus(ev.shapeOf(a, x.X), ev.shapeOf(b, x.Y), x.At, ev)
		}
		return without(ev.shapeOf(a, x.X), ev.shapeOf(b, x.Y), x.At, ev)
	case syntax.OpMul, syntax.OpDiv:
		if p, ok := a.(pair); ok && okb {
			k := nb.v
			if x.Op == syntax.OpDiv {
				k = 1 / k
			}
			p.x.v *= k
			p.y.v *= k
			return p
		}
	}
	ev.fail("P2011", x.OpAt, fmt.Sprintf("%s and %s do not go together here", kind(a), kind(b)))
	return nil
}

// equalWithin is the relative difference below which two quantities are equal.
const equalWithin = 1e-9

func (ev *evaluator) arithmetic(x *syntax.Binary, a, b number) value {
	same := func() {
		if a.dim != b.dim {
			ev.fail("P2012", x.OpAt, fmt.Sprintf("%s and %s cannot meet here", a.dim, b.dim))
		}
	}
	done := func(v float64, d quantity.Dim) value {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			why := "the result is not a number"
			if x.Op == syntax.OpDiv && b.v == 0 {
				why = "this divides by zero"
			}
			ev.fail("P2063", x.At, why, fmt.Sprintf("left is %s, right is %s", show(a), show(b)))
		}
		return number{v, d, a.whole && b.whole && v == math.Trunc(v) && x.Op != syntax.OpDiv}
	}
	slack := equalWithin * max(1, math.Abs(a.v), math.Abs(b.v))
	switch x.Op {
	case syntax.OpAdd:
		same()
		return done(a.v+b.v, a.dim)
	case syntax.OpSub:
		same()
		return done(a.v-b.v, a.dim)
	case syntax.OpMul:
		return done(a.v*b.v, a.dim.Mul(b.dim))
	case syntax.OpDiv:
		return done(a.v/b.v, a.dim.Div(b.dim))
	case syntax.OpPow:
		d := a.dim
		if d != quantity.None {
			d = d.Pow(int(b.v)) // the checker lets only whole constants pass
		}
		return done(elementary.Pow(a.v, b.v), d)
	}
	same()
	switch x.Op {
	case syntax.OpEq:
		return math.Abs(a.v-b.v) <= slack
	case syntax.OpNe:
		return math.Abs(a.v-b.v) > slack
	case syntax.OpLt:
		return a.v < b.v-slack
	case syntax.OpLe:
		return a.v <= b.v+slack
	case syntax.OpGt:
		return a.v > b.v+slack
	case syntax.OpGe:
		return a.v >= b.v-slack
	}
	ev.fail("P2011", x.OpAt, "numbers do not go together here")
	return nil
}

// show prints a number as the maker writes it.
func show(n number) string { return quantity.Format(n.v, n.dim, quantity.Millimetres) }

func (ev *evaluator) wrong(x syntax.Node, v value, want string) {
	ev.fail("P2010", x.Span(), fmt.Sprintf("%s is wanted, this is %s", one(want), one(kind(v))))
}

func (ev *evaluator) number(x syntax.Expr, e *env) number {
	v := ev.eval(x, e)
	n, ok := v.(number)
	if !ok {
		ev.wrong(x, v, "number")
	}
	return n
}

func (ev *evaluator) lengthOf(x syntax.Expr, e *env) float64 {
	n := ev.number(x, e)
	if n.dim != quantity.Length {
		ev.fail("P2012", x.Span(), fmt.Sprintf("a length is wanted, this is a %s", n.dim))
	}
	return n.v
}

func (ev *evaluator) flag(x syntax.Expr, e *env) bool {
	v := ev.eval(x, e)
	f, ok := v.(bool)
	if !ok {
		ev.wrong(x, v, "flag")
	}
	return f
}

func (ev *evaluator) count(v value, at syntax.Node) int {
	n, ok := v.(number)
	if !ok || n.v != math.Trunc(n.v) || n.dim != quantity.None || math.Abs(n.v) > 1e9 {
		ev.wrong(at, v, "count")
	}
	return int(n.v)
}
