package format

import (
	"strings"

	"github.com/rogpeppe/go-internal/diff"

	"perch/lang/diag"
)

// Edits returns what to change in src to bring it into canonical form: edits of
// white space, commas and comments between the other tokens, in order, none of
// which touch. Applying any of them alone keeps the meaning too. A byte order mark
// stays, and where most lines end in CRLF, all of them do.
func Edits(src *diag.Source) ([]diag.Edit, []diag.Diagnostic) {
	text, diags := Source(src)
	if len(diags) > 0 {
		return nil, diags
	}
	if strings.HasPrefix(src.Text, byteOrderMark) {
		text = byteOrderMark + text
	}
	return between(src, strings.ReplaceAll(text, "\n", lineEnd(src.Text))), nil
}

const (
	byteOrderMark = "\ufeff"
	crlf          = "\r\n"
)

// lineEnd is how most lines of a text end.
func lineEnd(text string) string {
	if 2*strings.Count(text, crlf) > strings.Count(text, "\n") {
		return crlf
	}
	return "\n"
}

// Range is Edits for the lines first to last, from 1 and both included: the
// edits of all that stands between two tokens there, blank lines and line ends
// next to them included. Columns that reach over more lines may be left ragged.
func Range(src *diag.Source, first, last int) ([]diag.Edit, []diag.Diagnostic) {
	edits, diags := Edits(src)
	var out []diag.Edit
	for _, e := range edits {
		if e.Span.EndPosition().Line >= first && e.Span.Position().Line <= last {
			out = append(out, e)
		}
	}
	return out, diags
}

// between compares what stands between the tokens of two texts that differ in
// nothing else.
func between(src *diag.Source, text string) []diag.Edit {
	was, is := anchors(src.Text), anchors(text)
	var out []diag.Edit
	from, at := 0, 0
	for i := range was {
		a, b := was[i], is[i]
		out = appendEdit(out, src, from, int(a.start), text[at:b.start])
		from, at = int(a.end), int(b.end)
	}
	return appendEdit(out, src, from, len(src.Text), text[at:])
}

func appendEdit(out []diag.Edit, src *diag.Source, from, to int, gap string) []diag.Edit {
	if src.Text[from:to] == gap {
		return out
	}
	return append(out, diag.Edit{Span: diag.Span{Source: src, Start: int32(from), End: int32(to)}, Text: gap})
}

// anchors are the tokens that formatting neither moves nor adds.
func anchors(text string) []token {
	all := tokensOf(text)
	kept := all[:0]
	for _, t := range all {
		if t.kind != comma && t.kind != comment {
			kept = append(kept, t)
		}
	}
	return kept
}

// Diff is the unified difference from old to new, with three lines of context
// and the file's name in its head; "" where they are equal.
func Diff(name, old, new string) string {
	d := string(diff.Diff(name, []byte(old), name, []byte(new)))
	_, d, _ = strings.Cut(d, "\n") // the command that would give it
	return d
}
