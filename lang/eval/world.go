package eval

import (
	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/value"
	"perch/parts/brake"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record"
	"perch/parts/shop"
)

// The evaluator is the world that functions of the language ask.
var _ builtin.World = (*evaluator)(nil)

func (ev *evaluator) Shop() *shop.Shop { return ev.shop }

// Measuring notes that a function measures what was made; before every param has its
// value there is nothing to measure.
func (ev *evaluator) Measuring(function string, at diag.Span) {
	if !ev.settled {
		ev.fail("P3008", at, function+" measures what is made, and that needs every value first")
	}
	ev.measured++
}

// Parts are all parts of the design.
func (ev *evaluator) Parts(at diag.Span) []value.Value {
	var out []value.Value
	for _, d := range ev.prog.Root.Order {
		if d.Kind == check.Part {
			value.Each(ev.declared(d, at), func(v value.Value) { out = append(out, v) })
		}
	}
	return out
}

// Metal is a face as it is drawn, less its cuts.
func (ev *evaluator) Metal(f builtin.Face) plane.Region { return ev.metal(f.(*face)) }

// Measured is what a part's flat comes to.
func (ev *evaluator) Measured(p builtin.Part, at diag.Span) builtin.Measured {
	m := record.Measure(ev.flat(p.(*part), at))
	return builtin.Measured{Mass: m.Mass, Area: m.Area, Long: max(m.Width, m.Height), Wide: min(m.Width, m.Height)}
}

// Clearance is the least distance of two parts or two faces.
func (ev *evaluator) Clearance(a, b value.Value, at diag.Span) float64 {
	if f, ok := a.(*face); ok {
		g := b.(*face)
		return ev.gap(gap{ev.flat(f.part, at), ev.flat(g.part, at), f.index, g.index})
	}
	return ev.gap(gap{ev.flat(a.(*part), at), ev.flat(b.(*part), at), -1, -1})
}

// Flats are parts where they stand.
func (ev *evaluator) Flats(parts []builtin.Part, at diag.Span) []*panel.Flat {
	flats := make([]*panel.Flat, len(parts))
	corners := 0
	for i, p := range parts {
		flats[i] = ev.flat(p.(*part), at)
		corners += len(flats[i].Outer)
	}
	ev.Spend(at, corners)
	return flats
}

// Unbent is how many folds of a part the shop's brake leaves unbent, whatever the order.
func (ev *evaluator) Unbent(p builtin.Part, at diag.Span) int {
	flat := ev.flat(p.(*part), at)
	n, known := ev.unbent[flat]
	if !known {
		plan := brake.Recall(flat, ev.Shop()).First(flat)
		ev.Spend(at, stepsPerState*plan.States)
		n = plan.Unbent()
		ev.unbent[flat] = n
	}
	return n
}

// stepsPerState is what a set of folds that a plan of bends looks at counts as, in steps of evaluation.
const stepsPerState = 100

// gap is two flats, or faces of them, whose clearance is asked for; −1 for the whole flat.
type gap struct {
	a, b         *panel.Flat
	aFace, bFace int
}

// gap works a clearance out once.
func (ev *evaluator) gap(g gap) float64 {
	d, known := ev.gaps[g]
	switch {
	case known:
	case g.aFace < 0:
		d = panel.Clearance(g.a, g.b)
	default:
		d = panel.FaceClearance(g.a, g.aFace, g.b, g.bFace)
	}
	ev.gaps[g] = d
	return d
}
