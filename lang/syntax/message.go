package syntax

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2"
	"golang.org/x/text/unicode/norm"

	"perch/lang/diag"
	"perch/lang/quantity"
)

var errReported = errors.New("reported")

// fail reports a mistake that costs the statement.
func (p *parser) fail(d diag.Diagnostic) {
	p.failed = true
	p.report(d)
}

// normal is a name in Unicode's composed form, so that two ways to type one
// letter are one name.
func normal(name string) string {
	for i := 0; i < len(name); i++ {
		if name[i] >= utf8.RuneSelf {
			return norm.NFC.String(name)
		}
	}
	return name
}

// clip shortens text from the file for a message, to one line.
func clip(s string) string {
	const most = 32
	if i := strings.IndexAny(s, "\r\n"); i >= 0 {
		s = s[:i] + "…"
	}
	if len(s) <= most {
		return s
	}
	n := most
	for n > 0 && !utf8.RuneStart(s[n]) {
		n--
	}
	return s[:n] + "…"
}

// describe names a token that was found.
func describe(t *token) string {
	switch {
	case t.EOF():
		return "the end of the file"
	case t.Type == tStart:
		return fmt.Sprintf("`%s`, which starts a new statement", t.Value)
	case t.Type == tText:
		return "the text " + clip(t.Value)
	}
	return "`" + clip(t.Value) + "`"
}

// spot is where a missing thing is shown: at the token found instead, or just
// behind the token before where the statement has ended or the line has.
func (p *parser) spot(t *token) diag.Span {
	prev := p.prev()
	if t.EOF() || t.Type == tStart || t.Type == tPunct && t.Value == "}" || strings.Contains(p.src.Text[prev.End:max(t.Pos.Offset, int(prev.End))], "\n") {
		return prev.After()
	}
	return p.span(t)
}

// expected turns participle's refusal into a diagnostic.
func (p *parser) expected(err error) {
	p.failed = true
	t := p.l.Peek()
	var u *participle.UnexpectedTokenError
	var want []string
	if errors.As(err, &u) {
		_, list, _ := strings.Cut(u.Message(), "(expected ")
		want = firsts(strings.TrimSuffix(list, ")"))
	}
	if len(want) > 0 && want[0] == "<word>" && (t.Type == tStart || t.Type == tKey) && p.nameMeant(t) {
		p.l.Next()
		p.reserved(t)
		return
	}
	if st := p.current(); len(want) == 1 && want[0] == `"="` && t.Value == ":" && st != nil && st.word == "let" {
		p.letType(t)
		return
	}
	d := diag.Diagnostic{Code: "P1102", Span: p.spot(t)}
	words := make([]string, len(want))
	for i, w := range want {
		words[i] = wanted(w)
	}
	goal := join(words, "or")
	if goal == "" {
		goal = "something else"
	}
	d.Summary = fmt.Sprintf("expected %s after `%s`, found %s", goal, clip(p.prev().Text()), describe(t))
	d.Label = "expected " + goal
	if st := p.current(); st != nil {
		d.Notes = []string{"it reads: " + st.form}
	}
	if len(want) == 1 && want[0] == `"="` && t.Type != tStart && !t.EOF() {
		at := p.prev().After()
		d.Fix = replaceFix(at, " =", "put a `=` here")
		if t.Value == ":" {
			d.Fix = replaceFix(p.span(t), " =", "write `=`")
		}
	}
	if system := systemMeant(t.Value); len(want) == 2 && want[0] == `"inches"` && t.Type == tWord && system != "" {
		d.Fix = replaceFix(p.span(t), system, "write "+system)
	}
	if word := strings.Trim(goal, "`"); len(want) == 1 && slices.Contains(clauseWords, word) {
		d.Fix = p.insertWord(word)
	}
	p.report(d)
}

// systemMeant is the word for a design's units that another word may have meant, or "".
func systemMeant(word string) string {
	unit, ok := quantity.SuggestUnit(word)
	if _, is := quantity.LookupUnit(word); is {
		unit, ok = word, true
	}
	switch {
	case !ok:
		return ""
	case unit == "in" || unit == "ft" || unit == `"`:
		return "inches"
	case unit == "mm" || unit == "cm" || unit == "m":
		return "millimetres"
	}
	return ""
}

// current is the statement that is being parsed, for its form.
func (p *parser) current() *starter {
	for raw := p.l.RawCursor(); raw > 0; raw-- {
		if t := &p.l.Range(raw-1, raw)[0]; t.Type == tStart {
			if p.last != nil && p.last.word == t.Value { // as a file or as a face has it
				return p.last
			}
			return starterFor(t.Value)
		}
	}
	return nil
}

// nameMeant reports whether the reserved word t, found where a name belongs, is
// a name that may not be used rather than the next statement: a statement would
// go on with a name, or with what only it can.
func (p *parser) nameMeant(t *token) bool {
	cp := p.l.MakeCheckpoint()
	defer p.l.LoadCheckpoint(cp)
	p.l.Next()
	next := p.l.Peek()
	switch next.Type {
	case tPunct:
		switch t.Value {
		case "rule", "outline", "fold", "seam": // go on with a value
			return next.Value != "-" && next.Value != "[" && next.Value != "("
		}
		return true
	case tWord:
		return next.Value == "of" || next.Value == "like" || next.Value == "as" || next.Value == "from" || next.Value == "on" || next.Value == "off"
	}
	return false
}

// reserved reports a reserved word used as a name.
func (p *parser) reserved(t *token) {
	w := t.Value
	p.fail(diag.Diagnostic{
		Code: "P1103", Span: p.span(t),
		Summary: fmt.Sprintf("`%s` is a reserved word and can't be a name", w),
		Label:   fmt.Sprintf("choose another, such as `%s_1` or `my_%s`", w, w),
		Fix:     replaceFix(p.span(t), w+"_1", "write `"+w+"_1`"),
	})
}

// wanted names a symbol of the grammar for the reader.
func wanted(symbol string) string {
	switch symbol {
	case "<word>", "ImportG", "StateG":
		return "a name"
	case "<text>":
		return "a quoted text"
	case "DeclsNode":
		return "`(`"
	case "IndexNode":
		return "`[`"
	}
	if s := strings.Trim(symbol, `"`); s != symbol {
		return "`" + s + "`"
	}
	return "a value"
}

// firsts lists the symbols that an EBNF phrase, as participle prints it, can
// start with.
func firsts(s string) []string {
	s = strings.TrimSpace(s)
	if s == "" {
		return nil
	}
	if s[0] != '(' {
		end := strings.IndexAny(s, " ")
		if s[0] == '"' {
			end = strings.IndexByte(s[1:], '"') + 2
		}
		if end <= 0 || end > len(s) {
			end = len(s)
		}
		sym, rest := s[:end], s[end:]
		if bare := strings.TrimRight(sym, "?*+!"); bare != sym && sym[0] != '"' {
			return append([]string{bare}, firsts(rest)...)
		}
		if rest != "" && (rest[0] == '?' || rest[0] == '*') {
			return append([]string{sym}, firsts(rest[1:])...)
		}
		return []string{sym}
	}
	var out []string
	depth, from, quoted := 0, 1, false
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '(':
			depth++
		case c == '|' && depth == 1:
			out = append(out, firsts(s[from:i])...)
			from = i + 1
		case c == ')':
			if depth--; depth == 0 {
				out = append(out, firsts(s[from:i])...)
				if i+1 < len(s) && (s[i+1] == '?' || s[i+1] == '*') {
					out = append(out, firsts(s[i+2:])...)
				}
				return out
			}
		}
	}
	return out
}

// join lists words for a sentence: a, b or c.
func join(words []string, last string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " " + last + " " + words[n-1]
	}
}
