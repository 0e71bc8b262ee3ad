package plane

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g", what, got, want)
	}
}

func pts(xy ...float64) []Corner {
	var c []Corner
	for i := 0; i < len(xy); i += 2 {
		c = append(c, Corner{P: Point{xy[i], xy[i+1]}})
	}
	return c
}

func backwards(c []Corner) []Corner {
	n := len(c)
	out := make([]Corner, n)
	for i := range c {
		out[i] = c[n-1-i]
		from := c[(2*n-2-i)%n] // the edge that left the point before now leaves this one, the other way
		out[i].Arc, out[i].Through, out[i].Edge = from.Arc, from.Through, from.Edge
	}
	return out
}

func TestPolygonAreas(t *testing.T) {
	quarter := 1 - math.Pi/4 // area a round of radius 1 takes off a square corner
	square := func(f func(c []Corner)) []Corner {
		c := pts(0, 0, 10, 0, 10, 10, 0, 10)
		f(c)
		return c
	}
	for _, c := range []struct {
		name    string
		corners []Corner
		area    float64
		edges   int
	}{
		{"plain", square(func([]Corner) {}), 100, 4},
		{"one round", square(func(c []Corner) { c[1].Round = 2 }), 100 - 4*quarter, 5},
		{"rounds that use the edge up", square(func(c []Corner) { c[1].Round, c[2].Round = 5, 5 }), 100 - 50*quarter, 5},
		{"chamfer", square(func(c []Corner) { c[0].Chamfer = 3 }), 95.5, 5},
		{"convex arc", square(func(c []Corner) { c[0].Arc = 5 }), 100 + 12.5*math.Pi, 4},
		{"hollow arc", square(func(c []Corner) { c[0].Arc = -5 }), 100 - 12.5*math.Pi, 4},
		{"through, less than half a turn", square(func(c []Corner) { c[0].Through = &Point{5, -5} }), 100 + 12.5*math.Pi, 4},
		{"through, hollow", square(func(c []Corner) { c[0].Through = &Point{5, 5} }), 100 - 12.5*math.Pi, 4},
		{"through, three quarters of a circle", square(func(c []Corner) { c[0].Through = &Point{5, -5 - math.Sqrt(50)} }), 100 + 25 + 37.5*math.Pi, 5},
		{"through, straight", square(func(c []Corner) { c[0].Through = &Point{3, 0} }), 100, 4},
		{"concave round", func() []Corner { c := pts(0, 0, 10, 0, 10, 4, 4, 4, 4, 10, 0, 10); c[3].Round = 2; return c }(), 64 + 4*quarter, 7},
	} {
		for way, corners := range map[string][]Corner{"": c.corners, ", clockwise": backwards(c.corners)} {
			l, _, err := Polygon(corners)
			if err != nil {
				t.Errorf("%s%s: %v", c.name, way, err)
				continue
			}
			near(t, c.name+way+" area", l.Area(), c.area, 1e-9)
			if len(l) != c.edges {
				t.Errorf("%s%s: %d edges, want %d: %s", c.name, way, len(l), c.edges, format(Region{l}))
			}
		}
	}
}

// Every round must touch both its edges without a corner, whatever they are.
func TestPolygonRoundsAreTangent(t *testing.T) {
	for name, f := range map[string]func(c []Corner){
		"line line":         func(c []Corner) {},
		"line convex arc":   func(c []Corner) { c[0].Arc = 60 },
		"convex arc line":   func(c []Corner) { c[1].Arc = 60 },
		"hollow arc line":   func(c []Corner) { c[1].Arc = -60 },
		"hollow and hollow": func(c []Corner) { c[0].Arc, c[1].Arc = -60, -70 },
		"hollow and convex": func(c []Corner) { c[0].Arc, c[1].Arc = -60, 70 },
		"convex and convex": func(c []Corner) { c[0].Arc, c[1].Arc = 60, 70 },
	} {
		c := pts(0, 0, 50, 0, 50, 40, 0, 40)
		f(c)
		c[1].Round = 7
		for _, corners := range [][]Corner{c, backwards(c)} {
			l, _, err := Polygon(corners)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			found := false
			for i, e := range l.Edges() {
				if e.Bulge == 0 || math.Abs(e.Radius()-7) > 1e-9 {
					continue
				}
				found = true
				near(t, name+" enters", l.Edge(i-1).EndTangent().Cross(e.StartTangent()), 0, 1e-9)
				near(t, name+" leaves", e.EndTangent().Cross(l.Edge(i+1).StartTangent()), 0, 1e-9)
			}
			if !found {
				t.Errorf("%s: no fillet of radius 7 in %s", name, format(Region{l}))
			}
		}
	}
}

func TestPolygonNames(t *testing.T) {
	c := pts(0, 0, 10, 0, 10, 10, 0, 10)
	c[0].Edge, c[1].Edge, c[1].Round, c[2].Chamfer = "front", "right", 2, 1
	for _, corners := range [][]Corner{c, backwards(c)} {
		l, names, err := Polygon(corners)
		if err != nil {
			t.Fatal(err)
		}
		got := map[string]Edge{}
		for _, n := range names {
			if len(n.Edges) != 1 {
				t.Fatalf("%s: edges %v", n.Name, n.Edges)
			}
			got[n.Name] = l.Edge(n.Edges[0])
		}
		if want := (Edge{Point{0, 0}, Point{8, 0}, 0}); got["front"] != want {
			t.Errorf("front is %v, want %v", got["front"], want)
		}
		if want := (Edge{Point{10, 2}, Point{10, 9}, 0}); got["right"] != want {
			t.Errorf("right is %v, want %v", got["right"], want)
		}
	}
}

func TestPolygonErrors(t *testing.T) {
	with := func(f func(c []Corner)) []Corner {
		c := pts(0, 0, 10, 0, 10, 10, 0, 10)
		f(c)
		return c
	}
	for _, c := range []struct {
		corners []Corner
		text    string
		kind    any
	}{
		{pts(0, 0, 1, 1), "three points or more, has 2", new(*FewPointsError)},
		{pts(0, 0, 5, 0, 5, 0, 0, 5), "point 3 repeats", new(*RepeatedPointError)},
		{pts(0, 0, 5, 0, 9, 0), "no area", new(*NoAreaError)},
		{pts(0, 0, 9, 0, 9, 9, math.NaN(), 9), "point 4 is not a number", new(*BadNumberError)},
		{pts(0, 0, 10, 0, 10, 10, 4, -5), "crosses itself at (6.000, 0.000)", new(*CrossingError)},
		{with(func(c []Corner) { c[1].Round = 12.3 }), "round 12.300 mm at point 2 needs 12.300 mm of the edge, has 10.000 mm", new(*CornerError)},
		{with(func(c []Corner) { c[1].Round, c[2].Round = 6, 5 }), "needs 6.000 mm of the edge, has 5.000", new(*CornerError)},
		{with(func(c []Corner) { c[1].Chamfer = 11 }), "chamfer 11.000 mm at point 2 needs 11.000 mm of the edge, has 10.000 mm", new(*CornerError)},
		{with(func(c []Corner) { c[0].Arc = -4 }), "radius 4.000 mm does not reach; half the chord is 5.000 mm", new(*ArcError)},
		{with(func(c []Corner) { c[0].Through = &Point{12, 0} }), "not between", new(*ArcError)},
		{with(func(c []Corner) { c[0].Through = &Point{0, 0} }), "one of its own ends", new(*ArcError)},
		{with(func(c []Corner) { c[0].Through = &Point{10, 0} }), "one of its own ends", new(*ArcError)},
		{with(func(c []Corner) { c[0].Through = &Point{5, math.Inf(1)} }), "", new(*ArcError)},
		{with(func(c []Corner) { c[1].Round = -1 }), "must not be negative", new(*CornerError)},
		{with(func(c []Corner) { c[1].Round, c[1].Chamfer = 1, 1 }), "chamfer too", new(*CornerError)},
	} {
		_, _, err := Polygon(c.corners)
		if err == nil || !strings.Contains(err.Error(), c.text) || !errors.As(err, c.kind) {
			t.Errorf("got %v, want %T with %q", err, c.kind, c.text)
		}
	}
}

func TestRoundChamfer(t *testing.T) {
	r := Region{Rect(20, 10), hole(Rect(4, 4))}
	got, err := Round(r, 2)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rounded", got.Area(), 200-16-4*4*(1-math.Pi/4), 1e-9)
	got, err = Chamfer(r, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "chamfered", got.Area(), 200-16-4*0.5, 1e-9)
	if _, err = Round(r, 6); err == nil || !strings.Contains(err.Error(), "needs 6.000 mm of the edge, has 4.000") {
		t.Errorf("got %v", err)
	}
}

func ExamplePolygon() {
	l, names, err := Polygon([]Corner{
		{P: Point{0, 0}, Edge: "front"},
		{P: Point{100, 0}},
		{P: Point{100, 60}, Round: 20},
		{P: Point{0, 60}},
	})
	fmt.Printf("%d edges, %.2f mm², front is edge %d, %v\n", len(l), l.Area(), names[0].Edges[0], err)
	// Output: 5 edges, 5914.16 mm², front is edge 0, <nil>
}

func BenchmarkPolygon(b *testing.B) {
	c := pts(0, 0, 50, 0, 50, 40, 0, 40, -10, 20)
	for i := range c {
		c[i].Round = 3
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Polygon(c); err != nil {
			b.Fatal(err)
		}
	}
}
