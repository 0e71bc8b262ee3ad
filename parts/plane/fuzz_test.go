package plane

import (
	"math"
	"testing"
)

// FuzzBoolean reads two outlines from bytes, four to a vertex: x and y on a grid
// of 1/4 mm with jitter of some 1e-8 mm, and a bulge. Where both are simple the
// areas must add up; where not, nothing may panic.
func FuzzBoolean(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 40, 0, 0, 0, 40, 40, 0, 0, 0, 40, 0, 0}, []byte{20, 20, 0, 0, 60, 20, 0, 0, 60, 60, 0, 0, 20, 60, 0, 0})
	f.Add([]byte{0, 0, 127, 0, 40, 0, 127, 0}, []byte{0, 0, 127, 1, 40, 0, 129, 0})
	f.Add([]byte{0, 0, 0, 0, 40, 0, 0, 9, 40, 40, 30, 0}, []byte{0, 0, 0, 3, 40, 0, 0, 0, 20, 30, 0, 0})
	f.Fuzz(func(t *testing.T, x, y []byte) {
		a, b := Region{fuzzLoop(x)}, Region{fuzzLoop(y)}
		if Check(a[0]) != nil || Check(b[0]) != nil || a.Area() < 1e-2 || b.Area() < 1e-2 {
			Union(a, b)
			Intersect(a, b)
			Subtract(a, b)
			Offset(a, 1)
			Clip(a, HalfPlane{Point{1, 0}, 3})
			return
		}
		checkAreas(t, a, b)
		if g := Offset(a, 1); !(g.Area() > a.Area()) {
			t.Fatalf("grown from %g to %g", a.Area(), g.Area())
		}
	})
}

func fuzzLoop(b []byte) Loop {
	var l Loop
	for ; len(b) >= 4 && len(l) < 16; b = b[4:] {
		jitter := float64(int8(b[3])) * 1e-8
		l = append(l, Vertex{Point{float64(int8(b[0]))/4 + jitter, float64(int8(b[1]))/4 - jitter/3}, float64(int8(b[2])) / 127})
		if math.Abs(l[len(l)-1].Bulge) > 1 {
			l[len(l)-1].Bulge = -1
		}
	}
	return l
}
