package build

import (
	"fmt"
	"math"

	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/plane"
	"perch/parts/solid"
)

func lengthValue(v float64) value { return number{v: v, dim: quantity.Length} }

func countValue(n int) value { return number{v: float64(n), whole: true} }

func listOf[T any](vs ...T) value {
	l := &list{}
	for _, v := range vs {
		l.items = append(l.items, item{v: v})
	}
	return l
}

// member reads x.name.
func (ev *evaluator) member(v value, name string, x *syntax.Member) value {
	out, ok := ev.memberOf(v, name, x)
	if !ok {
		ev.fail("P2030", x.Name.At, fmt.Sprintf("%s has no %s", one(kind(v)), name))
	}
	return out
}

func (ev *evaluator) memberOf(v value, name string, x *syntax.Member) (value, bool) {
	switch v := v.(type) {
	case *family:
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
			return lengthValue(v.b.Sub(v.a).Len()), true
		}
	case *solid.Body:
		return memberOfBody(v, name)
	case solid.Side:
		if m, ok := memberOfSide(v, name); ok {
			return m, true
		}
		if name == "back" {
			return placed{v.Frame().Back()}, true
		}
	case placed:
		if name == "back" {
			return placed{v.frame.Back()}, true
		}
	case solid.Corner:
		return memberOfCorner(v, name)
	case stock:
		switch name {
		case "thickness":
			return lengthValue(v.Thickness), true
		case "radius":
			return lengthValue(v.Radius), true
		case "material":
			return material(v.Material), true
		case "density":
			return number{v: v.Density * 1e-9, dim: quantity.Mass.Div(quantity.Length.Pow(3))}, true
		}
	}
	return nil, false
}

// memberOfFamily is the family of the members; where they are families
// themselves the indices follow one another.
func (ev *evaluator) memberOfFamily(f *family, name string, x *syntax.Member) value {
	out := &family{keys: make([][]value, 0, len(f.members)), members: make([]value, 0, len(f.members))}
	for i, m := range f.members {
		v := ev.member(m, name, x)
		if inner, ok := v.(*family); ok {
			for j, k := range inner.keys {
				out.keys = append(out.keys, append(append([]value(nil), f.keys[i]...), k...))
				out.members = append(out.members, inner.members[j])
			}
			continue
		}
		out.keys = append(out.keys, f.keys[i])
		out.members = append(out.members, v)
	}
	return out
}

func memberOfBody(b *solid.Body, name string) (value, bool) {
	sides := b.Sides()
	switch name {
	case "top":
		return placed{b.Top()}, true
	case "bottom":
		return placed{b.Bottom()}, true
	case "sides":
		return listOf(sides...), true
	case "corners":
		return listOf(b.Corners()...), true
	case "height":
		return lengthValue(b.High), true
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

func memberOfSide(s solid.Side, name string) (value, bool) {
	switch name {
	case "left":
		return s.Left(), true
	case "right":
		return s.Right(), true
	case "neighbours":
		return listOf(s.Left().Left(), s.Right().Right()), true
	case "number":
		return countValue(s.Number()), true
	case "body":
		return s.Body, true
	case "lean":
		return number{v: s.Lean(), dim: quantity.Angle}, true
	case "slant":
		return lengthValue(s.Slant()), true
	}
	return nil, false
}

func memberOfCorner(c solid.Corner, name string) (value, bool) {
	switch name {
	case "left":
		return c.Left(), true
	case "right":
		return c.Right(), true
	case "sides":
		return listOf(c.Left(), c.Right()), true
	case "number":
		return countValue(c.Number()), true
	case "height":
		return lengthValue(c.Body.High), true
	}
	return nil, false
}

// method works out x.f(…).
func (ev *evaluator) method(v value, m *syntax.Member, x *syntax.Call, e *env) value {
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
	case *shape, *list:
		return ev.shapeMethod(ev.shapeOf(v, m.X), m, x, e)
	case *part:
		if f, ok := v.env.find(m.Name.Name).value(ev, m.Name.At).(function); ok {
			return ev.apply(f, x, e)
		}
	}
	ev.fail("P2030", m.Name.At, fmt.Sprintf("%s has no %s", one(kind(v)), m.Name.Name))
	return nil
}

func (ev *evaluator) bodyMethod(b *solid.Body, m *syntax.Member, x *syntax.Call, e *env) value {
	switch m.Name.Name {
	case "under", "over":
		a := ev.arguments(x, e, []string{"stock"})
		s, ok := a.value("stock").(stock)
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

func (ev *evaluator) sideMethod(s solid.Side, m *syntax.Member, x *syntax.Call, e *env) value {
	switch m.Name.Name {
	case "up":
		return lengthValue(s.Up(ev.arguments(x, e, []string{"z"}).length("z")))
	case "half":
		return lengthValue(s.Half(ev.arguments(x, e, []string{"v"}).length("v")))
	case "band":
		a := ev.arguments(x, e, []string{"lo", "hi"})
		lo, hi := a.length("lo"), a.length("hi")
		if !(lo < hi) {
			ev.fail("P4001", x.At, "this band has no depth", fmt.Sprintf("from %s up to %s", mm(lo), mm(hi)))
		}
		return &shape{at: x.At, draw: func(c *canvas) drawn { return ev.band(c, x, s, lo, hi) }}
	case "under":
		a := ev.arguments(x, e, []string{"stock"})
		st, ok := a.value("stock").(stock)
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

func (ev *evaluator) band(c *canvas, x *syntax.Call, s solid.Side, lo, hi float64) drawn {
	p := s.Band(lo, hi)
	f := s.Frame()
	if !(p[1].X > p[0].X && p[2].X > p[3].X) {
		ev.fail("P4001", x.At, "the side has run out of width where this band lies")
	}
	m := between(f, c.frame)
	var q [4]plane.Point
	for i := range p {
		if math.Abs(c.frame.Plane().Height(f.At(p[i]))) > 1e-6 {
			ev.fail("P4006", x.At, fmt.Sprintf("the band of side %d does not lie in this face's plane", s.Number()))
		}
		q[i] = m.Apply(p[i])
	}
	l := loopOf(q[:])
	if l.Area() < 0 {
		l = l.Reversed()
	}
	return drawn{region: plane.Region{l}, names: quad(q)}
}

// between takes coordinates of one frame to another in the same or a parallel
// plane.
func between(from, to solid.Frame) plane.Affine {
	o, x, y := to.Local(from.O), to.LocalDir(from.X), to.LocalDir(from.Y)
	return plane.Affine{A: x.X, B: y.X, C: x.Y, D: y.Y, E: o.X, F: o.Y}
}

func (ev *evaluator) shapeMethod(s *shape, m *syntax.Member, x *syntax.Call, e *env) value {
	switch m.Name.Name {
	case "inset", "outset":
		d := ev.arguments(x, e, []string{"d"}).length("d")
		if m.Name.Name == "inset" {
			d = -d
		}
		return ev.edit(s, x.At, m.Name.Name, func(_ *canvas, _ drawn, r plane.Region) (plane.Region, error) {
			return plane.OffsetMiter(r, d, 4), nil
		})
	case "turned":
		a := ev.arguments(x, e, []string{"angle"})
		n := ev.number(a.need("angle"), e)
		return &shape{at: x.At, draw: func(c *canvas) drawn {
			t := n.v
			if c.point.Det() < 0 {
				t = -t
			}
			o := plane.Point{X: c.point.E, Y: c.point.F}
			return s.draw(c).mapped(plane.Translate(o.Neg()).Then(plane.Rotate(t)).Then(plane.Translate(o)))
		}}
	case "mirrored":
		return &shape{at: x.At, draw: func(c *canvas) drawn {
			return s.draw(c).mapped(plane.Affine{A: -1, D: 1, E: 2 * c.point.E})
		}}
	case "rounded":
		r := ev.arguments(x, e, []string{"r"}).positive("r")
		return ev.edit(s, x.At, "rounded", func(_ *canvas, _ drawn, g plane.Region) (plane.Region, error) { return plane.Round(g, r) })
	case "chamfered":
		k := ev.arguments(x, e, []string{"c"}).positive("c")
		return ev.edit(s, x.At, "chamfered", func(_ *canvas, _ drawn, g plane.Region) (plane.Region, error) { return plane.Chamfer(g, k) })
	}
	ev.fail("P2030", m.Name.At, fmt.Sprintf("a shape has no %s", m.Name.Name))
	return nil
}
