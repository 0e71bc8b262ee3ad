package syntax

import (
	"fmt"
	"strings"

	"perch/lang/diag"
	"perch/lang/quantity"
)

// ref = Primary { "." WORD [ Args ] | "[" Expr { "," Expr } "]" } .
func (p *parser) ref() (Expr, bool) {
	x, ok := p.primary()
	for n := 0; ok; n++ {
		dot := p.is(".")
		if !dot && !p.is("[") {
			return x, true
		}
		if n == maxChain {
			p.tooLong()
			return nil, false
		}
		if dot {
			x, ok = p.member(x)
		} else {
			x, ok = p.index(x)
		}
	}
	return nil, false
}

func (p *parser) member(x Expr) (Expr, bool) {
	p.next()
	t := p.peek()
	if t.Type != WordToken {
		p.want("a member's name", "")
		return nil, false
	}
	p.next()
	name := Ident{Name: normal(t.Value), At: p.span(t)}
	m := &Member{At: diag.Cover(x.Span(), name.At), X: x, Name: name}
	if p.is("(") {
		return p.call(m)
	}
	return m, true
}

func (p *parser) index(x Expr) (Expr, bool) {
	e := &IndexExpr{X: x}
	ok := p.list(listForm{"[", "]", false, false, "what to pick", p.startsExpr}, func() bool {
		i, ok := p.expr()
		if ok {
			e.Index = append(e.Index, i)
		}
		return ok
	})
	e.At = p.since(x.Span())
	return e, ok
}

// call parses Args behind fun.
func (p *parser) call(fun Expr) (Expr, bool) {
	c := &Call{Fun: fun}
	ok := p.list(listForm{"(", ")", true, true, "", p.startsExpr}, func() bool {
		var a Arg
		if p.startsDecl() { // WORD ":"
			t := p.next()
			a.Label = &Ident{Name: normal(t.Value), At: p.span(t)}
			p.next()
		}
		var ok bool
		if a.Value, ok = p.expr(); ok {
			c.Args = append(c.Args, a)
		}
		return ok
	})
	c.At = p.since(fun.Span())
	return c, ok
}

// startsExpr reports whether a value that belongs to no clause can start here.
func (p *parser) startsExpr() bool {
	switch t := p.peek(); t.Type {
	case NumberToken, TextToken:
		return true
	case WordToken:
		return !isClause(t.Value)
	case PunctToken:
		return t.Value == "(" || t.Value == "["
	}
	return false
}

func isClause(w string) bool {
	for _, c := range clauseWords {
		if c == w {
			return true
		}
	}
	return false
}

// primary = QUANTITY | TEXT | NAME [ Args ] | "(" Expr [ "," Expr ] ")" | "[" … "]" .
func (p *parser) primary() (Expr, bool) {
	t := p.peek()
	switch t.Type {
	case NumberToken:
		p.next()
		return p.number(t), true
	case TextToken:
		p.next()
		return &Text{At: p.span(t), Value: unquote(t.Value, nil)}, true
	case WordToken:
		p.next()
		if IsReserved(t.Value) {
			p.reserved(t)
			return nil, false
		}
		n := &Name{At: p.span(t), Name: normal(t.Value)}
		if p.is("(") {
			return p.call(n)
		}
		return n, true
	case PunctToken:
		switch t.Value {
		case "(":
			return p.paren()
		case "[":
			return p.items()
		}
	}
	p.noValue(t)
	return nil, false
}

// noValue fails for a token that starts no value.
func (p *parser) noValue(t *Token) {
	if t.Type == StartToken && p.nameMeant(t) {
		p.next()
		p.reserved(t)
		return
	}
	d := diag.Diagnostic{
		Code: "P1201", Span: p.spot(t), Label: "expected a value",
		Summary: fmt.Sprintf("expected a value after `%s`, found %s", clip(p.prev().Text()), describe(t)),
	}
	switch {
	case t.Type == PunctToken && (t.Value == "-" || t.Value == "+"):
		d.Notes = []string{"two signs in a row: put the second into brackets, a - (-b)"}
	case p.ended(t) && isSign(p.prev().Text()):
		sign := p.prev()
		sign.Start = int32(len(strings.TrimRight(sign.Source.Text[:sign.Start], " \t")))
		d.Fix = replaceFix(sign, "", fmt.Sprintf("leave the `%s` out", p.prev().Text()))
	case t.Type == KeyToken:
		d.Notes = []string{fmt.Sprintf("a `%s` inside other reckoning needs brackets: (%s …)", t.Value, t.Value)}
	}
	p.fail(d)
}

// ended tells that a token found where a value belongs is the next statement, or no more
// than the end of what the value was to stand in.
func (p *parser) ended(t *Token) bool {
	return t.EOF() || t.Type == StartToken || t.Type == PunctToken && (t.Value == "}" || t.Value == ")" || t.Value == "]" || t.Value == ",") || p.apart(p.prev(), t)
}

// isSign tells whether a sign stands between two values.
func isSign(s string) bool { return len(s) == 1 && strings.Contains("+-*/^&", s) }

// number makes a literal; what is wrong with it was said by the scanner. A unit
// that stands apart is reported and read as if it were glued.
func (p *parser) number(t *Token) Expr {
	v, err := quantity.ParseLiteral(t.Value)
	lit := &Literal{At: p.span(t), Value: v}
	p.failed = p.failed || err != nil
	next := p.peek()
	if err != nil || v.Kind != quantity.Plain || next.Type != WordToken {
		return lit
	}
	glued, err := quantity.ParseLiteral(t.Value + next.Value)
	if err != nil {
		return lit
	}
	p.next()
	lit.At = diag.Cover(lit.At, p.span(next))
	lit.Value = glued
	p.report(diag.Diagnostic{
		Code: "P1009", Mark: diag.Standing, Span: lit.At, Summary: "a unit is glued to its number",
		Label: "write " + glued.Spelling, Fix: replaceFix(lit.At, glued.Spelling, "write `"+glued.Spelling+"`"),
	})
	return lit
}

// paren parses `(e)`, the point `(x, y)` or the place in space `(x, y, z)`.
func (p *parser) paren() (Expr, bool) {
	start := p.span(p.peek())
	told := len(p.diags)
	var xs []Expr
	if !p.list(listForm{"(", ")", false, false, "a value, or a point (x, y)", p.startsExpr}, func() bool {
		x, ok := p.expr()
		xs = append(xs, x)
		return ok
	}) {
		return nil, false
	}
	at := p.since(start)
	switch {
	case len(xs) == 1 && xs[0] != nil:
		return &Paren{At: at, X: xs[0]}, true
	case len(xs) == 2 && xs[0] != nil && xs[1] != nil:
		return &Pair{At: at, X: xs[0], Y: xs[1]}, true
	case len(xs) == 3 && xs[0] != nil && xs[1] != nil && xs[2] != nil:
		return &Triple{At: at, X: xs[0], Y: xs[1], Z: xs[2]}, true
	case len(p.diags) > told:
		p.failed = true
	case len(xs) > 3:
		p.fail(diag.Diagnostic{
			Code: "P1207", Span: at, Summary: fmt.Sprintf("a point has two coordinates, a place in space three; these brackets hold %d values", len(xs)),
			Label: "expected (u, v) or (x, y, z)", Notes: []string{"a list stands in [ ]"},
			Fix: &diag.Fix{Message: "write it as a list, in [ ]", Edits: []diag.Edit{
				{Span: diag.Span{Source: at.Source, Start: at.Start, End: at.Start + 1}, Text: "["},
				{Span: diag.Span{Source: at.Source, Start: at.End - 1, End: at.End}, Text: "]"},
			}},
		})
	}
	// The mistake inside was reported; what follows the bracket can be read.
	return &Pair{At: at, X: hole(at), Y: hole(at)}, true
}

// hole stands where a value was lost; its statement is left out of the tree.
func hole(at diag.Span) Expr { return &Name{At: at} }

// items parses a list with the corner clauses of its points.
func (p *parser) items() (Expr, bool) {
	l := &List{At: p.span(p.peek())}
	ok := p.list(listForm{"[", "]", true, true, "", p.startsExpr}, func() bool {
		it, ok := p.item()
		if ok {
			l.Items = append(l.Items, it)
		}
		return ok
	})
	l.At = p.since(l.At)
	return l, ok
}

// item = Expr [ "round" Sum | "chamfer" Sum ] [ "arc" Sum ] [ "edge" NAME ] .
func (p *parser) item() (it Item, ok bool) {
	if it.Value, ok = p.expr(); !ok {
		return it, false
	}
	first := p.peek()
	rank := 0
	for {
		t := p.peek()
		r := clauseRank(t)
		if r == 0 {
			break
		}
		if r <= rank {
			p.fail(diag.Diagnostic{
				Code: "P1102", Span: p.span(t), Summary: fmt.Sprintf("`%s` can't stand here", t.Value),
				Label: "out of order, or twice", Notes: []string{"a point reads: (u, v) round R or chamfer C, then arc R, then edge NAME"},
			})
			return it, false
		}
		rank = r
		p.next()
		if !p.clause(&it, t.Value) {
			return it, false
		}
	}
	if p.forgotEdge(it) {
		p.clause(&it, "edge")
	}
	it.At = p.since(it.Value.Span())
	if rank > 0 && !MayBePoint(it.Value) {
		p.report(diag.Diagnostic{
			Code: "P1206", Span: p.span(first), Summary: fmt.Sprintf("`%s` stands behind something that is not a point", first.Value),
			Label: "corner clauses belong to points", Related: []diag.Related{{Span: it.Value.Span(), Message: "this is no point (u, v)"}},
		})
	}
	return it, true
}

// clauseRank orders the corner clauses; 0 for any other token.
func clauseRank(t *Token) int {
	if t.Type == WordToken {
		switch t.Value {
		case "round", "chamfer":
			return 1
		case "arc":
			return 2
		case "edge":
			return 3
		}
	}
	return 0
}

func (p *parser) clause(it *Item, word string) (ok bool) {
	switch word {
	case "round":
		it.Round, ok = p.sum()
	case "chamfer":
		it.Chamfer, ok = p.sum()
	case "arc":
		it.Arc, ok = p.sum()
	default:
		var id Ident
		id, ok = p.takeName("a name for the edge")
		it.Edge = &id
	}
	return ok
}

// MayBePoint reports whether an expression can, by its form, be a point.
func MayBePoint(e Expr) bool {
	switch x := e.(type) {
	case *Literal, *Text, *List, *In:
		return false
	case *Unary:
		return x.Op == OpNeg && MayBePoint(x.X)
	case *Paren:
		return MayBePoint(x.X)
	case *Binary:
		return x.Op == OpAdd || x.Op == OpSub || x.Op == OpMul || x.Op == OpDiv
	}
	return true
}
