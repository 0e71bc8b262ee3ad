package syntax

import (
	"github.com/alecthomas/participle/v2/lexer"

	"perch/lang/diag"
)

// Pieces of a text are parsed by themselves where what is around them is not finished.
// Their places are those of the text.

// ParseExpr parses the expression that the bytes start..end of a text are; nil where
// they are none.
func ParseExpr(src *diag.Source, start, end int) Expr {
	return piece(src, start, end, func(p *parser) Expr {
		x, _ := p.expr()
		return x
	})
}

// ParseIndex parses the index, with its brackets, that the bytes start..end of a text
// are; nil where they are none.
func ParseIndex(src *diag.Source, start, end int) []Each {
	return piece(src, start, end, func(p *parser) []Each {
		x, err := p.indexNode(p.l)
		if err != nil {
			return nil
		}
		return each(x)
	})
}

// ParseParams parses the parameters, with their brackets, that the bytes start..end of a
// text are; nil where they are none.
func ParseParams(src *diag.Source, start, end int) []Decl {
	return piece(src, start, end, func(p *parser) []Decl {
		x, err := p.declsNode(p.l)
		if err != nil {
			return nil
		}
		return x.decls()
	})
}

// piece reads the bytes start..end of a text as one thing; it is zero where there is a
// mistake in it, or more than that.
func piece[T any](src *diag.Source, start, end int, read func(*parser) T) (x T) {
	scan := newScanner(src)
	scan.i, scan.text = start, src.Text[:end]
	lex, err := lexer.Upgrade(meaning{scan})
	if err != nil { // the scanner gives none
		return x
	}
	p := &parser{src: src, lex: lex, l: lex, file: &File{Source: src}, broken: scan.broken, mark: -1}
	if got := read(p); !p.failed && p.l.Peek().EOF() {
		return got
	}
	return x
}
