package plane

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawEdge draws a straight edge or an arc of up to half a turn, on a field of 20 × 20.
func drawEdge(t *rapid.T) Edge {
	at := func(name string) Point {
		return Point{rapid.Float64Range(-10, 10).Draw(t, name+"x"), rapid.Float64Range(-10, 10).Draw(t, name+"y")}
	}
	e := Edge{From: at("from "), To: at("to ")}
	if rapid.Bool().Draw(t, "bowed") {
		e.Bulge = rapid.Float64Range(-1, 1).Draw(t, "bulge")
	}
	if e.Chord() < 0.1 || math.Abs(e.Bulge) < 1e-3 {
		e.Bulge = 0
	}
	return e
}

const samples = 400

// nearestOf looks for the point of an edge nearest to p among many of it.
func nearestOf(e Edge, p Point) float64 {
	d := math.Inf(1)
	for i := range samples + 1 {
		d = min(d, e.PointAt(float64(i)/samples).Dist(p))
	}
	return d
}

// TestDistancesBySampling holds the nearest point, and the least distance of two edges, to
// points taken along them: none is nearer, one is about as near, and what is answered lies on
// the edges.
func TestDistancesBySampling(t *testing.T) {
	const exact = 1e-9 // of rounding, on a field of 20 × 20; an edge may be shorter than that
	slack := func(e Edge) float64 { return e.Len()/samples + exact }
	on := func(e Edge, p Point) bool { return nearestOf(e, p) <= slack(e) }
	rapid.Check(t, func(t *rapid.T) {
		e, f := drawEdge(t), drawEdge(t)
		p := Point{rapid.Float64Range(-20, 20).Draw(t, "px"), rapid.Float64Range(-20, 20).Draw(t, "py")}
		q := e.Nearest(p)
		if d, want := q.Dist(p), nearestOf(e, p); d > want+exact || d < want-slack(e) || !on(e, q) {
			t.Fatalf("nearest to %v on %v: %v, %g away; a look finds %g", p, e, q, d, want)
		}
		want := math.Inf(1)
		for i := range samples + 1 {
			want = min(want, f.PointAt(float64(i)/samples).Dist(e.Nearest(f.PointAt(float64(i)/samples))))
		}
		d, a, b := e.Distance(f)
		if d > want+exact || d < want-slack(f) || math.Abs(a.Dist(b)-d) > exact || !on(e, a) || !on(f, b) {
			t.Fatalf("%v to %v: %g between %v and %v; a look finds %g", e, f, d, a, b, want)
		}
		if back, _, _ := f.Distance(e); math.Abs(back-d) > exact {
			t.Fatalf("%v to %v: %g one way, %g the other", e, f, d, back)
		}
		if got := EdgeDistance([]Edge{f, {From: Point{90, 90}, To: Point{91, 90}}}, []Edge{{From: Point{-90, 90}, To: Point{-91, 90}}, e}); math.Abs(got-d) > exact {
			t.Fatalf("among others: %g, want %g", got, d)
		}
	})
}

// TestEdgesByHand: distances of edges whose shortest way is told by a picture.
func TestEdgesByHand(t *testing.T) {
	half := func(cx, cy, r, bulge float64) Edge { return Edge{Point{cx - r, cy}, Point{cx + r, cy}, bulge} }
	line := func(x, y, u, v float64) Edge { return Edge{From: Point{x, y}, To: Point{u, v}} }
	for _, c := range []struct {
		name string
		e, f Edge
		want float64
	}{
		{"a bow below a line", half(0, 0, 5, 1), line(-9, -8, 9, -8), 3}, // bulge 1: below its chord
		{"a bow above, the line below: its ends", half(0, 0, 5, -1), line(-9, -8, 9, -8), 8},
		{"two bows towards each other", half(0, 0, 5, -1), half(0, 20, 4, 1), 11},
		{"two bows away from each other", half(0, 0, 5, 1), half(0, 20, 4, -1), math.Hypot(1, 20)},
		{"one within the other", half(0, 0, 9, 1), half(0, 0, 4, 1), 5},
		{"one within the other, off its middle", half(0, 0, 9, 1), half(0, -2, 4, 1), 3},
		{"crossing bows", half(0, 0, 5, 1), half(3, 0, 5, 1), 0},
		{"a line through a bow", line(0, 0, 0, -9), half(0, 0, 5, 1), 0},
		{"a line that ends within a bow", line(0, 0, 0, -2), half(0, 0, 5, 1), 3},
		{"lines side by side", line(0, 0, 10, 0), line(3, 2, 30, 2), 2},
		{"lines end to end", line(0, 0, 10, 0), line(13, 4, 20, 4), 5},
		{"lines that would cross farther on", line(0, 0, 10, 0), line(5, 1, 5, 8), 1},
		{"lines that cross", line(0, 0, 10, 0), line(5, -1, 5, 8), 0},
		{"a point and a line", line(2, 3, 2, 3), line(0, 0, 10, 0), 3},
	} {
		got, _, _ := c.e.Distance(c.f)
		near(t, c.name, got, c.want, 1e-12)
		got, _, _ = c.f.Distance(c.e)
		near(t, c.name+", the other way", got, c.want, 1e-12)
		if got := EdgeDistance([]Edge{c.e}, []Edge{c.f}); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %g among edges, want %g", c.name, got, c.want)
		}
	}
	if d := EdgeDistance(nil, []Edge{line(0, 0, 1, 0)}); !math.IsInf(d, 1) {
		t.Errorf("no edges are %g away", d)
	}
	mid := half(0, 0, 5, 1)
	if got := mid.Nearest(Point{}); got.Dist(Point{0, -5}) > 1e-12 {
		t.Errorf("of a bow's own centre all points are as near: its middle is answered, not %v", got)
	}
	if got := mid.Nearest(Point{-1, 3}); got != mid.From {
		t.Errorf("behind a bow its nearer end is nearest, not %v", got)
	}
	if got := mid.Nearest(Point{1, 3}); got != mid.To {
		t.Errorf("behind a bow its nearer end is nearest, not %v", got)
	}
	if got := line(2, 3, 2, 3).Nearest(Point{9, 9}); got != (Point{2, 3}) {
		t.Errorf("an edge without length has one point, not %v", got)
	}
}

// TestCirclesMeet: where lines and circles meet, by the 3-4-5 triangle, and how often where
// they only touch.
func TestCirclesMeet(t *testing.T) {
	circle := func(x, y, r float64) *seg {
		var s seg
		s.set(Edge{Point{x - r, y}, Point{x + r, y}, 1})
		return &s
	}
	line := func(a, b Point) *seg {
		var s seg
		s.set(Edge{From: a, To: b})
		return &s
	}
	for _, c := range []struct {
		name string
		s, t *seg
		want []Point
	}{
		{"a chord 3 from the middle", line(Point{-9, 3}, Point{9, 3}), circle(0, 0, 5), []Point{{-4, 3}, {4, 3}}},
		{"a tangent", line(Point{-9, 5}, Point{9, 5}), circle(0, 0, 5), []Point{{0, 5}}},
		{"a tangent from inside by less than is seen", line(Point{-9, 5 - Tol/2}, Point{9, 5 - Tol/2}), circle(0, 0, 5), []Point{{0, 5}}},
		{"past it", line(Point{-9, 5.1}, Point{9, 5.1}), circle(0, 0, 5), nil},
		{"circles 8 apart", circle(0, 0, 5), circle(8, 0, 5), []Point{{4, -3}, {4, 3}}},
		{"circles of unlike size", circle(0, 0, 4), circle(5, 0, 3), []Point{{3.2, -2.4}, {3.2, 2.4}}},
		{"touching outside", circle(0, 0, 5), circle(8, 0, 3), []Point{{5, 0}}},
		{"touching inside", circle(0, 0, 5), circle(2, 0, 3), []Point{{5, 0}}},
		{"touching inside, the smaller first", circle(2, 0, 3), circle(0, 0, 5), []Point{{5, 0}}},
		{"apart", circle(0, 0, 5), circle(9, 0, 3), nil},
		{"one within the other", circle(0, 0, 5), circle(1, 0, 3), nil},
		{"one and the same", circle(0, 0, 5), circle(0, 0, 5), nil},
		{"about one middle", circle(0, 0, 5), circle(0, 0, 4), nil},
	} {
		var xs [2]Point
		n := 0
		if c.s.bulge == 0 {
			n = crossLineArc(c.s, c.t, Tol, &xs)
		} else {
			n = crossArcs(c.s, c.t, Tol, &xs)
		}
		if n != len(c.want) {
			t.Errorf("%s: %d points %v, want %v", c.name, n, xs[:n], c.want)
			continue
		}
		for i, w := range c.want {
			if !xs[i].Near(w, 1e-6) {
				t.Errorf("%s: %v, want %v", c.name, xs[:n], c.want)
			}
		}
	}
}
