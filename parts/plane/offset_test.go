package plane

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestOffsetClosedForms(t *testing.T) {
	ring := Region{Circle(20), hole(Circle(10))}
	ell := path(t, "M 0 0 L 10 0 L 10 4 L 4 4 L 4 10 L 0 10 Z")
	neck := path(t, "M 0 0 L 10 0 L 10 4 L 20 4 L 20 0 L 30 0 L 30 10 L 20 10 L 20 6 L 10 6 L 10 10 L 0 10 Z")
	corner := 1 - math.Pi/4 // a unit square less a quarter disc about one corner
	for _, c := range []struct {
		name  string
		r     Region
		d     float64
		area  float64
		loops int
	}{
		{"square out", Region{Rect(10, 10)}, 2, 100 + 80 + 4*math.Pi, 1},
		{"square in", Region{Rect(10, 10)}, -2, 36, 1},
		{"square to nothing", Region{Rect(10, 10)}, -5, 0, 0},
		{"square past nothing", Region{Rect(10, 10)}, -8, 0, 0},
		{"circle out", Region{Circle(10)}, 2, 49 * math.Pi, 1},
		{"circle in", Region{Circle(10)}, -2, 9 * math.Pi, 1},
		{"circle past nothing", Region{Circle(10)}, -6, 0, 0},
		{"ring out", ring, 2, math.Pi * (144 - 9), 2},
		{"ring in", ring, -2, math.Pi * (64 - 49), 2},
		{"ring closes", ring, 6, math.Pi * 256, 1},
		{"ring vanishes", ring, -2.6, 0, 0},
		{"slot out", Region{Slot(30, 10)}, 3, 20*16 + 64*math.Pi, 1},
		{"slot in", Region{Slot(30, 10)}, -3, 20*4 + 4*math.Pi, 1},
		{"L out", ell, 1, 64 + 40 + 5*math.Pi/4 - 1, 1},
		{"L in", ell, -1, 28 + corner, 1},
		{"neck breaks", neck, -1.5, 98 + 4*(1.5-math.Sqrt(1.25)/2-1.125*math.Asin(2.0/3)), 2},
		{"hole out of shape", Region{Rect(20, 20), hole(at(Rect(4, 4), 7, 0))}, -1, 324 - (5*6 - 2*corner), 1},
	} {
		got := Offset(c.r, c.d)
		if math.Abs(got.Area()-c.area) > 1e-9 || len(got) != c.loops {
			t.Errorf("%s: area %.9g in %d loops, want %.9g in %d: %s", c.name, got.Area(), len(got), c.area, c.loops, format(got))
		}
	}
}

// Steiner: a convex shape grown by d gains perimeter·d + π·d².
func TestOffsetSteiner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "n")
		l := Ngon(n, rapid.Float64Range(5, 50).Draw(t, "across")).Transform(
			Rotate(rapid.Float64Range(0, 7).Draw(t, "turn")).Then(Translate(Point{rapid.Float64Range(-50, 50).Draw(t, "x"), 3})))
		if rapid.Bool().Draw(t, "bowed") {
			for i := range l {
				l[i].Bulge = rapid.Float64Range(0.02, 0.9).Draw(t, "bulge") * math.Tan(math.Pi/float64(2*n))
			}
		}
		d := rapid.Float64Range(0.1, 20).Draw(t, "d")
		r := Region{l}
		got := Offset(r, d)
		if want := r.Area() + r.Length()*d + math.Pi*d*d; math.Abs(got.Area()-want) > 1e-6 {
			t.Fatalf("area %.9g, want %.9g", got.Area(), want)
		}
		if back := Offset(got, -d); math.Abs(back.Area()-r.Area()) > 1e-4 {
			t.Fatalf("and back: area %.9g, want %.9g: %s", back.Area(), r.Area(), format(back))
		}
	})
}

// Every point of the grown outline is d away from the shape, and the same inwards.
func TestOffsetDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Region{simpleOutline(t, "a", 0)}
		d := rapid.Float64Range(-4, 6).Draw(t, "d")
		if math.Abs(d) < 0.01 {
			t.Skip()
		}
		got := Offset(r, d)
		if d > 0 && got.Area() < r.Area() {
			t.Fatalf("grown by %g to %g from %g: %s\n%s", d, got.Area(), r.Area(), format(r), format(got))
		}
		for _, l := range got {
			for _, e := range l.Edges() {
				for _, k := range []float64{0, 0.3, 0.5, 0.8} {
					if x, _ := r.DistanceTo(e.PointAt(k)); math.Abs(x-math.Abs(d)) > 1e-5 {
						t.Fatalf("offset %g: a point is %.9g away: %s\n%s", d, x, format(r), format(got))
					}
				}
			}
		}
	})
}

func BenchmarkOffset(b *testing.B) {
	r := Region{Ngon(10, 100)}
	b.ReportAllocs()
	for b.Loop() {
		Offset(r, 3)
	}
}
