package plane

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestClosedForms(t *testing.T) {
	cap := Loop{{Point{-3, 4}, -1 / 3.0}, {P: Point{3, 4}}} // clockwise: the cap of a circle of radius 5 above y = 4
	for _, c := range []struct {
		name         string
		l            Loop
		area, length float64
		c            Point
		box          Box
	}{
		{"rectangle", at(Rect(4, 2), 3, 1), 8, 12, Point{3, 1}, Box{Point{1, 0}, Point{5, 2}}},
		{"circle", at(Circle(10), 1, 2), 25 * math.Pi, 10 * math.Pi, Point{1, 2}, Box{Point{-4, -3}, Point{6, 7}}},
		{"slot", Slot(30, 10), 200 + 25*math.Pi, 40 + 10*math.Pi, Point{}, Box{Point{-15, -5}, Point{15, 5}}},
		{"hexagon", Ngon(6, 2), 6 / math.Sqrt(3), 12 / math.Sqrt(3), Point{}, Box{Point{-2 / math.Sqrt(3), -1}, Point{2 / math.Sqrt(3), 1}}},
		{"half disc", Loop{{P: Point{-3, 0}}, {Point{3, 0}, 1}}, 4.5 * math.Pi, 6 + 3*math.Pi, Point{0, 4 / math.Pi}, Box{Point{-3, 0}, Point{3, 3}}},
		{"cap, clockwise", cap, -(25*math.Asin(0.6) - 12), 10*math.Asin(0.6) + 6,
			Point{0, 216 / (12 * (25*math.Asin(0.6) - 12))}, Box{Point{-3, 4}, Point{3, 5}}},
	} {
		near(t, c.name+" area", c.l.Area(), c.area, 1e-12*math.Abs(c.area)*10)
		near(t, c.name+" length", c.l.Length(), c.length, 1e-12*c.length)
		near(t, c.name+" centroid", c.l.Centroid().Dist(c.c), 0, 1e-11)
		b := c.l.Bounds()
		near(t, c.name+" bounds", b.Min.Dist(c.box.Min)+b.Max.Dist(c.box.Max), 0, 1e-12)
		near(t, c.name+" backwards", c.l.Reversed().Area(), -c.area, 1e-11*math.Abs(c.area))
		near(t, c.name+" mirrored", c.l.Transform(MirrorX()).Area(), c.area, 1e-11*math.Abs(c.area))
	}
	// The series for flat arcs meets the closed form where they part.
	for _, b := range []float64{0.0999999, 0.1000001, 1e-3, 1e-6} {
		e := Edge{Point{0, 0}, Point{2, 0}, b}
		q := math.Atan(b)
		r := e.Radius()
		near(t, "segment", e.segmentArea(), r*r/2*(4*q-math.Sin(4*q)), 1e-9*r*r*1e-6+1e-13)
	}
}

func TestEdges(t *testing.T) {
	e := Edge{Point{5, 0}, Point{0, 5}, math.Tan(math.Pi / 8)}
	near(t, "radius", e.Radius(), 5, 1e-12)
	near(t, "centre", e.Center().Len(), 0, 1e-12)
	near(t, "sweep", e.Sweep(), math.Pi/2, 1e-12)
	near(t, "start", e.StartTangent().Dist(Point{0, 1}), 0, 1e-12)
	near(t, "end", e.EndTangent().Dist(Point{-1, 0}), 0, 1e-12)
	near(t, "third", e.PointAt(1.0/3).Dist(Polar(5, math.Pi/6)), 0, 1e-12)
	a, b := e.Split(0.25)
	near(t, "split", a.Len()-e.Len()/4, 0, 1e-12)
	near(t, "rest", b.Radius(), 5, 1e-12)
	near(t, "nearest", e.Nearest(Point{3, 3}).Dist(Polar(5, math.Pi/4)), 0, 1e-12)
	near(t, "nearest past the end", e.Nearest(Point{9, -4}).Dist(e.From), 0, 0)
}

func TestLocate(t *testing.T) {
	r := Region{Slot(30, 10), hole(Circle(6))}
	for _, c := range []struct {
		p    Point
		want Side
	}{
		{Point{0, 0}, Outside}, {Point{0, 3}, On}, {Point{0, 4}, Inside}, {Point{0, 5}, On}, {Point{0, 5 + 5e-8}, On}, {Point{0, 6}, Outside},
		{Point{-14.9, 0}, Inside}, {Point{-15, 0}, On}, {Point{-16, 0}, Outside}, {Point{-20, 5}, Outside}, {Point{-20, -5}, Outside},
		{Point{14, 4}, Outside}, {Point{10, 4.9}, Inside}, {Point{-10, 0}, Inside}, {Point{10, 0}, Inside},
	} {
		if got := r.Locate(c.p); got != c.want {
			t.Errorf("%v is %v, want %v", c.p, got, c.want)
		}
	}
}

func TestOrientIsExact(t *testing.T) {
	a, b := Point{0.1, 0.1}, Point{0.3, 0.3}
	if Orient(a, b, Point{12, 12}) != 0 || Orient(a, b, Point{12, math.Nextafter(12, 13)}) != 1 || Orient(a, b, Point{12, math.Nextafter(12, 11)}) != -1 {
		t.Error("points one bit off a line are not told apart")
	}
	if Orient(Point{}, Point{1, math.NaN()}, Point{0, 1}) != 0 || Orient(Point{}, Point{math.Inf(1), 0}, Point{0, 1}) != 0 {
		t.Error("bad numbers must answer 0")
	}
}

func TestChords(t *testing.T) {
	comb := path(t, "M 0 0 L 10 0 L 10 6 L 8 6 L 8 2 L 6 2 L 6 6 L 4 6 L 4 2 L 2 2 L 2 6 L 0 6 Z")
	for _, c := range []struct {
		name string
		got  []Interval
		want []Interval
	}{
		{"through the teeth", ChordsAt(comb, 4), []Interval{{0, 2}, {4, 6}, {8, 10}}},
		{"along the roots", ChordsAt(comb, 2), []Interval{{0, 10}}},
		{"through the back", ChordsAt(comb, 1), []Interval{{0, 10}}},
		{"above", ChordsAt(comb, 7), nil},
		{"ring", ChordsAt(Region{Circle(20), hole(Circle(10))}, 3), []Interval{{-math.Sqrt(91), -4}, {4, math.Sqrt(91)}}},
		{"corner only", Chords(Region{Rect(2, 2)}, Point{0, 2}, Point{1, -1}), nil},
		{"slanting", Chords(Region{Rect(2, 2)}, Point{0, 0}, Point{5, 5}), []Interval{{-math.Sqrt2, math.Sqrt2}}},
	} {
		ok := len(c.got) == len(c.want)
		for i := range c.want {
			ok = ok && math.Abs(c.got[i].From-c.want[i].From)+math.Abs(c.got[i].To-c.want[i].To) < 1e-12
		}
		if !ok {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name string
		l    Loop
		kind any
	}{
		{"bow tie", path(t, "M 0 0 L 10 10 L 10 0 L 0 10 Z")[0], new(*CrossingError)},
		{"vertex on edge", path(t, "M 0 0 L 10 0 L 10 10 L 5 0 L 0 10 Z")[0], new(*CrossingError)},
		{"vertex on vertex", path(t, "M 0 0 L 10 0 L 5 5 L 10 10 L 0 10 L 5 5 Z")[0], new(*CrossingError)},
		{"arc through edge", path(t, "M 0 0 L 10 0 L 10 4 A 5 5 0 0 0 0 4 Z")[0], new(*CrossingError)},
		{"there and back", Loop{{P: Point{0, 0}}, {P: Point{9, 0}}}, new(*CrossingError)},
		{"spike", path(t, "M 0 0 L 10 0 L 4 0 L 4 9 Z")[0], new(*CrossingError)},
		{"infinite", Loop{{P: Point{0, 0}}, {P: Point{math.Inf(1), 0}}, {P: Point{0, 1}}}, new(*BadNumberError)},
		{"one point", Loop{{P: Point{0, 0}}}, new(*ShortError)},
		{"repeated", path(t, "M 0 0 L 10 0 L 10 0 L 0 10 Z")[0], new(*ShortError)},
	} {
		if err := Check(c.l); err == nil || !errors.As(err, c.kind) {
			t.Errorf("%s: got %v, want %T", c.name, err, c.kind)
		}
	}
	for _, l := range []Loop{Rect(3, 4), Circle(5), Slot(30, 10), Ngon(7, 20)} {
		if err := Check(l); err != nil {
			t.Errorf("%s: %v", format(Region{l}), err)
		}
	}
	err := Check(path(t, "M 0 0 L 10 10 L 10 0 L 0 10 Z")[0])
	if want := "the outline crosses itself at (5.000, 5.000), edges 1 and 3"; err.Error() != want {
		t.Errorf("got %q, want %q", err, want)
	}
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		name string
		a, b Region
		want float64
	}{
		{"squares", Region{Rect(2, 2)}, Region{at(Rect(2, 2), 5, 6)}, 5},
		{"circles", Region{Circle(2)}, Region{at(Circle(4), 6, 8)}, 7},
		{"hole in plate", Region{Rect(20, 20)}, Region{at(Circle(4), 5, 1)}, 3},
		{"circle in circle", Region{Circle(20)}, Region{at(Circle(4), 3, 4)}, 3},
		{"crossing", Region{Rect(2, 2)}, Region{at(Circle(2), 1, 0)}, 0},
		{"touching", Region{Rect(2, 2)}, Region{at(Circle(2), 2, 0)}, 0},
		{"none", nil, Region{Circle(2)}, math.Inf(1)},
	} {
		d, p, q := Distance(c.a, c.b)
		if d != c.want && math.Abs(d-c.want) > 1e-12 {
			t.Errorf("%s: %g, want %g", c.name, d, c.want)
		}
		if !math.IsInf(d, 1) {
			near(t, c.name+" points", p.Dist(q), d, 1e-12)
		}
	}
}

func TestFlatten(t *testing.T) {
	for _, tol := range []float64{1, 0.1, 0.01, 1e-4} {
		for _, e := range []Edge{{Point{5, 0}, Point{-5, 0}, 1}, {Point{0, 0}, Point{100, 3}, -0.3}} {
			l := Loop{{e.From, e.Bulge}, {P: e.To}}
			p := Flatten(l, tol)
			for i := 0; i+1 < len(p); i++ {
				m := p[i].Lerp(p[i+1], 0.5)
				if m.Dist(e.Nearest(m)) > tol*(1+1e-9) {
					t.Errorf("tolerance %g: a chord is %g off", tol, m.Dist(e.Nearest(m)))
				}
			}
		}
	}
	if n := len(Flatten(Circle(10), 0)); n != 2*maxFlatten {
		t.Errorf("tolerance 0 gives %d points", n)
	}
}

func TestCongruent(t *testing.T) {
	for _, c := range []struct {
		name             string
		l                Loop
		turned, mirrored int
	}{
		{"square", Rect(10, 10), 4, 4},
		{"rectangle", Rect(10, 4), 2, 2},
		{"circle", Circle(10), 2, 2},
		{"hexagon", Ngon(6, 10), 6, 6},
		{"L", path(t, "M 0 0 L 10 0 L 10 4 L 4 4 L 4 9 L 0 9 Z")[0], 1, 0},
		{"even L", path(t, "M 0 0 L 10 0 L 10 4 L 4 4 L 4 10 L 0 10 Z")[0], 1, 1},
		{"arc on one side", path(t, "M 0 0 L 10 0 L 10 10 A 5 5 0 0 1 0 10 Z")[0], 1, 1},
	} {
		m := Rotate(0.7).Then(Translate(Point{12, -5}))
		b := c.l.Transform(m)
		if n := len(slices.Collect(Congruent(c.l, b, 1e-6, false))); n != c.turned {
			t.Errorf("%s: %d motions, want %d", c.name, n, c.turned)
		}
		if n := len(slices.Collect(Congruent(c.l, b, 1e-6, true))); n != c.mirrored {
			t.Errorf("%s: %d mirror maps, want %d", c.name, n, c.mirrored)
		}
		mirror := MirrorX().Then(m)
		maps := slices.Collect(Congruent(c.l, c.l.Transform(mirror), 1e-6, true))
		if len(maps) != c.turned {
			t.Errorf("%s mirrored: %d maps, want %d", c.name, len(maps), c.turned)
		}
		found := false
		for _, k := range maps {
			if !k.Rigid(1e-12) || k.Det() > 0 {
				t.Errorf("%s: %v does not mirror", c.name, k)
			}
			p := Point{3, 1}
			found = found || k.Apply(p).Near(mirror.Apply(p), 1e-9)
		}
		if !found {
			t.Errorf("%s: the map used is not among %v", c.name, maps)
		}
	}
	if slices.Collect(Congruent(Rect(10, 4), Rect(10, 4.1), 0.01, false)) != nil {
		t.Error("unlike rectangles taken as alike")
	}
}

func TestAffine(t *testing.T) {
	m := Rotate(0.3).Then(Translate(Point{3, 4})).Then(MirrorLine(Point{1, 1}, Point{2, 1}))
	inv, err := m.Inverse()
	if err != nil {
		t.Fatal(err)
	}
	p := Point{7, -2}
	near(t, "there and back", inv.Apply(m.Apply(p)).Dist(p), 0, 1e-12)
	near(t, "determinant", m.Det(), -1, 1e-12)
	near(t, "fixed point", MirrorLine(Point{1, 1}, Point{2, 1}).Apply(Point{5, 3}).Dist(Point{5, 3}), 0, 1e-12)
	if !m.Rigid(1e-12) || (Affine{A: 2, D: 1}).Rigid(1e-6) {
		t.Error("rigid maps are not told from others")
	}
	if _, err := (Affine{A: 1, B: 2, C: 2, D: 4}).Inverse(); err == nil {
		t.Error("a flat map has no inverse")
	}
	h := HalfPlane{Point{0, 1}, 5}
	near(t, "half-plane", h.Transform(m).Dist(m.Apply(p)), h.Dist(p), 1e-12)
}

// Rigid maps commute with the booleans.
func TestBooleanMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := Region{simpleOutline(t, "a", 1)}, Region{simpleOutline(t, "b", 1)}
		m := Rotate(rapid.Float64Range(0, 7).Draw(t, "turn")).Then(Translate(Point{rapid.Float64Range(-900, 900).Draw(t, "x"), 40}))
		if rapid.Bool().Draw(t, "mirror") {
			m = MirrorX().Then(m)
		}
		for k, op := range []func(a, b Region) Region{Union, Intersect, Subtract} {
			x, y := op(a, b).Transform(m), op(a.Transform(m), b.Transform(m))
			if math.Abs(x.Area()-y.Area()) > 1e-4 || math.Abs(x.Length()-y.Length()) > 1e-2 {
				t.Fatalf("operation %d: %.9g and %.9g\n%s\n%s", k, x.Area(), y.Area(), format(a), format(b))
			}
		}
	})
}

func TestComponents(t *testing.T) {
	r := Region{Rect(20, 20), Rect(4, 4), hole(Rect(12, 12)), at(Circle(10), 50, 0), hole(at(Circle(4), 50, 0)), hole(Circle(1))}
	c := r.Components()
	if len(c) != 3 || len(c[0]) != 2 || len(c[1]) != 2 || len(c[2]) != 2 {
		t.Fatalf("%v", c)
	}
	near(t, "frame", c[0].Area(), 256, 1e-9)
	near(t, "island", c[1].Area(), 16-math.Pi/4, 1e-9)
	near(t, "washer", c[2].Area(), math.Pi*21, 1e-9)
}

// Vertices of the input that survive keep their coordinates, and bad input does no harm.
func TestBooleanKeepsVertices(t *testing.T) {
	a := Region{at(Rect(10.123456789, 7), 0.1, 0.2)}
	got := Subtract(a, Region{at(Rect(4, 4), 0, 4)})
	for _, v := range a[0] {
		found := false
		for _, l := range got {
			for _, w := range l {
				found = found || w.P == v.P
			}
		}
		if !found {
			t.Errorf("vertex %v is lost: %s", v.P, format(got))
		}
	}
	bad := Region{{{P: Point{math.NaN(), 0}}, {P: Point{1, math.Inf(-1)}}, {P: Point{0, 1}}}, nil, {{P: Point{1, 1}}}}
	near(t, "with bad loops", Union(a, bad).Area(), a.Area(), 1e-12)
	near(t, "offset of bad loops", Offset(bad, 1).Area(), 0, 0)
	near(t, "clip of bad loops", Clip(bad, HalfPlane{Point{1, 0}, 0}).Area(), 0, 0)
	all := UnionAll(a, nil, Region{at(Rect(1, 1), 50, 0)}, Region{at(Rect(1, 1), 51, 0)})
	near(t, "union of all", all.Area(), a.Area()+2, 1e-9)
}

func ExampleSubtract() {
	plate := Region{Rect(100, 60)}
	holes := Region{Slot(40, 12)}
	got := Subtract(plate, holes)
	fmt.Printf("%d loops, %.2f mm²\n", len(got), got.Area())
	// Output: 2 loops, 5550.90 mm²
}

// A box with nothing in it is empty whichever of its sides is turned round, holds no point and
// grows by what is added; a turned box is that of its corners.
func TestBoxes(t *testing.T) {
	b := Box{Min: Point{1, 2}, Max: Point{5, 4}}
	for _, e := range []Box{EmptyBox(), {Min: Point{1, 2}, Max: Point{0, 4}}, {Min: Point{1, 2}, Max: Point{5, 1}}} {
		if !e.Empty() || e.Overlaps(b) {
			t.Errorf("%v is not empty", e)
		}
	}
	if b.Empty() || EmptyBox().With(Point{1, 2}).With(Point{5, 4}) != b || EmptyBox().Union(b) != b {
		t.Errorf("%v", EmptyBox().Union(b))
	}
	for _, p := range []Point{{0.9, 3}, {5.1, 3}, {3, 1.9}, {3, 4.1}} {
		if b.Holds(p) || !b.Grow(0.2).Holds(p) {
			t.Errorf("%v in %v: %v", p, b, b.Holds(p))
		}
		o := Box{Min: p, Max: p}
		if b.Overlaps(o) || !b.Grow(0.2).Overlaps(o) {
			t.Errorf("%v over %v: %v", o, b, b.Overlaps(o))
		}
	}
	if !b.Holds(Point{1, 2}) || !b.Holds(Point{5, 4}) || b.Size() != (Point{4, 2}) || b.Center() != (Point{3, 3}) {
		t.Errorf("%v holds its corners %v %v", b, b.Size(), b.Center())
	}
	got := b.Transform(Rotate(math.Pi / 2))
	if !got.Min.Near(Point{-4, 1}, 1e-12) || !got.Max.Near(Point{-2, 5}, 1e-12) {
		t.Errorf("turned a quarter: %v", got)
	}
	got = b.Transform(Rotate(math.Pi / 4))
	if s := got.Size(); math.Abs(s.X-6/math.Sqrt2) > 1e-12 || math.Abs(s.Y-6/math.Sqrt2) > 1e-12 {
		t.Errorf("turned half of that: %v", got)
	}
}
