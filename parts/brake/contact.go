package brake

import (
	"math"
	"slices"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
)

const (
	// glide is the least way, in mm, between two looks at metal that comes near a tool: what
	// could pass between two looks is thinner than any metal.
	glide = 0.05
	// stride is the way, in mm, between two looks at metal that lies in a finger's section.
	stride = 0.5
	// give is how deep, in sheets, a flap that is not bent yet is sprung by the leaf: flaps of
	// flared trays lie over their neighbours' lines so (common practice, no source).
	give = 3.0
	// maxLift is how far a flap that is not bent yet may be lifted by the leaf, rad (common practice, no source).
	maxLift = 15 * bend.Degree
)

// contact is what an element meets during a stroke.
type contact struct {
	bodies  []body
	flat    bool    // it lies in the plane of its side
	lo, hi  float64 // along the machine
	hit     bool    // it meets a tool before the angle is reached
	tool    Tool
	number  string
	at      float64 // rad, of the first
	depth   float64 // mm, that flat metal lies past the line, where it meets the leaf
	soft    Tool    // met in the over-bend only; "" for none
	blocked []Span  // where no finger can stand
	wall    string  // the number of the finger that it meets there
	softly  []Span  // where one would be met in the over-bend
	past    float64 // mm, of flat metal over the leaf that gives way
	lifted  float64 // rad, that the leaf lifts a flap by

	seen [2][]silhouette // at the stroke's beginning and end
}

// contact is what an element meets, by the angles on its route.
func (h *hold) contact(element int, done uint64) *contact {
	r := &h.routes[element]
	key := done & r.mask
	if c, ok := h.contacts[element][key]; ok {
		return c
	}
	if h.contacts[element] == nil {
		h.contacts[element] = map[uint64]*contact{}
	}
	c := &contact{bodies: h.bodies(element, done, -1, 0), lo: math.Inf(1), hi: math.Inf(-1), at: math.Inf(1)}
	h.contacts[element][key] = c
	h.p.looked += len(c.bodies)
	flat := true
	for _, x := range r.way {
		flat = flat && h.p.angle(x.fold, done) == 0
	}
	c.flat = flat
	for i := range c.bodies {
		c.lo, c.hi = min(c.lo, c.bodies[i].lo), max(c.hi, c.bodies[i].hi)
	}
	for i := range h.k.sections {
		s := &h.k.sections[i]
		switch {
		case flat && (s.tool == Die || r.moving && (s.tool == Leaf || h.kind == Flatten)):
			// it lies on them, or is what is pressed
		case s.tool == Leaf && flat:
			h.overLeaf(element, done, c, s)
		case s.tool == Finger || s.tool == Punch:
			if !(flat && s.blade) {
				h.meetFinger(c, r, s)
			}
		default:
			h.meetTool(c, r, s)
		}
	}
	c.blocked, c.softly = merged(c.blocked), merged(c.softly)
	return c
}

// relative is where metal lies from a tool's own place after an angle.
func (h *hold) relative(moving bool, m mover, a float64) rigid {
	metal := h.k.held(a)
	if moving {
		metal = h.k.moving(a)
	}
	if m == still {
		return metal
	}
	return metal.then(h.k.tool(m, a).inverse())
}

// begin is the angle from which tools are looked at: a hem is pressed flat by what only
// meets it closed.
func (h *hold) begin() float64 {
	if h.kind == Flatten {
		return h.to
	}
	return h.from
}

// turns tells whether metal moves against a tool at all.
func (h *hold) turns(moving bool, m mover) bool {
	return moving || m != still || h.p.brake.Kind == shop.BrakeVDie
}

// meetTool notes the first angle at which an element reaches into a tool.
func (h *hold) meetTool(c *contact, r *route, s *section) {
	end := h.to + h.over
	for i := range c.bodies {
		a, ok := h.first(&c.bodies[i], r.moving, s, end)
		switch {
		case !ok:
		case a > h.to+1e-9:
			c.soft = s.tool
		case a < c.at:
			c.hit, c.tool, c.number, c.at = true, s.tool, s.number, a
		}
	}
}

// first is the first angle up to end at which a body reaches into a section.
func (h *hold) first(b *body, moving bool, s *section, end float64) (float64, bool) {
	var room [64]plane.Point
	if !h.turns(moving, s.moves) {
		return h.begin(), parted(b.hull, h.relative(moving, s.moves, h.begin()), s, room[:0]) <= 0
	}
	speed := h.k.speed(b.far)
	for a := h.begin(); ; {
		gap := parted(b.hull, h.relative(moving, s.moves, a), s, room[:0])
		if gap <= 0 {
			return a, true
		}
		if a >= end {
			return a, false
		}
		next := a + float64(max(gap, glide)/speed)
		if a < h.to && next > h.to {
			next = h.to // the angle itself is always looked at
		}
		a = min(next, end)
	}
}

// meetFinger notes where along the machine an element would meet a finger.
func (h *hold) meetFinger(c *contact, r *route, s *section) {
	var room [64]plane.Point
	end := h.to + h.over
	flat := c.flat && r.moving && h.k.opening == 0
	for i := range c.bodies {
		b := &c.bodies[i]
		if b.hi < h.reach.From || b.lo > h.reach.To || flat && b.front <= touch {
			continue // no finger stands there, or it turns about the finger's edge
		}
		speed := h.k.speed(b.far)
		for a := h.begin(); ; {
			m := h.relative(r.moving, s.moves, a)
			gap := parted(b.hull, m, s, room[:0])
			step := max(gap, glide)
			if gap <= 0 {
				step = stride
				if within(c.blocked, b.lo, b.hi) {
					break
				}
				if lo, hi, ok := h.p.carver.yRange(b, m, s); ok {
					if a > h.to+1e-9 {
						c.softly = append(c.softly, Span{lo, hi})
					} else {
						c.blocked, c.wall = joined(c.blocked, Span{lo, hi}), s.number
						if h.walled(c.blocked) {
							return
						}
					}
				}
			}
			if a >= end || !h.turns(r.moving, s.moves) {
				break
			}
			next := a + float64(step/speed)
			if a < h.to && next > h.to {
				next = h.to
			}
			a = min(next, end)
		}
	}
}

// walled tells whether no finger can stand on any of the folds.
func (h *hold) walled(blocked []Span) bool {
	for _, f := range h.spans {
		if !within(blocked, f.From, f.To) {
			return false
		}
	}
	return true
}

// within tells whether one of some spans covers a stretch.
func within(spans []Span, from, to float64) bool {
	for _, s := range spans {
		if s.From <= from+touch && s.To >= to-touch {
			return true
		}
	}
	return false
}

// joined adds a span, in place where it touches one.
func joined(spans []Span, s Span) []Span {
	for i := range spans {
		if o := &spans[i]; s.From <= o.To && o.From <= s.To {
			o.From, o.To = min(o.From, s.From), max(o.To, s.To)
			return spans
		}
	}
	return append(spans, s)
}

// overLeaf looks at flat metal that is held and reaches over the leaf: a little gives way,
// and a flap may be lifted; more is in the way.
func (h *hold) overLeaf(element int, done uint64, c *contact, s *section) {
	end := h.to + h.over
	past, meets, at := 0.0, false, math.Inf(1)
	for i := range c.bodies {
		b := &c.bodies[i]
		if b.front >= -touch && b.rear >= -touch {
			continue // behind the line
		}
		if a, ok := h.first(b, false, s, end); ok {
			meets, at = true, min(at, a)
			for _, p := range b.hull {
				past = max(past, -p.X)
			}
		}
	}
	if !meets {
		return
	}
	if past <= h.k.r+float64(2*h.k.t) {
		c.past = past
		return
	}
	b := h.p.brake
	soft := newSectionWithin(float64(give*h.k.t), Leaf, s.number, withLeaf, rect(-b.LeafWidth, -b.LeafHeight, 0, 0)...)
	way := h.routes[element].way
	for lift := len(way) - 1; lift >= 0; lift-- {
		for extra := 0.0; extra <= maxLift+1e-9; extra += bend.Degree {
			lifted := h.bodies(element, done, lift, extra)
			if !slices.ContainsFunc(lifted, func(b body) bool { _, ok := h.first(&b, false, &soft, end); return ok }) {
				c.past, c.lifted = past, extra
				up := contact{bodies: lifted, at: math.Inf(1)}
				for i := range h.k.sections {
					if f := &h.k.sections[i]; f.tool == Finger {
						h.meetFinger(&up, &h.routes[element], f)
					}
				}
				c.blocked = append(c.blocked, up.blocked...)
				return
			}
		}
	}
	if at < c.at {
		c.hit, c.tool, c.number, c.at, c.depth = true, Leaf, s.number, at, past
	}
}

// merged are spans as few as there need be, in order.
func merged(spans []Span) []Span {
	if len(spans) < 2 {
		return spans
	}
	slices.SortFunc(spans, func(a, b Span) int {
		switch {
		case a.From < b.From:
			return -1
		case a.From > b.From:
			return 1
		}
		return 0
	})
	out := spans[:1]
	for _, s := range spans[1:] {
		if last := &out[len(out)-1]; s.From <= last.To {
			last.To = max(last.To, s.To)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// pairKey names two elements as they are bent.
type pairKey struct {
	moving, held     int
	turned, standing uint64
}

// meeting is where held and moving metal meet; soft where in the over-bend only.
type meeting struct {
	meets, soft bool
	at          float64
}

// meeting is where a moving and a held element meet first.
func (h *hold) meeting(moving, held int, done uint64) meeting {
	key := pairKey{moving, held, done & h.routes[moving].mask, done & h.routes[held].mask}
	if m, ok := h.meetings[key]; ok {
		return m
	}
	a, b := h.contact(held, done), h.contact(moving, done)
	out := meeting{at: math.Inf(1)}
	for i := range a.bodies {
		for j := range b.bodies {
			at, ok := h.collide(&a.bodies[i], &b.bodies[j])
			if ok && at < out.at {
				out.at = at
			}
		}
	}
	out.meets, out.soft = out.at <= h.to+1e-9, out.at > h.to+1e-9 && !math.IsInf(out.at, 1)
	h.meetings[key] = out
	return out
}

// collide is the first angle at which two bodies, inset, meet.
func (h *hold) collide(held, moving *body) (float64, bool) {
	slack := float64(h.k.per*(h.to+h.over)) + h.k.ba
	if held.lo >= moving.hi-2*inset || moving.lo >= held.hi-2*inset ||
		held.near > moving.far+slack || moving.near > held.far+slack {
		return 0, false
	}
	h.p.looked++
	end := h.to + h.over
	speed := h.k.speed(moving.far)
	for a := h.from; ; {
		m := h.k.moving(a)
		if h.k.opening > 0 {
			m = m.then(h.k.held(a).inverse())
		}
		gap := apartBy(held.inner, moving.inner, m)
		if gap <= 0 {
			return a, true
		}
		if a >= end {
			return a, false
		}
		next := a + float64(max(gap, glide)/speed)
		if a < h.to && next > h.to {
			next = h.to
		}
		a = min(next, end)
	}
}
