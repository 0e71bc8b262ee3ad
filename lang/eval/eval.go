package eval

import (
	"fmt"
	"math"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/solid"
)

// eval works an expression out in a scope.
func (ev *evaluator) eval(x syntax.Expr, e *env) value.Value {
	ev.step(x.Span())
	switch x := x.(type) {
	case *syntax.Literal:
		if x.Value.Kind == quantity.Gauge {
			return value.Gauge{N: int(x.Value.Value)}
		}
		return value.Number{V: x.Value.Value, Dim: x.Value.Dim, Whole: x.Value.Whole}
	case *syntax.Text:
		return x.Value
	case *syntax.Name:
		return ev.name(x, e)
	case *syntax.Paren:
		return ev.eval(x.X, e)
	case *syntax.Pair:
		return value.Pair{X: ev.number(x.X, e), Y: ev.number(x.Y, e)}
	case *syntax.Triple:
		return value.Triple{X: ev.number(x.X, e), Y: ev.number(x.Y, e), Z: ev.number(x.Z, e)}
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
		return ev.member(ev.eval(x.X, e), x)
	case *syntax.IndexExpr:
		return ev.index(x, e)
	}
	panic(fmt.Sprintf("no rule to evaluate %T", x))
}

func (ev *evaluator) name(x *syntax.Name, e *env) value.Value {
	d := ev.prog.DeclOf(x)
	switch {
	case d == nil:
		ev.fail("P2001", x.At, fmt.Sprintf("unknown name %s", x.Name))
	case d.Kind == check.Constant && d.Type.Kind == check.FlagKind:
		return d.Name == "true"
	case d.Kind == check.Constant:
		return value.Material(d.Name)
	}
	return ev.valueOf(d, x.At, e)
}

// valueOf is what a declaration came to in a scope.
func (ev *evaluator) valueOf(d *check.Decl, at diag.Span, e *env) value.Value {
	if b := e.find(d); b != nil {
		return b.value(ev, at)
	}
	return ev.declared(d, at)
}

// declared is the value of a top-level name, worked out once a size.
func (ev *evaluator) declared(d *check.Decl, at diag.Span) value.Value {
	b := ev.top[d]
	if b == nil {
		b = &binding{decl: d, state: waiting, at: d.Node.Span()}
		b.work = func() value.Value { return ev.statement(d) }
		ev.top[d] = b
	}
	return b.value(ev, at)
}

func (ev *evaluator) statement(d *check.Decl) value.Value {
	e := &env{}
	switch s := d.Node.(type) {
	case *syntax.Let:
		return ev.letValue(d, s, e)
	case *syntax.Stock:
		return ev.stock(s, e)
	case *syntax.Body:
		return ev.copies(d, e, func(e *env) value.Value {
			return as[*solid.Body](ev.eval(s.Value, e), s.Value, "body")
		})
	case *syntax.Panel:
		return panelRef{d, s, e}
	case *syntax.Part:
		return ev.parts(d, s, e)
	case *syntax.Param:
		// its value is put in place by the solver before anything is evaluated
		panic(silent{})
	}
	ev.fail("P2010", d.Node.Span(), fmt.Sprintf("%s has no value", d.Name))
	return nil
}

func (ev *evaluator) list(x *syntax.List, e *env) value.Value {
	l := &value.List{}
	for i := range x.Items {
		it := &x.Items[i]
		v := value.Item{At: it, V: ev.eval(it.Value, e)}
		if it.Round != nil {
			v.Round = ev.lengthOf(it.Round, e)
		}
		if it.Chamfer != nil {
			v.Chamfer = ev.lengthOf(it.Chamfer, e)
		}
		if it.Arc != nil {
			switch a := ev.eval(it.Arc, e).(type) {
			case value.Pair:
				v.Through = &a
			case value.Number:
				v.Arc = a.V
			}
		}
		if it.Edge != nil {
			v.Edges = []value.EdgeName{{Name: it.Edge.Name}}
		}
		l.Items = append(l.Items, v)
	}
	return l
}

func (ev *evaluator) unary(x *syntax.Unary, e *env) value.Value {
	if x.Op == syntax.OpNot {
		return !ev.flag(x.X, e)
	}
	v := ev.eval(x.X, e)
	n, ok := builtin.OperatorOf(x.Op).Of(v, nil, x.At, x.At)
	if !ok {
		ev.wrong(x.X, v, "number")
	}
	return n
}

func (ev *evaluator) in(x *syntax.In, e *env) value.Value {
	v := ev.eval(x.X, e)
	if x.Domain.Hi == nil {
		all := ev.domain(x.Domain, e)
		ev.Spend(x.At, len(all))
		for _, m := range all {
			if value.SameKey(v, m) {
				return true
			}
		}
		return false
	}
	n := as[value.Number](v, x.X, "number")
	lo, hi := ev.number(x.Domain.Lo, e), ev.number(x.Domain.Hi, e)
	return n.V >= lo.V && n.V <= hi.V
}

func (ev *evaluator) index(x *syntax.IndexExpr, e *env) value.Value {
	v := ev.eval(x.X, e)
	keys := make([]value.Value, len(x.Index))
	for i, k := range x.Index {
		keys[i] = ev.eval(k, e)
	}
	switch v := v.(type) {
	case *value.Family:
		m, n := v.Pick(keys)
		switch {
		case n == 0:
			ev.fail("P2062", x.At, fmt.Sprintf("%s has no copy of this index", x.X.Span().Text()), describeKeys(v))
		case n > 1:
			ev.fail("P2062", x.At, fmt.Sprintf("%d copies of %s have this index", n, x.X.Span().Text()),
				"sides and corners are known by their numbers, whatever body they are of: name the very one that the family was made with")
		}
		return m
	case *value.List:
		i := ev.count(keys[0], x.Index[0])
		if len(keys) != 1 || i < 1 || i > len(v.Items) {
			ev.fail("P2062", x.Index[0].Span(), fmt.Sprintf("the list has %d items, counted from 1", len(v.Items)))
		}
		return v.Items[i-1].V
	}
	ev.fail("P2010", x.X.Span(), value.Article(value.KindOf(v))+" has no copies to index")
	return nil
}

func describeKeys(f *value.Family) string {
	if len(f.Members) == 0 {
		return "it is empty at this size"
	}
	return fmt.Sprintf("it has %d copies at this size", len(f.Members))
}

func (ev *evaluator) binary(x *syntax.Binary, e *env) value.Value {
	switch x.Op {
	case syntax.OpAnd:
		return ev.flag(x.X, e) && ev.flag(x.Y, e)
	case syntax.OpOr:
		return ev.flag(x.X, e) || ev.flag(x.Y, e)
	}
	a, b := ev.eval(x.X, e), ev.eval(x.Y, e)
	op := builtin.OperatorOf(x.Op)
	na, oka := a.(value.Number)
	nb, okb := b.(value.Number)
	if oka && okb && op.Holds != nil {
		return op.Compare(na, nb, x.OpAt)
	}
	if v, ok := op.Of(a, b, x.At, x.OpAt); ok {
		return v
	}
	switch x.Op {
	case syntax.OpEq:
		return value.SameKey(a, b)
	case syntax.OpNe:
		return !value.SameKey(a, b)
	case syntax.OpAt:
		switch a := a.(type) {
		case *solid.Body:
			return ev.put(a, b, x)
		case solid.Side, value.Placed, *face:
			return ev.planeOf(a, x.X).At(value.PointOf(b, x.Y))
		}
		return value.PlacedAt(x, a, b)
	case syntax.OpMeet:
		return value.Meet(value.ShapeOf(a, x.X), value.ShapeOf(b, x.Y), x.At)
	case syntax.OpAdd, syntax.OpSub:
		if oka || okb {
			break
		}
		if x.Op == syntax.OpAdd {
			return value.Plus(value.ShapeOf(a, x.X), value.ShapeOf(b, x.Y), x.At)
		}
		return value.Without(value.ShapeOf(a, x.X), value.ShapeOf(b, x.Y), x.At)
	}
	ev.fail("P2011", x.OpAt, fmt.Sprintf("%s and %s do not go together here", value.KindOf(a), value.KindOf(b)))
	return nil
}

// equalWithin is the relative difference below which two quantities are equal.
const equalWithin = value.EqualWithin

func (ev *evaluator) wrong(x syntax.Node, v value.Value, want string) { value.Wrong(x, v, want) }

// as is a value that is a T; it unwinds where it is none.
func as[T value.Value](v value.Value, at syntax.Node, want string) T {
	t, ok := v.(T)
	if !ok {
		value.Wrong(at, v, want)
	}
	return t
}

func (ev *evaluator) number(x syntax.Expr, e *env) value.Number {
	v := ev.eval(x, e)
	n := as[value.Number](v, x, "number")
	return n
}

func (ev *evaluator) lengthOf(x syntax.Expr, e *env) float64 {
	n := ev.number(x, e)
	if n.Dim != quantity.Length {
		ev.fail("P2012", x.Span(), fmt.Sprintf("a length is wanted, this is a %s", n.Dim))
	}
	return n.V
}

func (ev *evaluator) flag(x syntax.Expr, e *env) bool {
	v := ev.eval(x, e)
	f := as[bool](v, x, "flag")
	return f
}

func (ev *evaluator) count(v value.Value, at syntax.Node) int {
	n, ok := v.(value.Number)
	if !ok || n.V != math.Trunc(n.V) || n.Dim != quantity.None || math.Abs(n.V) > 1e9 {
		ev.wrong(at, v, "count")
	}
	return int(n.V)
}
