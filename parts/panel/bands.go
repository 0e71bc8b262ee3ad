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
//
// All of them lie in a sector of a ring, which is what they are held against first.
type bands struct {
	fold      *FlatFold
	count     int
	centre    solid.Vec    // on the bend's axis
	from, to  float64      // along the axis from the centre
	near, far float64      // from the axis: the inner side of a slab, the bend's outside
	thick     float64      // a slab's
	bounds    plane.Box    // of every slab
	region    plane.Region // of every slab, once there is one
	axes      [3]solid.Vec // unit: along the axis, across, outward where the bend starts
	ends      [3]solid.Vec // unit: outward where the bend starts, in its middle and where it ends
	open      float64      // the cosine of half of the bend's angle
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
	b.far = s.Bend.Radius + s.Bend.Thickness
	n := math.Ceil(s.Bend.Angle/bandAngle - 1e-9)
	half := s.Bend.Angle / n / 2
	b.count = int(n)
	b.near = max(s.Bend.Radius/elementary.Cos(min(s.Bend.Angle, math.Pi/2)/2), s.Bend.Thickness/2)
	b.thick = float64(b.far*elementary.Cos(half)) - b.near
	if b.to-b.from < TouchTol || b.thick < TouchTol {
		return bands{}, false
	}
	wide := b.near * elementary.Tan(half)
	b.bounds = plane.Box{Min: plane.Point{X: b.from, Y: -wide}, Max: plane.Point{X: b.to, Y: wide}}
	axis, up := w.Dir(e), w.Normal()
	b.centre = shift(w.At(base), axisHeight(s.Bend, s.Down), up)
	if !s.Down {
		up = up.Scale(-1)
	}
	b.axes = [3]solid.Vec{axis, axis.Cross(up), up}
	b.ends = [3]solid.Vec{up, b.toward(1, 2), b.toward(1, 1)}
	b.open = elementary.Cos(s.Bend.Angle / 2)
	return b, true
}

// toward is the way outward from the axis after k of n equal parts of the bend.
func (b *bands) toward(k, n float64) solid.Vec {
	return turn(b.axes[2], b.axes[0], signed(b.fold.Bend.Angle, b.fold.Down)*k/n)
}

func (b *bands) square() (*[3]solid.Vec, float64) { return &b.axes, 0 }

func (b *bands) extent(axis solid.Vec) (lo, hi float64) {
	m, along := b.centre.Dot(axis), b.axes[0].Dot(axis)
	u, v := float64(b.from*along), float64(b.to*along)
	return m + min(u, v) - b.reach(axis.Scale(-1)), m + max(u, v) + b.reach(axis)
}

// reach is how far the sector goes from the bend's axis along a vector.
func (b *bands) reach(along solid.Vec) float64 {
	x, y := b.axes[1].Dot(along), b.axes[2].Dot(along)
	flat := math.Sqrt(float64(x*x) + float64(y*y))
	if b.ends[1].Dot(along) >= flat*b.open {
		return b.far * flat
	}
	most := max(b.ends[0].Dot(along), b.ends[2].Dot(along))
	if most < 0 {
		return b.near * most
	}
	return b.far * most
}

// slab k of the bands.
func (b *bands) slab(k int) Prism {
	if b.region == nil {
		b.region = plane.Region{plane.RectAt(b.bounds.Min, b.bounds.Max)}
	}
	d := b.toward(float64(k)+0.5, float64(b.count))
	f := solid.Frame{O: shift(b.centre, b.near, d), X: b.axes[0], Y: b.axes[0].Cross(d)}
	return Prism{b.fold.Name, f, b.region, b.bounds, b.thick}
}
