package step

import (
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// bent is a flat folded up: for every face and bend, where its flat points go. The upper
// surface is what is seen from above where the root lies flat: the drawn side, or
// of a mirrored part, which is the same blank bent the other way, the back.
type bent struct {
	flat      *panel.Flat
	thickness float64
	faces     []solid.Frame // flat coordinates to space, on the upper surface
	bends     []arch
}

// arch is a bend: flat points go by how far they lie along the fold, from base, and across
// it, from face A's tangent line.
type arch struct {
	base, e, out plane.Point // in the flat: on the tangent line, unit along it, unit away from face A
	allowance    float64     // mm
	angle        float64     // radians
	centre       solid.Vec   // the axis's point across from base
	axis         solid.Vec   // unit, as e
	at0, at90    solid.Vec   // unit: from the axis to the strip's beginning, and the way it bends from there
	radius       [2]float64  // of the upper surface, of the lower one, mm
}

// upper and lower number the two surfaces of the metal.
const (
	upper = 0
	lower = 1
)

// fold folds a flat up, its root where it lies in the flat, z = 0. A mirrored part is what
// the plane of its root shows.
func fold(f *panel.Flat, mirrored bool) *bent {
	b := &bent{flat: f, thickness: f.Panel.Stock.Thickness}
	for i := range f.Faces {
		frame := f.Faces[i].Frame
		if mirrored { // the back comes up
			frame = frame.Shifted(-b.thickness)
			frame.O.Z, frame.X.Z, frame.Y.Z = -frame.O.Z, -frame.X.Z, -frame.Y.Z
		}
		b.faces = append(b.faces, frame)
	}
	for i := range f.Folds {
		s := &f.Folds[i]
		b.bends = append(b.bends, newArch(s, b.faces[s.A], s.Down != mirrored))
	}
	return b
}

func newArch(s *panel.FlatFold, frame solid.Frame, down bool) arch {
	e := s.To.Sub(s.From)
	for _, t := range [2][2]plane.Point{s.TangentA, s.TangentB} { // reliefs may leave little of a line
		if d := t[1].Sub(t[0]); d.Len() > e.Len() {
			e = d
		}
	}
	a := arch{e: e.Unit(), allowance: s.Bend.Allowance(), angle: s.Bend.Angle}
	a.out = a.e.Perp().Neg()
	a.base = s.From.Sub(a.out.Scale(a.allowance / 2))
	a.axis, a.at90 = frame.Dir(a.e), frame.Dir(a.out)
	n, r, t := frame.Normal(), s.Bend.Radius, s.Bend.Thickness
	if down {
		a.at0, a.radius = n, [2]float64{r + t, r}
	} else {
		a.at0, a.radius = n.Neg(), [2]float64{r, r + t}
	}
	a.centre = frame.At(a.base).Sub(a.at0.Scale(a.radius[upper]))
	return a
}

// local is a flat point along and across the strip.
func (a *arch) local(p plane.Point) (along, across float64) {
	d := p.Sub(a.base)
	return d.Dot(a.e), d.Dot(a.out)
}

// turned is how far, in radians, the strip has turned across it.
func (a *arch) turned(across float64) float64 { return across / a.allowance * a.angle }

// radial is the unit vector off the axis where the strip has turned by an angle, and tangent
// the way that the strip goes there.
func (a *arch) radial(angle float64) solid.Vec {
	s, c := elementary.Sincos(angle)
	return a.at0.Scale(c).Add(a.at90.Scale(s))
}

func (a *arch) tangent(angle float64) solid.Vec {
	s, c := elementary.Sincos(angle)
	return a.at90.Scale(c).Add(a.at0.Scale(-s))
}

// at is where a flat point of the strip goes on a surface.
func (a *arch) at(p plane.Point, surface int) solid.Vec {
	along, across := a.local(p)
	return a.onAxis(along).Add(a.radial(a.turned(across)).Scale(a.radius[surface]))
}

func (a *arch) onAxis(along float64) solid.Vec { return a.centre.Add(a.axis.Scale(along)) }

// lifted is the unit vector from the lower to the upper surface, where radial is off the axis.
func (a *arch) lifted(radial solid.Vec) solid.Vec {
	if a.convex(upper) {
		return radial
	}
	return radial.Neg()
}

// convex tells whether a surface is the outside of the bend.
func (a *arch) convex(surface int) bool { return a.radius[surface] > a.radius[1-surface] }

// pinched tells that a surface of the bend has no extent: it is folded flat on itself.
func (a *arch) pinched(surface int) bool { return a.radius[surface] < pinchTol }

// pinchTol is the radius, mm, below which a surface is its axis: no kernel tells its edges apart.
const pinchTol = 1e-6

// place is where a flat point of a cell goes on a surface: cells are the faces, then the bends.
func (b *bent) place(cell int, p plane.Point, surface int) solid.Vec {
	if k := cell - len(b.faces); k >= 0 {
		return b.bends[k].at(p, surface)
	}
	v := b.faces[cell].At(p)
	if surface == lower {
		v = v.Sub(b.faces[cell].Normal().Scale(b.thickness))
	}
	return v
}
