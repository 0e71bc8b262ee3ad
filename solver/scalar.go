package solver

import (
	"math"
	"sort"

	"perch/solver/elementary"
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

// roots are what one equation in one variable has in a range.
type roots struct {
	at       []float64 // ascending
	complete bool      // proved that there are no others
	exist    bool      // each is proved to be one
	free     bool      // a whole interval satisfies the equation
}

// scalar finds the roots of a tape in one variable.
type scalar struct {
	t     *tape
	shift float64 // subtracted from the residual
	v     Var
	x     []float64 // all variables; x[v] is overwritten
	buf   []float64
	adj   []float64
	grad  []float64
	dual  []dual
	steps *int // budget left, in tape steps
	// center is where to look first: where the budget ends, roots near it are known.
	center float64
}

func (s *scalar) f(x float64) float64 {
	s.x[s.v] = x
	return s.t.eval(s.x, s.buf) - s.shift
}

// slope is the derivative where f was last taken.
func (s *scalar) slope() float64 {
	for _, v := range s.t.vars {
		s.grad[v] = 0
	}
	s.t.gradient(s.buf, s.adj, s.grad)
	return s.grad[s.v]
}

// tiny tells whether the residual r where f was last taken is rounding only.
func (s *scalar) tiny(r float64) bool {
	m := s.t.magnitude(s.buf, s.adj) + math.Abs(s.shift)
	return elementary.Finite(m) && math.Abs(r) <= float64(tolerance*m)+floor
}

// find returns all roots in [lo, hi] by subdivision: a box whose enclosure
// misses 0 is dropped, one on which the derivative has one sign is decided by
// the signs at its ends, others are halved.
func (s *scalar) find(lo, hi float64) roots {
	r := roots{complete: true}
	scale := scaleOf(lo, hi)
	todo := []interval{{lo: lo, hi: hi}}
	var flat []interval
	for len(todo) > 0 {
		if *s.steps <= 0 || len(r.at) > maxRoots {
			r.complete = false
			break
		}
		*s.steps -= s.t.size()
		b := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		e := s.t.enclose(s.v, b, s.x, s.dual)
		y := sub(e.v, point(s.shift))
		if y.isEmpty() || !y.has(0) {
			continue
		}
		if !y.partial && (e.d.lo > 0 || e.d.hi < 0) {
			if x, ok := s.bracket(b.lo, b.hi); ok {
				r.at = append(r.at, x)
			}
			continue
		}
		narrow := elementary.Finite(b.width()) && b.width() <= clusterWidth*math.Max(b.magnitude(), scale)
		if (narrow || e.d.isZero()) && !y.partial && s.flat(b, y) {
			flat = append(flat, b)
			continue
		}
		if w := b.width(); elementary.Finite(w) && w <= smallestBox*math.Max(b.magnitude(), scale) || b.lo >= 0.5*math.MaxFloat64 || b.hi <= -0.5*math.MaxFloat64 {
			if y.partial || narrow {
				flat = s.edge(b, flat)
			}
			continue
		}
		m := middle(b)
		near, far := interval{lo: b.lo, hi: m}, interval{lo: m, hi: b.hi}
		if s.center > m {
			near, far = far, near
		}
		todo = append(todo, far, near)
	}
	s.clusters(flat, scale, &r)
	r.complete = r.complete && !(r.free && len(r.at) > 0)
	sort.Float64s(r.at)
	r.at = distinct(r.at, scale)
	r.exist = true
	for _, x := range r.at {
		r.exist = r.exist && s.crosses(x, scale)
	}
	return r
}

// crosses proves that a root lies within sameRoot of x: the enclosures on either
// side of it have opposite signs, and the function is defined in between.
func (s *scalar) crosses(x, scale float64) bool {
	d := float64(0.5 * sameRoot * math.Max(math.Abs(x), scale))
	sign := func(x float64) float64 {
		y := sub(s.t.enclose(s.v, point(x), s.x, s.dual).v, point(s.shift))
		switch {
		case y.lo > 0:
			return 1
		case y.hi < 0:
			return -1
		}
		return 0
	}
	*s.steps -= 3 * s.t.size()
	around := s.t.enclose(s.v, interval{lo: x - d, hi: x + d}, s.x, s.dual)
	return !around.v.partial && elementary.Finite(around.d.lo) && elementary.Finite(around.d.hi) && sign(x-d)*sign(x+d) < 0
}

// flat tells whether the residual is within tolerance of 0 all over b.
func (s *scalar) flat(b, y interval) bool {
	s.f(b.lo)
	m := s.t.magnitude(s.buf, s.adj) + math.Abs(s.shift)
	return elementary.Finite(m) && y.magnitude() <= float64(tolerance*m)+floor
}

// edge keeps a smallest box where the function ends or jumps, if it is 0 there.
func (s *scalar) edge(b interval, flat []interval) []interval {
	for _, x := range [2]float64{b.lo, b.hi} {
		if r := s.f(x); s.tiny(r) {
			return append(flat, point(x))
		}
	}
	return flat
}

// clusters joins touching flat boxes; a narrow cluster is one root, a wide one
// means that the equation tells nothing there.
func (s *scalar) clusters(flat []interval, scale float64, r *roots) {
	sort.Slice(flat, func(i, j int) bool { return flat[i].lo < flat[j].lo })
	for i := 0; i < len(flat); {
		c := flat[i]
		for i++; i < len(flat) && flat[i].lo <= above(c.hi); i++ {
			c.hi = math.Max(c.hi, flat[i].hi)
		}
		if c.width() > 100*clusterWidth*math.Max(c.magnitude(), scale) {
			r.free = true
			continue
		}
		r.at = append(r.at, s.lowest(c))
	}
}

// lowest is where |f| is least in a narrow cluster: a multiple root.
func (s *scalar) lowest(c interval) float64 {
	lo, hi := c.lo, c.hi
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
	for _, x := range []float64{c.lo, lo, c.lo + float64(0.5*(c.hi-c.lo)), hi, c.hi} {
		if r := math.Abs(s.f(x)); r < best {
			best, at = r, x
		}
	}
	return at
}

// bracket returns the one root of a monotone function on [lo, hi], by Newton's
// steps kept inside a shrinking bracket, halving where they stall.
func (s *scalar) bracket(lo, hi float64) (float64, bool) {
	flo, fhi := s.end(lo), s.end(hi)
	switch {
	case flo == 0:
		return lo, true
	case fhi == 0:
		return hi, true
	case !((flo < 0) != (fhi < 0)) || math.IsNaN(flo) || math.IsNaN(fhi):
		return 0, false
	}
	x, last := middle(interval{lo: lo, hi: hi}), math.Inf(1)
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
			next = middle(interval{lo: lo, hi: hi})
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
func (s *scalar) end(x float64) float64 {
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
