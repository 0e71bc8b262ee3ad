package compare

import (
	"fmt"
	"math"
	"strings"

	"perch/lang/quantity"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/panel"
)

// Part is a blank that changed at a size: a shape that is cut, with all its
// copies. Was is its old name where that is another. A Renamed one is the same
// metal in the same number under a new name.
type Part struct {
	Change   Change `json:"change"`
	Name     string `json:"name"`
	Was      string `json:"was,omitempty"`
	OldCount int    `json:"old_count"`
	NewCount int    `json:"new_count"`
	OldHand  int    `json:"old_mirrored"` // of the count, bent the other way
	NewHand  int    `json:"new_mirrored"`
	OldStock string `json:"old_stock,omitempty"`
	NewStock string `json:"new_stock,omitempty"`
	Turned   bool   `json:"mirrored"`       // the flat is the mirror image of the old one
	Flat     *Flat  `json:"flat,omitempty"` // nil where the flat is the same, or one of the two is not there

	old, new *panel.Blank
}

// parts lists the blanks that changed: those of the new design in its order, then
// those removed.
func parts(old, new *panel.Assembly, names *sides) []Part {
	partner := match(old, new, names)
	used := make([]bool, len(old.Blanks))
	var out []Part
	for i, n := range new.Blanks {
		k := partner[i]
		if k < 0 {
			out = append(out, Part{Change: Added, Name: n.Name, NewCount: n.Count, NewHand: n.Mirrored, NewStock: stockOf(n), new: n})
			continue
		}
		used[k] = true
		if p := pair(names.blank(old.Blanks[k]), n); p.Change != Same {
			out = append(out, p)
		}
	}
	for k, o := range old.Blanks {
		if !used[k] {
			out = append(out, Part{Change: Removed, Name: o.Name, OldCount: o.Count, OldHand: o.Mirrored, OldStock: stockOf(o), old: o})
		}
	}
	return out
}

// match finds each new blank's old one, −1 for none: by name; then the same
// metal; then the old blank that most of its copies were made of, which a blank
// that became two shares.
func match(old, new *panel.Assembly, names *sides) []int {
	partner := make([]int, len(new.Blanks))
	taken := make([]bool, len(old.Blanks))
	take := func(i, k int) { partner[i], taken[k] = k, true }
	for i, n := range new.Blanks {
		partner[i] = -1
		for k, o := range old.Blanks {
			if names.partName(o.Name) == n.Name {
				take(i, k)
			}
		}
	}
	for i, n := range new.Blanks {
		for k := 0; k < len(old.Blanks) && partner[i] < 0; k++ {
			if !taken[k] {
				if same, _ := congruent(old.Blanks[k].Flat, n.Flat); same {
					take(i, k)
				}
			}
		}
	}
	for i := range new.Blanks {
		if partner[i] < 0 {
			partner[i] = mostCopies(old, new, i, names)
		}
	}
	return partner
}

// mostCopies is the old blank of most of a new blank's copies, −1 for none.
func mostCopies(old, new *panel.Assembly, blank int, names *sides) int {
	of := map[string]int{}
	for _, c := range old.Copies {
		of[names.partName(c.Name)] = c.Blank
	}
	votes := make([]int, len(old.Blanks))
	best := -1
	for _, c := range new.Copies {
		if k, was := of[c.Name]; was && c.Blank == blank {
			votes[k]++
			if best < 0 || votes[k] > votes[best] {
				best = k
			}
		}
	}
	return best
}

// congruent tells whether two flats are the same piece of metal, and whether one
// is the other's mirror image. What their stock is called does not matter.
func congruent(a, b *panel.Flat) (same, mirrored bool) {
	blanks, copies := panel.Group([]panel.Part{{Name: "old", Family: "f", Flat: nameless(a)}, {Name: "new", Family: "f", Flat: nameless(b)}})
	return len(blanks) == 1, copies[1].Mirrored
}

func nameless(f *panel.Flat) *panel.Flat {
	g, p := *f, *f.Panel
	p.Stock.Name = ""
	g.Panel = &p
	return &g
}

// pair compares a blank with its old state.
func pair(o, n *panel.Blank) Part {
	p := Part{
		Change: Same, Name: n.Name, OldCount: o.Count, NewCount: n.Count, OldHand: o.Mirrored, NewHand: n.Mirrored,
		OldStock: stockOf(o), NewStock: stockOf(n), old: o, new: n,
	}
	if o.Name != n.Name {
		p.Was, p.Change = o.Name, Renamed
	}
	same, mirrored := congruent(o.Flat, n.Flat)
	if !same {
		p.Flat = flats(o.Flat, n.Flat)
		if p.Flat != nil {
			mirrored = p.Flat.mirrored
		}
	}
	p.Turned = mirrored
	hand := o.Mirrored
	if mirrored { // what was bent one way counts as the other now
		hand = o.Count - o.Mirrored
	}
	if p.Flat != nil || o.Count != n.Count || p.OldStock != p.NewStock || hand != n.Mirrored {
		p.Change = Changed
	}
	return p
}

// stock tells material and thickness, or gauge, to people.
func (d *Difference) stock(b *panel.Blank) string { return stockTold(b).In(d.in) }

// stocks tells the stock before and after; a material that stays is named once.
func (d *Difference) stocks(p *Part) string {
	was, is := d.stock(p.old), d.stock(p.new)
	if m := p.new.Flat.Panel.Stock.Material + " "; p.old.Flat.Panel.Stock.Material+" " == m {
		is = strings.TrimPrefix(is, m)
	}
	return was + " → " + is
}

// stockOf tells material and thickness.
func stockOf(b *panel.Blank) string {
	s := b.Flat.Panel.Stock
	if s.Gauge != "" {
		return s.Material + " " + s.Gauge
	}
	return fmt.Sprintf("%s %.4gmm", s.Material, math.Round(s.Thickness*1e4)/1e4)
}

// stockTold tells it to people.
func stockTold(b *panel.Blank) measure.Text {
	s := b.Flat.Panel.Stock
	if s.Gauge != "" {
		return s.Told()
	}
	return measure.Say("%s %s", s.Material, value.Number{V: s.Thickness, Dim: quantity.Length})
}
