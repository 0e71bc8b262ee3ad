package layout_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/drawing/layout"
	"perch/parts/plane"
)

func rect(x0, y0, x1, y1 float64) plane.Loop {
	return plane.Loop{{P: plane.Point{X: x0, Y: y0}}, {P: plane.Point{X: x1, Y: y0}}, {P: plane.Point{X: x1, Y: y1}}, {P: plane.Point{X: x0, Y: y1}}}
}

func circle(x, y, r float64) plane.Loop {
	return plane.Loop{{P: plane.Point{X: x - r, Y: y}, Bulge: -1}, {P: plane.Point{X: x + r, Y: y}, Bulge: -1}}
}

func ExampleGrid_Find() {
	g := layout.New(rect(0, 0, 200, 100), []plane.Loop{circle(100, 50, 30)})
	at, ok := g.Find(60, 10)
	fmt.Println(ok, at.Y+10 < 20 || at.Y > 80 || at.X > 130 || at.X+60 < 70)
	_, ok = g.Find(150, 40)
	fmt.Println(ok)
	// Output:
	// true true
	// false
}

// A box that is found lies in the plate, clear of the holes and of boxes taken before.
func TestFoundBoxesAreClear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(30, 900).Draw(t, "w")
		h := rapid.Float64Range(30, 900).Draw(t, "h")
		r := rapid.Float64Range(2, 12).Draw(t, "r")
		cx, cy := w*rapid.Float64Range(0.2, 0.8).Draw(t, "cx"), h*rapid.Float64Range(0.2, 0.8).Draw(t, "cy")
		g := layout.New(rect(0, 0, w, h), []plane.Loop{circle(cx, cy, r)})
		type box struct{ x0, y0, x1, y1 float64 }
		var taken []box
		for i := range 4 {
			bw, bh := w*rapid.Float64Range(0.05, 0.6).Draw(t, fmt.Sprint("bw", i)), h*rapid.Float64Range(0.05, 0.4).Draw(t, fmt.Sprint("bh", i))
			at, ok := g.Find(bw, bh)
			if !ok {
				continue
			}
			b := box{at.X, at.Y, at.X + bw, at.Y + bh}
			if b.x0 < -1e-6 || b.y0 < -1e-6 || b.x1 > w+1e-6 || b.y1 > h+1e-6 {
				t.Fatalf("box %v leaves the plate %v × %v", b, w, h)
			}
			nx, ny := math.Max(b.x0, math.Min(cx, b.x1)), math.Max(b.y0, math.Min(cy, b.y1))
			if math.Hypot(nx-cx, ny-cy) < r-0.5 {
				t.Fatalf("box %v lies over the hole at %v, %v", b, cx, cy)
			}
			for _, o := range taken {
				if b.x0 < o.x1-1e-6 && o.x0 < b.x1-1e-6 && b.y0 < o.y1-1e-6 && o.y0 < b.y1-1e-6 {
					t.Fatalf("boxes %v and %v overlap", b, o)
				}
			}
			taken = append(taken, b)
			g.Take(at, plane.Point{X: b.x1, Y: b.y1})
		}
	})
}

func TestPolylineStaysOnTheArc(t *testing.T) {
	for _, sag := range []float64{1, 0.1, 0.01} {
		pts := layout.Polyline(circle(10, 20, 50), sag)
		for i, p := range pts {
			if d := math.Hypot(p.X-10, p.Y-20); math.Abs(d-50) > 1e-9 {
				t.Errorf("sag %v: point %v is %v from the centre, not 50", sag, p, d)
			}
			q := pts[(i+1)%len(pts)]
			if d := 50 - math.Hypot((p.X+q.X)/2-10, (p.Y+q.Y)/2-20); d > sag {
				t.Errorf("sag %v: chord %d leaves the arc by %v", sag, i, d)
			}
		}
	}
}

func TestDegenerateOutlines(t *testing.T) {
	for _, l := range []plane.Loop{nil, {{}}, {{P: plane.Point{X: math.NaN()}}}, {{P: plane.Point{X: math.Inf(1)}}, {}}} {
		g := layout.New(l, nil)
		g.Block(plane.Point{}, plane.Point{X: 1})
		if _, ok := g.Find(1, 1); ok {
			t.Errorf("%v has a free place", l)
		}
	}
}

func BenchmarkNewAndFind(b *testing.B) {
	outer, inner := rect(0, 0, 600, 250), []plane.Loop{}
	for i := range 30 {
		inner = append(inner, circle(20+18*float64(i), 40, 2.45))
	}
	for b.Loop() {
		layout.New(outer, inner).Find(120, 12)
	}
}
