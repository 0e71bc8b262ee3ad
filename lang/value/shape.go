package value

import (
	"strconv"

	"perch/lang/diag"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Shape is a region still to be drawn: points are mapped and fold spans are
// known only on the face it is drawn on.
type Shape struct {
	At diag.Span
	By func(c *Canvas) Drawn // draws it; whoever wants it drawn calls Draw
}

// What drawing costs, in steps of evaluation: of a shape, of each of its corners, and of
// each corner that is put beside others at places.
const (
	drawWork   = 40
	cornerWork = 4
	placeWork  = 16
)

// Draw draws the shape on a canvas, as long as that does not take too much work.
func (s *Shape) Draw(c *Canvas) (d Drawn) {
	Bounded(s.At, func() { d = s.By(c) })
	c.spend(s.At, drawWork+cornerWork*corners(d.Region))
	return d
}

// corners is the number of corners of a region.
func corners(r plane.Region) (n int) {
	for _, l := range r {
		n += len(l)
	}
	return n
}

func (c *Canvas) spend(at diag.Span, steps int) {
	if c.Spend != nil {
		c.Spend(at, steps)
	}
}

// Canvas is the face that a shape is drawn on.
type Canvas struct {
	Frame solid.Frame  // the plane's own coordinates
	Point plane.Affine // (u, v) of the design to the frame's x, y
	Span  float64      // length of the fold that the face hangs on, 0 for others
	Hung  bool
	// Spend is told what drawing costs, in steps; it unwinds when that is too much. Nil:
	// nobody counts.
	Spend func(at diag.Span, steps int)
}

// Counted is the canvas with somebody who counts what drawing on it costs.
func (c *Canvas) Counted(spend func(at diag.Span, steps int)) *Canvas {
	o := *c
	o.Spend = spend
	return &o
}

// Drawn is a region in a canvas' frame, or the whole plane, within half-planes
// that are still to be cut.
type Drawn struct {
	Region  plane.Region
	Endless bool // the whole plane: region is empty
	Clips   []plane.HalfPlane
	// Names works out what is named of the region's outline, before the half-planes
	// are cut; nil for nothing. It is asked for by a face's outline only.
	Names func() []Segment
}

// far is how far from the origin, in mm, a shape without end is drawn; what reaches
// half as far has none.
const far = 2e5

// Free is the canvas of shapes drawn on no face.
var Free = &Canvas{
	Frame: solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}},
	Point: plane.Affine{A: 1, D: 1},
}

// Bounded returns the region with its half-planes cut; ok is false where it has
// no end.
func (d Drawn) Bounded() (r plane.Region, ok bool) {
	r = d.whole()
	for _, h := range d.Clips {
		r = plane.Clip(r, h)
	}
	if b := r.Bounds(); d.Endless && !b.Empty() && max(-b.Min.X, -b.Min.Y, b.Max.X, b.Max.Y) > far/2 {
		return nil, false
	}
	return r, true
}

// whole is the region before its half-planes are cut.
func (d Drawn) whole() plane.Region {
	if d.Endless {
		return plane.Region{plane.Rect(2*far, 2*far)}
	}
	return d.Region
}

// Edges is what is named of the outline of the bounded region.
func (d Drawn) Edges() []Segment {
	if d.Names == nil {
		return nil
	}
	r, names := d.whole(), d.Names()
	for _, h := range d.Clips {
		r = plane.Clip(r, h)
		names = cutBack(names, r, h)
	}
	return names
}

// outlined is a bounded region with what of the names it has kept.
func outlined(r plane.Region, names func() []Segment) Drawn {
	return Drawn{Region: r, Names: func() []Segment { return lying(names(), r) }}
}

// Solid draws a region that was made true about (0, 0): turned over where the
// canvas' u runs backwards, and moved to the canvas' origin.
func (c *Canvas) Solid(r plane.Region, names []Segment) Drawn {
	return Drawn{Region: r, Names: func() []Segment { return names }}.Mapped(c.upright())
}

// upright is the canvas' map without the slant that v may have on it: u along u, v
// square to it.
func (c *Canvas) upright() plane.Affine {
	u := c.along()
	v := u.Perp()
	if c.Point.Det() < 0 {
		v = v.Neg()
	}
	return plane.Affine{A: u.X, B: v.X, C: u.Y, D: v.Y, E: c.Point.E, F: c.Point.F}
}

// along is the direction of u.
func (c *Canvas) along() plane.Point { return plane.Point{X: c.Point.A, Y: c.Point.C}.Unit() }

// At is the canvas with its origin moved to p of the design's coordinates.
func (c *Canvas) At(p plane.Point) *Canvas {
	o := *c
	q := c.Point.Apply(p)
	o.Point.E, o.Point.F = q.X, q.Y
	return &o
}

// Mapped is what a rigid map makes of d; its edges are called what they were.
func (d Drawn) Mapped(m plane.Affine) Drawn { return d.mapped(m, func(s Segment) Segment { return s }) }

// Mirrored is what a map that mirrors makes of d: the language's left and right
// change places, names that were written stay where they are.
func (d Drawn) Mirrored(m plane.Affine) Drawn { return d.mapped(m, Segment.swapped) }

func (d Drawn) mapped(m plane.Affine, name func(Segment) Segment) Drawn {
	out := Drawn{Region: d.Region.Transform(m), Endless: d.Endless}
	for _, h := range d.Clips {
		n := m.Vec(h.N) // m is rigid
		on := m.Apply(h.N.Scale(h.D))
		out.Clips = append(out.Clips, plane.HalfPlane{N: n, D: n.Dot(on)})
	}
	if d.Names != nil {
		out.Names = func() []Segment {
			var names []Segment
			for _, s := range d.Names() {
				names = append(names, name(s.mapped(m)))
			}
			return names
		}
	}
	return out
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
