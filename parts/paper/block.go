package paper

import (
	"math"

	"perch/parts/plane"
)

// block is a rectangle at any angle: what a text or, half as high as nothing, a line takes
// of the page.
type block struct {
	centre     plane.Point
	along      plane.Point // unit
	half, rise float64     // half length along, half height across
}

func lineBlock(a, b plane.Point, wide float64) block {
	d := b.Sub(a)
	n := d.Len()
	u := plane.Point{X: 1}
	if n > 0 {
		u = d.Scale(1 / n)
	}
	return block{a.Lerp(b, 0.5), u, float64((n + wide) / 2), float64(wide / 2)}
}

func boxBlock(b plane.Box) block {
	s := b.Size()
	return block{b.Center(), plane.Point{X: 1}, s.X / 2, s.Y / 2}
}

// meets reports whether two blocks overlap: no separating axis among their sides.
func (a block) meets(b block) bool {
	d := b.centre.Sub(a.centre)
	reach := a.half + a.rise + b.half + b.rise
	if math.Abs(d.X) > reach || math.Abs(d.Y) > reach {
		return false
	}
	cos, sin := math.Abs(a.along.Dot(b.along)), math.Abs(a.along.Cross(b.along))
	for _, s := range [2][2]block{{a, b}, {b, a}} {
		p, q := s[0], s[1]
		if math.Abs(d.Dot(p.along)) >= p.half+float64(q.half*cos)+float64(q.rise*sin) {
			return false
		}
		if math.Abs(d.Dot(p.along.Perp())) >= p.rise+float64(q.half*sin)+float64(q.rise*cos) {
			return false
		}
	}
	return true
}

// box is upright on the page, around the block and a hair more.
func (a block) box() plane.Box {
	u := plane.Point{X: math.Abs(a.along.X), Y: math.Abs(a.along.Y)}
	reach := plane.Point{X: float64(u.X*a.half) + float64(u.Y*a.rise), Y: float64(u.Y*a.half) + float64(u.X*a.rise)}
	return plane.Box{Min: a.centre.Sub(reach), Max: a.centre.Add(reach)}.Grow(1e-6)
}

// grown is the block and so much all round.
func (a block) grown(by float64) block { a.half += by; a.rise += by; return a }

// room remembers what is taken of a page.
type room struct {
	taken  []block
	of     []int        // by block, the text it is of; −1: a line's or a reserved place
	places plane.Places // of what is taken
	near   []int
}

// meet is the number of the first block taken that b meets, but for those of text skip; −1
// where there is none.
func (r *room) meet(b block, skip int) int {
	r.near = r.places.Near(b.box(), r.near[:0])
	for _, i := range r.near {
		if (r.of[i] < 0 || r.of[i] != skip) && r.taken[i].meets(b) {
			return i
		}
	}
	return -1
}

func (r *room) take(b block, text int) {
	r.taken = append(r.taken, b)
	r.of = append(r.of, text)
	r.places.Add(b.box())
}
