package drawing

import (
	"fmt"
	"slices"

	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// PartlyBent gives a blank's surfaces while it is bent: each fold turned by as much as turned
// tells, in radians, 0 for one that is still flat. The face held lies as it does in the flat,
// its drawn side in z = 0.
func PartlyBent(b *panel.Blank, held int, turned func(fold int) float64) ([]Facet, error) {
	if b.Flat == nil || b.Flat.Panel == nil || held < 0 || held >= len(b.Flat.Faces) {
		return nil, fmt.Errorf("view: blank %q has no flat with a face %d", b.Name, held)
	}
	f := *b.Flat
	f.Faces, f.Folds = slices.Clone(f.Faces), slices.Clone(f.Folds)
	at := map[int]bool{f.Root: true}
	for again := true; again; {
		again = false
		for i := range f.Folds {
			s := &f.Folds[i]
			if !at[s.A] || at[s.B] {
				continue
			}
			angle := turned(i)
			f.Faces[s.B].Frame = hung(f.Faces[s.A].Frame, s, angle)
			s.Bend.Angle = angle
			at[s.B], again = true, true
		}
	}
	f.Marks = nil // of a piece in the brake only the folds count
	s := &sheet{flat: &f, inner: layout.Openings(&f), thickness: f.Panel.Stock.Thickness, sag: sagOf(alone(b))}
	for i, face := range f.Faces {
		s.face(face, i)
	}
	for i := range f.Folds {
		if f.Folds[i].Bend.Angle > 0 {
			s.bend(&f.Folds[i])
		} else {
			s.strip(&f.Folds[i])
		}
	}
	back := toward(f.Faces[held].Frame)
	out := make([]Facet, len(s.facets))
	for i, g := range s.facets {
		out[i] = g.moved(back)
	}
	return out, nil
}

// hung is the frame of a fold's face B where it is turned by an angle out of face A's plane. What
// is left of the strip past the part that is bent goes straight on.
func hung(a solid.Frame, s *panel.FlatFold, angle float64) solid.Frame {
	u, _ := unit(s.From, s.To)
	n := plane.Point{X: u.Y, Y: -u.X} // away from face A
	start := s.TangentA[0]
	wide := dot(s.TangentB[0].Sub(start), n)
	side, radius := 1.0, s.Bend.Radius
	if s.Down {
		side, radius = -1, s.Bend.Radius+s.Bend.Thickness
	}
	sin, cos := elementary.Sincos(angle)
	out, z := a.Dir(n), a.Normal()
	on := out.Scale(cos).Add(z.Scale(float64(side * sin)))
	left := wide
	if s.Bend.Angle > 0 {
		left = float64(wide * (1 - angle/s.Bend.Angle))
	}
	base := a.At(start).Add(out.Scale(float64(radius * sin))).Add(z.Scale(float64(side * radius * (1 - cos)))).Add(on.Scale(left - wide))
	along := a.Dir(u)
	image := func(p plane.Point) solid.Vec { return along.Scale(dot(p, u)).Add(on.Scale(dot(p, n))) }
	return solid.Frame{O: base.Sub(image(start)), X: image(plane.Point{X: 1}), Y: image(plane.Point{Y: 1})}
}

// strip adds a fold's strip that is still flat.
func (s *sheet) strip(f *panel.FlatFold) {
	outline := layout.Polyline(f.Loop, s.sag)
	if len(outline) < 3 {
		return
	}
	frame := s.flat.Faces[f.A].Frame
	soft := make([]bool, len(outline))
	for i := range soft {
		soft[i] = true
	}
	for _, side := range []struct{ depth, sign float64 }{{0, 1}, {s.thickness, -1}} {
		s.facets = append(s.facets, Facet{Outer: s.lift(frame, outline, side.depth), Normal: frame.Normal().Scale(side.sign), Soft: soft, Bend: true})
	}
	s.walls(frame, outline, nil)
}

// toward is the motion that lays a frame into the flat's own.
func toward(f solid.Frame) panel.Matrix {
	n := f.Normal()
	row := func(v solid.Vec) []float64 { return []float64{v.X, v.Y, v.Z, -f.O.Dot(v)} }
	var m panel.Matrix
	copy(m[0:4], row(f.X))
	copy(m[4:8], row(f.Y))
	copy(m[8:12], row(n))
	m[15] = 1
	return m
}
