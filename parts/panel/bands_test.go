package panel

import (
	"math"
	"testing"

	"perch/parts/plane"
	"perch/parts/solid"
)

// The sector that a bend's slabs are held against first holds every corner of theirs,
// whatever the angle and the way, and is touched by them, but for the arc above a chord.
func TestSectorHoldsBands(t *testing.T) {
	ways := []solid.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: 0.6, Z: 0.8}, {X: 0.48, Y: 0.6, Z: 0.64}, {X: 0.8, Z: -0.6}}
	for _, down := range []bool{true, false} {
		for angle := 5.0; angle <= 180; angle += 12.5 {
			b := base(rectAt(0, 0, 40, 100))
			b.Panel.Faces[0].Frame = solid.Frame{O: solid.Vec{X: 30, Y: 5, Z: 7}, X: solid.Vec{X: 0.6, Z: 0.8}, Y: solid.Vec{Y: 1}}
			b.hang(0, "lip", pt(40, 0), pt(40, 100), angle, down, rectAt(-50, 0, 50, 20))
			f := unfold(t, b.Panel)
			bs, ok := f.bands(0)
			if !ok {
				t.Fatalf("%g°: no bands", angle)
			}
			for _, way := range ways {
				lo, hi := bs.extent(way)
				least, most := math.Inf(1), math.Inf(-1)
				for k := range bs.count {
					var s placed
					s.place(bs.slab(k))
					if apart(&s.block, &bs) {
						t.Errorf("%g°: a slab stands apart from the sector that it lies in", angle)
					}
					for _, c := range []plane.Point{s.Bounds.Min, {X: s.Bounds.Max.X, Y: s.Bounds.Min.Y}, s.Bounds.Max, {X: s.Bounds.Min.X, Y: s.Bounds.Max.Y}} {
						top := s.Frame.At(c).Dot(way)
						low := shift(s.Frame.At(c), -s.Thickness, s.Frame.Normal()).Dot(way)
						least, most = min(least, top, low), max(most, top, low)
					}
				}
				if least < lo-1e-9 || most > hi+1e-9 || least > lo+0.3 || most < hi-0.3 {
					t.Errorf("%g°: slabs go from %.6f to %.6f mm along %v, the sector from %.6f to %.6f", angle, least, most, way, lo, hi)
				}
			}
		}
	}
}
