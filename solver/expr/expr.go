// Package expr holds expressions over numbered variables, as graphs in which what is used
// twice is kept once, and all that is known of each operation in one table: value, partial
// derivatives, enclosures of both, and what a value tells of the operands. An expression is
// evaluated as a Tape, in numbers, or as a Row, in intervals. It never solves anything.
package expr

import "math"

// Expr is an immutable expression over variables; see the constructors. The
// zero Expr is undefined everywhere.
type Expr struct{ n *node }

// Var is a variable, by index from 0.
type Var int

// node is a vertex of an expression's graph; nodes may be shared.
type node struct {
	op   Op
	a, b *node
	c    float64 // OpConst
	v    Var     // OpVar
	tab  *table  // OpLookup
}

// undefined stands for the zero Expr.
var undefined = &node{op: OpConst, c: math.NaN()}

func (x Expr) node() *node {
	if x.n == nil {
		return undefined
	}
	return x.n
}

func one(o Op, x Expr) Expr    { return Expr{&node{op: o, a: x.node()}} }
func two(o Op, x, y Expr) Expr { return Expr{&node{op: o, a: x.node(), b: y.node()}} }

// Expr is the variable as an expression. A variable that is not of the System
// makes the expression undefined.
func (v Var) Expr() Expr { return Expr{&node{op: OpVar, v: v}} }

// Const is a number.
func Const(x float64) Expr { return Expr{&node{op: OpConst, c: x}} }

// Sum is x + y.
func Sum(x, y Expr) Expr { return two(OpAdd, x, y) }

// Difference is x - y.
func Difference(x, y Expr) Expr { return two(OpSub, x, y) }

// Product is x · y.
func Product(x, y Expr) Expr { return two(OpMul, x, y) }

// Quotient is x / y, undefined where y is 0.
func Quotient(x, y Expr) Expr { return two(OpDiv, x, y) }

// Power is x to the y, undefined where x is negative and y not whole.
func Power(x, y Expr) Expr { return two(OpPow, x, y) }

// Negative is -x.
func Negative(x Expr) Expr { return one(OpNeg, x) }

// Sin, Cos and Tan are of an angle in radians.
func Sin(x Expr) Expr { return one(OpSin, x) }
func Cos(x Expr) Expr { return one(OpCos, x) }
func Tan(x Expr) Expr { return one(OpTan, x) }

// Asin, Acos and Atan give an angle in radians; the first two are undefined
// outside [-1, 1].
func Asin(x Expr) Expr { return one(OpAsin, x) }
func Acos(x Expr) Expr { return one(OpAcos, x) }
func Atan(x Expr) Expr { return one(OpAtan, x) }

// Sqrt is the square root, undefined for negative x.
func Sqrt(x Expr) Expr { return one(OpSqrt, x) }

// Exp is e to the x, Ln the natural logarithm, undefined unless x is positive.
func Exp(x Expr) Expr { return one(OpExp, x) }
func Ln(x Expr) Expr  { return one(OpLn, x) }

// Abs, Min and Max are as usual.
func Abs(x Expr) Expr    { return one(OpAbs, x) }
func Min(x, y Expr) Expr { return two(OpMin, x, y) }
func Max(x, y Expr) Expr { return two(OpMax, x, y) }

// Round, Floor and Ceil give the multiple of step that is nearest to x (halves
// away from 0), next below or next above; a multiple of step within
// wholeTolerance is x's own. Undefined unless step is positive.
func Round(x, step Expr) Expr { return two(OpRound, x, step) }
func Floor(x, step Expr) Expr { return two(OpFloor, x, step) }
func Ceil(x, step Expr) Expr  { return two(OpCeil, x, step) }

// Where is x where cond is 0 or more, and 0 elsewhere, even where x is undefined; Unless
// is x where cond is less than 0.
func Where(cond, x Expr) Expr  { return two(OpWhere, cond, x) }
func Unless(cond, x Expr) Expr { return two(OpUnless, cond, x) }

// Lookup interpolates linearly in a table of ascending xs; outside it, it is
// undefined, and everywhere where the table is malformed (lengths differ, empty,
// not ascending, not finite).
func Lookup(x Expr, xs, ys []float64) Expr {
	t := newTable(xs, ys)
	if t == nil {
		return Expr{undefined}
	}
	return Expr{&node{op: OpLookup, a: x.node(), tab: t}}
}

// Variable is the variable that x is, if it is one alone.
func (x Expr) Variable() (v Var, ok bool) {
	n := x.node()
	return n.v, n.op == OpVar
}

// Op is the outermost operation of x.
func (x Expr) Op() Op { return x.node().op }

// Number is the number that x is, if it is one.
func (x Expr) Number() (c float64, ok bool) {
	n := x.node()
	return n.c, n.op == OpConst
}

// Operands are those of the outermost operation, in order.
func (x Expr) Operands() []Expr {
	n := x.node()
	return []Expr{{n.a}, {n.b}}[:operations[n.op].arity]
}

// Substitute is x with its numbers and variables exchanged, each once wherever it is
// shared; what is shared stays so.
func (x Expr) Substitute(leaf func(Expr) Expr) Expr {
	done := map[*node]*node{}
	var walk func(n *node) *node
	walk = func(n *node) *node {
		if n == nil || done[n] != nil {
			return done[n]
		}
		var m *node
		if n.op.leaf() {
			m = leaf(Expr{n}).node()
		} else {
			c := *n
			c.a, c.b = walk(n.a), walk(n.b)
			m = &c
		}
		done[n] = m
		return m
	}
	return Expr{walk(x.node())}
}
