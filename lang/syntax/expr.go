package syntax

import (
	"fmt"

	"perch/lang/diag"
)

// Expressions, by recursive descent with one function a rank. Each returns
// false once a mistake was reported and the place of what follows is unsure.

// expr = "if" Expr "then" Expr "else" Expr | And { "or" And } .
func (p *parser) expr() (Expr, bool) {
	if t := p.peek(); t.Type == KeyToken && t.Value == "if" {
		return p.choice()
	}
	return p.chain(p.and, func(t *Token) (Op, bool) { return OpOr, t.Type == WordToken && t.Value == "or" })
}

func (p *parser) choice() (Expr, bool) {
	if !p.nest() {
		return nil, false
	}
	defer func() { p.depth-- }()
	p.next()
	x := &If{At: p.prev()}
	var ok bool
	if x.Cond, ok = p.expr(); !ok {
		return nil, false
	}
	if x.Then, ok = p.branch("then"); !ok {
		return nil, false
	}
	if x.Else, ok = p.branch("else"); !ok {
		return nil, false
	}
	x.At = diag.Cover(x.At, x.Else.Span())
	return x, true
}

func (p *parser) branch(word string) (Expr, bool) {
	if !p.word(word) {
		note := "a choice has both branches: if CONDITION then VALUE else VALUE"
		if st := p.current(); word == "else" && st != nil && st.word == "rule" {
			note = "a rule that holds only at times reads: rule not CONDITION or RULE"
		}
		p.wantWith("`"+word+"`", note, p.insertWord(word))
		return nil, false
	}
	p.next()
	return p.expr()
}

// chain parses operands joined by operators of one rank, from the left.
func (p *parser) chain(operand func() (Expr, bool), operator func(*Token) (Op, bool)) (Expr, bool) {
	x, ok := operand()
	if !ok {
		return nil, false
	}
	for n := 0; ; n++ {
		t := p.peek()
		op, more := operator(t)
		if !more {
			return x, true
		}
		if n == maxChain {
			p.tooLong()
			return nil, false
		}
		p.next()
		at := p.span(t)
		y, ok := operand()
		if !ok {
			return nil, false
		}
		x = &Binary{At: diag.Cover(x.Span(), y.Span()), Op: op, OpAt: at, X: x, Y: y}
	}
}

func (p *parser) tooLong() {
	p.stuck = true
	p.fail(diag.Diagnostic{
		Code: "P1204", Span: p.span(p.peek()),
		Summary: fmt.Sprintf("more than %d operations stand in a row", maxChain), Label: "this one is too many",
		Notes: []string{"name a part of it with `let`"},
	})
}

func (p *parser) and() (Expr, bool) {
	return p.chain(p.not, func(t *Token) (Op, bool) { return OpAnd, t.Type == WordToken && t.Value == "and" })
}

// not = [ "not" ] Compare .
func (p *parser) not() (Expr, bool) {
	t := p.peek()
	if t.Type != KeyToken || t.Value != "not" {
		return p.compare()
	}
	p.next()
	at := p.span(t)
	x, ok := p.compare()
	if !ok {
		return nil, false
	}
	return &Unary{At: diag.Cover(at, x.Span()), Op: OpNot, X: x}, true
}

func compareOp(t *Token) (Op, bool) {
	if t.Type == PunctToken {
		switch t.Value {
		case "=":
			return OpEq, true
		case "!=":
			return OpNe, true
		case "<":
			return OpLt, true
		case "<=":
			return OpLe, true
		case ">":
			return OpGt, true
		case ">=":
			return OpGe, true
		}
	}
	return 0, false
}

// compare = Sum [ ( "=" | "!=" | "<" | "<=" | ">" | ">=" ) Sum | "in" Domain ] .
func (p *parser) compare() (Expr, bool) {
	x, ok := p.sum()
	if !ok {
		return nil, false
	}
	if p.word("in") {
		p.next()
		d, ok := p.domain()
		if !ok {
			return nil, false
		}
		return &In{At: diag.Cover(x.Span(), d.At), X: x, Domain: d}, true
	}
	t := p.peek()
	op, ok := compareOp(t)
	if !ok {
		return x, true
	}
	p.next()
	y, ok := p.sum()
	if !ok {
		return nil, false
	}
	b := &Binary{At: diag.Cover(x.Span(), y.Span()), Op: op, OpAt: p.span(t), X: x, Y: y}
	if t := p.peek(); t.Type == PunctToken {
		if _, again := compareOp(t); again {
			return nil, p.chained(t, y)
		}
	}
	return b, true
}

// chained fails for a second comparison in a row; it returns false.
func (p *parser) chained(t *Token, y Expr) bool {
	p.fail(diag.Diagnostic{
		Code: "P1205", Span: p.span(t), Summary: "comparisons do not chain",
		Label: "a second comparison",
		Notes: []string{fmt.Sprintf("say it twice with `and`, as in: … %s and %s %s …", clip(y.Span().Text()), clip(y.Span().Text()), t.Value), "a range reads: NAME in LOW..HIGH"},
		Fix:   replaceFix(p.span(t).Before(), "and "+y.Span().Text()+" ", fmt.Sprintf("write `and %s` between", clip(y.Span().Text()))),
	})
	return false
}

// sum = Term { ( "+" | "-" ) Term } .
func (p *parser) sum() (Expr, bool) {
	return p.chain(p.term, func(t *Token) (Op, bool) {
		if t.Type != PunctToken {
			return 0, false
		}
		switch t.Value {
		case "+":
			return OpAdd, true
		case "-":
			return OpSub, true
		}
		return 0, false
	})
}

// term = Placed { ( "*" | "/" | "&" ) Placed } .
func (p *parser) term() (Expr, bool) {
	return p.chain(p.placed, func(t *Token) (Op, bool) {
		if t.Type != PunctToken {
			return 0, false
		}
		switch t.Value {
		case "*":
			return OpMul, true
		case "/":
			return OpDiv, true
		case "&":
			return OpMeet, true
		}
		return 0, false
	})
}

// placed = Unary [ "at" Unary ] .
func (p *parser) placed() (Expr, bool) {
	x, ok := p.unary()
	if !ok {
		return x, ok
	}
	return p.putAt(x)
}

// putAt parses [ "at" Unary ] behind what is put there.
func (p *parser) putAt(x Expr) (Expr, bool) {
	if !p.word("at") {
		return x, true
	}
	p.next()
	at := p.prev()
	y, ok := p.unary()
	if !ok {
		return nil, false
	}
	return &Binary{At: diag.Cover(x.Span(), y.Span()), Op: OpAt, OpAt: at, X: x, Y: y}, true
}

// unary = [ "-" ] Ref [ "^" Unary ] .
func (p *parser) unary() (Expr, bool) {
	minus := diag.Span{}
	if p.is("-") {
		p.next()
		minus = p.prev()
	}
	x, ok := p.ref()
	if !ok {
		return nil, false
	}
	if p.is("^") {
		if !p.nest() {
			return nil, false
		}
		p.next()
		at := p.prev()
		y, ok := p.unary()
		p.depth--
		if !ok {
			return nil, false
		}
		x = &Binary{At: diag.Cover(x.Span(), y.Span()), Op: OpPow, OpAt: at, X: x, Y: y}
	}
	if !minus.IsZero() {
		x = &Unary{At: diag.Cover(minus, x.Span()), Op: OpNeg, X: x}
	}
	return x, true
}
