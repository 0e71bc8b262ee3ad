package expr

import (
	"math"

	"perch/solver/elementary"
	"perch/solver/interval"
)

// Op names an operation; all that is known of it stands in its row of operations.
type Op uint8

const (
	OpConst Op = iota // a number, no operands
	OpVar             // a variable, no operands
	OpAdd
	OpSub
	OpMul
	OpDiv
	OpPow
	OpNeg
	OpSin
	OpCos
	OpTan
	OpAsin
	OpAcos
	OpAtan
	OpSqrt
	OpExp
	OpLn
	OpAbs
	OpMin
	OpMax
	OpRound
	OpFloor
	OpCeil
	OpLookup
	OpWhere
	OpUnless
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
	enclose func(s *step, x, y interval.Interval) interval.Interval

	// slopes bound (f(p) - f(c)) over (p - c) operand by operand, for every p in the
	// box and every c at the center; with the box itself as the center they bound the
	// partial derivatives.
	slopes func(s *step, box, center operands) (dx, dy interval.Interval)

	// chain bounds the derivative of the whole by one variable, where x and y come
	// with theirs and the value is in v. It is nil where nothing is tighter than the
	// sum of slopes times derivatives.
	chain func(s *step, x, y Dual, v *interval.Interval) interval.Interval

	// contract narrows x and y to those of their points that can give a value in z;
	// false where there are none. It may leave them as they are: nil.
	contract func(s *step, z interval.Interval, x, y *interval.Interval) bool

	// degree is that of the whole as a polynomial in some variables, at most 2, where
	// those of a and b are given; nil where it is 2 as soon as one of them occurs.
	degree func(a, b int) int

	// terms tells how the size of the terms that cancel comes from those of a and b.
	terms terms

	// broken: there are places where the derivative does not exist or jumps.
	broken bool
}

// operands are enclosures of both operands and the value of an operation.
type operands struct{ x, y, v *interval.Interval }

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
	OpConst: {name: "number", degree: degreeNone},
	OpVar:   {name: "variable", degree: degreeNone},
	OpAdd: {name: "sum", arity: 2, degree: degreeLargest, terms: termsAdd,
		value:    func(_ *step, a, b float64) float64 { return a + b },
		partials: func(_ *step, _, _, _ float64) (da, db float64) { return 1, 1 },
		enclose:  func(_ *step, x, y interval.Interval) interval.Interval { return interval.Add(x, y) },
		slopes:   func(_ *step, _, _ operands) (dx, dy interval.Interval) { return interval.Point(1), interval.Point(1) },
		chain: func(_ *step, x, y Dual, _ *interval.Interval) interval.Interval {
			return interval.Add(x.Slope, y.Slope)
		},
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			return interval.Intersect(x, interval.Sub(z, *y)) && interval.Intersect(y, interval.Sub(z, *x))
		}},
	OpSub: {name: "difference", arity: 2, degree: degreeLargest, terms: termsAdd,
		value:    func(_ *step, a, b float64) float64 { return a - b },
		partials: func(_ *step, _, _, _ float64) (da, db float64) { return 1, -1 },
		enclose:  func(_ *step, x, y interval.Interval) interval.Interval { return interval.Sub(x, y) },
		slopes:   func(_ *step, _, _ operands) (dx, dy interval.Interval) { return interval.Point(1), interval.Point(-1) },
		chain: func(_ *step, x, y Dual, _ *interval.Interval) interval.Interval {
			return interval.Sub(x.Slope, y.Slope)
		},
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			return interval.Intersect(x, interval.Add(z, *y)) && interval.Intersect(y, interval.Sub(*x, z))
		}},
	OpMul: {name: "product", arity: 2, degree: degreeTotal,
		value:    func(_ *step, a, b float64) float64 { return float64(a * b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) { return b, a },
		enclose:  func(_ *step, x, y interval.Interval) interval.Interval { return interval.Mul(x, y) },
		slopes:   slopesOfProduct,
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			return interval.SolveProduct(x, z, *y) && interval.SolveProduct(y, z, *x)
		}},
	OpDiv: {name: "quotient", arity: 2, degree: degreeOverDivisor,
		value: func(_ *step, a, b float64) float64 {
			if b == 0 {
				return math.NaN()
			}
			return a / b
		},
		partials: func(_ *step, _, b, r float64) (da, db float64) { return 1 / b, -r / b },
		enclose:  func(_ *step, x, y interval.Interval) interval.Interval { return interval.Div(x, y) },
		slopes: func(_ *step, box, center operands) (dx, dy interval.Interval) {
			q := interval.Div(interval.Point(1), *box.y)
			return q, interval.Neg(interval.Mul(*center.v, q))
		},
		chain: func(_ *step, x, y Dual, v *interval.Interval) interval.Interval {
			return interval.Div(interval.Sub(x.Slope, interval.Mul(*v, y.Slope)), y.Value)
		},
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			return interval.Intersect(x, interval.Mul(z, *y)) && interval.SolveProduct(y, *x, z)
		}},
	OpPow: {name: "power", arity: 2,
		value:    func(_ *step, a, b float64) float64 { return elementary.Pow(a, b) },
		partials: partialsOfPower,
		enclose:  func(_ *step, x, y interval.Interval) interval.Interval { return interval.Pow(x, y) },
		slopes:   slopesOfPower,
		chain:    func(_ *step, x, y Dual, v *interval.Interval) interval.Interval { return chainOfPower(x, y, *v) },
		contract: contractPower},
	OpNeg: {name: "negative", arity: 1, degree: degreeSame,
		value:    func(_ *step, a, _ float64) float64 { return -a },
		partials: func(_ *step, _, _, _ float64) (da, db float64) { return -1, 0 },
		enclose:  func(_ *step, x, _ interval.Interval) interval.Interval { return interval.Neg(x) },
		slopes: func(_ *step, _, _ operands) (dx, dy interval.Interval) {
			return interval.Point(-1), interval.Interval{}
		},
		chain: func(_ *step, x, _ Dual, _ *interval.Interval) interval.Interval { return interval.Neg(x.Slope) },
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.Intersect(x, interval.Neg(z))
		}},
	OpSin: {name: "sine", arity: 1,
		value:    of(elementary.Sin),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return elementary.Cos(a), 0 },
		enclose:  encloseOf(interval.Sin),
		slopes:   derivative(func(x, _ interval.Interval) interval.Interval { return interval.Cos(x) }),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.SolveSine(x, z, interval.Interval{})
		}},
	OpCos: {name: "cosine", arity: 1,
		value:    of(elementary.Cos),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return -elementary.Sin(a), 0 },
		enclose:  encloseOf(interval.Cos),
		slopes:   derivative(func(x, _ interval.Interval) interval.Interval { return interval.Neg(interval.Sin(x)) }),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.SolveSine(x, z, interval.Quarter)
		}},
	OpTan: {name: "tangent", arity: 1,
		value:    of(elementary.Tan),
		partials: func(_ *step, _, _, r float64) (da, db float64) { return 1 + float64(r*r), 0 },
		enclose:  encloseOf(interval.Tan),
		slopes: derivative(func(_, v interval.Interval) interval.Interval {
			if v.Partial {
				return interval.Entire
			}
			return interval.Add(interval.Point(1), interval.Square(v))
		})},
	OpAsin: {name: "arc sine", arity: 1,
		value:    of(elementary.Asin),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 1 / math.Sqrt((1-a)*(1+a)), 0 },
		enclose:  encloseOf(interval.Asin),
		slopes:   derivative(func(x, _ interval.Interval) interval.Interval { return slopeOfArcSine(x) }),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.Intersect(&z, interval.Hull(interval.Neg(interval.Quarter), interval.Quarter)) && interval.Intersect(x, interval.Sin(z))
		}},
	OpAcos: {name: "arc cosine", arity: 1,
		value:    of(elementary.Acos),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return -1 / math.Sqrt((1-a)*(1+a)), 0 },
		enclose:  encloseOf(interval.Acos),
		slopes:   derivative(func(x, _ interval.Interval) interval.Interval { return interval.Neg(slopeOfArcSine(x)) }),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.Intersect(&z, interval.Interval{Lo: 0, Hi: interval.Above(2 * interval.Quarter.Hi)}) && interval.Intersect(x, interval.Cos(z))
		}},
	OpAtan: {name: "arc tangent", arity: 1,
		value:    of(elementary.Atan),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 1 / (1 + float64(a*a)), 0 },
		enclose:  encloseOf(interval.Atan),
		slopes: derivative(func(x, _ interval.Interval) interval.Interval {
			return interval.Div(interval.Point(1), interval.Add(interval.Point(1), interval.Square(x)))
		}),
		contract: contractArcTangent},
	OpSqrt: {name: "square root", arity: 1,
		value:    of(math.Sqrt),
		partials: func(_ *step, _, _, r float64) (da, db float64) { return 0.5 / r, 0 },
		enclose:  encloseOf(interval.Sqrt),
		slopes: derivative(func(_, v interval.Interval) interval.Interval {
			if v.Lo == 0 {
				return interval.Interval{Lo: 0, Hi: math.Inf(1)}
			}
			return interval.Div(interval.Point(0.5), v)
		}),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return z.Hi >= 0 && interval.Intersect(x, interval.Square(interval.Interval{Lo: max(0, z.Lo), Hi: z.Hi}))
		}},
	OpExp: {name: "exponential", arity: 1,
		value:    of(elementary.Exp),
		partials: func(_ *step, _, _, r float64) (da, db float64) { return r, 0 },
		enclose:  encloseOf(interval.Exp),
		slopes:   derivative(func(_, v interval.Interval) interval.Interval { return v }),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.Intersect(x, interval.Log(z))
		}},
	OpLn: {name: "logarithm", arity: 1,
		value: func(_ *step, a, _ float64) float64 {
			if a <= 0 {
				return math.NaN()
			}
			return elementary.Log(a)
		},
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 1 / a, 0 },
		enclose:  encloseOf(interval.Log),
		slopes: derivative(func(x, _ interval.Interval) interval.Interval {
			return interval.Div(interval.Point(1), interval.Within(x, 0, math.Inf(1)))
		}),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.Intersect(x, interval.Exp(z))
		}},
	OpAbs: {name: "absolute value", arity: 1, broken: true,
		value:    of(math.Abs),
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return math.Copysign(1, a), 0 },
		enclose:  encloseOf(interval.Abs),
		slopes:   derivative(func(x, _ interval.Interval) interval.Interval { return interval.Sign(x) }),
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return z.Hi >= 0 && interval.IntersectMirrored(x, interval.Interval{Lo: max(0, z.Lo), Hi: z.Hi})
		}},
	OpMin: {name: "minimum", arity: 2, broken: true, terms: termsLargest,
		value: func(_ *step, a, b float64) float64 { return math.Min(a, b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) {
			if a < b {
				return 1, 0
			}
			return 0, 1
		},
		enclose: func(_ *step, x, y interval.Interval) interval.Interval { return interval.Min(x, y) },
		slopes:  slopesByChain(chainOfMinimum),
		chain:   func(_ *step, x, y Dual, _ *interval.Interval) interval.Interval { return chainOfMinimum(x, y) },
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			from := interval.Interval{Lo: z.Lo, Hi: math.Inf(1)}
			return interval.Intersect(x, from) && interval.Intersect(y, from) && (!(y.Lo > z.Hi) || interval.Intersect(x, z)) && (!(x.Lo > z.Hi) || interval.Intersect(y, z))
		}},
	OpMax: {name: "maximum", arity: 2, broken: true, terms: termsLargest,
		value: func(_ *step, a, b float64) float64 { return math.Max(a, b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) {
			if a < b {
				return 0, 1
			}
			return 1, 0
		},
		enclose: func(_ *step, x, y interval.Interval) interval.Interval { return interval.Max(x, y) },
		slopes:  slopesByChain(chainOfMaximum),
		chain:   func(_ *step, x, y Dual, _ *interval.Interval) interval.Interval { return chainOfMaximum(x, y) },
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			to := interval.Interval{Lo: math.Inf(-1), Hi: z.Hi}
			return interval.Intersect(x, to) && interval.Intersect(y, to) && (!(y.Hi < z.Lo) || interval.Intersect(x, z)) && (!(x.Hi < z.Lo) || interval.Intersect(y, z))
		}},
	OpRound: toMultiple("nearest multiple", math.Round),
	OpFloor: toMultiple("multiple below", math.Floor),
	OpCeil:  toMultiple("multiple above", math.Ceil),
	OpLookup: {name: "table", arity: 1, broken: true,
		value: func(s *step, a, _ float64) float64 {
			y, _ := s.tab.at(a)
			return y
		},
		partials: func(s *step, a, _, _ float64) (da, db float64) {
			_, slope := s.tab.at(a)
			return slope, 0
		},
		enclose: func(s *step, x, _ interval.Interval) interval.Interval {
			v, _ := s.tab.enclose(x)
			return v
		},
		slopes: func(s *step, box, center operands) (dx, dy interval.Interval) {
			_, slope := s.tab.enclose(interval.Hull(*box.x, *center.x))
			return slope, interval.Interval{}
		}},
	OpWhere:  chosen("where it holds", func(c float64) bool { return c >= 0 }),
	OpUnless: chosen("where it does not", func(c float64) bool { return c < 0 }),
	opSquare: {name: "square", arity: 1,
		value:    func(_ *step, a, _ float64) float64 { return float64(a * a) },
		partials: func(_ *step, a, _, _ float64) (da, db float64) { return 2 * a, 0 },
		enclose:  encloseOf(interval.Square),
		slopes: func(_ *step, box, center operands) (dx, dy interval.Interval) {
			return interval.Add(*box.x, *center.x), interval.Interval{}
		},
		contract: func(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.IntersectMirrored(x, interval.Sqrt(z))
		}},
	opWhole: {name: "whole power", arity: 1,
		value: func(s *step, a, _ float64) float64 { return elementary.Pow(a, float64(s.n)) },
		partials: func(s *step, a, _, _ float64) (da, db float64) {
			return float64(float64(s.n) * elementary.Pow(a, float64(s.n-1))), 0
		},
		enclose: func(s *step, x, _ interval.Interval) interval.Interval { return interval.PowWhole(x, int(s.n)) },
		slopes:  slopesOfWholePower,
		contract: func(s *step, z interval.Interval, x, _ *interval.Interval) bool {
			return interval.SolvePower(x, z, int(s.n))
		}},
}

func (o Op) binary() bool { return operations[o].arity == 2 }

// leaf tells whether the operation has no operands.
func (o Op) leaf() bool { return operations[o].arity == 0 }

// degree of an operation of operands of degrees a and b, at most 2.
func (o Op) degree(a, b int) int {
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
func degreeOfChosen(a, b int) int    { return 2*a + b }

// derive is the chain rule: the derivative by one variable of a step of operands x and
// y and value v.
func (s *step) derive(x, y *Dual, v *interval.Interval) interval.Interval {
	o := &operations[s.op]
	if o.chain != nil {
		return o.chain(s, *x, *y, v)
	}
	at := operands{&x.Value, &y.Value, v}
	dx, dy := o.slopes(s, at, at)
	if o.arity == 1 {
		return interval.Mul(dx, x.Slope)
	}
	return interval.Add(interval.Mul(dx, x.Slope), interval.Mul(dy, y.Slope))
}

// chosen is b where a says so, and 0 elsewhere, whatever b is there.
func chosen(name string, holds func(a float64) bool) operation {
	// over tells whether it holds all over x, and whether anywhere
	over := func(x interval.Interval) (all, any bool) {
		lo, hi := holds(x.Lo), holds(x.Hi)
		return lo && hi, lo || hi
	}
	side := func(holding bool) interval.Interval { // of a, closed
		if holds(1) == holding {
			return interval.Interval{Lo: 0, Hi: math.Inf(1)}
		}
		return interval.Interval{Lo: math.Inf(-1), Hi: 0}
	}
	return operation{name: name, arity: 2, broken: true, degree: degreeOfChosen,
		value: func(_ *step, a, b float64) float64 {
			switch {
			case math.IsNaN(a):
				return a
			case holds(a):
				return b
			}
			return 0
		},
		partials: func(_ *step, a, _, _ float64) (da, db float64) {
			if holds(a) {
				return 0, 1
			}
			return 0, 0
		},
		enclose: func(_ *step, x, y interval.Interval) interval.Interval {
			if x.IsEmpty() {
				return interval.Empty
			}
			all, any := over(x)
			r := interval.Point(0)
			switch {
			case all:
				r = y
			case any && !y.IsEmpty():
				r = interval.Hull(y, r)
			}
			if r.IsEmpty() {
				return r
			}
			r.Partial = x.Partial || any && (y.Partial || y.IsEmpty())
			return r
		},
		slopes: func(_ *step, box, center operands) (dx, dy interval.Interval) {
			all, any := over(interval.Hull(*box.x, *center.x))
			switch {
			case all:
				return interval.Interval{}, interval.Point(1)
			case !any:
				return interval.Interval{}, interval.Interval{}
			}
			return interval.Entire, interval.Interval{Lo: 0, Hi: 1} // a jump
		},
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			all, any := over(*x)
			switch {
			case all:
				return interval.Intersect(y, z)
			case !any:
				return z.Has(0)
			case !z.Has(0):
				return interval.Intersect(x, side(true)) && interval.Intersect(y, z)
			case y.IsEmpty() || y.Lo > z.Hi || y.Hi < z.Lo:
				return interval.Intersect(x, side(false))
			}
			return true
		},
	}
}
