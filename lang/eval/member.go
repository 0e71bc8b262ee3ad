package eval

import (
	"fmt"

	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/plane"
	"perch/parts/solid"
)

// member reads x.name.
func (ev *evaluator) member(v value.Value, name string, x *syntax.Member) value.Value {
	out, ok := ev.memberOf(v, name, x)
	if !ok {
		ev.fail("P2030", x.Name.At, fmt.Sprintf("%s has no %s", value.Article(value.KindOf(v)), name))
	}
	return out
}

func (ev *evaluator) memberOf(v value.Value, name string, x *syntax.Member) (value.Value, bool) {
	switch v := v.(type) {
	case *value.Family:
		return ev.memberOfFamily(v, name, x), true
	case *part:
		return v.member(ev, name, x)
	case *face:
		return ev.memberOfFace(v, name, x)
	case edge:
		switch name {
		case "face":
			return v.of, true
		case "length":
			return value.Length(v.length()), true
		}
	case *solid.Body:
		return memberOfBody(v, name)
	case solid.Side:
		if m, ok := memberOfSide(v, name); ok {
			return m, true
		}
		if name == "back" {
			return value.Placed{Frame: v.Frame().Back()}, true
		}
	case value.Placed:
		if name == "back" {
			return value.Placed{Frame: v.Frame.Back()}, true
		}
	case solid.Corner:
		return memberOfCorner(v, name)
	case value.Stock:
		switch name {
		case "thickness":
			return value.Length(v.Thickness), true
		case "radius":
			return value.Length(v.Radius), true
		case "material":
			return value.Material(v.Material), true
		case "density":
			return value.Number{V: v.Density * 1e-9, Dim: quantity.Mass.Div(quantity.Length.Pow(3))}, true
		}
	}
	return nil, false
}

// memberOfFamily is the family of the members; where they are families
// themselves the indices follow one another.
func (ev *evaluator) memberOfFamily(f *value.Family, name string, x *syntax.Member) value.Value {
	out := &value.Family{Keys: make([][]value.Value, 0, len(f.Members)), Members: make([]value.Value, 0, len(f.Members))}
	for i, m := range f.Members {
		v := ev.member(m, name, x)
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

func memberOfBody(b *solid.Body, name string) (value.Value, bool) {
	sides := b.Sides()
	switch name {
	case "top":
		return value.Placed{Frame: b.Top()}, true
	case "bottom":
		return value.Placed{Frame: b.Bottom()}, true
	case "sides":
		return value.ListOf(sides...), true
	case "corners":
		return value.ListOf(b.Corners()...), true
	case "height":
		return value.Length(b.Height()), true
	}
	if len(sides) == 4 {
		for i, n := range []string{"front", "right", "back", "left"} {
			if n == name {
				return sides[i], true
			}
		}
	}
	return nil, false
}

func memberOfSide(s solid.Side, name string) (value.Value, bool) {
	switch name {
	case "left":
		return s.Left(), true
	case "right":
		return s.Right(), true
	case "neighbours":
		return value.ListOf(s.Left().Left(), s.Right().Right()), true
	case "number":
		return value.Count(s.Number()), true
	case "body":
		return s.Body, true
	case "lean":
		return value.Number{V: s.Lean(), Dim: quantity.Angle}, true
	case "slant":
		return value.Length(s.Slant()), true
	}
	return nil, false
}

func memberOfCorner(c solid.Corner, name string) (value.Value, bool) {
	switch name {
	case "left":
		return c.Left(), true
	case "right":
		return c.Right(), true
	case "sides":
		return value.ListOf(c.Left(), c.Right()), true
	case "number":
		return value.Count(c.Number()), true
	case "height":
		return value.Length(c.Height()), true
	}
	return nil, false
}

// method works out x.f(…).
func (ev *evaluator) method(v value.Value, m *syntax.Member, x *syntax.Call, e *env) value.Value {
	switch v := v.(type) {
	case *solid.Body:
		return ev.bodyMethod(v, m, x, e)
	case solid.Side:
		return ev.sideMethod(v, m, x, e)
	case solid.Corner:
		if m.Name.Name == "other" {
			a := ev.arguments(x, e, []string{"side"})
			s, ok := a.value("side").(solid.Side)
			if !ok {
				ev.wrong(a.need("side"), a.value("side"), "side")
			}
			o, ok := v.Other(s)
			if !ok {
				ev.fail("P4007", x.At, fmt.Sprintf("side %d does not meet corner %d", s.Number(), v.Number()))
			}
			return o
		}
	case *value.Shape, *value.List:
		return ev.shapeMethod(value.ShapeOf(v, m.X), m, x, e)
	case *part:
		if d := v.decl.Member(m.Name.Name); d != nil && d.IsFunc() {
			return ev.apply(v.env.find(d).value(ev, m.Name.At).(function), x, e)
		}
	case *face:
		if m.Name.Name == "edge" {
			return ev.edgeIn(v, ev.arguments(x, e, []string{"plane"}), x)
		}
		if d := v.decl.Member(m.Name.Name); d != nil && d.IsFunc() {
			return ev.apply(v.env.find(d).value(ev, m.Name.At).(function), x, e)
		}
	}
	ev.fail("P2030", m.Name.At, fmt.Sprintf("%s has no %s", value.Article(value.KindOf(v)), m.Name.Name))
	return nil
}

func (ev *evaluator) bodyMethod(b *solid.Body, m *syntax.Member, x *syntax.Call, e *env) value.Value {
	switch m.Name.Name {
	case "under", "over":
		a := ev.arguments(x, e, []string{"stock"})
		s, ok := a.value("stock").(value.Stock)
		if !ok {
			ev.wrong(a.need("stock"), a.value("stock"), "stock")
		}
		t := s.Thickness
		if m.Name.Name == "over" {
			t = -t
		}
		n, err := b.Inset(t, t, 0)
		return ev.bodyOr(n, err, x.At)
	case "inset":
		a := ev.arguments(x, e, []string{"sides", "top", "bottom"})
		n, err := b.Inset(a.lengthOr("sides", 0), a.lengthOr("top", 0), a.lengthOr("bottom", 0))
		return ev.bodyOr(n, err, x.At)
	}
	ev.fail("P2030", m.Name.At, fmt.Sprintf("a body has no %s", m.Name.Name))
	return nil
}

func (ev *evaluator) sideMethod(s solid.Side, m *syntax.Member, x *syntax.Call, e *env) value.Value {
	switch m.Name.Name {
	case "up":
		return value.Length(s.Up(ev.arguments(x, e, []string{"z"}).length("z")))
	case "half":
		return value.Length(s.Half(ev.arguments(x, e, []string{"v"}).length("v")))
	case "band":
		a := ev.arguments(x, e, []string{"lo", "hi"})
		lo, hi := a.length("lo"), a.length("hi")
		if !(lo < hi) {
			ev.fail("P4001", x.At, "this band has no depth", fmt.Sprintf("from %s up to %s", value.Millimetres(lo), value.Millimetres(hi)))
		}
		return &value.Shape{At: x.At, Draw: func(c *value.Canvas) value.Drawn { return c.SideBand(s, lo, hi, x.At) }}
	case "under":
		a := ev.arguments(x, e, []string{"stock"})
		st, ok := a.value("stock").(value.Stock)
		if !ok {
			ev.wrong(a.need("stock"), a.value("stock"), "stock")
		}
		b, err := s.Body.Inset(st.Thickness, st.Thickness, 0)
		ev.bodyOr(b, err, x.At)
		return b.Sides()[s.Number()-1]
	}
	ev.fail("P2030", m.Name.At, fmt.Sprintf("a side has no %s", m.Name.Name))
	return nil
}

func (ev *evaluator) shapeMethod(s *value.Shape, m *syntax.Member, x *syntax.Call, e *env) value.Value {
	switch m.Name.Name {
	case "inset", "outset":
		d := ev.arguments(x, e, []string{"d"}).length("d")
		if m.Name.Name == "inset" {
			d = -d
		}
		return s.Grown(x.At, m.Name.Name, d)
	case "turned":
		return s.Turned(x.At, ev.number(ev.arguments(x, e, []string{"angle"}).need("angle"), e).V)
	case "mirrored":
		return s.Mirrored(x.At)
	case "rounded":
		r := ev.arguments(x, e, []string{"r"}).positive("r")
		return s.Dressed(x.At, "rounded", func(g plane.Region) (plane.Region, error) { return plane.Round(g, r) })
	case "chamfered":
		k := ev.arguments(x, e, []string{"c"}).positive("c")
		return s.Dressed(x.At, "chamfered", func(g plane.Region) (plane.Region, error) { return plane.Chamfer(g, k) })
	}
	ev.fail("P2030", m.Name.At, fmt.Sprintf("a shape has no %s", m.Name.Name))
	return nil
}
