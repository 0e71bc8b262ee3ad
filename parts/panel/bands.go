package panel

import (
	"math"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// bandAngle is the most that one slab of a bend stands for.
const bandAngle = 15 * bend.Degree

// bands are flat slabs that lie wholly in the metal of a bend: each reaches out to
// the chord of its piece's outside, and in as far as the inner faces would meet without
// the radius: the edge of a sheet that lies in that corner only rests on the radius. They
// are no longer than the bend's shorter edge; a wide bend in thin sheet has none.
type bands struct {
	fold          *FlatFold
	count         int
	centre        solid.Vec    // on the bend's axis
	axis, outward solid.Vec    // unit; outward from the axis where the bend starts
	from, to      float64      // along the axis from the centre
	near, thick   float64      // from the axis to a slab, and the slab's own
	region        plane.Region // of every slab
}

// bands of fold i, and whether it has any.
func (f *Flat) bands(i int) (bands, bool) {
	s := &f.Folds[i]
	w, e := f.World(s.A), s.To.Sub(s.From).Unit()
	in := e.Perp() // into face A
	base := s.From.Add(in.Scale(s.Bend.Allowance() / 2))
	b := bands{fold: s, from: math.Inf(-1), to: math.Inf(1)}
	for _, t := range [][2]plane.Point{s.TangentA, s.TangentB} {
		x, y := t[0].Sub(base).Dot(e), t[1].Sub(base).Dot(e)
		b.from, b.to = max(b.from, min(x, y)), min(b.to, max(x, y))
	}
	n := math.Ceil(s.Bend.Angle/bandAngle - 1e-9)
	half := s.Bend.Angle / n / 2
	b.count = int(n)
	b.near = max(s.Bend.Radius/elementary.Cos(min(s.Bend.Angle, math.Pi/2)/2), s.Bend.Thickness/2)
	b.thick = float64((s.Bend.Radius+s.Bend.Thickness)*elementary.Cos(half)) - b.near
	if b.to-b.from < TouchTol || b.thick < TouchTol {
		return bands{}, false
	}
	up := w.Normal()
	wide := b.near * elementary.Tan(half)
	b.region = plane.Region{plane.RectAt(plane.Point{X: b.from, Y: -wide}, plane.Point{X: b.to, Y: wide})}
	b.axis, b.outward = w.Dir(e), up
	b.centre = shift(w.At(base), axisHeight(s.Bend, s.Down), up)
	if !s.Down {
		b.outward = up.Scale(-1)
	}
	return b, true
}

// toward is the way outward from the axis after k of n equal parts of the bend.
func (b *bands) toward(k, n float64) solid.Vec {
	return turn(b.outward, b.axis, signed(b.fold.Bend.Angle, b.fold.Down)*k/n)
}

// block is square to the middle of the bend and holds the sector that the slabs lie in.
func (b *bands) block() block {
	s, c := elementary.Sincos(b.fold.Bend.Angle / 2)
	out := b.fold.Bend.Radius + b.fold.Bend.Thickness
	low, side := b.near*c, float64(out*s)
	if c < 0 {
		low, side = out*c, out
	}
	d := b.toward(1, 2)
	return newBlock(b.frame(low, d), plane.Box{Min: plane.Point{X: b.from, Y: -side}, Max: plane.Point{X: b.to, Y: side}}, out-low, 0)
}

// frame lies square to d, the way outward, so far from the axis; its normal points back.
func (b *bands) frame(far float64, d solid.Vec) solid.Frame {
	return solid.Frame{O: shift(b.centre, far, d), X: b.axis, Y: b.axis.Cross(d)}
}

// slab k of the bands.
func (b *bands) slab(k int) placed {
	d := b.toward(float64(k)+0.5, float64(b.count))
	return place(Prism{b.fold.Name, b.frame(b.near, d), b.region, b.region.Bounds(), b.thick})
}
