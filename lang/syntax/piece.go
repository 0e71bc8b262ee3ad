package syntax

import "perch/lang/diag"

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
		var list []Each
		p.indexed(&list)
		return list
	})
}

// ParseParams parses the parameters, with their brackets, that the bytes start..end of a
// text are; nil where they are none.
func ParseParams(src *diag.Source, start, end int) []Decl {
	return piece(src, start, end, func(p *parser) []Decl {
		var list []Decl
		if p.is("(") {
			p.decls(&list)
		}
		return list
	})
}

// piece reads the bytes start..end of a text as one thing; it is zero where there is a
// mistake in it, or more than that.
func piece[T any](src *diag.Source, start, end int, read func(*parser) T) (x T) {
	scan := newScanner(src)
	scan.i, scan.text = start, src.Text[:end]
	p := &parser{src: src, tokens: scan.grammatical(), file: &File{Source: src}, mistakeAt: -1}
	p.broken = scan.broken
	if got := read(p); !p.failed && p.peek().EOF() {
		return got
	}
	return x
}
