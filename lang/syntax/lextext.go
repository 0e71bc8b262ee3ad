package syntax

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"perch/lang/diag"
)

// quoted takes a text in quotes, which ends on its own line.
func (s *scanner) quoted() Token {
	start := s.i
	for s.i++; ; s.i++ {
		if s.i >= len(s.text) || s.text[s.i] == '\n' {
			s.unquoted(start)
			break
		}
		if s.text[s.i] == '"' {
			s.i++
			s.checkText(start, s.i)
			break
		}
		if s.text[s.i] == '\\' && s.i+1 < len(s.text) && s.text[s.i+1] != '\n' {
			s.i++
		}
	}
	raw := s.text[start:s.i]
	if strings.IndexByte(raw, '\\') >= 0 {
		unquote(raw, func(at, n int, why string) {
			d := s.report("P1006", start+at, start+at+n, why, `known are \" \\ \n \t and \u{e9}`)
			d.Fix = replaceFix(s.span(start+at, start+at+1), `\\`, "write `\\\\` for the sign itself")
		})
	}
	return s.token(TextToken, start, raw)
}

// unquoted reports the text that starts at start and has no end on its line,
// where s.i is. Where it was broken over lines it is taken whole.
func (s *scanner) unquoted(start int) {
	line := s.span(strings.LastIndexByte(s.text[:start], '\n')+1, s.i)
	end := s.i
	for end > start+1 && (s.text[end-1] == '\r' || s.text[end-1] == ' ') {
		end--
	}
	d := s.unreadable("P1005", start, end, "a quoted text is not closed", "close it with `\"` on the same line")
	d.Fix = replaceFix(s.span(end, end), `"`, "close it with `\"`")
	s.checkText(start, end)
	if over := s.brokenText(); over > 0 {
		d.Related = []diag.Related{{Span: s.span(over-1, over), Message: "it seems to end here"}}
		d.Notes = []string{"a text stands on one line; a new line in it is written \\n"}
		d.Fix = s.oneLine(start, over)
		s.i = over
		return
	}
	s.i = end
	s.broken = append(s.broken, line)
}

// oneLine is the fix that puts a space for every line break in start..end, with the
// blanks around it.
func (s *scanner) oneLine(start, end int) *diag.Fix {
	fix := &diag.Fix{Message: "put it on one line"}
	for i := start; i < end; i++ {
		if s.text[i] != '\n' {
			continue
		}
		from := start + len(strings.TrimRight(s.text[start:i], " \t\r"))
		to := skipBlanks(s.text, i)
		fix.Edits = append(fix.Edits, diag.Edit{Span: s.span(from, to), Text: " "})
		i = to
	}
	return fix
}

// brokenText is where a text that goes on over the end of the line at s.i seems to
// end: behind the first quote on a line that has one too many. 0 where it seems that
// its quote was forgotten.
func (s *scanner) brokenText() int {
	const lines = 20 // that are looked at
	rest := s.text[s.i:]
	for range lines {
		_, next, ok := strings.Cut(rest, "\n")
		if !ok {
			return 0
		}
		rest = next
		line, _, _ := strings.Cut(rest, "\n")
		words := strings.TrimLeft(line, " \t")
		if word := words[:endOfWord(words, 0)]; wordType(word) == StartToken || strings.TrimSpace(line) == "" || words[0] == '}' {
			return 0
		}
		switch n := strings.Count(line, `"`); {
		case n%2 == 1:
			return len(s.text) - len(rest) + strings.IndexByte(line, '"') + 1
		case n > 0:
			return 0
		}
	}
	return 0
}

// unquote takes the quotes and escapes off a text token. bad, if given, is told
// of each escape that is none: its place in raw, its length, what is wrong.
func unquote(raw string, bad func(at, n int, why string)) string {
	body := strings.TrimPrefix(raw, `"`)
	if !strings.Contains(body, `\`) {
		return strings.TrimSuffix(body, `"`)
	}
	var b strings.Builder
	for i := 1; i < len(raw); i++ {
		c := raw[i]
		if c == '"' {
			break
		}
		if c != '\\' || i+1 == len(raw) {
			b.WriteByte(c)
			continue
		}
		out, n := escape(raw[i:])
		if n == 0 {
			_, size := utf8.DecodeRuneInString(raw[i+1:])
			n = 1 + size
			out = raw[i : i+n]
			if bad != nil {
				bad(i, n, fmt.Sprintf("`%s` is no escape", raw[i:i+n]))
			}
		}
		b.WriteString(out)
		i += n - 1
	}
	return b.String()
}

// escape reads the escape at the start of s: what it means and its length, 0
// for none.
func escape(s string) (string, int) {
	switch s[1] {
	case '"', '\\':
		return s[1:2], 2
	case 'n':
		return "\n", 2
	case 't':
		return "\t", 2
	case 'u':
		end := strings.IndexByte(s, '}')
		if len(s) < 5 || s[2] != '{' || end < 4 || end > 9 {
			return "", 0
		}
		v, err := strconv.ParseUint(s[3:end], 16, 32)
		if err != nil || v < ' ' || !utf8.ValidRune(rune(v)) {
			return "", 0
		}
		return string(rune(v)), end + 1
	}
	return "", 0
}

// Quote writes v as a text token.
func Quote(v string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range v {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r < ' ' || r == 0x7f || hidden(r):
			fmt.Fprintf(&b, `\u{%x}`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// hidden reports a mark that changes the direction of writing: text that shows
// otherwise than it reads.
func hidden(r rune) bool {
	return r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r >= 0x80 && r < 0xa0
}

// checkText reports what may not stand in a comment or a text: bytes that are
// not UTF-8, control characters, marks of direction. One report a kind.
func (s *scanner) checkText(start, end int) {
	var broken, control bool
	for i := start; i < end; {
		c := s.text[i]
		if c >= ' ' && c < 0x7f || c == '\t' {
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s.text[i:end])
		switch {
		case r == utf8.RuneError && size == 1:
			if !broken {
				s.notUTF8(i, i+1)
			}
			broken = true
		case r < ' ' || r == 0x7f || hidden(r):
			if !control {
				s.unreadable("P1003", i, i+size, fmt.Sprintf("the control character U+%04X stands in the text", r), "delete it")
			}
			control = true
		}
		i += size
	}
}

func (s *scanner) notUTF8(start, end int) {
	d := s.unreadable("P1002", start, end, fmt.Sprintf("the byte 0x%02x is not UTF-8", s.text[start]), "not readable as text")
	d.Notes = []string{"save the file as UTF-8"}
}

// skip steps over n bytes as a Bad token.
func (s *scanner) skip(n int) Token {
	start := s.i
	s.i += n
	return s.token(BadToken, start, s.text[start:s.i])
}
