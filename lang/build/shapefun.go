package build

import (
	"fmt"
	"math"

	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/plane"
	"perch/parts/solid"
)

// shapeFunction works out the functions that make shapes.
func (ev *evaluator) shapeFunction(name string, x *syntax.Call, e *env) (value, bool) {
	made := func(draw func(c *canvas) drawn) (value, bool) { return &shape{at: x.At, draw: draw}, true }
	switch name {
	case "rect":
		a := ev.arguments(x, e, []string{"w", "h"})
		w, h := a.positive("w"), a.positive("h")
		return made(func(c *canvas) drawn {
			p := [4]plane.Point{{X: -w / 2, Y: -h / 2}, {X: w / 2, Y: -h / 2}, {X: w / 2, Y: h / 2}, {X: -w / 2, Y: h / 2}}
			return c.solid(plane.Region{loopOf(p[:])}, quad(p))
		})
	case "circle":
		d := ev.arguments(x, e, []string{"d"}).positive("d")
		return made(func(c *canvas) drawn { return c.solid(plane.Region{plane.Circle(d)}, nil) })
	case "slot":
		a := ev.arguments(x, e, []string{"l", "w"})
		l, w := a.positive("l"), a.positive("w")
		if l < w {
			ev.fail("P4001", x.At, "a slot is at least as long as it is wide",
				fmt.Sprintf("length %s, width %s", mm(l), mm(w)))
		}
		return made(func(c *canvas) drawn { return c.solid(plane.Region{plane.Slot(l, w)}, nil) })
	case "ngon":
		a := ev.arguments(x, e, []string{"n", "across"})
		n, w := a.count("n"), a.positive("across")
		if n < 3 || n > 64 {
			ev.fail("P4003", x.At, "a polygon has 3 to 64 sides")
		}
		return made(func(c *canvas) drawn { return c.solid(plane.Region{plane.Ngon(n, w)}, nil) })
	case "strip":
		a := ev.arguments(x, e, []string{"d", "ends"})
		d, ends := a.positive("d"), a.lengthOr("ends", 0)
		return made(func(c *canvas) drawn { return ev.strip(c, x, d, ends) })
	case "inside":
		b, ok := ev.arguments(x, e, []string{"of"}).value("of").(*solid.Body)
		if !ok {
			ev.fail("P2010", x.At, "inside() takes a body")
		}
		return made(func(c *canvas) drawn { return ev.section(c, x, b) })
	case "behind":
		a := ev.arguments(x, e, []string{"of", "clear"})
		clear := a.lengthOr("clear", 0)
		var planes []solid.Plane
		ev.eachItem(a.value("of"), func(v value) {
			planes = append(planes, ev.frameOf(v, a.need("of")).Plane())
		})
		return made(func(c *canvas) drawn { return ev.behind(c, x, planes, clear) })
	case "symmetric":
		a := ev.arguments(x, e, []string{"points"})
		l, ok := a.value("points").(*list)
		if !ok {
			ev.wrong(a.need("points"), a.value("points"), "list of points")
		}
		return ev.polygon(ev.symmetric(l), x.At), true
	}
	return nil, false
}

func loopOf(p []plane.Point) plane.Loop {
	l := make(plane.Loop, len(p))
	for i, q := range p {
		l[i].P = q
	}
	return l
}

func mm(v float64) string { return show(number{v: v, dim: quantity.Length}) }

// eachItem calls do for a value, or for the items of a list or family.
func (ev *evaluator) eachItem(v value, do func(value)) {
	if l, ok := v.(*list); ok {
		for _, it := range l.items {
			do(it.v)
		}
		return
	}
	each(v, do)
}

func (ev *evaluator) strip(c *canvas, x *syntax.Call, d, ends float64) drawn {
	if !c.hung {
		ev.fail("P4005", x.At, "strip() spans a fold: only a face that hangs `off` an edge has one")
	}
	w := c.span - 2*ends
	if !(w > 0) {
		ev.fail("P4003", x.At, "nothing is left of this strip", fmt.Sprintf("the fold is %s long, both ends are short by %s", mm(c.span), mm(ends)))
	}
	p := [4]plane.Point{{X: -w / 2}, {X: w / 2}, {X: w / 2, Y: d}, {X: -w / 2, Y: d}}
	names := quad(p)
	names[2].name = "outer"
	return drawn{region: plane.Region{loopOf(p[:])}, names: names[1:]}
}

func (ev *evaluator) section(c *canvas, x *syntax.Call, b *solid.Body) drawn {
	hs, err := b.Section(c.frame)
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
	return drawn{region: r}
}

func (ev *evaluator) behind(c *canvas, x *syntax.Call, planes []solid.Plane, clear float64) drawn {
	d := drawn{endless: true}
	for _, p := range planes {
		h, ok, inside := solid.Behind(c.frame, p, clear)
		switch {
		case ok:
			d.clips = append(d.clips, h)
		case !inside:
			ev.fail("P4006", x.At, "this face lies in front of the plane all over, nothing of it is behind")
		}
	}
	return d
}

// symmetric closes half an outline with its mirror image about u = 0. Points on
// the axis are kept once; an arc clause belongs to the edge that leaves its point.
func (ev *evaluator) symmetric(l *list) *list {
	out := &list{items: append([]item(nil), l.items...)}
	n := len(l.items)
	for i := n - 1; i >= 0; i-- {
		it := l.items[i]
		p, ok := it.v.(pair)
		if !ok {
			ev.wrong(it, it.v, "point")
		}
		onAxis := math.Abs(p.x.v) < plane.Tol
		p.x.v = -p.x.v
		it.v = p
		it.arc, it.through = 0, nil
		if i > 0 { // the mirrored edge runs from this point to the one before
			prev := l.items[i-1]
			it.arc = prev.arc
			if prev.through != nil {
				q := *prev.through
				q.x.v = -q.x.v
				it.through = &q
			}
			it.edge = ""
		}
		if onAxis && (i == 0 || i == n-1) {
			if i == n-1 { // the axis point at the turn starts the mirrored half
				out.items[n-1].arc, out.items[n-1].through = it.arc, it.through
			}
			continue
		}
		out.items = append(out.items, it)
	}
	return out
}

// specFunction works out what only describes: fasteners, bends, seams, marks.
func (ev *evaluator) specFunction(name string, x *syntax.Call, e *env) (value, bool) {
	switch name {
	case "sheet":
		return ev.sheet(x, e), true
	case "rivet", "bolt", "plug", "tack":
		return ev.fastener(name, x, e), true
	case "bend":
		a := ev.arguments(x, e, []string{"radius", "relief", "k", "relief_size"})
		b := bendSpec{hasRadius: a.has("radius"), radius: a.lengthOr("radius", 0), k: a.numberOr("k", 0), size: a.lengthOr("relief_size", 0)}
		b.relief = a.wordOr("relief", "auto", "round", "square", "slit", "none")
		if b.radius < 0 {
			ev.fail("P4003", a.need("radius").Span(), "an inside radius is not negative")
		}
		return b, true
	case "open":
		a := ev.arguments(x, e, []string{"gap"})
		g := a.length("gap")
		if g < 0 {
			ev.fail("P4003", x.At, "a gap is not negative")
		}
		return seamSpec{kind: "open", gap: g}, true
	case "closed":
		ev.arguments(x, e, nil)
		return seamSpec{kind: "closed"}, true
	case "lapped":
		return seamSpec{kind: "lapped", lap: ev.arguments(x, e, []string{"l"}).positive("l")}, true
	case "bead":
		a := ev.arguments(x, e, []string{"path", "width"})
		m := markSpec{kind: "bead", width: a.positive("width")}
		ev.path(&m, a.value("path"), a.need("path"))
		return m, true
	case "line":
		a := ev.arguments(x, e, []string{"points"})
		m := markSpec{kind: "line"}
		l, ok := a.value("points").(*list)
		if !ok || len(l.items) < 2 {
			ev.fail("P2010", x.At, "a line is a list of two points or more")
		}
		m.points = l
		return m, true
	case "text":
		a := ev.arguments(x, e, []string{"text", "height"})
		s, ok := a.value("text").(string)
		if !ok {
			ev.wrong(a.need("text"), a.value("text"), "text")
		}
		return markSpec{kind: "text", text: s, height: a.lengthOr("height", 8)}, true
	}
	return nil, false
}

// path takes a bead's line: a shape's outline, or line([…]).
func (ev *evaluator) path(m *markSpec, v value, at syntax.Node) {
	if l, ok := v.(markSpec); ok && l.kind == "line" {
		m.points = l.points
		return
	}
	m.shape = ev.shapeOf(v, at)
}

func (ev *evaluator) fastener(kind string, x *syntax.Call, e *env) value {
	size := "d"
	if kind == "tack" {
		size = "length"
	}
	a := ev.arguments(x, e, []string{size, "pitch", "count", "edge", "along"})
	f := fastener{kind: kind, pitch: a.lengthOr("pitch", 0), edge: a.lengthOr("edge", 0)}
	if kind == "tack" {
		f.size = a.lengthOr("length", 5)
	} else {
		f.size = a.positive("d")
	}
	if a.has("count") {
		if f.count = a.count("count"); f.count < 1 || f.count > 1000 {
			ev.fail("P4003", a.need("count").Span(), "a row has 1 to 1000 places")
		}
	}
	if a.has("pitch") && a.has("count") {
		ev.fail("P2025", x.At, "state the pitch or the count of a row, not both")
	}
	if f.pitch < 0 || f.edge < 0 || (a.has("pitch") && f.pitch == 0) {
		ev.fail("P4003", x.At, "pitch and edge distance are more than nothing")
	}
	f.alongV = a.wordOr("along", "u", "u", "v") == "v"
	return f
}
