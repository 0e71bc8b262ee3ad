package drawing

import (
	"math"

	"perch/parts/plane"
)

// block is a rectangle at any angle: what a text or, half as high as nothing, a
// line takes of the page.
type block struct {
	centre     plane.Point
	along      plane.Point // unit
	half, rise float64     // half length along, half height across
}

func lineBlock(a, b plane.Point) block {
	u, n := unit(a, b)
	return block{plane.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}, u, n / 2, 0}
}

// meets reports whether two blocks overlap: no separating axis among their sides.
func (a block) meets(b block) bool {
	d := plane.Point{X: b.centre.X - a.centre.X, Y: b.centre.Y - a.centre.Y}
	reach := a.half + a.rise + b.half + b.rise
	if math.Abs(d.X) > reach || math.Abs(d.Y) > reach {
		return false
	}
	cos := math.Abs(dot(a.along, b.along))
	sin := math.Abs(float64(a.along.X*b.along.Y) - float64(a.along.Y*b.along.X))
	for _, s := range [2][2]block{{a, b}, {b, a}} {
		p, q := s[0], s[1]
		if math.Abs(dot(d, p.along)) >= p.half+float64(q.half*cos)+float64(q.rise*sin) {
			return false
		}
		across := plane.Point{X: -p.along.Y, Y: p.along.X}
		if math.Abs(dot(d, across)) >= p.rise+float64(q.half*sin)+float64(q.rise*cos) {
			return false
		}
	}
	return true
}

func dot(a, b plane.Point) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

// box is upright on the page, around the block and a hair more.
func (a block) box() plane.Box {
	u := plane.Point{X: math.Abs(a.along.X), Y: math.Abs(a.along.Y)}
	reach := plane.Point{X: float64(u.X*a.half) + float64(u.Y*a.rise), Y: float64(u.Y*a.half) + float64(u.X*a.rise)}
	return plane.Box{Min: a.centre.Sub(reach), Max: a.centre.Add(reach)}.Grow(1e-6)
}

// page remembers what is taken.
type page struct {
	taken  []block
	places plane.Places // of what is taken
	near   []int
}

func (p *page) free(b block) bool {
	p.near = p.places.Near(b.box(), p.near[:0])
	for _, i := range p.near {
		if p.taken[i].meets(b) {
			return false
		}
	}
	return true
}

func (p *page) take(b block) {
	p.taken = append(p.taken, b)
	p.places.Add(b.box())
}

// try takes the first free one of the candidates.
func (p *page) try(candidates []block) (block, bool) {
	for _, b := range candidates {
		if p.free(b) {
			p.take(b)
			return b, true
		}
	}
	return block{}, false
}
