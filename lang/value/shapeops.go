package value

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/plane"
	"perch/parts/solid"
)

// ShapeOf takes a value for a shape; a list of points is a closed polygon.
func ShapeOf(v Value, at syntax.Node) *Shape {
	switch v := v.(type) {
	case *Shape:
		return v
	case *List:
		return Polygon(v, at.Span())
	case Drawable:
		return &Shape{At: at.Span(), Draw: v.Draw}
	}
	Wrong(at, v, "shape")
	return nil
}

// Polygon draws a list of points with their corner clauses. Points are mapped
// by the canvas; radii stay true.
func Polygon(l *List, at diag.Span) *Shape {
	for _, it := range l.Items {
		if _, ok := it.V.(Pair); !ok {
			Wrong(it, it.V, "point")
		}
	}
	return &Shape{At: at, Draw: func(c *Canvas) Drawn {
		corners := make([]plane.Corner, len(l.Items))
		for i, it := range l.Items {
			k := plane.Corner{P: c.Point.Apply(PointOf(it.V, it)), Round: it.Round, Chamfer: it.Chamfer, Arc: it.Arc, Edge: it.Edge}
			if it.Through != nil {
				p := c.Point.Apply(PointOf(*it.Through, it))
				k.Through = &p
			}
			corners[i] = k
		}
		loop, named, err := plane.Polygon(corners)
		if err != nil {
			Fail("P4001", at, "this outline cannot be drawn", err.Error())
		}
		d := Drawn{Region: plane.Region{loop}}
		for _, n := range named {
			for _, i := range n.Edges {
				if loop[i].Bulge == 0 {
					d.Names = append(d.Names, Segment{n.Name, loop[i].P, loop[(i+1)%len(loop)].P})
				}
			}
		}
		return d
	}}
}

// PointOf takes a pair of lengths for a point of the plane.
func PointOf(v Value, at syntax.Node) plane.Point {
	p, ok := v.(Pair)
	if !ok {
		Wrong(at, v, "point")
	}
	for _, n := range []Number{p.X, p.Y} {
		if n.Dim != quantity.Length && !(n.Dim == quantity.None && n.V == 0) {
			Fail("P2012", at.Span(), fmt.Sprintf("a point is two lengths, this has a %s", n.Dim))
		}
	}
	return plane.Point{X: p.X.V, Y: p.Y.V}
}

// PointsOf takes a point or a list of points.
func PointsOf(v Value, at syntax.Node) []plane.Point {
	if l, ok := v.(*List); ok {
		var out []plane.Point
		for _, it := range l.Items {
			out = append(out, PointOf(it.V, it))
		}
		return out
	}
	return []plane.Point{PointOf(v, at)}
}

// PlacedAt is `x at p` and `x at [p, …]`.
func PlacedAt(x *syntax.Binary, a, b Value) Value {
	ps := PointsOf(b, x.Y)
	if m, ok := a.(MarkSpec); ok && m.Kind == "text" {
		p := Pair{Number{V: ps[0].X, Dim: quantity.Length}, Number{V: ps[0].Y, Dim: quantity.Length}}
		m.At = &p
		return m
	}
	s := ShapeOf(a, x.X)
	return &Shape{At: x.At, Draw: func(c *Canvas) Drawn {
		var all []plane.Region
		var names []Segment
		for _, p := range ps {
			d := s.Draw(c.At(p))
			r, ok := d.Bounded()
			if !ok {
				Fail("P4002", x.At, "a shape without end cannot be placed at a point")
			}
			all = append(all, r)
			names = append(names, d.Names...)
		}
		return Drawn{Region: plane.UnionAll(all...), Names: names}
	}}
}

// Meet is a & b.
func Meet(a, b *Shape, at diag.Span) *Shape {
	return &Shape{At: at, Draw: func(c *Canvas) Drawn {
		x, y := a.Draw(c), b.Draw(c)
		out := Drawn{Clips: append(x.Clips, y.Clips...), Names: append(x.Names, y.Names...)}
		switch {
		case x.Endless && y.Endless:
			out.Endless = true
		case x.Endless:
			out.Region = y.Region
		case y.Endless:
			out.Region = x.Region
		default:
			out.Region = plane.Intersect(x.Region, y.Region)
		}
		return out
	}}
}

// Plus is a + b.
func Plus(a, b *Shape, at diag.Span) *Shape {
	return &Shape{At: at, Draw: func(c *Canvas) Drawn {
		x, y := a.Draw(c), b.Draw(c)
		rx, okx := x.Bounded()
		ry, oky := y.Bounded()
		if !okx || !oky {
			Fail("P4002", at, "a shape without end cannot be added", "cut it first with & and another shape")
		}
		return Drawn{Region: plane.Union(rx, ry), Names: append(x.Names, y.Names...)}
	}}
}

// Without is a - b.
func Without(a, b *Shape, at diag.Span) *Shape {
	return &Shape{At: at, Draw: func(c *Canvas) Drawn {
		x, y := a.Draw(c), b.Draw(c)
		rx, ok := x.Bounded()
		if !ok {
			Fail("P4002", at, "nothing can be taken from a shape without end")
		}
		out := Drawn{Names: x.Names}
		if ry, ok := y.Bounded(); ok {
			out.Region = plane.Subtract(rx, ry)
			return out
		}
		var rest []plane.Region // what lies outside any of the half-planes
		for _, h := range y.Clips {
			rest = append(rest, plane.Clip(rx, plane.HalfPlane{N: h.N.Scale(-1), D: -h.D}))
		}
		out.Region = plane.UnionAll(rest...)
		return out
	}}
}

// Edit is a shape whose bounded region is changed: inset, rounded and the like.
func (s *Shape) Edit(at diag.Span, what string, do func(c *Canvas, d Drawn, r plane.Region) (plane.Region, error)) *Shape {
	return &Shape{At: at, Draw: func(c *Canvas) Drawn {
		d := s.Draw(c)
		r, ok := d.Bounded()
		if !ok {
			Fail("P4002", at, fmt.Sprintf("a shape without end cannot be %s", what))
		}
		out, err := do(c, d, r)
		if err != nil {
			Fail("P4001", at, fmt.Sprintf("this shape cannot be %s", what), err.Error())
		}
		if len(out) == 0 {
			Fail("P4001", at, fmt.Sprintf("nothing is left of this shape when it is %s", what))
		}
		return Drawn{Region: out, Names: d.Names}
	}}
}

// Between takes coordinates of one frame to another in the same or a parallel
// plane.
func Between(from, to solid.Frame) plane.Affine {
	o, x, y := to.Local(from.O), to.LocalDir(from.X), to.LocalDir(from.Y)
	return plane.Affine{A: x.X, B: y.X, C: x.Y, D: y.Y, E: o.X, F: o.Y}
}
