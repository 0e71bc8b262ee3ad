package solver

import (
	"math"

	"perch/solver/elementary"
)

// dual is an enclosure of a value and of its derivative by one variable.
type dual struct{ v, d interval }

// enclose bounds the residual and its derivative by one variable over x of that
// variable, all others at a point.
func (t *tape) enclose(by Var, x interval, at []float64, buf []dual) dual {
	for i := range t.code {
		in := &t.code[i]
		switch in.op {
		case opConst:
			buf[i] = dual{point(in.c), interval{}}
		case opVar:
			if in.v == by {
				buf[i] = dual{x, point(1)}
			} else {
				buf[i] = dual{point(at[in.v]), interval{}}
			}
		default:
			buf[i] = in.enclose(buf[in.a], buf[in.b])
		}
	}
	return buf[len(t.code)-1]
}

// encloseBox bounds the residual's value over a box of all variables.
func (t *tape) encloseBox(box []interval, buf []dual) interval {
	for i := range t.code {
		in := &t.code[i]
		switch in.op {
		case opConst:
			buf[i] = dual{v: point(in.c)}
		case opVar:
			buf[i] = dual{v: box[in.v]}
		default:
			buf[i] = in.enclose(buf[in.a], buf[in.b])
		}
	}
	return buf[len(t.code)-1].v
}

// isZero tells whether a derivative is exactly 0.
func (x interval) isZero() bool { return x.lo == 0 && x.hi == 0 }

// enclose applies one step to enclosures.
func (in *inst) enclose(x, y dual) dual {
	v := in.encloseValue(x.v, y.v)
	if v.isEmpty() {
		return dual{empty, entire}
	}
	if x.d.isZero() && (!in.op.binary() || y.d.isZero()) {
		return dual{v, interval{}}
	}
	return dual{v, in.encloseSlope(x, y, v)}
}

func (in *inst) encloseValue(x, y interval) interval {
	switch in.op {
	case opAdd:
		return add(x, y)
	case opSub:
		return sub(x, y)
	case opMul:
		return mul(x, y)
	case opDiv:
		return div(x, y)
	case opPow:
		return power(x, y)
	case opNeg:
		return neg(x)
	case opSin:
		return sine(x)
	case opCos:
		return cosine(x)
	case opTan:
		return tangent(x)
	case opAsin:
		return increasing(elementary.Asin, within(x, -1, 1))
	case opAcos:
		return neg(increasing(func(a float64) float64 { return -elementary.Acos(a) }, within(x, -1, 1)))
	case opAtan:
		return increasing(elementary.Atan, x)
	case opSqrt:
		return squareRoot(x)
	case opExp:
		return exponential(x)
	case opLn:
		return logarithm(x)
	case opAbs:
		return absolute(x)
	case opMin, opMax:
		return extreme(in.op, x, y)
	case opRound, opFloor, opCeil:
		return stepped(in.op, x, y)
	case opLookup:
		v, _ := in.tab.enclose(x)
		return v
	}
	return empty
}

func extreme(o op, x, y interval) interval {
	if x.isEmpty() || y.isEmpty() {
		return empty
	}
	p := x.partial || y.partial
	if o == opMin {
		return interval{math.Min(x.lo, y.lo), math.Min(x.hi, y.hi), p}
	}
	return interval{math.Max(x.lo, y.lo), math.Max(x.hi, y.hi), p}
}

// stepped encloses rounding to a step: exact for a fixed step, else within one
// step of x.
func stepped(o op, x, step interval) interval {
	if x.isEmpty() || step.isEmpty() || step.hi <= 0 {
		return empty
	}
	if step.isPoint() {
		lo, hi := toStep(o, x.lo, step.lo), toStep(o, x.hi, step.lo)
		if math.IsNaN(lo) || math.IsNaN(hi) {
			return interval{math.Inf(-1), math.Inf(1), true}
		}
		return interval{lo, hi, x.partial || step.partial}
	}
	r := add(x, interval{lo: -step.hi, hi: step.hi})
	r.partial = r.partial || step.lo <= 0 || step.partial
	return r
}

// encloseSlope bounds the derivative of a step of value v by the chain rule.
func (in *inst) encloseSlope(x, y dual, v interval) interval {
	switch in.op {
	case opAdd:
		return add(x.d, y.d)
	case opSub:
		return sub(x.d, y.d)
	case opMul:
		return add(mul(x.d, y.v), mul(x.v, y.d))
	case opDiv:
		return div(sub(x.d, mul(v, y.d)), y.v)
	case opPow:
		return slopePower(x, y, v)
	case opNeg:
		return neg(x.d)
	case opMin, opMax:
		return slopeExtreme(in.op, x, y)
	case opRound, opFloor, opCeil:
		if y.d.isZero() && v.isPoint() {
			return interval{}
		}
		return entire // a jump
	}
	return mul(in.slopeOne(x.v, v), x.d)
}

// slopeOne bounds the derivative of a function of one operand.
func (in *inst) slopeOne(x, v interval) interval {
	switch in.op {
	case opSin:
		return cosine(x)
	case opCos:
		return neg(sine(x))
	case opTan:
		if v.partial {
			return entire
		}
		return add(point(1), square(v))
	case opAsin, opAcos:
		x = within(x, -1, 1)
		d := div(point(1), squareRoot(sub(point(1), square(x))))
		if d.isEmpty() {
			d = entire
		}
		if in.op == opAcos {
			d = neg(d)
		}
		return d
	case opAtan:
		return div(point(1), add(point(1), square(x)))
	case opSqrt:
		if v.lo == 0 {
			return interval{lo: 0, hi: math.Inf(1)}
		}
		return div(point(0.5), v)
	case opExp:
		return v
	case opLn:
		return div(point(1), within(x, 0, math.Inf(1)))
	case opAbs:
		switch {
		case x.lo > 0:
			return point(1)
		case x.hi < 0:
			return point(-1)
		}
		return interval{lo: -1, hi: 1}
	case opLookup:
		_, s := in.tab.enclose(x)
		return s
	}
	return entire
}

func slopePower(x, y dual, v interval) interval {
	if y.d.isZero() {
		return mul(mul(y.v, power(x.v, sub(y.v, point(1)).exact(y.v))), x.d)
	}
	if x.v.lo <= 0 {
		return entire
	}
	l := logarithm(x.v)
	return mul(v, add(mul(y.d, l), div(mul(y.v, x.d), x.v)))
}

// exact undoes the widening of y - 1 for a point y, where the difference is exact.
func (x interval) exact(y interval) interval {
	if d := y.lo - 1; y.isPoint() && d+1 == y.lo {
		return point(d)
	}
	return x
}

func slopeExtreme(o op, x, y dual) interval {
	lesser, greater := x, y
	switch {
	case x.v.hi < y.v.lo:
	case y.v.hi < x.v.lo:
		lesser, greater = y, x
	default:
		return hull(x.d, y.d)
	}
	if o == opMin {
		return lesser.d
	}
	return greater.d
}
