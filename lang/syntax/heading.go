package syntax

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/quantity"
)

// What statements are made of besides expressions. Each is false once a mistake was
// reported and the rest of the statement is unsure; it then has what could be read.

// takes takes the next token where it is this sign or word.
func (p *parser) takes(word string) bool {
	if p.peek().Value != word { // a text has its quotes
		return false
	}
	p.next()
	return true
}

// missing reports the sign or clause word that the statement's form has here.
func (p *parser) missing(word string) {
	t := p.peek()
	var fix *diag.Fix
	switch {
	case word == "=" && t.Value == ":" && p.last != nil && p.last.word == "let":
		p.failed = true
		p.letType(t)
		return
	case word == "=" && t.Value == ":":
		fix = replaceFix(p.span(t), " =", "write `=`")
	case word == "=" && t.Type != StartToken && !t.EOF():
		fix = replaceFix(p.prev().After(), " =", "put a `=` here")
	case isClause(word):
		fix = p.insertWord(word)
	}
	p.expected(fix, "`"+word+"`")
}

// choose takes the one of the words that stands here, "" for none.
func (p *parser) choose(words ...string) string {
	for _, w := range words {
		if p.takes(w) {
			return w
		}
	}
	return ""
}

// expected reports what the statement's form has here, unless a mistake in it was
// reported before.
func (p *parser) expected(fix *diag.Fix, what string) {
	if p.failed {
		return
	}
	t := p.peek()
	d := diag.Diagnostic{
		Code: "P1102", Span: p.spot(t), Label: "expected " + what, Fix: fix,
		Summary: fmt.Sprintf("expected %s after `%s`, found %s", what, clip(p.prev().Text()), describe(t)),
	}
	if st := p.current(); st != nil {
		d.Notes = []string{"it reads: " + st.form}
	}
	p.fail(d)
}

// named takes the name that the statement gives or asks for.
func (p *parser) named(id *Ident) bool {
	t := p.peek()
	switch {
	case t.Type == WordToken:
		p.next()
		*id = p.name(t)
		return true
	case p.failed:
	case (t.Type == StartToken || t.Type == KeyToken) && p.nameMeant(t):
		p.next()
		p.reserved(t)
	default:
		p.expected(nil, "a name")
	}
	return false
}

// name makes an Ident of a word, which may not be reserved.
func (p *parser) name(t *Token) Ident {
	if IsReserved(t.Value) {
		p.reserved(t)
	}
	return Ident{Name: normal(t.Value), At: p.span(t)}
}

// alias takes a name for what has one.
func (p *parser) alias(id **Ident) bool {
	var name Ident
	ok := p.named(&name)
	if ok {
		*id = &name
	}
	return ok
}

// text takes a quoted text.
func (p *parser) text(doc *Doc) bool {
	t := p.peek()
	if t.Type != TextToken {
		p.expected(nil, "a quoted text")
		return false
	}
	p.next()
	*doc = Doc{Value: unquote(t.Value, nil), At: p.span(t)}
	return true
}

// remark takes a quoted text for what may have none.
func (p *parser) remark(doc **Doc) bool {
	var text Doc
	ok := p.text(&text)
	if ok {
		*doc = &text
	}
	return ok
}

// quoted reports whether a quoted text stands here.
func (p *parser) quoted() bool { return p.peek().Type == TextToken }

// units takes "inches" | "millimetres" .
func (p *parser) units(id **Ident) bool {
	t := p.peek()
	if p.choose("inches", "millimetres") == "" {
		var fix *diag.Fix
		if system := systemMeant(t.Value); t.Type == WordToken && system != "" {
			fix = replaceFix(p.span(t), system, "write "+system)
		}
		p.expected(fix, "`inches` or `millimetres`")
		return false
	}
	*id = &Ident{Name: t.Value, At: p.span(t)}
	return true
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

// value takes an expression.
func (p *parser) value(x *Expr) (ok bool) {
	*x, ok = p.expr()
	return ok
}

// place takes a Ref.
func (p *parser) place(x *Expr) (ok bool) {
	*x, ok = p.ref()
	return ok
}

// plane = Ref [ "at" Unary ] .
func (p *parser) plane(x *Expr) (ok bool) {
	if *x, ok = p.ref(); ok {
		*x, ok = p.putAt(*x)
	}
	return ok
}

// indexed takes [ Index ].
func (p *parser) indexed(list *[]Each) bool { return !p.is("[") || p.eachOf(list) }
