package eval

import (
	"fmt"

	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/plane"
	"perch/parts/solid"
)

// shapeFunction works out the functions that make shapes.
func (ev *evaluator) shapeFunction(name string, x *syntax.Call, e *env) (value.Value, bool) {
	made := func(draw func(c *value.Canvas) value.Drawn) (value.Value, bool) {
		return &value.Shape{At: x.At, Draw: draw}, true
	}
	switch name {
	case "rect":
		a := ev.arguments(x, e, []string{"w", "h"})
		w, h := a.positive("w"), a.positive("h")
		return made(func(c *value.Canvas) value.Drawn {
			p := [4]plane.Point{{X: -w / 2, Y: -h / 2}, {X: w / 2, Y: -h / 2}, {X: w / 2, Y: h / 2}, {X: -w / 2, Y: h / 2}}
			return c.Solid(plane.Region{value.LoopOf(p[:])}, value.Quad(p))
		})
	case "circle":
		d := ev.arguments(x, e, []string{"d"}).positive("d")
		return made(func(c *value.Canvas) value.Drawn { return c.Solid(plane.Region{plane.Circle(d)}, nil) })
	case "slot":
		a := ev.arguments(x, e, []string{"l", "w"})
		l, w := a.positive("l"), a.positive("w")
		if l < w {
			ev.fail("P4001", x.At, "a slot is at least as long as it is wide",
				fmt.Sprintf("length %s, width %s", value.Millimetres(l), value.Millimetres(w)))
		}
		return made(func(c *value.Canvas) value.Drawn { return c.Solid(plane.Region{plane.Slot(l, w)}, nil) })
	case "ngon":
		a := ev.arguments(x, e, []string{"n", "across"})
		n, w := a.count("n"), a.positive("across")
		if n < 3 || n > 64 {
			ev.fail("P4003", x.At, "a polygon has 3 to 64 sides")
		}
		return made(func(c *value.Canvas) value.Drawn { return c.Solid(plane.Region{plane.Ngon(n, w)}, nil) })
	case "strip":
		a := ev.arguments(x, e, []string{"d", "ends"})
		d, ends := a.positive("d"), a.lengthOr("ends", 0)
		return made(func(c *value.Canvas) value.Drawn { return c.Strip(d, ends, x.At) })
	case "inside":
		b, ok := ev.arguments(x, e, []string{"of"}).value("of").(*solid.Body)
		if !ok {
			ev.fail("P2010", x.At, "inside() takes a body")
		}
		return made(func(c *value.Canvas) value.Drawn { return c.Section(b, x.At) })
	case "behind":
		a := ev.arguments(x, e, []string{"of", "clear"})
		clear := a.lengthOr("clear", 0)
		var planes []solid.Plane
		value.EachItem(a.value("of"), func(v value.Value) {
			planes = append(planes, ev.frameOf(v, a.need("of")).Plane())
		})
		return made(func(c *value.Canvas) value.Drawn { return c.Behind(planes, clear, x.At) })
	case "symmetric":
		a := ev.arguments(x, e, []string{"points"})
		l, ok := a.value("points").(*value.List)
		if !ok {
			ev.wrong(a.need("points"), a.value("points"), "list of points")
		}
		return value.Polygon(value.Symmetric(l), x.At), true
	}
	return nil, false
}

// specFunction works out what only describes: fasteners, bends, seams, marks.
func (ev *evaluator) specFunction(name string, x *syntax.Call, e *env) (value.Value, bool) {
	switch name {
	case "sheet":
		return ev.sheet(x, e), true
	case "rivet", "bolt", "plug", "tack":
		return ev.fastener(name, x, e), true
	case "bend":
		a := ev.arguments(x, e, []string{"radius", "relief", "k", "relief_size"})
		b := value.BendSpec{HasRadius: a.has("radius"), Radius: a.lengthOr("radius", 0), K: a.numberOr("k", 0), Size: a.lengthOr("relief_size", 0)}
		b.Relief = a.wordOr("relief", "auto", "round", "square", "slit", "none")
		if b.Radius < 0 {
			ev.fail("P4003", a.need("radius").Span(), "an inside radius is not negative")
		}
		return b, true
	case "open":
		a := ev.arguments(x, e, []string{"gap"})
		g := a.length("gap")
		if g < 0 {
			ev.fail("P4003", x.At, "a gap is not negative")
		}
		return value.SeamSpec{Kind: "open", Gap: g}, true
	case "closed":
		ev.arguments(x, e, nil)
		return value.SeamSpec{Kind: "closed"}, true
	case "lapped":
		return value.SeamSpec{Kind: "lapped", Lap: ev.arguments(x, e, []string{"l"}).positive("l")}, true
	case "bead":
		a := ev.arguments(x, e, []string{"path", "width"})
		m := value.MarkSpec{Kind: "bead", Width: a.positive("width")}
		ev.path(&m, a.value("path"), a.need("path"))
		return m, true
	case "line":
		a := ev.arguments(x, e, []string{"points"})
		m := value.MarkSpec{Kind: "line"}
		l, ok := a.value("points").(*value.List)
		if !ok || len(l.Items) < 2 {
			ev.fail("P2010", x.At, "a line is a list of two points or more")
		}
		m.Points = l
		return m, true
	case "text":
		a := ev.arguments(x, e, []string{"text", "height"})
		s, ok := a.value("text").(string)
		if !ok {
			ev.wrong(a.need("text"), a.value("text"), "text")
		}
		return value.MarkSpec{Kind: "text", Text: s, Height: a.lengthOr("height", 8)}, true
	}
	return nil, false
}

// path takes a bead's line: a shape's outline, or line([…]).
func (ev *evaluator) path(m *value.MarkSpec, v value.Value, at syntax.Node) {
	if l, ok := v.(value.MarkSpec); ok && l.Kind == "line" {
		m.Points = l.Points
		return
	}
	m.Shape = value.ShapeOf(v, at)
}

func (ev *evaluator) fastener(kind string, x *syntax.Call, e *env) value.Value {
	size := "d"
	if kind == "tack" {
		size = "length"
	}
	a := ev.arguments(x, e, []string{size, "pitch", "count", "edge", "along"})
	f := value.Fastener{Kind: kind, Pitch: a.lengthOr("pitch", 0), Edge: a.lengthOr("edge", 0)}
	if kind == "tack" {
		f.Size = a.lengthOr("length", 5)
	} else {
		f.Size = a.positive("d")
	}
	if a.has("count") {
		if f.Count = a.count("count"); f.Count < 1 || f.Count > 1000 {
			ev.fail("P4003", a.need("count").Span(), "a row has 1 to 1000 places")
		}
	}
	if a.has("pitch") && a.has("count") {
		ev.fail("P2025", x.At, "state the pitch or the count of a row, not both")
	}
	if f.Pitch < 0 || f.Edge < 0 || (a.has("pitch") && f.Pitch == 0) {
		ev.fail("P4003", x.At, "pitch and edge distance are more than nothing")
	}
	f.AlongV = a.wordOr("along", "u", "u", "v") == "v"
	return f
}
