package panel

import (
	"math"
	"testing"

	"perch/parts/plane"
	"perch/parts/solid"
)

// The block around a bend holds every corner of its slabs, whatever the angle and the way,
// and no more than their sector: the block's outside is touched.
func TestBlockHoldsBands(t *testing.T) {
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
			block := bs.block()
			var most [3]float64
			for k := range bs.count {
				s := bs.slab(k)
				if apart(&s.block, &block) {
					t.Errorf("%g°: a slab stands apart from the block around it", angle)
				}
				n := s.Frame.Normal()
				for _, c := range []plane.Point{s.Bounds.Min, {X: s.Bounds.Max.X, Y: s.Bounds.Min.Y}, s.Bounds.Max, {X: s.Bounds.Min.X, Y: s.Bounds.Max.Y}} {
					for _, v := range []solid.Vec{s.Frame.At(c), shift(s.Frame.At(c), -s.Thickness, n)} {
						for i, a := range block.axes {
							most[i] = max(most[i], math.Abs(v.Sub(block.middle).Dot(a)))
						}
					}
				}
			}
			for i := range most {
				if over := most[i] - block.half[i]; over > 1e-9 || over < -1 {
					t.Errorf("%g°: slabs reach %.6f mm along axis %d, the block %.6f", angle, most[i], i, block.half[i])
				}
			}
		}
	}
}
