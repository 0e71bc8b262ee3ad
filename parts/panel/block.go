package panel

import (
	"math"

	"perch/parts/plane"
	"perch/parts/solid"
)

// placed is a prism with the block that it fills or lies in.
type placed struct {
	Prism
	block
}

func place(p Prism) placed {
	if len(p.Region) == 0 {
		return placed{p, block{box: noBox()}}
	}
	return placed{p, newBlock(p.Frame, p.Bounds, p.Thickness, TouchTol)}
}

// placed are the faces' metal where the part stands, in the order of the faces.
func (f *Flat) placed() []placed {
	out := make([]placed, len(f.Faces))
	for i := range f.Faces {
		out[i] = place(f.Prism(i))
	}
	return out
}

// block is a box of any direction in the world.
type block struct {
	middle solid.Vec
	axes   [3]solid.Vec // unit, square to each other; the last is the surfaces' normal
	half   [3]float64   // extents, mm, along the axes
	touch  float64      // how deep, in mm, another may reach into its surfaces and only touch
	box    box          // around it
}

// newBlock has b in the plane of f as one surface, and thick mm behind it the other.
func newBlock(f solid.Frame, b plane.Box, thick, touch float64) block {
	n := f.Normal()
	out := block{
		middle: shift(f.At(b.Min.Add(b.Max).Scale(0.5)), -thick/2, n),
		axes:   [3]solid.Vec{f.X, f.Y, n},
		half:   [3]float64{(b.Max.X - b.Min.X) / 2, (b.Max.Y - b.Min.Y) / 2, thick / 2},
		touch:  touch,
	}
	reach := solid.Vec{X: out.reach(solid.Vec{X: 1}), Y: out.reach(solid.Vec{Y: 1}), Z: out.reach(solid.Vec{Z: 1})}
	out.box = box{out.middle.Sub(reach), out.middle.Add(reach)}
	return out
}

// reach is how far it goes from its middle along an axis.
func (b *block) reach(axis solid.Vec) (r float64) {
	for i, a := range b.axes {
		r += float64(b.half[i] * math.Abs(a.Dot(axis)))
	}
	return r
}

// apart tells that a plane parts two blocks: square to a normal or an edge of either, or
// to both normals' common normal. Beyond their surfaces, where they may touch, touch does
// not count.
func apart(a, b *block) bool {
	way := b.middle.Sub(a.middle)
	clear := func(axis solid.Vec, touch float64) bool {
		return math.Abs(way.Dot(axis)) > a.reach(axis)+b.reach(axis)-touch
	}
	n, m := a.axes[2], b.axes[2]
	return clear(m, b.touch) || clear(n, a.touch) ||
		clear(b.axes[0], 0) || clear(b.axes[1], 0) || clear(a.axes[0], 0) || clear(a.axes[1], 0) ||
		clear(n.Cross(m), 0)
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
