package nest

import (
	"context"
	"math"
	"testing"

	"perch/parts/plane"
)

// star is a polygon about the origin with random radii, often far from convex.
func star(r *random, n int) []point {
	out := make([]point, n)
	for i := range out {
		out[i] = plane.Polar(r.between(2, 10), 2*math.Pi*(float64(i)+r.between(0, 0.8))/float64(n))
	}
	return out
}

func TestConvexPartsCoverTheShape(t *testing.T) {
	r := newRandom(1)
	for k := range 200 {
		outer := star(r, 4+r.below(20))
		var holes [][]point
		if k%3 == 0 {
			holes = [][]point{{{X: -0.3, Y: -0.3}, {X: -0.3, Y: 0.4}, {X: 0.5, Y: 0.2}}}
		}
		want := polygonArea(outer)
		for _, h := range holes {
			want += polygonArea(h)
		}
		s := newShape(outer, holes)
		if math.Abs(s.area-want) > 1e-9 {
			t.Fatalf("case %d: parts have %.12f, the shape %.12f", k, s.area, want)
		}
		for _, p := range s.parts {
			if !plane.Convex(p) {
				t.Fatalf("case %d: a part is not convex", k)
			}
		}
	}
}

// The no-fit shape is held against the plane kernel: it must hold a place exactly
// when the shapes there share area, and its depth must be what parts them.
func TestNofitAgainstIntersections(t *testing.T) {
	r := newRandom(2)
	loop := func(p []point) plane.Region {
		var l plane.Loop
		for _, v := range p {
			l = append(l, plane.Vertex{P: v})
		}
		return plane.Region{l}
	}
	const margin = 1e-6
	wrong, inside := 0, 0
	for range 25 {
		a, b := star(r, 3+r.below(12)), star(r, 3+r.below(12))
		f := newNofit(newShape(a, nil).parts, newShape(b, nil).parts, margin, gridCells)
		for range 40 {
			p := point{X: r.between(-20, 20), Y: r.between(-20, 20)}
			shared := plane.Intersect(loop(a), loop(b).Transform(plane.Translate(p))).Area()
			d, e := f.depth(p.X, p.Y, margin), f.exact(p.X, p.Y)
			if (shared > 1e-6) != (d > 1e-3) && math.Abs(e) > 2e-3 {
				wrong++
				t.Errorf("at %v: shared area %g, depth %g, exact %g", p, shared, d, e)
			}
			if d > 0 {
				inside++
				if math.Abs(d-e) > 1.5*f.h {
					t.Errorf("at %v: depth %g by the grid, %g exactly", p, d, e)
				}
			}
		}
	}
	if inside < 100 {
		t.Errorf("only %d places inside", inside)
	}
}

func TestStripIsTheSameEveryTime(t *testing.T) {
	p := Strip{Width: 10, Pieces: []Piece{
		{Outline: []point{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 0, Y: 4}}, Count: 6, Rotations: []float64{0, 180}},
		{Outline: []point{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 2}, {X: 0, Y: 2}}, Count: 4, Rotations: []float64{0, 90}},
	}}
	var first *Packing
	for range 2 {
		q, err := PackStrip(context.Background(), p, Options{Effort: 0.002})
		if err != nil {
			t.Fatal(err)
		}
		if area := 6*8.0 + 4*6; q.Length < area/10 || q.Length > 1.3*area/10 {
			t.Errorf("length %g for an area of %g", q.Length, area)
		}
		if first != nil && (first.Length != q.Length || first.Placed[0] != q.Placed[0]) {
			t.Error("the same strip gave another packing")
		}
		first = q
	}
}

func TestCancelKeepsTheBest(t *testing.T) {
	p := Strip{Width: 10, Pieces: []Piece{{Outline: []point{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 0, Y: 4}}, Count: 6}}}
	ctx, cancel := context.WithCancel(context.Background())
	q, err := PackStrip(ctx, p, Options{Effort: 0.05, Best: func(float64) { cancel() }})
	if err != nil || len(q.Placed) != 6 {
		t.Fatal(q, err)
	}
}

// exact is depth without the grid's interpolation, signed.
func (f *nofit) exact(x, y float64) float64 {
	d, inside := math.Inf(1), false
	for k := range f.segs {
		s, _, _ := f.segs[k].near(x, y)
		d = min(d, s)
	}
	for k := range f.pieces {
		inside = inside || f.pieces[k].depth(point{X: x, Y: y}) > 0
	}
	if inside {
		return d
	}
	return -d
}
