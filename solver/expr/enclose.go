package expr

import (
	"perch/solver/interval"
)

// Dual is an enclosure of a value and of its derivative by one variable.
type Dual struct{ Value, Slope interval.Interval }

// Enclose bounds the residual and its derivative by one variable over x of that
// variable, all others at a point.
func (t *Tape) Enclose(by Var, x interval.Interval, at []float64, buf []Dual) Dual {
	for i := range t.code {
		in := &t.code[i]
		switch in.op {
		case OpConst:
			buf[i] = Dual{interval.Point(in.c), interval.Interval{}}
		case OpVar:
			if Var(in.v) == by {
				buf[i] = Dual{x, interval.Point(1)}
			} else {
				buf[i] = Dual{interval.Point(at[in.v]), interval.Interval{}}
			}
		default:
			in.enclose(&buf[in.a], &buf[in.b], &buf[i])
		}
	}
	return buf[len(t.code)-1]
}

// EncloseBox bounds the residual's value over a box of all variables.
func (t *Tape) EncloseBox(box []interval.Interval, buf []Dual) interval.Interval {
	for i := range t.code {
		in := &t.code[i]
		switch in.op {
		case OpConst:
			buf[i] = Dual{Value: interval.Point(in.c)}
		case OpVar:
			buf[i] = Dual{Value: box[in.v]}
		default:
			in.enclose(&buf[in.a], &buf[in.b], &buf[i])
		}
	}
	return buf[len(t.code)-1].Value
}

// enclose applies one step to enclosures.
func (s *step) enclose(x, y, out *Dual) {
	o := &operations[s.op]
	out.Value = o.enclose(s, x.Value, y.Value)
	switch {
	case out.Value.IsEmpty():
		*out = Dual{interval.Empty, interval.Entire}
	case x.Slope.IsZero() && (o.arity == 1 || y.Slope.IsZero()):
		out.Slope = interval.Interval{}
	default:
		out.Slope = s.derive(x, y, &out.Value)
	}
}
