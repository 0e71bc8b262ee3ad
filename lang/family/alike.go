package family

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/drawing/layout"
	"perch/parts/lettering"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shopcheck"
)

// alike warns of blanks that are easily taken for each other: one warning for each part
// statement, with a name to scribe. Where not all were held to each other that is told.
func alike(r *build.Result, all bool) []diag.Diagnostic {
	var out []diag.Diagnostic
	told := map[diag.Span]int{}
	in := r.Program().Shown
	seen := map[string]bool{}
	for _, b := range r.Assembly.Blanks {
		for _, l := range b.Like {
			if !seen[l.Blank] {
				continue // it is told where that one's turn comes
			}
			text := fmt.Sprintf("%s looks like %s%s: %s", b.Name, l.Blank, map[bool]string{true: " turned over"}[l.Over], l.Differs[0].In(in))
			var more []string
			for _, d := range l.Differs[1:] {
				more = append(more, d.In(in))
			}
			at := r.Place(b.Name)
			if k, ok := told[at]; ok {
				if len(out[k].Notes) <= maxPlaces {
					out[k].Notes = append(out[k].Notes, "also "+text)
				}
				continue
			}
			told[at] = len(out)
			d := diag.Diagnostic{Code: shopcheck.LookAlike.Code, Severity: diag.Warning, Span: at, Part: b.Name, Summary: text,
				Related: []diag.Related{{Span: r.Place(l.Blank), Message: "the other blank"}}, Fix: scribe(r, b)}
			if len(more) > 0 {
				d.Notes = append(d.Notes, "it differs as well: "+strings.Join(more[:min(len(more), maxPlaces)], "; "))
			}
			d.Notes = append(d.Notes, "rule: "+shopcheck.LookAlike.Rule.In(in))
			out = append(out, d)
		}
		seen[b.Name] = true
	}
	if !all {
		out = append(out, diag.Diagnostic{Code: shopcheck.LookAlike.Code, Severity: diag.Note,
			Summary: fmt.Sprintf("of %s not all were held to each other: so many look alike", measure.Counted(len(r.Assembly.Blanks), "blank"))})
	}
	return out
}

// scribe proposes a mark that tells a blank by its name; nil where its copies cannot be
// named in one statement, or where it has no room for letters.
func scribe(r *build.Result, b *panel.Blank) *diag.Fix {
	var copies []string
	for _, c := range r.Assembly.Copies {
		if r.Assembly.Blanks[c.Blank] == b {
			copies = append(copies, c.Name)
		}
	}
	index, part, ok := chosen(r, copies)
	if !ok {
		return nil
	}
	in := r.Program().Shown
	for i, f := range b.Flat.Faces {
		if strings.Contains(f.Name, ".") {
			continue // one of a family
		}
		at, height, ok := room(b.Flat, i, b.Name, in)
		if !ok {
			continue
		}
		src := r.Program().Root.Source
		lead := "\n"
		if !strings.HasSuffix(src.Text, "\n") {
			lead = "\n\n"
		}
		line := fmt.Sprintf("mark name_%s%s in %s.%s = text(%s, height: %s) at (%s, %s)", strings.Map(ofName, b.Name), index, part, f.Name,
			syntax.Quote(b.Name), stated(height, in), stated(at.X, in), stated(at.Y, in))
		end := int32(len(src.Text))
		return &diag.Fix{Message: "scribe its name: " + line, Edits: []diag.Edit{{Span: diag.Span{Source: src, Start: end, End: end}, Text: lead + line + "\n"}}}
	}
	return nil
}

// ofName is a character as a name may have it.
func ofName(c rune) rune {
	if unicode.IsLetter(c) || unicode.IsDigit(c) {
		return c
	}
	return '_'
}

// grid is what proposed places and heights are rounded to: a mm, or 1/20 in.
func grid(in measure.System) float64 {
	if in == measure.Inches {
		return measure.InchMM / 20
	}
	return 1
}

// stated is a length as a design in that system states it.
func stated(mm float64, in measure.System) string {
	return measure.Decimal(mm/in.Scale(), 2) + in.Unit()
}

// room finds a free place for a text on a face, in the face's own coordinates: where its
// baseline starts, and how high its capitals may be.
func room(f *panel.Flat, face int, text string, in measure.System) (at plane.Point, height float64, ok bool) {
	var metal plane.Loop
	var holes []plane.Loop
	for _, l := range f.Faces[face].Trimmed {
		if l.Area() > 0 && metal == nil {
			metal = l
		} else {
			holes = append(holes, l)
		}
	}
	back, err := f.Faces[face].ToFlat.Inverse()
	if metal == nil || err != nil {
		return at, 0, false
	}
	g := layout.New(metal, holes)
	for _, l := range layout.Openings(f) {
		box := l.Transform(back).Bounds()
		g.Take(box.Min, box.Max)
	}
	for _, m := range f.Marks {
		for i := range max(0, len(m.Path)-1) {
			g.Block(back.Apply(m.Path[i].P), back.Apply(m.Path[i+1].P))
		}
	}
	step := grid(in)
	for _, steps := range []float64{8, 6, 5, 4, 3} {
		height = max(step, math.Round(steps/step)*step)
		w, h := lettering.Width(text, height), float64(1.4*height)
		if at, ok = g.Find(w+float64(2*step), h+float64(2*step)); ok {
			at = plane.Point{X: math.Ceil(at.X/step) * step, Y: math.Ceil((at.Y+float64(0.35*height))/step) * step}
			return at, height, true
		}
	}
	return at, 0, false
}

// chosen writes the copies of a part as a statement of the file names them: the index of
// a mark that goes through them, and the part with it.
func chosen(r *build.Result, copies []string) (index, part string, ok bool) {
	if len(copies) == 0 {
		return "", "", false
	}
	base, _, _ := strings.Cut(copies[0], ".")
	var stmt *syntax.Part
	for _, s := range r.Program().Root.File.Stmts {
		if p, is := s.(*syntax.Part); is && p.Name.Name == base {
			stmt = p
		}
	}
	switch {
	case stmt == nil:
		return "", "", false
	case len(stmt.Index) == 0:
		return "", base, true
	}
	if items := listed(stmt); items != nil {
		return picked(r, base, items, copies)
	}
	keys := make([][]int, len(stmt.Index)) // by index: the values that there are, each once
	for _, c := range copies {
		words := strings.Split(c, ".")
		if len(words) != 1+len(keys) {
			return "", "", false
		}
		for i, w := range words[1:] {
			n, err := strconv.Atoi(w)
			if err != nil || !ranked(stmt.Index[i].Domain) {
				return "", "", false
			}
			if !slices.Contains(keys[i], n) {
				keys[i] = append(keys[i], n)
			}
		}
	}
	total := 1
	var through, picked []string
	for i, k := range keys {
		total *= len(k)
		slices.Sort(k)
		word := strconv.Itoa(k[0])
		if len(k) > 1 {
			word = string(rune('i' + i))
			var all []string
			for _, n := range k {
				all = append(all, strconv.Itoa(n))
			}
			through = append(through, word+" in ["+strings.Join(all, ", ")+"]")
		}
		if d := stmt.Index[i].Domain; d.Hi == nil {
			word = d.Lo.Span().Text() + "[" + word + "]"
		}
		picked = append(picked, word)
	}
	if total != len(copies) {
		return "", "", false // not all that the lists come to
	}
	if len(through) > 0 {
		index = "[" + strings.Join(through, ", ") + "]"
	}
	return index, base + "[" + strings.Join(picked, ", ") + "]", true
}

// listed are the items of the list that a family is made of; nil where it has another index,
// or where a guard leaves some out.
func listed(s *syntax.Part) []syntax.Item {
	l, ok := s.Index[0].Domain.Lo.(*syntax.List)
	if !ok || len(s.Index) > 1 || s.Index[0].Domain.Hi != nil || s.Guard != nil {
		return nil
	}
	return l.Items
}

// picked writes copies of a family that is made of a list by the list's items.
func picked(r *build.Result, base string, items []syntax.Item, copies []string) (index, part string, ok bool) {
	var all, texts []string
	for _, c := range r.Assembly.Copies {
		if strings.HasPrefix(c.Name, base+".") {
			all = append(all, c.Name)
		}
	}
	if len(all) != len(items) {
		return "", "", false
	}
	for k, c := range all {
		if slices.Contains(copies, c) {
			texts = append(texts, items[k].Value.Span().Text())
		}
	}
	if len(texts) == 1 {
		return "", base + "[" + texts[0] + "]", true
	}
	return "[i in [" + strings.Join(texts, ", ") + "]]", base + "[i]", true
}

// ranked tells whether a copy's number is what picks it: a count itself, or a body's
// corner or side by its number.
func ranked(d *syntax.Domain) bool {
	if d.Hi != nil {
		return true
	}
	m, ok := d.Lo.(*syntax.Member)
	return ok && (m.Name.Name == "corners" || m.Name.Name == "sides")
}
