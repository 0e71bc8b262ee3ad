package syntax

import (
	"iter"

	"perch/lang/diag"
)

// TokenType is the kind of a token.
type TokenType uint8

// The kinds of token. The grammar never sees a comment or what means nothing.
const (
	EndToken     TokenType = iota // the end of the text
	WordToken                     // a name or clause word
	KeyToken                      // if, not
	StartToken                    // a reserved word that starts a statement here
	NumberToken                   // a number with what is glued to it
	TextToken                     // a quoted text with its quotes
	PunctToken                    // ( ) [ ] { } , : . .. = != < <= > >= + - * / & ^
	CommentToken                  // from // to the end of the line
	BadToken                      // what means nothing and was reported
)

// Token is a piece of a text: its bytes Start..End. Value is what is written there, or
// what was meant where an operator was borrowed.
type Token struct {
	Value      string
	Start, End int32
	Type       TokenType
}

// EOF reports whether the text ends at t.
func (t *Token) EOF() bool { return t.Type == EndToken }

// Tokens cuts a text into its tokens, comments among them, without its end. Nothing is
// reported of what is wrong in it.
func Tokens(text string) iter.Seq[Token] {
	return func(yield func(Token) bool) {
		for s := newScanner(diag.NewSource("", text)); ; {
			if t := s.next(); t.EOF() || !yield(t) {
				return
			}
		}
	}
}

// grammatical are all tokens from where s stands that the grammar knows; the last is
// the end of the text.
func (s *scanner) grammatical() []Token {
	all := make([]Token, 0, (len(s.text)-s.i)/4+8)
	for {
		switch t := s.next(); t.Type {
		case CommentToken, BadToken:
		case EndToken:
			return append(all, t)
		default:
			all = append(all, t)
		}
	}
}

// peek is the next token.
func (p *parser) peek() *Token { return &p.tokens[p.at] }

// next takes a token; the end of the text is never taken.
func (p *parser) next() *Token {
	t := &p.tokens[p.at]
	if t.Type != EndToken {
		p.at++
	}
	return t
}

// back returns to a place among the tokens.
func (p *parser) back(at int) { p.at = at }
