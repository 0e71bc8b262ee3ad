package panel

import (
	"math"
	"testing"

	"perch/parts/plane"
)

// TestParted: which outlines a line along an edge of one parts, with bows that reach over it.
func TestParted(t *testing.T) {
	square := func(x, y float64) plane.Loop { return plane.RectAt(pt(x, y), pt(x+10, y+10)) }
	bowed := plane.Loop{{P: pt(0, 0)}, {P: pt(10, 0), Bulge: 1}, {P: pt(10, 10)}, {P: pt(0, 10)}}   // a half disc beyond x = 10
	hollow := plane.Loop{{P: pt(0, 0)}, {P: pt(10, 0), Bulge: -1}, {P: pt(10, 10)}, {P: pt(0, 10)}} // and into it
	for _, c := range []struct {
		name string
		a, b plane.Loop
		want bool
	}{
		{"apart", square(0, 0), square(12, 0), true},
		{"side by side", square(0, 0), square(10, 0), true},
		{"corner on corner", square(0, 0), square(10, 10), true},
		{"over each other", square(0, 0), square(9, 0), false},
		{"within", square(0, 0), plane.RectAt(pt(2, 2), pt(4, 4)), false},
		{"above a bow's side", bowed, square(0, 10), true},
		{"where the bow reaches over", bowed, square(10, 0), false},
		{"beyond the bow", bowed, square(16, 0), false}, // by no edge of a
		{"behind a hollow side", hollow, square(10, 0), false},
		{"a bow over the edge of b", square(10, 0), bowed, false},
		{"a hollow off the edge of b", square(10, 0), hollow, true},
	} {
		if got := parted(c.a, c.b); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	for _, c := range []struct {
		name string
		l    plane.Loop
		p, n plane.Point
		want bool
	}{
		{"all above", square(0, 0), pt(5, 0), pt(0, 1), true},
		{"one corner below", square(0, 0), pt(5, 0.1), pt(0, 1), false},
		{"all left of the bow's end", bowed, pt(15, 0), pt(-1, 0), true},
		{"left of what the bow passes", bowed, pt(14.9, 0), pt(-1, 0), false},
		{"left of its corners only", bowed, pt(10, 0), pt(-1, 0), false},
		{"left of a hollow", hollow, pt(10, 0), pt(-1, 0), true},
	} {
		if got := beyond(c.l, c.p, c.n); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// TestInnerCorners: an outline turns in at a corner, or where it runs on into a hollow.
func TestInnerCorners(t *testing.T) {
	at := func(x0, y0, x1, y1, bulge float64) plane.Edge {
		return plane.Edge{From: pt(x0, y0), To: pt(x1, y1), Bulge: bulge}
	}
	quarter := math.Tan(math.Pi / 8)
	for _, c := range []struct {
		name string
		a, b plane.Edge
		want bool
	}{
		{"left", at(0, 0, 10, 0, 0), at(10, 0, 10, 10, 0), false},
		{"right", at(0, 0, 10, 0, 0), at(10, 0, 10, -10, 0), true},
		{"straight on", at(0, 0, 10, 0, 0), at(10, 0, 20, 0, 0), false},
		{"on into a bow", at(0, 0, 10, 0, 0), at(10, 0, 15, 5, quarter), false},
		{"on into a hollow", at(0, 0, 10, 0, 0), at(10, 0, 15, -5, -quarter), true},
		{"out of a hollow", at(5, 5, 10, 0, 0), at(10, 0, 20, 0, 0), false},
		{"out of a hollow, smoothly", at(0, -5, 5, 0, -quarter), at(5, 0, 20, 0, 0), true},
	} {
		if got := turnsRight(c.a, c.b); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// TestScraps: slivers no larger than the square of the deepest set-back are dropped beside
// something larger; openings stay.
func TestScraps(t *testing.T) {
	hinges := []*hinge{{set: 2}, {set: 3}, {set: 1}}
	plate, sliver, scrap := plane.Rect(100, 100), plane.Rect(2.9, 3), plane.Rect(3.1, 3)
	hole := plane.Rect(1, 1).Reversed()
	if got := withoutScraps(plane.Region{sliver, plate, hole, scrap}, hinges); len(got) != 3 || got.Area() != 100*100-1+3.1*3 {
		t.Errorf("%d pieces, %g mm²", len(got), got.Area())
	}
	if got := withoutScraps(plane.Region{sliver, sliver}, hinges); len(got) != 2 {
		t.Errorf("slivers alone: %d are left", len(got))
	}
	if got := withoutScraps(plane.Region{sliver, plate}, nil); len(got) != 2 {
		t.Errorf("without bends: %d are left", len(got))
	}
}
