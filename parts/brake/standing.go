package brake

import (
	"perch/parts/plane"
	"perch/parts/shop"
)

// Body is a tool of the brake, cut across the machine: a convex outline, anticlockwise.
type Body struct {
	Tool    Tool
	Section []plane.Point
}

// Standing is the machine at the end of a step, in the plane across it: x to the back, y up,
// from where the held side's tangent lies on the sheet's lower face while all is flat, mm. What
// has no end there reaches very far.
type Standing struct {
	Bodies []Body
	// Held takes a point of the held side from where it lies while all is flat to where it is.
	Held plane.Affine
}

// Standing is that of step i on a brake.
func (p *Plan) Standing(b shop.Brake, i int) Standing {
	s := &p.Steps[i]
	f := &p.Flat.Folds[s.Folds[0]]
	b.Punch = s.Punch
	k := newKinematics(b, f.Bend)
	turned := s.Turned
	if s.Op == Flatten {
		flatten := flattenSections
		if b.Kind == shop.BrakeVDie {
			flatten = pressFlat
		}
		k.sections, turned = flatten(b, k.t, f.Bend.Radius, 0), 0
		k.opening = 0 // what lies under the clamp does not turn, on a press neither
	}
	var out Standing
	for _, q := range k.sections {
		m := k.tool(q.moves, turned)
		body := Body{Tool: q.tool}
		for _, c := range q.poly {
			body.Section = append(body.Section, m.apply(c))
		}
		out.Bodies = append(out.Bodies, body)
	}
	h := k.held(turned)
	out.Held = plane.Affine{A: h.c, B: -h.s, C: h.s, D: h.c, E: h.dx, F: h.dz}
	return out
}
