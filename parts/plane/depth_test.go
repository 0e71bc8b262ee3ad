package plane

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestDeepChords(t *testing.T) {
	slit := Region{Rect(40, 20), hole(Circle(4))}
	for _, c := range []struct {
		name  string
		r     Region
		y     float64
		depth float64
		want  []Interval
	}{
		{"across a plate", Region{Rect(40, 20)}, 0, 5, []Interval{{-15, 15}}},
		{"beside a hole", slit, 0, 3, []Interval{{-17, -5}, {5, 17}}},
		{"too near the edge", Region{Rect(40, 20)}, 6, 5, nil},
		{"outside", Region{Rect(40, 20)}, 11, 5, nil},
		{"a disc", Region{Circle(20)}, 6, 2, []Interval{{-math.Sqrt(28), math.Sqrt(28)}}},
	} {
		got := DeepChords(c.r, Point{0, c.y}, Point{1, 0}, c.depth)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i].From-c.want[i].From) > 1e-9 || math.Abs(got[i].To-c.want[i].To) > 1e-9 {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
		}
	}
}

// A point of the line lies in a deep chord just where it is inside and far enough from
// every edge.
func TestDeepChordsAreDeep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Subtract(Region{simpleOutline(t, "a", 0)}, Region{simpleOutline(t, "h", 0)})
		dir := Polar(1, rapid.Float64Range(0, 7).Draw(t, "angle"))
		p := dir.Perp().Scale(rapid.Float64Range(-8, 8).Draw(t, "off"))
		depth := rapid.Float64Range(0.1, 3).Draw(t, "depth")
		chords := DeepChords(r, p, dir, depth)
		for k := range 101 {
			x := float64(k)/2 - 25
			q := p.Add(dir.Scale(x))
			d, _ := r.DistanceTo(q)
			if math.Abs(d-depth) < 1e-6 || d < 1e-6 {
				continue
			}
			in := false
			for _, c := range chords {
				in = in || c.From < x && x < c.To
			}
			if want := d > depth && r.Locate(q) == Inside; in != want {
				t.Fatalf("at %g, %g mm from the nearest edge: %v, want %v: %v of %s", x, d, in, want, chords, format(r))
			}
		}
	})
}
