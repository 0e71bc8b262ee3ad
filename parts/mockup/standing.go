package mockup

import (
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// standing is a face of a copy's pattern where the folded model stands. Its frame takes the
// pattern's coordinates to the world; of a mirrored copy drawn points against the frame's
// normal.
type standing struct {
	frame solid.Frame
	drawn solid.Vec // unit, off the printed side
	face  *Face
	thick float64 // of the metal
}

// stand places a face of a copy.
func stand(p *Pattern, face int, m panel.Matrix) standing {
	f := p.Frame(face)
	o := m.Apply(solid.Vec{})
	dir := func(v solid.Vec) solid.Vec { return m.Apply(v).Sub(o) }
	return standing{
		frame: solid.Frame{O: m.Apply(f.O), X: dir(f.X), Y: dir(f.Y)},
		drawn: dir(f.Normal()),
		face:  &p.Faces[face],
		thick: p.Flat.Panel.Stock.Thickness,
	}
}

// height of a point over the face's plane, positive off the printed side.
func (s *standing) height(q solid.Vec) float64 { return q.Sub(s.frame.O).Dot(s.drawn) }

// onto takes a plane's coordinates to those of another frame in a parallel plane.
func onto(from, to solid.Frame) plane.Affine {
	x, y, o := to.LocalDir(from.X), to.LocalDir(from.Y), to.Local(from.O)
	return plane.Affine{A: x.X, B: y.X, C: x.Y, D: y.Y, E: o.X, F: o.Y}
}

const (
	// parallel is the sine of the angle below which planes do not meet for paper.
	parallel = 0.01
	// fitMost is how far apart, in mm of metal, sheets may lie that are glued flat on each
	// other: a sliding fit and what joins allow.
	fitMost = 1.0
)

// lies tells whether two faces' planes are parallel, and how far b's lies over a's, on a's
// printed side.
func lies(a, b *standing) (height float64, ok bool) {
	if a.drawn.Cross(b.drawn).Len() > parallel {
		return 0, false
	}
	h := a.height(b.frame.At(middle(b.face.Paper)))
	return h, true
}

func middle(r plane.Region) plane.Point { return r.Bounds().Center() }

// patch is where two faces lie on each other, in the pattern of the first, and the map
// from there to the pattern of the second.
func patch(a, b *standing) (r plane.Region, toB plane.Affine, ok bool) {
	h, flat := lies(a, b)
	if most := float64((a.thick + b.thick) / 2); !flat || h > most+fitMost || h < -most-fitMost {
		return nil, toB, false
	}
	r = plane.Intersect(a.face.Metal, b.face.Metal.Transform(onto(b.frame, a.frame)))
	const least = 4 // mm² of metal: less is a corner that touches
	return r, onto(a.frame, b.frame), r.Area() > least
}
