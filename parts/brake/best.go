package brake

import (
	"math"
	"math/bits"
	"slices"

	"perch/parts/measure"
	"perch/parts/plane"
)

// cost orders plans that work: warnings that count, then turnings over and end for end, then
// changes of fingers, then flanges that wait although they are short, and those farther out.
type cost struct {
	warnings, turnings, changes int
	wait                        float64
}

func (c cost) less(d cost) bool {
	switch {
	case c.warnings != d.warnings:
		return c.warnings < d.warnings
	case c.turnings != d.turnings:
		return c.turnings < d.turnings
	case c.changes != d.changes:
		return c.changes < d.changes
	}
	return c.wait < d.wait-1e-9
}

// beginning is the start of a plan: the last of its moves, and the beginning before it.
type beginning struct {
	done   uint64
	last   int // hold; −1 at the start
	set    uint64
	before *beginning
	cost   cost
}

// best is the cheapest plan: beginnings are grown operation by operation, of those that have the
// same folds done and end alike the cheapest is kept, and of one length no more than beamWidth.
func (f *finder) best() []Step {
	layers := make([][]*beginning, len(f.p.ops)+1)
	layers[0] = []*beginning{{last: none}}
	for n := range layers {
		layers[n] = f.thinned(layers[n])
		for _, b := range layers[n] {
			if n == len(f.p.ops) {
				break
			}
			for i, h := range f.holds {
				if !f.can(h, b.done) || f.dead[b.done|h.ops] {
					continue
				}
				if t := f.try(i, b.done); t.ok {
					k := n + len(h.list)
					layers[k] = append(layers[k], f.grow(b, i, t))
				}
			}
		}
	}
	end := layers[len(f.p.ops)]
	if len(end) == 0 {
		return f.steps(f.first())
	}
	var moves []move
	for b := end[0]; b.before != nil; b = b.before {
		moves = append(moves, move{b.last, b.before.done})
	}
	slices.Reverse(moves)
	return f.steps(moves)
}

// first is the plan that the search found first.
func (f *finder) first() []move {
	var moves []move
	for done := uint64(0); done != f.all; {
		for _, i := range f.ordered(done) {
			if next := done | f.holds[i].ops; f.alive[next] && f.try(i, done).ok {
				moves = append(moves, move{i, done})
				done = next
				break
			}
		}
	}
	return moves
}

// thinned keeps of beginnings that have the same done and end alike the cheapest, and of
// all the cheapest beamWidth, in an order that is the same every time.
func (f *finder) thinned(all []*beginning) []*beginning {
	type key struct {
		done uint64
		last int
	}
	at := map[key]int{}
	var out []*beginning
	for _, b := range all {
		k := key{b.done, b.last}
		if i, ok := at[k]; !ok {
			at[k] = len(out)
			out = append(out, b)
		} else if b.cost.less(out[i].cost) {
			out[i] = b
		}
	}
	slices.SortStableFunc(out, func(a, b *beginning) int {
		switch {
		case a.cost.less(b.cost):
			return -1
		case b.cost.less(a.cost):
			return 1
		}
		return 0
	})
	return out[:min(len(out), beamWidth)]
}

// grow adds a move.
func (f *finder) grow(b *beginning, i int, t trial) *beginning {
	h := f.holds[i]
	out := &beginning{done: b.done | h.ops, last: i, set: t.set, before: b, cost: b.cost}
	out.cost.warnings += t.weight
	if b.last >= 0 {
		g := f.holds[b.last]
		if g.drawnUp != h.drawnUp {
			out.cost.turnings++
		}
		if !sameBack(g, h) {
			out.cost.turnings++
		}
		if b.set != t.set || math.Abs(g.k.r-h.k.r) > 1e-6 {
			out.cost.changes++
		}
	}
	left := len(f.p.ops) - bits.OnesCount64(b.done)
	// Each stroke weighs its flange by how much is still to come: short ones early, inner ones
	// a little before others.
	out.cost.wait += float64(float64(left) * (h.flange + float64(1e-3*h.off)))
	return out
}

// steps says what each move is.
func (f *finder) steps(moves []move) []Step {
	var out []Step
	for n, m := range moves {
		h, t := f.holds[m.hold], f.try(m.hold, m.from)
		s := Step{
			Op: h.kind, Folds: slices.Clone(h.folds), Held: h.held, HeldA: h.heldA, DrawnUp: h.drawnUp,
			Turned: h.to - h.from, Stop: h.to + h.over, Radius: h.k.r, Sight: h.sight, Line: h.line(m.from),
			Fingers: t.fingers, Rating: t.rating, Warnings: t.warnings, contour: m.from,
		}
		if n > 0 && math.Abs(f.holds[moves[n-1].hold].k.r-h.k.r) > 1e-6 && h.kind == Bend {
			s.Warnings = append(s.Warnings, measure.Say("the inside radius changes to %.3g: change or shim the fingers", measure.Length(h.k.r)))
		}
		if s.Why = measure.Plain("as far as it goes"); moves[len(moves)-1].from|f.holds[moves[len(moves)-1].hold].ops == f.all {
			s.Why = f.why(moves, n)
		}
		out = append(out, s)
	}
	return out
}

// why tells what speaks for doing this now.
func (f *finder) why(moves []move, n int) measure.Text {
	m := moves[n]
	h := f.holds[m.hold]
	if h.kind == Flatten {
		return measure.Plain("while nothing stands in the way of pressing it flat")
	}
	others, after := false, none
	for i, g := range f.holds {
		if g.ops&h.ops != 0 || !f.can(g, m.from) {
			continue
		}
		if f.try(i, m.from).ok && !f.dead[m.from|g.ops] {
			others = true
		}
	}
	if !others && n < len(moves)-1 {
		return measure.Plain("nothing else can be bent now, or it would leave no way to bend the rest")
	}
	// What comes later and would stop this one.
	for _, later := range moves[n+1:] {
		g := f.holds[later.hold]
		if !f.can(g, m.from) || !f.try(later.hold, m.from).ok {
			continue
		}
		stopped := true
		for i, x := range f.holds {
			if x.ops == h.ops && f.can(x, m.from|g.ops) && f.try(i, m.from|g.ops).ok {
				stopped = false
			}
		}
		if stopped {
			after = g.folds[0]
			break
		}
	}
	switch {
	case after != none:
		return measure.Say("before %s, which would be in the way", f.p.names.Fold(after))
	case len(h.folds) > 1:
		return measure.Plain("folds on one line, bent in one stroke")
	case n > 0 && f.sameWay(f.holds[moves[n-1].hold], h):
		return measure.Plain("as the piece lies, without turning it")
	case n == len(moves)-1:
		return measure.Plain("the last")
	}
	return measure.Plain("short flanges first")
}

// sameWay tells whether the piece lies the same way round for two holds.
func (f *finder) sameWay(g, h *hold) bool {
	return g.drawnUp == h.drawnUp && sameBack(g, h)
}

// sameBack tells whether the same direction of the flat points to the machine's back.
func sameBack(g, h *hold) bool {
	return float64(g.frame.X.X*h.frame.X.X)+float64(g.frame.Y.X*h.frame.Y.X) > 1-1e-9
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
