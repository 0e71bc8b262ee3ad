package format

import "perch/lang/syntax"

// kind is what the layout needs to know of a token.
type kind uint8

const (
	other   kind = iota // words, numbers, texts, operators
	starter             // the reserved word that starts a statement
	comment
	opener // ( or [
	closer // ) or ]
	brace  // {
	endBrace
	comma
)

// token is a piece of the text with what stood before it.
type token struct {
	start, end int32
	match      int32 // opener, brace: the index of what closes it
	kind       kind
	newlines   uint8 // line ends between this token and the one before: 0, 1 or 2 for more
	spread     bool  // opener: its items stand on lines of their own; brace: it was too long for one

	line, behind int32 // laid out: the index of its line, and of the byte behind it in the buffer
}

// tokensOf cuts a text that parses into tokens, comments among them. A comma
// that stands behind comments is put in front of them, where an item ends.
func tokensOf(text string) []token {
	out := make([]token, 0, len(text)/4+8)
	end := int32(0)
	for t := range syntax.Tokens(text) {
		k := token{start: t.Start, end: t.End, kind: kindOf(&t)}
		k.newlines = lineEnds(text[end:t.Start])
		if n := len(out); k.kind == comment && n > 0 && out[n-1].kind == comment {
			k.newlines = max(k.newlines, 1) // a comma between the two was moved
		}
		end = k.end
		out = append(out, k)
		if k.kind == comma {
			settleComma(out)
		}
	}
	return out
}

// settleComma moves the last token, a comma, in front of the comments before it.
func settleComma(ts []token) {
	i := len(ts) - 1
	c := ts[i]
	for ; i > 0 && ts[i-1].kind == comment; i-- {
		ts[i] = ts[i-1]
	}
	c.newlines = 0
	ts[i] = c
}

func kindOf(t *syntax.Token) kind {
	switch t.Type {
	case syntax.StartToken:
		return starter
	case syntax.CommentToken:
		return comment
	case syntax.PunctToken:
		switch t.Value {
		case "(", "[":
			return opener
		case ")", "]":
			return closer
		case "{":
			return brace
		case "}":
			return endBrace
		case ",":
			return comma
		}
	}
	return other
}

func lineEnds(gap string) (n uint8) {
	for i := 0; i < len(gap) && n < 2; i++ {
		if gap[i] == '\n' {
			n++
		}
	}
	return n
}
