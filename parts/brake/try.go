package brake

import (
	"math"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/shop"
)

// trial is what came of trying one stroke on one contour of the part.
type trial struct {
	ok       bool
	block    Block
	fingers  []Span
	set      uint64
	rating   float64
	warnings []measure.Text
	wide     Span // of the whole piece along the machine
	weight   int  // of the warnings that count
}

// try tells whether a stroke can be done on the part as it is bent so far, and with what.
func (h *hold) try(done uint64) trial {
	t := trial{}
	for _, check := range [...]func(uint64, *trial) bool{h.limits, h.flats, h.metal, h.apart, h.stand, h.ways} {
		if !check(done, &t) {
			return t
		}
	}
	t.ok = true
	return t
}

func (t *trial) warn(weight int, format string, args ...any) {
	t.warnings = append(t.warnings, measure.Say(format, args...))
	t.weight += weight
}

// stop notes what is in the way.
func (h *hold) stop(t *trial, b Block) bool {
	b.Fold, b.Held = h.folds[0], h.held
	t.block = b
	return false
}

const none = -1

// limits asks for angle, strength, length and the sheet's thickness.
func (h *hold) limits(_ uint64, t *trial) bool {
	b := h.p.brake
	if h.kind == Flatten || h.kind == StartHem {
		if h.p.t > b.HemThickness+1e-6 {
			return h.stop(t, Block{Face: none, Other: none, With: Limit, Number: "hem_thickness", Got: h.p.t, Limit: b.HemThickness, Reason: ThickHem})
		}
	}
	length := 0.0
	for _, s := range h.spans {
		length += s.To - s.From
	}
	span := h.spans[len(h.spans)-1].To - h.spans[0].From
	key := "front_angle"
	if b.Kind == shop.BrakeVDie {
		key = "punch_angle"
	}
	switch {
	case h.kind == Bend && h.to > h.p.steepest()+1e-9:
		return h.stop(t, Block{Face: none, Other: none, With: Limit, Number: key, Got: h.to, Limit: h.p.steepest(), Reason: TooSteep})
	case h.p.t > float64(b.Over*b.Thickness)+1e-6:
		return h.stop(t, Block{Face: none, Other: none, With: Limit, Number: "over", Got: h.p.t, Limit: float64(b.Over * b.Thickness), Reason: TooThick})
	case b.Length > 0 && span > b.Length+1e-6:
		return h.stop(t, Block{Face: none, Other: none, With: Limit, Number: "length", Got: span, Limit: b.Length, Reason: TooLong})
	}
	if b.Length > 0 && b.Thickness > 0 {
		t.rating = float64(h.p.t*math.Sqrt(length/b.Length)) / b.Thickness
	}
	if t.rating > 1+1e-9 {
		return h.stop(t, Block{Face: none, Other: none, With: Limit, Number: "thickness", Got: float64(t.rating * b.Thickness), Limit: b.Thickness, Reason: TooStrong})
	}
	if b.Kind == shop.BrakeLeaf && b.NoseRadius > h.k.r+0.1 && h.kind == Bend {
		t.warn(1, "the fingers' edge is round by %.3g, this bend's inside by %.3g: it comes out rounder, and the part smaller", measure.Length(b.NoseRadius), measure.Length(h.k.r))
	}
	return true
}

// flats asks for enough to hold and to move.
func (h *hold) flats(_ uint64, t *trial) bool {
	b := h.p.brake
	for i, fold := range h.folds {
		heldA := h.heldSides[i]
		f := &h.p.flat.Folds[fold]
		held, moves := f.A, f.B
		if !heldA {
			held, moves = f.B, f.A
		}
		hold, move := h.p.depth(fold, heldA), h.p.depth(fold, !heldA)
		if b.Kind == shop.BrakeVDie {
			// Both sides have to lie on the die's shoulders to the end (common practice: 0.7 V to the mold line).
			need := float64(0.7*h.k.opening) - (h.k.r + h.k.t)
			for _, side := range []struct {
				face int
				flat float64
			}{{held, hold}, {moves, move}} {
				if side.flat < need-1e-6 {
					return h.stop(t, Block{Face: side.face, Other: none, With: Die, Number: "openings", Got: side.flat, Limit: need, Reason: ShortMove})
				}
			}
			continue
		}
		switch {
		case hold < float64(b.HoldMin*2/3)-1e-6:
			return h.stop(t, Block{Face: held, Other: none, With: Finger, Number: "hold_min", Got: hold, Limit: b.HoldMin, Reason: ShortHold})
		case hold < b.HoldMin-1e-6:
			t.warn(1, "only %.1f of %s is held: clamp hard, and see that it does not slip", measure.Length(hold), h.p.faceName(held))
		}
		if move < b.MoveMin-1e-6 && h.kind != Flatten {
			return h.stop(t, Block{Face: moves, Other: none, With: Leaf, Number: "move_min", Got: move, Limit: b.MoveMin, Reason: ShortMove})
		}
	}
	return true
}

// metal asks that no element meets a tool, and that the whole piece passes the frames.
func (h *hold) metal(done uint64, t *trial) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	past, lifted, soft, softFace := 0.0, 0.0, Tool(""), none
	for e := range h.p.elements {
		if h.routes[e].own {
			continue
		}
		c := h.contact(e, done)
		lo, hi = min(lo, c.lo), max(hi, c.hi)
		if c.hit {
			return h.stop(t, Block{Face: h.p.elements[e].face, Other: none, With: c.tool, At: c.at, Number: c.number, Got: c.depth})
		}
		if h.walled(c.blocked) {
			_, most := bareEnd(h.p.t)
			return h.stop(t, Block{Face: h.p.elements[e].face, Other: none, With: h.clamp(), Number: c.wall, Got: h.spans[0].To - h.spans[0].From, Limit: most, Reason: BareEnd})
		}
		past, lifted = max(past, c.past), max(lifted, c.lifted)
		if c.soft != "" && soft == "" {
			soft, softFace = c.soft, h.p.elements[e].face
		}
	}
	t.wide = Span{lo, hi}
	if wide := hi - lo; wide > h.p.brake.Frames()+1e-6 {
		return h.stop(t, Block{Face: none, Other: none, With: Frames, Number: "between_frames", Got: wide, Limit: h.p.brake.Frames(), Reason: TooWide})
	}
	if past > 0 {
		t.warn(0, "metal that is held reaches %.1f over the leaf and gives way", measure.Length(past))
	}
	if lifted > 0 {
		t.warn(0, "the leaf lifts a flap that is not bent yet, by about %.0f°: it bends back with its own fold", lifted/bend.Degree)
	}
	if soft != "" {
		t.warn(1, "%s touches the %s as you pull past the angle: pull slowly, and no farther than there", h.p.faceName(softFace), soft)
	}
	return true
}

// apart asks that moving metal meets no held metal.
func (h *hold) apart(done uint64, t *trial) bool {
	soft := false
	for m := range h.p.elements {
		if h.routes[m].own || !h.routes[m].moving {
			continue
		}
		for s := range h.p.elements {
			if h.routes[s].own || h.routes[s].moving {
				continue
			}
			x := h.meeting(m, s, done)
			soft = soft || x.soft
			if x.meets {
				return h.stop(t, Block{Face: h.p.elements[m].face, Other: h.p.elements[s].face, With: Metal, At: x.at})
			}
		}
	}
	if soft {
		t.warn(1, "the flange touches the part itself as you pull past the angle: spring it clear")
	}
	return true
}

// stand chooses the fingers.
func (h *hold) stand(done uint64, t *trial) bool {
	var blocked, softly []Span
	face, widest, number := none, 0.0, "fingers"
	for e := range h.p.elements {
		if h.routes[e].own {
			continue
		}
		c := h.contact(e, done)
		blocked, softly = append(blocked, c.blocked...), append(softly, c.softly...)
		for _, s := range c.blocked {
			if cut := overlap(h.spans, s); cut > widest {
				widest, face, number = cut, h.p.elements[e].face, c.wall
			}
		}
	}
	blocked = merged(blocked)
	passes, most := bareEnd(h.p.t)
	var bare Span
	t.fingers, t.set, bare = h.p.rack.stand(h.spans, blocked, passes)
	if left := bare.To - bare.From; left > most+1e-6 || len(t.fingers) == 0 {
		return h.stop(t, Block{Face: face, Other: none, With: h.clamp(), Number: number, Got: left, Limit: most, Reason: BareEnd})
	}
	if wide := t.wide.with(t.fingers); wide > h.p.brake.Frames()+1e-6 {
		return h.stop(t, Block{Face: none, Other: none, With: Frames, Number: "between_frames", Got: wide, Limit: h.p.brake.Frames(), Reason: TooWide})
	}
	if left := bare.To - bare.From; left > passes+1e-6 {
		t.warn(1, "%.0f of the fold stay without a finger: dress them with a block", measure.Length(left))
	}
	for _, s := range merged(softly) {
		if touches(t.fingers, s) {
			t.warn(1, "metal touches a finger as you pull past the angle: pull slowly, and no farther than there")
			break
		}
	}
	return true
}

// overlap is how much of the folds a span covers.
func overlap(folds []Span, s Span) float64 {
	sum := 0.0
	for _, f := range folds {
		sum += max(0, min(f.To, s.To)-max(f.From, s.From))
	}
	return sum
}

// clamp is the tool that holds the sheet down, or presses it in.
func (h *hold) clamp() Tool {
	if h.p.brake.Kind == shop.BrakeVDie {
		return Punch
	}
	return Finger
}

// with is how long a stretch is with others, from end to end.
func (s Span) with(others []Span) float64 {
	for _, o := range others {
		s.From, s.To = min(s.From, o.From), max(s.To, o.To)
	}
	return s.To - s.From
}
