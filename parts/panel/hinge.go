package panel

import (
	"math"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

const (
	// lineTol is how far, in mm, an edge may lie off a fold's line and still be on it.
	lineTol = 1e-4
	// angleTol is how far stated and drawn angles may differ, in radians.
	angleTol = 1e-7
	// flatest is the least bend angle, in radians, whose mold line is well defined.
	flatest = 1e-3
	// hemAngle is the angle above which faces are drawn to the outer tangent line.
	hemAngle = 150*bend.Degree + 1e-9
)

// hinge is a fold's drawn line in the coordinates of one of its faces. The
// parameter s along the line is the same on both faces.
type hinge struct {
	p    plane.Point // s = 0
	e    plane.Point // unit, along the line
	in   plane.Point // unit, into the face's metal: left of e on face A, right on face B
	set  float64     // set-back, mm
	lo   float64     // the face's own edge on the line
	hi   float64
	runs [2]bool // the metal runs on past the span at its start, end
	deep [2]bool // it runs on beyond the line too: the fold ends in an inner corner
}

// at is the point at s along the line and depth into the metal.
func (h hinge) at(s, depth float64) plane.Point {
	return plane.Point{
		X: h.p.X + float64(s*h.e.X) + float64(depth*h.in.X),
		Y: h.p.Y + float64(s*h.e.Y) + float64(depth*h.in.Y),
	}
}

func (h hinge) along(p plane.Point) float64 { return p.Sub(h.p).Dot(h.e) }
func (h hinge) depth(p plane.Point) float64 { return p.Sub(h.p).Dot(h.in) }

// deeper is the half-plane of points at least d into the metal.
func (h hinge) deeper(d float64) plane.HalfPlane {
	return plane.HalfPlane{N: h.in.Neg(), D: -(h.in.Dot(h.p) + d)}
}

// shallower is the half-plane of points at most d into the metal.
func (h hinge) shallower(d float64) plane.HalfPlane {
	return plane.HalfPlane{N: h.in, D: h.in.Dot(h.p) + d}
}

// after and before are the half-planes of points past and short of s.
func (h hinge) after(s float64) plane.HalfPlane {
	return plane.HalfPlane{N: h.e.Neg(), D: -(h.e.Dot(h.p) + s)}
}

func (h hinge) before(s float64) plane.HalfPlane {
	return plane.HalfPlane{N: h.e, D: h.e.Dot(h.p) + s}
}

// crease is a fold worked out from the frames and outlines of its faces.
type crease struct {
	bend bend.Bend
	ba   float64 // allowance
	down bool
	a, b hinge
	from float64 // the span along the line
	to   float64
}

// turn rotates v about the unit vector axis by angle (right-hand rule).
func turn(v, axis solid.Vec, angle float64) solid.Vec {
	s, c := elementary.Sincos(angle)
	k := axis.Dot(v) * (1 - c)
	w := axis.Cross(v)
	return solid.Vec{
		X: float64(c*v.X) + float64(s*w.X) + float64(k*axis.X),
		Y: float64(c*v.Y) + float64(s*w.Y) + float64(k*axis.Y),
		Z: float64(c*v.Z) + float64(s*w.Z) + float64(k*axis.Z),
	}
}

// shift is p + k·v.
func shift(p solid.Vec, k float64, v solid.Vec) solid.Vec {
	return solid.Vec{X: p.X + float64(k*v.X), Y: p.Y + float64(k*v.Y), Z: p.Z + float64(k*v.Z)}
}

// signed is the turn of the hung face about the line e (see hinge): positive for
// folds away from the viewer.
func signed(angle float64, down bool) float64 {
	if down {
		return angle
	}
	return -angle
}

// axisHeight is the height of the bend's axis over the drawn surface.
func axisHeight(b bend.Bend, down bool) float64 {
	if down {
		return -(b.Radius + b.Thickness)
	}
	return b.Radius
}

// Hung returns the frame of a face hung on the edge from→to of a face (metal on the
// edge's left, as in a counter-clockwise outline) by the bend b, away from the viewer
// (down) or towards: origin in the middle of the fold, x along it, y away from it.
// Above 150° the edge and the hung face's y = 0 are the outermost lines of the bend.
func Hung(a solid.Frame, from, to plane.Point, b bend.Bend, down bool) solid.Frame {
	e := to.Sub(from).Unit()
	axis, out := a.Dir(e), a.Dir(e.Perp().Neg())
	o := a.At(from.Lerp(to, 0.5))
	angle := signed(b.Angle, down)
	y := turn(out, axis, angle)
	if b.Angle > hemAngle {
		set, h, n := b.SetBack(down), axisHeight(b, down), a.Normal()
		centre := shift(shift(o, -set, out), h, n)
		o = shift(shift(centre, -h, turn(n, axis, angle)), -set, y)
	}
	return solid.Frame{O: o, X: axis.Neg(), Y: y}
}

// newCrease works out fold i from the faces' frames and outlines (after seams).
func (u *unfolder) newCrease(i int) (*crease, *FoldError) {
	f := u.p.Folds[i]
	fa, fb := u.p.Faces[f.A].Frame, u.p.Faces[f.B].Frame
	fail := func(r Reason, got, need float64, detail measure.Text) (*crease, *FoldError) {
		return nil, u.foldError(i, FoldError{Reason: r, Got: got, Need: need, Detail: detail})
	}
	na, nb := fa.Normal(), fb.Normal()
	angle := elementary.Atan2(na.Cross(nb).Len(), na.Dot(nb))
	if f.Angle != 0 {
		if math.Abs(angle-f.Angle) > angleTol {
			return fail(Disagree, angle, f.Angle, measure.Text{})
		}
		angle = f.Angle
	}
	if angle < flatest {
		return fail(SamePlane, angle, 0, measure.Text{})
	}
	if angle > hemAngle && f.Angle == 0 {
		return fail(AngleNeeded, angle, 0, measure.Text{})
	}
	b, err := bend.NewBend(angle, u.p.Stock.Thickness, f.Radius, f.K)
	if err != nil {
		return fail(BadBend, 0, 0, measure.Of(err))
	}
	c := &crease{bend: b, ba: b.Allowance(), down: f.Down}
	if c.ba <= lineTol {
		return fail(BadBend, c.ba, lineTol, measure.Say("radius %v and K %g leave a strip of %.3g", measure.Length(b.Radius), b.K, measure.Length(c.ba)))
	}
	if angle > hemAngle {
		if ferr := c.hemLine(fa, fb); ferr > lineTol {
			return fail(Disagree, ferr, 0, measure.Plain("the frames are off the stated hem by"))
		}
	} else {
		c.moldLine(fa, fb)
	}
	return u.span(i, c, fa, fb, angle <= hemAngle)
}

// moldLine sets the line where the two drawn planes meet, e in either sense.
func (c *crease) moldLine(fa, fb solid.Frame) {
	nb := fb.Normal()
	g := fa.LocalDir(nb)
	l := g.Len()
	g = g.Scale(1 / l)
	c.a.p = g.Scale(nb.Dot(fb.O.Sub(fa.O)) / l)
	c.a.e = g.Perp()
	at, dir := fa.At(c.a.p), fa.Dir(c.a.e)
	c.b.p, c.b.e = fb.Local(at), fb.LocalDir(dir).Unit()
}

// hemLine sets the outermost lines of a fold above 150° from face B's y = 0 and
// returns how far face A's frame is from where the bend puts it, in mm.
func (c *crease) hemLine(fa, fb solid.Frame) float64 {
	c.b.e = plane.Point{X: -1}
	axis, nb := fb.X.Neg(), fb.Normal()
	angle, h, set := -signed(c.bend.Angle, c.down), axisHeight(c.bend, c.down), c.bend.SetBack(c.down)
	centre := shift(shift(fb.O, set, fb.Y), h, nb)
	na, out := turn(nb, axis, angle), turn(fb.Y, axis, angle)
	o := shift(shift(centre, -h, na), set, out)
	c.a.p, c.a.e = fa.Local(o), fa.LocalDir(axis).Unit()
	// the normals' difference counts over a metre of face
	return max(math.Abs(fa.Plane().Height(o)), 1000*na.Sub(fa.Normal()).Len())
}

// span finds the stretch where both outlines have an edge on the line, orients the
// line with face A's metal on its left and sets direction and set-backs.
func (u *unfolder) span(i int, c *crease, fa, fb solid.Frame, molded bool) (*crease, *FoldError) {
	f := u.p.Folds[i]
	la, lb := u.cornered[f.A], u.cornered[f.B]
	fail := func(r Reason, got float64, detail string) (*crease, *FoldError) {
		return nil, u.foldError(i, FoldError{Reason: r, Got: got, Detail: measure.Plain(detail)})
	}
	as, bs := edgesOn(la, c.a), edgesOn(lb, c.b)
	if len(as) == 0 || len(bs) == 0 {
		ga, acrossA := offLine(la, c.a)
		gb, acrossB := offLine(lb, c.b)
		switch {
		case len(as) == 0 && acrossA:
			return fail(CrossesLine, ga, u.p.Faces[f.A].Name)
		case len(bs) == 0 && acrossB:
			return fail(CrossesLine, gb, u.p.Faces[f.B].Name)
		}
		return fail(NoMeeting, max(ga, gb), "")
	}
	best, n, gap := pair{}, 0, math.Inf(1)
	for _, a := range as {
		for _, b := range bs {
			lo, hi := max(a.lo, b.lo), min(a.hi, b.hi)
			if hi-lo <= lineTol {
				gap = min(gap, lo-hi)
				continue
			}
			if n++; n == 1 || hi-lo > best.hi-best.lo {
				best = pair{a, b, lo, hi}
			}
		}
	}
	if n == 0 {
		return fail(NoMeeting, max(gap, 0), "")
	}
	if n > 1 {
		return fail(Stretches, float64(n), "")
	}
	if best.a.forward == best.b.forward {
		return fail(WrongSide, 0, "")
	}
	c.from, c.to = best.lo, best.hi
	if !best.a.forward {
		c.reverse(&best)
	}
	c.a.in, c.b.in = c.a.e.Perp(), c.b.e.Perp().Neg()
	if molded {
		c.down = fb.Normal().Dot(fa.Dir(c.a.in)) < 0
		if f.Angle != 0 && f.Down != c.down {
			return fail(WrongSide, 0, "")
		}
	}
	c.a.set, c.b.set = c.bend.SetBack(c.down), c.bend.SetBack(c.down)
	c.a.take(best.a, c.from, c.to)
	c.b.take(best.b, c.from, c.to)
	return c, nil
}

// pair is an edge of A and one of B that overlap on the line from lo to hi.
type pair struct {
	a, b   lineEdge
	lo, hi float64
}

// reverse turns the line's sense.
func (c *crease) reverse(p *pair) {
	c.a.e, c.b.e = c.a.e.Neg(), c.b.e.Neg()
	c.from, c.to = -c.to, -c.from
	p.a, p.b = p.a.reversed(), p.b.reversed()
}

// take notes how the face's own edge lies to the span.
func (h *hinge) take(l lineEdge, from, to float64) {
	h.lo, h.hi = l.lo, l.hi
	h.deep = [2]bool{l.inner[0] && l.lo > from-lineTol, l.inner[1] && l.hi < to+lineTol}
	h.runs = [2]bool{l.lo < from-lineTol || h.deep[0], l.hi > to+lineTol || h.deep[1]}
}

// lineEdge is a stretch of an outline on a line.
type lineEdge struct {
	lo, hi  float64
	forward bool    // the counter-clockwise outline runs along the line's sense
	inner   [2]bool // the outline turns right at lo, hi: metal lies beyond that end
}

func (l lineEdge) reversed() lineEdge {
	return lineEdge{-l.hi, -l.lo, !l.forward, [2]bool{l.inner[1], l.inner[0]}}
}

// edgesOn lists the stretches of the loop's straight edges that lie on the line.
func edgesOn(l plane.Loop, h hinge) []lineEdge {
	n := len(l)
	off := h.e.Perp()
	on := make([]bool, n)
	first := -1
	for i := range l {
		e := l.Edge(i)
		on[i] = e.Straight() && math.Abs(e.From.Sub(h.p).Dot(off)) <= lineTol &&
			math.Abs(e.To.Sub(h.p).Dot(off)) <= lineTol && e.Chord() > lineTol
		if !on[i] && first < 0 {
			first = i
		}
	}
	var out []lineEdge
	for k := 1; k <= n && first >= 0; k++ {
		i := (first + k) % n
		if !on[i] {
			continue
		}
		m := 0 // edges of this stretch
		for on[(i+m)%n] {
			m++
		}
		head, tail := l.Edge(i), l.Edge((i+m-1)%n)
		s0, s1 := h.along(head.From), h.along(tail.To)
		le := lineEdge{lo: min(s0, s1), hi: max(s0, s1), forward: s1 > s0}
		start := turnsRight(l.Edge((i+n-1)%n), head)
		end := turnsRight(tail, l.Edge((i+m)%n))
		le.inner = [2]bool{start, end}
		if !le.forward {
			le.inner = [2]bool{end, start}
		}
		out = append(out, le)
		k += m - 1
	}
	return out
}

// turnsRight tells whether the outline has an inner corner between two edges.
func turnsRight(a, b plane.Edge) bool {
	c := a.EndTangent().Cross(b.StartTangent())
	if math.Abs(c) > 1e-9 {
		return c < 0
	}
	return b.Bulge < 0 || a.Bulge < 0
}

// offLine is the least distance of the loop from the line, and whether it lies on both
// sides of it; then the distance is how far it reaches over to the smaller side.
func offLine(l plane.Loop, h hinge) (d float64, across bool) {
	off := h.e.Perp()
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range l {
		for _, p := range [2]plane.Point{l[i].P, l.Edge(i).Mid()} {
			x := p.Sub(h.p).Dot(off)
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	if lo < -lineTol && hi > lineTol {
		return min(-lo, hi), true
	}
	return min(math.Abs(lo), math.Abs(hi)), false
}
