// Package join fastens sheets that touch: it finds the patch where two or three faces
// of bent parts lie on each other, lays a pattern of fasteners on it and tells for each
// fastener its place in space and the hole or mark in every sheet's flat. It never
// moves a part and knows nothing of the language or of output files.
package join

import (
	"fmt"
	"math"
	"sort"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

const (
	// ParallelTol is how far touching faces' planes may be from parallel, in radians: 0.01°.
	ParallelTol = 0.01 * math.Pi / 180
	// TouchTol is how far facing surfaces may be off the fit, in mm.
	TouchTol = 0.05
	// leastArea is the contact area, in mm², below which faces don't touch.
	leastArea = 1e-3
)

// Member is one face of a placed part.
type Member struct {
	Flat *panel.Flat
	Face int
}

func (m Member) name() string {
	return m.Flat.Panel.Name + "." + m.Flat.Faces[m.Face].Name
}

// Patch is where the members of a stack all lie on each other.
type Patch struct {
	Members []Member
	Frame   solid.Frame  // the first member's face, in the world
	Region  plane.Region // in Frame: the overlap of all trimmed faces less their holes
	Order   []int        // indices of Members, outermost first
	Outside float64      // height of the outermost member's free surface over Frame
	Inward  float64      // +1 when the way in is along Frame's normal, −1 against it
	Grip    float64      // from free surface to free surface, mm
}

// Reason says why faces make no patch.
type Reason string

const (
	TooFew      Reason = "a join takes two or three faces"
	NotParallel Reason = "not parallel" // Got radians
	Apart       Reason = "apart"        // Got mm between facing surfaces, beyond the fit
	Inside      Reason = "inside"       // Got mm that the sheets lie in each other
	Beside      Reason = "beside"       // Got mm from one face's outline to the other's, in their plane
)

// ContactError tells why two faces don't touch, with the distance.
type ContactError struct {
	A, B   string
	Reason Reason
	Got    float64
}

func (e *ContactError) Error() string {
	switch e.Reason {
	case NotParallel:
		return fmt.Sprintf("%s and %s are not parallel: %.4g° between them", e.A, e.B, e.Got*180/math.Pi)
	case Apart:
		return fmt.Sprintf("%s and %s don't touch: a gap of %.4g mm", e.A, e.B, e.Got)
	case Inside:
		return fmt.Sprintf("%s and %s lie in each other by %.4g mm", e.A, e.B, e.Got)
	case Beside:
		return fmt.Sprintf("%s and %s don't touch: they lie side by side, %.4g mm apart", e.A, e.B, e.Got)
	}
	return string(e.Reason)
}

// layer is a member's sheet as a stretch of the first member's normal.
type layer struct {
	member int
	lo, hi float64
}

// Contact finds the patch of two or three faces that lie on each other, facing surfaces
// within fit mm (and TouchTol). Outermost is the sheet on the drawn side where all are
// drawn on the same side; else the first named, or where that lies in the middle the
// one on its drawn side. The error is a *ContactError.
func Contact(members []Member, fit float64) (Patch, error) {
	if len(members) < 2 || len(members) > 3 {
		return Patch{}, &ContactError{Reason: TooFew, Got: float64(len(members))}
	}
	p := Patch{Members: members, Frame: members[0].Flat.FaceFrame(members[0].Face)}
	base, n := p.Frame.Plane(), p.Frame.Normal()
	layers := make([]layer, len(members))
	alike := true
	for i, m := range members {
		f, t := m.Flat.FaceFrame(m.Face), m.Flat.Panel.Stock.Thickness
		if off := f.Normal().Cross(n).Len(); off > ParallelTol {
			return p, &ContactError{members[0].name(), m.name(), NotParallel, elementary.Asin(min(1, off))}
		}
		h := base.Height(middle(m, f))
		if f.Normal().Dot(n) > 0 {
			layers[i] = layer{i, h - t, h}
		} else {
			layers[i], alike = layer{i, h, h + t}, false
		}
	}
	sort.SliceStable(layers, func(i, j int) bool { return layers[i].hi > layers[j].hi })
	for i := 1; i < len(layers); i++ {
		gap := layers[i-1].lo - layers[i].hi
		a, b := members[layers[i-1].member].name(), members[layers[i].member].name()
		if gap > fit+TouchTol {
			return p, &ContactError{a, b, Apart, gap}
		}
		if gap < -TouchTol {
			return p, &ContactError{a, b, Inside, -gap}
		}
	}
	if err := p.overlap(); err != nil {
		return p, err
	}
	p.stack(layers, alike)
	return p, nil
}

// middle is a point of the member's face, in the middle of its bounds.
func middle(m Member, f solid.Frame) solid.Vec {
	return f.At(m.Flat.Faces[m.Face].Trimmed.Bounds().Center())
}

// overlap sets the patch's region.
func (p *Patch) overlap() error {
	first := p.Members[0]
	p.Region = first.Flat.Faces[first.Face].Trimmed
	for _, m := range p.Members[1:] {
		r := m.Flat.Prism(m.Face).On(p.Frame)
		both := plane.Region(nil)
		if p.Region.Bounds().Overlaps(r.Bounds()) {
			both = plane.Intersect(p.Region, r)
		}
		if both.Area() <= leastArea {
			d, _, _ := plane.Distance(p.Region, r)
			return &ContactError{first.name(), m.name(), Beside, d}
		}
		p.Region = both
	}
	return nil
}

// stack sets order, outside and grip from the layers, highest first.
func (p *Patch) stack(layers []layer, alike bool) {
	last := len(layers) - 1
	top, bottom := layers[0].hi, layers[last].lo
	p.Grip = top - bottom
	p.Outside, p.Inward = top, -1
	if !alike && layers[last].member == 0 {
		p.Outside, p.Inward = bottom, 1
	}
	for i := range layers {
		if p.Inward > 0 {
			i = last - i
		}
		p.Order = append(p.Order, layers[i].member)
	}
}

// turned is the patch looked at from the other side.
func (p Patch) turned() Patch {
	order := make([]int, len(p.Order))
	for i, m := range p.Order {
		order[len(order)-1-i] = m
	}
	p.Order = order
	p.Outside += float64(p.Inward * p.Grip)
	p.Inward = -p.Inward
	return p
}

func (p Patch) thickness(i int) float64 { return p.Members[i].Flat.Panel.Stock.Thickness }
