package foldmark_test

import (
	"fmt"
	"math"

	"perch/parts/bend"
	"perch/parts/foldmark"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// An angle of two flanges: its fold is told by a nick at either end, on the sight line.
func ExampleMark() {
	b := &panel.Blank{Name: "angle", Flat: angle(math.Pi/2, 1.5)}
	before := b.Flat.Area()
	foldmark.Mark(b, shop.Default(), nil)
	for _, m := range b.FoldMarks {
		fmt.Printf("%s at (%.2f, %.2f), %.1f deep in the metal, its tip drawn at (%.2f, %.2f)\n", m.Kind, m.At.X, m.At.Y, m.Depth, m.Vee[1].X, m.Vee[1].Y)
	}
	fmt.Println(b.Flat.Area() == before, len(b.Contour())-len(b.Flat.Outer))
	// Output:
	// nick at (38.50, 0.00), 1.5 deep in the metal, its tip drawn at (38.50, 3.43)
	// nick at (38.50, 100.00), 1.5 deep in the metal, its tip drawn at (38.50, 96.57)
	// true 6
}

// angle is a web of 40 × 100 mm with a flange of 60 mm on its right edge, of 1.5 mm sheet,
// bent by an angle about an inside radius.
func angle(by, radius float64) *panel.Flat {
	web := solid.LevelFrame(0)
	from, to := plane.Point{X: 40, Y: 0}, plane.Point{X: 40, Y: 100}
	b := bend.Bend{Angle: by, Thickness: 1.5, Radius: radius, K: 0.4}
	flat, err := panel.Unfold(&panel.Panel{
		Name:  "angle",
		Stock: shop.Stock{Name: "shell", Material: "mild_steel", Thickness: 1.5, Radius: radius, Density: 7850},
		Faces: []panel.Face{
			{Name: "web", Frame: web, Outline: plane.Region{plane.RectAt(plane.Point{}, to)}},
			{Name: "flange", Frame: panel.Hung(web, from, to, b, true), Outline: plane.Region{plane.RectAt(plane.Point{X: -50}, plane.Point{X: 50, Y: 60})}},
		},
		Folds: []panel.Fold{{Name: "web/flange", A: 0, B: 1, Radius: radius, K: 0.4, Angle: by, Down: true}},
	}, panel.Options{})
	if err != nil {
		panic(err)
	}
	return flat
}
