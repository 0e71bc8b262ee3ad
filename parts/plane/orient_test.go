package plane

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The sum of floats and arithmetic of 4400 bits (math/big) agree on points that are on
// one line or some bits off it, whatever their size.
func TestOrientSumsExactly(t *testing.T) {
	seen := map[int]int{}
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Custom(func(t *rapid.T) float64 {
			return math.Ldexp(rapid.Float64Range(-1, 1).Draw(t, "mantissa"), rapid.IntRange(-30, 30).Draw(t, "exponent"))
		})
		a := Point{number.Draw(t, "ax"), number.Draw(t, "ay")}
		b := Point{number.Draw(t, "bx"), number.Draw(t, "by")}
		c := a.Lerp(b, number.Draw(t, "k"))
		for range rapid.IntRange(0, 3).Draw(t, "ulps") {
			c.X = math.Nextafter(c.X, math.Inf(1))
		}
		if rapid.Bool().Draw(t, "doubled") { // exactly on the line
			a, b = Point{math.Trunc(a.X), math.Trunc(a.Y)}, Point{math.Trunc(b.X), math.Trunc(b.Y)}
			c = Point{2*b.X - a.X, 2*b.Y - a.Y}
		}
		want := orientBig(a, b, c)
		seen[want]++
		if got := orientExact(a, b, c); got != want {
			t.Fatalf("%v %v %v: %d, not %d", a, b, c, got, want)
		}
		if got := Orient(a, b, c); got != want {
			t.Fatalf("Orient %v %v %v: %d, not %d", a, b, c, got, want)
		}
	})
	for _, side := range []int{-1, 0, 1} {
		if seen[side] == 0 {
			t.Errorf("no case of %d was drawn: %v", side, seen)
		}
	}
}

// Products beyond the floats' range are left to big numbers.
func TestOrientOfExtremes(t *testing.T) {
	tiny, huge := math.SmallestNonzeroFloat64, 1e150
	for _, c := range []struct {
		a, b, c Point
		want    int
	}{
		{Point{}, Point{tiny, tiny}, Point{tiny, 2 * tiny}, 1},
		{Point{}, Point{tiny, tiny}, Point{2 * tiny, 2 * tiny}, 0},
		{Point{}, Point{huge, huge}, Point{huge, math.Nextafter(huge, 0)}, -1},
	} {
		if got := Orient(c.a, c.b, c.c); got != c.want {
			t.Errorf("%v %v %v: %d, not %d", c.a, c.b, c.c, got, c.want)
		}
	}
}

func BenchmarkOrientOnLine(b *testing.B) {
	p, q, r := Point{0.1, 0.1}, Point{10.7, 10.7}, Point{3.3, 3.3}
	for b.Loop() {
		Orient(p, q, r)
	}
}
