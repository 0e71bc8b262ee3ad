package plane

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// drawnShape is one outline with straight edges and arcs, sometimes with a hole, sometimes
// with corners of another on its edges.
func drawnShape(rnd *rand.Rand) Region {
	size := func() float64 { return float64(4 + rnd.IntN(40)) }
	var l Loop
	switch rnd.IntN(7) {
	case 0:
		l = Rect(size(), size())
	case 1:
		l = Circle(size())
	case 2:
		l = Slot(size(), size()/2)
	case 3:
		l = Ngon(3+rnd.IntN(6), size())
	case 4: // a star
		n := 3 + rnd.IntN(5)
		for k := range 2 * n {
			l = append(l, Vertex{P: Polar([]float64{size(), size() / 3}[k%2]+2, math.Pi*float64(k)/float64(n))})
		}
	default: // arcs between points about the middle
		n := 3 + rnd.IntN(4)
		for k := range n {
			l = append(l, Vertex{P: Polar(size()+5, 2*math.Pi*float64(k)/float64(n)), Bulge: []float64{0, 0, 0.2, -0.15, 0.6}[rnd.IntN(5)]})
		}
	}
	move := Rotate([]float64{0, 0, math.Pi / 2, 0.7}[rnd.IntN(4)]).Then(Translate(Point{float64(rnd.IntN(25) - 12), float64(rnd.IntN(25) - 12)}))
	r := Region{l}
	if rnd.IntN(3) == 0 {
		if holed := Subtract(r, Region{Circle(float64(1 + rnd.IntN(6)))}); len(holed) > 0 {
			r = holed
		}
	}
	return r.Transform(move)
}

func number(x float64) string { return fmt.Sprintf("%.6f", math.Round(x*1e6)/1e6+0) }

func numbers(xs ...float64) string {
	var s []string
	for _, x := range xs {
		s = append(s, number(x))
	}
	return strings.Join(s, " ")
}

// told are moments of a region that do not change with where its loops start: loops, corners,
// area, length, middle and the sum of the squares of its corners.
func told(r Region) string {
	n, squares := 0, 0.0
	for _, l := range r {
		n += len(l)
		for _, v := range l {
			squares += float64(v.P.X*v.P.X) + float64(2*float64(v.P.Y*v.P.Y)) + math.Abs(v.Bulge)
		}
	}
	c := Point{}
	if len(r) > 0 {
		c = r.Centroid()
	}
	return fmt.Sprintf("%d loops of %d: %s", len(r), n, numbers(r.Area(), r.Length(), c.X, c.Y, squares))
}

func spans(is []Interval) string {
	var s []string
	for _, i := range is {
		s = append(s, number(i.From)+"…"+number(i.To))
	}
	return strings.Join(s, " ")
}

// TestDrawnShapes holds what every operation makes of drawn shapes to what it came to before,
// written in testdata/drawn.txt (anew with PERCH_UPDATE=1), and areas to each other.
func TestDrawnShapes(t *testing.T) {
	rnd := rand.New(rand.NewPCG(41, 42))
	var b strings.Builder
	say := func(what string, text any) { fmt.Fprintf(&b, "  %s %v\n", what, text) }
	for n := range 70 {
		x, y := drawnShape(rnd), drawnShape(rnd)
		fmt.Fprintf(&b, "%d\n", n)
		say("x", told(x))
		or, and, sub := Union(x, y), Intersect(x, y), Subtract(x, y)
		if d := or.Area() + and.Area() - x.Area() - y.Area(); math.Abs(d) > 1e-6 {
			t.Errorf("%d: together and both differ from the two by %g", n, d)
		}
		if d := sub.Area() + and.Area() - x.Area(); math.Abs(d) > 1e-6 {
			t.Errorf("%d: the difference and both differ from the first by %g", n, d)
		}
		say("union", told(or))
		say("both", told(and))
		say("difference", told(sub))
		say("all", told(UnionAll(x, y, x.Transform(Translate(Point{30, 3})))))
		for k, c := range or.Components() {
			say(fmt.Sprint("part ", k), told(c))
		}
		for _, d := range []float64{1, -1, 3.5, -0.3} {
			say(fmt.Sprint("offset ", d), told(Offset(or, d)))
			say(fmt.Sprint("mitred ", d), told(OffsetMiter(x, d, 3)))
		}
		p, dir := Point{float64(rnd.IntN(20) - 10), float64(rnd.IntN(20) - 10)}, Polar(1, float64(rnd.IntN(7)))
		say("chords", spans(Chords(or, p, dir)))
		say("deep", spans(DeepChords(or, p, dir, 2)))
		say("at", spans(ChordsAt(or, p.Y)))
		say("meets", meetsLine(or, p, dir))
		d, on := or.DistanceTo(p)
		say("from", numbers(d, on.X, on.Y)+" "+or.Locate(p).String())
		far := y.Transform(Translate(Point{90, 20}))
		d, onX, onY := Distance(x, far)
		say("apart", numbers(d, onX.X, onX.Y, onY.X, onY.Y))
		say("across", number(x.Across()))
		say("clipped", told(Clip(or, HalfPlane{N: dir, D: p.Dot(dir)})))
		rounded, err := Round(x, 0.8)
		say("rounded", fmt.Sprint(told(rounded), err))
		cut, err := Chamfer(x, 0.8)
		say("cut", fmt.Sprint(told(cut), err))
		flat := Flatten(x[0], 0.05)
		say("flat", fmt.Sprint(len(flat), " ", numbers(flat[len(flat)/2].X, flat[len(flat)/2].Y)))
		count := 0
		for range Congruent(x[0], x[0].Transform(Rotate(1)), 1e-6, rnd.IntN(2) == 0) {
			count++
		}
		say("congruent", count)
		say("outline", fmt.Sprint(Check(x[0])))
		box := or.Bounds()
		c, ok := box.Chord(p, dir)
		say("box", fmt.Sprint(numbers(box.Min.X, box.Min.Y, box.Max.X, box.Max.Y, c.From, c.To), ok))
		for i := range x[0] {
			e := x[0].Edge(i)
			q := e.Nearest(p)
			one, two := e.Split(0.3)
			say("edge", numbers(e.Len(), e.Sweep(), q.X, q.Y, e.Mid().X, e.StartTangent().X, e.EndTangent().Y, e.Bounds().Max.X, one.Len(), two.Bulge))
		}
	}
	golden(t, "testdata/drawn.txt", b.String())
}

// golden holds a text to a file, line by line.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if os.Getenv("PERCH_UPDATE") != "" {
		if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	want, lines := strings.Split(string(text), "\n"), strings.Split(got, "\n")
	for i := range min(len(want), len(lines)) {
		if want[i] != lines[i] {
			t.Fatalf("%s, line %d: %q, was %q", file, i+1, lines[i], want[i])
		}
	}
	if len(want) != len(lines) {
		t.Errorf("%s: %d lines, were %d", file, len(lines), len(want))
	}
}
