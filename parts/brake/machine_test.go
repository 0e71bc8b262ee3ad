package brake

import (
	"math"
	"testing"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
)

var square = bend.Bend{Angle: 90 * bend.Degree, Thickness: 1.5, Radius: 1.5, K: 0.325}

// The motion's formula is derived from the arc that the sheet lies on: the tangent point
// of the moving side stays on the circle of r + t about the axis, what is used up is the
// neutral line's arc, and at the end of a square bend the flange stands upright.
func TestMotionOfTheMovingSide(t *testing.T) {
	k := newKinematics(shop.Default().Brake, square)
	for _, degrees := range []float64{0, 10, 45, 90, 135} {
		a := degrees * bend.Degree
		s, c := math.Sin(a), math.Cos(a)
		used := a * (1.5 + 0.325*1.5)
		for _, p := range []struct{ d, z float64 }{{used, 0}, {used + 40, 0}, {used + 40, 1.5}, {100, -20}} {
			got := k.moving(a).apply(plane.Point{X: -p.d, Y: p.z})
			x := -3*s - (p.d-used)*c + p.z*s
			z := 3 - 3*c + (p.d-used)*s + p.z*c
			if math.Abs(got.X-x) > 1e-12 || math.Abs(got.Y-z) > 1e-12 {
				t.Errorf("%g°, d %g z %g: at %v, want (%g, %g)", degrees, p.d, p.z, got, x, z)
			}
		}
	}
	ba := square.Allowance()
	foot := k.moving(square.Angle).apply(plane.Point{X: -ba, Y: 0})
	tip := k.moving(square.Angle).apply(plane.Point{X: -ba - 50, Y: 1.5})
	if !foot.Near(plane.Point{X: -3, Y: 3}, 1e-12) || !tip.Near(plane.Point{X: -1.5, Y: 53}, 1e-12) {
		t.Errorf("a square flange of 50 stands from %v to %v", foot, tip)
	}
}

// A leaf's edge stays on the moving sheet's underside all the way.
func TestLeafFollowsTheSheet(t *testing.T) {
	k := newKinematics(shop.Default().Brake, square)
	for a := 0.0; a < 2.3; a += 0.1 {
		on := k.moving(a).inverse()
		for _, x := range []float64{0, -16} {
			if z := on.apply(k.tool(withLeaf, a).apply(plane.Point{X: x})).Y; math.Abs(z) > 1e-12 {
				t.Errorf("at %.1f rad the leaf's edge at %g is %g off the sheet", a, x, z)
			}
		}
	}
}

// In a V die both sides turn by half, mirror images of each other about the punch, and
// between them the angle is the same as on a leaf brake.
func TestPressTurnsBothSides(t *testing.T) {
	b := shop.Default().Brake
	b.Kind = shop.BrakeVDie
	k, leaf := newKinematics(b, square), newKinematics(shop.Default().Brake, square)
	ba := square.Allowance()
	for a := 0.0; a <= square.Angle+1e-9; a += math.Pi / 16 {
		h, m := k.held(a).apply(plane.Point{X: 30, Y: 1}), k.moving(a).apply(plane.Point{X: -ba - 30, Y: 1})
		if math.Abs(h.X+m.X) > 1e-12 || math.Abs(h.Y-m.Y) > 1e-12 {
			t.Errorf("at %.2f rad: %v and %v are no mirror images", a, h, m)
		}
		shoulder := k.tool(withDie, a).apply(plane.Point{X: k.opening / 2})
		if z := k.held(a).inverse().apply(shoulder).Y; math.Abs(z) > 1e-12 {
			t.Errorf("at %.2f rad the die's shoulder is %g off the sheet", a, z)
		}
	}
	// At the end both machines have the two sides in the same place to each other.
	p := plane.Point{X: -70, Y: 0.5}
	inPress := k.moving(square.Angle).then(k.held(square.Angle).inverse()).apply(p)
	if onLeaf := leaf.moving(square.Angle).apply(p); !onLeaf.Near(inPress, 1e-9) {
		t.Errorf("a point comes to %v in the press and to %v on the leaf brake", inPress, onLeaf)
	}
}

// The default finger: nose in the bend, front at 45° up to the neck, heel 50 to the back.
func TestFingerSection(t *testing.T) {
	k := newKinematics(shop.Default().Brake, square)
	inside := func(x, z float64) bool {
		for _, s := range k.sections {
			if s.tool == Finger && s.depth(plane.Point{X: x, Y: z}) > 0 {
				return true
			}
		}
		return false
	}
	for _, c := range []struct {
		x, z float64
		in   bool
	}{
		{1, 1.7, true}, {49.8, 1.7, true}, {50.1, 1.7, false}, {-1.6, 3, false}, {-1.3, 3, true},
		{20, 24, true}, {20, 27, false}, {29.5, 60, false}, {30.5, 60, true}, {49, 101, true}, {40, 102, false},
	} {
		if got := inside(c.x, c.z); got != c.in {
			t.Errorf("(%g, %g): in the finger %v, want %v", c.x, c.z, got, c.in)
		}
	}
}
