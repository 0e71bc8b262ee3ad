package brake

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/parts/bend"
	"perch/parts/measure"
)

// StopAngle is the angle to pull to as it is said at the brake: in whole or half degrees.
func (s *Step) StopAngle() float64 { return math.Round(s.Stop/bend.Degree*2) / 2 }

// Tell are a plan's lines for a person at the brake, in a system of units. Left and right are
// the operator's, who stands in front of the leaf.
func (p *Plan) Tell(in measure.System) []string {
	var out []string
	for i := range p.Steps {
		out = append(out, p.tellStep(i, in)...)
	}
	r := p.Refused
	if r == nil {
		if p.Unproved {
			out = append(out, "this works; whether another order takes fewer turnings or changes of fingers was not looked at to the end.")
		}
		return out
	}
	switch {
	case r.Bound:
		out = append(out, "no plan was found before the search was given up; there may be one.")
	case len(p.Steps) == 0:
		out = append(out, "it can't be bent on this brake:")
	default:
		out = append(out, "so far it goes; then it can't be bent any further on this brake, nor in any other order:")
	}
	for _, b := range r.Next {
		out = append(out, fmt.Sprintf("  %s: %s", p.names.Fold(b.Fold), p.Words(b).In(in)))
	}
	return append(out, "what would help: "+r.Help.In(in))
}

// Press tells that it is for a V die, of which other words are said than of a leaf.
func (p *Plan) Press() bool { return p.press }

func (p *Plan) tellStep(i int, in measure.System) []string {
	s := &p.Steps[i]
	folds := make([]string, len(s.Folds))
	for k, f := range s.Folds {
		folds[k] = p.names.Fold(f)
	}
	what := fmt.Sprintf("bend %s", strings.Join(folds, " and "))
	switch s.Op {
	case StartHem:
		what = "start the hem " + strings.Join(folds, " and ")
	case Flatten:
		how := "open the clamp, push the hem under the fingers, close it down on it"
		if p.press {
			how = "flat tools in place of punch and die, the hem between them, press it closed"
		}
		return p.noted([]string{
			fmt.Sprintf("%2d. flatten the hem %s: %s", i+1, strings.Join(folds, " and "), how),
			"    why now: " + s.Why.In(in)}, s, in)
	}
	drawn := "down"
	if s.DrawnUp {
		drawn = "up"
	}
	at := "set the nicks"
	if s.Line.Distance > 0 {
		at = fmt.Sprintf("set the line, %s from %s,", measure.Say("%.1f", measure.Length(s.Line.Distance)).In(in), s.Line.From)
	}
	first := fmt.Sprintf("%2d. %s: hold %s, drawn side %s; %s under the fingers' edge", i+1, what, p.names.Face(s.Held), drawn, at)
	pull, tools := "pull", "fingers"
	if p.press {
		first = fmt.Sprintf("%2d. %s: %s to the back, drawn side %s; %s under the punch", i+1, what, p.names.Face(s.Held), drawn, at)
		pull, tools = "press", "pieces of the "+s.Punch+" punch"
	}
	lines := []string{first,
		fmt.Sprintf("    turn it %s°: %s to about %s°, let go and measure; %s from the left: %s", angle(s.Turned/bend.Degree), pull, angle(s.StopAngle()), tools, widths(s.Fingers, in)),
		fmt.Sprintf("    %.0f %% of the brake's rating; why now: %s", s.Rating*100, s.Why.In(in)),
	}
	return p.noted(lines, s, in)
}

// noted adds a step's warnings.
func (p *Plan) noted(lines []string, s *Step, in measure.System) []string {
	for _, w := range s.Warnings {
		lines = append(lines, "    mind: "+w.In(in))
	}
	return lines
}

func angle(x float64) string { return fmt.Sprintf("%.5g", math.Round(x*10)/10) }

// Order are the folds that the plan bends, in its order, each once.
func (p *Plan) Order() []int {
	var out []int
	for i := range p.Steps {
		for _, f := range p.Steps[i].Folds {
			if !slices.Contains(out, f) {
				out = append(out, f)
			}
		}
	}
	return out
}

// FingersFrom lists a step's fingers as the operator sees them, from the left.
func (s *Step) FingersFrom(in measure.System) string { return widths(s.Fingers, in) }

// widths lists fingers as the operator sees them, like ones counted: 25, 3 × 100.
func widths(fingers []Span, in measure.System) string {
	var out []string
	for i := len(fingers) - 1; i >= 0; {
		n := 1
		w := func(k int) float64 { return math.Round((fingers[k].To-fingers[k].From)*10) / 10 }
		for i-n >= 0 && w(i-n) == w(i) {
			n++
		}
		text := measure.Say("%.4g", measure.Length(w(i))).In(in)
		if n > 1 {
			text = fmt.Sprintf("%d × %s", n, text)
		}
		out = append(out, text)
		i -= n
	}
	return strings.Join(out, ", ")
}
