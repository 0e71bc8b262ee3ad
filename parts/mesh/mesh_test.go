package mesh

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/plane"
)

func pt(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

func rect(x, y, w, h float64) []plane.Point {
	return []plane.Point{pt(x, y), pt(x+w, y), pt(x+w, y+h), pt(x, y+h)}
}

func ring(x, y, r float64, n int) (l []plane.Point) {
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		l = append(l, pt(x+r*c, y+r*s))
	}
	return l
}

func area(l []plane.Point) float64 {
	a := 0.0
	for i, p := range l {
		a += p.Cross(l[(i+1)%len(l)]) / 2
	}
	return a
}

// sound fails where the triangles are not a division of the area, edge to edge.
func sound(t interface{ Fatalf(string, ...any) }, m *Mesh, want float64) {
	type edge [2]int32
	sides := map[edge]int{}
	got := 0.0
	for _, tri := range m.Triangles {
		a, b, c := m.Nodes[tri[0]], m.Nodes[tri[1]], m.Nodes[tri[2]]
		if plane.Orient(a, b, c) <= 0 {
			t.Fatalf("triangle %v is turned over", tri)
		}
		got += b.Sub(a).Cross(c.Sub(a)) / 2
		for i := range 3 {
			sides[edge{tri[i], tri[(i+1)%3]}]++
		}
	}
	if math.Abs(got-want) > 1e-6*want {
		t.Fatalf("area %v, want %v", got, want)
	}
	for e, n := range sides {
		if n != 1 {
			t.Fatalf("edge %v belongs to %d triangles one way", e, n)
		}
		if sides[edge{e[1], e[0]}] == 0 && !(m.Border[e[0]] && m.Border[e[1]]) {
			t.Fatalf("edge %v is loose", e)
		}
	}
}

func uniform(h float64) func(plane.Point) float64 { return func(plane.Point) float64 { return h } }

// TestPlate: a plate with two holes, a line across it and a named point.
func TestPlate(t *testing.T) {
	r := Region{
		Loops:  [][]plane.Point{rect(0, 0, 200, 100), ring(50, 50, 20, 24), ring(150, 40, 12, 16)},
		Lines:  [][2]plane.Point{{pt(100, 0), pt(100, 100)}},
		Points: []plane.Point{pt(120, 80)},
		Size:   uniform(8), Apart: 0.01,
	}
	m, err := Divide(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	sound(t, m, 20000-area(r.Loops[1])-area(r.Loops[2]))
	if got := m.Nodes[m.Points[0]]; got != pt(120, 80) {
		t.Errorf("the point is at %v", got)
	}
	if a := math.Asin(m.Quality()) * 180 / math.Pi; a < 20.7 {
		t.Errorf("an angle of %.1f degrees", a)
	}
	for _, tri := range m.Triangles {
		left, right := false, false
		for i := range 3 {
			p, q := m.Nodes[tri[i]], m.Nodes[tri[(i+1)%3]]
			if d := p.Dist(q); d > 1.4*8+1 {
				t.Errorf("a side of %.1f mm", d)
			}
			left, right = left || p.X < 100-1e-9, right || p.X > 100+1e-9
		}
		if left && right {
			t.Errorf("triangle %v crosses the line", tri)
		}
	}
	t.Logf("%d nodes, %d triangles", len(m.Nodes), len(m.Triangles))
}

// TestDrawn: rectangles with holes, crossing lines and points anywhere, sizes that grow away
// from a place.
func TestDrawn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(lo, hi float64, what string) float64 { return rapid.Float64Range(lo, hi).Draw(t, what) }
		w, h := f(20, 200, "w"), f(20, 200, "h")
		r := Region{Loops: [][]plane.Point{rect(0, 0, w, h)}, Apart: 0.05}
		if rapid.Bool().Draw(t, "hole") {
			r.Loops = append(r.Loops, ring(w/2, h/2, f(2, math.Min(w, h)*0.45, "r"), rapid.IntRange(3, 20).Draw(t, "n")))
		}
		want := w * h
		for _, l := range r.Loops[1:] {
			want -= area(l)
		}
		for range rapid.IntRange(0, 4).Draw(t, "lines") {
			r.Lines = append(r.Lines, [2]plane.Point{pt(f(0, w, "x"), f(0, h, "y")), pt(f(0, w, "x"), f(0, h, "y"))})
		}
		at := pt(f(0, w, "fx"), f(0, h, "fy"))
		r.Size = func(p plane.Point) float64 { return 3 + p.Dist(at)/4 }
		m, err := Divide(t.Context(), r)
		if err != nil {
			t.Fatal(err)
		}
		// Points that are welded move an outline by no more than they may lie apart.
		got := 0.0
		for _, tri := range m.Triangles {
			a, b, c := m.Nodes[tri[0]], m.Nodes[tri[1]], m.Nodes[tri[2]]
			got += b.Sub(a).Cross(c.Sub(a)) / 2
		}
		if math.Abs(got-want) > 0.05*2*(w+h)*2 {
			t.Fatalf("area %v, want %v", got, want)
		}
		sound(t, m, got)
	})
}

func TestMistakes(t *testing.T) {
	var bad *BadRegionError
	for name, r := range map[string]Region{
		"no outline":     {Apart: 0.1},
		"two corners":    {Apart: 0.1, Loops: [][]plane.Point{{pt(0, 0), pt(1, 0)}}},
		"no distance":    {Loops: [][]plane.Point{rect(0, 0, 1, 1)}},
		"no number":      {Apart: 0.1, Loops: [][]plane.Point{{pt(0, 0), pt(1, 0), pt(math.NaN(), 1)}}},
		"point outside":  {Apart: 0.1, Loops: [][]plane.Point{rect(0, 0, 9, 9)}, Points: []plane.Point{pt(20, 20)}},
		"nothing inside": {Apart: 5, Loops: [][]plane.Point{rect(0, 0, 1, 1)}},
	} {
		if _, err := Divide(t.Context(), r); !errors.As(err, &bad) {
			t.Errorf("%s: %v", name, err)
		}
	}
	var many *TooManyError
	if _, err := Divide(t.Context(), Region{Apart: 0.1, Loops: [][]plane.Point{rect(0, 0, 100, 100)}, Size: uniform(1), Most: 500}); !errors.As(err, &many) {
		t.Errorf("too many: %v", err)
	}
}

// TestLineStays: corners of an outline beside a line's ends, too near to be told apart, come
// to lie on the line; the line stays where it is given, or a sheet folded there has its fold
// elsewhere.
func TestLineStays(t *testing.T) {
	outer := []plane.Point{pt(0, 0), pt(40, 0), pt(40, 19.2), pt(42, 20.8), pt(42, 40), pt(-2, 40), pt(-2, 20.8), pt(0, 19.2)}
	l := [2]plane.Point{pt(-1, 20), pt(41, 20)}
	m, err := Divide(t.Context(), Region{Loops: [][]plane.Point{outer}, Lines: [][2]plane.Point{l},
		Size: func(plane.Point) float64 { return 10 }, Apart: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	on := 0
	for i, p := range m.Nodes {
		if math.Abs(p.Y-20) < 1e-9 {
			on++
			continue
		}
		if math.Abs(p.Y-20) < 1.5 {
			t.Errorf("node %d lies at %v, beside the line", i, p)
		}
	}
	if on < 5 {
		t.Errorf("%d nodes on the line", on)
	}
}
