package packet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/paper"
	"perch/parts/shop"
	"perch/parts/tolerance"
)

// fit makes the page on what real metal does to holes: which are made when, how hard a pin goes
// in, where holes that are drilled in place may land, and how the feet come to stand.
func (p *Packet) fit(doc *paper.Document) {
	v := p.Fits
	if v == nil || v.Unknown != "" || len(v.Joins) == 0 {
		return
	}
	f := p.flow(doc, "Holes that meet", "holes that meet")
	length := func(mm float64) string { return p.Paper.Fine(mm) }
	off := fmt.Sprintf("Bends are off by ± %.3g°, their lines by ± %s, drilled holes by ± %s, cut ones by ± %s (95 of 100, as the shop file tells). What follows from that is an estimate: put the first piece together before a batch.",
		v.PlusMinus.Angle, length(v.PlusMinus.Line), length(v.PlusMinus.Drilled), length(v.PlusMinus.Cut))
	if v.PlusMinus.None() {
		off = "As the shop file tells, this shop's metal is never off, so that any hole may be made at any time: no real shop's is. Measure yours, and put the first piece together before a batch."
	}
	f.Para(off, paper.Style{})
	f.Table(p.fitTable(v))
	if slices.ContainsFunc(v.Joins, func(j tolerance.JoinView) bool { return j.InPlace > 0 }) {
		f.Item("Every outer sheet's hole is made in the flat. It guides the drill where the inner one is drilled in place: clamp, drill through, fasten, next.", false)
		f.Item("Lands off by: so far from where it is drawn a hole drilled in place may come to lie. That is right: it meets the outer one. Only look that enough metal is left to the sheet's edge.", false)
	}
	for _, text := range p.firsts(v) {
		f.Item(text, false)
	}
	f.Item("All fasteners whose holes are made in the flat go in: in "+tolerance.TogetherText(v.Together)+" of 100 builds.", false)
	if text := p.feet(v.Feet); text != "" {
		f.Item(text, false)
	}
}

// fitTable is a row for each join.
func (p *Packet) fitTable(v *tolerance.View) paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "join", Weight: 1}, {Head: "by"}, {Head: "in the flat", Right: true}, {Head: "locate", Right: true}, {Head: "in place", Right: true},
		{Head: "off by", Right: true}, {Head: "room", Right: true}, {Head: "pin", Right: true}, {Head: "lands off by", Right: true}}}
	or := func(known bool, text string) string {
		if known {
			return text
		}
		return "–"
	}
	var by shop.Tolerance
	if p.Shop != nil {
		by = p.Shop.Tolerance
	}
	for _, j := range v.Joins {
		made := j.Before+j.Locate > 0
		pin := fmt.Sprintf("%.0f N%s", j.Force, tolerance.PinTool(j.Force, by))
		t.Rows = append(t.Rows, []string{strings.TrimPrefix(naming.Plain(j.Join)+": ", ": ") + p.joined(j.Join), j.Kind, strconv.Itoa(j.Before), strconv.Itoa(j.Locate), strconv.Itoa(j.InPlace),
			or(made, p.Paper.Fine(j.Misfit)), or(made, p.Paper.Fine(j.Room)), or(j.Locate > 0, pin), or(j.InPlace > 0, p.Paper.Fine(j.Lands))})
	}
	return t
}

// joined names the blanks that a join fastens, the outer ones first.
func (p *Packet) joined(join string) string {
	var names []string
	for _, j := range p.Assembly.Joins {
		if j.Join != join {
			continue
		}
		for _, m := range j.Members {
			name, _, _ := strings.Cut(p.Assembly.Blanks[p.Assembly.Copies[m.Copy].Blank].Name, ".")
			if name = naming.Plain(name); !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return strings.Join(names, ", ")
}

// firsts says where the first hole of two parts is drilled in place: from the marked corner of the
// inner one's page.
func (p *Packet) firsts(v *tolerance.View) []string {
	places := map[string][]string{}
	var order []string
	for _, q := range v.First {
		i := blankCalled(p, q.Inner)
		if i < 0 {
			continue
		}
		key := naming.Plain(q.Inner) + " on " + naming.Plain(q.Outer)
		at, ok := p.Place(i, q.Point)
		if !ok {
			continue
		}
		if places[key] == nil {
			order = append(order, key)
		}
		places[key] = append(places[key], at)
	}
	var out []string
	for _, key := range order {
		out = append(out, key+": drill first the hole at "+strings.Join(places[key], " or ")+", from the marked corner of the first one's page.")
	}
	return out
}

func blankCalled(p *Packet, name string) int {
	for i, b := range p.Assembly.Blanks {
		if b.Name == name {
			return i
		}
	}
	return -1
}

// feet says how the piece comes to stand.
func (p *Packet) feet(f *tolerance.Feet) string {
	length := func(mm float64) string { return measure.Say("%.2g", measure.Length(mm)).In(p.Paper.System) }
	switch {
	case f == nil:
		return ""
	case f.Count == 3:
		return "Three feet: it can't rock."
	case f.Holes:
		return "Four feet: one may be " + length(f.Rock) + " off the floor. Stand it on a flat table before its last holes are drilled, and it is " + length(f.Levelled) + "."
	}
	return "Four feet: one may be " + length(f.Rock) + " off the floor; no hole is drilled in place, so that it can't be levelled before. File or shim the long one."
}
