package eval

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/value"
	"perch/parts/panel"
	"perch/parts/strength"
	"perch/parts/tipping"
)

const (
	// footing is the friction of a foot on a floor: typical, common practice, no source.
	footing = 0.3
	// carryMemory is how much an estimate's factors may take, bytes.
	carryMemory = 1 << 28
	// carrySteps is what an estimate costs, in steps of evaluation: about a second's.
	carrySteps = 200_000
)

// Carried is what loads that act together do to the whole piece, joins and all.
func (ev *evaluator) Carried(loads []*value.Load, at diag.Span) builtin.Carried {
	key := ""
	for _, l := range loads {
		key += fmt.Sprintf("%v %v %v %v %v %v;", l.Force, l.Across, l.Frame, l.Area, l.Spread, l.Stops)
	}
	if c, known := ev.carries[key]; known {
		return c
	}
	ev.Spend(at, carrySteps)
	parts, a := ev.assembled(at)
	of := map[*part]int{}
	flats := make([]*panel.Flat, len(parts))
	for i, p := range parts {
		of[p], flats[i] = i, p.flattened
	}
	c := strength.Case{Name: "load"}
	for _, l := range loads {
		i, made := of[l.On.(*face).part]
		if !made {
			ev.fail("P9002", at, "the load is on a part that is not made")
		}
		c.Loads = append(c.Loads, tipping.Load{Force: l.Force, Across: l.Across, Frame: l.Frame, Area: l.Area})
		c.On, c.Spread = append(c.On, i), append(c.Spread, l.Spread)
		c.Stops = c.Stops || l.Stops
	}
	got, err := strength.Measure(context.Background(), a, flats, c, strength.Options{Friction: footing, Memory: carryMemory, Supports: ev.supports(of), Metal: strength.MetalOf(ev.shop)})
	if err != nil {
		ev.uncarried(err, at)
	}
	out := builtin.Carried{Sag: got.Sag, Sway: got.Sway, Used: got.Used, Fastener: got.Fastener}
	ev.carries[key] = out
	return out
}

// assembled is the whole piece, put together for an estimate; what is wrong with its joins
// is told where the design is made.
func (ev *evaluator) assembled(at diag.Span) ([]*part, *panel.Assembly) {
	var parts []*part
	for _, d := range ev.prog.Root.Order {
		if d.Kind == check.Part {
			value.Each(ev.declared(d, at), func(v value.Value) { parts = append(parts, v.(*part)) })
		}
	}
	for _, p := range parts {
		ev.flat(p, at)
	}
	told, metals := ev.Reports, ev.metals
	ev.Reports, ev.metals = Reports{}, nil
	joins := ev.joins(parts)
	broken := ev.broken
	ev.Reports, ev.metals = told, metals
	if broken {
		ev.fail("P9011", at, "no strength can be told: a join comes to nothing")
	}
	a, _ := ev.assemble(parts, joins)
	return parts, a
}

// uncarried fails for what strength says of a piece or its loads.
func (ev *evaluator) uncarried(err error, at diag.Span) {
	var e *strength.Error
	if !errors.As(err, &e) {
		ev.fail("P9011", at, "no strength can be told: "+err.Error())
	}
	why := e.Reason.String()
	if len(e.Parts) > 0 {
		why += ": " + strings.Join(e.Parts, ", ")
	}
	switch e.Reason {
	case strength.Unheld:
		ev.fail("P9010", at, "no strength can be told: "+why, "join it, or state it loose where it is meant to lie free")
	case strength.OneLine:
		ev.fail("P9001", at, "no strength can be told: "+why, "give it feet that span an area, or say by what it hangs, such as: let wall = support(plate.top.hole)")
	case strength.NoPlace:
		ev.fail("P9002", at, why)
	}
	ev.fail("P9011", at, "no strength can be told: "+why)
}
