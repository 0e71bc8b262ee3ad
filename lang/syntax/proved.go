package syntax

import (
	"slices"
	"strings"

	"perch/lang/diag"
)

// maxProved is how many fixes of one text are tried out: each costs about as much as an
// edit of the text does.
const maxProved = 12

// Proved are the mistakes of a text that was parsed, with those fixes only that were tried
// out and leave fewer mistakes of syntax. Where the fix that the mistake suggests does not,
// or there is none, what stands too much is offered to be left out, where that does. Past
// maxProved mistakes nothing is tried out, and no fix is offered.
func Proved(f *File, mistakes []diag.Diagnostic) []diag.Diagnostic {
	if len(mistakes) == 0 {
		return mistakes
	}
	out := slices.Clone(mistakes)
	left := maxProved
	for i := range out {
		d := &out[i]
		var proved *diag.Fix
		for _, fix := range candidates(f.Source, d) {
			if left--; left < 0 || proved != nil {
				break
			}
			if mends(f, mistakes, fix) {
				proved = fix
			}
		}
		d.Fix = proved
	}
	return out
}

// candidates are what may mend a mistake, the likeliest first.
func candidates(src *diag.Source, d *diag.Diagnostic) (all []*diag.Fix) {
	if d.Fix != nil {
		all = append(all, d.Fix)
	}
	if d.Code == "P1202" {
		for _, r := range d.Related {
			all = append(all, replaceFix(r.Span, "", "leave this `"+r.Span.Text()+"` out"))
		}
	}
	at, again, ok := surplus(src, d.Span)
	switch leave := replaceFix(at, "", "leave `"+clip(at.Text())+"` out"); {
	case again:
		return append([]*diag.Fix{leave}, all...)
	case ok:
		return append(all, leave)
	}
	return all
}

// surplus is the sign or word that was found where a mistake stands, if it may be one too
// many: a sign, or a word or number that stands there twice.
func surplus(src *diag.Source, at diag.Span) (_ diag.Span, again, ok bool) {
	text := src.Text
	if at.Start >= at.End { // shown before what was found
		rest := text[at.End:]
		at.Start = int32(len(text) - len(strings.TrimLeft(rest, " \t\r\n")))
		at.End = min(at.Start+1, int32(len(text)))
	}
	got := at.Text()
	if len(got) == 1 && strings.Contains("(){}[],=:;", got) {
		return at, false, true
	}
	before := strings.TrimRight(text[:at.Start], " \t")
	again = got != "" && !strings.ContainsAny(got, "\r\n") && strings.HasSuffix(before, got) && len(before) < int(at.Start) &&
		!endsInWord(strings.TrimSuffix(before, got))
	return at, again, again
}

// mends tries a fix out: fewer mistakes are left.
func mends(f *File, mistakes []diag.Diagnostic, fix *diag.Fix) bool {
	if len(fix.Edits) == 0 || slices.ContainsFunc(fix.Edits, func(e diag.Edit) bool { return e.Span.Source != f.Source }) {
		return false
	}
	text := fix.Apply(f.Source.Text)
	ch := Change{Start: len(f.Source.Text)}
	for _, e := range fix.Edits {
		ch.Start, ch.End = min(ch.Start, int(e.Span.Start)), max(ch.End, int(e.Span.End))
	}
	ch.Fresh = ch.End - ch.Start + len(text) - len(f.Source.Text)
	_, left := Reparse(f, mistakes, diag.NewSource(f.Source.Name, text), ch)
	return len(left) < len(mistakes)
}

// endsInWord tells whether a text ends in the middle of a word or number.
func endsInWord(before string) bool {
	if before == "" {
		return false
	}
	c := before[len(before)-1]
	return c == '_' || c == '.' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= 0x80
}
