package syntax

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"perch/lang/diag"
	"perch/lang/quantity"
)

type tokenType = lexer.TokenType

// The kinds of token. Comment and Bad never reach the grammar.
const (
	tWord    tokenType = -iota - 2 // a name or clause word
	tKey                           // if, not
	tStart                         // a reserved word that starts a statement here
	tNumber                        // a number with what is glued to it
	tText                          // a quoted text with its quotes
	tPunct                         // ( ) [ ] { } , : . .. = != < <= > >= + - * / & ^
	tComment                       // from // to the end of the line
	tBad                           // what means nothing and was reported
)

// Definition makes perch's tokens for participle. Token values are the text as
// written, or what was meant where an operator was borrowed. Of a position only
// Offset is set, and Column to the token's length in bytes.
type Definition struct{}

// Symbols names the token types as the grammar writes them.
func (Definition) Symbols() map[string]lexer.TokenType {
	return map[string]lexer.TokenType{
		"EOF": lexer.EOF, "Word": tWord, "Key": tKey, "Start": tStart, "Number": tNumber,
		"Text": tText, "Punct": tPunct, "Comment": tComment, "Bad": tBad,
	}
}

// Lex reads all of r. The lexer never fails; mistakes are dropped here and
// collected by Parse.
func (d Definition) Lex(filename string, r io.Reader) (lexer.Lexer, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("reading %s: %w", filename, err)
	}
	return d.LexString(filename, string(text))
}

// LexString makes tokens of a text at hand.
func (Definition) LexString(filename, text string) (lexer.Lexer, error) {
	return newScanner(diag.NewSource(filename, text)), nil
}

// scanner cuts one source into tokens.
type scanner struct {
	src      *diag.Source
	text     string
	i        int
	count    int // tokens so far
	prev     string
	prev2    string // values of the last two tokens, comments apart
	prevType tokenType
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

// meaning is a scanner without comments and what was reported: participle hands
// a capture all tokens it passed over, elided ones first, so it sees none.
type meaning struct{ *scanner }

// Next returns the next token that the grammar knows.
func (m meaning) Next() (lexer.Token, error) {
	for {
		t, err := m.scanner.Next()
		if t.Type != tComment && t.Type != tBad {
			return t, err
		}
	}
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

func (s *scanner) token(t tokenType, start int, value string) lexer.Token {
	if t != tComment && t != tBad {
		s.prev2, s.prev, s.prevType = s.prev, value, t
	}
	s.count++
	return lexer.Token{Type: t, Value: value, Pos: lexer.Position{Offset: start, Column: s.i - start}}
}

// Next returns the next token; never an error.
func (s *scanner) Next() (lexer.Token, error) {
	start := skipBlanks(s.text, s.i)
	s.newLine = strings.IndexByte(s.text[s.i:start], '\n') >= 0
	s.i = start
	if s.i >= len(s.text) {
		return s.token(lexer.EOF, len(s.text), ""), nil
	}
	if s.count >= maxTokens {
		s.unreadable("P1001", start, start, fmt.Sprintf("more than %d words and signs in one file", maxTokens), "reading stops here").Mark = diag.WholeFile
		s.i = len(s.text)
		return s.token(lexer.EOF, len(s.text), ""), nil
	}
	switch c := s.text[s.i]; {
	case isLetter(c) || c == '_':
		return s.word(), nil
	case isDigit(c):
		return s.number(start), nil
	case c == '"':
		return s.quoted(), nil
	case c == '/' && s.peek(1) == '/':
		return s.comment(2), nil
	case c == '.' && isDigit(s.peek(1)) && !s.afterOperand():
		return s.bareFraction(), nil
	case c < utf8.RuneSelf:
		return s.punct(), nil
	}
	if r, _ := utf8.DecodeRuneInString(s.text[s.i:]); unicode.IsLetter(r) {
		return s.word(), nil
	}
	return s.foreign(), nil
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
	return s.prevType == tWord || s.prevType == tNumber || s.prev == ")" || s.prev == "]"
}

func (s *scanner) word() lexer.Token {
	start := s.i
	s.i = endOfWord(s.text, s.i)
	w := s.text[start:s.i]
	t := wordType(w)
	if t != tWord && s.plainHere() {
		t = tWord
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
func (s *scanner) number(start int) lexer.Token {
	from := s.i
	_, n, err := quantity.ScanLiteral(s.text[s.i:])
	s.i += n
	if err != nil {
		s.badNumber(from, err)
	}
	return s.token(tNumber, from, s.text[from:s.i])
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
func (s *scanner) bareFraction() lexer.Token {
	start := s.i
	s.i++
	t := s.number(start)
	d := s.report("P1007", start, s.i, "a number starts with a digit", "write a zero before the point")
	d.Fix = replaceFix(d.Span, "0"+s.text[start:s.i], "write `0"+s.text[start:s.i]+"`")
	return t
}

// comment takes all to the end of the line; mark is the length of what opens it.
func (s *scanner) comment(mark int) lexer.Token {
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
	return s.token(tComment, start, s.text[start:end])
}
