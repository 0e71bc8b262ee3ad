package drawing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/parts/decimal"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
)

// PictureOptions of a picture.
type PictureOptions struct {
	Paper        measure.Paper // how the dimensions are written
	Design, Size string        // the caption; either may be empty
	Revision     string        // of the design, for the caption; may be empty
}

// Picture is the assembled piece as seen from in front, a little to the right and
// above: flat shapes in order, the last one on top. Units are pixels, y down.
type Picture struct {
	Width, Height float64
	shapes        []shape
	lines         []stroke
	texts         []words
}

// shape is a filled polygon with the edges that are drawn on it.
type shape struct {
	loops [][]plane.Point // by parity
	drawn [][]bool
	tint  int     // shadowTint for a shadow
	light float64 // 0 to 1
	marks []stroke
}

type stroke struct {
	from, to plane.Point
	arrows   bool
}

type words struct {
	content      string
	at           plane.Point // its baseline, start or middle
	middle, bold bool
	size         float64
}

const (
	pictureWidth  = 640.0
	pictureMost   = 760.0 // height of the drawn piece at most
	sideMargin    = 112.0 // the height's dimension stands here
	topMargin     = 28.0
	captionMargin = 108.0
	shadowTint    = -1
)

// The view: the eye's direction from the middle (not normalised), its distance in
// radii of the piece, and the light.
var (
	viewFrom  = solid.Vec{X: 0.42, Y: -1, Z: 0.42}
	lightFrom = solid.Vec{X: -0.5, Y: -0.75, Z: 2}
)

const eyeAway = 6.0

// NewPicture draws the facets. It returns an error when there is nothing to draw
// or a coordinate is not finite.
func NewPicture(facets []Facet, opt PictureOptions) (*Picture, error) {
	lo, hi, err := extent(facets)
	if err != nil {
		return nil, fmt.Errorf("picture of %s, %s: %w", opt.Design, opt.Size, err)
	}
	v := newView(lo, hi)
	p := &Picture{Width: pictureWidth, Height: v.height}
	for i := range facets {
		p.shadow(v, &facets[i], lo.Z)
	}
	light := lightFrom.Unit()
	for _, piece := range backToFront(facets, v.eye) {
		s := shape{drawn: piece.drawn, tint: piece.facet.Tint, light: shade(piece.facet.Normal, light)}
		for _, l := range piece.loops {
			s.loops = append(s.loops, v.project(l))
		}
		s.marks = scribed(v, piece.facet, s.loops)
		p.shapes = append(p.shapes, s)
	}
	if metal := slices.DeleteFunc(slices.Clone(facets), func(f Facet) bool { return f.Head }); len(metal) > 0 {
		if lo, hi, err = extent(metal); err != nil {
			return nil, fmt.Errorf("picture of %s, %s: %w", opt.Design, opt.Size, err)
		}
	}
	p.dimensions(v, lo, hi, opt)
	return p, nil
}

func extent(facets []Facet) (lo, hi solid.Vec, err error) {
	inf := math.Inf(1)
	lo, hi = solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}
	for _, f := range facets {
		for _, l := range append([][]solid.Vec{f.Outer}, f.Holes...) {
			for _, q := range l {
				if !decimal.Finite(q.X, q.Y, q.Z, f.Normal.X, f.Normal.Y, f.Normal.Z) {
					return lo, hi, fmt.Errorf("a corner lies at %v, its normal is %v", q, f.Normal)
				}
				lo = solid.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y), Z: min(lo.Z, q.Z)}
				hi = solid.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y), Z: max(hi.Z, q.Z)}
			}
		}
	}
	if !(lo.X <= hi.X && hi.Sub(lo).Len() > 0) {
		return lo, hi, fmt.Errorf("there is nothing to draw")
	}
	return lo, hi, nil
}

// shade is the light on a surface, 0 to 1: some from everywhere, most from the lamp.
func shade(n, light solid.Vec) float64 {
	return 0.5 + float64(0.5*max(0, n.Dot(light)))
}

// view projects the world to the page.
type view struct {
	eye, right, up, ahead solid.Vec
	scale                 float64
	shift                 plane.Point
	height                float64
}

func newView(lo, hi solid.Vec) view {
	middle := lo.Add(hi).Scale(0.5)
	radius := hi.Sub(lo).Len() / 2
	from := viewFrom.Unit()
	v := view{eye: middle.Add(from.Scale(eyeAway * radius)), ahead: from.Neg(), scale: 1}
	v.right = v.ahead.Cross(solid.Vec{Z: 1}).Unit()
	v.up = v.right.Cross(v.ahead)
	box := plane.EmptyBox()
	for i := range 8 {
		box = box.With(v.page(corner(lo, hi, i)))
	}
	size := box.Size()
	v.scale = min((pictureWidth-2*sideMargin)/size.X, pictureMost/size.Y)
	v.shift = plane.Point{X: pictureWidth/2 - float64(box.Center().X*v.scale), Y: topMargin - float64(box.Min.Y*v.scale)}
	v.height = math.Ceil(float64(size.Y*v.scale) + topMargin + captionMargin)
	return v
}

// corner i of a box: its bits choose the high end of x, y and z.
func corner(lo, hi solid.Vec, i int) solid.Vec {
	c := lo
	if i&1 != 0 {
		c.X = hi.X
	}
	if i&2 != 0 {
		c.Y = hi.Y
	}
	if i&4 != 0 {
		c.Z = hi.Z
	}
	return c
}

func (v view) page(q solid.Vec) plane.Point {
	d := q.Sub(v.eye)
	k := v.scale / d.Dot(v.ahead)
	return plane.Point{X: float64(d.Dot(v.right)*k) + v.shift.X, Y: v.shift.Y - float64(d.Dot(v.up)*k)}
}

func (v view) project(l []solid.Vec) []plane.Point {
	out := make([]plane.Point, len(l))
	for i, q := range l {
		out[i] = v.page(q)
	}
	return out
}

// shadow lays a lit facet's outline on the floor, away from the light.
func (p *Picture) shadow(v view, f *Facet, floor float64) {
	if f.Thin || len(f.Outer) < 3 || f.Normal.Dot(lightFrom) <= 0 {
		return
	}
	s := shape{tint: shadowTint}
	for _, l := range append([][]solid.Vec{f.Outer}, f.Holes...) {
		var pts []plane.Point
		for _, q := range l {
			k := (q.Z - floor) / lightFrom.Z
			pts = append(pts, v.page(solid.Vec{X: q.X - float64(lightFrom.X*k), Y: q.Y - float64(lightFrom.Y*k), Z: floor}))
		}
		s.loops = append(s.loops, pts)
	}
	p.shapes = append(p.shapes, s)
}

// dimensions puts height, width and depth on the bounding box's near edges, and
// the caption below.
func (p *Picture) dimensions(v view, lo, hi solid.Vec, opt PictureOptions) {
	const away = 20.0 // pixels off the box
	front, frontRight, backRight := corner(lo, hi, 0), corner(lo, hi, 1), corner(lo, hi, 3)
	foot, head := v.page(front), v.page(corner(lo, hi, 4))
	x := min(foot.X, head.X) - away
	p.lines = append(p.lines,
		stroke{plane.Point{X: x, Y: foot.Y}, plane.Point{X: x, Y: head.Y}, true},
		stroke{plane.Point{X: foot.X - 4, Y: foot.Y}, plane.Point{X: x - 5, Y: foot.Y}, false},
		stroke{plane.Point{X: head.X - 4, Y: head.Y}, plane.Point{X: x - 5, Y: head.Y}, false})
	size := hi.Sub(lo)
	dim := func(mm float64) string { return opt.Paper.Overall(mm) + opt.Paper.Unit() }
	height := dim(size.Z)
	p.texts = append(p.texts, words{content: height, at: plane.Point{X: x - 10 - float64(textWidth(height, dimSize)/2), Y: float64((foot.Y+head.Y)/2) + 5}, middle: true, size: dimSize})
	p.along(v.page(front), v.page(frontRight), away, dim(size.X))
	p.along(v.page(frontRight), v.page(backRight), away, dim(size.Y))

	y := p.Height - 40
	if opt.Design != "" {
		p.texts = append(p.texts, words{content: opt.Design, at: plane.Point{X: 24, Y: y}, bold: true, size: 21})
		y += 22
	}
	var below []string
	if opt.Size != "" {
		below = append(below, "size "+opt.Size)
	}
	if opt.Revision != "" {
		below = append(below, "revision "+opt.Revision)
	}
	if len(below) > 0 {
		p.texts = append(p.texts, words{content: strings.Join(below, ", "), at: plane.Point{X: 24, Y: y}, size: dimSize})
	}
}

const dimSize = 14.0

// along dimensions the edge from a to b, away pixels below it.
func (p *Picture) along(a, b plane.Point, away float64, content string) {
	u, _ := unit(a, b)
	off := plane.Point{X: -u.Y, Y: u.X}
	if off.Y < 0 {
		off = plane.Point{X: u.Y, Y: -u.X}
	}
	move := func(q plane.Point, d float64) plane.Point {
		return plane.Point{X: q.X + float64(off.X*d), Y: q.Y + float64(off.Y*d)}
	}
	p.lines = append(p.lines, stroke{move(a, away), move(b, away), true},
		stroke{move(a, 4), move(a, away+5), false}, stroke{move(b, 4), move(b, away+5), false})
	at := move(plane.Point{X: float64((a.X + b.X) / 2), Y: float64((a.Y + b.Y) / 2)}, away+16)
	at.X += float64(off.X * textWidth(content, dimSize) / 2)
	p.texts = append(p.texts, words{content: content, at: plane.Point{X: at.X, Y: at.Y + 5}, middle: true, size: dimSize})
}
