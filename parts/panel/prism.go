package panel

import (
	"math"

	"perch/parts/plane"
	"perch/parts/solid"
)

// Facet is a flat polygon of a solid's surface, counter-clockwise seen from outside.
type Facet struct {
	Loop  []solid.Vec
	Holes [][]solid.Vec // clockwise, of a face's two surfaces only
}

// Prism is a face's metal: Region in Frame's plane, from z = 0 to z = −Thickness.
type Prism struct {
	Name      string
	Frame     solid.Frame // in the world
	Region    plane.Region
	Bounds    plane.Box // of Region
	Thickness float64
}

// Prism is the metal of face i where the part stands.
func (f *Flat) Prism(i int) Prism {
	return Prism{f.Faces[i].Name, f.FaceFrame(i), f.Faces[i].Trimmed, f.Faces[i].Bounds, f.Panel.Stock.Thickness}
}

// Prisms are the faces' metal where the part stands, in the order of the faces.
func (f *Flat) Prisms() []Prism {
	out := make([]Prism, len(f.Faces))
	for i := range f.Faces {
		out[i] = f.Prism(i)
	}
	return out
}

// Solid is a piece of a part: a face or a bend.
type Solid struct {
	Name   string
	Bend   bool
	Facets []Facet
}

// Solids are the part's pieces where it stands in the world, faces first, then bends,
// as closed surfaces; arcs and bends are broken into flats no farther than chord mm off.
func (f *Flat) Solids(chord float64) []Solid {
	var out []Solid
	for i := range f.Faces {
		out = append(out, f.FaceSolid(i, chord))
	}
	for i := range f.Folds {
		out = append(out, f.BendSolid(i, chord))
	}
	return out
}

// FaceSolid and BendSolid are one face and one bend of Solids.
func (f *Flat) FaceSolid(i int, chord float64) Solid {
	p := f.Prism(i)
	return Solid{Name: p.Name, Facets: p.facets(max(chord, leastChord))}
}

func (f *Flat) BendSolid(i int, chord float64) Solid {
	return Solid{Name: f.Folds[i].Name, Bend: true, Facets: f.bendFacets(i, max(chord, leastChord))}
}

// leastChord is how near, in mm, the flats of Solids follow an arc at the most.
const leastChord = 1e-3

func (p Prism) facets(chord float64) []Facet {
	n := p.Frame.Normal()
	var out []Facet
	for _, piece := range p.Region.Components() {
		var front, back Facet
		for k, l := range piece {
			top := lift(p.Frame, plane.Flatten(l, chord))
			low := make([]solid.Vec, len(top))
			for i := range top {
				low[len(top)-1-i] = shift(top[i], -p.Thickness, n)
			}
			if k == 0 {
				front.Loop, back.Loop = top, low
			} else {
				front.Holes, back.Holes = append(front.Holes, top), append(back.Holes, low)
			}
			out = append(out, walls(top, low)...)
		}
		out = append(out, front, back)
	}
	return out
}

func lift(f solid.Frame, ps []plane.Point) []solid.Vec {
	out := make([]solid.Vec, len(ps))
	for i, p := range ps {
		out[i] = f.At(p)
	}
	return out
}

// walls join a loop to the same loop on the back, which runs backwards.
func walls(top, low []solid.Vec) []Facet {
	n := len(top)
	out := make([]Facet, n)
	for i := range top {
		j := (i + 1) % n
		out[i] = Facet{Loop: []solid.Vec{top[j], top[i], low[n-1-i], low[n-1-j]}}
	}
	return out
}

// bendFacets bends the strip of fold i: it is cut into bands along the fold, and each
// band's outline carried to the two cylinders by its distance across the strip.
func (f *Flat) bendFacets(i int, chord float64) []Facet {
	s := &f.Folds[i]
	ba := s.Bend.Allowance()
	w := f.World(s.A)
	e := s.To.Sub(s.From).Unit()
	in := e.Perp() // into face A
	base := s.From.Add(in.Scale(ba / 2))
	origin, axis, n := w.At(base), w.Dir(e), w.Normal()
	centre := shift(origin, axisHeight(s.Bend, s.Down), n)
	angle := signed(s.Bend.Angle, s.Down)
	bands := int(math.Ceil(s.Bend.Angle / (2 * math.Sqrt(2*chord/(s.Bend.Radius+s.Bend.Thickness)))))
	bands = max(1, min(bands, 256))
	at := func(p plane.Point, depth float64) solid.Vec {
		q := p.Sub(base)
		across := -q.Dot(in) / ba
		k := math.Floor(across * float64(bands))
		k = max(0, min(k, float64(bands-1)))
		arm := shift(origin, -depth, n).Sub(centre)
		lo := turn(arm, axis, angle*k/float64(bands))
		hi := turn(arm, axis, angle*(k+1)/float64(bands))
		part := float64(across*float64(bands)) - k
		return shift(centre.Add(shift(lo.Scale(1-part), part, hi)), q.Dot(e), axis)
	}
	var out []Facet
	for k := range bands {
		near, far := ba*float64(k)/float64(bands), ba*float64(k+1)/float64(bands)
		band := plane.Region{s.Loop}
		if bands > 1 {
			d := in.Dot(base)
			band = plane.Clip(band, plane.HalfPlane{N: in, D: d - near})
			band = plane.Clip(band, plane.HalfPlane{N: in.Neg(), D: far - d})
		}
		middle := base.Sub(in.Scale((near + far) / 2))
		for _, l := range substantial(band) {
			out = append(out, bentBand(plane.Flatten(l, chord), middle, in, at, s.Bend.Thickness)...)
		}
	}
	return out
}

// bentBand is one band's closed surface. Its points are drawn a hair towards the band's
// middle when they are placed, so that those on its border belong to this band's flats.
func bentBand(ps []plane.Point, middle, in plane.Point, at func(plane.Point, float64) solid.Vec, t float64) []Facet {
	top, low := make([]solid.Vec, len(ps)), make([]solid.Vec, len(ps))
	for i, p := range ps {
		d := p.Sub(middle).Dot(in)
		p = p.Sub(in.Scale(d * 1e-9))
		top[i], low[len(ps)-1-i] = at(p, 0), at(p, t)
	}
	return append(walls(top, low), Facet{Loop: top}, Facet{Loop: low})
}
