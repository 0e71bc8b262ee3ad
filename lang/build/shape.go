package build

import (
	"math"

	"perch/lang/diag"
	"perch/parts/plane"
	"perch/parts/solid"
)

// shape is a region still to be drawn: points are mapped and fold spans are
// known only on the face it is drawn on.
type shape struct {
	at   diag.Span
	draw func(c *canvas) drawn
}

// canvas is the face that a shape is drawn on.
type canvas struct {
	frame solid.Frame  // the plane's own coordinates
	point plane.Affine // (u, v) of the design to the frame's x, y
	span  float64      // length of the fold that the face hangs on, 0 for others
	hung  bool
}

// drawn is a region in a canvas' frame, or the whole plane, within half-planes
// that are still to be cut.
type drawn struct {
	region  plane.Region
	endless bool // the whole plane: region is empty
	clips   []plane.HalfPlane
	names   []segment
}

// segment is a straight piece of an outline that carries a name.
type segment struct {
	name string
	a, b plane.Point
}

// free is the canvas of shapes drawn on no face.
var free = &canvas{
	frame: solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}},
	point: plane.Affine{A: 1, D: 1},
}

// bounded returns the region with its half-planes cut; ok is false where it has
// no end.
func (d drawn) bounded() (r plane.Region, ok bool) {
	if d.endless {
		return nil, false
	}
	r = d.region
	for _, h := range d.clips {
		r = plane.Clip(r, h)
	}
	return r, true
}

// solid draws a region that was made true about (0, 0): turned over where the
// canvas' u runs backwards, and moved to the canvas' origin.
func (c *canvas) solid(r plane.Region, names []segment) drawn {
	m := plane.Affine{A: 1, D: 1, E: c.point.E, F: c.point.F}
	if c.point.Det() < 0 {
		m.A = -1
	}
	return drawn{region: r, names: names}.mapped(m)
}

// at is the canvas with its origin moved to p of the design's coordinates.
func (c *canvas) at(p plane.Point) *canvas {
	o := *c
	q := c.point.Apply(p)
	o.point.E, o.point.F = q.X, q.Y
	return &o
}

func (d drawn) mapped(m plane.Affine) drawn {
	out := drawn{region: d.region.Transform(m), endless: d.endless}
	for _, h := range d.clips {
		n := m.Vec(h.N) // m is rigid
		on := m.Apply(h.N.Scale(h.D))
		out.clips = append(out.clips, plane.HalfPlane{N: n, D: n.Dot(on)})
	}
	for _, s := range d.names {
		out.names = append(out.names, segment{s.name, m.Apply(s.a), m.Apply(s.b)})
	}
	return out
}

// quad names the four edges of a shape drawn as four points, anticlockwise from
// the lower left.
func quad(p [4]plane.Point) []segment {
	return []segment{
		{"bottom", p[0], p[1]}, {"right", p[1], p[2]}, {"top", p[2], p[3]}, {"left", p[3], p[0]},
	}
}

// outlineEdges returns the straight edges of a loop in order. An edge lying on
// a named segment has its name, the others their position from 1.
func outlineEdges(loop plane.Loop, names []segment) []segment {
	out := make([]segment, 0, len(loop))
	for i, v := range loop {
		if v.Bulge != 0 {
			continue
		}
		w := loop[(i+1)%len(loop)]
		s := segment{position(i), v.P, w.P}
		for _, n := range names {
			if onSegment(n, s) {
				s.name = n.name
				break
			}
		}
		out = append(out, s)
	}
	return longestOfName(out)
}

// longestOfName keeps a name for the longest edge that carries it.
func longestOfName(segs []segment) []segment {
	for i := range segs {
		for j := range segs {
			if i != j && segs[i].name == segs[j].name && segs[i].a.Dist(segs[i].b) < segs[j].a.Dist(segs[j].b) {
				segs[i].name = position(i) + "b"
			}
		}
	}
	return segs
}

// onSegment tells whether s lies on the line of n and shares a stretch with it.
func onSegment(n, s segment) bool {
	d := n.b.Sub(n.a)
	l := d.Len()
	if l == 0 {
		return false
	}
	d = d.Scale(1 / l)
	const off = 1e-6
	pa, pb := s.a.Sub(n.a), s.b.Sub(n.a)
	if math.Abs(d.Cross(pa)) > off || math.Abs(d.Cross(pb)) > off {
		return false
	}
	lo, hi := d.Dot(pa), d.Dot(pb)
	if lo > hi {
		lo, hi = hi, lo
	}
	return min(hi, l)-max(lo, 0) > off
}
