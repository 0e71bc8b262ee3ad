package syntax

import "strings"

var opText = [...]string{
	OpAdd: "+", OpSub: "-", OpMul: "*", OpDiv: "/", OpPow: "^", OpMeet: "&", OpAt: "at",
	OpEq: "=", OpNe: "!=", OpLt: "<", OpLe: "<=", OpGt: ">", OpGe: ">=",
	OpAnd: "and", OpOr: "or", OpNot: "not", OpNeg: "-",
}

// String is the operator as written.
func (op Op) String() string {
	if int(op) < len(opText) {
		return opText[op]
	}
	return "?"
}

// Ranks of binding, loosest first, as in the grammar.
const (
	rankIf = iota
	rankOr
	rankAnd
	rankNot
	rankCompare
	rankSum
	rankTerm
	rankPlaced
	rankUnary
	rankRef
)

func rankOf(e Expr) int {
	switch x := e.(type) {
	case *If:
		return rankIf
	case *In:
		return rankCompare
	case *Unary:
		if x.Op == OpNot {
			return rankNot
		}
		return rankUnary
	case *Binary:
		return x.Op.rank()
	}
	return rankRef
}

func (op Op) rank() int {
	switch op {
	case OpOr:
		return rankOr
	case OpAnd:
		return rankAnd
	case OpNot:
		return rankNot
	case OpEq, OpNe, OpLt, OpLe, OpGt, OpGe:
		return rankCompare
	case OpAdd, OpSub:
		return rankSum
	case OpMul, OpDiv, OpMeet:
		return rankTerm
	case OpAt:
		return rankPlaced
	}
	return rankUnary
}

// Print writes an expression on one line in canonical form: one space around
// operators and behind commas, literals as they were spelled, brackets as they
// stood and where the tree needs them. What it writes parses to the same tree.
func Print(e Expr) string {
	var p exprPrinter
	p.expr(e, rankIf)
	return p.String()
}

type exprPrinter struct{ strings.Builder }

// expr writes e, in brackets where it binds looser than least.
func (p *exprPrinter) expr(e Expr, least int) {
	if e == nil {
		return
	}
	if rankOf(e) < least {
		p.WriteByte('(')
		p.expr(e, rankIf)
		p.WriteByte(')')
		return
	}
	switch x := e.(type) {
	case *Literal:
		p.WriteString(x.Value.Spelling)
	case *Text:
		p.WriteString(Quote(x.Value))
	case *Name:
		p.WriteString(x.Name)
	case *Call:
		p.call(x)
	case *Member:
		p.expr(x.X, rankRef)
		p.WriteString("." + x.Name.Name)
	case *IndexExpr:
		p.expr(x.X, rankRef)
		p.WriteByte('[')
		for i, e := range x.Index {
			p.comma(i)
			p.expr(e, rankIf)
		}
		p.WriteByte(']')
	case *Pair:
		p.WriteByte('(')
		p.expr(x.X, rankIf)
		p.WriteString(", ")
		p.expr(x.Y, rankIf)
		p.WriteByte(')')
	case *Triple:
		p.WriteByte('(')
		for i, e := range [3]Expr{x.X, x.Y, x.Z} {
			if i > 0 {
				p.WriteString(", ")
			}
			p.expr(e, rankIf)
		}
		p.WriteByte(')')
	case *Paren:
		p.WriteByte('(')
		p.expr(x.X, rankIf)
		p.WriteByte(')')
	case *List:
		p.WriteByte('[')
		for i := range x.Items {
			p.comma(i)
			p.item(&x.Items[i])
		}
		p.WriteByte(']')
	case *If:
		p.WriteString("if ")
		p.expr(x.Cond, rankIf)
		p.WriteString(" then ")
		p.expr(x.Then, rankIf)
		p.WriteString(" else ")
		p.expr(x.Else, rankIf)
	case *Binary:
		p.binary(x)
	case *Unary:
		p.unary(x)
	case *In:
		p.expr(x.X, rankSum)
		p.WriteString(" in ")
		p.domain(x.Domain)
	}
}

func (p *exprPrinter) comma(i int) {
	if i > 0 {
		p.WriteString(", ")
	}
}

func (p *exprPrinter) call(x *Call) {
	p.expr(x.Fun, rankRef)
	p.WriteByte('(')
	for i, a := range x.Args {
		p.comma(i)
		if a.Label != nil {
			p.WriteString(a.Label.Name + ": ")
		}
		p.expr(a.Value, rankIf)
	}
	p.WriteByte(')')
}

func (p *exprPrinter) binary(x *Binary) {
	left, right := x.Op.rank(), x.Op.rank()+1
	switch x.Op {
	case OpPow:
		left, right = rankRef, rankUnary
	case OpAt:
		left, right = rankUnary, rankUnary
	case OpEq, OpNe, OpLt, OpLe, OpGt, OpGe:
		left = rankSum
	}
	p.expr(x.X, left)
	if x.Op == OpPow {
		p.WriteByte('^')
	} else {
		p.WriteString(" " + x.Op.String() + " ")
	}
	p.expr(x.Y, right)
}

// unary: the operand of a minus is a Ref with its power, that of `not` a
// comparison.
func (p *exprPrinter) unary(x *Unary) {
	if x.Op == OpNot {
		p.WriteString("not ")
		p.expr(x.X, rankCompare)
		return
	}
	p.WriteByte('-')
	if b, ok := x.X.(*Binary); ok && b.Op == OpPow {
		p.expr(b, rankUnary)
		return
	}
	p.expr(x.X, rankRef)
}

func (p *exprPrinter) domain(d *Domain) {
	p.expr(d.Lo, rankSum)
	if d.Hi != nil {
		p.WriteString("..")
		p.expr(d.Hi, rankSum)
	}
}

func (p *exprPrinter) item(it *Item) {
	p.expr(it.Value, rankIf)
	for _, c := range []struct {
		word string
		e    Expr
	}{{" round ", it.Round}, {" chamfer ", it.Chamfer}, {" arc ", it.Arc}} {
		if c.e != nil {
			p.WriteString(c.word)
			p.expr(c.e, rankSum)
		}
	}
	if it.Edge != nil {
		p.WriteString(" edge " + it.Edge.Name)
	}
}
