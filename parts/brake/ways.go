package brake

import (
	"math"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

const (
	// ease is how far, in mm, the clamp is opened to slide a piece along under it.
	ease = 0.5
	// raises is in how many looks the clamp opens.
	raises = 4
	// tilts is in how many looks a piece is tipped upright.
	tilts = 90
	// wideTilt is how many of them are passed over where there is room.
	wideTilt = 5
	// turns is in how many looks it is turned in plan.
	turns = 4
)

// ways asks that the piece goes in under the clamp and, bent, comes out again: to the front with the
// clamp open as far as it goes, turned in plan so that a wall behind lies along the fingers, tipped
// round their foot, or slid off them along the machine.
func (h *hold) ways(done uint64, t *trial) bool {
	for _, way := range [2]struct {
		angle  float64
		reason Reason
	}{{h.from, NoWayIn}, {h.to, NoWayOut}} {
		if face, ok := h.leaves(done, way.angle, t.fingers); !ok {
			return h.stop(t, Block{Face: face, Other: none, With: Way, Number: "lift", Limit: h.p.brake.Lift, At: way.angle, Reason: way.reason})
		}
	}
	return true
}

// leaves tells whether the piece comes out, bent by an angle; where it stays, which face is in the way.
func (h *hold) leaves(done uint64, a float64, fingers []Span) (face int, ok bool) {
	metal := h.moved(done, a)
	lift := h.p.brake.Lift
	closed := 0 // a hem that is half closed goes under the open clamp
	if h.kind == Flatten && a == h.from {
		closed = raises
	}
	at, face, ok := h.outline(metal, fingers, 0).opens(lift, closed)
	if ok {
		return none, true
	}
	if len(at) > 0 && h.tipped(metal, fingers, 0, at) {
		return none, true
	}
	if len(at) > 0 {
		for _, yaw := range h.yaws(done) {
			if h.tipped(metal, fingers, yaw, at) {
				return none, true
			}
		}
	}
	if h.along(done, fingers) {
		at, _, ok = h.outline(metal, nil, 0).opens(lift, closed)
		if ok || len(at) > 0 && h.tipped(metal, nil, 0, at) {
			return none, true
		}
	}
	return face, false
}

// yaws are the turns in plan that bring a standing fold of the held side along the machine, up to 45°.
func (h *hold) yaws(done uint64) []float64 {
	var out []float64
	for e := range h.p.elements {
		fold := h.p.elements[e].fold
		if fold < 0 || h.routes[e].own || h.routes[e].moving || h.p.angle(fold, done) == 0 || len(h.routes[e].way) != 1 {
			continue
		}
		f := &h.p.flat.Folds[fold]
		d := h.frame.Dir(f.To.Sub(f.From).Unit())
		if d.Y < 0 {
			d = d.Neg()
		}
		if yaw := elementary.Atan2(d.X, d.Y); math.Abs(yaw) > 1e-3 && math.Abs(yaw) <= 45*bend.Degree {
			out = append(out, yaw)
		}
	}
	return out
}

// tipped tells whether the piece comes out when it is turned in plan under the open clamp, and then tipped.
func (h *hold) tipped(metal []movedBody, fingers []Span, yaw float64, at []Span) bool {
	o := h.outline(metal, fingers, 0)
	if yaw != 0 {
		for k := 1; k <= turns; k++ {
			o = h.outline(metal, fingers, float64(yaw*float64(k)/turns))
			free, _ := o.free(stay, h.p.brake.Lift)
			if at = reached(free, at); len(at) == 0 {
				return false
			}
			if at[0].From <= -o.reach {
				return true
			}
		}
	}
	return o.tips(h.p.brake.Lift, at)
}

// along tells whether the piece can be slid off the fingers along the machine, to one side.
func (h *hold) along(done uint64, fingers []Span) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	left, right := math.Inf(1), math.Inf(-1) // of what a finger would meet
	for e := range h.p.elements {
		if h.routes[e].own {
			continue
		}
		c := h.contact(e, done)
		lo, hi = min(lo, c.lo), max(hi, c.hi)
		for _, s := range c.blocked {
			left, right = min(left, s.From), max(right, s.To)
		}
	}
	first, last := math.Inf(1), math.Inf(-1)
	for _, s := range fingers {
		first, last = min(first, s.From), max(last, s.To)
	}
	if last-first+hi-lo > h.p.brake.Frames() {
		return false
	}
	return left >= last || right <= first
}

// outline is the piece seen along the machine, at one moment, and what it may meet.
type outline struct {
	hulls   []hullOf
	still   []standing // bed, leaf at rest, beam
	fingers []standing
	reach   float64
	looked  *int

	moved   []plane.Point // room that is kept
	blocked []Span
}

// standing is a tool's body while a piece goes in or out.
type standing struct {
	poly   []plane.Point
	lo, hi float64
	lifts  bool // it goes up with the clamp
}

// hullOf is a body seen along the machine.
type hullOf struct {
	face  int
	whole []plane.Point
	under []plane.Point // what of it lies where fingers stand
}

// movedBody is a body's corners where they are after an angle.
type movedBody struct {
	face        int
	drawn, back []solid.Vec
}

// moved are all bodies after an angle.
func (h *hold) moved(done uint64, a float64) []movedBody {
	var out []movedBody
	for e := range h.p.elements {
		r := &h.routes[e]
		if r.own {
			continue
		}
		m := h.k.held(a)
		if r.moving {
			m = h.k.moving(a)
		}
		at := func(from []solid.Vec) []solid.Vec {
			if m == stay {
				return from
			}
			to := make([]solid.Vec, len(from))
			for i, v := range from {
				q := m.apply(plane.Point{X: v.X, Y: v.Z})
				to[i] = solid.Vec{X: q.X, Y: v.Y, Z: q.Y}
			}
			return to
		}
		for _, b := range h.contact(e, done).bodies {
			out = append(out, movedBody{h.p.elements[e].face, at(b.drawn), at(b.back)})
		}
	}
	return out
}

// yawed turns a body in plan.
func (b movedBody) yawed(yaw float64) movedBody {
	if yaw == 0 {
		return b
	}
	s, c := elementary.Sincos(yaw)
	turn := func(from []solid.Vec) []solid.Vec {
		to := make([]solid.Vec, len(from))
		for i, v := range from {
			to[i] = solid.Vec{X: float64(c*v.X) - float64(s*v.Y), Y: float64(s*v.X) + float64(c*v.Y), Z: v.Z}
		}
		return to
	}
	return movedBody{b.face, turn(b.drawn), turn(b.back)}
}

// outline is the piece, turned in plan, with the fingers that are chosen.
func (h *hold) outline(metal []movedBody, fingers []Span, yaw float64) *outline {
	o := &outline{reach: float64(2*h.p.reach) + 1000, looked: &h.p.looked}
	for _, s := range h.k.sections {
		t := standing{poly: s.poly}
		t.lo, t.hi = heights(s.poly)
		switch s.tool {
		case Finger, Punch:
			t.lifts = true
			o.fingers = append(o.fingers, t)
		default:
			t.lifts = s.tool == Beam || s.tool == Ram
			o.still = append(o.still, t)
		}
	}
	groups := joinedSpans(fingers, h.p.brake.FingerGap)
	for _, b := range metal {
		b = b.yawed(yaw)
		x := hullOf{face: b.face}
		for i := range b.drawn {
			x.whole = append(x.whole, plane.Point{X: b.drawn[i].X, Y: b.drawn[i].Z}, plane.Point{X: b.back[i].X, Y: b.back[i].Z})
		}
		x.whole = plane.Hull(x.whole)
		for _, g := range groups {
			x.under = append(x.under, b.within(g)...)
		}
		if len(x.under) > 0 {
			x.under = plane.Hull(x.under)
		}
		o.hulls = append(o.hulls, x)
	}
	return o
}

// joinedSpans are fingers that stand side by side as one.
func joinedSpans(fingers []Span, gap float64) []Span {
	var out []Span
	for _, f := range fingers {
		if n := len(out); n > 0 && f.From-out[n-1].To <= gap+1e-6 {
			out[n-1].To = f.To
			continue
		}
		out = append(out, f)
	}
	return out
}

// within is what of a body lies in a stretch along the machine, seen along it.
func (b *movedBody) within(s Span) []plane.Point {
	var out []plane.Point
	edge := func(p, q solid.Vec) {
		for _, y := range [2]float64{s.From, s.To} {
			if (p.Y-y < 0) != (q.Y-y < 0) {
				k := (y - p.Y) / (q.Y - p.Y)
				out = append(out, plane.Point{X: p.X + float64(k*(q.X-p.X)), Y: p.Z + float64(k*(q.Z-p.Z))})
			}
		}
		if p.Y >= s.From && p.Y <= s.To {
			out = append(out, plane.Point{X: p.X, Y: p.Z})
		}
	}
	n := len(b.drawn)
	for i := range n {
		j := (i + 1) % n
		edge(b.drawn[i], b.drawn[j])
		edge(b.back[i], b.back[j])
		edge(b.drawn[i], b.back[i])
	}
	return out
}

func movedBy(pts []plane.Point, m rigid) []plane.Point {
	out := make([]plane.Point, len(pts))
	for i, p := range pts {
		out[i] = m.apply(p)
	}
	return out
}

// opens tells whether the piece comes straight out to the front while the clamp goes up: it may be
// shifted to front and back. first is from which raise on it is looked at. Where it does not come out, at is where it can be under the open clamp, and face what is in the way.
func (o *outline) opens(lift float64, first int) (at []Span, face int, ok bool) {
	at, face = []Span{{-2 * ease, 2 * ease}}, none
	for k := first; k <= raises; k++ {
		free, by := o.free(stay, ease+float64((lift-ease)*float64(k)/raises))
		if at = reached(free, at); len(at) == 0 {
			return nil, by, false
		}
		if at[0].From <= -o.reach {
			return at, none, true
		}
		if face == none {
			face = by
		}
	}
	return at, face, false
}

// tips tells whether the piece comes out when it is tipped under the open clamp, its front up, resting on the bed.
// Near looks follow the room as it narrows; wide ones are tried first, for they mostly do.
func (o *outline) tips(lift float64, at []Span) bool {
	return o.tipsBy(wideTilt, lift, at) || o.tipsBy(1, lift, at)
}

// tipsBy is tips in looks of so many tilts.
func (o *outline) tipsBy(step int, lift float64, at []Span) bool {
	for k := step; k <= tilts; k += step {
		if at = o.tilted(k, lift, at); len(at) == 0 {
			return false
		}
		if at[0].From <= -o.reach {
			return true
		}
	}
	return false
}

// tilted are the shifts that are reached at a tilt from those before it.
func (o *outline) tilted(k int, lift float64, at []Span) []Span {
	s, c := elementary.Sincos(90 * bend.Degree * float64(k) / tilts)
	m := rigid{c: c, s: -s}
	low := o.lowest(m)
	down := m.apply(low)
	m.dx, m.dz = low.X-down.X, -down.Y
	free, _ := o.free(m, lift)
	return reached(free, at)
}

// lowest is the corner of the metal on the bed that lies lowest when it is turned by m.
func (o *outline) lowest(m rigid) plane.Point {
	var low plane.Point
	least := math.Inf(1)
	for _, x := range o.hulls {
		for _, p := range x.whole {
			if z := m.apply(p).Y; p.Y >= -touch && p.X > -touch && z < least {
				least, low = z, p
			}
		}
	}
	return low
}

// reached are the free stretches that one of those before opens into.
func reached(free, before []Span) []Span {
	var out []Span
	for _, f := range free {
		if touchesOrHolds(before, f) {
			out = append(out, f)
		}
	}
	return out
}

func touchesOrHolds(before []Span, f Span) bool {
	for _, b := range before {
		if b.From <= f.To && f.From <= b.To {
			return true
		}
	}
	return false
}

// free are the shifts to the back and front at which the piece, moved by m, meets nothing
// with the clamp raised; and a face that is in the way of going to the front.
func (o *outline) free(m rigid, raise float64) ([]Span, int) {
	o.blocked = o.blocked[:0]
	face, nearest := none, math.Inf(-1)
	*o.looked += len(o.hulls)
	for i := range o.hulls {
		x := &o.hulls[i]
		for k, hull := range [2][]plane.Point{x.whole, x.under} {
			if len(hull) == 0 {
				continue
			}
			tools := o.still
			if k == 1 {
				tools = o.fingers
			}
			o.moved = o.moved[:0]
			for _, p := range hull {
				o.moved = append(o.moved, m.apply(p))
			}
			lo, hi := heights(o.moved)
			for j := range tools {
				t := &tools[j]
				up := 0.0
				if t.lifts {
					up = raise
				}
				shift, ok := shifts(o.moved, t.poly, up, max(lo, t.lo+up), min(hi, t.hi+up))
				if !ok {
					continue
				}
				o.blocked = append(o.blocked, shift)
				if shift.From <= 0 && shift.To > nearest {
					nearest, face = shift.To, x.face
				}
			}
		}
	}
	return between(merged(o.blocked), -o.reach-1, o.reach), face
}

// shifts are the shifts along x at which one convex polygon meets another that is raised,
// within the heights that they share.
func shifts(a, b []plane.Point, up, lo, hi float64) (Span, bool) {
	if lo >= hi {
		return Span{}, false
	}
	out := Span{math.Inf(1), math.Inf(-1)}
	look := func(z float64) {
		if z < lo || z > hi {
			return
		}
		a0, a1 := across(a, z)
		b0, b1 := across(b, z-up)
		out.From, out.To = min(out.From, b0-a1), max(out.To, b1-a0)
	}
	look(lo)
	look(hi)
	for _, p := range a {
		if p.Y > lo && p.Y < hi {
			look(p.Y)
		}
	}
	for _, p := range b {
		if p.Y+up > lo && p.Y+up < hi {
			look(p.Y + up)
		}
	}
	return out, out.From < out.To
}

func heights(p []plane.Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, q := range p {
		lo, hi = min(lo, q.Y), max(hi, q.Y)
	}
	return lo, hi
}

// across is where a convex polygon lies at a height.
func across(p []plane.Point, z float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if (a.Y > z && b.Y > z) || (a.Y < z && b.Y < z) {
			continue
		}
		if a.Y == b.Y {
			lo, hi = min(lo, a.X, b.X), max(hi, a.X, b.X)
			continue
		}
		k := min(max((z-a.Y)/(b.Y-a.Y), 0), 1)
		x := a.X + float64(k*(b.X-a.X))
		lo, hi = min(lo, x), max(hi, x)
	}
	return lo, hi
}
