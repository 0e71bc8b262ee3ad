package solver

import (
	"math"

	"perch/solver/elementary"
)

// Rules of operations that take more than a line; see the table.

// of is the value of a function of one operand.
func of(f func(float64) float64) func(*step, float64, float64) float64 {
	return func(_ *step, a, _ float64) float64 { return f(a) }
}

// encloseOf is the enclosure of a function of one operand.
func encloseOf(f func(interval) interval) func(*step, interval, interval) interval {
	return func(_ *step, x, _ interval) interval { return f(x) }
}

// derivative makes slopes of bounds of a derivative over an operand and the value.
func derivative(f func(x, v interval) interval) func(*step, operands, operands) (dx, dy interval) {
	return func(_ *step, box, center operands) (dx, dy interval) {
		return f(hull(*box.x, *center.x), hull(*box.v, *center.v)), interval{}
	}
}

// slopesOfProduct leaves the wider operand at the center: a·b - c·d = (a - c)·b + c·(b - d).
func slopesOfProduct(_ *step, box, center operands) (dx, dy interval) {
	if box.x.width() < box.y.width() {
		return *center.y, *box.x
	}
	return *box.y, *center.x
}

func partialsOfPower(_ *step, a, b, r float64) (da, db float64) {
	switch {
	case b == 0:
		da = 0
	case a != 0:
		da = float64(b * (r / a))
	default:
		da = float64(b * elementary.Pow(a, b-1))
	}
	if a > 0 {
		db = float64(r * elementary.Log(a))
	}
	return da, db
}

func chainOfPower(x, y dual, v interval) interval {
	if y.d.isZero() {
		return mul(mul(y.v, power(x.v, lessOne(y.v))), x.d)
	}
	if x.v.lo <= 0 {
		return entire
	}
	l := logarithm(x.v)
	return mul(v, add(mul(y.d, l), div(mul(y.v, x.d), x.v)))
}

// lessOne is y - 1, without widening for a point y of which the difference is exact.
func lessOne(y interval) interval {
	if d := y.lo - 1; y.isPoint() && d+1 == y.lo {
		return point(d)
	}
	return sub(y, point(1))
}

func slopesOfPower(_ *step, box, center operands) (dx, dy interval) {
	x, y := hull(*box.x, *center.x), hull(*box.y, *center.y)
	dx = chainOfPower(dual{x, point(1)}, dual{v: y}, *box.v)
	return dx, chainOfPower(dual{v: x}, dual{y, point(1)}, *box.v)
}

// contractPower takes the root where the exponent is a positive number that is not whole;
// whole ones are steps of their own in a row.
func contractPower(_ *step, z interval, x, y *interval) bool {
	if y.isPoint() && y.lo > 0 && y.lo != math.Trunc(y.lo) && z.hi >= 0 {
		return narrow(x, power(interval{lo: max(0, z.lo), hi: z.hi}, div(point(1), *y)))
	}
	return true
}

// slopesOfWholePower are the derivative over both ends; of a cube also x² + xc + c².
func slopesOfWholePower(s *step, box, center operands) (dx, dy interval) {
	x, c := *box.x, *center.x
	dx = mul(point(float64(s.n)), wholePower(hull(x, c), int(s.n-1)))
	if s.n == 3 {
		dx = meet(dx, add(mul(add(x, c), x), square(c)))
	}
	return dx, interval{}
}

// slopeOfArcSine bounds 1/√(1 - x²).
func slopeOfArcSine(x interval) interval {
	x = within(x, -1, 1)
	d := div(point(1), squareRoot(sub(point(1), square(x))))
	if d.isEmpty() {
		return entire
	}
	return d
}

func contractArcTangent(_ *step, z interval, x, _ *interval) bool {
	if z.lo < -1.5 || z.hi > 1.5 {
		return z.lo <= quarter.hi && z.hi >= -quarter.hi
	}
	return narrow(x, tangent(z))
}

// slopesByChain makes slopes of a chain rule that takes no value.
func slopesByChain(chain func(x, y dual) interval) func(*step, operands, operands) (dx, dy interval) {
	return func(_ *step, box, _ operands) (dx, dy interval) {
		dx = chain(dual{v: *box.x, d: point(1)}, dual{v: *box.y})
		return dx, chain(dual{v: *box.x}, dual{v: *box.y, d: point(1)})
	}
}

func chainOfMinimum(x, y dual) interval {
	switch {
	case x.v.hi < y.v.lo:
		return x.d
	case y.v.hi < x.v.lo:
		return y.d
	}
	return hull(x.d, y.d)
}

func chainOfMaximum(x, y dual) interval {
	switch {
	case x.v.hi < y.v.lo:
		return y.d
	case y.v.hi < x.v.lo:
		return x.d
	}
	return hull(x.d, y.d)
}

// toMultiple is the operation that takes a to a multiple of b, by a function that takes
// the number of multiples to a whole one.
func toMultiple(name string, whole func(float64) float64) operation {
	steps := func(x, step float64) float64 {
		if !(step > 0) {
			return math.NaN()
		}
		q := x / step
		if n := math.Round(q); math.Abs(q-n) <= wholeTolerance*math.Max(1, math.Abs(q)) {
			return n
		}
		return whole(q)
	}
	value := func(x, step float64) float64 { return float64(steps(x, step) * step) }
	return operation{name: name, arity: 2, broken: true, terms: termsLargest,
		value:    func(_ *step, a, b float64) float64 { return value(a, b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) { return 0, steps(a, b) },
		enclose:  func(_ *step, x, y interval) interval { return encloseMultiple(value, x, y) },
		slopes: func(_ *step, box, _ operands) (dx, dy interval) {
			if box.v.isPoint() && box.y.isPoint() {
				return interval{}, interval{}
			}
			return entire, entire // a jump
		},
		contract: func(_ *step, z interval, x, y *interval) bool {
			m := above(y.magnitude() * (1 + 1e-6))
			return !elementary.Finite(m) || narrow(x, add(z, interval{lo: -m, hi: m}))
		},
	}
}

// encloseMultiple is exact for a fixed step, else within one step of x.
func encloseMultiple(value func(x, step float64) float64, x, step interval) interval {
	if x.isEmpty() || step.isEmpty() || step.hi <= 0 {
		return empty
	}
	if step.isPoint() {
		lo, hi := value(x.lo, step.lo), value(x.hi, step.lo)
		if math.IsNaN(lo) || math.IsNaN(hi) {
			return interval{math.Inf(-1), math.Inf(1), true}
		}
		return interval{lo, hi, x.partial || step.partial}
	}
	r := add(x, interval{lo: -step.hi, hi: step.hi})
	r.partial = r.partial || step.lo <= 0 || step.partial
	return r
}
