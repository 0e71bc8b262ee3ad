package brake

import (
	"math"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/solver/elementary"
)

// Sections are drawn in the plane across the machine: x to the back from the held side's
// tangent line (the middle of the bend in a V die), z up from the sheet's lower face.

const (
	// touch is how deep, in mm, metal may reach into a tool and only touch it.
	touch = 0.1
	// farAway is how far, in mm, bodies reach that have no end: longer than any sheet.
	farAway = 2e4
	// neck is how thick, in mm, a gooseneck is over its edge (from memory).
	neck = 8.0
	// noseChords break the round of a finger's edge.
	noseChords = 6
)

// section is one convex body of a tool, the same along the whole machine but for fingers,
// which stand only where there is room.
type section struct {
	tool   Tool
	number string // the key that says where the face is that metal meets first
	poly   []plane.Point
	normal []plane.Point // outward, of the edge behind each point
	reach  []float64     // of poly along normal
	moves  mover
	blade  bool // of a punch: what the sheet is bent about, and lies along
}

// mover is what a tool moves with.
type mover uint8

const (
	still    mover = iota
	withLeaf       // turns about the bend's axis with the moving side
	withDie        // rises as the punch goes down
)

func newSection(tool Tool, number string, moves mover, poly ...plane.Point) section {
	return newSectionWithin(touch, tool, number, moves, poly...)
}

// newSectionWithin is a body that is smaller all round by what metal may reach into it.
func newSectionWithin(give float64, tool Tool, number string, moves mover, poly ...plane.Point) section {
	s := section{tool: tool, number: number, moves: moves}
	h := plane.Hull(poly)
	n := len(h)
	normals, reaches := make([]plane.Point, n), make([]float64, n)
	for i := range h {
		e := h[(i+1)%n].Sub(h[i]).Unit()
		normals[i] = e.Perp().Neg()
		reaches[i] = normals[i].Dot(h[i]) - give
	}
	// Corners of the smaller body.
	for i := range h {
		j := (i + n - 1) % n
		if p, ok := cross(normals[j], reaches[j], normals[i], reaches[i]); ok {
			s.poly = append(s.poly, p)
			s.normal = append(s.normal, normals[i])
			s.reach = append(s.reach, reaches[i])
		}
	}
	return s
}

// cross is where two lines n·p = d meet.
func cross(n plane.Point, d float64, m plane.Point, e float64) (plane.Point, bool) {
	det := n.Cross(m)
	if math.Abs(det) < 1e-9 {
		return plane.Point{}, false
	}
	return plane.Point{X: (float64(d*m.Y) - float64(e*n.Y)) / det, Y: (float64(n.X*e) - float64(m.X*d)) / det}, true
}

func rect(x0, z0, x1, z1 float64) []plane.Point {
	return []plane.Point{{X: x0, Y: z0}, {X: x1, Y: z0}, {X: x1, Y: z1}, {X: x0, Y: z1}}
}

// kinematics is one bend of the machine: how held and moving side go, and where the tools are.
type kinematics struct {
	brake    shop.Brake
	t, r     float64
	per      float64 // flat length used up per radian, r + K·t
	ba       float64 // allowance of the whole bend
	opening  float64 // of the V die; 0 on a leaf brake
	sections []section
}

func newKinematics(b shop.Brake, fold bend.Bend) *kinematics {
	k := &kinematics{brake: b, t: fold.Thickness, r: fold.Radius, per: fold.Radius + float64(fold.K*fold.Thickness), ba: fold.Allowance()}
	if b.Kind == shop.BrakeVDie {
		k.opening = dieOpening(b, k.t)
		k.sections = pressSections(b, k.t, k.r, k.opening)
	} else {
		k.sections = leafSections(b, k.t, max(b.NoseRadius, 0), k.r)
	}
	return k
}

// dieOpening is the V for a sheet: the stated multiple, or the next wider die there is.
func dieOpening(b shop.Brake, t float64) float64 {
	want := float64(b.Opening * t)
	for _, v := range b.Openings {
		if v >= want-1e-6 {
			return v
		}
	}
	if n := len(b.Openings); n > 0 {
		return b.Openings[n-1]
	}
	return want
}

// leafSections are the bodies of a leaf brake about a sheet of thickness t bent to radius r.
func leafSections(b shop.Brake, t, nose, r float64) []section {
	if nose == 0 {
		nose = r
	}
	top := t + b.FingerHeight
	out := []section{
		newSection(Bed, "bed_depth", still, rect(0, -farAway, b.BedDepth, 0)...),
		newSection(Leaf, "leaf_width", withLeaf, rect(-b.LeafWidth, -b.LeafHeight, 0, 0)...),
		newSection(Beam, "finger_height", still, rect(b.Beam[0], top, b.Beam[1], farAway)...),
	}
	foot := []plane.Point{{X: b.FingerHeel, Y: t}}
	front := b.FrontAngle
	for i := range noseChords + 1 {
		s, c := elementary.Sincos(front * float64(i) / noseChords)
		foot = append(foot, plane.Point{X: -float64(nose * s), Y: t + nose - float64(nose*c)})
	}
	s, c := elementary.Sincos(front)
	last := foot[len(foot)-1]
	// The front runs on until the neck or, where it leans forward, the finger's top.
	run := (top - last.Y) / s
	if c < 0 {
		run = min(run, (b.FingerNeck-last.X)/-c)
	}
	knee := plane.Point{X: last.X - float64(run*c), Y: last.Y + float64(run*s)}
	foot = append(foot, knee, plane.Point{X: b.FingerHeel, Y: knee.Y})
	out = append(out, newSection(Finger, "finger_heel", still, foot...))
	if knee.Y < top-touch {
		out = append(out, newSection(Finger, "finger_neck", still, rect(knee.X, knee.Y, b.FingerHeel, top)...))
	}
	return out
}

// flattenSections are the bodies that a hem is closed between: the bed below it and the
// clamp's fingers on the return, which reaches width from the held tangent.
func flattenSections(b shop.Brake, t, r, width float64) []section {
	round, top := r+t, t+b.FingerHeight
	back := max(width, b.FingerHeel)
	return []section{
		newSection(Bed, "bed_depth", still, rect(-round, -farAway, b.BedDepth, 0)...),
		newSection(Finger, "finger_heel", still, rect(-round, float64(2*round), back, top)...),
		newSection(Beam, "finger_height", still, rect(b.Beam[0], top, b.Beam[1], farAway)...),
	}
}

// pressSections are the bodies of a press: the punch with its edge's round in the bend, the ram above, the die's two sides.
// A gooseneck has a thin neck over its edge that leads to a body which stands back.
func pressSections(b shop.Brake, t, r, opening float64) []section {
	half, top := float64(b.PunchWidth/2), t+b.PunchHeight
	s, c := elementary.Sincos(b.PunchAngle / 2)
	axis := t + r
	round := float64(r * c)
	edge := []plane.Point{{X: 0, Y: t}, {X: round, Y: axis - float64(r*s)}, {X: -round, Y: axis - float64(r*s)}}
	// The blade widens at its angle to the body's width, or to a gooseneck's neck.
	thick, back := half, 0.0
	if b.Punch == shop.PunchGooseneck {
		thick, back = min(half, neck/2), b.Throat
	}
	shoulder := min(axis-float64(r*s)+max((thick-round)/(s/c), 0), top)
	out := []section{
		newSection(Punch, "punch_angle", still, append(edge, plane.Point{X: thick, Y: shoulder}, plane.Point{X: -thick, Y: shoulder})...),
		newSection(Ram, "punch_height", still, rect(-b.RamWidth/2, top, b.RamWidth/2, farAway)...)}
	out[0].blade = true
	// The neck leads to the body as steeply as it leans back.
	if foot := min(shoulder+b.Throat, top); back > 0 && foot > shoulder+touch {
		out = append(out, newSection(Punch, "throat", still, plane.Point{X: -thick, Y: shoulder}, plane.Point{X: thick, Y: shoulder},
			plane.Point{X: back + half, Y: foot}, plane.Point{X: back - half, Y: foot}))
		shoulder = foot
	}
	if shoulder < top-touch {
		out = append(out, newSection(Punch, "punch_width", still, rect(back-half, shoulder, back+half, top)...))
	}
	v := float64(opening / 2)
	for _, side := range []float64{-1, 1} {
		out = append(out, newSection(Die, "die_width", withDie, rect(side*v, -b.DieHeight, side*(v+b.DieWidth), 0)...))
	}
	return append(out, newSection(Bed, "die_height", withDie, rect(-150, -farAway, 150, -b.DieHeight)...))
}

// pressFlat are the bodies between which a press closes a hem that reaches width from the held tangent: flat
// tools in place of punch and die, as far behind the hem as it is wide.
func pressFlat(b shop.Brake, t, r, width float64) []section {
	round, top := r+t, t+b.PunchHeight
	return []section{
		newSection(Die, "die_width", still, rect(-round, -b.DieHeight, width, 0)...),
		newSection(Bed, "die_height", still, rect(-150, -farAway, 150, -b.DieHeight)...),
		newSection(Punch, "punch_width", still, rect(-round, float64(2*round), width, top)...),
		newSection(Ram, "punch_height", still, rect(-b.RamWidth/2, top, b.RamWidth/2, farAway)...),
	}
}

// rigid is a motion in the section's plane: (x, z) to (c·x − s·z + dx, s·x + c·z + dz).
type rigid struct{ c, s, dx, dz float64 }

var stay = rigid{c: 1}

func (m rigid) apply(p plane.Point) plane.Point {
	return plane.Point{X: float64(m.c*p.X) - float64(m.s*p.Y) + m.dx, Y: float64(m.s*p.X) + float64(m.c*p.Y) + m.dz}
}

// inverse undoes m.
func (m rigid) inverse() rigid {
	return rigid{m.c, -m.s, -float64(m.c*m.dx) - float64(m.s*m.dz), float64(m.s*m.dx) - float64(m.c*m.dz)}
}

// then does m first and n after it.
func (m rigid) then(n rigid) rigid {
	d := n.apply(plane.Point{X: m.dx, Y: m.dz})
	return rigid{float64(n.c*m.c) - float64(n.s*m.s), float64(n.s*m.c) + float64(n.c*m.s), d.X, d.Y}
}

// axis is the bend's axis in the section: what the leaf turns about.
func (k *kinematics) axis() plane.Point { return plane.Point{X: 0, Y: k.t + k.r} }

// moving is where the moving side is after an angle, from where it lies flat with the held
// tangent at x = 0. A point at flat distance d and height z goes to
// (0, t+r) + (r+t)(−sin a, −cos a) + (d − a(r+Kt))(−cos a, sin a) + z(sin a, cos a).
func (k *kinematics) moving(a float64) rigid {
	if k.opening > 0 {
		return k.press(a, -1)
	}
	s, c := elementary.Sincos(a)
	used := float64(a * k.per)
	return rigid{c: c, s: -s,
		dx: -float64((k.r+k.t)*s) + float64(used*c),
		dz: k.t + k.r - float64((k.r+k.t)*c) - float64(used*s)}
}

// held is where the held side is after an angle: at rest but in a press.
func (k *kinematics) held(a float64) rigid {
	if k.opening > 0 {
		return k.press(a, 1)
	}
	return stay
}

// press is where one side of a sheet in a V die is: each turns by half, about the punch's
// edge; side +1 is the back. The flat lies as for a leaf brake, the held tangent at x = 0.
func (k *kinematics) press(a, side float64) rigid {
	s, c := elementary.Sincos(a / 2)
	used := float64(a / 2 * k.per)
	// the middle of the strip lies at −ba/2; by h from it along side
	shift := float64(k.ba/2) - float64(side*used)
	return rigid{c: c, s: side * s,
		dx: float64(side*(k.r+k.t)*s) + float64(shift*c),
		dz: k.t + k.r - float64((k.r+k.t)*c) + float64(shift*side*s)}
}

// tool is where a tool is after an angle.
func (k *kinematics) tool(m mover, a float64) rigid {
	switch m {
	case withLeaf:
		s, c := elementary.Sincos(a)
		h := k.t + k.r
		return rigid{c: c, s: -s, dx: -float64(s * h), dz: h - float64(c*h)}
	case withDie:
		s, c := elementary.Sincos(a / 2)
		x := float64((k.r + k.t) * s)
		return rigid{c: 1, dz: k.t + k.r - float64((k.r+k.t)*c) + float64((float64(k.opening/2)-x)*s/c)}
	}
	return stay
}

// speed bounds how far, per radian, a point goes that is rho from the bend's axis.
func (k *kinematics) speed(rho float64) float64 { return rho + k.per + k.ba + k.opening }

// depth is how deep a point lies in the body that is touch smaller all round; negative outside.
func (s *section) depth(p plane.Point) float64 {
	d := math.Inf(1)
	for i, n := range s.normal {
		d = min(d, s.reach[i]-n.Dot(p))
	}
	return d
}
