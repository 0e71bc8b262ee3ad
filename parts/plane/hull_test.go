package plane

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestHullByHand(t *testing.T) {
	for _, c := range []struct{ points, want []Point }{
		{nil, nil},
		{[]Point{{1, 2}, {1, 2}}, []Point{{1, 2}}},
		{[]Point{{3, 3}, {1, 1}, {2, 2}}, []Point{{1, 1}, {3, 3}}},
		{[]Point{{0, 0}, {2, 0}, {1, 0}, {2, 2}, {0, 2}, {1, 1}, {0, 1}}, []Point{{0, 0}, {2, 0}, {2, 2}, {0, 2}}},
		{[]Point{{4, 0}, {0, 0}, {2, 3}}, []Point{{0, 0}, {4, 0}, {2, 3}}},
	} {
		if got := Hull(c.points); !slices.Equal(got, c.want) {
			t.Errorf("the hull of %v is %v, want %v", c.points, got, c.want)
		}
	}
}

// By its definition: its corners are points, every corner turns left, no point lies right of
// an edge.
func TestHullHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
			return Point{float64(rapid.IntRange(-9, 9).Draw(t, "x")) / 7, float64(rapid.IntRange(-9, 9).Draw(t, "y")) / 7}
		}), 1, 40).Draw(t, "points")
		h := Hull(points)
		for i, a := range h {
			if !slices.Contains(points, a) {
				t.Fatalf("%v is no point", a)
			}
			if len(h) < 3 {
				continue
			}
			b, c := h[(i+1)%len(h)], h[(i+2)%len(h)]
			if Orient(a, b, c) <= 0 {
				t.Fatalf("the hull %v does not turn left at %v", h, b)
			}
			for _, p := range points {
				if Orient(a, b, p) < 0 {
					t.Fatalf("%v lies outside %v", p, h)
				}
			}
		}
	})
}
