package brake_test

import (
	"math"
	"testing"

	"perch/parts/brake"
	"perch/parts/plane"
	"perch/parts/shop"
)

// At the end of a square bend of 1.5 mm sheet to 1.5 mm, by hand: on a leaf brake the held side
// stays and the leaf's edge stands at x = −(r + t) = −3 against the flange; in a V die either side
// leans by 45°, the punch points at the middle of the bend, and the die's shoulders, half its opening
// of 8 t = 12 mm off, touch the sheet's lower face.
func TestStanding(t *testing.T) {
	plan := brake.Plan{Flat: angleBracket(), Steps: []brake.Step{{Op: brake.Bend, Folds: []int{0}, HeldA: true, Turned: math.Pi / 2, Radius: 1.5}}}
	b := shop.Default().Brake
	leaf := plan.Standing(b, 0)
	if q := leaf.Held.Apply(plane.Point{X: 20, Y: 1}); !q.Near(plane.Point{X: 20, Y: 1}, 1e-12) {
		t.Errorf("the held side goes to %v on a leaf brake", q)
	}
	right := math.Inf(-1)
	for _, body := range leaf.Bodies {
		for _, q := range body.Section {
			if body.Tool == brake.Leaf {
				right = max(right, q.X)
			}
		}
	}
	if math.Abs(right - -3) > 0.11 { // less the tenth that metal may reach into a tool
		t.Errorf("the leaf's edge stands at x = %g", right)
	}

	b.Kind, b.Openings = shop.BrakeVDie, nil
	press := plan.Standing(b, 0)
	if turn := math.Atan2(press.Held.C, press.Held.A); math.Abs(turn-math.Pi/4) > 1e-12 {
		t.Errorf("the held side leans by %g rad in a V die", turn)
	}
	var punch, top float64 = math.Inf(1), math.Inf(-1)
	for _, body := range press.Bodies {
		for _, q := range body.Section {
			switch body.Tool {
			case brake.Punch:
				punch = min(punch, q.Y)
			case brake.Die:
				top = max(top, q.Y)
			}
		}
	}
	// The held side's lower face as it leans, under the die's shoulder at x = 6.
	at := press.Held.Apply(plane.Point{X: 50}) // on the lower face
	along := plane.Point{X: press.Held.A, Y: press.Held.C}
	under := at.Y - (at.X-6)*along.Y/along.X
	if math.Abs(top-under) > 0.11 {
		t.Errorf("the die's shoulders stand at %g, the sheet's face at %g", top, under)
	}
	if math.Abs(punch-1.5) > 0.25 {
		t.Errorf("the punch's edge stands at %g, the sheet's upper face in the middle at 1.5", punch)
	}
}
