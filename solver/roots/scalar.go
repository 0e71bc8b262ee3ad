package roots

import (
	"math"
	"sort"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
)

const (
	// clusterWidth is the width, relative to position or scale, below which a
	// box that satisfies the equation throughout counts as one (multiple) root.
	clusterWidth = 1e-4
	// smallestBox is the relative width at which subdivision ends.
	smallestBox = 1e-13
	// maxRoots are kept of one equation or block.
	maxRoots = 64
	// sameRoot is the relative distance at which two roots are one.
	sameRoot = 1e-9
)

// Set are what one equation in one variable has in a range.
type Set struct {
	At       []float64 // ascending
	Complete bool      // proved that there are no others
	Exist    bool      // each is proved to be one
	Free     bool      // a whole interval satisfies the equation
}

// Scalar finds the roots of a tape in one variable; the slices are room for its steps.
type Scalar struct {
	Tape  *expr.Tape
	Shift float64 // subtracted from the residual
	Var   expr.Var
	X     []float64 // all variables; x[v] is overwritten
	Buf   []float64
	Adj   []float64
	Grad  []float64
	Duals []expr.Dual
	Steps *int // budget left, in tape steps
	// Near is where to look first: where the budget ends, roots near it are known.
	Near float64
}

func (s *Scalar) f(x float64) float64 {
	s.X[s.Var] = x
	return s.Tape.Eval(s.X, s.Buf) - s.Shift
}

// slope is the derivative where f was last taken.
func (s *Scalar) slope() float64 {
	for _, v := range s.Tape.Vars {
		s.Grad[v] = 0
	}
	s.Tape.Gradient(s.Buf, s.Adj, s.Grad)
	return s.Grad[s.Var]
}

// tiny tells whether the residual r where f was last taken is rounding only.
func (s *Scalar) tiny(r float64) bool {
	m := s.Tape.Magnitude(s.Buf, s.Adj) + math.Abs(s.Shift)
	return elementary.Finite(m) && math.Abs(r) <= float64(expr.Tolerance*m)+expr.LeastResidual
}

// Find returns all roots in [lo, hi] by subdivision: a box whose enclosure
// misses 0 is dropped, one on which the derivative has one sign is decided by
// the signs at its ends, others are halved.
func (s *Scalar) Find(lo, hi float64) Set {
	r := Set{Complete: true}
	scale := interval.ScaleOf(lo, hi)
	todo := []interval.Interval{{Lo: lo, Hi: hi}}
	var flat []interval.Interval
	for len(todo) > 0 {
		if *s.Steps <= 0 || len(r.At) > maxRoots {
			r.Complete = false
			break
		}
		*s.Steps -= s.Tape.Size()
		b := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		e := s.Tape.Enclose(s.Var, b, s.X, s.Duals)
		y := interval.Sub(e.Value, interval.Point(s.Shift))
		if y.IsEmpty() || !y.Has(0) {
			continue
		}
		if !y.Partial && (e.Slope.Lo > 0 || e.Slope.Hi < 0) {
			if x, ok := s.bracket(b.Lo, b.Hi); ok {
				r.At = append(r.At, x)
			}
			continue
		}
		narrow := elementary.Finite(b.Width()) && b.Width() <= clusterWidth*math.Max(b.Magnitude(), scale)
		if (narrow || e.Slope.IsZero()) && !y.Partial && s.flat(b, y) {
			flat = append(flat, b)
			continue
		}
		if w := b.Width(); elementary.Finite(w) && w <= smallestBox*math.Max(b.Magnitude(), scale) || b.Lo >= 0.5*math.MaxFloat64 || b.Hi <= -0.5*math.MaxFloat64 {
			if y.Partial || narrow {
				flat = s.edge(b, flat)
			}
			continue
		}
		m := interval.Middle(b)
		near, far := interval.Interval{Lo: b.Lo, Hi: m}, interval.Interval{Lo: m, Hi: b.Hi}
		if s.Near > m {
			near, far = far, near
		}
		todo = append(todo, far, near)
	}
	s.clusters(flat, scale, &r)
	r.Complete = r.Complete && !(r.Free && len(r.At) > 0)
	sort.Float64s(r.At)
	r.At = distinct(r.At, scale)
	r.Exist = true
	for _, x := range r.At {
		r.Exist = r.Exist && s.crosses(x, scale)
	}
	return r
}

// crosses proves that a root lies within sameRoot of x: the enclosures on either
// side of it have opposite signs, and the function is defined in between.
func (s *Scalar) crosses(x, scale float64) bool {
	d := float64(0.5 * sameRoot * math.Max(math.Abs(x), scale))
	sign := func(x float64) float64 {
		y := interval.Sub(s.Tape.Enclose(s.Var, interval.Point(x), s.X, s.Duals).Value, interval.Point(s.Shift))
		switch {
		case y.Lo > 0:
			return 1
		case y.Hi < 0:
			return -1
		}
		return 0
	}
	*s.Steps -= 3 * s.Tape.Size()
	around := s.Tape.Enclose(s.Var, interval.Interval{Lo: x - d, Hi: x + d}, s.X, s.Duals)
	return !around.Value.Partial && elementary.Finite(around.Slope.Lo) && elementary.Finite(around.Slope.Hi) && sign(x-d)*sign(x+d) < 0
}

// flat tells whether the residual is within tolerance of 0 all over b.
func (s *Scalar) flat(b, y interval.Interval) bool {
	s.f(b.Lo)
	m := s.Tape.Magnitude(s.Buf, s.Adj) + math.Abs(s.Shift)
	return elementary.Finite(m) && y.Magnitude() <= float64(expr.Tolerance*m)+expr.LeastResidual
}

// edge keeps a smallest box where the function ends or jumps, if it is 0 there.
func (s *Scalar) edge(b interval.Interval, flat []interval.Interval) []interval.Interval {
	for _, x := range [2]float64{b.Lo, b.Hi} {
		if r := s.f(x); s.tiny(r) {
			return append(flat, interval.Point(x))
		}
	}
	return flat
}

// clusters joins touching flat boxes; a narrow cluster is one root, a wide one
// means that the equation tells nothing there.
func (s *Scalar) clusters(flat []interval.Interval, scale float64, r *Set) {
	sort.Slice(flat, func(i, j int) bool { return flat[i].Lo < flat[j].Lo })
	for i := 0; i < len(flat); {
		c := flat[i]
		for i++; i < len(flat) && flat[i].Lo <= interval.Above(c.Hi); i++ {
			c.Hi = math.Max(c.Hi, flat[i].Hi)
		}
		if c.Width() > 100*clusterWidth*math.Max(c.Magnitude(), scale) {
			r.Free = true
			continue
		}
		r.At = append(r.At, s.lowest(c))
	}
}

// lowest is where |f| is least in a narrow cluster: a multiple root.
func (s *Scalar) lowest(c interval.Interval) float64 {
	lo, hi := c.Lo, c.Hi
	s.f(lo)
	a := s.slope()
	s.f(hi)
	b := s.slope()
	if a < 0 && b > 0 || a > 0 && b < 0 {
		for range 200 {
			m := lo + float64(0.5*(hi-lo))
			if m <= lo || m >= hi {
				break
			}
			s.f(m)
			d := s.slope()
			if d == 0 {
				return m
			}
			if (d < 0) == (a < 0) {
				lo = m
			} else {
				hi = m
			}
		}
	}
	best, at := math.Inf(1), lo
	for _, x := range []float64{c.Lo, lo, c.Lo + float64(0.5*(c.Hi-c.Lo)), hi, c.Hi} {
		if r := math.Abs(s.f(x)); r < best {
			best, at = r, x
		}
	}
	return at
}

// bracket returns the one root of a monotone function on [lo, hi], by Newton's
// steps kept inside a shrinking bracket, halving where they stall.
func (s *Scalar) bracket(lo, hi float64) (float64, bool) {
	flo, fhi := s.end(lo), s.end(hi)
	switch {
	case flo == 0:
		return lo, true
	case fhi == 0:
		return hi, true
	case !((flo < 0) != (fhi < 0)) || math.IsNaN(flo) || math.IsNaN(fhi):
		return 0, false
	}
	x, last := interval.Middle(interval.Interval{Lo: lo, Hi: hi}), math.Inf(1)
	best, at := math.Inf(1), x
	for range 2200 { // halving alone ends after the 2100 floats' exponents and bits
		y := s.f(x)
		if math.IsNaN(y) {
			return 0, false
		}
		if a := math.Abs(y); a < best {
			best, at = a, x
		}
		if y == 0 {
			return x, true
		}
		if (y < 0) == (flo < 0) {
			lo = x
		} else {
			hi = x
		}
		next := x - y/s.slope()
		step := math.Abs(next - x)
		if next == x {
			return at, true
		}
		if !(next > lo && next < hi) || step > 0.5*last {
			next = interval.Middle(interval.Interval{Lo: lo, Hi: hi})
			step = hi - lo
		}
		if next <= lo || next >= hi {
			return at, true
		}
		x, last = next, step
	}
	return at, true
}

// end is f at a bound, which may be infinite.
func (s *Scalar) end(x float64) float64 {
	if y := s.f(x); !math.IsNaN(y) {
		return y
	}
	return s.f(math.Copysign(math.MaxFloat64, x))
}

// distinct drops roots that equal the one before.
func distinct(xs []float64, scale float64) []float64 {
	out := xs[:0]
	for _, x := range xs {
		if n := len(out); n > 0 && x-out[n-1] <= sameRoot*math.Max(math.Abs(x), scale) {
			continue
		}
		out = append(out, x)
	}
	return out
}
