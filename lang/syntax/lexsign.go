package syntax

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"perch/lang/quantity"
	"perch/parts/spelling"
)

// sign is how another language or keyboard writes an operator: what is meant,
// and what to say.
type sign struct{ written, means, say string }

// borrowed are tried in order, longest first.
var borrowed = []sign{
	{"===", "=", "equality is one `=`"},
	{"==", "=", "equality is one `=`"},
	{"&&", "and", "say `and`"},
	{"||", "or", "say `or`"},
	{"**", "^", "a power is `^`"},
	{"<>", "!=", "unequal is `!=`"},
	{"=<", "<=", "at most is `<=`"},
	{"=>", ">=", "at least is `>=`"},
	{"−", "-", "a minus is the plain `-`"},
	{"–", "-", "a minus is the plain `-`"},
	{"—", "-", "a minus is the plain `-`"},
	{"×", "*", "a product is `*`"},
	{"·", "*", "a product is `*`"},
	{"÷", "/", "a quotient is `/`"},
	{"≤", "<=", "at most is `<=`"},
	{"≥", ">=", "at least is `>=`"},
	{"≠", "!=", "unequal is `!=`"},
	{"…", "..", "a range is `..`"},
}

// punct takes an operator, a bracket or a separator of ASCII.
func (s *scanner) punct() Token {
	rest := s.text[s.i:]
	if t, ok := s.borrowedSign(rest); ok {
		return t
	}
	n := 0
	switch c := rest[0]; c {
	case '(', ')', '[', ']', '{', '}', ',', ':', '=', '+', '-', '*', '&', '^':
		n = 1
	case '/':
		if strings.HasPrefix(rest, "/*") {
			return s.blockComment()
		}
		n = 1
	case '<', '>':
		n = 1
		if s.peek(1) == '=' {
			n = 2
		}
	case '.':
		n = 1
		if s.peek(1) == '.' {
			n = 2
		}
	case '!':
		if s.peek(1) == '=' {
			n = 2
		}
	}
	if n == 0 {
		return s.foreign()
	}
	start := s.i
	s.i += n
	return s.token(PunctToken, start, s.text[start:s.i])
}

// borrowedSign reads an operator of another language as the one it means.
func (s *scanner) borrowedSign(rest string) (Token, bool) {
	for _, b := range borrowed {
		if b.written[0] != rest[0] || !strings.HasPrefix(rest, b.written) {
			continue
		}
		start := s.i
		s.i += len(b.written)
		d := s.report("P1208", start, s.i, fmt.Sprintf("`%s` is not an operator here", b.written), b.say)
		d.Fix = replaceFix(d.Span, b.means, "write `"+b.means+"`")
		t := PunctToken
		if isLetter(b.means[0]) {
			t = WordToken
		}
		return s.token(t, start, b.means), true
	}
	return Token{}, false
}

func (s *scanner) blockComment() Token {
	n := strings.Index(s.text[s.i+2:], "*/")
	end := len(s.text)
	if n >= 0 {
		end = s.i + 2 + n + 2
	}
	s.report("P1004", s.i, s.i+2, "a comment starts with `//` and ends with the line", "write `//` on each line")
	return s.skip(end - s.i)
}

// foreign reports a character that means nothing and steps over it.
func (s *scanner) foreign() Token {
	rest := s.text[s.i:]
	r, size := utf8.DecodeRuneInString(rest)
	if r >= utf8.RuneSelf {
		if t, ok := s.borrowedSign(rest); ok {
			return t
		}
	}
	start, end := s.i, s.i+size
	switch {
	case r == utf8.RuneError && size == 1:
		for size < len(rest) && rest[size] >= utf8.RuneSelf {
			if x, n := utf8.DecodeRuneInString(rest[size:]); x != utf8.RuneError || n != 1 {
				break
			}
			size++
		}
		s.notUTF8(start, start+size)
	case r == '#':
		d := s.report("P1004", start, end, "a comment starts with `//`", "not with `#`")
		d.Fix = replaceFix(d.Span, "//", "write `//`")
		return s.comment(1)
	case r == ';':
		d := s.report("P1004", start, end, "no `;` is needed", "a statement ends where the next one starts")
		d.Fix = replaceFix(d.Span, "", "delete it")
	case r == '!':
		d := s.report("P1208", start, end, "`!` is not an operator here", "say `not`")
		d.Fix = replaceFix(d.Span, "not ", "write `not`")
		s.i += size
		return s.token(KeyToken, start, "not")
	case r == '\'':
		s.report("P1004", start, end, "a `'` stands apart from its number", "feet are glued, 2'; a text has `\"` around it")
	case strings.ContainsRune("“”„«»‘’", r):
		d := s.report("P1004", start, end, fmt.Sprintf("a text has plain quotes around it, not `%c`", r), "write `\"`")
		d.Fix = replaceFix(d.Span, `"`, "write `\"`")
	case unicode.IsSpace(r):
		d := s.report("P1004", start, end, fmt.Sprintf("the blank U+%04X is not a plain space", r), "write a plain space")
		d.Fix = replaceFix(d.Span, " ", "write a plain space")
	case unicode.IsControl(r) || hidden(r) || unicode.Is(unicode.Cf, r):
		s.unreadable("P1003", start, end, fmt.Sprintf("the control character U+%04X stands in the text", r), "delete it")
	case spelling.Plain(string(r)) != string(r):
		return s.lookAlikes(start)
	default:
		s.report("P1004", start, end, fmt.Sprintf("`%c` means nothing here", r), "delete it")
	}
	return s.skip(size)
}

// lookAlikes takes digits and signs of another alphabet, with the digits and letters beside
// them, for the plain ones that they look like.
func (s *scanner) lookAlikes(start int) Token {
	first, size := utf8.DecodeRuneInString(s.text[start:])
	s.i += size
	like, _ := spelling.LookAlike(first)
	for unicode.IsDigit(like) && s.i < len(s.text) {
		r, size := utf8.DecodeRuneInString(s.text[s.i:])
		if _, alike := spelling.LookAlike(r); !alike && endOfWord(s.text, s.i) == s.i && r != '.' {
			break
		}
		s.i += size
	}
	text := s.text[start:s.i]
	plain := spelling.Plain(text)
	d := s.report("P1004", start, s.i, spelling.Stranger(text, first, like), "write it plainly")
	d.Fix = replaceFix(d.Span, plain, "write `"+plain+"`")
	switch _, n, err := quantity.ScanLiteral(plain); {
	case err == nil && n == len(plain):
		return s.token(NumberToken, start, plain)
	case len(plain) == 1 && strings.Contains("()[]{},:=+-*/^<>.&", plain):
		return s.token(PunctToken, start, plain)
	}
	s.i = start
	return s.skip(len(text))
}
