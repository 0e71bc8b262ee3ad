package value

import (
	"math"
	"strconv"

	"perch/lang/diag"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Shape is a region still to be drawn: points are mapped and fold spans are
// known only on the face it is drawn on.
type Shape struct {
	At   diag.Span
	Draw func(c *Canvas) Drawn
}

// Canvas is the face that a shape is drawn on.
type Canvas struct {
	Frame solid.Frame  // the plane's own coordinates
	Point plane.Affine // (u, v) of the design to the frame's x, y
	Span  float64      // length of the fold that the face hangs on, 0 for others
	Hung  bool
}

// Drawn is a region in a canvas' frame, or the whole plane, within half-planes
// that are still to be cut.
type Drawn struct {
	Region  plane.Region
	Endless bool // the whole plane: region is empty
	Clips   []plane.HalfPlane
	Names   []Segment
}

// Segment is a straight piece of an outline that carries a name.
type Segment struct {
	Name string
	A, B plane.Point
}

// Free is the canvas of shapes drawn on no face.
var Free = &Canvas{
	Frame: solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}},
	Point: plane.Affine{A: 1, D: 1},
}

// Bounded returns the region with its half-planes cut; ok is false where it has
// no end.
func (d Drawn) Bounded() (r plane.Region, ok bool) {
	if d.Endless {
		return nil, false
	}
	r = d.Region
	for _, h := range d.Clips {
		r = plane.Clip(r, h)
	}
	return r, true
}

// Solid draws a region that was made true about (0, 0): turned over where the
// canvas' u runs backwards, and moved to the canvas' origin.
func (c *Canvas) Solid(r plane.Region, names []Segment) Drawn {
	m := plane.Affine{A: 1, D: 1, E: c.Point.E, F: c.Point.F}
	if c.Point.Det() < 0 {
		m.A = -1
	}
	return Drawn{Region: r, Names: names}.Mapped(m)
}

// At is the canvas with its origin moved to p of the design's coordinates.
func (c *Canvas) At(p plane.Point) *Canvas {
	o := *c
	q := c.Point.Apply(p)
	o.Point.E, o.Point.F = q.X, q.Y
	return &o
}

func (d Drawn) Mapped(m plane.Affine) Drawn {
	out := Drawn{Region: d.Region.Transform(m), Endless: d.Endless}
	for _, h := range d.Clips {
		n := m.Vec(h.N) // m is rigid
		on := m.Apply(h.N.Scale(h.D))
		out.Clips = append(out.Clips, plane.HalfPlane{N: n, D: n.Dot(on)})
	}
	for _, s := range d.Names {
		out.Names = append(out.Names, Segment{s.Name, m.Apply(s.A), m.Apply(s.B)})
	}
	return out
}

// Quad names the four edges of a shape drawn as four points, anticlockwise from
// the lower left.
func Quad(p [4]plane.Point) []Segment {
	return []Segment{
		{"bottom", p[0], p[1]}, {"right", p[1], p[2]}, {"top", p[2], p[3]}, {"left", p[3], p[0]},
	}
}

// OutlineEdges returns the straight edges of a loop in order. An edge lying on
// a named segment has its name, the others their position from 1.
func OutlineEdges(loop plane.Loop, names []Segment) []Segment {
	out := make([]Segment, 0, len(loop))
	for i, v := range loop {
		if v.Bulge != 0 {
			continue
		}
		w := loop[(i+1)%len(loop)]
		s := Segment{position(i), v.P, w.P}
		for _, n := range names {
			if onSegment(n, s) {
				s.Name = n.Name
				break
			}
		}
		out = append(out, s)
	}
	return longestOfName(out)
}

// longestOfName keeps a name for the longest edge that carries it.
func longestOfName(segs []Segment) []Segment {
	for i := range segs {
		for j := range segs {
			if i != j && segs[i].Name == segs[j].Name && segs[i].A.Dist(segs[i].B) < segs[j].A.Dist(segs[j].B) {
				segs[i].Name = position(i) + "b"
			}
		}
	}
	return segs
}

// onSegment tells whether s lies on the line of n and shares a stretch with it.
func onSegment(n, s Segment) bool {
	d := n.B.Sub(n.A)
	l := d.Len()
	if l == 0 {
		return false
	}
	d = d.Scale(1 / l)
	const off = 1e-6
	pa, pb := s.A.Sub(n.A), s.B.Sub(n.A)
	if math.Abs(d.Cross(pa)) > off || math.Abs(d.Cross(pb)) > off {
		return false
	}
	lo, hi := d.Dot(pa), d.Dot(pb)
	if lo > hi {
		lo, hi = hi, lo
	}
	return min(hi, l)-max(lo, 0) > off
}

// position is the name of an edge or copy that has no other: its place, from 1.
func position(i int) string { return strconv.Itoa(i + 1) }

// LoopOf is an outline of straight edges.
func LoopOf(p []plane.Point) plane.Loop {
	l := make(plane.Loop, len(p))
	for i, q := range p {
		l[i].P = q
	}
	return l
}
