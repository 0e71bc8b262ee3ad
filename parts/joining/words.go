package joining

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shop"
)

// Line is a sentence of a plan, indented below the step that it belongs to.
type Line struct {
	Step int // from 1; 0 before and behind the steps
	Text measure.Text
}

// Words says a plan in sentences: what is done while blanks are flat, the steps, what is
// out of reach.
func (p Plan) Words(a *panel.Assembly) []Line {
	t := teller{a: a}
	for _, f := range p.Flat {
		t.flat(f)
	}
	for k := range p.Steps {
		t.step(k+1, &p.Steps[k])
	}
	t.number = 0
	for _, u := range p.Unreached {
		t.say(u.Text(a))
	}
	if p.Stopped {
		t.say(measure.Plain("So much metal is too much to compare with every tool: some may be out of reach all the same."))
	}
	if len(p.Steps) > 0 {
		t.say(measure.Plain("Eyes and ears covered at drill and hammer; clamp before you drill, no gloves at a turning drill; fire watch after a weld. Dry-fit every step before the first fastener."))
	}
	return t.lines
}

type teller struct {
	a      *panel.Assembly
	number int
	lines  []Line
}

func (t *teller) say(text measure.Text) { t.lines = append(t.lines, Line{t.number, text}) }

// names lists parts, the first few of many.
func (t *teller) names(parts []int) string {
	const most = 12
	var out []string
	for _, p := range parts[:min(len(parts), most)] {
		out = append(out, t.a.Copies[p].Name)
	}
	if more := len(parts) - most; more > 0 {
		out = append(out, fmt.Sprintf("%d more", more))
	}
	return listed(out)
}

func listed(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// flat says what is done to a blank before it is bent.
func (t *teller) flat(f FlatWork) {
	b := t.a.Blanks[f.Blank]
	var does []string
	if len(f.Drills) > 0 {
		var holes []measure.Text
		for _, d := range f.Drills {
			holes = append(holes, measure.Say("%d of %.3g", d.Count, measure.Nominal(d.Diameter)))
		}
		text := holes[0]
		for _, h := range holes[1:] {
			text = measure.Say("%v, %v", text, h)
		}
		t.say(measure.Say("While %s is flat: dross and burrs off; drill %v%s", b.Name, text, flatEnd(f)))
		return
	}
	if len(does) == 0 && f.Beads == 0 && f.Cut == 0 {
		t.say(measure.Plain(fmt.Sprintf("While %s is flat: dross and burrs off.", b.Name)))
		return
	}
	t.say(measure.Plain(fmt.Sprintf("While %s is flat: dross and burrs off%s", b.Name, flatEnd(f))))
}

// flatEnd says what is done with beads.
func flatEnd(f FlatWork) string {
	switch {
	case f.Beads == 0:
		return "."
	case f.Bends == 0:
		return fmt.Sprintf("; roll %s, then flatten the curl that rolling leaves.", measure.Counted(f.Beads, "bead"))
	}
	return fmt.Sprintf("; roll %s, and bend the curl that rolling leaves out before the first bend.", measure.Counted(f.Beads, "bead"))
}

// step says one step.
func (t *teller) step(number int, s *Step) {
	t.number = number
	parts := t.names(s.Parts)
	switch {
	case s.Loose:
		t.say(measure.Plain("Lay " + parts + " in place: nothing fastens " + map[bool]string{true: "it", false: "them"}[len(s.Parts) == 1] + "."))
	case len(s.Onto) == 0 && len(s.Fasteners)+len(s.Tacks)+len(s.Welds) == 0:
		t.say(measure.Plain("Lay " + parts + " in place for the next step."))
	case len(s.Onto) == 0:
		t.say(measure.Plain("Close the seams of " + parts + "."))
	case s.Sets > 1:
		t.say(measure.Plain(fmt.Sprintf("%d times alike: put %s onto %s.", s.Sets, parts, t.names(s.Onto))))
	default:
		t.say(measure.Plain("Put " + parts + " onto " + t.names(s.Onto) + "."))
	}
	t.holds(s)
	if len(s.Tacks) > 0 {
		t.say(measure.Plain("Tack, opposite ends first: " + t.joins(s.Tacks, ordered) + "."))
	}
	if len(s.Welds) > 0 {
		t.say(measure.Plain("Weld in this order, so that heat spreads: " + t.joins(s.Welds, ordered) + "."))
	}
	for _, d := range s.Drills {
		t.say(measure.Say("Drill in place, from the head's side through the holes that are there: %s of %.3g. Burrs off, chips out from between.", measure.Counted(d.Count, "hole"), measure.Nominal(d.Diameter)))
	}
	for _, f := range s.Fasteners {
		t.say(f.Text(t.a))
	}
}

// holds says how parts are held: what is alike for several pairs at once.
func (t *teller) holds(s *Step) {
	if len(s.Holds) == 0 || len(s.Drills) == 0 && len(s.Tacks) == 0 && len(s.Welds) == 0 {
		return
	}
	clamps := 0
	var pins []int
	for _, h := range s.Holds {
		clamps += h.Clamps
		for _, i := range h.Pins {
			if !slices.Contains(pins, i) {
				pins = append(pins, i)
			}
		}
	}
	if len(pins) > 0 {
		t.say(measure.Plain("Pin the holes that locate: " + t.joins(pins, "") + "."))
	}
	t.say(measure.Plain("Clamp: " + measure.Counted(clamps, "clamp") + " in all."))
	if len(s.TackAt) > 0 {
		t.say(measure.Plain("Tack at the nearest edge beside these, in this order, zinc and paint off first, and before the first hole: " + t.joins(s.TackAt, ordered) + "."))
	}
}

// ordered is said behind the number of beads that are not listed.
const ordered = ", each as far from those before it as can be"

// joins lists fasteners by name, the first of many, with what is to say of the rest.
func (t *teller) joins(of []int, rest string) string {
	const most = 24
	if run := t.run(of); run != "" {
		return run
	}
	var out []string
	for _, i := range of[:min(len(of), most)] {
		out = append(out, t.a.Joins[i].Name)
	}
	if more := len(of) - most; more > 0 {
		out = append(out, fmt.Sprintf("%d more%s", more, rest))
	}
	return strings.Join(out, ", ")
}

// run says the first and the last of fasteners that are called by numbers in a row; "" where
// they are not.
func (t *teller) run(of []int) string {
	first := 0
	for k, i := range of {
		n, err := strconv.Atoi(t.a.Joins[i].Name)
		if k == 0 {
			first = n
		}
		if err != nil || n != first+k {
			return ""
		}
	}
	if len(of) < 3 {
		return ""
	}
	return fmt.Sprintf("%d to %d", first, first+len(of)-1)
}

// heads names the blanks on which fasteners' heads lie.
func (f Fasteners) heads(a *panel.Assembly) string {
	var names []string
	for _, i := range f.Joins {
		if m := a.Joins[i].Members; len(m) > 0 {
			if name := a.Blanks[a.Copies[m[0].Copy].Blank].Name; !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return listed(names)
}

// Text says what is set, how many of which size, and on what their heads lie.
func (f Fasteners) Text(a *panel.Assembly) measure.Text {
	if on := f.heads(a); on != "" {
		return measure.Say("%v; heads on %s.", f.text(), on)
	}
	return measure.Say("%v.", f.text())
}

func (f Fasteners) text() measure.Text {
	n := len(f.Joins)
	size := measure.Say("%.3g × %.4g", measure.Nominal(f.Diameter), measure.Nominal(f.Shank.Length))
	if f.Shank.Length == 0 {
		size = measure.Say("%.3g", measure.Nominal(f.Diameter))
		if f.Shank.Need > 0 {
			size = measure.Say("%.3g, at least %.4g long", measure.Nominal(f.Diameter), measure.Length(f.Shank.Need))
		}
	}
	tail := "round"
	if f.Countersunk {
		tail = "flush"
	}
	cut := measure.Plain("")
	if f.Shank.Cut > 0 {
		cut = measure.Say(", cut to %.3g", measure.Length(f.Shank.Cut))
	}
	if f.Countersunk {
		cut = measure.Say("%v; countersink the holes where the tails lie first", cut)
	}
	switch {
	case f.Kind == "bolt":
		return measure.Say("Bolt: %s %v, a washer under head and nut", measure.Counted(n, "bolt"), size)
	case f.Closing == shop.Cold:
		return measure.Say("Hammer cold over a dolly, tails %s: %s %v%v", tail, measure.Counted(n, "solid rivet"), size, cut)
	case f.Closing == shop.Hot:
		return measure.Say("Hammer red hot over a dolly, tails %s: %s %v%v, with tongs and nothing that burns below", tail, measure.Counted(n, "solid rivet"), size, cut)
	case f.Closing == shop.Welded:
		return measure.Say("Put in and hold with a bead of weld round the tail: %s %v%v", measure.Counted(n, "solid rivet"), size, cut)
	}
	return measure.Say("Pull: %s %v", measure.Counted(n, "blind rivet"), size)
}

// Text says why a fastener is out of reach.
func (u Unreached) Text(a *panel.Assembly) measure.Text {
	j := &a.Joins[u.Join]
	what := map[Side]string{Head: "the tool at its head", Tail: "what stands at its tail", Bore: "the drill"}[u.Side]
	switch {
	case j.Line != nil || j.Kind == "plug":
		what = "the torch"
	case u.Side == Tail && j.Closing == shop.Pulled:
		what = "its blind end"
	case u.Side == Tail && j.Closing.Solid() && j.Closing != shop.Welded:
		what = "the hammer"
	case u.Side == Tail && j.Closing == shop.Welded:
		what = "the torch"
	case u.Side == Head && j.Closing.Solid() && j.Closing != shop.Welded:
		what = "the dolly"
	}
	t := teller{a: a}
	text := fmt.Sprintf("%s can't be reached: %s is in the way of %s", j.Name, t.names(u.By), what)
	if len(u.By) > 1 {
		text = fmt.Sprintf("%s can't be reached: %s are in the way of %s", j.Name, t.names(u.By), what)
	}
	if u.Knot {
		text += ", and what has to come before them is in the way of others"
	}
	if u.Turns {
		text += "; with its head on the other side it is reached"
	}
	return measure.Plain(text)
}
