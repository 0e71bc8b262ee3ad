package solver

import (
	"math"

	"perch/solver/elementary"
)

// op names an operation; all that is known of it stands in its row of operations.
type op uint8

const (
	opConst op = iota // a number, no operands
	opVar             // a variable, no operands
	opAdd
	opSub
	opMul
	opDiv
	opPow
	opNeg
	opSin
	opCos
	opTan
	opAsin
	opAcos
	opAtan
	opSqrt
	opExp
	opLn
	opAbs
	opMin
	opMax
	opRound
	opFloor
	opCeil
	opLookup
	opSquare // of rows alone: a·a
	opWhole  // of rows alone: a to the whole number n of the step
	countOps
)

// operation is all that is known of an operation of one or two operands a and b. Where
// it takes one, functions are handed anything for b and return anything for it. Partial
// derivatives, slopes and what contraction narrows are by a, then by b.
type operation struct {
	name  string
	arity int

	// value is NaN where the operation is undefined.
	value func(s *step, a, b float64) float64

	// partials are the derivatives where the value is r.
	partials func(s *step, a, b, r float64) (da, db float64)

	// enclose bounds the values over x and y; empty where there are none.
	enclose func(s *step, x, y interval) interval

	// slopes bound (f(p) - f(c)) over (p - c) operand by operand, for every p in the
	// box and every c at the center; with the box itself as the center they bound the
	// partial derivatives.
	slopes func(s *step, box, center operands) (dx, dy interval)

	// chain bounds the derivative of the whole by one variable, where x and y come
	// with theirs and the value is in v. It is nil where nothing is tighter than the
	// sum of slopes times derivatives.
	chain func(s *step, x, y dual, v *interval) interval

	// contract narrows x and y to those of their points that can give a value in z;
	// false where there are none. It may leave them as they are: nil.
	contract func(s *step, z interval, x, y *interval) bool

	// degree is that of the whole as a polynomial in some variables, at most 2, where
	// those of a and b are given; nil where it is 2 as soon as one of them occurs.
	degree func(a, b int) int

	// terms tells how the size of the terms that cancel comes from those of a and b.
	terms terms

	// broken: there are places where the derivative does not exist or jumps.
	broken bool
}

// operands are enclosures of both operands and the value of an operation.
type operands struct{ x, y, v *interval }

// terms says how large the terms are that make up a value.
type terms uint8

const (
	termsByPartials terms = iota // an operand's times its partial, at least the value
	termsAdd                     // the sum of the operands'
	termsLargest                 // the larger of the operands'
)

// operations is the one table of operations. A new one is a row here, a constructor in
// expr.go and a line in the test of every row.
var operations = [countOps]operation{
	opConst: {name: "number", degree: degreeNone},
	opVar:   {name: "variable", degree: degreeNone},
	opAdd: {name: "sum", arity: 2, degree: degreeLargest, terms: termsAdd,
		value:    func(_ *step, a, b float64) float64 { return a + b },
		partials: func(_ *step, _, _, _ float64) (da, db float64) { return 1, 1 },
		enclose:  func(_ *step, x, y interval) interval { return add(x, y) },
		slopes:   func(_ *step, _, _ operands) (dx, dy interval) { return point(1), point(1) },
		chain:    func(_ *step, x, y dual, _ *interval) interval { return add(x.d, y.d) },
		contract: func(_ *step, z interval, x, y *interval) bool {
			return narrow(x, sub(z, *y)) && narrow(y, sub(z, *x))
		}},
	opSub: {name: "difference", arity: 2, degree: degreeLargest, terms: termsAdd,
		value:    func(_ *step, a, b float64) float64 { return a - b },
		partials: func(_ *step, _, _, _ float64) (da, db float64) { return 1, -1 },
		enclose:  func(_ *step, x, y interval) interval { return sub(x, y) },
		slopes:   func(_ *step, _, _ operands) (dx, dy interval) { return point(1), point(-1) },
		chain:    func(_ *step, x, y dual, _ *interval) interval { return sub(x.d, y.d) },
		contract: func(_ *step, z interval, x, y *interval) bool {
			return narrow(x, add(z, *y)) && narrow(y, sub(*x, z))
		}},
	opMul: {name: "product", arity: 2, degree: degreeTotal,
		value:    func(_ *step, a, b float64) float64 { return float64(a * b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) { return b, a },
		enclose:  func(_ *step, x, y interval) interval { return mul(x, y) },
		slopes:   slopesOfProduct,
		contract: func(_ *step, z interval, x, y *interval) bool {
			return factor(x, z, *y) && factor(y, z, *x)
		}},
	opDiv: {name: "quotient", arity: 2, degree: degreeOverDivisor,
		value: func(_ *step, a, b float64) float64 {
			if b == 0 {
				return math.NaN()
			}
			return a / b
		},
		partials: func(_ *step, _, b, r float64) (da, db float64) { return 1 / b, -r / b },
		enclose:  func(_ *step, x, y interval) interval { return div(x, y) },
		slopes: func(_ *step, box, center operands) (dx, dy interval) {
			q := div(point(1), *box.y)
			return q, neg(mul(*center.v, q))
		},
		chain: func(_ *step, x, y dual, v *interval) interval { return div(sub(x.d, mul(*v, y.d)), y.v) },
		contract: func(_ *step, z interval, x, y *interval) bool {
			return narrow(x, mul(z, *y)) && factor(y, *x, z)
		}},
	opPow: {name: "power", arity: 2,
		value:    func(_ *step, a, b float64) float64 { return elementary.Pow(a, b) },
		partials: partialsOfPower,
		enclose:  func(_ *step, x, y interval) interval { return power(x, y) },
		slopes:   slopesOfPower,
		chain:    func(_ *step, x, y dual, v *interval) interval { return chainOfPower(x, y, *v) },
		contract: contractPower},
	opNeg: {name: "negative", arity: 1, degree: degreeSame,
		value:    func(_ *step, a, _ float64) float64 { return -a },
		partials: func(_ *step, _, _, _ float64) (da, db float64) { return -1, 0 },
		enclose:  func(_ *step, x, _ interval) interval { return neg(x) },
		slopes:   func(_ *step, _, _ operands) (dx, dy interval) { return point(-1), interval{} },
		chain:    func(_ *step, x, _ dual, _ *interval) interval { return neg(x.d) },
		contract: func(_ *step, z interval, x, _ *interval) bool { return narrow(x, neg(z)) }},
	opSin: {name: "sine", arity: 1,
		value:    of(elementary.Sin),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return elementary.Cos(a), 0 },
		enclose:  encloseOf(sine),
		slopes:   derivative(func(x, _ interval) interval { return cosine(x) }),
		contract: func(_ *step, z interval, x, _ *interval) bool { return periodic(x, z, interval{}) }},
	opCos: {name: "cosine", arity: 1,
		value:    of(elementary.Cos),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return -elementary.Sin(a), 0 },
		enclose:  encloseOf(cosine),
		slopes:   derivative(func(x, _ interval) interval { return neg(sine(x)) }),
		contract: func(_ *step, z interval, x, _ *interval) bool { return periodic(x, z, quarter) }},
	opTan: {name: "tangent", arity: 1,
		value:    of(elementary.Tan),
		partials: func(_ *step, _, _, r float64) (da, db float64) { return 1 + float64(r*r), 0 },
		enclose:  encloseOf(tangent),
		slopes: derivative(func(_, v interval) interval {
			if v.partial {
				return entire
			}
			return add(point(1), square(v))
		})},
	opAsin: {name: "arc sine", arity: 1,
		value:    of(elementary.Asin),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 1 / math.Sqrt((1-a)*(1+a)), 0 },
		enclose:  encloseOf(arcSine),
		slopes:   derivative(func(x, _ interval) interval { return slopeOfArcSine(x) }),
		contract: func(_ *step, z interval, x, _ *interval) bool {
			return narrow(&z, hull(neg(quarter), quarter)) && narrow(x, sine(z))
		}},
	opAcos: {name: "arc cosine", arity: 1,
		value:    of(elementary.Acos),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return -1 / math.Sqrt((1-a)*(1+a)), 0 },
		enclose:  encloseOf(arcCosine),
		slopes:   derivative(func(x, _ interval) interval { return neg(slopeOfArcSine(x)) }),
		contract: func(_ *step, z interval, x, _ *interval) bool {
			return narrow(&z, interval{lo: 0, hi: above(2 * quarter.hi)}) && narrow(x, cosine(z))
		}},
	opAtan: {name: "arc tangent", arity: 1,
		value:    of(elementary.Atan),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 1 / (1 + float64(a*a)), 0 },
		enclose:  encloseOf(arcTangent),
		slopes:   derivative(func(x, _ interval) interval { return div(point(1), add(point(1), square(x))) }),
		contract: contractArcTangent},
	opSqrt: {name: "square root", arity: 1,
		value:    of(math.Sqrt),
		partials: func(_ *step, _, _, r float64) (da, db float64) { return 0.5 / r, 0 },
		enclose:  encloseOf(squareRoot),
		slopes: derivative(func(_, v interval) interval {
			if v.lo == 0 {
				return interval{lo: 0, hi: math.Inf(1)}
			}
			return div(point(0.5), v)
		}),
		contract: func(_ *step, z interval, x, _ *interval) bool {
			return z.hi >= 0 && narrow(x, square(interval{lo: max(0, z.lo), hi: z.hi}))
		}},
	opExp: {name: "exponential", arity: 1,
		value:    of(elementary.Exp),
		partials: func(_ *step, _, _, r float64) (da, db float64) { return r, 0 },
		enclose:  encloseOf(exponential),
		slopes:   derivative(func(_, v interval) interval { return v }),
		contract: func(_ *step, z interval, x, _ *interval) bool { return narrow(x, logarithm(z)) }},
	opLn: {name: "logarithm", arity: 1,
		value: func(_ *step, a, _ float64) float64 {
			if a <= 0 {
				return math.NaN()
			}
			return elementary.Log(a)
		},
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 1 / a, 0 },
		enclose:  encloseOf(logarithm),
		slopes:   derivative(func(x, _ interval) interval { return div(point(1), within(x, 0, math.Inf(1))) }),
		contract: func(_ *step, z interval, x, _ *interval) bool { return narrow(x, exponential(z)) }},
	opAbs: {name: "absolute value", arity: 1, broken: true,
		value:    of(math.Abs),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return math.Copysign(1, a), 0 },
		enclose:  encloseOf(absolute),
		slopes:   derivative(func(x, _ interval) interval { return sign(x) }),
		contract: func(_ *step, z interval, x, _ *interval) bool {
			return z.hi >= 0 && mirrored(x, interval{lo: max(0, z.lo), hi: z.hi})
		}},
	opMin: {name: "minimum", arity: 2, broken: true, terms: termsLargest,
		value: func(_ *step, a, b float64) float64 { return math.Min(a, b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) {
			if a < b {
				return 1, 0
			}
			return 0, 1
		},
		enclose: func(_ *step, x, y interval) interval { return minimum(x, y) },
		slopes:  slopesByChain(chainOfMinimum),
		chain:   func(_ *step, x, y dual, _ *interval) interval { return chainOfMinimum(x, y) },
		contract: func(_ *step, z interval, x, y *interval) bool {
			from := interval{lo: z.lo, hi: math.Inf(1)}
			return narrow(x, from) && narrow(y, from) && (!(y.lo > z.hi) || narrow(x, z)) && (!(x.lo > z.hi) || narrow(y, z))
		}},
	opMax: {name: "maximum", arity: 2, broken: true, terms: termsLargest,
		value: func(_ *step, a, b float64) float64 { return math.Max(a, b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) {
			if a < b {
				return 0, 1
			}
			return 1, 0
		},
		enclose: func(_ *step, x, y interval) interval { return maximum(x, y) },
		slopes:  slopesByChain(chainOfMaximum),
		chain:   func(_ *step, x, y dual, _ *interval) interval { return chainOfMaximum(x, y) },
		contract: func(_ *step, z interval, x, y *interval) bool {
			to := interval{lo: math.Inf(-1), hi: z.hi}
			return narrow(x, to) && narrow(y, to) && (!(y.hi < z.lo) || narrow(x, z)) && (!(x.hi < z.lo) || narrow(y, z))
		}},
	opRound: toMultiple("nearest multiple", math.Round),
	opFloor: toMultiple("multiple below", math.Floor),
	opCeil:  toMultiple("multiple above", math.Ceil),
	opLookup: {name: "table", arity: 1, broken: true,
		value: func(s *step, a, _ float64) float64 {
			y, _ := s.tab.at(a)
			return y
		},
		partials: func(s *step, a, _, _ float64) (da, db float64) {
			_, slope := s.tab.at(a)
			return slope, 0
		},
		enclose: func(s *step, x, _ interval) interval {
			v, _ := s.tab.enclose(x)
			return v
		},
		slopes: func(s *step, box, center operands) (dx, dy interval) {
			_, slope := s.tab.enclose(hull(*box.x, *center.x))
			return slope, interval{}
		}},
	opSquare: {name: "square", arity: 1,
		value:    func(_ *step, a, _ float64) float64 { return float64(a * a) },
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 2 * a, 0 },
		enclose:  encloseOf(square),
		slopes: func(_ *step, box, center operands) (dx, dy interval) {
			return add(*box.x, *center.x), interval{}
		},
		contract: func(_ *step, z interval, x, _ *interval) bool { return mirrored(x, squareRoot(z)) }},
	opWhole: {name: "whole power", arity: 1,
		value: func(s *step, a, _ float64) float64 { return elementary.Pow(a, float64(s.n)) },
		partials: func(s *step, a, _, _ float64) (da, db float64) {
			return float64(float64(s.n) * elementary.Pow(a, float64(s.n-1))), 0
		},
		enclose:  func(s *step, x, _ interval) interval { return wholePower(x, int(s.n)) },
		slopes:   slopesOfWholePower,
		contract: func(s *step, z interval, x, _ *interval) bool { return rooted(x, z, int(s.n)) }},
}

func (o op) binary() bool { return operations[o].arity == 2 }

// leaf tells whether the operation has no operands.
func (o op) leaf() bool { return operations[o].arity == 0 }

// degree of an operation of operands of degrees a and b, at most 2.
func (o op) degree(a, b int) int {
	switch f := operations[o].degree; {
	case f != nil:
		return min(2, f(a, b))
	case a > 0 || b > 0 && o.binary():
		return 2
	}
	return 0
}

// Degrees of operations that keep polynomials.
func degreeNone(_, _ int) int        { return 0 }
func degreeSame(a, _ int) int        { return a }
func degreeLargest(a, b int) int     { return max(a, b) }
func degreeTotal(a, b int) int       { return a + b }
func degreeOverDivisor(a, b int) int { return a + 2*b }

// derive is the chain rule: the derivative by one variable of a step of operands x and
// y and value v.
func (s *step) derive(x, y *dual, v *interval) interval {
	o := &operations[s.op]
	if o.chain != nil {
		return o.chain(s, *x, *y, v)
	}
	at := operands{&x.v, &y.v, v}
	dx, dy := o.slopes(s, at, at)
	if o.arity == 1 {
		return mul(dx, x.d)
	}
	return add(mul(dx, x.d), mul(dy, y.d))
}
