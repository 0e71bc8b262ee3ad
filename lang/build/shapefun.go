package build

import (
	"fmt"
	"math"

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
		return made(func(c *value.Canvas) value.Drawn { return ev.strip(c, x, d, ends) })
	case "inside":
		b, ok := ev.arguments(x, e, []string{"of"}).value("of").(*solid.Body)
		if !ok {
			ev.fail("P2010", x.At, "inside() takes a body")
		}
		return made(func(c *value.Canvas) value.Drawn { return ev.section(c, x, b) })
	case "behind":
		a := ev.arguments(x, e, []string{"of", "clear"})
		clear := a.lengthOr("clear", 0)
		var planes []solid.Plane
		value.EachItem(a.value("of"), func(v value.Value) {
			planes = append(planes, ev.frameOf(v, a.need("of")).Plane())
		})
		return made(func(c *value.Canvas) value.Drawn { return ev.behind(c, x, planes, clear) })
	case "symmetric":
		a := ev.arguments(x, e, []string{"points"})
		l, ok := a.value("points").(*value.List)
		if !ok {
			ev.wrong(a.need("points"), a.value("points"), "list of points")
		}
		return value.Polygon(ev.symmetric(l), x.At), true
	}
	return nil, false
}

func (ev *evaluator) strip(c *value.Canvas, x *syntax.Call, d, ends float64) value.Drawn {
	if !c.Hung {
		ev.fail("P4005", x.At, "strip() spans a fold: only a face that hangs `off` an edge has one")
	}
	w := c.Span - 2*ends
	if !(w > 0) {
		ev.fail("P4003", x.At, "nothing is left of this strip", fmt.Sprintf("the fold is %s long, both ends are short by %s", value.Millimetres(c.Span), value.Millimetres(ends)))
	}
	p := [4]plane.Point{{X: -w / 2}, {X: w / 2}, {X: w / 2, Y: d}, {X: -w / 2, Y: d}}
	names := value.Quad(p)
	names[2].Name = "outer"
	return value.Drawn{Region: plane.Region{value.LoopOf(p[:])}, Names: names[1:]}
}

func (ev *evaluator) section(c *value.Canvas, x *syntax.Call, b *solid.Body) value.Drawn {
	hs, err := b.Section(c.Frame)
	if err != nil {
		ev.fail("P4006", x.At, "the body has no section in this face's plane", err.Error())
	}
	r := plane.Region{plane.Rect(4e5, 4e5)}
	for _, h := range hs {
		r = plane.Clip(r, h)
	}
	bb := r.Bounds()
	if len(r) == 0 || bb.Max.X-bb.Min.X > 1e5 || bb.Max.Y-bb.Min.Y > 1e5 {
		ev.fail("P4006", x.At, "the body has no section in this face's plane")
	}
	return value.Drawn{Region: r}
}

func (ev *evaluator) behind(c *value.Canvas, x *syntax.Call, planes []solid.Plane, clear float64) value.Drawn {
	d := value.Drawn{Endless: true}
	for _, p := range planes {
		h, ok, inside := solid.Behind(c.Frame, p, clear)
		switch {
		case ok:
			d.Clips = append(d.Clips, h)
		case !inside:
			ev.fail("P4006", x.At, "this face lies in front of the plane all over, nothing of it is behind")
		}
	}
	return d
}

// symmetric closes half an outline with its mirror image about u = 0. Points on
// the axis are kept once; an arc clause belongs to the edge that leaves its point.
func (ev *evaluator) symmetric(l *value.List) *value.List {
	out := &value.List{Items: append([]value.Item(nil), l.Items...)}
	n := len(l.Items)
	for i := n - 1; i >= 0; i-- {
		it := l.Items[i]
		p, ok := it.V.(value.Pair)
		if !ok {
			ev.wrong(it, it.V, "point")
		}
		onAxis := math.Abs(p.X.V) < plane.Tol
		p.X.V = -p.X.V
		it.V = p
		it.Arc, it.Through = 0, nil
		if i > 0 { // the mirrored edge runs from this point to the one before
			prev := l.Items[i-1]
			it.Arc = prev.Arc
			if prev.Through != nil {
				q := *prev.Through
				q.X.V = -q.X.V
				it.Through = &q
			}
			it.Edge = ""
		}
		if onAxis && (i == 0 || i == n-1) {
			if i == n-1 { // the axis point at the turn starts the mirrored half
				out.Items[n-1].Arc, out.Items[n-1].Through = it.Arc, it.Through
			}
			continue
		}
		out.Items = append(out.Items, it)
	}
	return out
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
