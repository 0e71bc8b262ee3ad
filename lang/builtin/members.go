package builtin

import (
	"fmt"

	"perch/lang/quantity"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
)

func property(of Kind, name string, t Type, doc, example string, v func(a *Args) value.Value) Member {
	return Member{Of: of, Function: Function{Name: name, Result: t, Doc: doc, Example: example, Value: v}}
}

func method(of Kind, name string, t Type, doc, example string, v func(a *Args) value.Value, params ...Parameter) Member {
	return Member{Of: of, Method: true, Function: Function{Name: name, Params: params, Result: t, Doc: doc, Example: example, Value: v}}
}

// of reads a member of a thing that is known to be a T.
func of[T any](read func(t T) value.Value) func(a *Args) value.Value {
	return func(a *Args) value.Value { return read(a.Of.(T)) }
}

// from works a method of a thing that is known to be a T out.
func from[T any](read func(a *Args, t T) value.Value) func(a *Args) value.Value {
	return func(a *Args) value.Value { return read(a, a.Of.(T)) }
}

// on works a member of a plane out, of whatever is one.
func on(read func(a *Args, p value.Placed) value.Value) func(a *Args) value.Value {
	return func(a *Args) value.Value {
		p, _ := value.PlaneOf(a.Of)
		return read(a, p)
	}
}

func bodySide(n int) func(a *Args) value.Value {
	return func(a *Args) value.Value {
		sides := a.Of.(*solid.Body).Sides()
		if len(sides) != 4 {
			a.Fail("P2030", fmt.Sprintf("a body of %d sides has no %s", len(sides), a.Function.Name), "take one of its sides by number, as in sides[1]")
		}
		return sides[n]
	}
}

var bodyMembers = []Member{
	property(BodyKind, "top", planes, "the upper end", "core.top", of(func(b *solid.Body) value.Value { return value.Placed{Frame: b.Top()} })),
	property(BodyKind, "bottom", planes, "the floor", "core.bottom", of(func(b *solid.Body) value.Value { return value.Placed{Frame: b.Bottom()} })),
	property(BodyKind, "sides", list(side), "anticlockwise from the front, seen from above", "core.sides",
		of(func(b *solid.Body) value.Value { return value.ListOf(b.Sides()...) })),
	property(BodyKind, "corners", list(corner), "corner k is the right end of side k", "core.corners",
		of(func(b *solid.Body) value.Value { return value.ListOf(b.Corners()...) })),
	property(BodyKind, "height", length, "from its own bottom to its top", "core.height", of(func(b *solid.Body) value.Value { return value.Length(b.Height()) })),
	property(BodyKind, "front", side, "the side that faces the viewer", "core.front", bodySide(0)),
	property(BodyKind, "right", side, "the side to the viewer's right", "core.right", bodySide(1)),
	property(BodyKind, "back", side, "the side away from the viewer", "core.back", bodySide(2)),
	property(BodyKind, "left", side, "the side to the viewer's left", "core.left", bodySide(3)),
	method(BodyKind, "under", body, "sides and top moved in by one sheet; the bottom stays", "core.under(steel)", from(func(a *Args, b *solid.Body) value.Value {
		t := a.Stock("stock").Thickness
		return a.stands(b.Inset(t, t, 0))
	}), need("stock", "", stock)),
	method(BodyKind, "over", body, "sides and top moved out by one sheet; the bottom stays", "core.over(steel)", from(func(a *Args, b *solid.Body) value.Value {
		t := -a.Stock("stock").Thickness
		return a.stands(b.Inset(t, t, 0))
	}), need("stock", "", stock)),
	method(BodyKind, "room", body, "moved in by one sheet all round: what fits inside", "core.room(steel)", from(func(a *Args, b *solid.Body) value.Value {
		t := a.Stock("stock").Thickness
		return a.stands(b.Inset(t, t, t))
	}), need("stock", "", stock)),
	method(BodyKind, "inset", body, "moved in by lengths", "core.inset(sides: 4mm, front: 9mm)",
		from(func(a *Args, b *solid.Body) value.Value { return a.margins(b, 1) }), margins()...),
	method(BodyKind, "outset", body, "moved out by lengths", "core.outset(sides: 4mm, top: 1mm)",
		from(func(a *Args, b *solid.Body) value.Value { return a.margins(b, -1) }), margins()...),
	method(BodyKind, "turned", body, "anticlockwise about its own plumb line, seen from above", "core.turned(30deg)",
		from(func(a *Args, b *solid.Body) value.Value { return b.Turned(a.Number("angle").V) }), need("angle", "", angle)),
}

// fourSides are the sides of a body of four, in their order.
var fourSides = []string{"front", "right", "back", "left"}

func margins() []Parameter {
	out := []Parameter{may("sides", "0mm", "each side, square to it", length).labelled()}
	for _, n := range fourSides {
		out = append(out, may(n, "", "in place of sides, of a body of four", length).labelled())
	}
	return append(out, may("top", "0mm", "", length).labelled(), may("bottom", "0mm", "", length).labelled())
}

// margins moves sides, top and bottom of a body, in by sign 1 and out by -1. A side by
// its name goes before all of them.
func (a *Args) margins(b *solid.Body, sign float64) value.Value {
	by := make([]float64, len(b.Sides()))
	for i := range by {
		by[i] = sign * a.Length("sides")
	}
	for i, n := range fourSides {
		if !a.Has(n) {
			continue
		}
		if len(by) != 4 {
			value.Fail("P2030", a.Place(n), fmt.Sprintf("a body of %d sides has no %s", len(by), n), "state sides, or make the body of four")
		}
		by[i] = sign * a.Length(n)
	}
	return a.stands(b.InsetEach(by, sign*a.Length("top"), sign*a.Length("bottom")))
}

var sideMembers = []Member{
	property(SideKind, "left", corner, "seen from outside", "core.front.left", of(func(s solid.Side) value.Value { return s.Left() })),
	property(SideKind, "right", corner, "seen from outside", "core.front.right", of(func(s solid.Side) value.Value { return s.Right() })),
	property(SideKind, "neighbours", list(side), "the sides at its left and right", "core.front.neighbours",
		of(func(s solid.Side) value.Value { return value.ListOf(s.Left().Left(), s.Right().Right()) })),
	property(SideKind, "number", count, "from 1, the front", "core.right.number", of(func(s solid.Side) value.Value { return value.Count(s.Number()) })),
	property(SideKind, "body", body, "whose side it is", "core.front.body", of(func(s solid.Side) value.Value { return s.Body })),
	property(SideKind, "lean", angle, "from plumb; positive is wider below", "core.front.lean",
		of(func(s solid.Side) value.Value { return value.Number{V: s.Lean(), Dim: quantity.Angle} })),
	property(SideKind, "slant", length, "its height measured on it", "core.front.slant", of(func(s solid.Side) value.Value { return value.Length(s.Slant()) })),
	method(SideKind, "up", length, "a height above the floor as a v on it", "core.front.up(40mm)",
		from(func(a *Args, s solid.Side) value.Value { return value.Length(s.Up(a.Length("z"))) }), need("z", "", length)),
	method(SideKind, "half", length, "from its middle line to its right end at a v: half its width, unless a side was moved alone", "core.front.half(10mm)",
		from(func(a *Args, s solid.Side) value.Value { return value.Length(s.Half(a.Length("v"))) }), need("v", "", length)),
	method(SideKind, "band", edged("left", "right", "top", "bottom"), "its outline between two v", "core.front.band(10mm, 60mm)",
		from(band), need("lo", "", length), need("hi", "", length)),
	method(SideKind, "under", side, "moved in by one sheet", "core.front.under(steel)", from(func(a *Args, s solid.Side) value.Value {
		t := a.Stock("stock").Thickness
		return a.stands(s.Body.Inset(t, t, 0)).Sides()[s.Number()-1]
	}), need("stock", "", stock)),
}

// rising are two lengths of which the second is the larger.
func (a *Args) rising(from, to string) (lo, hi float64) {
	lo, hi = a.Length(from), a.Length(to)
	if !(lo < hi) {
		a.Fail("P4001", "this band has no depth", measure.Say("from %s up to %s", value.ShownLength(lo), value.ShownLength(hi)))
	}
	return lo, hi
}

func band(a *Args, s solid.Side) value.Value {
	lo, hi := a.rising("lo", "hi")
	return a.made(func(c *value.Canvas) value.Drawn { return c.SideBand(s, lo, hi, a.At) })
}

var cornerMembers = []Member{
	property(CornerKind, "left", side, "seen from outside", "core.corners[1].left", of(func(c solid.Corner) value.Value { return c.Left() })),
	property(CornerKind, "right", side, "seen from outside", "core.corners[1].right", of(func(c solid.Corner) value.Value { return c.Right() })),
	property(CornerKind, "sides", list(side), "its left and its right side", "core.corners[1].sides",
		of(func(c solid.Corner) value.Value { return value.ListOf(c.Left(), c.Right()) })),
	method(CornerKind, "other", side, "its side that is not this one", "core.front.left.other(core.front)", from(func(a *Args, c solid.Corner) value.Value {
		s := given[solid.Side](a, "side", "side")
		o, ok := c.Other(s)
		if !ok {
			a.Fail("P4007", fmt.Sprintf("side %d does not meet corner %d", s.Number(), c.Number()),
				fmt.Sprintf("sides %d and %d meet there", c.Left().Number(), c.Right().Number()))
		}
		return o
	}), need("side", "", side)),
	property(CornerKind, "number", count, "of the side it ends at the right", "core.corners[2].number",
		of(func(c solid.Corner) value.Value { return value.Count(c.Number()) })),
	property(CornerKind, "height", length, "of its upper end above the floor", "core.corners[1].height",
		of(func(c solid.Corner) value.Value { return value.Length(c.Height()) })),
}

var planeMembers = []Member{
	property(PlaneKind, "back", planes, "the same plane, drawn on its other side; u runs the other way", "core.front.back",
		on(func(_ *Args, p value.Placed) value.Value { return p.Back() })),
	method(PlaneKind, "moved", planes, "towards whoever looks at its drawn side; the metal stays behind", "core.front.moved(5mm)",
		on(func(a *Args, p value.Placed) value.Value { return p.Moved(a.Length("d")) }), need("d", "", length)),
}

var faceMembers = []Member{
	property(FaceKind, "over", planes, "for metal laid on its drawn side; origin, u and v are the face's, down bends away from it", "plate.top.over",
		of(func(f Face) value.Value { return f.Placed().Over() })),
	property(FaceKind, "under", planes, "for metal laid behind it; origin, u and v are the face's, down bends away from it", "plate.top.under",
		of(func(f Face) value.Value { return f.Placed().Moved(-f.Thickness()) })),
	property(FaceKind, "outline", shape, "as drawn", "plate.top.outline", from(func(a *Args, f Face) value.Value { return f.Shape(a.At) })),
	property(FaceKind, "middle", point, "of its outline: half way between its ends in u and in v", "plate.top.middle",
		of(func(f Face) value.Value { p := f.Middle(); return value.PointAt(p.X, p.Y) })),
	method(FaceKind, "places", list(point), "the middles of another part's cut, square onto this face", "plate.top.places(shelf.top.hole)",
		from(func(a *Args, f Face) value.Value {
			var all []value.Value
			eachOf(a, "cut", "cut", func(c Cut) {
				for _, at := range c.Middles() {
					p := f.UV(at)
					all = append(all, value.PointAt(p.X, p.Y))
				}
			})
			return value.ListOf(all...)
		}), need("cut", "or a family of cuts", cut).families()),
	property(FaceKind, "edges", list(edge), "of its outline, in order", "plate.top.edges",
		of(func(f Face) value.Value { return value.ListOf(f.Edges()...) })),
	method(FaceKind, "edge", edge, "of its outline, the one that lies in a plane", "plate.top.edge(core.front)",
		from(func(a *Args, f Face) value.Value { return a.World.EdgeIn(f, a.frame("plane", a.Value("plane")), a.At) }),
		need("plane", "such as a side of a body", planes)),
}

var edgeMembers = []Member{
	property(EdgeKind, "face", face, "whose edge it is", "plate.top.left.face", of(func(e Edge) value.Value { return e.Face() })),
	property(EdgeKind, "length", length, "", "plate.top.left.length", of(func(e Edge) value.Value { return value.Length(e.Length()) })),
}

var shapeMembers = []Member{
	method(ShapeKind, "inset", shape, "every edge moved in", "rect(60mm, 40mm).inset(3mm)",
		func(a *Args) value.Value { return a.shape().Grown(a.At, a.Function.Name, -a.Length("d")) }, need("d", "", length)),
	method(ShapeKind, "outset", shape, "every edge moved out", "circle(20mm).outset(3mm)",
		func(a *Args) value.Value { return a.shape().Grown(a.At, a.Function.Name, a.Length("d")) }, need("d", "", length)),
	method(ShapeKind, "turned", shape, "anticlockwise about the origin", "rect(60mm, 40mm).turned(15deg)",
		func(a *Args) value.Value { return a.shape().Turned(a.At, a.Number("angle").V) }, need("angle", "", angle)),
	method(ShapeKind, "mirrored", shape, "about u = 0", "slot(40mm, 8mm).mirrored()",
		func(a *Args) value.Value { return a.shape().Mirrored(a.At) }),
	method(ShapeKind, "rounded", shape, "every corner made round", "rect(60mm, 40mm).rounded(6mm)", func(a *Args) value.Value {
		r := a.Positive("r")
		return a.shape().Dressed(a.At, a.Function.Name, func(g plane.Region) (plane.Region, error) { return plane.Round(g, r) })
	}, need("r", "", length)),
	method(ShapeKind, "chamfered", shape, "every corner cut off", "rect(60mm, 40mm).chamfered(6mm)", func(a *Args) value.Value {
		k := a.Positive("c")
		return a.shape().Dressed(a.At, a.Function.Name, func(g plane.Region) (plane.Region, error) { return plane.Chamfer(g, k) })
	}, need("c", "", length)),
}

// shape is what stands before the dot.
func (a *Args) shape() *value.Shape {
	if s, ok := a.Of.(*value.Shape); ok {
		return s
	}
	return value.Polygon(a.Of.(*value.List), a.At)
}

var stockMembers = []Member{
	property(StockKind, "thickness", length, "", "steel.thickness", of(func(s value.Stock) value.Value { return value.Length(s.Thickness) })),
	property(StockKind, "radius", length, "inside radius of its bends", "steel.radius", of(func(s value.Stock) value.Value { return value.Length(s.Radius) })),
	property(StockKind, "material", material, "", "steel.material", of(func(s value.Stock) value.Value { return value.Material(s.Material) })),
	property(StockKind, "density", density, "", "steel.density", of(func(s value.Stock) value.Value {
		return value.Number{V: s.Density * 1e-9, Dim: quantity.Mass.Div(quantity.Length.Pow(3))}
	})),
}
