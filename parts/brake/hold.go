package brake

import (
	"math"
	"slices"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// hold is one way to do a stroke: which operations at once, and which side is clamped.
type hold struct {
	p         *part
	ops       uint64
	list      []int // the operations
	folds     []int
	kind      Op
	held      int    // face that is clamped: the first fold's
	heldA     bool   // it is the first fold's A
	heldSides []bool // by fold: its A is held
	from      float64
	to        float64
	over      float64 // what it is bent beyond that, to spring back
	k         *kinematics
	frame     solid.Frame // the flat to the machine at rest, with the held side flat on the bed
	drawnUp   bool
	flange    float64 // how deep what moves is at the fold, mm
	off       float64 // how far the stroke lies from the flat's middle, mm
	reach     Span    // where along the machine fingers may stand
	spans     []Span  // of the folds along the machine
	sight     [2]plane.Point
	routes    []route       // by element
	stands    [2][]standing // tools while a piece goes in or out: those that stand still, and fingers

	static   trial                 // as far as it is told by the stroke alone, whatever else is bent
	contacts []map[uint64]*contact // by element, by the angles on its route
	meetings map[pairKey]meeting
}

// route is how an element hangs on the side that it belongs to.
type route struct {
	moving bool
	own    bool // it is the strip that is being bent
	way    []crossing
	mask   uint64 // of the operations on the way, a strip's own included
}

// newHold sets a stroke up: its folds lie on one line, alike, and share the face that is
// clamped or, where moved is true, the one that moves.
//
// On a press it is done with one of its punches.
func newHold(p *part, list []int, heldA []bool, punch string) *hold {
	h := &hold{p: p, list: list, heldSides: heldA, meetings: map[pairKey]meeting{}}
	for _, o := range list {
		h.ops |= 1 << o
		h.folds = append(h.folds, p.ops[o].fold)
	}
	first := p.ops[list[0]]
	f := &p.flat.Folds[first.fold]
	h.kind, h.from, h.to, h.heldA = first.kind, first.from, first.to, heldA[0]
	b := p.brake
	b.Punch = punch
	h.k = newKinematics(b, f.Bend)
	h.held = f.A
	at, v := f.TangentA[0], f.To.Sub(f.From).Unit().Perp().Neg()
	if !h.heldA {
		h.held, at, v = f.B, f.TangentB[0], v.Neg()
	}
	h.drawnUp = !f.Down
	if h.kind == Flatten {
		sections := flattenSections
		if p.brake.Kind == shop.BrakeVDie {
			sections, h.k.opening = pressFlat, 0 // its sides do not swing up: it is pressed flat
		}
		h.k.sections = sections(p.brake, p.t, f.Bend.Radius, p.depth(h.folds[0], !h.heldA))
	}
	h.stands = h.k.stands()
	h.over = h.overBend(f.Bend)
	h.place(at, v, heldA)
	h.trace(heldA)
	for i, fold := range h.folds {
		h.flange = max(h.flange, p.depth(fold, !heldA[i]))
	}
	h.off = h.sight[0].Lerp(h.sight[1], 0.5).Dist(p.middle)
	h.contacts = make([]map[uint64]*contact, len(p.elements))
	h.static.ok = h.limits(&h.static) && h.flats(&h.static)
	return h
}

// overBend is what has to be bent beyond the angle: the estimated springback, at least
// 1.5° (common practice, no source), never past what the tools let it.
func (h *hold) overBend(b bend.Bend) float64 {
	if h.kind != Bend {
		return 0
	}
	over := 1.5 * bend.Degree
	if s, err := b.Springback(h.p.material.Yield, h.p.material.Modulus); err == nil {
		over = max(over, s.Angle-b.Angle)
	}
	return max(0, min(over, h.p.steepest()-h.to))
}

// place finds where the flat lies in the machine: held tangent at x = 0, the middle of the
// stroke at y = 0.
func (h *hold) place(at, v plane.Point, heldA []bool) {
	side := v.Perp() // along the machine
	z := 0.0
	if h.drawnUp {
		side, z = side.Neg(), h.p.t
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, fold := range h.folds {
		s := sight(&h.p.flat.Folds[fold], heldA[i], h.k.r)
		a, b := side.Dot(s[0]), side.Dot(s[1])
		span := Span{min(a, b), max(a, b)}
		h.spans = append(h.spans, span)
		lo, hi = min(lo, span.From), max(hi, span.To)
	}
	middle := float64((lo + hi) / 2)
	for i := range h.spans {
		h.spans[i].From -= middle
		h.spans[i].To -= middle
	}
	over := h.p.rack.widths[len(h.p.rack.widths)-1]
	h.reach = Span{lo - middle - over, hi - middle + over}
	slices.SortFunc(h.spans, func(a, b Span) int {
		if a.From < b.From {
			return -1
		}
		return 1
	})
	line := v.Dot(at) + h.k.r
	if h.p.brake.Kind == shop.BrakeVDie {
		line = v.Dot(at) + float64(h.k.ba/2)
	}
	for i, s := range [2]float64{lo, hi} {
		h.sight[i] = v.Scale(line).Add(side.Scale(s))
	}
	x, y := solid.Vec{X: -v.X, Y: side.X}, solid.Vec{X: -v.Y, Y: side.Y}
	h.frame = solid.Frame{X: x, Y: y, O: solid.Vec{X: v.Dot(at), Y: -middle, Z: z}}
}

// trace walks from the stroke's folds over both sides and notes how every element hangs on them.
func (h *hold) trace(heldA []bool) {
	h.routes = make([]route, len(h.p.elements))
	faces := len(h.p.flat.Faces)
	seen := make([]bool, faces)
	var walk func(face int, r route)
	walk = func(face int, r route) {
		if seen[face] {
			return
		}
		seen[face] = true
		h.routes[face] = r
		for _, fold := range h.p.joined[face] {
			if slices.Contains(h.folds, fold) {
				continue
			}
			f := &h.p.flat.Folds[fold]
			c := crossing{fold: fold, fromA: f.A == face}
			next := route{moving: r.moving, way: append(slices.Clone(r.way), c), mask: r.mask}
			for _, o := range h.p.opsOf[fold] {
				next.mask |= 1 << o
			}
			far := f.B
			if !c.fromA {
				far = f.A
			}
			if !seen[far] {
				h.routes[faces+fold] = next
				walk(far, next)
			}
		}
	}
	for i, fold := range h.folds {
		f := &h.p.flat.Folds[fold]
		a, b := route{moving: !heldA[i]}, route{moving: heldA[i]}
		h.routes[faces+fold] = route{own: true}
		walk(f.A, a)
		walk(f.B, b)
	}
}

// frameOf carries the machine's frame along a way, bent as the operations say that are done.
// The fold at index lift of the way is turned up by extra instead.
func (h *hold) frameOf(way []crossing, done uint64, lift int, extra float64) solid.Frame {
	frame := h.frame
	for i, c := range way {
		if i == lift {
			// towards the machine's up: on the drawn side where that lies up
			frame = h.p.over(frame, c, extra, frame.Normal().Z < 0)
			continue
		}
		frame = h.p.over(frame, c, h.p.angle(c.fold, done), h.p.flat.Folds[c.fold].Down)
	}
	return frame
}

// bodies are an element's pieces where it lies at rest.
func (h *hold) bodies(element int, done uint64, lift int, extra float64) []body {
	e, r := &h.p.elements[element], &h.routes[element]
	axis := h.k.axis()
	if e.fold < 0 {
		return flatBodies(e, h.frameOf(r.way, done, lift, extra), h.p.t, axis)
	}
	last := len(r.way) - 1
	c := r.way[last]
	f := &h.p.flat.Folds[c.fold]
	angle, down := h.p.angle(c.fold, done), f.Down
	frame := h.frameOf(r.way[:last], done, lift, extra)
	if lift == last {
		angle, down = extra, frame.Normal().Z < 0
	}
	if angle == 0 {
		return flatBodies(e, frame, h.p.t, axis)
	}
	v, at := f.To.Sub(f.From).Unit().Perp().Neg(), f.TangentA[0]
	if !c.fromA {
		v, at = v.Neg(), f.TangentB[0]
	}
	m := newTurning(frame, at, v, f.Bend, down)
	return bentBodies(e, &m, f, v, angle, h.p.t, down, axis)
}
