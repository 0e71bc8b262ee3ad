package syntax

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"perch/lang/diag"
	"perch/lang/quantity"
)

// scanner cuts one source into tokens.
type scanner struct {
	src      *diag.Source
	text     string
	i        int
	count    int // tokens so far
	prev     string
	prev2    string // values of the last two tokens, comments apart
	prevType TokenType
	newLine  bool // a line ended since the token before
	comments []Comment
	diags    []diag.Diagnostic
	broken   []diag.Span // from the start of a line to its end, where a quote is left open
}

func newScanner(src *diag.Source) *scanner {
	s := &scanner{src: src, text: src.Text}
	if strings.HasPrefix(s.text, "\ufeff") {
		s.i = len("\ufeff")
	}
	return s
}

func (s *scanner) span(start, end int) diag.Span {
	return diag.Span{Source: s.src, Start: int32(start), End: int32(end)}
}

// report notes a sign out of place at start..end and returns the mistake to be added to.
func (s *scanner) report(code string, start, end int, summary, label string) *diag.Diagnostic {
	d := s.unreadable(code, start, end, summary, label)
	d.Mark = diag.MaybeText
	return d
}

// unreadable notes what is wrong in a text too. Past stopAfter mistakes none is noted.
func (s *scanner) unreadable(code string, start, end int, summary, label string) *diag.Diagnostic {
	if len(s.diags) >= stopAfter {
		return &diag.Diagnostic{}
	}
	s.diags = append(s.diags, diag.Diagnostic{Code: code, Span: s.span(start, end), Summary: summary, Label: label})
	return &s.diags[len(s.diags)-1]
}

// mistakes are those found, without what is out of place on a line with a quote left
// open: it may be the text. What can't be read is wrong there too.
func (s *scanner) mistakes() []diag.Diagnostic {
	if len(s.broken) == 0 {
		return s.diags
	}
	return slices.DeleteFunc(s.diags, func(d diag.Diagnostic) bool {
		return d.Mark&diag.MaybeText != 0 && slices.ContainsFunc(s.broken, func(l diag.Span) bool {
			return d.Span.Start >= l.Start && d.Span.Start < l.End
		})
	})
}

func replaceFix(sp diag.Span, text, message string) *diag.Fix {
	return &diag.Fix{Message: message, Edits: []diag.Edit{{Span: sp, Text: text}}}
}

func (s *scanner) token(t TokenType, start int, value string) Token {
	if t != CommentToken && t != BadToken {
		s.prev2, s.prev, s.prevType = s.prev, value, t
	}
	s.count++
	return Token{Type: t, Value: value, Start: int32(start), End: int32(s.i)}
}

// next is the next token. What is wrong is reported, and read as what it may mean.
func (s *scanner) next() Token {
	start := skipBlanks(s.text, s.i)
	s.newLine = strings.IndexByte(s.text[s.i:start], '\n') >= 0
	s.i = start
	if s.i >= len(s.text) {
		return s.token(EndToken, len(s.text), "")
	}
	if s.count >= maxTokens {
		s.unreadable("P1001", start, start, fmt.Sprintf("more than %d words and signs in one file", maxTokens), "reading stops here").Mark = diag.WholeFile
		s.i = len(s.text)
		return s.token(EndToken, len(s.text), "")
	}
	switch c := s.text[s.i]; {
	case isLetter(c) || c == '_':
		return s.word()
	case isDigit(c):
		return s.number(start)
	case c == '"':
		return s.quoted()
	case c == '/' && s.peek(1) == '/':
		return s.comment(2)
	case c == '.' && isDigit(s.peek(1)) && !s.afterOperand():
		return s.bareFraction()
	case c < utf8.RuneSelf:
		return s.punct()
	}
	if r, _ := utf8.DecodeRuneInString(s.text[s.i:]); unicode.IsLetter(r) {
		return s.word()
	}
	return s.foreign()
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }
func isDigit(c byte) bool  { return c >= '0' && c <= '9' }

func (s *scanner) peek(k int) byte {
	if s.i+k < len(s.text) {
		return s.text[s.i+k]
	}
	return 0
}

func skipBlanks(text string, i int) int {
	for i < len(text) && (text[i] == ' ' || text[i] == '\n' || text[i] == '\t' || text[i] == '\r') {
		i++
	}
	return i
}

// afterOperand reports whether a value has just ended, so that a point is a
// member's.
func (s *scanner) afterOperand() bool {
	return s.prevType == WordToken || s.prevType == NumberToken || s.prev == ")" || s.prev == "]"
}

func (s *scanner) word() Token {
	start := s.i
	s.i = endOfWord(s.text, s.i)
	w := s.text[start:s.i]
	t := wordType(w)
	if t != WordToken && s.plainHere() {
		t = WordToken
	}
	return s.token(t, start, w)
}

func endOfWord(text string, i int) int {
	for i < len(text) {
		if c := text[i]; isLetter(c) || isDigit(c) || c == '_' {
			i++
			continue
		} else if c < utf8.RuneSelf {
			break
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.Is(unicode.Mn, r) {
			break
		}
		i += size
	}
	return i
}

// plainHere reports whether a reserved word just read is a plain word: after
// `.` on one line, after or before `:`, or as the type in `: [face]`.
func (s *scanner) plainHere() bool {
	if s.prev == "." {
		return !s.newLine // a lost member's name must not swallow the next statement
	}
	if s.prev == ":" || s.prev == "[" && s.prev2 == ":" {
		return true
	}
	i := skipBlanks(s.text, s.i)
	for strings.HasPrefix(s.text[i:], "//") {
		k := strings.IndexByte(s.text[i:], '\n')
		if k < 0 {
			return false
		}
		i = skipBlanks(s.text, i+k)
	}
	return i < len(s.text) && s.text[i] == ':'
}

// number takes a literal that starts at s.i; the token reaches back to start.
func (s *scanner) number(start int) Token {
	from := s.i
	_, n, err := quantity.ScanLiteral(s.text[s.i:])
	s.i += n
	if err != nil {
		s.badNumber(from, err)
	}
	return s.token(NumberToken, from, s.text[from:s.i])
}

func (s *scanner) badNumber(from int, err error) {
	e, ok := err.(*quantity.LiteralError)
	if !ok {
		s.report("P1007", from, s.i, err.Error(), "")
		return
	}
	code := map[quantity.Reason]string{
		quantity.BadNumber: "P1007", quantity.UnknownUnit: "P1008",
		quantity.GluedMinus: "P1010", quantity.OutOfRange: "P1011",
	}[e.Reason]
	d := s.report(code, from, s.i, e.Message, e.Hint)
	if e.Fix != "" {
		d.Fix = replaceFix(d.Span, e.Fix, "write `"+e.Fix+"`")
	}
}

// bareFraction takes `.5mm`, which lacks its zero.
func (s *scanner) bareFraction() Token {
	start := s.i
	s.i++
	t := s.number(start)
	d := s.report("P1007", start, s.i, "a number starts with a digit", "write a zero before the point")
	d.Fix = replaceFix(d.Span, "0"+s.text[start:s.i], "write `0"+s.text[start:s.i]+"`")
	return t
}

// comment takes all to the end of the line; mark is the length of what opens it.
func (s *scanner) comment(mark int) Token {
	start := s.i
	if k := strings.IndexByte(s.text[s.i:], '\n'); k >= 0 {
		s.i += k
	} else {
		s.i = len(s.text)
	}
	end := s.i
	if end > start && s.text[end-1] == '\r' {
		end--
	}
	s.checkText(start, end)
	s.comments = append(s.comments, Comment{Text: s.text[start+mark : end], At: s.span(start, end)})
	return s.token(CommentToken, start, s.text[start:end])
}
