package expr

import (
	"math"

	"perch/solver/elementary"
	"perch/solver/interval"
)

// Rules of operations that take more than a line; see the table.

// of is the value of a function of one operand.
func of(f func(float64) float64) func(*step, float64, float64) float64 {
	return func(_ *step, a, _ float64) float64 { return f(a) }
}

// encloseOf is the enclosure of a function of one operand.
func encloseOf(f func(interval.Interval) interval.Interval) func(*step, interval.Interval, interval.Interval) interval.Interval {
	return func(_ *step, x, _ interval.Interval) interval.Interval { return f(x) }
}

// derivative makes slopes of bounds of a derivative over an operand and the value.
func derivative(f func(x, v interval.Interval) interval.Interval) func(*step, operands, operands) (dx, dy interval.Interval) {
	return func(_ *step, box, center operands) (dx, dy interval.Interval) {
		return f(interval.Hull(*box.x, *center.x), interval.Hull(*box.v, *center.v)), interval.Interval{}
	}
}

// slopesOfProduct leaves the wider operand at the center: a·b - c·d = (a - c)·b + c·(b - d).
func slopesOfProduct(_ *step, box, center operands) (dx, dy interval.Interval) {
	if box.x.Width() < box.y.Width() {
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

func chainOfPower(x, y Dual, v interval.Interval) interval.Interval {
	if y.Slope.IsZero() {
		return interval.Mul(interval.Mul(y.Value, interval.Pow(x.Value, lessOne(y.Value))), x.Slope)
	}
	if x.Value.Lo <= 0 {
		return interval.Entire
	}
	l := interval.Log(x.Value)
	return interval.Mul(v, interval.Add(interval.Mul(y.Slope, l), interval.Div(interval.Mul(y.Value, x.Slope), x.Value)))
}

// lessOne is y - 1, without widening for a point y of which the difference is exact.
func lessOne(y interval.Interval) interval.Interval {
	if d := y.Lo - 1; y.IsPoint() && d+1 == y.Lo {
		return interval.Point(d)
	}
	return interval.Sub(y, interval.Point(1))
}

func slopesOfPower(_ *step, box, center operands) (dx, dy interval.Interval) {
	x, y := interval.Hull(*box.x, *center.x), interval.Hull(*box.y, *center.y)
	dx = chainOfPower(Dual{x, interval.Point(1)}, Dual{Value: y}, *box.v)
	return dx, chainOfPower(Dual{Value: x}, Dual{y, interval.Point(1)}, *box.v)
}

// contractPower takes the root where the exponent is a positive number that is not whole;
// whole ones are steps of their own in a row.
func contractPower(_ *step, z interval.Interval, x, y *interval.Interval) bool {
	if y.IsPoint() && y.Lo > 0 && y.Lo != math.Trunc(y.Lo) && z.Hi >= 0 {
		return interval.Intersect(x, interval.Pow(interval.Interval{Lo: max(0, z.Lo), Hi: z.Hi}, interval.Div(interval.Point(1), *y)))
	}
	return true
}

// slopesOfWholePower are the derivative over both ends; of a cube also x² + xc + c².
func slopesOfWholePower(s *step, box, center operands) (dx, dy interval.Interval) {
	x, c := *box.x, *center.x
	dx = interval.Mul(interval.Point(float64(s.n)), interval.PowWhole(interval.Hull(x, c), int(s.n-1)))
	if s.n == 3 {
		dx = interval.Intersection(dx, interval.Add(interval.Mul(interval.Add(x, c), x), interval.Square(c)))
	}
	return dx, interval.Interval{}
}

// slopeOfArcSine bounds 1/√(1 - x²).
func slopeOfArcSine(x interval.Interval) interval.Interval {
	x = interval.Within(x, -1, 1)
	d := interval.Div(interval.Point(1), interval.Sqrt(interval.Sub(interval.Point(1), interval.Square(x))))
	if d.IsEmpty() {
		return interval.Entire
	}
	return d
}

func contractArcTangent(_ *step, z interval.Interval, x, _ *interval.Interval) bool {
	if z.Lo < -1.5 || z.Hi > 1.5 {
		return z.Lo <= interval.Quarter.Hi && z.Hi >= -interval.Quarter.Hi
	}
	return interval.Intersect(x, interval.Tan(z))
}

// slopesByChain makes slopes of a chain rule that takes no value.
func slopesByChain(chain func(x, y Dual) interval.Interval) func(*step, operands, operands) (dx, dy interval.Interval) {
	return func(_ *step, box, _ operands) (dx, dy interval.Interval) {
		dx = chain(Dual{Value: *box.x, Slope: interval.Point(1)}, Dual{Value: *box.y})
		return dx, chain(Dual{Value: *box.x}, Dual{Value: *box.y, Slope: interval.Point(1)})
	}
}

func chainOfMinimum(x, y Dual) interval.Interval {
	switch {
	case x.Value.Hi < y.Value.Lo:
		return x.Slope
	case y.Value.Hi < x.Value.Lo:
		return y.Slope
	}
	return interval.Hull(x.Slope, y.Slope)
}

func chainOfMaximum(x, y Dual) interval.Interval {
	switch {
	case x.Value.Hi < y.Value.Lo:
		return y.Slope
	case y.Value.Hi < x.Value.Lo:
		return x.Slope
	}
	return interval.Hull(x.Slope, y.Slope)
}

// toMultiple is the operation that takes a to a multiple of b, by a function that takes
// the number of multiples to a whole one.
func toMultiple(name string, whole func(float64) float64) operation {
	steps := func(x, step float64) float64 {
		if !(step > 0) {
			return math.NaN()
		}
		q := x / step
		if n := math.Round(q); math.Abs(q-n) <= WholeTolerance*math.Max(1, math.Abs(q)) {
			return n
		}
		return whole(q)
	}
	value := func(x, step float64) float64 { return float64(steps(x, step) * step) }
	return operation{name: name, arity: 2, broken: true, terms: termsLargest,
		value:    func(_ *step, a, b float64) float64 { return value(a, b) },
		partials: func(_ *step, a, b, _ float64) (da, db float64) { return 0, steps(a, b) },
		enclose:  func(_ *step, x, y interval.Interval) interval.Interval { return encloseMultiple(value, x, y) },
		slopes: func(_ *step, box, _ operands) (dx, dy interval.Interval) {
			if box.v.IsPoint() && box.y.IsPoint() {
				return interval.Interval{}, interval.Interval{}
			}
			return interval.Entire, interval.Entire // a jump
		},
		contract: func(_ *step, z interval.Interval, x, y *interval.Interval) bool {
			m := interval.Above(y.Magnitude() * (1 + 1e-6))
			return !elementary.Finite(m) || interval.Intersect(x, interval.Add(z, interval.Interval{Lo: -m, Hi: m}))
		},
	}
}

// encloseMultiple is exact for a fixed step, else within one step of x.
func encloseMultiple(value func(x, step float64) float64, x, step interval.Interval) interval.Interval {
	if x.IsEmpty() || step.IsEmpty() || step.Hi <= 0 {
		return interval.Empty
	}
	if step.IsPoint() {
		lo, hi := value(x.Lo, step.Lo), value(x.Hi, step.Lo)
		if math.IsNaN(lo) || math.IsNaN(hi) {
			return interval.Interval{Lo: math.Inf(-1), Hi: math.Inf(1), Partial: true}
		}
		return interval.Interval{Lo: lo, Hi: hi, Partial: x.Partial || step.Partial}
	}
	r := interval.Add(x, interval.Interval{Lo: -step.Hi, Hi: step.Hi})
	r.Partial = r.Partial || step.Lo <= 0 || step.Partial
	return r
}
