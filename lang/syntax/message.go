package syntax

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"perch/lang/diag"
)

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
func describe(t *Token) string {
	switch {
	case t.EOF():
		return "the end of the file"
	case t.Type == StartToken:
		return fmt.Sprintf("`%s`, which starts a new statement", t.Value)
	case t.Type == TextToken:
		return "the text " + clip(t.Value)
	}
	return "`" + clip(t.Value) + "`"
}

// spot is where a missing thing is shown: at the token found instead, or just
// behind the token before where the statement has ended or the line has.
func (p *parser) spot(t *Token) diag.Span {
	prev := p.prev()
	if t.EOF() || t.Type == StartToken || t.Type == PunctToken && t.Value == "}" || strings.Contains(p.src.Text[prev.End:max(t.Start, prev.End)], "\n") {
		return prev.After()
	}
	return p.span(t)
}

// current is the statement that is being parsed, for its form.
func (p *parser) current() *starter {
	for raw := p.at; raw > 0; raw-- {
		if t := &p.tokens[raw-1]; t.Type == StartToken {
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
func (p *parser) nameMeant(t *Token) bool {

	defer p.back(p.at)
	p.next()
	next := p.peek()
	switch next.Type {
	case PunctToken:
		switch t.Value {
		case "rule", "outline", "fold", "seam": // go on with a value
			return next.Value != "-" && next.Value != "[" && next.Value != "("
		}
		return true
	case WordToken:
		return next.Value == "of" || next.Value == "like" || next.Value == "as" || next.Value == "from" || next.Value == "on" || next.Value == "off"
	}
	return false
}

// reserved reports a reserved word used as a name.
func (p *parser) reserved(t *Token) {
	w := t.Value
	p.fail(diag.Diagnostic{
		Code: "P1103", Span: p.span(t),
		Summary: fmt.Sprintf("`%s` is a reserved word and can't be a name", w),
		Label:   fmt.Sprintf("choose another, such as `%s_1` or `my_%s`", w, w),
		Fix:     replaceFix(p.span(t), w+"_1", "write `"+w+"_1`"),
	})
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
