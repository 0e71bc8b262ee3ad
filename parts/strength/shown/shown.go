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
		say("  %s: %s", e.Case.Name, pushes(a, &e.Case))
		if e.Case.Assumed {
			say("    the design names no load, so this one is assumed; to state another, write: %s", Pasted(a))
		}
		say("    tips: %s", tips(e.Tips))
		if e.Problem != nil {
			say("    no more can be told: %s", problem(e.Problem))
			continue
		}
		racking := ""
		if e.Racking[1] > 0 {
			racking = fmt.Sprintf("; pushed sideways it gives a millimetre for each %s", forces(e.Racking))
		}
		say("    sags %s, sways %s%s", lengths(e.Sag), lengths(e.Sway), racking)
		say("    %s of the yield stress, on %s at %v", percent(e.Used), e.UsedBy, measure.Spot{X: e.UsedAt.X, Y: e.UsedAt.Y, Z: e.UsedAt.Z})
		if e.Dented > 0 {
			say("    it will dent and keep a set where yield is passed, %s of the metal: beyond that these numbers are no longer true", percent(e.Dented))
		}
		if e.Weakest != "" {
			say("    %s of a fastener's strength, at %s", percent(e.Fastener), e.Weakest)
		}
		say("    buckles at %s the load", times(e.Buckling))
		say("    %s", feet(e.Feet))
		if e.Stuck {
			say("    the feet are taken as held where they stand: how they slide was not found, and it may slide apart")
		}
		say("    finer triangles moved sag and sway by %s last", percent(e.Rough))
	}
	say("  %d nodes, sides of %v, %.0f MB", r.Nodes, measure.Length(math.Round(r.Side)), float64(r.Bytes)/1e6)
	return lines
}

// Pasted is the line by which a design states the load that is assumed of one without any.
func Pasted(a *panel.Assembly) string {
	c, f, _, ok := strength.Seat(a)
	if !ok {
		return ""
	}
	copied := a.Copies[c]
	return fmt.Sprintf("let sit = load(%.0fN, on: %s.%s)", strength.SeatForce, copied.Name, a.Blanks[copied.Blank].Flat.Faces[f].Name)
}

func pushes(a *panel.Assembly, c *strength.Case) string {
	var all []string
	for i, l := range c.Loads {
		s := fmt.Sprintf("%.0f N %s on %s", l.Force.Len(), toward(l.Force.X, l.Force.Y, l.Force.Z), a.Copies[c.On[i]].Name)
		if l.Across > 0 {
			s += fmt.Sprintf(" and %.0f N outward", l.Across)
		}
		all = append(all, s)
	}
	return strings.Join(all, ", ")
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

func times(factor float64) string {
	switch {
	case math.IsInf(factor, 1) || factor > 100:
		return "more than 100 times"
	case factor <= 1:
		return "less than"
	}
	return fmt.Sprintf("%.1f times", factor)
}

func percent(part float64) string {
	if part > 0 && part < 0.01 {
		return "less than 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*part)
}

func lengths(b strength.Band) measure.Text {
	lo, hi := round(b[0]), round(b[1])
	if lo == hi {
		return measure.Say("%v", measure.Length(lo))
	}
	return measure.Say("%v to %v", measure.Length(lo), measure.Length(hi))
}

// round keeps two digits, which is more than the model of the joints is worth.
func round(v float64) float64 {
	if v >= 10 {
		return math.Round(v)
	}
	return math.Round(v*10) / 10
}

func forces(b strength.Band) string {
	if math.Round(b[0]) == math.Round(b[1]) {
		return fmt.Sprintf("%.0f N", b[0])
	}
	return fmt.Sprintf("%.0f to %.0f N", b[0], b[1])
}

func feet(all []strength.Foot) string {
	var stands, lifted []string
	for _, f := range all {
		if f.Force > 0 {
			stands = append(stands, fmt.Sprintf("%s %.0f N", f.Copy, f.Force))
		} else {
			lifted = append(lifted, f.Copy)
		}
	}
	s := "the floor carries " + strings.Join(stands, ", ")
	if len(lifted) > 0 {
		s += "; off the floor: " + strings.Join(lifted, ", ")
	}
	return s
}

// problem is why a case came to nothing.
func problem(e *strength.Error) string {
	switch e.Reason {
	case strength.Tips:
		return "the piece falls over"
	case strength.Unsettled:
		return fmt.Sprintf("beyond %s of the load no state in balance was found: it slides away, folds up, or comes to rest where this does not follow", percent(e.Part))
	case strength.Moves:
		return strings.Join(e.Parts, ", ") + " can move freely: " + freedoms[e.Freedom]
	}
	return e.Reason.String()
}

// freedoms are those of a node, in shell's order.
var freedoms = [...]string{"to the right", "to the back", "upward", "about a line to the right", "about a line to the back", "about an upright line"}
