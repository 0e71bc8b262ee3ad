package check

import (
	"fmt"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// typeOf is the type of a name, worked out the first time it is asked for. A
// name that needs its own type has none; the circle is reported elsewhere.
func (c *checker) typeOf(d *Decl) Type {
	switch d.state {
	case done:
		return d.Type
	case busy:
		return invalid
	}
	d.state = busy
	c.open(d)
	outer := c.enter(d)
	if d.Kind == Index {
		c.node = d.Owner
	}
	t := c.declared(d)
	c.leave(outer)
	d.Type, d.state = t, done
	return t
}

func (c *checker) declared(d *Decl) Type {
	switch d.Kind {
	case Stock:
		s := d.Node.(*syntax.Stock)
		c.want(d.scope.without(d), s.Value, "a stock", stock)
		return stock
	case Body:
		s := d.Node.(*syntax.Body)
		c.want(d.scope, s.Value, "a body", body)
		return c.familyOf(d, body)
	case Param, PanelParam, LetParam:
		return c.declaredType(d.Module, d.Param)
	case Let:
		return c.letType(d, d.Node.(*syntax.Let))
	case Part:
		s := d.Node.(*syntax.Part)
		return c.familyOf(d, c.partType(d, s))
	case Index:
		return c.indexType(d)
	case Face:
		t := face
		t.Decl = d
		return c.familyOf(d, t)
	case Cut, Mark:
		t := cut
		if d.Kind == Mark {
			t = mark
		}
		if d.Owner == nil {
			return c.outsideType(d, t)
		}
		return c.familyOf(d, t)
	case Panel:
		return d.Type
	}
	return invalid
}

// familyOf is t, or the family of it by d's indices.
func (c *checker) familyOf(d *Decl, t Type) Type {
	var index []Type
	for _, i := range d.Indices {
		index = append(index, c.typeOf(i))
	}
	return family(index, t)
}

// measures is the type of what a unit measures, "" for a word that is none.
func measures(unit string) string {
	v, err := quantity.ParseLiteral("1" + unit)
	if err != nil || v.Kind != quantity.Unit {
		return ""
	}
	for _, name := range quantity.TypeNames() {
		if t, _ := quantity.TypeByName(name); t.Dim() == v.Dim {
			return name
		}
	}
	return ""
}

// indexType is what an index name stands for: a member of its list, or a count of its range.
func (c *checker) indexType(d *Decl) Type {
	dom := d.Each.Domain
	if dom == nil {
		return invalid
	}
	t := c.domain(d.scope, dom)
	if dom.Hi != nil && !t.silent() && t.Kind != CountKind {
		c.report("P2016", dom.At, fmt.Sprintf("an index counts: its range is of counts, this is of %s", t.plural()), t.String())
		return count
	}
	t = t.withEdges(Type{})
	return t
}

func (c *checker) letType(d *Decl, l *syntax.Let) Type {
	if !l.IsFunc {
		return c.familyOf(d, c.expr(d.scope.without(d), l.Value))
	}
	for _, p := range d.Indices {
		c.checkDecl(p)
	}
	d.Result = c.expr(d.scope.without(d), l.Value)
	return Type{Kind: FuncKind, Decl: d}
}

// partType is the type of a part: what its panel makes. Its arguments are read later.
func (c *checker) partType(d *Decl, s *syntax.Part) Type {
	call, ok := strip(s.Value).(*syntax.Call)
	if !ok {
		return invalid
	}
	name, ok := strip(call.Fun).(*syntax.Name)
	if !ok {
		return invalid
	}
	if p := c.find(d.scope, Calls, name.Name); p != nil && p.Kind == Panel {
		c.open(p)
		return p.Type
	}
	return invalid
}

// declaredType is the type that a declaration names.
func (c *checker) declaredType(m *Module, d *syntax.Decl) Type {
	t := c.wordType(m, d.Type)
	if d.List && t.Kind != Invalid {
		return list(t)
	}
	return t
}

func (c *checker) wordType(m *Module, word syntax.Ident) Type {
	if word.Name == "" {
		return invalid
	}
	known := make([]string, 0, len(TypeWords))
	for _, w := range TypeWords { // read first: a panel of such a name would take the word from all others
		if w.Word == word.Name {
			return w.Type
		}
		known = append(known, w.Word)
	}
	if d := c.top(m, Calls, word.Name); d != nil && !d.IsFunc() { // a panel, or what could have been one
		c.open(d)
		m.uses(d)
		return d.Type
	}
	if all := m.Named(word.Name); all != nil {
		d := all[0]
		m.uses(d)
		r := c.report("P2018", word.At, fmt.Sprintf("%s is a %s, not a type", word.Name, d.Kind), "a type is wanted")
		also(r, d.At, "declared here")
		return invalid
	}
	if c.lost(m, word.Name) {
		return invalid
	}
	if c.searches < maxSearches {
		for n, d := range m.names[Calls] {
			if d.Kind == Panel {
				known = append(known, n)
			}
		}
	}
	r := c.report("P2018", word.At, fmt.Sprintf("there is no type %s", word.Name), "unknown type")
	if meant := otherWords[word.Name]; meant != "" {
		note(r, "it is called "+meant+" here")
		fix(r, "write "+meant, diag.Edit{Span: word.At, Text: meant})
	} else if meant := measures(word.Name); meant != "" {
		note(r, fmt.Sprintf("%s is a unit; the type that it measures is %s", word.Name, meant))
		fix(r, "write "+meant, diag.Edit{Span: word.At, Text: meant})
	} else if c.suggest(r, word.At, word.Name, known) == "" {
		var words []string
		for _, w := range TypeWords {
			words = append(words, w.Word)
		}
		note(r, "a type is one of "+joined(words)+", or a panel")
	}
	return invalid
}

// otherWords are words that other languages have for types, with what is meant.
var otherWords = map[string]string{
	"int": "count", "integer": "count", "float": "number", "double": "number", "real": "number",
	"bool": "flag", "boolean": "flag", "string": "text", "str": "text", "distance": "length", "weight": "mass",
}

// checkDecl checks a declaration's range and default against its type.
func (c *checker) checkDecl(d *Decl) {
	t := c.typeOf(d)
	outer := c.node
	c.node = d
	defer func() { c.node = outer }()
	p := d.Param
	if p.Domain != nil {
		dt := c.domain(d.scope, p.Domain)
		if !assignable(t, dt) {
			r := c.report("P2010", p.Domain.At, fmt.Sprintf("the range of %s is of %s, this is of %s", d.Name, t.plural(), dt.plural()), dt.String())
			if p.Domain.Hi != nil {
				c.giveUnit(r, p.Domain.Lo, dt, t)
			}
		}
	}
	if p.Default == nil {
		return
	}
	if c.want(d.scope, p.Default, "the default of "+d.Name, t).Kind != Invalid {
		c.inRange(d, p.Default)
	}
}

// inRange reports a written value outside the range that d declares.
func (c *checker) inRange(d *Decl, e syntax.Expr) {
	v, ok := constant(e)
	if !ok || d.Param == nil || d.Param.Domain == nil || d.Param.Domain.Hi == nil {
		return
	}
	dom := d.Param.Domain
	lo, oklo := constant(dom.Lo)
	hi, okhi := constant(dom.Hi)
	if oklo && lo.Dim == v.Dim && v.Value < lo.Value || okhi && hi.Dim == v.Dim && v.Value > hi.Value {
		r := c.report("P2043", e.Span(), fmt.Sprintf("%s is outside the range of %s, %s", e.Span().Text(), d.Name, c.rangeText(dom)), "out of range")
		also(r, dom.At, "the range is declared here")
		end := dom.Lo
		if !oklo || v.Value >= lo.Value {
			end = dom.Hi
		}
		if s, stated := literalSystem(end); !stated || s == c.writtenIn() {
			fix(r, "write "+end.Span().Text(), diag.Edit{Span: e.Span(), Text: end.Span().Text()})
		}
	}
}
