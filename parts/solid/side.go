package solid

import (
	"math"

	"perch/parts/plane"
	"perch/solver/elementary"
)

// Side is one side of a body.
type Side struct {
	Body  *Body
	index int
}

// Corner is one corner edge of a body: the right end of the side of the same
// number.
type Corner struct {
	Body  *Body
	index int
}

// Number counts from 1.
func (s Side) Number() int { return s.index + 1 }

// Number counts from 1.
func (c Corner) Number() int { return c.index + 1 }

// Left is the corner at the side's left end, seen from outside.
func (s Side) Left() Corner {
	n := len(s.Body.sides)
	return Corner{s.Body, (s.index + n - 1) % n}
}

// Right is the corner at the side's right end, seen from outside.
func (s Side) Right() Corner { return Corner(s) }

// Left is the side that lies to the left of the corner, seen from outside.
func (c Corner) Left() Side { return Side(c) }

// Right is the side that lies to the right of the corner, seen from outside.
func (c Corner) Right() Side { return Side{c.Body, (c.index + 1) % len(c.Body.sides)} }

func (s Side) plane() sidePlane { return s.Body.sides[s.index] }

// cosLean is 1/√(1 + tan²).
func (p sidePlane) cosLean() float64 { return 1 / math.Sqrt(1+float64(p.slope*p.slope)) }

// Lean is the angle from plumb, positive where the body is wider below.
func (s Side) Lean() float64 { return elementary.Atan(s.plane().slope) }

// Slant is the side's height along the slope.
func (s Side) Slant() float64 { return s.Body.Height() / s.plane().cosLean() }

// Up turns a height above the world's floor into v, the distance up the slope
// from the side's bottom edge.
func (s Side) Up(z float64) float64 {
	return (z - s.Body.place.move.Z - s.Body.Low) / s.plane().cosLean()
}

// Frame is the side's own: origin in the middle of the bottom edge, x level to
// the right as seen from outside, y up the slope.
func (s Side) Frame() Frame {
	p := s.plane()
	c := p.cosLean()
	sn := float64(c * p.slope)
	r := p.reach - float64(s.Body.Low*p.slope)
	return s.Body.place.frame(Frame{
		O: Vec{float64(p.dir.X * r), float64(p.dir.Y * r), s.Body.Low},
		X: Vec{-p.dir.Y, p.dir.X, 0},
		Y: Vec{-float64(p.dir.X * sn), -float64(p.dir.Y * sn), c},
	})
}

// Half returns the distance, at v up the slope, from the side's middle line to
// its right-hand corner edge.
func (s Side) Half(v float64) float64 { return s.edgeAt(s.Right(), v).X }

// HalfLeft is Half for the left-hand corner edge.
func (s Side) HalfLeft(v float64) float64 { return -s.edgeAt(s.Left(), v).X }

func (s Side) edgeAt(c Corner, v float64) plane.Point {
	z := s.Body.Low + float64(v*s.plane().cosLean())
	p := s.Frame().Local(s.Body.place.point(c.own(z)))
	return plane.Point{X: p.X, Y: v}
}

// Band returns the side between lo and hi up the slope, in its frame: four
// points anticlockwise from lower left.
func (s Side) Band(lo, hi float64) [4]plane.Point {
	return [4]plane.Point{
		s.edgeAt(s.Left(), lo), s.edgeAt(s.Right(), lo),
		s.edgeAt(s.Right(), hi), s.edgeAt(s.Left(), hi),
	}
}

// PointAt is the corner edge's point at height z above the world's floor.
func (c Corner) PointAt(z float64) Vec {
	return c.Body.place.point(c.own(z - c.Body.place.move.Z))
}

// Foot is the lower end of the corner's edge.
func (c Corner) Foot() Vec { return c.Body.place.point(c.own(c.Body.Low)) }

// Head is the upper end of the corner's edge.
func (c Corner) Head() Vec { return c.Body.place.point(c.own(c.Body.High)) }

// own is the corner edge's point at height z above the body's own floor, in the
// body's own coordinates.
func (c Corner) own(z float64) Vec {
	a, b := c.Left().plane(), c.Right().plane()
	ra, rb := a.reach-float64(z*a.slope), b.reach-float64(z*b.slope)
	det := float64(a.dir.X*b.dir.Y) - float64(a.dir.Y*b.dir.X)
	return Vec{
		(float64(ra*b.dir.Y) - float64(rb*a.dir.Y)) / det,
		(float64(rb*a.dir.X) - float64(ra*b.dir.X)) / det,
		z,
	}
}

// Edge is the line of the corner, from foot to head.
func (c Corner) Edge() Line {
	foot := c.Foot()
	return Line{P: foot, D: c.Head().Sub(foot).Unit()}
}

// Other returns the corner's other side; ok is false where s is neither.
func (c Corner) Other(s Side) (Side, bool) {
	switch s.index {
	case c.Left().index:
		return c.Right(), true
	case c.Right().index:
		return c.Left(), true
	}
	return Side{}, false
}

// BendAngle is the angle between the outward normals of the corner's sides.
func (c Corner) BendAngle() float64 {
	a, b := c.Left().Frame().Normal(), c.Right().Frame().Normal()
	return elementary.Atan2(a.Cross(b).Len(), a.Dot(b))
}
