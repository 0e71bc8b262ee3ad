package panel_test

import (
	"fmt"
	"math"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// An angle of two flanges, 40 and 60 outside, bent square from 1.5 mm sheet.
func ExampleUnfold() {
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
		fmt.Println(err)
		return
	}
	w, h := flat.Size()
	bends := flat.Bends()
	fmt.Printf("%.3f × %.3f mm, %.3f kg\n", w, h, flat.Mass())
	fmt.Printf("deduction %.3f, down %v\n", bends[0].Deduction, bends[0].Down)
	// Output:
	// 97.122 × 100.000 mm, 0.114 kg
	// deduction 2.878, down true
}
