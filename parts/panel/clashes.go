package panel

import (
	"math"

	"perch/parts/solid"
)

// PartClash is metal that two parts claim both: parts A and B of those asked about.
type PartClash struct {
	A, B int
	Clash
}

// Clashes is Interfere for every two of many parts, in order. Boxes around the faces
// keep those that are far apart from being compared.
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
			for m := range a.prisms {
				if !a.boxes[m].meets(b.box) {
					continue
				}
				for n := range b.prisms {
					if !a.boxes[m].meets(b.boxes[n]) {
						continue
					}
					if c, ok := clash(&a.prisms[m], &b.prisms[n]); ok {
						c.FaceA, c.FaceB = m, n
						out = append(out, PartClash{i, j, c})
					}
				}
			}
		}
	}
	return out
}

// standing is a part's faces in the world with the boxes around them.
type standing struct {
	prisms []Prism
	boxes  []box
	box    box
}

func stand(f *Flat) standing {
	s := standing{prisms: f.Prisms(), box: noBox()}
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
