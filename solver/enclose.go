package solver

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
			if Var(in.v) == by {
				buf[i] = dual{x, point(1)}
			} else {
				buf[i] = dual{point(at[in.v]), interval{}}
			}
		default:
			in.enclose(&buf[in.a], &buf[in.b], &buf[i])
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
			in.enclose(&buf[in.a], &buf[in.b], &buf[i])
		}
	}
	return buf[len(t.code)-1].v
}

// enclose applies one step to enclosures.
func (s *step) enclose(x, y, out *dual) {
	o := &operations[s.op]
	out.v = o.enclose(s, x.v, y.v)
	switch {
	case out.v.isEmpty():
		*out = dual{empty, entire}
	case x.d.isZero() && (o.arity == 1 || y.d.isZero()):
		out.d = interval{}
	default:
		out.d = s.derive(x, y, &out.v)
	}
}
