package diag

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

const (
	tabStop     = 4   // columns
	lineWindow  = 160 // columns of a source line shown at most
	windowFront = 60  // of them before the underlined text
)

// Escape makes text safe to print: control characters, marks that turn the
// direction of writing, and bytes that are not UTF-8 are written as \x1b,
// \u202e or \xff. Tabs become one space.
func Escape(text string) string {
	if !strings.ContainsFunc(text, unsafeRune) {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		g, _ := glyph(text[i:i+size], r, 0)
		if r == '\t' {
			g = " "
		}
		b.WriteString(g)
		i += size
	}
	return b.String()
}

func unsafeRune(r rune) bool {
	return r == utf8.RuneError || unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029'
}

// glyph is how one character (its bytes and rune) is shown at a column, and how
// many columns it takes.
func glyph(bytes string, r rune, column int) (string, int) {
	switch {
	case r == '\t':
		n := tabStop - column%tabStop
		return strings.Repeat(" ", n), n
	case r == utf8.RuneError && len(bytes) == 1:
		return fmt.Sprintf(`\x%02x`, bytes[0]), 4
	case r < utf8.RuneSelf && r >= ' ' && r != 0x7f:
		return bytes, 1
	case unsafeRune(r) && r != utf8.RuneError:
		s := fmt.Sprintf(`\u%04x`, r)
		if r < 0x80 {
			s = fmt.Sprintf(`\x%02x`, r)
		}
		return s, len(s)
	case unicode.In(r, unicode.Mn, unicode.Me):
		return bytes, 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return bytes, 2
	}
	return bytes, 1
}

// excerpt prepares a source line for show with the bytes start..end to be
// underlined: the text, the columns before the underline and its width. Lines
// wider than lineWindow are cut around the underline, "…" marking each cut.
func excerpt(line string, start, end int) (text string, pad, under int) {
	cut := 0 // bytes left out in front
	if len(line) > lineWindow && start > windowFront {
		cut = start - windowFront
		for cut < start && !utf8.RuneStart(line[cut]) {
			cut++
		}
	}
	var b strings.Builder
	col, from, to := 0, -1, -1
	if cut > 0 {
		b.WriteString("…")
		col++
	}
	for i := cut; i < len(line); {
		if i >= start && from < 0 {
			from = col
		}
		if i >= end && to < 0 {
			to = col
		}
		if col >= lineWindow {
			b.WriteString("…")
			break
		}
		r, size := utf8.DecodeRuneInString(line[i:])
		g, w := glyph(line[i:i+size], r, col)
		b.WriteString(g)
		col += w
		i += size
	}
	if from < 0 {
		from = col
	}
	if to < 0 {
		to = col
	}
	return strings.TrimRight(b.String(), " "), from, to - from
}
