package brake

import (
	"math"
	"slices"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/shop"
)

// trial is what came of trying one stroke on one contour of the part.
type trial struct {
	ok       bool
	block    Block
	by       uint64 // operations that the block goes by: where all of them are done it stays
	fingers  []Span
	rows     []int // where each row of fingers that nothing parts ends
	set      uint64
	rating   float64
	warnings []warning
	wide     Span // of the whole piece along the machine
	weight   int  // of the warnings that count
}

// warning is what is to be minded in a stroke.
type warning struct {
	what warned
	face int     // that it is of; none where it is of no face
	tool Tool    // that it touches
	got  float64 // mm, or rad
	want float64 // mm
}

type warned uint8

const (
	roundEdge  warned = iota // the fingers' edge is rounder than the bend
	littleHeld               // less is held than should be
	overLeaf                 // flat metal lies over the leaf and gives way
	flapLifted               // the leaf lifts a flap
	touchTool                // in the over-bend
	touchItself
	bareEnds
	touchFinger
	newRadius // other fingers are needed
)

// counts tells how much a warning weighs in the choice of a plan.
func (w warned) counts() int {
	if w == overLeaf || w == flapLifted || w == newRadius {
		return 0
	}
	return 1
}

// tell puts warnings into words.
func (p *part) tell(warnings []warning) []measure.Text {
	var out []measure.Text
	for i := range warnings {
		out = append(out, p.warningWords(&warnings[i]))
	}
	return out
}

func (p *part) warningWords(w *warning) measure.Text {
	finger, fingers, pull := "a finger", "change or shim the fingers", "pull"
	if p.brake.Kind == shop.BrakeVDie {
		finger, fingers, pull = "the punch", "change the punch", "press"
	}
	switch w.what {
	case roundEdge:
		return measure.Say("the fingers' edge is round by %.3g, this bend's inside by %.3g: it comes out rounder, and the part smaller", measure.Length(w.got), measure.Length(w.want))
	case littleHeld:
		return measure.Say("only %.1f of %s is held: clamp hard, and see that it does not slip", measure.Length(w.got), p.faceName(w.face))
	case overLeaf:
		return measure.Say("metal that is held reaches %.1f over the leaf and gives way", measure.Length(w.got))
	case flapLifted:
		return measure.Say("the leaf lifts a flap that is not bent yet, by about %.0f°: it bends back with its own fold", w.got/bend.Degree)
	case touchTool:
		return measure.Say("%s touches the %s as you %s past the angle: %s slowly, and no farther than there", p.faceName(w.face), string(w.tool), pull, pull)
	case touchItself:
		return measure.Say("the flange touches the part itself as you %s past the angle: spring it clear", pull)
	case bareEnds:
		return measure.Say("%.0f of the fold stay without %s: dress them with a block", measure.Length(w.got), finger)
	case touchFinger:
		return measure.Say("metal touches %s as you %s past the angle: %s slowly, and no farther than there", finger, pull, pull)
	}
	return measure.Say("the inside radius changes to %.3g: %s", measure.Length(w.want), fingers)
}

// try tells whether a stroke can be done on the part as it is bent so far, and with what.
func (h *hold) try(done uint64) trial {
	t := h.static
	if !t.ok {
		return t
	}
	t.warnings = slices.Clip(t.warnings)
	t.ok = h.metal(done, &t) && h.apart(done, &t) && h.stand(done, &t) && h.ways(done, &t)
	return t
}

func (t *trial) warn(w warning) {
	t.warnings = append(t.warnings, w)
	t.weight += w.what.counts()
}

// stop notes what is in the way, and the operations that it goes by.
func (h *hold) stop(t *trial, by uint64, b Block) bool {
	b.Fold, b.Held = h.folds[0], h.held
	t.block, t.by = b, by
	return false
}

// all is every operation: what a block goes by that may be gone when another fold is bent.
const all = ^uint64(0)

const none = -1

// limits asks for angle, strength, length and the sheet's thickness.
func (h *hold) limits(t *trial) bool {
	b := h.p.brake
	if h.kind == Flatten || h.kind == StartHem {
		if h.p.t > b.HemThickness+1e-6 {
			return h.stop(t, 0, Block{Face: none, Other: none, With: Limit, Number: "hem_thickness", Got: h.p.t, Limit: b.HemThickness, Reason: ThickHem})
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
		return h.stop(t, 0, Block{Face: none, Other: none, With: Limit, Number: key, Got: h.to, Limit: h.p.steepest(), Reason: TooSteep})
	case h.p.t > float64(b.Over*b.Thickness)+1e-6:
		return h.stop(t, 0, Block{Face: none, Other: none, With: Limit, Number: "over", Got: h.p.t, Limit: float64(b.Over * b.Thickness), Reason: TooThick})
	case b.Length > 0 && span > b.Length+1e-6:
		return h.stop(t, 0, Block{Face: none, Other: none, With: Limit, Number: "length", Got: span, Limit: b.Length, Reason: TooLong})
	}
	if b.Length > 0 && b.Thickness > 0 {
		t.rating = float64(h.p.t*math.Sqrt(length/b.Length)) / b.Thickness
	}
	if t.rating > 1+1e-9 {
		return h.stop(t, 0, Block{Face: none, Other: none, With: Limit, Number: "thickness", Got: float64(t.rating * b.Thickness), Limit: b.Thickness, Reason: TooStrong})
	}
	if b.Kind == shop.BrakeLeaf && b.NoseRadius > h.k.r+0.1 && h.kind == Bend {
		t.warn(warning{what: roundEdge, face: none, got: b.NoseRadius, want: h.k.r})
	}
	return true
}

// flats asks for enough to hold and to move.
func (h *hold) flats(t *trial) bool {
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
					return h.stop(t, 0, Block{Face: side.face, Other: none, With: Die, Number: "openings", Got: side.flat, Limit: need, Reason: ShortMove})
				}
			}
			continue
		}
		switch {
		case hold < float64(b.HoldMin*2/3)-1e-6:
			return h.stop(t, 0, Block{Face: held, Other: none, With: Finger, Number: "hold_min", Got: hold, Limit: b.HoldMin, Reason: ShortHold})
		case hold < b.HoldMin-1e-6:
			t.warn(warning{what: littleHeld, face: held, got: hold})
		}
		if move < b.MoveMin-1e-6 && h.kind != Flatten {
			return h.stop(t, 0, Block{Face: moves, Other: none, With: Leaf, Number: "move_min", Got: move, Limit: b.MoveMin, Reason: ShortMove})
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
			return h.stop(t, h.routes[e].mask, Block{Face: h.p.elements[e].face, Other: none, With: c.tool, At: c.at, Number: c.number, Got: c.depth})
		}
		if h.walled(c.blocked) {
			_, most := bareEnd(h.p.t)
			return h.stop(t, h.routes[e].mask, Block{Face: h.p.elements[e].face, Other: none, With: h.clamp(), Number: c.wall, Got: h.spans[0].To - h.spans[0].From, Limit: most, Reason: BareEnd})
		}
		past, lifted = max(past, c.past), max(lifted, c.lifted)
		if c.soft != "" && soft == "" {
			soft, softFace = c.soft, h.p.elements[e].face
		}
	}
	t.wide = Span{lo, hi}
	if wide := hi - lo; wide > h.p.brake.Frames()+1e-6 {
		return h.stop(t, all, Block{Face: none, Other: none, With: Frames, Number: "between_frames", Got: wide, Limit: h.p.brake.Frames(), Reason: TooWide})
	}
	if past > 0 {
		t.warn(warning{what: overLeaf, face: none, got: past})
	}
	if lifted > 0 {
		t.warn(warning{what: flapLifted, face: none, got: lifted})
	}
	if soft != "" {
		t.warn(warning{what: touchTool, face: softFace, tool: soft})
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
				return h.stop(t, h.routes[m].mask|h.routes[s].mask, Block{Face: h.p.elements[m].face, Other: h.p.elements[s].face, With: Metal, At: x.at})
			}
		}
	}
	if soft {
		t.warn(warning{what: touchItself, face: none})
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
	t.fingers, t.rows, t.set, bare = h.p.rack.stand(h.spans, blocked, passes)
	if left := bare.To - bare.From; left > most+1e-6 || len(t.fingers) == 0 {
		return h.stop(t, all, Block{Face: face, Other: none, With: h.clamp(), Number: number, Got: left, Limit: most, Reason: BareEnd})
	}
	if wide := t.wide.with(t.fingers); wide > h.p.brake.Frames()+1e-6 {
		return h.stop(t, all, Block{Face: none, Other: none, With: Frames, Number: "between_frames", Got: wide, Limit: h.p.brake.Frames(), Reason: TooWide})
	}
	if left := bare.To - bare.From; left > passes+1e-6 {
		t.warn(warning{what: bareEnds, face: none, got: left})
	}
	for _, s := range merged(softly) {
		if touches(t.fingers, s) {
			t.warn(warning{what: touchFinger, face: none})
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
