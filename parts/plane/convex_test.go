package plane

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func ring(xy ...float64) []Point {
	var p []Point
	for i := 0; i < len(xy); i += 2 {
		p = append(p, Point{xy[i], xy[i+1]})
	}
	return p
}

// failing is a test, of rapid's or not.
type failing interface {
	Helper()
	Errorf(format string, args ...any)
}

// parted holds convex parts to what they are parts of: each is convex and counterclockwise,
// their areas come to that of the whole, and they lie in it, apart from each other.
func parted(t failing, name string, outer []Point, holes [][]Point) [][]Point {
	t.Helper()
	whole := Region{loopOf(outer...)}
	for _, h := range holes {
		whole = append(whole, loopOf(h...))
	}
	parts := ConvexParts(outer, holes)
	var sum float64
	for i, p := range parts {
		l := loopOf(p...)
		if !Convex(p) || l.Area() <= 0 {
			t.Errorf("%s: part %d is not convex: %v", name, i, p)
		}
		sum += l.Area()
		if d := Subtract(Region{l}, whole).Area(); math.Abs(d) > 1e-6 {
			t.Errorf("%s: %.9g mm² of part %d are not in the whole", name, d, i)
		}
		for _, v := range p {
			if !slices.Contains(outer, v) && !slices.ContainsFunc(holes, func(h []Point) bool { return slices.Contains(h, v) }) {
				t.Errorf("%s: %v is no corner of the whole", name, v)
			}
		}
	}
	if math.Abs(sum-whole.Area()) > 1e-6 {
		t.Errorf("%s: the parts come to %.9g mm², the whole has %.9g", name, sum, whole.Area())
	}
	return parts
}

// TestConvexPartsByHand: how many parts a shape falls into. A corner that turns in needs a
// cut, and one cut may serve two such corners.
func TestConvexPartsByHand(t *testing.T) {
	for _, c := range []struct {
		name  string
		outer []Point
		holes [][]Point
		parts int
	}{
		{"triangle", ring(0, 0, 10, 0, 0, 10), nil, 1},
		{"square", ring(0, 0, 10, 0, 10, 10, 0, 10), nil, 1},
		{"square with a point on an edge", ring(0, 0, 5, 0, 10, 0, 10, 10, 0, 10), nil, 1},
		{"L", ring(0, 0, 10, 0, 10, 4, 4, 4, 4, 10, 0, 10), nil, 2},
		{"T", ring(0, 0, 4, 0, 4, 6, 8, 6, 8, 10, -4, 10, -4, 6, 0, 6), nil, 2},
		{"arrow", ring(0, 0, 10, 5, 0, 10, 4, 5), nil, 2},
		{"square with a square hole", ring(0, 0, 12, 0, 12, 12, 0, 12), [][]Point{ring(4, 4, 4, 8, 8, 8, 8, 4)}, 4},
		{"square with a triangular hole", ring(0, 0, 12, 0, 12, 12, 0, 12), [][]Point{ring(4, 4, 6, 8, 8, 4)}, 4},
	} {
		if got := parted(t, c.name, c.outer, c.holes); len(got) > c.parts {
			t.Errorf("%s: %d parts, %d are enough: %v", c.name, len(got), c.parts, got)
		}
	}
	two := [][]Point{ring(2, 2, 2, 5, 5, 5, 5, 2), ring(7, 7, 7, 10, 10, 10, 10, 7)}
	parted(t, "two holes", ring(0, 0, 12, 0, 12, 12, 0, 12), two)
	parted(t, "two holes in a row", ring(0, 0, 12, 0, 12, 6, 0, 6), [][]Point{ring(2, 2, 2, 4, 4, 4, 4, 2), ring(7, 2, 7, 4, 9, 4, 9, 2)})
	parted(t, "comb", ring(0, 0, 10, 0, 10, 6, 8, 6, 8, 2, 6, 2, 6, 6, 4, 6, 4, 2, 2, 2, 2, 6, 0, 6), nil)
}

// star draws a shape that is seen whole from its middle, with corners that turn in.
func star(t *rapid.T, scale float64) []Point {
	n := rapid.IntRange(5, 14).Draw(t, "corners")
	var p []Point
	for i := range n {
		r := rapid.Float64Range(2, 10).Draw(t, "radius")
		p = append(p, Polar(scale*r, 2*math.Pi*(float64(i)+rapid.Float64Range(-0.3, 0.3).Draw(t, "off"))/float64(n)))
	}
	return p
}

func TestConvexPartsOfStars(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		outer := star(t, 3)
		var holes [][]Point
		if rapid.Bool().Draw(t, "hole") {
			h := star(t, 0.3)
			slices.Reverse(h)
			holes = append(holes, h)
		}
		parts := parted(t, "star", outer, holes)
		if most := len(outer) + 3; len(holes) == 0 && len(parts) > most {
			t.Fatalf("%d parts of %d corners", len(parts), len(outer))
		}
	})
}

func TestConvex(t *testing.T) {
	for _, c := range []struct {
		p    []Point
		want bool
	}{
		{ring(0, 0, 10, 0, 10, 10, 0, 10), true},
		{ring(0, 0, 5, 0, 10, 0, 10, 10, 0, 10), true},
		{ring(0, 0, 0, 10, 10, 10, 10, 0), false}, // clockwise
		{ring(0, 0, 10, 0, 10, 10, 8, 2), false},
		{ring(0, 0, 10, 0), false},
		{nil, false},
	} {
		if got := Convex(c.p); got != c.want {
			t.Errorf("%v: %v", c.p, got)
		}
	}
}
