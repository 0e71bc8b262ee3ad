package compare

import (
	"fmt"
	"math"
	"perch/parts/panel"
	"strings"

	"perch/lang/quantity"
	"perch/parts/measure"
)

// facts tells what became of a part: a headline and, for what needs it, a line
// each.
func (d *Difference) facts(p *Part) []string {
	switch p.Change {
	case Added:
		w, h := p.new.Flat.Size()
		return []string{fmt.Sprintf("new, %s of %s, flat %s × %s", measure.Counted(p.NewCount, "piece"), d.stock(p.new), d.length(w), d.length(h))}
	case Removed:
		return []string{fmt.Sprintf("gone, %s of %s", measure.Counted(p.OldCount, "piece"), d.stock(p.old))}
	}
	var head, out []string
	if p.Was != "" {
		head = append(head, "was "+p.Was)
	}
	if p.Change == Renamed {
		return []string{strings.Join(append(head, "and is the same otherwise"), ", ")}
	}
	if p.OldCount != p.NewCount {
		head = append(head, fmt.Sprintf("%d → %s", p.OldCount, measure.Counted(p.NewCount, "piece")))
	}
	if p.OldStock != p.NewStock && d.stock(p.old) != d.stock(p.new) {
		head = append(head, d.stocks(p))
	}
	if p.Flat == nil {
		if p.OldCount == p.NewCount && p.OldStock == p.NewStock {
			head = append(head, "bent the other way")
		}
		return []string{strings.Join(head, ", ")}
	}
	if p.Turned {
		head = append(head, "bent the other way")
	}
	head = append(head, d.extents(p.Flat))
	if p.Flat.Outline > 0 {
		out = append(out, "outline moved by "+d.upTo(p.Flat.Outline))
	}
	out = append(out, d.holeFacts(p.Flat.Holes)...)
	out = append(out, d.cutFacts(p.Flat.Cuts)...)
	out = append(out, d.foldFacts(p.Flat.Folds)...)
	for _, m := range p.Flat.Marks {
		out = append(out, d.markFact(m))
	}
	return append([]string{strings.Join(head, ", ")}, out...)
}

// markFact tells a mark that changed, a text by its words.
func (d *Difference) markFact(m Mark) string {
	switch {
	case m.Change == Changed && m.Old != m.New:
		return fmt.Sprintf("mark %s: %q → %q", m.Name, m.Old, m.New)
	case m.Change == Changed && m.Moved > 0:
		return fmt.Sprintf("mark %s changed by %s", m.Name, d.upTo(m.Moved))
	}
	return fmt.Sprintf("mark %s %s", m.Name, m.Change)
}

// triflingPart tells whether all that changed in a part's flat lies within the smallest
// distance that is told by its number.
func (d *Difference) triflingPart(p *Part) bool {
	f := p.Flat
	if f == nil || p.Change != Changed || p.OldCount != p.NewCount || p.Turned || f.Outline >= d.least() {
		return false
	}
	for _, h := range f.Holes {
		if h.Change != Changed || max(h.Moved, h.InFlat, math.Abs(h.OldDiameter-h.NewDiameter)) >= d.least() || !h.alike() {
			return false
		}
	}
	for _, c := range f.Cuts {
		if c.Change != Changed || max(c.Moved, c.InFlat, c.Edge) >= d.least() {
			return false
		}
	}
	for _, m := range f.Marks {
		if m.Change != Changed || m.Old != m.New || m.Moved == 0 || m.Moved >= d.least() {
			return false
		}
	}
	for _, x := range f.Folds {
		if x.Change != Changed || x.OldDown != x.NewDown || max(x.Moved, math.Abs(x.OldRadius-x.NewRadius)) >= d.least() ||
			math.Abs(x.OldAngle-x.NewAngle) >= 1e-3 || math.Abs(x.OldK-x.NewK) >= 1e-3 {
			return false
		}
	}
	return p.OldStock == p.NewStock || d.stock(p.old) == d.stock(p.new)
}

// trifling tells whether every part that changed did so by less than is told by a number.
func (d *Difference) trifling() bool {
	for _, s := range d.Sizes {
		for i := range s.Parts {
			if s.Parts[i].Change != Renamed && !d.triflingPart(&s.Parts[i]) {
				return false
			}
		}
	}
	return true
}

// extents tells size, area and mass as far as they changed.
func (d *Difference) extents(f *Flat) string {
	o, n := f.Old, f.New
	var out []string
	was, is := d.length(o.Width)+" × "+d.length(o.Height), d.length(n.Width)+" × "+d.length(n.Height)
	if was != is {
		out = append(out, fmt.Sprintf("flat %s → %s", was, is))
	} else {
		out = append(out, "flat "+is)
	}
	if o.Area > 0 {
		if by := quantity.Decimal(100*(n.Area-o.Area)/o.Area, 2); by != "0" {
			out = append(out, "area "+signed(by)+"%")
		}
	}
	if was, is := d.mass(o.Mass), d.mass(n.Mass); was != is {
		out = append(out, was+" → "+is)
	}
	return strings.Join(out, ", ")
}

func signed(s string) string {
	if strings.HasPrefix(s, "-") {
		return "−" + s[1:]
	}
	return "+" + s
}

// holeFacts tells holes: those that only moved by join, others by what became of
// them.
func (d *Difference) holeFacts(holes []Hole) []string {
	var moves, carried, other grouped
	far := map[string][2]float64{} // by join: least and largest distance
	for _, h := range holes {
		if h.onlyMoved() {
			join := base(h.Name)
			moves.add(join, h.Name)
			r, seen := far[join]
			if !seen {
				r = [2]float64{h.Moved, h.Moved}
			}
			far[join] = [2]float64{min(r[0], h.Moved), max(r[1], h.Moved)}
			continue
		}
		if h.carried() {
			carried.add(base(h.Name), h.Name)
			continue
		}
		other.add(d.holeFact(h), h.Name)
	}
	var out []string
	for i, join := range moves.texts {
		lo, hi := d.moved(far[join][0]), d.moved(far[join][1])
		if lo != hi {
			lo += " to " + hi
		}
		out = append(out, fmt.Sprintf("%s of %s moved %s", measure.Counted(len(moves.sizes[i]), "hole"), join, lo))
	}
	for i, join := range carried.texts {
		out = append(out, fmt.Sprintf("%s of %s carried along by the bends", measure.Counted(len(carried.sizes[i]), "hole"), join))
	}
	for i, text := range other.texts {
		out = append(out, fmt.Sprintf("%s %s: %s", measure.Counted(len(other.sizes[i]), "hole"), text, some(other.sizes[i])))
	}
	return out
}

// alike tells whether a hole is made in the same way at the same time.
func (h Hole) alike() bool { return h.OldKind == h.NewKind && h.OldWhen == h.NewWhen }

// made words how a hole is made, and when.
func (Hole) made(kind, when string) string {
	switch panel.When(when) {
	case panel.InPlace:
		return "drilled in place"
	case panel.Locate:
		return "locating " + kind
	}
	return kind
}

// onlyMoved tells whether a hole is made as before.
func (h Hole) onlyMoved() bool {
	return h.Change == Changed && h.Moved > metalTol && h.alike() && sameNumber(h.OldDiameter, h.NewDiameter)
}

// carried tells whether a hole is as it was on its face, and elsewhere in the flat.
func (h Hole) carried() bool {
	return h.Change == Changed && h.Moved == 0 && h.InFlat > 0 && h.alike() && sameNumber(h.OldDiameter, h.NewDiameter)
}

// carried tells the same of a cut.
func (c Cut) carried() bool {
	return c.Change == Changed && c.Moved == 0 && c.Edge == 0 && c.InFlat > 0
}

// holeFact tells what became of a hole that did not only move.
func (d *Difference) holeFact(h Hole) string {
	switch h.Change {
	case Added:
		return fmt.Sprintf("added (%s %s)", h.made(h.NewKind, h.NewWhen), d.length(h.NewDiameter))
	case Removed:
		return fmt.Sprintf("removed (%s %s)", h.made(h.OldKind, h.OldWhen), d.length(h.OldDiameter))
	}
	if o, n := h.made(h.OldKind, h.OldWhen)+" "+d.length(h.OldDiameter), h.made(h.NewKind, h.NewWhen)+" "+d.length(h.NewDiameter); o != n {
		if h.Moved > metalTol {
			return "moved, " + o + " → " + n
		}
		return o + " → " + n
	}
	return "turned"
}

func (d *Difference) cutFacts(cuts []Cut) []string {
	var g grouped
	for _, c := range cuts {
		what := []string{}
		if c.Change != Changed {
			what = append(what, string(c.Change))
		}
		if c.Moved > 0 {
			what = append(what, "moved "+d.moved(c.Moved))
		}
		if c.Edge > 0 {
			what = append(what, "edge moved by "+d.upTo(c.Edge))
		}
		if c.carried() {
			what = append(what, "carried along by the bends")
		}
		if len(what) == 0 {
			what = append(what, "is made otherwise")
		}
		g.add(strings.Join(what, ", "), c.Name)
	}
	var out []string
	for i, text := range g.texts {
		out = append(out, plural(len(g.sizes[i]), "cut")+" "+few(g.sizes[i])+": "+text)
	}
	return out
}

func (d *Difference) foldFacts(folds []Fold) []string {
	var g grouped
	for _, f := range folds {
		g.add(strings.Join(d.foldFact(f), ", "), f.Name)
	}
	var out []string
	for i, text := range g.texts {
		out = append(out, fmt.Sprintf("fold %s: %s", some(g.sizes[i]), text))
	}
	return out
}

func (d *Difference) foldFact(f Fold) []string {
	turn := map[bool]string{false: "up", true: "down"}
	bend := func(angle float64, down bool) string { return quantity.Decimal(angle, 3) + "° " + turn[down] }
	switch f.Change {
	case Added:
		return []string{"new, " + bend(f.NewAngle, f.NewDown)}
	case Removed:
		return []string{"gone"}
	}
	var out []string
	if o, n := bend(f.OldAngle, f.OldDown), bend(f.NewAngle, f.NewDown); o != n {
		out = append(out, o+" → "+n)
	} else if math.Abs(f.OldAngle-f.NewAngle) > 1e-6 {
		out = append(out, "angle changed by less than 0.001°")
	}
	if o, n := d.length(f.OldRadius), d.length(f.NewRadius); o != n {
		out = append(out, "radius "+o+" → "+n)
	}
	if o, n := quantity.Decimal(f.OldK, 4), quantity.Decimal(f.NewK, 4); o != n {
		out = append(out, "K "+o+" → "+n)
	}
	if f.Moved > 0 {
		out = append(out, "line moved "+d.moved(f.Moved))
	}
	if o, n := d.length(f.OldLength), d.length(f.NewLength); o != n {
		out = append(out, "length "+o+" → "+n)
	}
	if len(out) == 0 {
		out = append(out, "line shifted along itself")
	}
	return out
}
