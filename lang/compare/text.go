package compare

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"perch/lang/quantity"
	"perch/parts/measure"
)

// Text writes the difference for a reader at a terminal, in the units that the
// design is written in. What is the same at several sizes is told once.
func (d *Difference) Text(w io.Writer) error {
	var b bytes.Buffer
	d.heading(&b)
	if d.Same {
		fmt.Fprintln(&b, "\nno difference")
	} else {
		d.stated(&b)
		d.sizesText(&b)
		d.valuesText(&b)
		d.partsText(&b)
		d.totalsText(&b)
	}
	_, err := w.Write(b.Bytes())
	return err
}

func (d *Difference) heading(w io.Writer) {
	title := d.New.Design
	if d.Old.Design != d.New.Design {
		title = d.Old.Design + " → " + d.New.Design
	}
	fmt.Fprintln(w, title)
	switch {
	case d.Old.Revision != d.New.Revision:
		fmt.Fprintf(w, "revision %s → %s\n", orNone(d.Old.Revision), orNone(d.New.Revision))
	case d.New.Revision != "":
		fmt.Fprintf(w, "revision %s on both sides\n", d.New.Revision)
	}
}

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func table(w io.Writer) *tabwriter.Writer { return tabwriter.NewWriter(w, 0, 0, 2, ' ', 0) }

func (d *Difference) stated(w io.Writer) {
	if len(d.Statements) == 0 {
		return
	}
	fmt.Fprintln(w, "\nstated")
	t := table(w)
	for _, s := range d.Statements {
		name := s.Name
		if s.Module != "" {
			name += " (" + s.Module + ")"
		}
		fmt.Fprintln(t, "  "+s.line(name))
	}
	t.Flush()
}

// line tells one statement: a sign, its name and what became of it.
func (s *Statement) line(name string) string {
	o, n := essence(s.was, s.is)
	switch s.Change {
	case Added:
		return fmt.Sprintf("+ %s\t%s", name, short(s.is))
	case Removed:
		return fmt.Sprintf("- %s\t%s", name, short(s.was))
	case Renamed:
		return fmt.Sprintf("~ %s\trenamed to %s", s.Was, name)
	case Moved:
		what := []string{"copied from " + s.From}
		if strings.HasSuffix(s.From, ".perch") {
			what[0] = "moved here from " + s.From
		}
		if s.Was != "" {
			what = append(what, "where it is "+s.Was)
		}
		if o != n {
			what = append(what, o+" → "+n)
		}
		return fmt.Sprintf("~ %s\t%s", name, strings.Join(what, ", "))
	case Changed:
		if s.Was != "" {
			return fmt.Sprintf("~ %s\trenamed to %s, %s → %s", s.Was, name, o, n)
		}
	}
	return fmt.Sprintf("~ %s\t%s → %s", name, o, n)
}

// Widths of the text, in characters.
const (
	wholeText = 36 // a statement up to this long is told whole
	longText  = 72 // one longer than this is cut off
	maxNames  = 6  // holes listed by name
)

func short(s string) string {
	if r := []rune(s); len(r) > longText {
		return string(r[:longText-1]) + "…"
	}
	return s
}

// essence leaves out what two long texts have in common at their ends, but for
// one word.
func essence(o, n string) (string, string) {
	if len(o) <= wholeText && len(n) <= wholeText {
		return orNothing(o), orNothing(n)
	}
	a, b := strings.Fields(o), strings.Fields(n)
	front := 0
	for front < len(a) && front < len(b) && a[front] == b[front] {
		front++
	}
	back := 0
	for back < len(a)-front && back < len(b)-front && a[len(a)-1-back] == b[len(b)-1-back] {
		back++
	}
	front = max(0, front-1)
	middle := func(words []string) string {
		text := strings.Join(words[front:len(words)-back], " ")
		if front > 0 {
			text = "… " + text
		}
		if back > 0 {
			text += " …"
		}
		return short(text)
	}
	return orNothing(middle(a)), orNothing(middle(b))
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

func (d *Difference) sizesText(w io.Writer) {
	first := true
	for _, s := range d.Sizes {
		if s.Change != Added && s.Change != Removed {
			continue
		}
		if first {
			fmt.Fprintln(w, "\nsizes")
			first = false
		}
		if s.Change == Removed {
			fmt.Fprintf(w, "  - %s\n", s.Name)
			continue
		}
		fmt.Fprintf(w, "  + %s: %s of %s, %s\n", s.Name, measure.Counted(s.New.Pieces, "piece"), measure.Counted(s.New.Blanks, "blank"), d.mass(s.New.Mass))
	}
}

// grouped are texts with the sizes that say them.
type grouped struct {
	texts []string
	sizes [][]string
}

func (g *grouped) add(text, size string) {
	i := slices.Index(g.texts, text)
	if i < 0 {
		g.texts, g.sizes = append(g.texts, text), append(g.sizes, nil)
		i = len(g.texts) - 1
	}
	g.sizes[i] = append(g.sizes[i], size)
}

// at names sizes; "" where the design has one only.
func (d *Difference) at(sizes []string) string {
	if len(d.Sizes) == 1 {
		return ""
	}
	return strings.Join(sizes, ", ")
}

func (d *Difference) valuesText(w io.Writer) {
	var order []string
	by := map[string]*grouped{}
	for _, s := range d.Sizes {
		for _, v := range s.Values {
			if by[v.Name] == nil {
				by[v.Name] = &grouped{}
				order = append(order, v.Name)
			}
			by[v.Name].add(d.value(v.Old, v.Unit, v.OldFrom)+" → "+d.value(v.New, v.Unit, v.NewFrom), s.Name)
		}
	}
	if len(order) == 0 {
		return
	}
	fmt.Fprintln(w, "\nvalues")
	t := table(w)
	for _, name := range order {
		for i, text := range by[name].texts {
			fmt.Fprintf(t, "  %s\t%s\t%s\n", name, text, d.at(by[name].sizes[i]))
		}
	}
	t.Flush()
}

func (d *Difference) value(v *float64, unit, from string) string {
	if v == nil {
		return "none"
	}
	if unit == "mm" {
		return d.length(*v) + " " + from
	}
	x, unit := quantity.FromRecord(*v, unit, d.in)
	return quantity.Decimal(x, 3) + unit + " " + from
}

func (d *Difference) partsText(w io.Writer) {
	var order []string
	by := map[string]*grouped{}
	for _, s := range d.Sizes {
		for i := range s.Parts {
			p := &s.Parts[i]
			if by[p.Name] == nil {
				by[p.Name] = &grouped{}
				order = append(order, p.Name)
			}
			by[p.Name].add(strings.Join(d.facts(p), "\n"), s.Name)
		}
	}
	joins := d.joinsText()
	fmt.Fprintln(w, "\nparts")
	if d.PartsSame {
		fmt.Fprintln(w, "  no part changed")
	}
	for _, name := range order {
		for i, text := range by[name].texts {
			lines := strings.Split(text, "\n")
			head := "  " + name
			if at := d.at(by[name].sizes[i]); at != "" {
				head += " at " + at
			}
			fmt.Fprintf(w, "%s: %s\n", head, lines[0])
			for _, l := range lines[1:] {
				fmt.Fprintf(w, "    %s\n", l)
			}
		}
	}
	fmt.Fprint(w, joins)
}

func (d *Difference) joinsText() string {
	var g grouped
	for _, s := range d.Sizes {
		for _, j := range s.Joins {
			g.add(fmt.Sprintf("  join %s: %s → %s", j.Name, orNothing(j.was), orNothing(j.is)), s.Name)
		}
	}
	var b strings.Builder
	for i, text := range g.texts {
		b.WriteString(text)
		if at := d.at(g.sizes[i]); at != "" {
			b.WriteString(" at " + at)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func (d *Difference) totalsText(w io.Writer) {
	t := table(w)
	first := true
	for _, s := range d.Sizes {
		if s.Old == nil || s.New == nil {
			continue
		}
		var facts []string
		if s.Old.Pieces != s.New.Pieces {
			facts = append(facts, fmt.Sprintf("pieces %d → %d", s.Old.Pieces, s.New.Pieces))
		}
		if s.Old.Bends != s.New.Bends {
			facts = append(facts, fmt.Sprintf("bends %d → %d", s.Old.Bends, s.New.Bends))
		}
		if math.Abs(s.Old.Mass-s.New.Mass) >= 0.5e-3 {
			facts = append(facts, fmt.Sprintf("mass %s → %s", d.mass(s.Old.Mass), d.mass(s.New.Mass)))
		}
		facts = append(facts, d.metalFacts(s.Metals)...)
		if len(facts) == 0 {
			continue
		}
		if first {
			fmt.Fprintln(w, "\nin all")
			first = false
		}
		fmt.Fprintf(t, "  %s\t%s\n", s.Name, strings.Join(facts, ", "))
	}
	t.Flush()
}

func (d *Difference) length(mm float64) string {
	if d.in == measure.Millimetres {
		return quantity.Decimal(mm, 2) + "mm"
	}
	if s := quantity.FormatFraction(mm, 64); strings.Contains(s, "/") {
		return s + "in"
	}
	return quantity.Decimal(mm/quantity.InchMM, 3) + "in"
}

func (d *Difference) mass(kg float64) string {
	if d.in == measure.Inches {
		return quantity.Decimal(kg/quantity.PoundKG, 2) + "lb"
	}
	return quantity.Decimal(kg, 3) + "kg"
}

// moved is a distance that is not nothing, however small.
func (d *Difference) moved(mm float64) string {
	if s := d.length(mm); s != "0mm" && s != "0in" {
		return s
	}
	return "less than " + d.length(0.01)
}
