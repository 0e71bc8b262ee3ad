// Package join fastens sheets that touch: it finds the patch where two or three faces
// of bent parts lie on each other, lays a pattern of fasteners on it and tells for each
// fastener its place in space and the hole or mark in every sheet's flat. It never
// moves a part and knows nothing of the language or of output files.
package join

import (
	"cmp"
	"math"
	"slices"

	"perch/parts/measure"
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

// Name is how people call the face, with its part: leg.1.left.
func (m Member) Name() string {
	return m.Flat.Panel.Name + "." + m.Flat.FaceName(m.Face)
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

	beside [2]plane.Region // what lies side by side, to measure how far apart
}

func (e *ContactError) Error() string { return e.Told().String() }

// Told is the error with its measures.
func (e *ContactError) Told() measure.Text {
	switch e.Reason {
	case NotParallel:
		return measure.Say("%s and %s are not parallel: %.4g° between them", e.A, e.B, e.Got*180/math.Pi)
	case Apart:
		return measure.Say("%s and %s don't touch: a gap of %.4g", e.A, e.B, measure.Length(e.Got))
	case Inside:
		return measure.Say("%s and %s lie in each other by %.4g", e.A, e.B, measure.Length(e.Got))
	case Beside:
		return measure.Say("%s and %s don't touch: they lie side by side, %.4g apart", e.A, e.B, measure.Length(e.Got))
	}
	return measure.Plain(string(e.Reason))
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
	p, err := contact(members, fit)
	if err == nil {
		return p, nil
	}
	if err.Reason == Beside {
		err.Got, _, _ = plane.Distance(err.beside[0], err.beside[1])
	}
	return p, err
}

// Touch is Contact where nobody asks why faces do not touch, which takes longer to tell
// than that they don't.
func Touch(members []Member, fit float64) (Patch, bool) {
	p, err := contact(members, fit)
	return p, err == nil
}

func contact(members []Member, fit float64) (Patch, *ContactError) {
	if len(members) < 2 || len(members) > 3 {
		return Patch{}, &ContactError{Reason: TooFew, Got: float64(len(members))}
	}
	var prisms [3]panel.Prism
	for i, m := range members {
		prisms[i] = m.Flat.Prism(m.Face)
	}
	p := Patch{Members: members, Frame: prisms[0].Frame}
	base, n := p.Frame.Plane(), p.Frame.Normal()
	var stack [3]layer
	layers := stack[:len(members)]
	alike := true
	for i := range members {
		q := &prisms[i]
		t, m := q.Thickness, q.Frame.Normal()
		if off := m.Cross(n).Len(); off > ParallelTol {
			return p, &ContactError{A: members[0].Name(), B: members[i].Name(), Reason: NotParallel, Got: elementary.Asin(min(1, off))}
		}
		h := base.Height(q.Frame.At(q.Bounds.Center()))
		if m.Dot(n) > 0 {
			layers[i] = layer{i, h - t, h}
		} else {
			layers[i], alike = layer{i, h, h + t}, false
		}
	}
	slices.SortStableFunc(layers, func(a, b layer) int { return cmp.Compare(b.hi, a.hi) })
	for i := 1; i < len(layers); i++ {
		gap := layers[i-1].lo - layers[i].hi
		a, b := members[layers[i-1].member], members[layers[i].member]
		if gap > fit+TouchTol {
			return p, &ContactError{A: a.Name(), B: b.Name(), Reason: Apart, Got: gap}
		}
		if gap < -TouchTol {
			return p, &ContactError{A: a.Name(), B: b.Name(), Reason: Inside, Got: -gap}
		}
	}
	if err := p.overlap(prisms[:len(members)]); err != nil {
		return p, err
	}
	p.stack(layers, alike)
	return p, nil
}

// overlap sets the patch's region.
func (p *Patch) overlap(prisms []panel.Prism) *ContactError {
	p.Region = prisms[0].Region
	bounds := prisms[0].Bounds
	for i, q := range prisms[1:] {
		to := q.Onto(p.Frame)
		var both plane.Region
		if bounds.Overlaps(q.Bounds.Transform(to)) {
			both = plane.Intersect(p.Region, q.Region.Transform(to))
		}
		if both.Area() <= leastArea {
			return &ContactError{A: p.Members[0].Name(), B: p.Members[i+1].Name(), Reason: Beside, beside: [2]plane.Region{p.Region, q.On(p.Frame)}}
		}
		p.Region, bounds = both, both.Bounds()
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
