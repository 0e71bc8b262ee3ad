package plane

import (
	"math"
	"slices"
	"testing"
)

// TestLinesByHand: where lines meet a disc of radius 10, a square of 20 and a slot of
// 40 × 20, and whether they may; the line is moved along v, and turned with the region.
func TestLinesByHand(t *testing.T) {
	half := math.Sqrt(75.0) // of a chord 5 from the middle of the disc
	for _, c := range []struct {
		name  string
		r     Region
		y     float64
		meets bool
		want  []Interval
	}{
		{"disc, middle", Region{Circle(20)}, 0, true, []Interval{{-10, 10}}},
		{"disc, above", Region{Circle(20)}, 5, true, []Interval{{-half, half}}},
		{"disc, below", Region{Circle(20)}, -5, true, []Interval{{-half, half}}},
		{"disc, high", Region{Circle(20)}, 9, true, []Interval{{-math.Sqrt(19), math.Sqrt(19)}}},
		{"disc, past", Region{Circle(20)}, 10.1, false, nil},
		{"disc, past below", Region{Circle(20)}, -10.1, false, nil},
		{"square", Region{Rect(20, 20)}, 3, true, []Interval{{-10, 10}}},
		{"square, past", Region{Rect(20, 20)}, 10.1, false, nil},
		{"square, past below", Region{Rect(20, 20)}, -10.1, false, nil},
		{"slot, middle", Region{Slot(40, 20)}, 0, true, []Interval{{-20, 20}}},
		{"slot, above", Region{Slot(40, 20)}, 5, true, []Interval{{-10 - half, 10 + half}}},
		{"disc with a hole", Region{Circle(20), hole(Circle(10))}, 3, true, []Interval{{-math.Sqrt(91), -4}, {4, math.Sqrt(91)}}},
		{"disc with a hole, above it", Region{Circle(20), hole(Circle(10))}, 6, true, []Interval{{-8, 8}}},
	} {
		for _, turn := range []float64{0, 0.3, 1, 2, 3, 4, 5, 6} {
			m := Rotate(turn)
			r, p, dir := c.r.Transform(m), m.Apply(Point{7, c.y}), m.Vec(Point{1, 0})
			if got := meetsLine(r, p, dir); got != c.meets {
				t.Errorf("%s, turned by %v: meets %v", c.name, turn, got)
			}
			got := Chords(r, p, dir)
			if len(got) != len(c.want) {
				t.Errorf("%s, turned by %v: %v, want %v less 7", c.name, turn, got, c.want)
				continue
			}
			for i := range got {
				near(t, c.name+" from", got[i].From, c.want[i].From-7, 1e-6)
				near(t, c.name+" to", got[i].To, c.want[i].To-7, 1e-6)
			}
		}
	}
}

// TestBoxesByHand: lines through a box of 4 × 2 at (1, 2), and boxes moved and turned.
func TestBoxesByHand(t *testing.T) {
	b := Box{Point{1, 2}, Point{5, 4}}
	s := math.Sqrt2
	for _, c := range []struct {
		p, dir   Point
		from, to float64
		ok       bool
	}{
		{Point{0, 3}, Point{1, 0}, 1, 5, true},
		{Point{0, 3}, Point{-1, 0}, -5, -1, true},
		{Point{0, 2}, Point{1, 0}, 1, 5, true},
		{Point{0, 4}, Point{1, 0}, 1, 5, true},
		{Point{0, 1.9}, Point{1, 0}, 0, 0, false},
		{Point{0, 4.1}, Point{1, 0}, 0, 0, false},
		{Point{3, 0}, Point{0, 1}, 2, 4, true},
		{Point{3, 0}, Point{0, -1}, -4, -2, true},
		{Point{0.9, 0}, Point{0, 1}, 0, 0, false},
		{Point{5.1, 0}, Point{0, 1}, 0, 0, false},
		{Point{1, 2}, Point{1 / s, 1 / s}, 0, 2 * s, true},
		{Point{5, 4}, Point{1 / s, 1 / s}, -2 * s, 0, true},
		{Point{1, 4}, Point{1 / s, -1 / s}, 0, 2 * s, true},
		{Point{0, 4}, Point{1 / s, 1 / s}, 0, 0, false},
		{Point{4, 0}, Point{1 / s, 1 / s}, 0, 0, false},
	} {
		i, ok := b.Chord(c.p, c.dir)
		if ok != c.ok {
			t.Errorf("%v %v: %v", c.p, c.dir, ok)
			continue
		}
		if ok {
			near(t, "from", i.From, c.from, 1e-12)
			near(t, "to", i.To, c.to, 1e-12)
		}
	}
	got := b.Transform(Translate(Point{10, 20}))
	if got != (Box{Point{11, 22}, Point{15, 24}}) {
		t.Errorf("moved: %v", got)
	}
	// turned by 30°: corner (x, y) comes to (x·√3/2 − y/2, x/2 + y·√3/2)
	got = b.Transform(Rotate(math.Pi / 6))
	c := math.Sqrt(3) / 2
	near(t, "left", got.Min.X, c-2, 1e-12)
	near(t, "right", got.Max.X, 5*c-1, 1e-12)
	near(t, "low", got.Min.Y, 0.5+2*c, 1e-12)
	near(t, "high", got.Max.Y, 2.5+4*c, 1e-12)
	// and by −30°: (x·√3/2 + y/2, −x/2 + y·√3/2)
	got = b.Transform(Rotate(-math.Pi / 6))
	near(t, "left", got.Min.X, c+1, 1e-12)
	near(t, "right", got.Max.X, 5*c+2, 1e-12)
	near(t, "low", got.Min.Y, -2.5+2*c, 1e-12)
	near(t, "high", got.Max.Y, -0.5+4*c, 1e-12)
	if none := (Region{}).Bounds(); !none.Empty() || !none.Transform(Translate(Point{1, 2})).Empty() {
		t.Error("no box is moved to a box")
	}
}

// TestDressedByHand: what rounds and chamfers take off convex corners and leave at hollow
// ones, of a plate with a hole, an L and shapes with arcs.
func TestDressedByHand(t *testing.T) {
	quarter := 1 - math.Pi/4
	l := Region{{{P: Point{0, 0}}, {P: Point{30, 0}}, {P: Point{30, 10}}, {P: Point{10, 10}}, {P: Point{10, 30}}, {P: Point{0, 30}}}}
	window := Region{Rect(60, 40), hole(Rect(20, 10))}
	for _, c := range []struct {
		name         string
		r            Region
		round, bevel float64 // corners that a round and a chamfer find
	}{
		{"plate", Region{Rect(60, 40)}, 4, 4},
		{"L", l, 5, 5},
		{"window", window, 4, 4},
		{"disc", Region{Circle(40)}, 0, 0},
		{"slot", Region{Slot(40, 20)}, 0, 0},
	} {
		for _, size := range []float64{0, 0.5, 2} {
			r, err := Round(c.r, size)
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			near(t, c.name+" rounded", r.Area(), c.r.Area()-c.round*quarter*size*size, 1e-9)
			if r, err = Chamfer(c.r, size); err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			near(t, c.name+" chamfered", r.Area(), c.r.Area()-c.bevel*size*size/2, 1e-9)
		}
	}
	for _, size := range []float64{-1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if r, err := Round(window, size); err == nil {
			t.Errorf("rounded by %v: %v", size, r)
		}
		if r, err := Chamfer(window, size); err == nil {
			t.Errorf("chamfered by %v: %v", size, r)
		}
	}
	for _, size := range []float64{20.1, 30} {
		if r, err := Round(Region{Rect(60, 40)}, size); err == nil {
			t.Errorf("rounded by %v: %v", size, r)
		}
	}
}

// TestDeepChordsBesideArcs: chords of a slot and of a plate with a bay, which keep a
// distance from their arcs; by circles about the arcs' centres.
func TestDeepChordsBesideArcs(t *testing.T) {
	slot := Region{Slot(60, 40)}                                         // centres at ±10, radius 20
	bay := Subtract(Region{Rect(80, 40)}, Region{at(Circle(20), 0, 20)}) // a half disc of 10 from above
	for _, c := range []struct {
		name     string
		r        Region
		y, depth float64
		want     []Interval
	}{
		{"slot, middle", slot, 0, 5, []Interval{{-25, 25}}},
		{"slot, above", slot, 9, 5, []Interval{{-22, 22}}},
		{"slot, below", slot, -12, 5, []Interval{{-19, 19}}},
		{"slot, at its edge", slot, 15.5, 5, nil},
		{"below the bay", bay, 4, 5, []Interval{{-35, 35}}},
		{"beside the bay", bay, 8, 5, []Interval{{-35, -9}, {9, 35}}},
		{"beside the bay, high", bay, 11, 5, []Interval{{-35, -12}, {12, 35}}},
		{"beside the bay, too high", bay, 15.5, 5, nil},
	} {
		for _, turn := range []float64{0, 0.7, 2, 3.5, 5} {
			m := Rotate(turn)
			got := DeepChords(c.r.Transform(m), m.Apply(Point{0, c.y}), m.Vec(Point{2, 0}), c.depth)
			if len(got) != len(c.want) {
				t.Errorf("%s, turned by %v: %v, want %v", c.name, turn, got, c.want)
				continue
			}
			for i := range got {
				near(t, c.name+" from", got[i].From, c.want[i].From, 1e-6)
				near(t, c.name+" to", got[i].To, c.want[i].To, 1e-6)
			}
		}
	}
	if DeepChords(slot, Point{}, Point{}, 5) != nil || DeepChords(slot, Point{math.NaN(), 0}, Point{1, 0}, 5) != nil {
		t.Error("chords of no line")
	}
}

// TestChordsOfBoxesByHand: a line through a box, along an axis and aslant, and one that misses.
func TestChordsOfBoxesByHand(t *testing.T) {
	b := Box{Min: Point{0, 0}, Max: Point{10, 4}}
	for n, c := range []struct {
		p, dir   Point
		from, to float64
		ok       bool
	}{
		{Point{-5, 1}, Point{1, 0}, 5, 15, true},
		{Point{-5, 5}, Point{1, 0}, 0, 0, false},
		{Point{-5, -1}, Point{1, 0}, 0, 0, false},
		{Point{12, 0}, Point{0, 1}, 0, 0, false},
		{Point{-1, 0}, Point{0, 1}, 0, 0, false},
		{Point{3, 9}, Point{0, -1}, 5, 9, true},
		{Point{-1, 0}, Point{1, 1}, 1, 4, true},
		{Point{0, 5}, Point{1, 1}, 0, 0, false},
	} {
		got, ok := b.Chord(c.p, c.dir)
		if ok != c.ok || ok && (math.Abs(got.From-c.from) > 1e-12 || math.Abs(got.To-c.to) > 1e-12) {
			t.Errorf("case %d: %v, %v", n, got, ok)
		}
	}
}

// TestQuarterTurnsAreExact: the sine of 270° in floating point is none.
func TestQuarterTurnsAreExact(t *testing.T) {
	for d, want := range map[float64]Point{0: {1, 0}, 90: {0, 1}, 180: {-1, 0}, 270: {0, -1}, 360: {1, 0}, -90: {0, -1}, 630: {0, -1}} {
		if c, s := Turned(d); c != want.X || s != want.Y {
			t.Errorf("%v°: %v, %v", d, c, s)
		}
	}
	if c, s := Turned(271); math.Abs(c-math.Sin(math.Pi/180)) > 1e-15 || math.Abs(s+math.Cos(math.Pi/180)) > 1e-15 {
		t.Errorf("271°: %v, %v", c, s)
	}
}

// TestHolesOfHoles: each hole belongs to the smallest piece around it.
func TestHolesOfHoles(t *testing.T) {
	ring := func(out, in float64) Region {
		return Subtract(Region{Rect(out, out)}, Region{Rect(in, in)})
	}
	nested := append(append(ring(100, 90), ring(80, 60)...), ring(40, 10)...)
	for _, c := range nested.Components() {
		if len(c) != 2 {
			t.Fatalf("a ring of %d loops", len(c))
		}
		o, i := c[0].Area(), -c[1].Area()
		switch {
		case math.Abs(o-10000) < 1 && math.Abs(i-8100) < 1:
		case math.Abs(o-6400) < 1 && math.Abs(i-3600) < 1:
		case math.Abs(o-1600) < 1 && math.Abs(i-100) < 1:
		default:
			t.Errorf("a ring of %v with a hole of %v", o, i)
		}
	}
}

// meetsLine tells whether the line p + t·dir passes within the reach of one of r's loops.
func meetsLine(r Region, p, dir Point) bool {
	return slices.ContainsFunc(r, func(l Loop) bool {
		i, d := Region{l}.Reach(dir), dir.Cross(p)
		return i.From <= d+Tol && i.To >= d-Tol
	})
}
