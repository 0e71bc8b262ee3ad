package builtin

import (
	"math"

	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// shapes are the functions that draw in a face's plane.
var shapes = []Function{
	{Name: "rect", Params: []Parameter{need("w", "along u", length), need("h", "along v", length)},
		Result: edged("left", "right", "top", "bottom"), Doc: "a rectangle about the origin", Example: "rect(60mm, 40mm)",
		Value: func(a *Args) value.Value {
			w, h := a.Positive("w"), a.Positive("h")
			return a.made(func(c *value.Canvas) value.Drawn {
				p := [4]plane.Point{{X: -w / 2, Y: -h / 2}, {X: w / 2, Y: -h / 2}, {X: w / 2, Y: h / 2}, {X: -w / 2, Y: h / 2}}
				return c.Solid(plane.Region{value.LoopOf(p[:])}, value.Quad(p))
			})
		}},
	{Name: "circle", Params: []Parameter{need("d", "diameter", length)}, Result: edged(), Doc: "a circle about the origin", Example: "circle(24mm)",
		Value: func(a *Args) value.Value {
			d := a.Positive("d")
			return a.made(func(c *value.Canvas) value.Drawn { return c.Solid(plane.Region{plane.Circle(d)}, nil) })
		}},
	{Name: "slot", Params: []Parameter{need("l", "over all, along u", length), need("w", "width", length)},
		Result: edged(), Doc: "a slot with round ends about the origin", Example: "slot(40mm, 8mm)",
		Value: func(a *Args) value.Value {
			l, w := a.Positive("l"), a.Positive("w")
			if l < w {
				a.Fail("P4001", "a slot is at least as long as it is wide", measure.Say("length %s, width %s", value.ShownLength(l), value.ShownLength(w)))
			}
			return a.made(func(c *value.Canvas) value.Drawn { return c.Solid(plane.Region{plane.Slot(l, w)}, nil) })
		}},
	{Name: "ngon", Params: []Parameter{need("n", "sides", count), need("across", "over the flats: its inscribed circle", length)},
		Result: edged(), Doc: "a regular polygon about the origin", Example: "ngon(6, across: 30mm)",
		Value: func(a *Args) value.Value {
			n, w := a.Count("n"), a.Positive("across")
			if n < 3 || n > 64 {
				a.Fail("P4003", "a polygon has 3 to 64 sides")
			}
			return a.made(func(c *value.Canvas) value.Drawn { return c.Solid(plane.Region{plane.Ngon(n, w)}, nil) })
		}},
	{Name: "strip", Params: []Parameter{need("d", "away from the fold", length),
		may("ends", "0mm", "short of both ends of the fold, or (of its start, of its end)", length, point).labelled()},
		Result: edged("left", "right", "top", "bottom"), OnFold: true, Doc: "along the whole fold of a hung face", Example: "strip(15mm, ends: 2mm)",
		Value: func(a *Args) value.Value {
			d := a.Positive("d")
			short := a.across("ends")
			ends := [2]float64{short.X, short.Y}
			return a.made(func(c *value.Canvas) value.Drawn { return c.Strip(d, ends, a.At) })
		}},
	{Name: "band", Params: []Parameter{need("lo", "v of its lower edge", length), need("hi", "v of its upper edge", length)},
		Result: edged("left", "right", "top", "bottom"), Doc: "without end along u: cut its ends with behind",
		Example: "band(10mm, 30mm) & rect(60mm, 80mm)",
		Value: func(a *Args) value.Value {
			lo, hi := a.rising("lo", "hi")
			return a.made(func(c *value.Canvas) value.Drawn { return c.Band(lo, hi) })
		}},
	{Name: "band", Params: []Parameter{need("u", "of its left edge", length).labelled(), need("hi", "u of its right edge", length).follows()},
		Result: edged("left", "right", "top", "bottom"), Doc: "without end along v",
		Example: "band(u: 10mm, 30mm) & rect(80mm, 60mm)",
		Value: func(a *Args) value.Value {
			lo, hi := a.rising("u", "hi")
			return a.made(func(c *value.Canvas) value.Drawn { return c.BandAcross(lo, hi) })
		}},
	{Name: "inside", Params: []Parameter{need("of", "the body cut by the face's plane", body)},
		Result: edged("left", "right", "top", "bottom"), Doc: "a body's section in the face's plane", Example: "inside(core)",
		Value: func(a *Args) value.Value {
			b := a.Body("of")
			return a.made(func(c *value.Canvas) value.Drawn { return c.Section(b, a.At) })
		}},
	{Name: "behind", Params: []Parameter{need("of", "one plane or several", planes, list(planes)),
		may("clear", "0mm", "kept free from it", length)},
		Result: edged(), Doc: "the half of the plane on the metal side", Example: "rect(80mm, 40mm) & behind(core.right)",
		Value: func(a *Args) value.Value {
			clear := a.Length("clear")
			var all []solid.Plane
			value.EachItem(a.Value("of"), func(v value.Value) { all = append(all, a.frame("of", v).Plane()) })
			return a.made(func(c *value.Canvas) value.Drawn { return c.Behind(all, clear, a.At) })
		}},
	{Name: "symmetric", Params: []Parameter{need("points", "the half with u ≥ 0, from bottom to top", list(point))},
		Result: shape, Keeps: true, Doc: "points and their mirror image about u = 0",
		Example: "symmetric([(30mm, -10mm), (20mm, 15mm), (0mm, 20mm)])",
		Value:   func(a *Args) value.Value { return value.Polygon(value.Symmetric(a.Points("points")), a.At) }},
	{Name: "ring", Params: []Parameter{need("n", "how many", count), need("r", "from the origin", length)}, Result: list(point),
		Doc: "points at even angles, anticlockwise from the right", Example: "ring(6, 40mm)",
		Value: func(a *Args) value.Value {
			n, r := a.Count("n"), a.Length("r")
			if n < 1 || n > 1000 {
				value.Fail("P4003", a.Place("n"), "a ring has 1 to 1000 points")
			}
			points := make([]value.Value, n)
			for i := range points {
				t := 2 * math.Pi * float64(i) / float64(n)
				points[i] = value.PointAt(r*elementary.Cos(t), r*elementary.Sin(t))
			}
			return value.ListOf(points...)
		}},
}

// frame is the plane of a side, a plane or a face.
func (a *Args) frame(name string, v value.Value) solid.Frame {
	f, ok := value.PlaneOf(v)
	if !ok {
		value.Fail("P2010", a.Place(name), "a plane is wanted, this is "+value.Article(value.KindOf(v)))
	}
	return f.Frame
}
