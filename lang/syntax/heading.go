package syntax

import (
	"fmt"
	"strings"

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

// need takes the sign or clause word that the statement's form has here.
func (p *parser) need(word string) bool {
	if p.takes(word) {
		return true
	}
	t := p.peek()
	var fix *diag.Fix
	switch {
	case word == "=" && t.Value == ":" && p.last != nil && p.last.word == "let":
		p.letType(t)
		return false
	case word == "=" && t.Value == ":":
		fix = replaceFix(p.span(t), " =", "write `=`")
	case word == "=" && t.Type != StartToken && !t.EOF():
		fix = replaceFix(p.prev().After(), " =", "put a `=` here")
	case isClause(word):
		fix = p.insertWord(word)
	}
	p.expected(fix, "`"+word+"`")
	return false
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

// either is choose where the statement's form has one of them.
func (p *parser) either(words ...string) string {
	w := p.choose(words...)
	if w == "" {
		p.expected(nil, "`"+strings.Join(words[:len(words)-1], "`, `")+"` or `"+words[len(words)-1]+"`")
	}
	return w
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

// namedBehind takes [ word NAME ].
func (p *parser) namedBehind(word string, id **Ident) bool {
	if !p.takes(word) {
		return true
	}
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

// remark takes a quoted text where one stands.
func (p *parser) remark(doc **Doc) bool {
	if p.peek().Type != TextToken {
		return true
	}
	*doc = &Doc{}
	return p.text(*doc)
}

// units takes [ "in" ( "inches" | "millimetres" ) ].
func (p *parser) units(id **Ident) bool {
	if !p.takes("in") {
		return true
	}
	t := p.peek()
	if t.Value != "inches" && t.Value != "millimetres" {
		var fix *diag.Fix
		if system := systemMeant(t.Value); t.Type == WordToken && system != "" {
			fix = replaceFix(p.span(t), system, "write "+system)
		}
		p.expected(fix, "`inches` or `millimetres`")
		return false
	}
	p.next()
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

// placeBehind takes [ word Ref ].
func (p *parser) placeBehind(word string, x *Expr) bool { return !p.takes(word) || p.place(x) }

// guard takes [ "if" Expr ].
func (p *parser) guard(x *Expr) bool { return !p.takes("if") || p.value(x) }

// plane = Ref [ "at" Unary ] .
func (p *parser) plane(x *Expr) (ok bool) {
	if *x, ok = p.ref(); ok {
		*x, ok = p.putAt(*x)
	}
	return ok
}

// indexed takes [ Index ].
func (p *parser) indexed(list *[]Each) bool { return !p.is("[") || p.eachOf(list) }
