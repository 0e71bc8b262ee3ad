package compare

import (
	"fmt"
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

// allStated tells each statement.
func (d *Difference) allStated() []row {
	var out []row
	for i := range d.Statements {
		s := &d.Statements[i]
		out = append(out, s.row(s.title()))
	}
	return out
}

// briefStated tells statements that changed alike one after the other in one row, and
// those that say the same in other units by their number.
func (d *Difference) briefStated() []row {
	var out []row
	last := "" // what became of the one before, where others may be like it
	alike, restated := 0, 0
	more := func() {
		if alike > 0 {
			out[len(out)-1].cells[0] += fmt.Sprintf(" and %d more", alike)
		}
		alike = 0
	}
	for i := range d.Statements {
		s := &d.Statements[i]
		if s.Change == Restated {
			restated++
			continue
		}
		r := s.row(s.title())
		if s.Change == Changed && s.Was == "" && last == r.cells[1] {
			alike++
			continue
		}
		more()
		if last = ""; s.Change == Changed && s.Was == "" {
			last = r.cells[1]
		}
		out = append(out, r)
	}
	more()
	if restated > 0 {
		verb := "say"
		if restated == 1 {
			verb = "says"
		}
		out = append(out, row{sign: "~", cells: []string{measure.Counted(restated, "statement"), verb + " the same in other units"}})
	}
	return out
}

// title is the statement's name, and the file that it stands in.
func (s *Statement) title() string { return s.inFile(s.Name) }

// wasTitle is the same with the old name.
func (s *Statement) wasTitle() string { return s.inFile(s.Was) }

func (s *Statement) inFile(name string) string {
	if s.Module != "" {
		return name + " (" + s.Module + ")"
	}
	return name
}

// bareName is the statement's own name alone: arm of "panel hook / face arm".
func (s *Statement) bareName() string { return s.Name[strings.LastIndexByte(s.Name, ' ')+1:] }

// row tells one statement: a sign, its name and what became of it.
func (s *Statement) row(name string) row {
	o, n := essence(s.was, s.is)
	switch s.Change {
	case Added:
		return row{sign: "+", cells: []string{name, short(s.is)}}
	case Removed:
		return row{sign: "-", cells: []string{name, short(s.was)}}
	case Renamed:
		return row{sign: "~", cells: []string{s.wasTitle(), "renamed to " + s.bareName()}}
	case Moved:
		what := []string{"copied from " + s.From}
		switch {
		case s.Module != "" && !strings.HasSuffix(s.Module, ".perch"):
			what[0] = "taken from the library now"
		case strings.HasSuffix(s.From, ".perch"):
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
			return row{sign: "~", cells: []string{s.wasTitle(), fmt.Sprintf("renamed to %s, %s → %s", s.bareName(), o, n)}}
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
	if strings.HasPrefix(o, "= ") && strings.HasPrefix(n, "= ") {
		o, n = o[2:], n[2:]
	}
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
			out = append(out, row{sign: "~", cells: []string{s.Was, "is " + s.Name + " now"}})
		}
	}
	return out
}

// grouped are texts with the sizes that say them.
type grouped struct {
	texts []string
	sizes [][]string
	at    map[string]int // index of a text
}

func (g *grouped) add(text, size string) {
	i, known := g.at[text]
	if !known {
		if g.at == nil {
			g.at = map[string]int{}
		}
		i = len(g.texts)
		g.at[text] = i
		g.texts, g.sizes = append(g.texts, text), append(g.sizes, nil)
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

// allValues tells each value that changed.
func (d *Difference) allValues() []row { return d.valueRows(func(Value) bool { return true }) }

// briefValues leaves out those that are written alike.
func (d *Difference) briefValues() []row {
	return d.valueRows(func(v Value) bool { return d.value(v.Old, v.Unit, decimals) != d.value(v.New, v.Unit, decimals) })
}

func (d *Difference) valueRows(keep func(Value) bool) []row {
	var order []string
	by := map[string]*grouped{}
	for _, s := range d.Sizes {
		for _, v := range s.Values {
			if !keep(v) {
				continue
			}
			if by[v.Name] == nil {
				by[v.Name] = &grouped{}
				order = append(order, v.Name)
			}
			o, n := d.value(v.Old, v.Unit, decimals), d.value(v.New, v.Unit, decimals)
			if o == n {
				o, n = d.value(v.Old, v.Unit, allDecimals), d.value(v.New, v.Unit, allDecimals)
			}
			by[v.Name].add(o+" → "+n+"\x00"+whence(v.OldFrom, v.NewFrom), s.Name)
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

// Decimals of a value: those that people read, and all that there are.
const (
	decimals    = 3
	allDecimals = 7
)

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

func (d *Difference) value(v *float64, unit string, digits int) string {
	if v == nil {
		return "none"
	}
	if unit == "mm" && digits == decimals {
		return d.length(*v)
	}
	x, unit := quantity.FromRecord(*v, unit, d.in)
	return quantity.Decimal(x, digits) + unit
}

// joinRows tells joins whose fasteners changed, those that did so alike in one row.
func (d *Difference) joinRows() []row {
	var byJoin grouped // what became of a join, with its sizes
	for _, s := range d.Sizes {
		for _, j := range s.Joins {
			byJoin.add(j.Name+"\x00"+fastenedTold(j.was, j.is), s.Name)
		}
	}
	var alike grouped // what became of joins at some sizes, with their names
	for i, text := range byJoin.texts {
		name, what, _ := strings.Cut(text, "\x00")
		alike.add(d.where(byJoin.sizes[i])+": "+what, name)
	}
	var out []row
	for i, text := range alike.texts {
		out = append(out, row{cells: []string{plural(len(alike.sizes[i]), "join") + " " + strings.Join(alike.sizes[i], ", ") + text}})
	}
	return out
}

// fastenedTold tells fasteners before and after; what stays is said once: 16 → 32 rivet 4.8.
func fastenedTold(was, is string) string {
	m, what, _ := strings.Cut(was, " ")
	n, same, _ := strings.Cut(is, " ")
	if what == same && !strings.Contains(what, ",") {
		return m + " → " + n + " " + what
	}
	return orNothing(was) + " → " + orNothing(is)
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
		if o, n := d.mass(s.Old.Mass), d.mass(s.New.Mass); o != n {
			facts = append(facts, fmt.Sprintf("mass %s → %s", o, n))
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
	if mm < d.least() {
		return "less than " + d.length(d.least())
	}
	return d.length(mm)
}

// upTo is a largest distance.
func (d *Difference) upTo(mm float64) string {
	if mm < d.least() {
		return d.moved(mm)
	}
	return "up to " + d.moved(mm)
}

// least is the smallest distance, mm, that is told by its number.
func (d *Difference) least() float64 {
	if d.in == measure.Inches {
		return quantity.InchMM / 1000
	}
	return 0.01
}
