package tipping_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/tipping"
)

// square is a stand of four feet, half a side from the middle.
func square(half, weight, centre float64) tipping.Stand {
	return tipping.Stand{Feet: plane.Hull([]plane.Point{{X: -half, Y: -half}, {X: half, Y: -half}, {X: half, Y: half}, {X: -half, Y: half}}),
		Weight: weight, Centre: solid.Vec{Z: centre}}
}

// A level push P at height h tips a square piece of weight W over an edge a/2 from its
// middle when P·h = W·a/2.
func TestPushed(t *testing.T) {
	s := square(150, 60, 200)
	push := tipping.Load{Force: solid.Vec{X: 20}, Frame: solid.LevelFrame(450)}
	got := s.Tips([]tipping.Load{push})
	if want := 60 * 150 / (20 * 450.0); math.Abs(got.Factor-want) > 1e-12 {
		t.Errorf("it tips at %g times the push, want %g", got.Factor, want)
	}
	if got.Line != [2]plane.Point{{X: 150, Y: -150}, {X: 150, Y: 150}} {
		t.Errorf("it tips over %v", got.Line)
	}
	push.Force = solid.Vec{Z: -900}
	if got := s.Tips([]tipping.Load{push}); !got.Steady() {
		t.Errorf("pressed in the middle it tips at %g", got.Factor)
	}
	push.Force = solid.Vec{Z: 120} // twice its weight, up
	if got := s.Tips([]tipping.Load{push}); got.Factor != 0.5 {
		t.Errorf("it is lifted at %g times the force, want 0.5", got.Factor)
	}
	s.Centre.X = 151
	if got := s.Tips(nil); got.Factor != 0 {
		t.Errorf("a piece whose weight lies outside its feet stands: %g", got.Factor)
	}
}

// 600 N down 60 mm inside a seat's edge and 20 N level, outward, as EN 1022 has it for
// seats: with the weight neglected, the line of the feet may lie 60 − 20·h/600 inside
// the edge. Derived; 45 mm at 450 mm, 35 mm at 750 mm.
func TestSeatEdge(t *testing.T) {
	for _, c := range []struct{ height, inside float64 }{{450, 45}, {750, 35}} {
		for _, side := range []float64{-0.01, 0.01} {
			seat := plane.Region{plane.Rect(400, 400)}
			load := tipping.Load{Force: solid.Vec{Z: -600}, Across: 20, Frame: solid.LevelFrame(c.height), Area: plane.Offset(seat, -60)}
			got := square(200-c.inside-side, 0, 0).Tips([]tipping.Load{load})
			if steady := side < 0; got.Steady() != steady {
				t.Errorf("%g mm high, feet %g mm inside the edge: steady is %v", c.height, c.inside+side, got.Steady())
			}
		}
	}
}

// On a round seat the worst place for a line of the feet is right across it.
func TestRoundSeat(t *testing.T) {
	seat := plane.Region{plane.Circle(300)}
	load := tipping.Load{Force: solid.Vec{Z: -100}, Frame: solid.LevelFrame(400), Area: seat}
	s := tipping.Stand{Feet: []plane.Point{{X: 0, Y: -100}, {X: 86.60254037844386, Y: 50}, {X: -86.60254037844386, Y: 50}}, Weight: 50}
	got := s.Tips([]tipping.Load{load})
	if want := 50 * 50 / (100 * (150 - 50.0)); math.Abs(got.Factor-want) > 1e-9 {
		t.Errorf("it tips at %g, want %g", got.Factor, want)
	}
	if at := got.At[0]; math.Abs(math.Hypot(at.X, at.Y)-150) > 1e-9 || at.Z != 400 {
		t.Errorf("the worst place is %v", at)
	}
}

// The same by another way: a piece stands while the point where the floor's push can be
// thought to act lies between its feet.
func TestAgainstTheFloorsPush(t *testing.T) {
	num := func(t *rapid.T, name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	rapid.Check(t, func(t *rapid.T) {
		var feet []plane.Point
		for range rapid.IntRange(3, 6).Draw(t, "feet") {
			feet = append(feet, plane.Point{X: num(t, "x", -300, 300), Y: num(t, "y", -300, 300)})
		}
		s := tipping.Stand{Feet: plane.Hull(feet), Weight: num(t, "weight", 10, 200), Centre: solid.Vec{X: num(t, "cx", -50, 50), Y: num(t, "cy", -50, 50), Z: num(t, "cz", 50, 400)}}
		if !s.Stands() { // as feet in a line do not
			return
		}
		const inside = 0.01 // mm: nearer to a line of the feet, rounding says on which side the centre lies
		for i, a := range s.Feet {
			b := s.Feet[(i+1)%len(s.Feet)]
			if along, to := b.Sub(a), (plane.Point{X: s.Centre.X, Y: s.Centre.Y}).Sub(a); along.Cross(to) < inside*a.Dist(b) {
				return
			}
		}
		var loads []tipping.Load
		for range rapid.IntRange(1, 3).Draw(t, "loads") {
			at := solid.Vec{X: num(t, "px", -200, 200), Y: num(t, "py", -200, 200), Z: num(t, "pz", 10, 600)}
			loads = append(loads, tipping.Load{Force: solid.Vec{X: num(t, "fx", -90, 90), Y: num(t, "fy", -90, 90), Z: num(t, "fz", -500, 20)}, Frame: solid.Frame{O: at, X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}})
		}
		stands := func(share float64) bool {
			down, mx, my := s.Weight, s.Weight*s.Centre.X, s.Weight*s.Centre.Y
			for _, l := range loads {
				f, p := l.Force.Scale(share), l.Frame.O
				down -= f.Z
				mx += -f.Z*p.X + f.X*p.Z
				my += -f.Z*p.Y + f.Y*p.Z
			}
			if down <= 0 {
				return false
			}
			push := plane.Point{X: mx / down, Y: my / down}
			for i, a := range s.Feet {
				if plane.Orient(a, s.Feet[(i+1)%len(s.Feet)], push) < 0 {
					return false
				}
			}
			return true
		}
		factor := s.Tips(loads).Factor
		switch {
		case factor == 0:
			if stands(0) && s.Weight > 0 {
				t.Fatal("it stands without the loads")
			}
		case math.IsInf(factor, 1):
			if !stands(1e6) {
				t.Fatal("a million times the loads tip it")
			}
		case factor > 1000: // so far off, the push moves by less than rounding where the loads grow by a little
			if !stands(1000) {
				t.Fatalf("it tips at fewer than %g times the loads", factor)
			}
		case !stands(factor*(1-1e-9)) || stands(factor*(1+1e-9)):
			t.Fatalf("it does not tip at %g times the loads", factor)
		}
	})
}

// An angle of two legs, stood on the edge of one: weight and centre of a section of two
// strips and a quarter of a ring, by hand.
func TestOfAnAngle(t *testing.T) {
	const wide, high, long, sheet, radius, density = 60.0, 100.0, 200.0, 2.0, 3.0, 7850.0
	rect := func(x0, y0, x1, y1 float64) plane.Region {
		return plane.Region{plane.RectAt(plane.Point{X: x0, Y: y0}, plane.Point{X: x1, Y: y1})}
	}
	p := &panel.Panel{Name: "angle", Stock: shop.Stock{Name: "tin", Material: "mild_steel", Thickness: sheet, Density: density},
		Faces: []panel.Face{
			{Name: "top", Frame: solid.LevelFrame(high), Outline: rect(0, -long/2, wide, long/2)},
			{Name: "web", Frame: solid.Frame{O: solid.Vec{X: wide}, X: solid.Vec{Y: 1}, Y: solid.Vec{Z: 1}}, Outline: rect(-long/2, 0, long/2, high)},
		},
		Folds: []panel.Fold{{Name: "top/web", A: 0, B: 1, Radius: radius, K: 0.4}}}
	flat, err := panel.Unfold(p, panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	const outer, inner = radius + sheet, radius
	ring := math.Pi / 4 * (outer*outer - inner*inner)
	arm := (outer*outer*outer - inner*inner*inner) / 3 / ring // of the quarter ring, from its middle along either leg
	top, web := (wide-outer)*sheet, (high-outer)*sheet
	section := top + web + ring
	x := (top*(wide-outer)/2 + web*(wide-sheet/2) + ring*(wide-outer+arm)) / section
	z := (top*(high-sheet/2) + web*(high-outer)/2 + ring*(high-outer+arm)) / section

	got := tipping.On([]*panel.Flat{flat})
	if want := section * long * density * 1e-9 * tipping.Gravity; math.Abs(got.Weight/want-1) > 1e-3 {
		t.Errorf("it weighs %g N, want %g", got.Weight, want)
	}
	if at := got.Centre; math.Abs(at.X-x) > 0.02 || math.Abs(at.Y) > 1e-9 || math.Abs(at.Z-z) > 0.02 {
		t.Errorf("its centre is %v, want (%g, 0, %g)", at, x, z)
	}
	if want := (plane.Region{plane.RectAt(plane.Point{X: wide - sheet, Y: -long / 2}, plane.Point{X: wide, Y: long / 2})}); math.Abs(got.Floor) > 1e-9 ||
		len(got.Feet) != 4 || !got.Feet[0].Near(want[0][0].P, 1e-9) || !got.Feet[2].Near(want[0][2].P, 1e-9) {
		t.Errorf("it stands at %g on %v", got.Floor, got.Feet)
	}
	if tip := got.Tips(nil); !got.Stands() || tip.Factor != 0 || math.Abs(tip.Line[0].X-wide+sheet) > 1e-9 {
		t.Errorf("an angle on the edge of one leg does not fall over to the other: %+v", tip)
	}
	over := *flat
	if s := tipping.On([]*panel.Flat{&over, flat}); math.Abs(s.Weight-2*got.Weight) > 1e-9 || s.Centre.Sub(got.Centre).Len() > 1e-9 {
		t.Errorf("two in one place weigh %g N about %v", s.Weight, s.Centre)
	}
}

func TestStandsOnALine(t *testing.T) {
	for _, feet := range [][]plane.Point{nil, {{X: 1, Y: 1}}, {{X: 0, Y: 0}, {X: 100, Y: 0}}, {{X: 0, Y: 0}, {X: 50, Y: 0.01}, {X: 100, Y: 0}}} {
		if (tipping.Stand{Feet: plane.Hull(feet)}).Stands() {
			t.Errorf("a piece stands on %v", feet)
		}
	}
}

func Example() {
	s := tipping.Stand{Feet: []plane.Point{{X: -150, Y: -150}, {X: 150, Y: -150}, {X: 150, Y: 150}, {X: -150, Y: 150}}, Weight: 60, Centre: solid.Vec{Z: 200}}
	t := s.Tips([]tipping.Load{{Force: solid.Vec{X: 20}, Frame: solid.LevelFrame(450)}})
	fmt.Printf("tips at %.1f times the push, over the line from %v to %v\n", t.Factor, t.Line[0], t.Line[1])
	// Output: tips at 1.0 times the push, over the line from {150 -150} to {150 150}
}
