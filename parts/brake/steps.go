package brake

import (
	"math"
	"slices"

	"perch/parts/plane"
)

// steps says what each move is.
func (f *finder) steps(moves []move) []Step {
	var out []Step
	for n, m := range moves {
		h, t := f.holds[m.hold], f.try(m.hold, m.from)
		s := Step{
			Op: h.kind, Folds: slices.Clone(h.folds), Held: h.held, HeldA: h.heldA, DrawnUp: h.drawnUp,
			Turned: h.to - h.from, Stop: h.to + h.over, Radius: h.k.r, Punch: h.k.brake.Punch, Sight: h.sight, Line: h.line(m.from),
			Fingers: t.fingers, Rating: t.rating, Warnings: f.p.tell(t.warnings), contour: m.from,
		}
		if n > 0 && math.Abs(f.holds[moves[n-1].hold].k.r-h.k.r) > 1e-6 && h.kind == Bend {
			s.Warnings = append(s.Warnings, f.p.warningWords(&warning{what: newRadius, face: none, want: h.k.r}))
		}
		out = append(out, s)
	}
	return out
}

// line finds an edge that runs along the sight line, to measure from: the flange's free edge
// where there is one, else one of the held side; else the nicks.
func (h *hold) line(done uint64) Line {
	dir := h.sight[1].Sub(h.sight[0]).Unit()
	f := &h.p.flat.Folds[h.folds[0]]
	moves := f.B
	if !h.heldA {
		moves = f.A
	}
	for _, face := range [2]int{moves, h.held} {
		most := 0.0
		loop := h.p.flat.Faces[face].Loop
		for i := range loop {
			e := loop.Edge(i)
			if !e.Straight() || e.Chord() < 5 || math.Abs(e.To.Sub(e.From).Unit().Cross(dir)) > 1e-4 || h.onFold(face, e) {
				continue
			}
			most = max(most, math.Abs(dir.Cross(e.From.Sub(h.sight[0]))))
		}
		if most > 0 {
			return Line{From: "the free edge of " + h.p.faceName(face), Distance: most}
		}
	}
	return Line{From: "the nicks"}
}

// onFold tells whether an edge of a face is a fold's tangent line.
func (h *hold) onFold(face int, e plane.Edge) bool {
	for _, i := range h.p.joined[face] {
		f := &h.p.flat.Folds[i]
		line := f.TangentA
		if f.B == face {
			line = f.TangentB
		}
		t := plane.Edge{From: line[0], To: line[1]}
		if t.Nearest(e.Mid()).Near(e.Mid(), 1e-3) {
			return true
		}
	}
	return false
}
