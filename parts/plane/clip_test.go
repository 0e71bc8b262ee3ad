package plane

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestClip(t *testing.T) {
	below := func(y float64) HalfPlane { return HalfPlane{Point{0, 1}, y} }
	comb := path(t, "M 0 0 L 10 0 L 10 6 L 8 6 L 8 2 L 6 2 L 6 6 L 4 6 L 4 2 L 2 2 L 2 6 L 0 6 Z")
	ring := Region{Circle(20), hole(Circle(10))}
	for _, c := range []struct {
		name         string
		r            Region
		h            HalfPlane
		area         float64
		loops, verts int
	}{
		{"square halved", Region{Rect(10, 10)}, below(0), 50, 1, 4},
		{"square kept", Region{Rect(10, 10)}, below(6), 100, 1, 4},
		{"square gone", Region{Rect(10, 10)}, below(-6), 0, 0, 0},
		{"line along the top edge", Region{Rect(10, 10)}, below(5), 100, 1, 4},
		{"line along the bottom edge", Region{Rect(10, 10)}, below(-5), 0, 0, 0},
		{"within tolerance of the top", Region{Rect(10, 10)}, below(5 - 6e-8), 100, 1, 4},
		{"comb above", comb, HalfPlane{Point{0, -1}, -4}, 12, 3, 12},
		{"comb along its roots, above", comb, HalfPlane{Point{0, -1}, -2}, 24, 3, 12},
		{"comb along its roots, below", comb, below(2), 20, 1, 4},
		{"ring halved", ring, below(0), math.Pi * 37.5, 1, 4},
		{"ring, line tangent to the hole, above", ring, HalfPlane{Point{0, -1}, -5}, 100*math.Acos(0.5) - 5*math.Sqrt(75), 1, 2},
		{"ring, hole kept", ring, below(7), math.Pi*75 - (100*math.Acos(0.7) - 7*math.Sqrt(51)), 2, 6},
		{"vertex on the line", path(t, "M 0 -5 L 5 0 L 0 5 L -5 0 Z"), below(0), 25, 1, 3},
		{"arc dips across", path(t, "M 0 0 L 10 0 A 5 5 0 0 1 0 0 Z"), HalfPlane{Point{0, 1}, 4}, math.Pi*12.5 - (25*math.Acos(0.8) - 12), 1, 4},
		{"arc ends inside", path(t, "M 0 0 L 10 0 L 10 3 A 5 5 0 0 1 0 3 Z"), below(4), 30 + 25*(math.Asin(0.2)) + 1*math.Sqrt(24), 1, 6},
	} {
		got := Clip(c.r, c.h)
		loops, verts := sizes(got)
		if math.Abs(got.Area()-c.area) > 1e-5 || loops != c.loops || verts != c.verts {
			t.Errorf("%s: area %.9g loops %d vertices %d, want %.9g %d %d: %s", c.name, got.Area(), loops, verts, c.area, c.loops, c.verts, format(got))
		}
	}
}

// A clip is the intersection with a large rectangle, and the two sides make the whole.
func TestClipAgreesWithBoolean(t *testing.T) {
	for _, grid := range []float64{0, 2} {
		rapid.Check(t, func(t *rapid.T) {
			r := Subtract(Region{simpleOutline(t, "a", grid)}, Region{simpleOutline(t, "h", grid)})
			n := Polar(1, rapid.Float64Range(0, 7).Draw(t, "angle"))
			d := rapid.Float64Range(-10, 10).Draw(t, "d")
			if grid > 0 {
				n, d = Point{0, 1}, math.Round(d)
			}
			h := HalfPlane{n, d}
			in, out := Clip(r, h), Clip(r, HalfPlane{n.Neg(), -d})
			if math.Abs(in.Area()+out.Area()-r.Area()) > 1e-4 {
				t.Fatalf("parts %.9g and %.9g of %.9g: %s", in.Area(), out.Area(), r.Area(), format(r))
			}
			if box := Intersect(r, Region{h.box(r.Bounds())}); math.Abs(box.Area()-in.Area()) > 1e-4 {
				t.Fatalf("clip %.9g, intersection %.9g: %s", in.Area(), box.Area(), format(r))
			}
		})
	}
}

func BenchmarkClip(b *testing.B) {
	r := Region{Ngon(10, 100)}
	h := HalfPlane{Point{0.6, 0.8}, 12}
	b.ReportAllocs()
	for b.Loop() {
		Clip(r, h)
	}
}
