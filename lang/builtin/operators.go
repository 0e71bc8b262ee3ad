package builtin

import (
	"fmt"
	"math"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/solver"
	"perch/solver/elementary"
)

// Operator is a sign or a word between two values, or before one. What it does with
// numbers, and with points coordinate by coordinate, stands in its row; shapes are put
// together by the room value, flags by whoever reads a condition.
type Operator struct {
	Op      syntax.Op
	Sign    string
	Doc     string
	Example string

	// Of arithmetic: the value, which is NaN where there is none, the rule form and the
	// result's dimension, by being the value of y; false where the two do not go together.
	Value func(x, y float64) float64
	Rule  func(x, y solver.Expr) solver.Expr
	Dim   func(x, y quantity.Dim, by float64) (d quantity.Dim, ok bool)
	// Points tells what it takes beside two numbers.
	Points Pointwise

	// Of relations: whether it holds of two quantities that are equal within slack, a
	// number that is 0 or more where it does, and what holds where it does not.
	Holds    func(x, y, slack float64) bool
	Margin   func(x, y, slack solver.Expr) solver.Expr
	Relation solver.Relation
	Contrary syntax.Op
}

// Pointwise says which points an operator takes.
type Pointwise uint8

const (
	NoPoints  Pointwise = iota
	TwoPoints           // a point and a point
	Scaled              // a point and a plain number behind it
	EitherWay           // or before it
)

func sameDim(x, y quantity.Dim, _ float64) (quantity.Dim, bool) { return x, x == y }

// Operators are those of the language.
var Operators = []Operator{
	{Op: syntax.OpAdd, Sign: "+", Doc: "the sum of quantities of one kind or of points; shapes, together", Example: "wide + 3mm",
		Value: func(x, y float64) float64 { return x + y }, Rule: solver.Sum, Dim: sameDim, Points: TwoPoints},
	{Op: syntax.OpSub, Sign: "-", Doc: "the difference of quantities of one kind or of points; a shape without another", Example: "wide - deep",
		Value: func(x, y float64) float64 { return x - y }, Rule: solver.Difference, Dim: sameDim, Points: TwoPoints},
	{Op: syntax.OpMul, Sign: "*", Doc: "the product; a point, so many times as far", Example: "wide * deep",
		Value: func(x, y float64) float64 { return x * y }, Rule: solver.Product, Points: EitherWay,
		Dim: func(x, y quantity.Dim, _ float64) (quantity.Dim, bool) { return x.Mul(y), true }},
	{Op: syntax.OpDiv, Sign: "/", Doc: "the quotient; a point, so many times as near", Example: "wide / deep",
		Value: quotient, Rule: solver.Quotient, Points: Scaled,
		Dim: func(x, y quantity.Dim, _ float64) (quantity.Dim, bool) { return x.Div(y), true }},
	{Op: syntax.OpPow, Sign: "^", Doc: "to this power", Example: "wide ^ 2", Value: elementary.Pow, Rule: solver.Power,
		Dim: func(x, y quantity.Dim, by float64) (quantity.Dim, bool) {
			if x == quantity.None {
				return x, y == quantity.None
			}
			return x.Pow(int(by)), y == quantity.None && by == math.Trunc(by)
		}},
	{Op: syntax.OpNeg, Sign: "-", Doc: "the quantity or point on the other side of nothing", Example: "-wide",
		Value: func(x, _ float64) float64 { return -x }, Rule: func(x, _ solver.Expr) solver.Expr { return solver.Negative(x) }},
	{Op: syntax.OpEq, Sign: "=", Doc: "the same", Example: "wide = 180mm", Relation: solver.EQ, Contrary: syntax.OpNe,
		Holds:  func(x, y, slack float64) bool { return math.Abs(x-y) <= slack },
		Margin: func(x, y, slack solver.Expr) solver.Expr { return solver.Difference(slack, apart(x, y)) }},
	{Op: syntax.OpNe, Sign: "!=", Doc: "not the same", Example: "wide != deep", Relation: solver.NE, Contrary: syntax.OpEq,
		Holds:  func(x, y, slack float64) bool { return math.Abs(x-y) > slack },
		Margin: func(x, y, slack solver.Expr) solver.Expr { return solver.Difference(apart(x, y), slack) }},
	{Op: syntax.OpLt, Sign: "<", Doc: "less", Example: "deep < wide", Relation: solver.LT, Contrary: syntax.OpGe,
		Holds:  func(x, y, slack float64) bool { return x < y-slack },
		Margin: func(x, y, slack solver.Expr) solver.Expr { return solver.Difference(solver.Difference(y, x), slack) }},
	{Op: syntax.OpLe, Sign: "<=", Doc: "less or the same", Example: "deep <= wide", Relation: solver.LE, Contrary: syntax.OpGt,
		Holds:  func(x, y, slack float64) bool { return x <= y+slack },
		Margin: func(x, y, slack solver.Expr) solver.Expr { return solver.Sum(solver.Difference(y, x), slack) }},
	{Op: syntax.OpGt, Sign: ">", Doc: "more", Example: "wide > deep", Relation: solver.GT, Contrary: syntax.OpLe,
		Holds:  func(x, y, slack float64) bool { return x > y+slack },
		Margin: func(x, y, slack solver.Expr) solver.Expr { return solver.Difference(solver.Difference(x, y), slack) }},
	{Op: syntax.OpGe, Sign: ">=", Doc: "more or the same", Example: "wide >= deep", Relation: solver.GE, Contrary: syntax.OpLt,
		Holds:  func(x, y, slack float64) bool { return x >= y-slack },
		Margin: func(x, y, slack solver.Expr) solver.Expr { return solver.Sum(solver.Difference(x, y), slack) }},
	{Op: syntax.OpAnd, Sign: "and", Doc: "both hold", Example: "wide > deep and deep > 1mm"},
	{Op: syntax.OpOr, Sign: "or", Doc: "one holds, or both", Example: "wide < deep or deep > 1mm"},
	{Op: syntax.OpNot, Sign: "not", Doc: "does not hold", Example: "not wide < deep"},
	{Op: syntax.OpMeet, Sign: "&", Doc: "what two shapes have in common", Example: "area(rect(wide, deep) & circle(deep))"},
	{Op: syntax.OpAt, Sign: "at", Doc: "put at a point, or at each of a list", Example: "area(circle(9mm) at [(9mm, 9mm), (40mm, 9mm)])"},
}

func quotient(x, y float64) float64 {
	if y == 0 {
		return math.NaN()
	}
	return x / y
}

func apart(x, y solver.Expr) solver.Expr { return solver.Abs(solver.Difference(x, y)) }

var operators = indexOperators()

func indexOperators() map[syntax.Op]*Operator {
	m := map[syntax.Op]*Operator{}
	for i := range Operators {
		m[Operators[i].Op] = &Operators[i]
	}
	return m
}

// OperatorOf is the row of an operator.
func OperatorOf(op syntax.Op) *Operator { return operators[op] }

// Of works arithmetic out: of two numbers, two points, or a point and a number. It is
// false where the two do not go together. Of one operand y is not looked at.
func (o *Operator) Of(x, y value.Value, at, sign diag.Span) (v value.Value, ok bool) {
	p, isPoint := x.(value.Pair)
	q, second := y.(value.Pair)
	a, number := x.(value.Number)
	b, plain := y.(value.Number)
	each := func(p value.Pair, x, y value.Number) value.Value {
		return value.Pair{X: o.number(p.X, x, at, sign), Y: o.number(p.Y, y, at, sign)}
	}
	switch {
	case o.Value == nil:
		return nil, false
	case o.Op == syntax.OpNeg && isPoint:
		return each(p, value.Number{}, value.Number{}), true
	case number && (plain || o.Op == syntax.OpNeg):
		return o.number(a, b, at, sign), true
	case isPoint && second && o.Points == TwoPoints:
		return each(p, q.X, q.Y), true
	case isPoint && plain && o.Points >= Scaled:
		return each(p, b, b), true
	case number && second && o.Points == EitherWay:
		return each(q, a, a), true
	}
	return nil, false
}

// number works out two numbers.
func (o *Operator) number(a, b value.Number, at, sign diag.Span) value.Number {
	d := a.Dim
	if o.Dim != nil {
		var ok bool
		if d, ok = o.Dim(a.Dim, b.Dim, b.V); !ok {
			value.Fail("P2012", sign, fmt.Sprintf("%s and %s cannot meet here", a.Dim, b.Dim))
		}
	}
	v := o.Value(a.V, b.V)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		why := "the result is not a number"
		if o.Op == syntax.OpDiv && b.V == 0 {
			why = "this divides by zero"
		}
		value.FailNoNumber(at, measure.Plain(why), measure.Say("left is %s, right is %s", value.Shown(a), value.Shown(b)))
	}
	whole := a.Whole && (b.Whole || o.Op == syntax.OpNeg) && v == math.Trunc(v) && o.Op != syntax.OpDiv
	return value.Number{V: v, Dim: d, Whole: whole}
}

// Compare tells whether a relation holds of two numbers.
func (o *Operator) Compare(a, b value.Number, sign diag.Span) bool {
	if a.Dim != b.Dim {
		value.Fail("P2012", sign, fmt.Sprintf("%s and %s cannot meet here", a.Dim, b.Dim))
	}
	return o.Holds(a.V, b.V, float64(value.EqualWithin*max(1, math.Abs(a.V), math.Abs(b.V))))
}

// Symbols is Of in a rule; nil where the two do not go together or are no arithmetic.
func (o *Operator) Symbols(x, y value.Value) value.Value {
	p, isPoint := AsPlace(x)
	q, second := AsPlace(y)
	a, number := AsSymbol(x)
	b, plain := AsSymbol(y)
	each := func(p Place, x, y Symbol) value.Value {
		u, okU := o.symbol(p.X, x, nil)
		v, okV := o.symbol(p.Y, y, nil)
		if !okU || !okV {
			return nil
		}
		return Place{u, v}
	}
	switch {
	case o.Rule == nil:
		return nil
	case o.Op == syntax.OpNeg && isPoint:
		return each(p, Symbol{}, Symbol{})
	case number && (plain || o.Op == syntax.OpNeg):
		if s, ok := o.symbol(a, b, y); ok {
			return s
		}
	case isPoint && second && o.Points == TwoPoints:
		return each(p, q.X, q.Y)
	case isPoint && plain && o.Points >= Scaled:
		return each(p, b, b)
	case number && second && o.Points == EitherWay:
		return each(q, a, a)
	}
	return nil
}

// symbol is two numbers of a rule; y is the second as it was read, which alone tells the
// dimension of a power.
func (o *Operator) symbol(a, b Symbol, y value.Value) (Symbol, bool) {
	d, ok := a.Dim, true
	if o.Dim != nil {
		by := 0.5 // of a symbol no power of a dimension is known
		if n, known := y.(value.Number); known {
			by = n.V
		}
		d, ok = o.Dim(a.Dim, b.Dim, by)
	}
	return Symbol{o.Rule(a.X, b.X), d}, ok
}

// MarginOf is a number that is 0 or more where a relation holds of two numbers.
func (o *Operator) MarginOf(x, y solver.Expr) solver.Expr {
	size := solver.Max(solver.Const(1), solver.Max(solver.Abs(x), solver.Abs(y)))
	return o.Margin(x, y, solver.Product(solver.Const(value.EqualWithin), size))
}
