package build

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/plane"
)

// shapeOf takes a value for a shape; a list of points is a closed polygon.
func (ev *evaluator) shapeOf(v value, at syntax.Node) *shape {
	switch v := v.(type) {
	case *shape:
		return v
	case *list:
		return ev.polygon(v, at.Span())
	case cutRef:
		return &shape{at: at.Span(), draw: func(c *canvas) drawn {
			return drawn{region: v.region.Transform(between(v.of.frame, c.frame))}
		}}
	}
	ev.wrong(at, v, "shape")
	return nil
}

// polygon draws a list of points with their corner clauses. Points are mapped
// by the canvas; radii stay true.
func (ev *evaluator) polygon(l *list, at diag.Span) *shape {
	for _, it := range l.items {
		if _, ok := it.v.(pair); !ok {
			ev.wrong(it, it.v, "point")
		}
	}
	return &shape{at: at, draw: func(c *canvas) drawn {
		corners := make([]plane.Corner, len(l.items))
		for i, it := range l.items {
			k := plane.Corner{P: c.point.Apply(ev.point(it.v, it)), Round: it.round, Chamfer: it.chamfer, Arc: it.arc, Edge: it.edge}
			if it.through != nil {
				p := c.point.Apply(ev.point(*it.through, it))
				k.Through = &p
			}
			corners[i] = k
		}
		loop, named, err := plane.Polygon(corners)
		if err != nil {
			ev.fail("P4001", at, "this outline cannot be drawn", err.Error())
		}
		d := drawn{region: plane.Region{loop}}
		for _, n := range named {
			for _, i := range n.Edges {
				if loop[i].Bulge == 0 {
					d.names = append(d.names, segment{n.Name, loop[i].P, loop[(i+1)%len(loop)].P})
				}
			}
		}
		return d
	}}
}

// point takes a pair of lengths for a point of the plane.
func (ev *evaluator) point(v value, at syntax.Node) plane.Point {
	p, ok := v.(pair)
	if !ok {
		ev.wrong(at, v, "point")
	}
	for _, n := range []number{p.x, p.y} {
		if n.dim != quantity.Length && !(n.dim == quantity.None && n.v == 0) {
			ev.fail("P2012", at.Span(), fmt.Sprintf("a point is two lengths, this has a %s", n.dim))
		}
	}
	return plane.Point{X: p.x.v, Y: p.y.v}
}

// points takes a point or a list of points.
func (ev *evaluator) points(v value, at syntax.Node) []plane.Point {
	if l, ok := v.(*list); ok {
		var out []plane.Point
		for _, it := range l.items {
			out = append(out, ev.point(it.v, it))
		}
		return out
	}
	return []plane.Point{ev.point(v, at)}
}

// placedAt is `x at p` and `x at [p, …]`.
func (ev *evaluator) placedAt(x *syntax.Binary, a, b value) value {
	ps := ev.points(b, x.Y)
	if m, ok := a.(markSpec); ok && m.kind == "text" {
		p := pair{number{v: ps[0].X, dim: quantity.Length}, number{v: ps[0].Y, dim: quantity.Length}}
		m.at = &p
		return m
	}
	s := ev.shapeOf(a, x.X)
	return &shape{at: x.At, draw: func(c *canvas) drawn {
		var all []plane.Region
		var names []segment
		for _, p := range ps {
			d := s.draw(c.at(p))
			r, ok := d.bounded()
			if !ok {
				ev.fail("P4002", x.At, "a shape without end cannot be placed at a point")
			}
			all = append(all, r)
			names = append(names, d.names...)
		}
		return drawn{region: plane.UnionAll(all...), names: names}
	}}
}

// meet is a & b.
func meet(a, b *shape, at diag.Span) *shape {
	return &shape{at: at, draw: func(c *canvas) drawn {
		x, y := a.draw(c), b.draw(c)
		out := drawn{clips: append(x.clips, y.clips...), names: append(x.names, y.names...)}
		switch {
		case x.endless && y.endless:
			out.endless = true
		case x.endless:
			out.region = y.region
		case y.endless:
			out.region = x.region
		default:
			out.region = plane.Intersect(x.region, y.region)
		}
		return out
	}}
}

// plus is a + b.
func plus(a, b *shape, at diag.Span, ev *evaluator) *shape {
	return &shape{at: at, draw: func(c *canvas) drawn {
		x, y := a.draw(c), b.draw(c)
		rx, okx := x.bounded()
		ry, oky := y.bounded()
		if !okx || !oky {
			ev.fail("P4002", at, "a shape without end cannot be added", "cut it first with & and another shape")
		}
		return drawn{region: plane.Union(rx, ry), names: append(x.names, y.names...)}
	}}
}

// without is a - b.
func without(a, b *shape, at diag.Span, ev *evaluator) *shape {
	return &shape{at: at, draw: func(c *canvas) drawn {
		x, y := a.draw(c), b.draw(c)
		rx, ok := x.bounded()
		if !ok {
			ev.fail("P4002", at, "nothing can be taken from a shape without end")
		}
		out := drawn{names: x.names}
		if ry, ok := y.bounded(); ok {
			out.region = plane.Subtract(rx, ry)
			return out
		}
		var rest []plane.Region // what lies outside any of the half-planes
		for _, h := range y.clips {
			rest = append(rest, plane.Clip(rx, plane.HalfPlane{N: h.N.Scale(-1), D: -h.D}))
		}
		out.region = plane.UnionAll(rest...)
		return out
	}}
}

// edit is a shape whose bounded region is changed: inset, rounded and the like.
func (ev *evaluator) edit(s *shape, at diag.Span, what string, do func(c *canvas, d drawn, r plane.Region) (plane.Region, error)) *shape {
	return &shape{at: at, draw: func(c *canvas) drawn {
		d := s.draw(c)
		r, ok := d.bounded()
		if !ok {
			ev.fail("P4002", at, fmt.Sprintf("a shape without end cannot be %s", what))
		}
		out, err := do(c, d, r)
		if err != nil {
			ev.fail("P4001", at, fmt.Sprintf("this shape cannot be %s", what), err.Error())
		}
		if len(out) == 0 {
			ev.fail("P4001", at, fmt.Sprintf("nothing is left of this shape when it is %s", what))
		}
		return drawn{region: out, names: d.names}
	}}
}
