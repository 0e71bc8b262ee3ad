package panel

import (
	"math"

	"perch/parts/plane"
	"perch/parts/solid"
)

// placed is a prism with the block and the box around it.
type placed struct {
	Prism
	block
	box box
}

// place has p hold a prism.
func (p *placed) place(q Prism) {
	p.Prism = q
	if len(q.Region) == 0 {
		p.box = noBox()
		return
	}
	p.block = newBlock(q.Frame, q.Bounds, q.Thickness)
	p.box = boxOf(&p.block)
}

// placed are the faces' metal where the part stands, in the order of the faces.
func (f *Flat) placed() []placed {
	out := make([]placed, len(f.Faces))
	for i := range f.Faces {
		out[i].place(f.Prism(i))
	}
	return out
}

// convex is a solid that blocks and bends are held against.
type convex interface {
	// extent is how far it reaches along an axis, from the world's origin.
	extent(axis solid.Vec) (lo, hi float64)
	// square are its own axes, the last its surfaces' normal, and how deep, in mm, another
	// solid may reach into its surfaces and only touch.
	square() (axes *[3]solid.Vec, touch float64)
}

// apart tells that a plane parts two solids: square to an axis of either, or to both
// normals' common normal. Beyond their surfaces, where they may touch, touch does not count.
func apart(a, b convex) bool {
	clear := func(axis solid.Vec, touch float64) bool {
		lo, hi := a.extent(axis)
		from, to := b.extent(axis)
		return lo > to-touch || hi < from+touch
	}
	n, touchA := a.square()
	m, touchB := b.square()
	return clear(m[2], touchB) || clear(n[2], touchA) ||
		clear(m[0], 0) || clear(m[1], 0) || clear(n[0], 0) || clear(n[1], 0) ||
		clear(n[2].Cross(m[2]), 0)
}

// boxOf is the box around a solid.
func boxOf(c convex) (b box) {
	b.lo.X, b.hi.X = c.extent(solid.Vec{X: 1})
	b.lo.Y, b.hi.Y = c.extent(solid.Vec{Y: 1})
	b.lo.Z, b.hi.Z = c.extent(solid.Vec{Z: 1})
	return b
}

// block is the box around a flat prism, square to it.
type block struct {
	middle solid.Vec
	axes   [3]solid.Vec // unit
	half   [3]float64   // mm, along the axes
}

// newBlock has b in the plane of f as one surface, and thick mm behind it the other.
func newBlock(f solid.Frame, b plane.Box, thick float64) block {
	n := f.Normal()
	return block{
		middle: shift(f.At(b.Min.Add(b.Max).Scale(0.5)), -thick/2, n),
		axes:   [3]solid.Vec{f.X, f.Y, n},
		half:   [3]float64{(b.Max.X - b.Min.X) / 2, (b.Max.Y - b.Min.Y) / 2, thick / 2},
	}
}

func (b *block) square() (*[3]solid.Vec, float64) { return &b.axes, TouchTol }

func (b *block) extent(axis solid.Vec) (lo, hi float64) {
	m := b.middle.Dot(axis)
	r := float64(b.half[0]*math.Abs(b.axes[0].Dot(axis))) + float64(b.half[1]*math.Abs(b.axes[1].Dot(axis))) + float64(b.half[2]*math.Abs(b.axes[2].Dot(axis)))
	return m - r, m + r
}

// box is upright in the world.
type box struct{ lo, hi solid.Vec }

func noBox() box {
	inf := math.Inf(1)
	return box{solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}}
}

// with is the smallest box around b and v.
func (b box) with(v solid.Vec) box { return b.join(box{v, v}) }

// join is the smallest box around both.
func (b box) join(c box) box {
	return box{
		solid.Vec{X: min(b.lo.X, c.lo.X), Y: min(b.lo.Y, c.lo.Y), Z: min(b.lo.Z, c.lo.Z)},
		solid.Vec{X: max(b.hi.X, c.hi.X), Y: max(b.hi.Y, c.hi.Y), Z: max(b.hi.Z, c.hi.Z)},
	}
}

// meets tells whether two boxes share more than TouchTol in every direction.
func (b box) meets(c box) bool {
	return b.lo.X < c.hi.X-TouchTol && c.lo.X < b.hi.X-TouchTol &&
		b.lo.Y < c.hi.Y-TouchTol && c.lo.Y < b.hi.Y-TouchTol &&
		b.lo.Z < c.hi.Z-TouchTol && c.lo.Z < b.hi.Z-TouchTol
}
