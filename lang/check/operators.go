package check

import (
	"fmt"
	"strings"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

func (c *checker) unary(s *scope, e *syntax.Unary) Type {
	if e.Op == syntax.OpNot {
		c.condition(s, e.X, "what follows not")
		return flag
	}
	t := c.expr(s, e.X)
	if t.silent() || t.quantity() || t.Kind == PointKind {
		return t
	}
	c.report("P2012", e.At, fmt.Sprintf("a minus stands before a quantity, this is %s", t.phrase()), "not a quantity")
	return invalid
}

func (c *checker) binary(s *scope, e *syntax.Binary) Type {
	if e.Op == syntax.OpAnd || e.Op == syntax.OpOr {
		c.condition(s, e.X, "what stands before "+builtin.OperatorOf(e.Op).Sign)
		c.condition(s, e.Y, "what follows "+builtin.OperatorOf(e.Op).Sign)
		return flag
	}
	x, y := c.expr(s, e.X), c.expr(s, e.Y)
	if x.Kind == Invalid || y.Kind == Invalid {
		if builtin.OperatorOf(e.Op).Holds != nil {
			return flag
		}
		return invalid
	}
	switch e.Op {
	case syntax.OpAdd, syntax.OpSub:
		return c.sum(e, x, y)
	case syntax.OpMul, syntax.OpDiv:
		return c.product(e, x, y)
	case syntax.OpPow:
		return c.power(e, x, y)
	case syntax.OpMeet:
		return c.combine(e, x, y)
	case syntax.OpAt:
		return c.placed(e, x, y)
	}
	c.compare(e, x, y)
	return flag
}

// sum is the type of + and -, of quantities of one dimension, points or shapes.
func (c *checker) sum(e *syntax.Binary, x, y Type) Type {
	op := builtin.OperatorOf(e.Op)
	_, alike := op.Dim(x.Dim, y.Dim, 0)
	switch {
	case x.Kind == Any && y.Kind == Any:
		return anything
	case x.Kind == Any:
		return y
	case y.Kind == Any:
		return x
	case x.quantity() && y.quantity() && alike:
		if x.Kind == CountKind {
			return y
		}
		c.mixedSum(e)
		return x
	case x.Kind == PointKind && y.Kind == PointKind && op.Points == builtin.TwoPoints:
		return point
	case assignable(shape, x) && assignable(shape, y):
		return c.combine(e, x, y)
	}
	return c.unlike(e, x, y)
}

// unlike reports two sides that an operator can't take together.
func (c *checker) unlike(e *syntax.Binary, x, y Type) Type {
	op := builtin.OperatorOf(e.Op).Sign
	d := c.report("P2011", opPlace(e), fmt.Sprintf("%s %s %s", x.phrase(), op, y.phrase()), fmt.Sprintf("%s can't take these together", op))
	also(d, e.X.Span(), "this is "+x.phrase())
	also(d, e.Y.Span(), "this is "+y.phrase())
	c.giveUnit(d, e.X, x, y)
	c.giveUnit(d, e.Y, y, x)
	if d.Fix == nil {
		c.bracketPlace(d, e)
	}
	return invalid
}

func opPlace(e *syntax.Binary) diag.Span {
	if e.OpAt.IsZero() {
		return e.At
	}
	return e.OpAt
}

// plainUnits are the units that a number without one most likely has, by system.
var plainUnits = [...]map[quantity.Dim]string{
	quantity.Millimetres: {quantity.Length: "mm", quantity.Angle: "deg", quantity.Mass: "kg", quantity.Force: "N"},
	quantity.Inches:      {quantity.Length: "in", quantity.Angle: "deg", quantity.Mass: "lb", quantity.Force: "lbf"},
}

// giveUnit offers a unit to a plain literal that stands where want is wanted.
func (c *checker) giveUnit(d *diag.Diagnostic, e syntax.Expr, got, want Type) {
	if want.Kind != Quantity || !got.quantity() || got.Dim != quantity.None {
		return
	}
	unit := plainUnits[c.writtenIn()][want.Dim]
	if unit == "" {
		return
	}
	l, ok := strip(e).(*syntax.Literal)
	if !ok {
		if u, neg := strip(e).(*syntax.Unary); neg && u.Op == syntax.OpNeg {
			l, ok = strip(u.X).(*syntax.Literal)
		}
	}
	if ok && !strings.ContainsAny(l.Value.Spelling, "%eE") {
		fix(d, fmt.Sprintf("write %s%s", l.Value.Spelling, unit), diag.Edit{Span: l.At.After(), Text: unit})
	}
}

func (c *checker) product(e *syntax.Binary, x, y Type) Type {
	if x.Kind == Any || y.Kind == Any {
		return anything
	}
	op := builtin.OperatorOf(e.Op)
	switch {
	case x.quantity() && y.quantity():
		if x.Kind == CountKind && y.Kind == CountKind && e.Op == syntax.OpMul {
			return count
		}
		d, _ := op.Dim(x.Dim, y.Dim, 0)
		return Type{Kind: Quantity, Dim: d}
	case x.Kind == PointKind && assignable(number, y) && op.Points >= builtin.Scaled,
		y.Kind == PointKind && assignable(number, x) && op.Points == builtin.EitherWay:
		return point
	}
	d := c.report("P2012", opPlace(e), fmt.Sprintf("%s takes quantities: this is %s %s %s", op.Sign, x.phrase(), op.Sign, y.phrase()), "")
	also(d, e.X.Span(), "this is "+x.phrase())
	also(d, e.Y.Span(), "this is "+y.phrase())
	c.bracketPlace(d, e)
	return invalid
}

// bracketPlace offers brackets around a reckoning with the point behind `at`, which binds
// tighter.
func (c *checker) bracketPlace(d *diag.Diagnostic, e *syntax.Binary) {
	at, ok := e.X.(*syntax.Binary)
	if !ok || at.Op != syntax.OpAt || e.Y == nil || c.prog.TypeOf(at.Y).Kind != PointKind {
		return
	}
	note(d, "at binds tighter: what follows it is put into brackets")
	fix(d, "put the point into brackets", diag.Edit{Span: e.Y.Span().After(), Text: ")"}, diag.Edit{Span: at.Y.Span().Before(), Text: "("})
}

// power wants a plain exponent; a whole number written out where the base has a dimension.
func (c *checker) power(e *syntax.Binary, x, y Type) Type {
	if x.Kind == Any || y.Kind == Any {
		return anything
	}
	if !x.quantity() {
		c.report("P2012", e.X.Span(), fmt.Sprintf("^ takes a quantity, this is %s", x.phrase()), "not a quantity")
		return invalid
	}
	if !assignable(number, y) {
		c.report("P2013", e.Y.Span(), fmt.Sprintf("an exponent is a number, this is %s", y.phrase()), "not a number")
		return invalid
	}
	n, known := constant(e.Y)
	whole := known && n.Dim == quantity.None && n.Value == float64(int(n.Value))
	if x.Dim == quantity.None {
		if whole && n.Value >= 0 {
			return x
		}
		return number
	}
	if !whole || n.Value < -9 || n.Value > 9 {
		c.report("P2013", e.Y.Span(), fmt.Sprintf("%s takes a whole exponent from -9 to 9, written out", x.phrase()), "its dimension would not be known")
		return invalid
	}
	d, _ := builtin.OperatorOf(e.Op).Dim(x.Dim, n.Dim, n.Value)
	return Type{Kind: Quantity, Dim: d}
}

// combine is the type of + - & of shapes.
func (c *checker) combine(e *syntax.Binary, x, y Type) Type {
	if assignable(shape, x) && assignable(shape, y) {
		if e.Op == syntax.OpSub { // what is taken away leaves no names
			return shape.withEdges(x)
		}
		return shape.withEdges(joinEdges(x, y))
	}
	return c.unlike(e, x, y)
}

// placed is the type of `at`: a shape or mark at a point or points, a body put
// somewhere, a plane whose origin is moved.
func (c *checker) placed(e *syntax.Binary, x, y Type) Type {
	switch {
	case x.Kind == BodyKind:
		c.fits(e.Y, y, "where a body is put", point, inSpace)
		return body
	case assignable(plane, x) && !x.silent():
		c.fits(e.Y, y, "where a plane's origin is put", point)
		return plane
	case !assignable(shape, x) && x.Kind != MarkKind:
		c.report("P2011", e.X.Span(), fmt.Sprintf("a shape, a mark, a body or a plane is put at a point, this is %s", x.phrase()), "can't be put anywhere")
		return invalid
	case !c.fits(e.Y, y, "what follows at", point, list(point)):
		return invalid
	case x.Kind == MarkKind || x.Kind == Any:
		return x
	}
	if y.Kind == ListKind {
		return shape.withEdges(x).repeated()
	}
	return shape.withEdges(x)
}

// compare checks that two sides can be compared.
func (c *checker) compare(e *syntax.Binary, x, y Type) {
	if x.silent() || y.silent() {
		return
	}
	if x.quantity() && y.quantity() && x.Dim == y.Dim {
		return
	}
	if e.Op == syntax.OpEq || e.Op == syntax.OpNe {
		if _, ok := unify(x, y); ok && !(x.quantity() || y.quantity()) {
			return
		}
	} else if !x.quantity() && !y.quantity() {
		d := c.report("P2012", opPlace(e), fmt.Sprintf("%s compares quantities", builtin.OperatorOf(e.Op).Sign), "")
		also(d, e.X.Span(), "this is "+x.phrase())
		also(d, e.Y.Span(), "this is "+y.phrase())
		return
	}
	c.unlike(e, x, y)
}

// value is a constant with its dimension.
type value struct {
	Value float64
	Dim   quantity.Dim
}

// constant evaluates literals, their negation, and brackets around them.
func constant(e syntax.Expr) (value, bool) {
	switch e := strip(e).(type) {
	case *syntax.Literal:
		if e.Value.Kind != quantity.Gauge {
			return value{e.Value.Value, e.Value.Dim}, true
		}
	case *syntax.Unary:
		if l, ok := strip(e.X).(*syntax.Literal); ok && e.Op == syntax.OpNeg && l.Value.Kind != quantity.Gauge {
			return value{-l.Value.Value, l.Value.Dim}, true
		}
	}
	return value{}, false
}

// want reads e and wants one of the types.
func (c *checker) want(s *scope, e syntax.Expr, what string, types ...Type) Type {
	outer := c.wanted
	c.wanted = wanting{strip(e), types}
	t := c.expr(s, e)
	c.wanted = outer
	if !c.fits(e, t, what, types...) {
		return invalid
	}
	return t
}

// fits reports where a value of type got is none of the types.
func (c *checker) fits(e syntax.Expr, got Type, what string, types ...Type) bool {
	for _, t := range types {
		if assignable(t, got) {
			return true
		}
	}
	at := e
	if got.Kind == PairKind && len(types) > 0 {
		if p, ok := strip(e).(*syntax.Pair); ok {
			return c.pairFits(p, got, what)
		}
	}
	if l, ok := strip(e).(*syntax.List); ok && got.Kind == ListKind && got.Elem.Kind == PairKind {
		for i := range l.Items {
			if p, ok := strip(l.Items[i].Value).(*syntax.Pair); ok && c.prog.TypeOf(p).Kind == PairKind {
				return c.pairFits(p, c.prog.TypeOf(p), what)
			}
		}
	}
	d := c.report("P2010", at.Span(), fmt.Sprintf("%s is %s, this is %s", what, alternatives(types), got.phrase()), got.String())
	c.hint(d, e, got, types)
	return false
}

// pairFits reports the coordinate of a point that is not a length.
func (c *checker) pairFits(p *syntax.Pair, got Type, what string) bool {
	at, t := p.X, got.Index[0]
	if assignable(length, t) {
		at, t = p.Y, got.Index[1]
	}
	d := c.report("P2010", at.Span(), fmt.Sprintf("a point is two lengths, this is %s", t.phrase()), t.String())
	c.giveUnit(d, at, t, length)
	return false
}

// hint adds what helps with a common mismatch.
func (c *checker) hint(d *diag.Diagnostic, e syntax.Expr, got Type, types []Type) {
	if len(types) == 0 {
		return
	}
	for _, t := range types {
		if d.Fix == nil {
			c.giveUnit(d, e, got, t)
		}
	}
	want := types[0]
	switch {
	case got.Kind == FamilyKind && assignable(want, *got.Elem):
		note(d, fmt.Sprintf("a family is meant one by one here: give its index, %s", phrases(got.Index)))
	case got.Kind == ListKind && assignable(want, *got.Elem):
		note(d, "take one of the list with [n]")
	case want.Kind == CountKind && got.Kind == Quantity && got.Dim == quantity.None:
		note(d, "round, floor or ceil make a count of a number")
	case got.Kind == FuncKind:
		note(d, fmt.Sprintf("%s is a function: call it", got.Decl.Name))
	}
}

// alternatives writes "a length or a point".
func alternatives(types []Type) string { return builtin.Alternatives(plainTypes(types)) }

// phrases writes "a side, a count".
func phrases(types []Type) string { return strings.ReplaceAll(alternatives(types), " or ", ", ") }
