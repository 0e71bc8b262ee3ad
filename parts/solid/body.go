package solid

import (
	"fmt"
	"math"

	"perch/parts/measure"
	"perch/parts/plane"
	"perch/solver/elementary"
)

// Body is a skeleton: a convex prism or frustum that stands on a level bottom.
// Its planes are the outside of the outermost metal; sides and corners are
// numbered from 1, anticlockwise from above, side 1 facing the viewer (−y), and
// corner k is the right end of side k. A body is made about the world's z axis,
// on the floor; Turned and Moved put it elsewhere, and all that it names with it.
type Body struct {
	Low, High float64 // heights of bottom and top above the body's own floor, mm
	sides     []sidePlane
	place     place
}

// sidePlane is one side in the body's own coordinates: all points with
// dir·(x, y) = reach − z·slope.
type sidePlane struct {
	dir   plane.Point // outward in plan, a unit vector
	reach float64     // distance from the axis on the floor, mm
	slope float64     // tangent of the lean, positive = wider below
}

// Frustum returns a body of n sides whose distance across (over the inscribed
// circle) is bottom on the floor and top at the height, all in mm.
func Frustum(n int, top, bottom, height float64) (*Body, error) {
	if n < 3 || n > 64 {
		return nil, fmt.Errorf("a body has 3 to 64 sides, not %d", n)
	}
	b := &Body{High: height, place: unmoved}
	for k := range n {
		b.sides = append(b.sides, newSide(turn(k, n), top, bottom, height))
	}
	return b, b.valid()
}

// RectFrustum is Frustum for four sides with its own distances across in x
// (sides 2 and 4) and in y (sides 1 and 3).
func RectFrustum(topX, topY, bottomX, bottomY, height float64) (*Body, error) {
	b := &Body{High: height, place: unmoved}
	for k := range 4 {
		top, bottom := topY, bottomY
		if k%2 == 1 {
			top, bottom = topX, bottomX
		}
		b.sides = append(b.sides, newSide(turn(k, 4), top, bottom, height))
	}
	return b, b.valid()
}

func newSide(dir plane.Point, top, bottom, height float64) sidePlane {
	return sidePlane{dir: dir, reach: bottom / 2, slope: (bottom - top) / (2 * height)}
}

// turn returns the outward direction of side k (from 0) of n; quarter turns
// come out exact.
func turn(k, n int) plane.Point {
	switch {
	case k == 0:
		return plane.Point{X: 0, Y: -1}
	case 4*k == n:
		return plane.Point{X: 1, Y: 0}
	case 2*k == n:
		return plane.Point{X: 0, Y: 1}
	case 4*k == 3*n:
		return plane.Point{X: -1, Y: 0}
	}
	if 2*k > n { // the left half mirrors the right to the last bit
		p := turn(n-k, n)
		return plane.Point{X: -p.X, Y: p.Y}
	}
	s, c := elementary.Sincos(2 * math.Pi * float64(k) / float64(n))
	return plane.Point{X: s, Y: -c}
}

// valid tells whether the body has a positive height and a section everywhere.
func (b *Body) valid() error {
	if !(b.High > b.Low) {
		return measure.Errorf("its top (%.6g) is not above its bottom (%.6g)", measure.Length(b.High), measure.Length(b.Low))
	}
	for i, s := range b.sides {
		for _, z := range []float64{b.Low, b.High} {
			r := s.reach - float64(z*s.slope)
			if !(r > 0) || math.IsInf(r, 0) {
				return measure.Errorf("side %d is %.6g from the axis at height %.6g: nothing is left inside", i+1, measure.Length(r), measure.Length(z))
			}
		}
	}
	for _, c := range b.Corners() {
		for _, z := range []float64{b.Low, b.High} {
			p := c.own(z)
			for i, s := range b.sides {
				if float64(s.dir.X*p.X)+float64(s.dir.Y*p.Y) > s.reach-float64(z*s.slope)+1e-6 {
					return measure.Errorf("side %d leaves no edge at height %.6g", i+1, measure.Length(z))
				}
			}
		}
	}
	return nil
}

// Inset returns the body with every side moved inward by sides, the top down by
// top and the bottom up by bottom (mm, negative outward). The numbering stays.
func (b *Body) Inset(sides, top, bottom float64) (*Body, error) {
	each := make([]float64, len(b.sides))
	for i := range each {
		each[i] = sides
	}
	return b.InsetEach(each, top, bottom)
}

// InsetEach is Inset with a distance of its own for every side, in order.
func (b *Body) InsetEach(sides []float64, top, bottom float64) (*Body, error) {
	n := &Body{Low: b.Low + bottom, High: b.High - top, place: b.place}
	for i, s := range b.sides {
		// moving the plane by d along its normal moves its reach by d/cos a
		s.reach -= float64(sides[i] * math.Sqrt(1+float64(s.slope*s.slope)))
		n.sides = append(n.sides, s)
	}
	return n, n.valid()
}

// Height is how far the top is above the body's own bottom.
func (b *Body) Height() float64 { return b.High - b.Low }

// Sides returns the sides in order.
func (b *Body) Sides() []Side {
	out := make([]Side, len(b.sides))
	for i := range out {
		out[i] = Side{b, i}
	}
	return out
}

// Corners returns the corners in order.
func (b *Body) Corners() []Corner {
	out := make([]Corner, len(b.sides))
	for i := range out {
		out[i] = Corner{b, i}
	}
	return out
}

// Top returns the frame of the top plane, seen from above: x, y as the body was
// made, origin on its axis.
func (b *Body) Top() Frame { return b.place.frame(LevelFrame(b.High)) }

// Bottom returns the frame of the bottom plane, seen from below.
func (b *Body) Bottom() Frame { return b.place.frame(LevelFrame(b.Low)).Back() }

// LevelFrame is the level plane at height z, seen from above.
func LevelFrame(z float64) Frame {
	return Frame{O: Vec{0, 0, z}, X: Vec{X: 1}, Y: Vec{Y: 1}}
}

// UprightFrame is the upright plane at depth y, seen from the front (−y): x of
// the world to the right, z up, origin on the floor.
func UprightFrame(y float64) Frame {
	return Frame{O: Vec{0, y, 0}, X: Vec{X: 1}, Y: Vec{Z: 1}}
}

// SidewaysFrame is the upright plane at x, seen from the right (+x): y of the
// world, away from the viewer, is its x, z up, origin on the floor.
func SidewaysFrame(x float64) Frame {
	return Frame{O: Vec{x, 0, 0}, X: Vec{Y: 1}, Y: Vec{Z: 1}}
}

// Section returns the body's section in the plane of f, in f's coordinates, as
// half-planes: the section is where all hold.
func (b *Body) Section(f Frame) ([]plane.HalfPlane, error) {
	var out []plane.HalfPlane
	add := func(p Plane) error {
		h, ok, inside := Behind(f, p, 0)
		if !ok {
			if !inside {
				return fmt.Errorf("the plane lies outside the body")
			}
			return nil
		}
		out = append(out, h)
		return nil
	}
	for _, s := range b.Sides() {
		if err := add(s.Frame().Plane()); err != nil {
			return nil, err
		}
	}
	for _, p := range []Plane{b.Top().Plane(), b.Bottom().Plane()} {
		if err := add(p); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Behind returns the part of f's plane that lies behind p by at least clear, in
// f's coordinates. Where f is parallel to p, ok is false and inside tells
// whether all of f's plane lies behind.
func Behind(f Frame, p Plane, clear float64) (h plane.HalfPlane, ok, inside bool) {
	g := f.LocalDir(p.N)
	l := math.Sqrt(float64(g.X*g.X) + float64(g.Y*g.Y))
	d := p.D - clear - p.N.Dot(f.O)
	if l < 1e-9 {
		return plane.HalfPlane{}, false, d >= -1e-6
	}
	return plane.HalfPlane{N: plane.Point{X: g.X / l, Y: g.Y / l}, D: d / l}, true, true
}
