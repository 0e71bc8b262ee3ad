// Package folding folds paper models up, for tests: from the creases alone, as hands do,
// with none of the model's own frames. It is no part of the product and makes no pattern.
package folding

import (
	"fmt"
	"math"

	"perch/parts/mockup"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/solver/elementary"
)

type vec [3]float64

func (a vec) add(k float64, b vec) vec {
	return vec{a[0] + float64(k*b[0]), a[1] + float64(k*b[1]), a[2] + float64(k*b[2])}
}
func (a vec) dot(b vec) float64 {
	return float64(a[0]*b[0]) + float64(a[1]*b[1]) + float64(a[2]*b[2])
}
func (a vec) norm() float64 { return math.Sqrt(a.dot(a)) }

// motion moves points of the pattern's space: x and y on the paper, z off its printed side.
type motion func(vec) vec

// about turns by an angle about the line through p along the unit vector u, in the plane
// at height z: to the right of u up for a positive angle.
func about(p, u plane.Point, z, angle float64) motion {
	s, c := elementary.Sincos(angle)
	axis, n, up, at := vec{u.X, u.Y}, vec{u.Y, -u.X}, vec{0, 0, 1}, vec{p.X, p.Y, z}
	return func(q vec) vec {
		d := q.add(-1, at)
		along, out, high := d.dot(axis), d.dot(n), d.dot(up)
		return at.add(along, axis).add(float64(out*c)-float64(high*s), n).add(float64(out*s)+float64(high*c), up)
	}
}

// fold is the motion of what hangs beyond a strip.
func fold(s *mockup.Strip) motion {
	sign := 1.0
	if s.Down {
		sign = -1
	}
	first := s.Lines[0]
	u := first[1].Sub(first[0]).Unit()
	switch s.How {
	case mockup.Twice:
		near, far := about(first[0], u, 0, sign*s.Angle/2), about(s.Lines[1][0], u, 0, sign*s.Angle/2)
		return func(q vec) vec { return near(far(q)) }
	case mockup.Roll:
		turn := about(first[0], u, sign*s.Radius, sign*s.Angle)
		return func(q vec) vec { return turn(q.add(-s.Wide, vec{u.Y, -u.X})) }
	}
	return about(first[0], u, 0, sign*s.Angle)
}

// part is the motion of a face, the pattern to part space.
func part(p *mockup.Pattern, face int) motion {
	f := p.Flat
	for i := range f.Folds {
		if f.Folds[i].B == face {
			parent, own := part(p, f.Folds[i].A), fold(&p.Strips[i])
			return func(q vec) vec { return parent(own(q)) }
		}
	}
	back := -f.Panel.Stock.Thickness / 2
	return func(q vec) vec { return q.add(1, vec{0, 0, back}) }
}

// world is the motion of a copy's face to where it stands.
func world(m *mockup.Model, s mockup.Spot) motion {
	own, mat := part(m.Pattern(s.Copy), s.Face), m.Assembly.Copies[s.Copy].Matrix
	return func(q vec) vec {
		q = own(q)
		var out vec
		for i := range 3 {
			out[i] = float64(mat[4*i]*q[0]) + float64(mat[4*i+1]*q[1]) + float64(mat[4*i+2]*q[2]) + mat[4*i+3]
		}
		return out
	}
}

func flat(p plane.Point) vec { return vec{p.X, p.Y, 0} }

// Tolerance is how far, in mm of metal, paper may lie from where it is to be glued: what
// flats are refolded to.
const Tolerance = 2e-4

// Faults folds every copy up and tells where a face does not stand in the middle of its
// metal, and which letters do not meet: in the plane of the paper by more than Tolerance,
// across it by more than half of both sheets and a fit of 1 mm.
func Faults(m *mockup.Model) (faults []string) {
	fault := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	for b, p := range m.Patterns {
		for i := range p.Faces {
			if miss := offMiddle(p, i); miss > Tolerance && !over(p, i) {
				fault("blank %s: face %s lies %g mm off the middle of its metal", m.Assembly.Blanks[b].Name, p.Flat.Faces[i].Name, miss)
			}
		}
	}
	for i := range m.Glues {
		g := &m.Glues[i]
		if over(m.Pattern(g.A.Copy), g.A.Face) || over(m.Pattern(g.B.Copy), g.B.Face) {
			continue
		}
		a, b := world(m, g.A), world(m, g.B)
		if g.Tab == nil {
			patchFaults(m, g, a, b, fault)
		} else {
			tabFaults(m, g, a, b, fault)
		}
	}
	return faults
}

// over tells whether a face hangs, somewhere up to the root, on a hem that is pressed flat.
func over(p *mockup.Pattern, face int) bool {
	for i := range p.Flat.Folds {
		if p.Flat.Folds[i].B == face {
			return p.Strips[i].How == mockup.Over || over(p, p.Flat.Folds[i].A)
		}
	}
	return false
}

// offMiddle is how far a face's corners, folded, lie from the flat's own frame half a sheet
// behind the drawn side.
func offMiddle(p *mockup.Pattern, face int) float64 {
	own, f := part(p, face), p.Flat.Faces[face]
	n := f.Frame.Normal().Scale(-p.Flat.Panel.Stock.Thickness / 2)
	worst := 0.0
	for _, v := range f.Loop {
		at := f.Frame.At(v.P).Add(n)
		worst = max(worst, own(flat(v.P.Add(p.Faces[face].Offset))).add(-1, vec{at.X, at.Y, at.Z}).norm())
	}
	return worst
}

// patchFaults: every corner of the place in one pattern meets a corner of it in the other.
func patchFaults(m *mockup.Model, g *mockup.Glue, a, b motion, fault func(string, ...any)) {
	most := float64((thickness(m, g.A)+thickness(m, g.B))/2) + 1
	normal := b(vec{0, 0, 1}).add(-1, b(vec{}))
	for _, l := range g.PatchA {
		for _, v := range l {
			at := a(flat(v.P))
			in, across := math.Inf(1), 0.0
			for _, k := range g.PatchB {
				for _, w := range k {
					d := at.add(-1, b(flat(w.P)))
					h := d.dot(normal)
					if beside := d.add(-h, normal).norm(); beside < in {
						in, across = beside, h
					}
				}
			}
			if in > Tolerance || math.Abs(across) > most+Tolerance {
				fault("%s: %s and %s miss by %g beside and %g across", g.Letter, m.FaceName(g.A), m.FaceName(g.B), in, across)
				return
			}
		}
	}
}

// tabFaults: a tab, turned about its crease, lies in the other's plane on its place.
func tabFaults(m *mockup.Model, g *mockup.Glue, a, b motion, fault func(string, ...any)) {
	t := g.Tab
	u := t.Crease[1].Sub(t.Crease[0]).Unit()
	mid := t.Outline.Centroid().Sub(t.Crease[0])
	if mid.Dot(u.Perp()) > 0 { // the tab is to lie on the right
		u = u.Neg()
	}
	angle := t.Turn
	if t.Down {
		angle = -angle
	}
	turn := about(t.Crease[0], u, 0, angle)
	normal, origin := b(vec{0, 0, 1}).add(-1, b(vec{})), b(vec{})
	for _, v := range t.Outline {
		if v.P.Sub(t.Crease[0]).Dot(u.Perp()) > 1e-9 {
			continue // between edge and crease
		}
		at := a(turn(flat(v.P)))
		off := at.add(-1, origin).dot(normal)
		best := math.Inf(1)
		for _, w := range t.On {
			best = min(best, at.add(-1, b(flat(w.P))).norm())
		}
		if math.Abs(off) > Tolerance || best > Tolerance {
			if t.Turn == 0 && best < 1 {
				continue // it goes straight on under the other: sheets' thicknesses
			}
			fault("%s: the tab of %s misses its place on %s by %g, its plane by %g", g.Letter, m.FaceName(g.A), m.FaceName(g.B), best, off)
			return
		}
	}
}

func thickness(m *mockup.Model, s mockup.Spot) float64 {
	return flatOf(m, s).Panel.Stock.Thickness
}

func flatOf(m *mockup.Model, s mockup.Spot) *panel.Flat { return m.Pattern(s.Copy).Flat }
