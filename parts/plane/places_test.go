package plane

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawBox draws a box of a field of 100 × 100: small, long, a point, or empty.
func drawBox(t *rapid.T) Box {
	at := Point{rapid.Float64Range(0, 100).Draw(t, "x"), rapid.Float64Range(0, 100).Draw(t, "y")}
	switch rapid.IntRange(0, 9).Draw(t, "kind") {
	case 0:
		return Box{at, at}
	case 1:
		return Box{at, Point{at.X + 80, at.Y}}
	case 2:
		return EmptyBox()
	}
	return Box{at, at.Add(Point{rapid.Float64Range(0, 5).Draw(t, "w"), rapid.Float64Range(0, 5).Draw(t, "h")})}
}

// TestPlacesAreThoseOfAllLookedAt: what is found near a box is what a look at every box finds,
// of boxes given at once and of those that come later.
func TestPlacesAreThoseOfAllLookedAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []Box
		for range rapid.IntRange(0, 3*treeFrom).Draw(t, "n") {
			all = append(all, drawBox(t))
		}
		first := rapid.IntRange(0, len(all)).Draw(t, "first")
		places := NewPlaces(all[:first])
		for _, b := range all[first:] {
			places.Add(b)
		}
		for range 10 {
			q := drawBox(t)
			var want []int
			for i, b := range all {
				if b.Overlaps(q) {
					want = append(want, i)
				}
			}
			if got := places.Near(q, nil); !slices.Equal(got, want) || places.Count(q) != len(want) {
				t.Fatalf("near %v: %v, want %v", q, got, want)
			}
		}
	})
}

// grid is n × n of a loop, step apart.
func grid(l Loop, n int, step float64) []Region {
	var out []Region
	for i := range n {
		for j := range n {
			out = append(out, Region{at(l, float64(i)*step, float64(j)*step)})
		}
	}
	return out
}

// TestManyCutsAtOnce: cuts taken off at once leave what they leave one by one, apart from
// each other or not, and each takes about as much work however many there are.
func TestManyCutsAtOnce(t *testing.T) {
	plate := Region{RectAt(Point{-10, -10}, Point{400, 400})}
	for _, c := range []struct {
		name string
		cut  Loop
		step float64
	}{{"apart", Circle(4), 10}, {"in chains", Circle(12), 10}, {"one on another", Rect(14, 3), 9}, {"touching", Rect(8, 8), 8}} {
		cuts := grid(c.cut, 12, c.step)
		want := plate
		for _, r := range cuts {
			want = Subtract(want, r)
		}
		got := SubtractAll(plate, cuts...)
		if math.Abs(got.Area()-want.Area()) > 1e-6 || len(got) != len(want) {
			t.Errorf("%s: %d loops with %v mm², one by one %d with %v", c.name, len(got), got.Area(), len(want), want.Area())
		}
	}
	for _, n := range []int{10, 40} {
		cuts := grid(Circle(4), n, 10)
		var got Region
		perCut := testing.AllocsPerRun(1, func() { got = SubtractAll(plate, cuts...) }) / float64(n*n)
		if len(got) != n*n+1 || perCut > 20 {
			t.Errorf("%d cuts: %d loops, %.0f allocations for each", n*n, len(got), perCut)
		}
	}
}
