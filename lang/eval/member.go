package eval

import (
	"fmt"
	"perch/lang/diag"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/solid"
)

// thingOf is the kind of thing by which the language's own members of a value are found.
func thingOf(v value.Value) builtin.Kind {
	switch v.(type) {
	case *solid.Body:
		return builtin.BodyKind
	case solid.Side:
		return builtin.SideKind
	case solid.Corner:
		return builtin.CornerKind
	case value.Placed:
		return builtin.PlaneKind
	case value.Stock:
		return builtin.StockKind
	case *value.Shape, *value.List, cutRef:
		return builtin.ShapeKind
	case *face:
		return builtin.FaceKind
	case edge:
		return builtin.EdgeKind
	case *part:
		return builtin.PartKind
	}
	return builtin.Invalid
}

// member reads x.name.
func (ev *evaluator) member(v value.Value, x *syntax.Member) value.Value {
	name := x.Name.Name
	if f, ok := v.(*value.Family); ok {
		return eachOf(f, func(m value.Value) value.Value { return ev.member(m, x) })
	}
	if l, ok := v.(*value.List); ok {
		return ev.eachIn(l, x.At, func(m value.Value) value.Value { return ev.member(m, x) })
	}
	if m := builtin.MemberOf(thingOf(v), name); m != nil && !m.Method && !ev.named(x) {
		return m.Value(&builtin.Args{Function: &m.Function, At: x.At, Of: v, World: ev})
	}
	var out value.Value
	ok := false
	switch v := v.(type) {
	case *part:
		out, ok = v.member(ev, name, x)
	case *face:
		out, ok = ev.memberOfFace(v, name, x)
	}
	if !ok {
		ev.fail("P2030", x.Name.At, fmt.Sprintf("%s has no %s", value.Article(value.KindOf(v)), name))
	}
	return out
}

// named tells whether a member was found to be one that a panel or a face names.
func (ev *evaluator) named(x *syntax.Member) bool {
	edges, _ := ev.prog.EdgesOf(x)
	return ev.prog.DeclOf(x) != nil || len(edges) > 0
}

// eachOf is the family of what is made of each member; where that is a family itself
// the indices follow one another.
func eachOf(f *value.Family, of func(m value.Value) value.Value) value.Value {
	out := &value.Family{Keys: make([][]value.Value, 0, len(f.Members)), Members: make([]value.Value, 0, len(f.Members))}
	for i, m := range f.Members {
		v := of(m)
		if inner, ok := v.(*value.Family); ok {
			for j, k := range inner.Keys {
				out.Keys = append(out.Keys, append(append([]value.Value(nil), f.Keys[i]...), k...))
				out.Members = append(out.Members, inner.Members[j])
			}
			continue
		}
		out.Keys = append(out.Keys, f.Keys[i])
		out.Members = append(out.Members, v)
	}
	return out
}

// itemWork is what putting an item into a longer list costs, in steps.
const itemWork = 16

// eachIn is the list of what is made of each item; lists and families that are made are
// joined.
func (ev *evaluator) eachIn(l *value.List, at diag.Span, of func(m value.Value) value.Value) value.Value {
	out := &value.List{}
	for _, it := range l.Items {
		ev.step(at)
		v := value.ListFrom(of(it.V))
		if made, ok := v.(*value.List); ok {
			ev.Spend(at, itemWork*len(made.Items))
			out.Items = append(out.Items, made.Items...)
			continue
		}
		out.Items = append(out.Items, value.Item{V: v})
	}
	return out
}

// method works out x.f(…), b being how the checker bound it, nil where it did not know
// what x is.
func (ev *evaluator) method(v value.Value, m *syntax.Member, x *syntax.Call, b *check.Bound, e *env) value.Value {
	if f, ok := v.(*value.Family); ok {
		if !f.OfPoints() {
			return eachOf(f, func(one value.Value) value.Value { return ev.method(one, m, x, b, e) })
		}
		v = value.ListFrom(f)
	}
	if l, ok := v.(*value.List); ok && !l.OfPoints() {
		return ev.eachIn(l, x.At, func(one value.Value) value.Value { return ev.method(one, m, x, b, e) })
	}
	if f := builtin.MemberOf(thingOf(v), m.Name.Name); f != nil && f.Method {
		if b == nil {
			b = ev.bindLate(check.Bound{Function: &f.Function}, x)
		}
		return ev.function(b, v, x.At, e)
	}
	var d *check.Decl
	var in *env
	switch v := v.(type) {
	case *part:
		d, in = v.decl.Member(m.Name.Name), v.env
	case *face:
		d, in = v.decl.Member(m.Name.Name), v.env
	}
	if d == nil || !d.IsFunc() {
		ev.fail("P2030", m.Name.At, fmt.Sprintf("%s has no %s", value.Article(value.KindOf(v)), m.Name.Name))
	}
	return ev.apply(in.find(d).value(ev, m.Name.At).(function), b, x, e)
}
