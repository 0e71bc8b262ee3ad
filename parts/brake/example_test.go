package brake_test

import (
	"fmt"
	"math"

	"perch/parts/bend"
	"perch/parts/brake"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// angleBracket is an angle of two flanges, 40 and 60 outside, bent square from 1.5 mm sheet.
func angleBracket() *panel.Flat {
	web := solid.LevelFrame(0)
	from, to := plane.Point{X: 40, Y: 0}, plane.Point{X: 40, Y: 100}
	square := bend.Bend{Angle: math.Pi / 2, Thickness: 1.5, Radius: 1.5, K: 0.325}
	flat, err := panel.Unfold(&panel.Panel{
		Name:  "angle",
		Stock: shop.Stock{Name: "shell", Material: "mild_steel", Thickness: 1.5, Radius: 1.5, Density: 7850},
		Faces: []panel.Face{
			{Name: "web", Frame: web, Outline: plane.Region{plane.RectAt(plane.Point{}, to)}},
			{Name: "flange", Frame: panel.Hung(web, from, to, square, true),
				Outline: plane.Region{plane.RectAt(plane.Point{X: -50}, plane.Point{X: 50, Y: 60})}},
		},
		Folds: []panel.Fold{{Name: "web/flange", A: 0, B: 1, Radius: 1.5, K: 0.325}},
	}, panel.Options{})
	if err != nil {
		panic(err)
	}
	return flat
}

// Where a fold's sight line lies depends on the side that is held.
func ExamplePlan_SightOf() {
	flat := angleBracket()
	for _, heldA := range []bool{true, false} {
		plan := brake.Plan{Flat: flat, Steps: []brake.Step{{Op: brake.Bend, Folds: []int{0}, HeldA: heldA, Radius: 1.5}}}
		line, _ := plan.SightOf(0)
		fmt.Printf("x = %.3f\n", line[0].X)
	}
	// Output:
	// x = 38.500
	// x = 38.622
}

// The plan of an angle: one stroke, with what is held, how far to pull, and the fingers.
func ExampleFind() {
	plan := brake.Find(angleBracket(), shop.Default(), nil)
	for _, s := range plan.Steps {
		fmt.Printf("%s: hold %s, drawn side up %v, turn %.0f°, pull to %.1f°, %d fingers, rating %.2f\n",
			s.Op, plan.Flat.Faces[s.Held].Name, s.DrawnUp, s.Turned/bend.Degree, s.Stop/bend.Degree, len(s.Fingers), s.Rating)
	}
	// Output:
	// bend: hold flange, drawn side up false, turn 90°, pull to 91.5°, 1 fingers, rating 0.27
}
