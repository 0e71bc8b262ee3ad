package brake

import (
	"math"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
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
	// turns is in how many looks it is turned in plan.
	turns = 4
)

// ways asks that the piece goes in under the clamp and, bent, comes out again: to the front with the
// clamp open as far as it goes, turned in plan so that a wall behind lies along the fingers, tipped
// round their foot, or slid off them along the machine.
func (h *hold) ways(done uint64, t *trial) bool {
	lift, key := h.p.opens()
	for _, way := range [2]struct {
		angle  float64
		reason Reason
	}{{h.from, NoWayIn}, {h.to, NoWayOut}} {
		if face, ok := h.leaves(done, way.angle, t.fingers); !ok {
			return h.stop(t, all, Block{Face: face, Other: none, With: Way, Number: key, Limit: lift, At: way.angle, Reason: way.reason})
		}
	}
	return true
}

// opens is how far the tool over the sheet goes up, and the shop file's key for it.
func (p *part) opens() (float64, string) {
	if p.brake.Kind == shop.BrakeVDie {
		return p.brake.Stroke, "stroke"
	}
	return p.brake.Lift, "lift"
}

// leaves tells whether the piece comes out, bent by an angle; where it stays, which face is in the way.
func (h *hold) leaves(done uint64, a float64, fingers []Span) (face int, ok bool) {
	metal := h.moved(done, a)
	lift, _ := h.p.opens()
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
func (h *hold) tipped(metal []*silhouette, fingers []Span, yaw float64, at []Span) bool {
	lift, _ := h.p.opens()
	o := h.outline(metal, fingers, 0)
	if yaw != 0 {
		for k := 1; k <= turns; k++ {
			o = h.outline(metal, fingers, float64(yaw*float64(k)/turns))
			free, _ := o.free(stay, lift)
			if at = reached(free, at); len(at) == 0 {
				return false
			}
			if at[0].From <= -o.reach {
				return true
			}
		}
	}
	return o.tips(lift, at)
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
	resting []plane.Point // corners that may lie lowest on the bed when it is tipped

	moved       []plane.Point // room that is kept
	left, right []plane.Point
	blocked     []Span
}

// standing is a tool's body while a piece goes in or out.
type standing struct {
	profile
	lo, hi float64
	lifts  bool // it goes up with the clamp
}

// hullOf is a body seen along the machine.
type hullOf struct {
	face  int
	whole []plane.Point
	under []plane.Point // what of it lies where fingers stand
	kept  *silhouette   // whose whole it is, where the piece is not turned in plan
}

// movedBody is a body's corners where they are after an angle.
type movedBody struct {
	face        int
	drawn, back []solid.Vec
}

// silhouette is a body at the beginning or the end of a stroke, seen along the machine, and
// what stops it there at each raise of the clamp: the same whatever else of the part is bent.
type silhouette struct {
	movedBody
	whole  []plane.Point
	lo, hi float64                // along the machine
	passes [2][raises + 1]*[]Span // by whole before what stands still, and before fingers along all of it
}

// seen are the silhouettes of an element after an angle, that of a stroke's beginning or end.
func (h *hold) seen(element int, done uint64, a float64) []silhouette {
	c, r := h.contact(element, done), &h.routes[element]
	at := &c.seen[0]
	if a != h.from && (r.moving || h.k.opening > 0) {
		at = &c.seen[1]
	}
	if *at == nil {
		m := h.k.held(a)
		if r.moving {
			m = h.k.moving(a)
		}
		*at = make([]silhouette, len(c.bodies))
		for i := range c.bodies {
			b := &c.bodies[i]
			(*at)[i] = silhouette{lo: b.lo, hi: b.hi,
				movedBody: movedBody{h.p.elements[element].face, movedCorners(nil, b.drawn, m), movedCorners(nil, b.back, m)},
				whole:     movedBy(b.hull, m)}
		}
	}
	return *at
}

// moved are all bodies after an angle.
func (h *hold) moved(done uint64, a float64) []*silhouette {
	var out []*silhouette
	for e := range h.p.elements {
		if h.routes[e].own {
			continue
		}
		seen := h.seen(e, done, a)
		for i := range seen {
			out = append(out, &seen[i])
		}
	}
	return out
}

// yawed turns a body in plan.
func (b *movedBody) yawed(yaw float64) movedBody {
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
func (h *hold) outline(metal []*silhouette, fingers []Span, yaw float64) *outline {
	o := &outline{reach: float64(2*h.p.reach) + 1000, looked: &h.p.looked, still: h.stands[0], fingers: h.stands[1]}
	groups := joinedSpans(fingers, h.p.brake.FingerGap)
	o.hulls = make([]hullOf, 0, len(metal))
	for _, b := range metal {
		x := hullOf{face: b.face, whole: b.whole, kept: b}
		at, lo, hi := b.movedBody, b.lo, b.hi
		if yaw != 0 {
			at = b.yawed(yaw)
			x.whole, lo, hi = at.seen()
			x.kept = nil
		}
		var under []plane.Point
		for _, g := range groups {
			switch {
			case g.From <= lo && hi <= g.To:
				x.under = x.whole
			case lo <= g.To && g.From <= hi:
				under = append(under, at.within(g)...)
			}
		}
		if len(under) > 0 {
			x.under = plane.Hull(under)
		}
		o.hulls = append(o.hulls, x)
	}
	for i := range o.hulls {
		for _, p := range o.hulls[i].whole {
			if p.Y >= -touch && p.X > -touch {
				o.resting = append(o.resting, p)
			}
		}
	}
	return o
}

// seen is the body along the machine, and where along it.
func (b *movedBody) seen() (hull []plane.Point, lo, hi float64) {
	pts := make([]plane.Point, 0, 2*len(b.drawn))
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, side := range [2][]solid.Vec{b.drawn, b.back} {
		for _, v := range side {
			pts = append(pts, plane.Point{X: v.X, Y: v.Z})
			lo, hi = min(lo, v.Y), max(hi, v.Y)
		}
	}
	return plane.Hull(pts), lo, hi
}

// stand tells the tools from each other that stand still and those that fingers are.
func (k *kinematics) stands() (out [2][]standing) {
	for i := range k.sections {
		s := &k.sections[i]
		t := standing{profile: profileOf(s.poly), lifts: s.tool == Beam || s.tool == Ram}
		t.lo, t.hi = heights(s.poly)
		if s.tool == Finger || s.tool == Punch {
			t.lifts = true
			out[1] = append(out[1], t)
		} else {
			out[0] = append(out[0], t)
		}
	}
	return out
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
		free, by := o.freeAt(k, lift)
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
func (o *outline) tips(lift float64, at []Span) bool {
	for k := 1; k <= tilts; k++ {
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
	for _, p := range o.resting {
		if z := m.apply(p).Y; z < least {
			least, low = z, p
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
	return o.freeBy(func(hull []plane.Point, _ *[raises + 1]*[]Span, tools []standing, out []Span) []Span {
		return o.stopped(hull, m, tools, raise, out)
	})
}

// freeAt is free of the piece as it lies at one of the clamp's raises: what stops a
// whole silhouette there is worked out once.
func (o *outline) freeAt(k int, lift float64) ([]Span, int) {
	raise := ease + float64((lift-ease)*float64(k)/raises)
	return o.freeBy(func(hull []plane.Point, kept *[raises + 1]*[]Span, tools []standing, out []Span) []Span {
		if kept == nil {
			return o.stopped(hull, stay, tools, raise, out)
		}
		if kept[k] == nil {
			all := o.stopped(hull, stay, tools, raise, nil)
			kept[k] = &all
		}
		return append(out, *kept[k]...)
	})
}

// freeBy is free with what stops one hull before some tools looked up.
func (o *outline) freeBy(stopped func(hull []plane.Point, kept *[raises + 1]*[]Span, tools []standing, out []Span) []Span) ([]Span, int) {
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
			var kept *[raises + 1]*[]Span
			if x.kept != nil && &hull[0] == &x.kept.whole[0] {
				kept = &x.kept.passes[k]
			}
			n := len(o.blocked)
			o.blocked = stopped(hull, kept, tools, o.blocked)
			for _, shift := range o.blocked[n:] {
				if shift.From <= 0 && shift.To > nearest {
					nearest, face = shift.To, x.face
				}
			}
		}
	}
	return between(merged(o.blocked), -o.reach-1, o.reach), face
}

// stopped adds the shifts at which one hull, moved by m, meets some tools.
func (o *outline) stopped(hull []plane.Point, m rigid, tools []standing, raise float64, out []Span) []Span {
	o.moved = o.moved[:0]
	for _, p := range hull {
		o.moved = append(o.moved, m.apply(p))
	}
	metal := profile{o.left, o.right}
	metal.of(o.moved)
	o.left, o.right = metal.left, metal.right
	lo, hi := metal.left[0].Y, metal.left[len(metal.left)-1].Y
	for j := range tools {
		t := &tools[j]
		up := 0.0
		if t.lifts {
			up = raise
		}
		if shift, ok := shifts(&metal, &t.profile, up, max(lo, t.lo+up), min(hi, t.hi+up)); ok {
			out = append(out, shift)
		}
	}
	return out
}
