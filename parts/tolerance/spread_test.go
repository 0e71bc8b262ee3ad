package tolerance

import (
	"math"
	"testing"
)

// Of a normal distribution 95 in 100 are within 1.959964 deviations along one way, and
// within √(−2·ln 0.05) = 2.447747 in a plane where both ways are alike (J. W. Strutt's
// distribution); in between, what the mean over ten thousand directions says.
func TestWithin(t *testing.T) {
	for _, c := range []struct {
		s    spread
		want float64
	}{
		{spread{}, 0}, {spread{1, 0}, 1.959963984540054}, {spread{0.15, 0}, 0.15 * 1.959963984540054}, {spread{1, 1}, math.Sqrt(-2 * math.Log(0.05))}, {spread{2, 2}, 2 * math.Sqrt(-2*math.Log(0.05))},
	} {
		if got := c.s.within(); math.Abs(got-c.want) > 1e-6*max(c.want, 1) {
			t.Errorf("%v: %.7f, want %.7f", c.s, got, c.want)
		}
	}
	for _, short := range []float64{0.01, 0.1, 0.3, 0.7, 0.9} {
		s := spread{1, short}
		r := s.within()
		mean := 0.0
		for i := range 10_000 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 10_000)
			mean += math.Exp(-r*r/2/(cos*cos+short*short*sin*sin)) / 10_000
		}
		if math.Abs(mean-0.05) > 1e-6 {
			t.Errorf("1 and %g: %.7f lie farther than %.5f", short, mean, r)
		}
		if got := s.misses(r); math.Abs(got-0.05) > 1e-9 {
			t.Errorf("1 and %g: misses %.7f", short, got)
		}
	}
}
