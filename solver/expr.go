package solver

import "math"

// Expr is an immutable expression over variables; see the constructors. The
// zero Expr is undefined everywhere.
type Expr struct{ n *node }

// Var is a variable, by index from 0.
type Var int

// node is a vertex of an expression's graph; nodes may be shared.
type node struct {
	op   op
	a, b *node
	c    float64 // opConst
	v    Var     // opVar
	tab  *table  // opLookup
}

// undefined stands for the zero Expr.
var undefined = &node{op: opConst, c: math.NaN()}

func (x Expr) node() *node {
	if x.n == nil {
		return undefined
	}
	return x.n
}

func one(o op, x Expr) Expr    { return Expr{&node{op: o, a: x.node()}} }
func two(o op, x, y Expr) Expr { return Expr{&node{op: o, a: x.node(), b: y.node()}} }

// Expr is the variable as an expression. A variable that is not of the System
// makes the expression undefined.
func (v Var) Expr() Expr { return Expr{&node{op: opVar, v: v}} }

// Const is a number.
func Const(x float64) Expr { return Expr{&node{op: opConst, c: x}} }

// Sum is x + y.
func Sum(x, y Expr) Expr { return two(opAdd, x, y) }

// Difference is x - y.
func Difference(x, y Expr) Expr { return two(opSub, x, y) }

// Product is x · y.
func Product(x, y Expr) Expr { return two(opMul, x, y) }

// Quotient is x / y, undefined where y is 0.
func Quotient(x, y Expr) Expr { return two(opDiv, x, y) }

// Power is x to the y, undefined where x is negative and y not whole.
func Power(x, y Expr) Expr { return two(opPow, x, y) }

// Negative is -x.
func Negative(x Expr) Expr { return one(opNeg, x) }

// Sin, Cos and Tan are of an angle in radians.
func Sin(x Expr) Expr { return one(opSin, x) }
func Cos(x Expr) Expr { return one(opCos, x) }
func Tan(x Expr) Expr { return one(opTan, x) }

// Asin, Acos and Atan give an angle in radians; the first two are undefined
// outside [-1, 1].
func Asin(x Expr) Expr { return one(opAsin, x) }
func Acos(x Expr) Expr { return one(opAcos, x) }
func Atan(x Expr) Expr { return one(opAtan, x) }

// Sqrt is the square root, undefined for negative x.
func Sqrt(x Expr) Expr { return one(opSqrt, x) }

// Exp is e to the x, Ln the natural logarithm, undefined unless x is positive.
func Exp(x Expr) Expr { return one(opExp, x) }
func Ln(x Expr) Expr  { return one(opLn, x) }

// Abs, Min and Max are as usual.
func Abs(x Expr) Expr    { return one(opAbs, x) }
func Min(x, y Expr) Expr { return two(opMin, x, y) }
func Max(x, y Expr) Expr { return two(opMax, x, y) }

// Round, Floor and Ceil give the multiple of step that is nearest to x (halves
// away from 0), next below or next above; a multiple of step within
// wholeTolerance is x's own. Undefined unless step is positive.
func Round(x, step Expr) Expr { return two(opRound, x, step) }
func Floor(x, step Expr) Expr { return two(opFloor, x, step) }
func Ceil(x, step Expr) Expr  { return two(opCeil, x, step) }

// Lookup interpolates linearly in a table of ascending xs; outside it, it is
// undefined, and everywhere where the table is malformed (lengths differ, empty,
// not ascending, not finite).
func Lookup(x Expr, xs, ys []float64) Expr {
	t := newTable(xs, ys)
	if t == nil {
		return Expr{undefined}
	}
	return Expr{&node{op: opLookup, a: x.node(), tab: t}}
}

// variable is the variable that x is, if it is one alone.
func (x Expr) variable() (v Var, ok bool) {
	n := x.node()
	return n.v, n.op == opVar
}

// operation is the outermost operation of x.
func (x Expr) operation() op { return x.node().op }

// number is the number that x is, if it is one.
func (x Expr) number() (c float64, ok bool) {
	n := x.node()
	return n.c, n.op == opConst
}

// operands are those of the outermost operation, in order.
func (x Expr) operands() []Expr {
	n := x.node()
	return []Expr{{n.a}, {n.b}}[:operations[n.op].arity]
}

// substitute is x with its numbers and variables exchanged, each once wherever it is
// shared; what is shared stays so.
func (x Expr) substitute(leaf func(Expr) Expr) Expr {
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
