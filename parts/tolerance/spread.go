package tolerance

import (
	"math"

	"perch/solver/elementary"
)

// share is how many builds of so many are to go together.
const share = 0.95

// spread is a normal distribution about nothing in a plane: the standard deviations along
// its axes, mm, the longer first.
type spread struct{ long, short float64 }

// directions is how many directions a mean is taken over.
const directions = 64

// cosines are the squares of the cosines of those directions, of a quarter turn.
var cosines = func() (out [directions]float64) {
	for i := range out {
		c := elementary.Cos((float64(i) + 0.5) * (math.Pi / 2 / directions))
		out[i] = float64(c * c)
	}
	return out
}()

// beyond is the probability that a point lies farther than √x from the middle, and how fast
// it falls with x: the mean of exp(−x/2σ²) over all directions, σ² = long²·cos² + short²·sin²
// (by polar coordinates; a sum over equal steps of a smooth periodic function).
func (s spread) beyond(x float64) (p, fall float64) {
	for _, c := range cosines {
		v := float64(float64(s.long*s.long)*c) + float64(float64(s.short*s.short)*(1-c))
		if v > 0 {
			e := elementary.Exp(-x / (2 * v))
			p += e
			fall += e / (2 * v)
		}
	}
	return p / directions, fall / directions
}

// misses is the probability that a point lies farther than r from the middle.
func (s spread) misses(r float64) float64 {
	if s.long == 0 {
		return 0
	}
	p, _ := s.beyond(float64(r * r))
	return p
}

// Of the longer standard deviation, what 95 in 100 stay within is at least that of a normal
// distribution along one way, a little less here, and at most that of one of two equal axes,
// √(−2·ln 0.05), a little more.
const (
	leastWithin = 1.9599
	mostWithin  = 2.4478
)

// stays tells whether 95 of 100 stay within r.
func (s spread) stays(r float64) bool {
	return float64(mostWithin*s.long) <= r || float64(leastWithin*s.long) <= r && s.within() <= r
}

// within is the distance that 95 of 100 stay within. It begins at that along the longer axis
// alone, which is less, and goes up by Newton's steps: the logarithm of beyond is convex, so
// that none goes too far.
func (s spread) within() float64 {
	if s.long == 0 {
		return 0
	}
	x := float64(leastWithin*s.long) * float64(leastWithin*s.long)
	for range 20 {
		p, fall := s.beyond(x)
		step := float64((elementary.Log(p) - elementary.Log(1-share)) * p / fall)
		if !(step > float64(1e-12*x)) {
			break
		}
		x += step
	}
	return math.Sqrt(x)
}
