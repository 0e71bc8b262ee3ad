package syntax

import "perch/lang/diag"

// decls parses Decls, a list of declarations in brackets.
func (p *parser) decls(all *[]Decl) bool {
	list := []Decl{}
	ok := p.list(listForm{"(", ")", true, true, "a declaration", p.startsDecl}, func() bool {
		d, ok := p.decl()
		if ok {
			list = append(list, d)
		}
		return ok
	})
	if ok {
		*all = list
	}
	return ok
}

// startsDecl reports whether `NAME :` stands here.
func (p *parser) startsDecl() bool {
	if p.peek().Type != WordToken {
		return false
	}

	defer p.back(p.at)
	p.next()
	return p.is(":")
}

// decl = NAME ":" Type [ "in" Domain ] [ "=" Expr | "about" Expr ] [ TEXT ] .
func (p *parser) decl() (d Decl, ok bool) {
	if d.Name, ok = p.takeName("a name for it"); !ok {
		return d, false
	}
	if !p.is(":") {
		p.wantWith("`:` and the type", "a declaration reads: NAME: TYPE in LOW..HIGH = VALUE \"doc\"", p.stateType())
		return d, false
	}
	p.next()
	if !p.declType(&d) {
		return d, false
	}
	if p.word("in") {
		p.next()
		if d.Domain, ok = p.domain(); !ok {
			return d, false
		}
	}
	if about := p.word("about"); about || p.is("=") {
		p.next()
		d.About = about
		if d.Default, ok = p.expr(); !ok {
			return d, false
		}
	}
	if p.quoted() {
		p.remark(&d.Doc)
	}
	d.At = p.since(d.Name.At)
	return d, true
}

// declType = WORD | "[" WORD "]" .
func (p *parser) declType(d *Decl) bool {
	if d.List = p.is("["); d.List {
		p.next()
	}
	t := p.peek()
	if t.Type != WordToken {
		p.want("a type", "types are length angle count number area mass force money time text flag gauge, face side corner plane body edge stock, or a panel's name; [side] is a list of sides")
		return false
	}
	p.next()
	d.Type = Ident{Name: normal(t.Value), At: p.span(t)}
	if d.List {
		if !p.is("]") {
			p.want("`]` behind the list's type", "")
			return false
		}
		p.next()
	}
	return true
}

// eachOf parses Index, `[i in xs, j in ys]`.
func (p *parser) eachOf(all *[]Each) bool {
	list := []Each{}
	ok := p.list(listForm{"[", "]", false, false, "an index", nil}, func() bool {
		e, ok := p.each()
		if ok {
			list = append(list, e)
		} else if len(list) == 0 { // no index at all: what else stands in the brackets says no more
			for !p.stuck && p.resync("]") && p.is(",") {
				p.next()
			}
		}
		return ok
	})
	if ok {
		*all = list
	}
	return ok
}

// each = NAME "in" Domain .
func (p *parser) each() (e Each, ok bool) {
	if e.Name, ok = p.takeName("a name for the index"); !ok {
		return e, false
	}
	if !p.word("in") {
		p.want("`in` and what it runs over", "an index reads: [NAME in LIST] or [NAME in LOW..HIGH]")
		return e, false
	}
	p.next()
	e.Domain, ok = p.domain()
	e.At = p.since(e.Name.At)
	return e, ok
}

// domain = Sum [ ".." Sum ] .
func (p *parser) domain() (d *Domain, ok bool) {
	d = &Domain{}
	if d.Lo, ok = p.sum(); !ok {
		return nil, false
	}
	d.At = d.Lo.Span()
	if p.is("..") {
		p.next()
		if d.Hi, ok = p.sum(); !ok {
			return nil, false
		}
		d.At = diag.Cover(d.At, d.Hi.Span())
	}
	return d, true
}

// takeName takes a NAME; what says what it is for.
func (p *parser) takeName(what string) (Ident, bool) {
	t := p.peek()
	switch {
	case t.Type == WordToken && !IsReserved(t.Value):
		p.next()
		return Ident{Name: normal(t.Value), At: p.span(t)}, true
	case t.Type == WordToken || (t.Type == StartToken || t.Type == KeyToken) && p.nameMeant(t):
		p.next()
		p.reserved(t)
	default:
		p.want(what, "")
	}
	return Ident{}, false
}
