package panel

import (
	"math"

	"perch/parts/plane"
	"perch/parts/solid"
)

// clearanceSag is how far, in mm, the flats that bends and arcs are broken into may lie
// off: the accuracy of Clearance where a bend or an arc is nearest.
const clearanceSag = 0.01

// Clearance is the least distance between the metal of two parts where they stand, in
// mm; 0 where they touch or run into each other. Bends and arcs are taken as flats no
// farther than 0.01 mm off.
func Clearance(a, b *Flat) float64 { return clearance(surfaces(a), surfaces(b)) }

// FaceClearance is Clearance between one face of each part, the tabs of lapped seams
// with their walls.
func FaceClearance(a *Flat, i int, b *Flat, j int) float64 {
	return clearance(faceSurfaces(a, i), faceSurfaces(b, j))
}

func faceSurfaces(f *Flat, face int) []boundedFacet {
	var all []Facet
	for i := range f.Pieces(face) {
		all = append(all, f.Prism(i).facets(clearanceSag)...)
	}
	return bounded(all)
}

// boundedFacet is a facet with the box around it and the plane it lies in.
type boundedFacet struct {
	loops  [][]solid.Vec // the outline, then holes
	normal solid.Vec
	d      float64
	box    box
}

func surfaces(f *Flat) []boundedFacet {
	var all []Facet
	for _, s := range f.Solids(clearanceSag) {
		all = append(all, s.Facets...)
	}
	return bounded(all)
}

func bounded(facets []Facet) []boundedFacet {
	out := make([]boundedFacet, 0, len(facets))
	for _, f := range facets {
		b := boundedFacet{loops: append([][]solid.Vec{f.Loop}, f.Holes...), box: noBox()}
		var sum solid.Vec
		for i, v := range f.Loop {
			b.box = b.box.with(v)
			w := f.Loop[(i+1)%len(f.Loop)]
			sum = sum.Add(v.Sub(f.Loop[0]).Cross(w.Sub(f.Loop[0])))
		}
		if b.normal = sum.Unit(); b.normal == (solid.Vec{}) {
			continue // a sliver; its edges are its neighbours' too
		}
		b.d = b.normal.Dot(f.Loop[0])
		out = append(out, b)
	}
	return out
}

// clearance compares facets two by two, passing over those whose boxes are farther
// apart than what was found already.
func clearance(as, bs []boundedFacet) float64 {
	best := math.Inf(1)
	for i := range as {
		for j := range bs {
			if as[i].box.apart(bs[j].box) >= best {
				continue
			}
			if best = min(best, as[i].distance(&bs[j])); best == 0 {
				return 0
			}
		}
	}
	return best
}

// apart is the distance between two boxes.
func (b box) apart(c box) float64 {
	gap := func(lo, hi, clo, chi float64) float64 { return max(0, clo-hi, lo-chi) }
	return solid.Vec{
		X: gap(b.lo.X, b.hi.X, c.lo.X, c.hi.X),
		Y: gap(b.lo.Y, b.hi.Y, c.lo.Y, c.hi.Y),
		Z: gap(b.lo.Z, b.hi.Z, c.lo.Z, c.hi.Z),
	}.Len()
}

// distance is the least of what edges keep from edges and from the other's surface.
func (f *boundedFacet) distance(g *boundedFacet) float64 {
	best := min(f.toSurface(g), g.toSurface(f))
	f.edges(func(a, b solid.Vec) {
		g.edges(func(c, d solid.Vec) {
			best = min(best, segments(a, b, c, d))
		})
	})
	return best
}

func (f *boundedFacet) edges(do func(a, b solid.Vec)) {
	for _, l := range f.loops {
		for i, v := range l {
			do(v, l[(i+1)%len(l)])
		}
	}
}

// toSurface is the least distance of f's edges from the inside of g: of their ends,
// or 0 where one passes through.
func (f *boundedFacet) toSurface(g *boundedFacet) float64 {
	best := math.Inf(1)
	f.edges(func(a, b solid.Vec) {
		ha, hb := g.normal.Dot(a)-g.d, g.normal.Dot(b)-g.d
		if math.Abs(ha) < best && g.holds(a) {
			best = math.Abs(ha)
		}
		if ha != hb && (ha < 0) != (hb < 0) && g.holds(a.Add(b.Sub(a).Scale(ha/(ha-hb)))) {
			best = 0
		}
	})
	return best
}

// holds tells whether a point, dropped onto the facet's plane, lies in the facet: the
// plane is seen along the axis that its normal is nearest to.
func (f *boundedFacet) holds(p solid.Vec) bool {
	n := solid.Vec{X: math.Abs(f.normal.X), Y: math.Abs(f.normal.Y), Z: math.Abs(f.normal.Z)}
	p = p.Sub(f.normal.Scale(f.normal.Dot(p) - f.d))
	flat := func(v solid.Vec) plane.Point {
		switch {
		case n.X >= n.Y && n.X >= n.Z:
			return plane.Point{X: v.Y, Y: v.Z}
		case n.Y >= n.Z:
			return plane.Point{X: v.X, Y: v.Z}
		}
		return plane.Point{X: v.X, Y: v.Y}
	}
	q, inside := flat(p), false
	f.edges(func(a, b solid.Vec) {
		u, v := flat(a), flat(b)
		if (u.Y > q.Y) != (v.Y > q.Y) && q.X < u.X+float64((v.X-u.X)*((q.Y-u.Y)/(v.Y-u.Y))) {
			inside = !inside
		}
	})
	return inside
}

// segments is the distance between two segments (Lumelsky, Information Processing
// Letters 21, 1985, the form from memory).
func segments(a, b, c, d solid.Vec) float64 {
	u, v, w := b.Sub(a), d.Sub(c), a.Sub(c)
	uu, uv, vv, uw, vw := u.Dot(u), u.Dot(v), v.Dot(v), u.Dot(w), v.Dot(w)
	clamp := func(x float64) float64 { return max(0, min(1, x)) }
	s, t := 0.0, 0.0
	if det := float64(uu*vv) - float64(uv*uv); det > 1e-12*uu*vv {
		s = clamp((float64(uv*vw) - float64(vv*uw)) / det)
	}
	if vv > 0 {
		t = clamp((float64(uv*s) + vw) / vv)
	}
	if uu > 0 {
		s = clamp((float64(uv*t) - uw) / uu)
	}
	return a.Add(u.Scale(s)).Sub(c.Add(v.Scale(t))).Len()
}
