// Package shown writes what a piece's strength was estimated to be: lines for a person, a
// record for programs, and a picture of the piece as it gives way. It computes nothing, and
// says of every number that it is an estimate.
package shown

import (
	"fmt"
	"math"
	"strings"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/strength"
)

// Estimate is the first line of whatever tells of strength.
const Estimate = "an estimate: elastic and static, of new metal as drawn, joints between rigid and loose; it says of nothing that it is safe"

// Caution is the last of them.
const Caution = "welds are taken as sound, fasteners' strengths are typical ones from memory; impact, fatigue, wear, heat and set are left out\n" +
	"prove the piece by a test load, with nobody near or under it; where the public uses it follow the local code and licensed practice"

// Lines tell of a size's estimates, in the reader's units.
func Lines(a *panel.Assembly, r *strength.Report, in measure.System) (lines []string) {
	say := func(format string, args ...any) { lines = append(lines, measure.Say(format, args...).In(in)) }
	size := a.Design
	if a.Size != "" {
		size += ", size " + a.Size
	}
	say("%s", size)
	for i := range r.Estimates {
		e := &r.Estimates[i]
		say("  %s: %s", e.Case.Name, Pushes(a, &e.Case))
		if e.Case.Assumed {
			say("    the design names no load, so this one is assumed%s", stated(&e.Case))
		}
		if e.Held == nil {
			say("    tips: %s%s", tips(e.Tips), over(e))
		}
		if e.Problem != nil {
			say("    no more can be told: %s", Problem(e.Problem))
			continue
		}
		racking := measure.Text{}
		if e.Folds {
			racking = measure.Plain("; it does not stand like this: the least push sideways folds it")
		}
		if e.Racking[1] > 0 {
			racking = measure.Say("; against a push sideways there it stands with %s", Stiffness(e.Racking))
		}
		say("    sags %s, sways %s%s", Lengths(e.Sag), Lengths(e.Sway), racking)
		say("    %s of the yield stress, on %s at %.3g", Percent(e.Used), e.UsedBy, measure.Spot{X: e.UsedAt.X, Y: e.UsedAt.Y, Z: e.UsedAt.Z})
		if e.Dented > 0 {
			say("    it will dent and keep a set where yield is passed, %s of the metal: beyond that these numbers are no longer true", Percent(e.Dented))
		}
		if e.Weakest != "" {
			say("    %s of a fastener's strength, at %s", Percent(e.Fastener), e.Weakest)
		}
		say("    buckles at %s the load", times(e.Buckling))
		for _, line := range held(e.Held) {
			say("    %s", line)
		}
		if len(e.Feet) > 0 {
			say("    %s", feet(e.Feet))
		}
		if e.Stuck {
			say("    the feet are taken as held where they stand: how they slide was not found, and it may slide apart")
		}
		say("    finer triangles moved sag and sway by %s last%s", Percent(e.Rough), doubt(e.Rough))
	}
	for _, line := range helps(r) {
		say("  %s", line)
	}
	say("  %d nodes, sides of %.2g, %.0f MB", r.Nodes, measure.Length(r.Side), float64(r.Bytes)/1e6)
	return lines
}

// doubt is what to think of an answer that finer triangles still move.
func doubt(rough float64) string {
	const much = 0.05
	if rough <= much {
		return ""
	}
	return ": take them for no closer than that"
}

// stated is how a design would state the load that is assumed.
func stated(c *strength.Case) string {
	if c.Line == "" {
		return ""
	}
	return "; to state it, or another, write: " + c.Line
}

// over tells the line of feet that a piece tips about.
func over(e *strength.Estimate) measure.Text {
	if math.IsInf(e.Tips, 1) || e.Line[0] == e.Line[1] {
		return measure.Text{}
	}
	return measure.Say(", over the line of feet from %.3g to %.3g", measure.Place{X: e.Line[0].X, Y: e.Line[0].Y}, measure.Place{X: e.Line[1].X, Y: e.Line[1].Y})
}

// Pushes tells what a case's loads push and where.
func Pushes(a *panel.Assembly, c *strength.Case) measure.Text {
	text := measure.Text{}
	for i, l := range c.Loads {
		one := measure.Say("%.3g %s on %s", measure.Force(l.Force.Len()), toward(l.Force.X, l.Force.Y, l.Force.Z), a.Copies[c.On[i]].Name)
		if len(l.Area) > 0 {
			one = measure.Say("%s, where it tips soonest", one)
		}
		if l.Across > 0 {
			one = measure.Say("%s, and %.3g outward", one, measure.Force(l.Across))
		}
		if i == 0 {
			text = one
		} else {
			text = measure.Say("%s; %s", text, one)
		}
	}
	return text
}

func toward(x, y, z float64) string {
	switch {
	case z < 0 && -z > math.Abs(x)+math.Abs(y):
		return "down"
	case z > math.Abs(x)+math.Abs(y):
		return "up"
	case math.Abs(x) >= math.Abs(y) && x > 0:
		return "right"
	case math.Abs(x) >= math.Abs(y):
		return "left"
	case y > 0:
		return "back"
	}
	return "front"
}

func tips(factor float64) string {
	switch {
	case math.IsInf(factor, 1):
		return "never under this load"
	case factor < 1:
		return fmt.Sprintf("at %.2f times the load: it falls over", factor)
	}
	return fmt.Sprintf("at %.2f times the load", factor)
}

// Times is a factor on its own: never, or so many times.
func Times(factor float64) string {
	switch {
	case math.IsInf(factor, 1):
		return "never"
	case factor > 100:
		return "over 100 ×"
	}
	return fmt.Sprintf("%.1f ×", factor)
}

func times(factor float64) string {
	switch {
	case math.IsInf(factor, 1) || factor > 100:
		return "more than 100 times"
	case factor <= 1:
		return "less than"
	}
	return fmt.Sprintf("%.1f times", factor)
}

// Percent is a part of one.
func Percent(part float64) string {
	if part > 0 && part < 0.01 {
		return "less than 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*part)
}

// Span is a quantity from rigid joints to loose ones in two digits, which is more than the
// model of the joints is worth: one number where both read alike.
type Span struct {
	band strength.Band
	of   func(float64) any // the measure of a value
	unit func(measure.System) float64
}

// In writes it in a system.
func (b Span) In(s measure.System) string {
	unit := b.unit(s)
	lo, hi := measure.Say("%.2g", b.of(twoDigits(b.band[0]/unit)*unit)).In(s), measure.Say("%.2g", b.of(twoDigits(b.band[1]/unit)*unit)).In(s)
	if lo == hi {
		return lo
	}
	return measure.Say("%#.2g", b.of(twoDigits(b.band[0]/unit)*unit)).In(s) + " to " + hi
}

func twoDigits(v float64) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	k := 1.0
	for math.Abs(v)*k < 10 {
		k *= 10
	}
	for math.Abs(v)*k >= 100 {
		k /= 10
	}
	return math.Round(v*k) / k
}

// Lengths are movements; one below a hundredth of a millimetre is none.
func Lengths(b strength.Band) Span {
	for i, v := range b {
		b[i] = math.Round(v*100) / 100
	}
	return Span{b, func(v float64) any { return measure.Length(v) }, measure.System.Scale}
}

// Stiffness is that against a push sideways.
func Stiffness(b strength.Band) Span {
	return Span{b, func(v float64) any { return measure.Stiffness(v) }, measure.System.StiffnessScale}
}

func feet(all []strength.Foot) measure.Text {
	text, lifted := measure.Plain("the floor carries"), ""
	first := true
	for _, f := range all {
		switch {
		case f.Force <= 0 && lifted == "":
			lifted = "; off the floor: " + f.Copy
		case f.Force <= 0:
			lifted += ", " + f.Copy
		case first:
			text, first = measure.Say("%s %s %.3g", text, f.Copy, measure.Force(f.Force)), false
		default:
			text = measure.Say("%s, %s %.3g", text, f.Copy, measure.Force(f.Force))
		}
	}
	return measure.Say("%s%s", text, lifted)
}

// Problem is why a case came to nothing.
func Problem(e *strength.Error) string {
	switch e.Reason {
	case strength.Tips:
		return "the piece falls over"
	case strength.Unsettled:
		return fmt.Sprintf("beyond %s of the load no state in balance was found: it slides away, folds up, or comes to rest where this does not follow", Percent(e.Part))
	case strength.Moves:
		return strings.Join(e.Parts, ", ") + " can move freely: " + freedoms[e.Freedom]
	}
	return e.Reason.String()
}

// freedoms are those of a node, in shell's order.
var freedoms = [...]string{"to the right", "to the back", "upward", "about a line to the right", "about a line to the back", "about an upright line"}
