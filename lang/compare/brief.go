package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/quantity"
	"perch/parts/measure"
)

// claim is a sentence about a part with a sign for each number, so that parts that
// change alike can be told in one sentence with the range of each.
type claim struct {
	text    string
	numbers []span
}

// Signs of numbers in a claim.
const (
	aLength = "\x01" // a length
	aCount  = "\x02" // how many
	aFlat   = "\x03" // six lengths: old width and height, new ones, and by how much they changed
)

// span is the range of a number over all that are told together.
type span struct{ lo, hi float64 }

func at(x float64) span { return span{x, x} }

func (s span) with(o span) span { return span{min(s.lo, o.lo), max(s.hi, o.hi)} }

// tale is what became of some parts at some sizes.
type tale struct {
	names  []string
	sizes  []string
	head   []claim // one line
	claims []claim // one line each
	part   *Part   // the first of them at the first size
}

// key is equal of parts that change alike.
func (t *tale) key() string {
	var b strings.Builder
	for _, c := range t.head {
		b.WriteString(c.text + "\n")
	}
	for _, c := range t.claims {
		b.WriteString("  " + c.text + "\n")
	}
	return b.String()
}

// take widens the ranges by those of a tale with the same key.
func (t *tale) take(o *tale) {
	widen := func(a, b []claim) {
		for i := range a {
			for k := range a[i].numbers {
				a[i].numbers[k] = a[i].numbers[k].with(b[i].numbers[k])
			}
		}
	}
	widen(t.head, o.head)
	widen(t.claims, o.claims)
}

// tales gathers the parts: of each the sizes at which it changed alike, then the parts
// that did so at the same sizes.
func (d *Difference) tales() []*tale {
	var order []string
	by := map[string][]*tale{}
	for _, s := range d.Sizes {
		for i := range s.Parts {
			p := &s.Parts[i]
			if by[p.Name] == nil {
				order = append(order, p.Name)
			}
			t := d.tale(p)
			t.names, t.sizes = []string{p.Name}, []string{s.Name}
			k := slices.IndexFunc(by[p.Name], func(o *tale) bool { return o.key() == t.key() })
			if k < 0 {
				by[p.Name] = append(by[p.Name], t)
				continue
			}
			by[p.Name][k].take(t)
			by[p.Name][k].sizes = append(by[p.Name][k].sizes, s.Name)
		}
	}
	var out []*tale
	for _, name := range order {
		for _, t := range by[name] {
			k := slices.IndexFunc(out, func(o *tale) bool { return o.key() == t.key() && slices.Equal(o.sizes, t.sizes) })
			if k < 0 {
				out = append(out, t)
				continue
			}
			out[k].take(t)
			out[k].names = append(out[k].names, name)
		}
	}
	return out
}

// wideRow is the length of a row up to which all that is told of parts stands in it.
const wideRow = 100

// briefParts tells what became of the parts, alike ones together.
func (d *Difference) briefParts() []row {
	var out []row
	for _, t := range d.tales() {
		var head, more []string
		for _, c := range t.head {
			head = append(head, d.claimed(c))
		}
		for _, c := range t.claims {
			more = append(more, d.claimed(c))
		}
		r := row{cells: []string{strings.Join(compressed(t.names), ", ") + d.where(t.sizes) + ": " + strings.Join(head, ", ")}}
		if one := strings.Join(append(r.cells, more...), "; "); len([]rune(one)) <= wideRow {
			r.cells[0] = one
		} else {
			r.more = more
		}
		out = append(out, r)
	}
	return out
}

// tale tells one part at one size.
func (d *Difference) tale(p *Part) *tale {
	t := &tale{part: p}
	say := func(text string, numbers ...span) { t.head = append(t.head, claim{text, numbers}) }
	switch p.Change {
	case Added:
		w, h := p.new.Flat.Size()
		say("new, "+aCount+" of "+d.stock(p.new), at(float64(p.NewCount)))
		say("flat "+aLength+" × "+aLength, at(w), at(h))
		return t
	case Removed:
		say("gone, "+aCount+" of "+d.stock(p.old), at(float64(p.OldCount)))
		return t
	}
	if p.Was != "" {
		say("was " + p.Was)
	}
	if p.Change == Renamed {
		say("and is the same otherwise")
		return t
	}
	if p.OldCount != p.NewCount {
		say(fmt.Sprintf("%d → %s", p.OldCount, measure.Counted(p.NewCount, "piece")))
	}
	if d.triflingPart(p) {
		say("differs by " + d.moved(0))
		return t
	}
	if p.OldStock != p.NewStock {
		say(d.stocks(p))
	}
	if p.Turned || p.Flat == nil && p.OldCount == p.NewCount && p.OldStock == p.NewStock {
		say("bent the other way")
	}
	if p.Flat != nil {
		o, n := p.Flat.Old, p.Flat.New
		w, h := n.Width-o.Width, n.Height-o.Height
		if max(math.Abs(w), math.Abs(h)) < d.least() {
			say("the flat's size stays")
		} else {
			say(aFlat, at(o.Width), at(o.Height), at(n.Width), at(n.Height), at(w), at(h))
		}
		t.claims = d.claims(p)
	}
	return t
}

// claims tells what is made otherwise in a flat, then what lies elsewhere.
func (d *Difference) claims(p *Part) []claim {
	var out []claim
	var made grouped
	var moved, cutsMoved []string
	far, cutsFar := span{math.Inf(1), 0}, span{math.Inf(1), 0}
	for _, h := range p.Flat.Holes {
		join := base(h.Name)
		if h.carried() {
			continue
		}
		if !h.onlyMoved() {
			made.add(d.holeFact(h), h.Name)
			continue
		}
		far = far.with(at(h.Moved))
		if !slices.Contains(moved, join) {
			moved = append(moved, join)
		}
	}
	for i, what := range made.texts {
		var joins []string
		for _, name := range made.sizes[i] {
			if join := base(name); !slices.Contains(joins, join) {
				joins = append(joins, join)
			}
		}
		out = append(out, claim{aCount + " hole of " + list(joins) + " " + what, []span{at(float64(len(made.sizes[i])))}})
	}
	out = append(out, cutClaims(p.Flat.Cuts)...)
	for _, c := range p.Flat.Cuts {
		if c.Change == Changed && c.Edge == 0 && c.Moved > 0 {
			cutsFar, cutsMoved = cutsFar.with(at(c.Moved)), append(cutsMoved, c.Name)
		}
	}
	bent, line := d.bentClaims(p)
	out = append(out, bent...)
	for _, m := range p.Flat.Marks {
		out = append(out, claim{d.markFact(m), nil})
	}
	var where claim
	add := func(text string, s span) {
		if where.text == "" {
			where.text = "moved: "
		} else {
			where.text += ", "
		}
		where.text += text + aLength
		where.numbers = append(where.numbers, s)
	}
	if len(cutsMoved) > 0 {
		add(plural(len(cutsMoved), "cut")+" "+few(cutsMoved)+" ", cutsFar)
	}
	if len(moved) > 0 {
		add("holes of "+list(moved)+" ", far)
	}
	if p.Flat.Outline > 0 {
		add("outline up to ", at(p.Flat.Outline))
	}
	if line > 0 {
		add("fold lines up to ", at(line))
	}
	if where.text != "" {
		out = append(out, where)
	}
	return out
}

// cutClaims tells openings that came, went or have another shape, alike ones together.
func cutClaims(cuts []Cut) []claim {
	var g grouped
	far := map[string]span{}
	for _, c := range cuts {
		what := ""
		switch {
		case c.carried() || c.Change == Changed && c.Edge == 0 && c.Moved > 0:
			continue
		case c.Change != Changed:
			what = " " + string(c.Change)
		case c.Edge > 0:
			what = ": edge moved by up to " + aLength
		default:
			what = " made otherwise"
		}
		g.add(what, c.Name)
		s, known := far[what]
		if !known {
			s = at(c.Edge)
		}
		far[what] = s.with(at(c.Edge))
	}
	var out []claim
	for i, what := range g.texts {
		x := claim{text: plural(len(g.sizes[i]), "cut") + " " + few(g.sizes[i]) + what}
		if strings.Contains(what, aLength) {
			x.numbers = []span{far[what]}
		}
		out = append(out, x)
	}
	return out
}

// bentClaims tells what is bent otherwise, folds that are so alike together, and how far
// the lines of folds moved.
func (d *Difference) bentClaims(p *Part) (out []claim, moved float64) {
	var g grouped
	bend := func(angle float64, down bool) string {
		return quantity.Decimal(angle, 3) + "° " + map[bool]string{false: "up", true: "down"}[down]
	}
	for _, f := range p.Flat.Folds {
		var what []string
		switch {
		case f.Change == Added:
			what = append(what, "new, "+bend(f.NewAngle, f.NewDown))
		case f.Change == Removed:
			what = append(what, "gone")
		default:
			if o, n := bend(f.OldAngle, f.OldDown), bend(f.NewAngle, f.NewDown); o != n {
				what = append(what, o+" → "+n)
			}
			o, n := d.length(f.OldRadius), d.length(f.NewRadius)
			if o != n {
				what = append(what, "radius "+o+" → "+n)
			}
			if k, l := quantity.Decimal(f.OldK, 4), quantity.Decimal(f.NewK, 4); k != l && o == n && p.OldStock == p.NewStock {
				what = append(what, "K "+k+" → "+l)
			}
			if len(what) == 0 && p.OldStock == p.NewStock { // else the line follows from the bend
				moved = max(moved, f.Moved)
			}
		}
		if len(what) > 0 {
			g.add(strings.Join(what, ", "), f.Name)
		}
	}
	for i, text := range g.texts {
		names := g.sizes[i]
		who := plural(len(names), "fold") + " " + few(names)
		if len(names) > 1 && len(names) == len(p.new.Flat.Folds) {
			who = "every fold"
		}
		out = append(out, claim{who + ": " + text, nil})
	}
	return out, moved
}

// claimed writes a claim with its numbers.
func (d *Difference) claimed(c claim) string {
	var b strings.Builder
	k := 0
	words := c.text
	for {
		i := strings.IndexAny(words, aLength+aCount+aFlat)
		if i < 0 {
			return strings.ReplaceAll(b.String()+words, "up to less than", "less than")
		}
		b.WriteString(words[:i])
		switch words[i : i+1] {
		case aLength:
			b.WriteString(ranged(c.numbers[k], d.moved))
			k++
		case aFlat:
			b.WriteString(d.flatSize(c.numbers[k : k+6]))
			k += 6
		default:
			n := c.numbers[k]
			b.WriteString(ranged(n, func(x float64) string { return quantity.Decimal(x, 0) }))
			if rest := words[i+1:]; strings.HasPrefix(rest, " hole") && n.hi > 1 {
				b.WriteString(" holes")
				i += len(" hole")
			} else if strings.HasPrefix(rest, " of") {
				b.WriteString(" " + plural(int(n.hi), "piece"))
			}
			k++
		}
		words = words[i+1:]
	}
}

// ranged writes a range, or the one number that both its ends are written as.
func ranged(s span, write func(float64) string) string {
	lo, hi := write(s.lo), write(s.hi)
	if lo == hi {
		return lo
	}
	return lo + " to " + hi
}

// flatSize tells the size of a flat before and after where all have one, else by how
// much it changed.
func (d *Difference) flatSize(n []span) string {
	var size [4]string
	one := true
	for i := range size {
		size[i] = ranged(n[i], d.length)
		one = one && d.length(n[i].lo) == d.length(n[i].hi)
	}
	if one {
		return fmt.Sprintf("flat %s × %s → %s × %s", size[0], size[1], size[2], size[3])
	}
	by := func(x float64) string {
		if s := d.length(math.Abs(x)); math.Abs(x) < d.least() {
			return "0"
		} else if x < 0 {
			return "−" + s
		} else {
			return "+" + s
		}
	}
	return fmt.Sprintf("flat %s × %s", ranged(n[4], by), ranged(n[5], by))
}
