package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/quantity"
	"perch/parts/measure"
)

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}

func (d *Difference) statedRows() []row {
	var out []row
	for i := range d.Statements {
		s := &d.Statements[i]
		name := s.Name
		if s.Module != "" {
			name += " (" + s.Module + ")"
		}
		out = append(out, s.row(name))
	}
	return out
}

// row tells one statement: a sign, its name and what became of it.
func (s *Statement) row(name string) row {
	o, n := essence(s.was, s.is)
	switch s.Change {
	case Added:
		return row{sign: "+", cells: []string{name, short(s.is)}}
	case Removed:
		return row{sign: "-", cells: []string{name, short(s.was)}}
	case Renamed:
		return row{sign: "~", cells: []string{s.Was, "renamed to " + name}}
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
		return row{sign: "~", cells: []string{name, strings.Join(what, ", ")}}
	case Changed:
		if s.Was != "" {
			return row{sign: "~", cells: []string{s.Was, fmt.Sprintf("renamed to %s, %s → %s", name, o, n)}}
		}
	}
	return row{sign: "~", cells: []string{name, o + " → " + n}}
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

func (d *Difference) sizeRows() []row {
	var out []row
	for _, s := range d.Sizes {
		switch {
		case s.Change == Added:
			out = append(out, row{sign: "+", cells: []string{s.Name, fmt.Sprintf("%s of %s, %s", measure.Counted(s.New.Pieces, "piece"), measure.Counted(s.New.Blanks, "blank"), d.mass(s.New.Mass))}})
		case s.Change == Removed:
			out = append(out, row{sign: "-", cells: []string{s.Name}})
		case s.Was != "":
			out = append(out, row{sign: "~", cells: []string{s.Was, "renamed to " + s.Name}})
		}
	}
	return out
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

func (d *Difference) valueRows() []row {
	var order []string
	by := map[string]*grouped{}
	for _, s := range d.Sizes {
		for _, v := range s.Values {
			name := v.Name
			if by[name] == nil {
				by[name] = &grouped{}
				order = append(order, name)
			}
			by[name].add(d.value(v.Old, v.Unit)+" → "+d.value(v.New, v.Unit)+"\x00"+whence(v.OldFrom, v.NewFrom), s.Name)
		}
	}
	var out []row
	for _, name := range order {
		for i, text := range by[name].texts {
			value, from, _ := strings.Cut(text, "\x00")
			out = append(out, row{cells: []string{name, value, from, d.at(by[name].sizes[i])}})
		}
	}
	return out
}

// whence tells where a value is from, and was from where that was elsewhere.
func whence(old, new string) string {
	switch {
	case old == new || old == "":
		return new
	case new == "":
		return old
	}
	return old + ", now " + new
}

func (d *Difference) value(v *float64, unit string) string {
	if v == nil {
		return "none"
	}
	if unit == "mm" {
		return d.length(*v)
	}
	x, unit := quantity.FromRecord(*v, unit, d.in)
	return quantity.Decimal(x, 3) + unit
}

func (d *Difference) joinRows() []row {
	var g grouped
	for _, s := range d.Sizes {
		for _, j := range s.Joins {
			g.add(fmt.Sprintf("join %s\x00: %s → %s", j.Name, orNothing(j.was), orNothing(j.is)), s.Name)
		}
	}
	var out []row
	for i, text := range g.texts {
		name, what, _ := strings.Cut(text, "\x00")
		out = append(out, row{cells: []string{name + d.where(g.sizes[i]) + what}})
	}
	return out
}

// where is at with its word.
func (d *Difference) where(sizes []string) string {
	if at := d.at(sizes); at != "" {
		return " at " + at
	}
	return ""
}

func (d *Difference) totalRows() []row {
	var g grouped
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
		if len(facts) > 0 {
			g.add(strings.Join(facts, ", "), s.Name)
		}
	}
	var out []row
	for i, text := range g.texts {
		out = append(out, row{cells: []string{strings.Join(g.sizes[i], ", "), text}})
	}
	return out
}

// allParts tells each part at each size; sizes that say the same are one row.
func (d *Difference) allParts() []row {
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
	var out []row
	for _, name := range order {
		for i, text := range by[name].texts {
			lines := strings.Split(text, "\n")
			out = append(out, row{cells: []string{name + d.where(by[name].sizes[i]) + ": " + lines[0]}, more: lines[1:]})
		}
	}
	return out
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
