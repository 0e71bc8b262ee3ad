package value

import (
	"fmt"
	"strconv"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
)

// ShapeOf takes a value for a shape; a list of points is a closed polygon.
func ShapeOf(v Value, at syntax.Node) *Shape {
	switch v := ListFrom(v).(type) {
	case *Shape:
		return v
	case *List:
		return Polygon(v, at.Span())
	case Drawable:
		return &Shape{At: at.Span(), By: v.Draw}
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
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		corners := make([]plane.Corner, len(l.Items))
		for i, it := range l.Items {
			k := plane.Corner{P: c.Point.Apply(PointOf(it.V, it)), Round: it.Round, Chamfer: it.Chamfer, Arc: it.Arc}
			if len(it.Edges) > 0 {
				k.Edge = position(i)
			}
			if it.Through != nil {
				p := c.Point.Apply(PointOf(*it.Through, it))
				k.Through = &p
			}
			corners[i] = k
		}
		loop, named, err := plane.Polygon(corners)
		if err != nil {
			Fail("P4001", at, "this outline cannot be drawn", measure.Of(err))
		}
		var names []Segment
		for _, n := range named {
			k, _ := strconv.Atoi(n.Name)
			for _, name := range l.Items[k-1].Edges {
				for _, i := range n.Edges {
					if e := loop.Edge(i); e.Straight() {
						names = append(names, Segment{name, e.From, e.To})
					}
				}
			}
		}
		return Drawn{Region: plane.Region{loop}, Names: func() []Segment { return names }}
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
	if l, ok := ListFrom(v).(*List); ok {
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
	if m, ok := a.(MarkSpec); ok {
		return m.placed(ps)
	}
	s := ShapeOf(a, x.X)
	_, copies := ListFrom(b).(*List)
	return &Shape{At: x.At, By: func(c *Canvas) Drawn {
		all := make([]Drawn, len(ps))
		regions := make([]plane.Region, len(ps))
		for i, p := range ps {
			all[i] = s.Draw(c.At(p))
			r, ok := all[i].Bounded()
			if !ok {
				Fail("P4002", x.At, "a shape without end cannot be placed at a point")
			}
			regions[i] = r
			c.spend(x.At, placeWork*corners(r))
		}
		return outlined(plane.UnionAll(regions...), func() []Segment {
			var names []Segment
			for i, d := range all {
				for _, n := range d.Edges() {
					if copies {
						n.Copy = position(i) + "." + n.Copy
					}
					names = append(names, n)
				}
			}
			return names
		})
	}}
}

// placed is the mark at points; one that was at points already goes to each of them
// from there.
func (m MarkSpec) placed(ps []plane.Point) MarkSpec {
	if m.At == nil {
		m.At = ps
		return m
	}
	var all []plane.Point
	for _, p := range ps {
		for _, q := range m.At {
			all = append(all, p.Add(q))
		}
	}
	m.At = all
	return m
}

// both is what is named of two shapes, of the first before the second.
func both(x, y func() []Segment) func() []Segment {
	return func() []Segment {
		var names []Segment
		for _, f := range []func() []Segment{x, y} {
			if f != nil {
				names = append(names, f()...)
			}
		}
		return names
	}
}

// Meet is a & b.
func Meet(a, b *Shape, at diag.Span) *Shape {
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		x, y := a.Draw(c), b.Draw(c)
		names := both(x.Names, y.Names)
		var out Drawn
		switch {
		case x.Endless && y.Endless:
			out = Drawn{Endless: true, Names: names}
		case x.Endless:
			out = outlined(y.Region, names)
		case y.Endless:
			out = outlined(x.Region, names)
		default:
			out = outlined(plane.Intersect(x.Region, y.Region), names)
		}
		out.Clips = append(append(out.Clips, x.Clips...), y.Clips...)
		return out
	}}
}

// Plus is a + b.
func Plus(a, b *Shape, at diag.Span) *Shape {
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		x, y := a.Draw(c), b.Draw(c)
		rx, okx := x.Bounded()
		ry, oky := y.Bounded()
		if !okx || !oky {
			Fail("P4002", at, "a shape without end cannot be added", "cut it first with & and another shape")
		}
		return outlined(plane.Union(rx, ry), both(x.Edges, y.Edges))
	}}
}

// Without is a - b.
func Without(a, b *Shape, at diag.Span) *Shape {
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		x, y := a.Draw(c), b.Draw(c)
		rx, ok := x.Bounded()
		if !ok {
			Fail("P4002", at, "nothing can be taken from a shape without end")
		}
		if ry, ok := y.Bounded(); ok {
			return outlined(plane.Subtract(rx, ry), x.Edges)
		}
		var rest []plane.Region // what lies outside any of the half-planes
		for _, h := range y.Clips {
			rest = append(rest, plane.Clip(rx, plane.HalfPlane{N: h.N.Scale(-1), D: -h.D}))
		}
		return outlined(plane.UnionAll(rest...), x.Edges)
	}}
}

// bounded is the region of a shape that is to be changed as a whole.
func (s *Shape) bounded(c *Canvas, at diag.Span, what string) (Drawn, plane.Region) {
	d := s.Draw(c)
	r, ok := d.Bounded()
	if !ok {
		Fail("P4002", at, fmt.Sprintf("a shape without end cannot be %s", what))
	}
	return d, r
}

func kept(r plane.Region, err error, at diag.Span, what string) plane.Region {
	if err != nil {
		Fail("P4001", at, fmt.Sprintf("this shape cannot be %s", what), measure.Of(err))
	}
	if len(r) == 0 {
		Fail("P4001", at, fmt.Sprintf("nothing is left of this shape when it is %s", what))
	}
	return r
}

// Dressed is the shape with its corners treated: rounded, chamfered. Its edges stay
// on their lines.
func (s *Shape) Dressed(at diag.Span, what string, do func(plane.Region) (plane.Region, error)) *Shape {
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		d, r := s.bounded(c, at, what)
		out, err := do(r)
		return outlined(kept(out, err, at, what), d.Edges)
	}}
}

// Grown is the shape with every edge moved outward by by (mm, negative inward).
func (s *Shape) Grown(at diag.Span, what string, by float64) *Shape {
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		d, r := s.bounded(c, at, what)
		out := kept(plane.OffsetMiter(r, by, 4), nil, at, what)
		return Drawn{Region: out, Names: func() []Segment { return shifted(d.Edges(), out, by) }}
	}}
}

// Turned is the shape turned anticlockwise about the origin by an angle (rad), as the
// canvas' u and v have it.
func (s *Shape) Turned(at diag.Span, angle float64) *Shape {
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		t := angle
		if c.Point.Det() < 0 {
			t = -t
		}
		o := plane.Point{X: c.Point.E, Y: c.Point.F}
		return s.Draw(c).Mapped(plane.Translate(o.Neg()).Then(plane.Rotate(t)).Then(plane.Translate(o)))
	}}
}

// Mirrored is the shape mirrored about u = 0.
func (s *Shape) Mirrored(at diag.Span) *Shape {
	return &Shape{At: at, By: func(c *Canvas) Drawn {
		return s.Draw(c).Mirrored(plane.MirrorLine(plane.Point{X: c.Point.E, Y: c.Point.F}, c.along().Perp()))
	}}
}

// Between takes coordinates of one frame to another in the same or a parallel
// plane.
func Between(from, to solid.Frame) plane.Affine {
	o, x, y := to.Local(from.O), to.LocalDir(from.X), to.LocalDir(from.Y)
	return plane.Affine{A: x.X, B: y.X, C: x.Y, D: y.Y, E: o.X, F: o.Y}
}

// PlaneOf is the plane, with what is drawn on it, of a side, a plane or a face.
func PlaneOf(v Value) (p Placed, ok bool) {
	switch v := v.(type) {
	case Placed:
		return v, true
	case solid.Side:
		return Placed{Frame: v.Frame()}, true
	case interface{ Placed() Placed }:
		return v.Placed(), true
	}
	return Placed{}, false
}
