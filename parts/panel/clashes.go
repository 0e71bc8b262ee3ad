package panel

import (
	"math"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// PartClash is metal that two parts claim both: parts A and B of those asked about.
type PartClash struct {
	A, B int
	Clash
}

// Clashes is Interfere for every two of many parts, in order, and looks at their bends
// as well: a bend counts as the face that it hangs, and for two faces one clash is told.
// Boxes around the metal keep what is far apart from being compared.
func Clashes(flats []*Flat) []PartClash {
	standing := make([]standing, len(flats))
	for i, f := range flats {
		standing[i] = stand(f)
	}
	var out []PartClash
	for i := range standing {
		a := &standing[i]
		for j := i + 1; j < len(standing); j++ {
			b := &standing[j]
			if !a.box.meets(b.box) {
				continue
			}
			first := len(out)
			for m := range a.prisms {
				if !a.boxes[m].meets(b.box) {
					continue
				}
				for n := range b.prisms {
					if !a.boxes[m].meets(b.boxes[n]) {
						continue
					}
					if told(out[first:], a.face[m], b.face[n]) {
						continue
					}
					if c, ok := clash(&a.prisms[m], &b.prisms[n]); ok {
						c.FaceA, c.FaceB = a.face[m], b.face[n]
						out = append(out, PartClash{i, j, c})
					}
				}
			}
		}
	}
	return out
}

// told tells whether a clash of two faces is among cs.
func told(cs []PartClash, a, b int) bool {
	for i := range cs {
		if cs[i].FaceA == a && cs[i].FaceB == b {
			return true
		}
	}
	return false
}

// standing is a part's faces, then its bends, in the world with the boxes around them.
type standing struct {
	prisms []Prism
	face   []int // that a prism counts as
	boxes  []box
	box    box
}

func stand(f *Flat) standing {
	s := standing{prisms: f.Prisms(), box: noBox()}
	for i := range f.Faces {
		s.face = append(s.face, i)
	}
	for i := range f.Folds {
		slabs := f.bendSlabs(i)
		s.prisms = append(s.prisms, slabs...)
		for range slabs {
			s.face = append(s.face, f.Folds[i].B)
		}
	}
	s.boxes = make([]box, 0, len(s.prisms))
	for i := range s.prisms {
		p, b := &s.prisms[i], noBox()
		if len(p.Region) > 0 {
			for _, v := range p.corners(p.Frame.Normal()) {
				b = b.with(v)
			}
			s.box = s.box.with(b.lo).with(b.hi)
		}
		s.boxes = append(s.boxes, b)
	}
	return s
}

// slabAngle is the most that one slab of a bend stands for.
const slabAngle = 15 * bend.Degree

// bendSlabs are flat slabs that lie wholly in the metal of a bend: each reaches out to
// the chord of its piece's outside, and in as far as the inner faces would meet without
// the radius: the edge of a sheet that lies in that corner only rests on the radius. They
// are no longer than the bend's shorter edge; a wide bend in thin sheet has none.
func (f *Flat) bendSlabs(i int) []Prism {
	s := &f.Folds[i]
	w, e := f.World(s.A), s.To.Sub(s.From).Unit()
	in := e.Perp() // into face A
	base := s.From.Add(in.Scale(s.Bend.Allowance() / 2))
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, t := range [][2]plane.Point{s.TangentA, s.TangentB} {
		a, b := t[0].Sub(base).Dot(e), t[1].Sub(base).Dot(e)
		lo, hi = max(lo, min(a, b)), min(hi, max(a, b))
	}
	bands := math.Ceil(s.Bend.Angle/slabAngle - 1e-9)
	half := s.Bend.Angle / bands / 2
	near := max(s.Bend.Radius/elementary.Cos(min(s.Bend.Angle, math.Pi/2)/2), s.Bend.Thickness/2)
	thick := float64((s.Bend.Radius+s.Bend.Thickness)*elementary.Cos(half)) - near
	wide := near * elementary.Tan(half)
	if hi-lo < TouchTol || thick < TouchTol {
		return nil
	}
	axis, n := w.Dir(e), w.Normal()
	centre := shift(w.At(base), axisHeight(s.Bend, s.Down), n)
	outward := n.Scale(-1)
	if s.Down {
		outward = n
	}
	r := plane.Region{plane.RectAt(plane.Point{X: lo, Y: -wide}, plane.Point{X: hi, Y: wide})}
	var out []Prism
	for k := range int(bands) {
		d := turn(outward, axis, signed(s.Bend.Angle, s.Down)*(float64(k)+0.5)/bands)
		out = append(out, Prism{s.Name, solid.Frame{O: shift(centre, near, d), X: axis, Y: axis.Cross(d)}, r, r.Bounds(), thick})
	}
	return out
}

// box is upright in the world.
type box struct{ lo, hi solid.Vec }

func noBox() box {
	inf := math.Inf(1)
	return box{solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}}
}

func (b box) with(v solid.Vec) box {
	return box{
		solid.Vec{X: min(b.lo.X, v.X), Y: min(b.lo.Y, v.Y), Z: min(b.lo.Z, v.Z)},
		solid.Vec{X: max(b.hi.X, v.X), Y: max(b.hi.Y, v.Y), Z: max(b.hi.Z, v.Z)},
	}
}

// meets tells whether two boxes share more than TouchTol in every direction.
func (b box) meets(c box) bool {
	return b.lo.X < c.hi.X-TouchTol && c.lo.X < b.hi.X-TouchTol &&
		b.lo.Y < c.hi.Y-TouchTol && c.lo.Y < b.hi.Y-TouchTol &&
		b.lo.Z < c.hi.Z-TouchTol && c.lo.Z < b.hi.Z-TouchTol
}
