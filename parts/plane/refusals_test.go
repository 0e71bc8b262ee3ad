package plane

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestCornersThatCantBeTreated: which corner is told, what it needs and what there is.
func TestCornersThatCantBeTreated(t *testing.T) {
	square := func(f func(c []Corner)) []Corner {
		c := pts(0, 0, 10, 0, 10, 10, 0, 10)
		f(c)
		return c
	}
	for _, c := range []struct {
		name    string
		corners []Corner
		want    CornerError
	}{
		{"the greater need is told, at the edge's end", square(func(c []Corner) { c[1].Round, c[2].Round = 4, 7 }),
			CornerError{Corner: 2, What: "round", Size: 7, Needs: 7, Has: 6}},
		{"the greater need is told, at the edge's start", square(func(c []Corner) { c[1].Round, c[2].Round = 7, 4 }),
			CornerError{Corner: 1, What: "round", Size: 7, Needs: 7, Has: 6}},
		{"a chamfer beside a round", square(func(c []Corner) { c[1].Round, c[2].Chamfer = 3, 8 }),
			CornerError{Corner: 2, What: "chamfer", Size: 8, Needs: 8, Has: 7}},
		{"a round beside a chamfer", square(func(c []Corner) { c[1].Round, c[2].Chamfer = 8, 3 }),
			CornerError{Corner: 1, What: "round", Size: 8, Needs: 8, Has: 7}},
		{"two that are longer than the edge each", square(func(c []Corner) { c[1].Round, c[2].Round = 12, 11 }),
			CornerError{Corner: 1, What: "round", Size: 12, Needs: 12, Has: 10}},
		{"a chamfer alone", square(func(c []Corner) { c[3].Chamfer = 10.5 }),
			CornerError{Corner: 3, What: "chamfer", Size: 10.5, Needs: 10.5, Has: 10}},
		{"a round behind a bow that is smaller", square(func(c []Corner) { c[0].Arc, c[1].Round = 6, 7 }),
			CornerError{Corner: 1, What: "round", Size: 7, Reason: "no arc of this radius touches both edges"}},
		{"a round before a bow that is smaller", square(func(c []Corner) { c[1].Arc, c[1].Round = 6, 7 }),
			CornerError{Corner: 1, What: "round", Size: 7, Reason: "no arc of this radius touches both edges"}},
		{"a round where a half circle comes back on the next edge", square(func(c []Corner) { c[0].Arc, c[1].Round = -5, 1 }),
			CornerError{Corner: 1, What: "round", Size: 1, Reason: "the edges fold back on each other"}},
	} {
		_, _, err := Polygon(c.corners)
		var got *CornerError
		if !errors.As(err, &got) {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got.Corner != c.want.Corner || got.What != c.want.What || got.Reason != c.want.Reason ||
			math.Abs(got.Size-c.want.Size)+math.Abs(got.Needs-c.want.Needs)+math.Abs(got.Has-c.want.Has) > 1e-9 {
			t.Errorf("%s: %+v, want %+v", c.name, *got, c.want)
		}
	}
	// an edge that is used up to its end is no mistake, and is left out
	l, _, err := Polygon(square(func(c []Corner) { c[1].Chamfer, c[2].Round = 4, 6 }))
	if err != nil || len(l) != 5 {
		t.Errorf("an edge used up: %v, %v", format(Region{l}), err)
	}
	near(t, "an edge used up", l.Area(), 100-8-36*(1-math.Pi/4), 1e-9)
	// a corner that is none is left as it is
	l, _, err = Polygon([]Corner{{P: Point{0, 0}}, {P: Point{5, 0}, Round: 2}, {P: Point{10, 0}}, {P: Point{10, 10}}, {P: Point{0, 10}}})
	if err != nil || len(l) != 5 {
		t.Errorf("a round where the edges run on: %v, %v", format(Region{l}), err)
	}
	// loops that are none are left out, the others are treated
	bad := Region{{{P: Point{math.NaN(), 0}}, {P: Point{1, 0}}, {P: Point{0, 1}}}, {{P: Point{0, 0}}}, Rect(20, 10)}
	r, err := Chamfer(bad, 1)
	if err != nil || len(r) != 1 {
		t.Fatalf("%v, %v", r, err)
	}
	near(t, "behind bad loops", r.Area(), 198, 1e-9)
	back := Region{{{P: Point{0, 0}}, {P: Point{10, 0}}, {P: Point{10, 10}}}}
	if same, err := Round(back, 0); err != nil || &same[0][0] == &back[0][0] {
		t.Errorf("a round of nothing: %v", err)
	}
}

// TestOffsetsOfThinLoops: a line there and back grows into a slot, a spike's end is round, and
// no number is no move.
func TestOffsetsOfThinLoops(t *testing.T) {
	line := Region{{{P: Point{0, 0}}, {P: Point{10, 0}}}}
	near(t, "a line grown", Offset(line, 3).Area(), 60+9*math.Pi, 1e-6)
	if got := Offset(line, -3); len(got) > 0 {
		t.Errorf("a line shrunk: %v", format(got))
	}
	square := Region{Rect(10, 10)}
	for _, d := range []float64{0, math.NaN(), math.Inf(1), math.Inf(-1)} {
		near(t, fmt.Sprintf("moved by %v", d), Offset(square, d).Area(), 100, 1e-12)
	}
	// sharp joins reach √2·d from a square's corners, 2·d from a triangle's
	for _, c := range []struct {
		name     string
		r        Region
		limit, d float64
		area     float64
	}{
		{"square, sharp", square, 1.5, 2, 14 * 14},
		{"square, too sharp", square, 1.4, 2, 100 + 80 + 4*math.Pi},
		{"triangle, sharp", Region{Ngon(3, 6)}, 2.1, 1, Region{Ngon(3, 8)}.Area()},
		{"triangle, too sharp", Region{Ngon(3, 6)}, 1.9, 1, Region{Ngon(3, 6)}.Area() + Ngon(3, 6).Length() + math.Pi},
		{"hole, sharp", Region{Rect(30, 30), hole(Rect(10, 10))}, 1.5, -2, 26*26 - 14*14},
		{"L, sharp", path(t, "M 0 0 L 10 0 L 10 4 L 4 4 L 4 10 L 0 10 Z"), 1.5, 1, 12*6 + 6*6},
	} {
		got := OffsetMiter(c.r, c.d, c.limit)
		if math.Abs(got.Area()-c.area) > 1e-6 {
			t.Errorf("%s: %.9g, want %.9g: %s", c.name, got.Area(), c.area, format(got))
		}
	}
	// a loop with an edge that has no length, first, between and last
	for i := range 4 {
		l := slices.Clone(Rect(10, 10))
		l = slices.Insert(l, i, l[i])
		near(t, fmt.Sprintf("point %d twice, grown", i), Offset(Region{l}, 2).Area(), 180+4*math.Pi, 1e-6)
		near(t, fmt.Sprintf("point %d twice, shrunk", i), Offset(Region{l}, -2).Area(), 36, 1e-6)
	}
}

// TestConvexShrinks: a convex polygon moved in loses perimeter·d and gains d² for each corner by
// the cotangent of half its angle, as long as no edge is gone.
func TestConvexShrinks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 15).Draw(t, "n")
		l := make(Loop, n)
		for i := range l {
			l[i].P = Polar(10, 2*math.Pi*(float64(i)+rapid.Float64Range(-0.35, 0.35).Draw(t, "off"))/float64(n))
		}
		if l.Area() <= 0 || !Convex(points(l)) {
			t.Skip()
		}
		d := rapid.Float64Range(0.001, 0.4/float64(n)).Draw(t, "d")
		want := l.Area() - l.Length()*d
		for i := range l {
			u, v := l.Edge(i-1).EndTangent(), l.Edge(i).StartTangent()
			want += d * d * math.Tan(math.Atan2(u.Cross(v), u.Dot(v))/2)
		}
		got := Offset(Region{l}, -d)
		if math.Abs(got.Area()-want) > 1e-8 || len(got) != 1 || len(got[0]) != n {
			t.Fatalf("%s moved in by %g: %.9g in %s, want %.9g", format(Region{l}), d, got.Area(), format(got), want)
		}
		for _, k := range []float64{0.2, 0.5, 0.9, 1.1} { // until only its middle is left, and beyond
			in, cut := Offset(Region{l}, -10*k), Region{l}
			for _, e := range l.Edges() {
				out := e.StartTangent().Perp().Neg()
				cut = Clip(cut, HalfPlane{out, out.Dot(e.From) - float64(10*k)})
			}
			if math.Abs(in.Area()-cut.Area()) > 1e-6 {
				t.Fatalf("%s moved in by %g: %g, cut edge by edge %g", format(Region{l}), 10*k, in.Area(), cut.Area())
			}
		}
	})
}

func points(l Loop) []Point {
	var p []Point
	for _, v := range l {
		p = append(p, v.P)
	}
	return p
}

func TestAcross(t *testing.T) {
	for _, c := range []struct {
		name string
		r    Region
		want float64
	}{
		{"disc", Region{Circle(10)}, 10},
		{"rectangle", Region{Rect(9, 4)}, 4},
		{"ring", Region{Circle(20), hole(Circle(12))}, 4},
		{"two, the wider told", Region{Rect(3, 3), at(Rect(5, 8), 30, 0)}, 5},
		{"triangle", Region{Ngon(3, 6)}, 6},
		{"none", nil, 0},
	} {
		if got := c.r.Across(); math.Abs(got-c.want) > 0.01 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}

// TestEmptyAndFlat: what is answered of what has no points, no area or no length.
func TestEmptyAndFlat(t *testing.T) {
	if c := (Loop{}).Centroid(); c != (Point{}) {
		t.Errorf("centroid of nothing: %v", c)
	}
	flat := Loop{{P: Point{2, 3}}, {P: Point{8, 3}}}
	if c := flat.Centroid(); c != (Point{2, 3}) {
		t.Errorf("centroid of a line: %v", c)
	}
	if c := (Region{flat, {}}).Centroid(); c != (Point{}) {
		t.Errorf("centroid of a line's region: %v", c)
	}
	both := Region{at(Rect(2, 2), 5, 0), {}, at(Rect(2, 2), 9, 4), hole(at(Rect(1, 1), 9, 4))}
	if c := both.Centroid(); !c.Near(Point{(4*5 + 3*9) / 7.0, 12 / 7.0}, 1e-12) {
		t.Errorf("centroid of two: %v", c)
	}
	if d, on := (Region{}).DistanceTo(Point{1, 2}); !math.IsInf(d, 1) || on != (Point{}) {
		t.Errorf("distance to nothing: %v at %v", d, on)
	}
	if a := (Loop{{P: Point{1, 1}}}).Area(); a != 0 {
		t.Errorf("area of a point: %v", a)
	}
	if Ngon(2, 10) != nil || Ngon(-1, 10) != nil {
		t.Error("a polygon of two corners")
	}
	line := Edge{From: Point{0, 0}, To: Point{10, 0}}
	if !line.Straight() || !math.IsInf(line.Radius(), 1) || line.Mid() != (Point{5, 0}) || line.Sweep() != 0 {
		t.Errorf("a straight edge: radius %v, middle %v", line.Radius(), line.Mid())
	}
	bow := Edge{Point{0, 0}, Point{10, 0}, 0.3}
	if bow.PointAt(1) != bow.To || bow.PointAt(0) != bow.From || bow.PointAt(2) != bow.To || bow.Straight() {
		t.Errorf("a bow ends at %v, %v", bow.PointAt(0), bow.PointAt(1))
	}
	if i := (Interval{2, 7.5}); i.Len() != 5.5 {
		t.Errorf("%v is %v long", i, i.Len())
	}
	for want, s := range map[string]Side{"on": On, "inside": Inside, "outside": Outside} {
		if s.String() != want {
			t.Errorf("%v, want %s", s, want)
		}
	}
	if got := (Loop(nil)).Transform(Rotate(1)); got != nil {
		t.Errorf("no loop turned: %v", got)
	}
	if got := (Region)(nil).Transform(Rotate(1)); got != nil {
		t.Errorf("no region turned: %v", got)
	}
	if got := Chords(Region{Rect(2, 2)}, Point{}, Point{}); got != nil {
		t.Errorf("chords of no line: %v", got)
	}
}

// TestLocateEitherWay: a loop surrounds the same area whichever way it runs.
func TestLocateEitherWay(t *testing.T) {
	for _, l := range []Loop{Rect(10, 4), Circle(6), Slot(20, 6)} {
		for _, p := range []Point{{}, {2.5, 1.5}, {4.9, 1.9}, {5, 0}, {0, 3}, {9, 0}, {-9.9, 0}, {30, 1}} {
			if a, b := l.Locate(p), l.Reversed().Locate(p); a != b || a != (Region{l}).Locate(p) {
				t.Errorf("%v in %s: %v, the other way %v", p, format(Region{l}), a, b)
			}
		}
	}
}

// TestToldOfOutlines: how the mistakes of outlines read.
func TestToldOfOutlines(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{Check(Loop{{P: Point{0, 0}}}), "an outline needs two edges or more, has 1"},
		{Check(path(t, "M 0 0 L 10 0 L 10 0 L 0 10 Z")[0]), "edge 2 has no length, at (10.000, 0.000)"},
		{Check(Loop{{P: Point{0, 0}}, {P: Point{1, math.Inf(1)}}, {P: Point{0, 1}}}), "point 2 is not a number: (1, +Inf), bulge 0"},
		{&TooMuchError{"edges meet", 7}, "more than 7 edges meet"},
		{&CornerError{Corner: 1, What: "round", Size: 2, Reason: "the edges fold back on each other"}, "round 2.000 mm at point 2: the edges fold back on each other"},
	} {
		if c.err == nil || c.err.Error() != c.want {
			t.Errorf("got %v, want %s", c.err, c.want)
		}
	}
	_, _, err := Polygon([]Corner{{P: Point{0, 0}, Arc: 9, Through: &Point{5, -2}}, {P: Point{10, 0}}, {P: Point{5, 8}}})
	if err == nil || !strings.Contains(err.Error(), "has both a radius and a point to pass through") {
		t.Errorf("%v", err)
	}
}

// TestWithin: what gives up is told, what panics otherwise still does.
func TestWithin(t *testing.T) {
	if err := Within(func() {}); err != nil {
		t.Error(err)
	}
	var much *TooMuchError
	if err := Within(func() { count(5, 4, "loops") }); !errors.As(err, &much) || much.Limit != 4 {
		t.Error(err)
	}
	if err := Within(func() { count(4, 4, "loops") }); err != nil {
		t.Error(err)
	}
	defer func() {
		if recover() != "else" {
			t.Error("another panic is swallowed")
		}
	}()
	_ = Within(func() { panic("else") })
}
