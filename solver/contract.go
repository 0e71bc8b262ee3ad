package solver

import (
	"math"

	"perch/solver/elementary"
)

// revise narrows a box to what the row allows: the row is evaluated forwards and
// its value 0 carried back through every step to the variables (HC4: F. Benhamou,
// F. Goualard, L. Granvilliers, J.-F. Puget, "Revising hull and box consistency",
// ICLP 1999). It returns false where nothing is left.
func (r *row) revise(box []interval) bool {
	n := len(r.code)
	y := r.evaluate(box, r.val)
	if !(y.lo <= r.want.hi && y.hi >= r.want.lo) {
		return false
	}
	if n == 1 {
		return true
	}
	r.val[n-1] = meet(y, r.want)
	for i := n - 1; i >= 0; i-- {
		s := &r.code[i]
		if s.op == opConst || s.op == opVar {
			continue
		}
		if !s.back(r.val[i], &r.val[s.a], &r.val[s.b]) {
			return false
		}
	}
	for _, i := range r.vars {
		v := r.code[i].v
		b := meet(box[v], r.val[i])
		if b.isEmpty() {
			return false
		}
		box[v] = b
	}
	return true
}

// center narrows a box by the row's slopes from its middle, which are tighter
// than revise where a variable occurs more than once and the box is small: each
// variable is solved for in the row's centered form.
func (r *row) center(box, mid []interval) bool {
	for _, s := range r.vars {
		v := r.code[s].v
		c := box[v].lo + float64(0.5*(box[v].hi-box[v].lo))
		if !finite(c) {
			return true
		}
		mid[v] = point(c)
	}
	f := r.evaluate(mid, r.at)
	y := r.evaluate(box, r.val)
	if f.isEmpty() || y.isEmpty() {
		return true
	}
	adj := r.slopes(r.val, r.at)
	total := f
	for _, s := range r.vars {
		v := r.code[s].v
		r.term[s] = mul(adj[s], sub(box[v], mid[v]))
		total = add(total, r.term[s])
	}
	total = sub(total, r.want)
	if !total.has(0) {
		return false
	}
	if !finite(total.lo) || !finite(total.hi) {
		return true
	}
	for _, s := range r.vars {
		v := r.code[s].v
		rest := interval{lo: below(below(total.lo - r.term[s].lo)), hi: above(above(total.hi - r.term[s].hi))}
		d := sub(box[v], mid[v])
		if !factor(&d, neg(rest), adj[s]) || !narrow(&box[v], add(d, mid[v])) {
			return false
		}
	}
	return true
}

// narrow meets x with y, telling whether something is left.
func narrow(x *interval, y interval) bool {
	x.lo, x.hi = max(x.lo, y.lo), min(x.hi, y.hi)
	return x.lo <= x.hi
}

// back narrows a step's operands to those that can give z.
func (s *step) back(z interval, x, y *interval) bool {
	switch s.op {
	case opAdd:
		return narrow(x, sub(z, *y)) && narrow(y, sub(z, *x))
	case opSub:
		return narrow(x, add(z, *y)) && narrow(y, sub(*x, z))
	case opMul:
		return factor(x, z, *y) && factor(y, z, *x)
	case opDiv:
		return narrow(x, mul(z, *y)) && factor(y, *x, z)
	case opNeg:
		return narrow(x, neg(z))
	case opSquare:
		return mirrored(x, squareRoot(z))
	case opWhole:
		return s.backWhole(z, x)
	case opSqrt:
		return z.hi >= 0 && narrow(x, square(interval{lo: max(0, z.lo), hi: z.hi}))
	case opExp:
		return narrow(x, logarithm(z))
	case opLn:
		return narrow(x, exponential(z))
	case opAbs:
		return z.hi >= 0 && mirrored(x, interval{lo: max(0, z.lo), hi: z.hi})
	case opMin:
		return narrow(x, interval{lo: z.lo, hi: math.Inf(1)}) && narrow(y, interval{lo: z.lo, hi: math.Inf(1)}) &&
			(!(y.lo > z.hi) || narrow(x, z)) && (!(x.lo > z.hi) || narrow(y, z))
	case opMax:
		return narrow(x, interval{lo: math.Inf(-1), hi: z.hi}) && narrow(y, interval{lo: math.Inf(-1), hi: z.hi}) &&
			(!(y.hi < z.lo) || narrow(x, z)) && (!(x.hi < z.lo) || narrow(y, z))
	case opSin, opCos, opTan, opAsin, opAcos, opAtan:
		return s.backAngle(z, x)
	case opPow:
		if y.isPoint() && y.lo > 0 && y.lo != math.Trunc(y.lo) && z.hi >= 0 {
			return narrow(x, power(interval{lo: max(0, z.lo), hi: z.hi}, div(point(1), *y)))
		}
	case opRound, opFloor, opCeil:
		if m := above(y.magnitude() * (1 + 1e-6)); finite(m) {
			return narrow(x, add(z, interval{lo: -m, hi: m}))
		}
	}
	return true
}

// factor narrows x to the solutions of x·y = z.
func factor(x *interval, z, y interval) bool {
	switch {
	case y.lo > 0 || y.hi < 0:
		q := div(z, y)
		return narrow(x, q)
	case z.lo <= 0 && z.hi >= 0: // y and z may both be 0
		return true
	case y.lo == 0 && y.hi == 0:
		return false
	}
	// two rays, from dividing by either half of y
	left, right := empty, empty
	if y.lo < 0 {
		left = meet(*x, div(z, interval{lo: y.lo, hi: 0}))
	}
	if y.hi > 0 {
		right = meet(*x, div(z, interval{lo: 0, hi: y.hi}))
	}
	h := hull(left, right)
	x.lo, x.hi = h.lo, h.hi
	return !h.isEmpty()
}

// mirrored narrows x to r and -r; r is not negative.
func mirrored(x *interval, r interval) bool {
	h := hull(meet(*x, r), meet(*x, neg(r)))
	x.lo, x.hi = h.lo, h.hi
	return !h.isEmpty()
}

func (s *step) backWhole(z interval, x *interval) bool {
	n := s.n
	if n < 0 {
		if z.lo <= 0 && z.hi >= 0 {
			return true
		}
		z = div(point(1), z)
		n = -n
	}
	if n%2 == 0 {
		if z.hi < 0 {
			return false
		}
		return mirrored(x, interval{lo: rootBelow(max(0, z.lo), n), hi: rootAbove(z.hi, n)})
	}
	odd := func(v float64, up bool) float64 {
		switch {
		case v < 0 && up:
			return -rootBelow(-v, n)
		case v < 0:
			return -rootAbove(-v, n)
		case up:
			return rootAbove(v, n)
		}
		return rootBelow(v, n)
	}
	return narrow(x, interval{lo: odd(z.lo, false), hi: odd(z.hi, true)})
}

// rootAbove and rootBelow bound the n-th root of v, not negative: the slack
// covers the rounding of 1/n and the error of the power.
func rootAbove(v float64, n int) float64 {
	if v == 0 || math.IsInf(v, 1) {
		return v
	}
	return float64(elementary.Pow(v, 1/float64(n)) * (1 + 1e-12))
}

func rootBelow(v float64, n int) float64 {
	if v == 0 || math.IsInf(v, 1) {
		return 0
	}
	return float64(elementary.Pow(v, 1/float64(n)) * (1 - 1e-12))
}

// backAngle narrows x to where a trigonometric function or its inverse is in z.
func (s *step) backAngle(z interval, x *interval) bool {
	quarter := around(math.Pi / 2)
	switch s.op {
	case opSin:
		return periodic(x, z, interval{})
	case opCos:
		return periodic(x, z, quarter)
	case opTan:
		return true
	case opAsin:
		return narrow(&z, hull(neg(quarter), quarter)) && narrow(x, sine(z))
	case opAcos:
		return narrow(&z, interval{lo: 0, hi: above(2 * quarter.hi)}) && narrow(x, cosine(z))
	case opAtan:
		if z.lo < -1.5 || z.hi > 1.5 {
			return z.lo <= quarter.hi && z.hi >= -quarter.hi
		}
		return narrow(x, tangent(z))
	}
	return true
}

// periodic narrows x to where sin(x + ahead) is in z.
func periodic(x *interval, z, ahead interval) bool {
	const limit = 1e5 // beyond it a period is not worth telling apart
	if z.lo > 1 || z.hi < -1 {
		return false
	}
	if z.lo <= -1 && z.hi >= 1 || x.magnitude() > limit {
		return true
	}
	r := increasing(elementary.Asin, within(z, -1, 1))
	if r.isEmpty() {
		return true
	}
	const slack = 1e-10 // more than the rounding of multiples of π below limit
	first := interval{lo: r.lo - slack, hi: r.hi + slack}
	second := interval{lo: math.Pi - r.hi - slack, hi: math.Pi - r.lo + slack}
	y := add(*x, ahead)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range [2]interval{first, second} {
		k := math.Ceil((y.lo - p.hi) / (2 * math.Pi)) // first copy that ends within
		lo = min(lo, max(y.lo, p.lo+float64(k*(2*math.Pi))))
		k = math.Floor((y.hi - p.lo) / (2 * math.Pi))
		hi = max(hi, min(y.hi, p.hi+float64(k*(2*math.Pi))))
	}
	return narrow(x, sub(interval{lo: lo, hi: hi}, ahead))
}
