package shopcheck

import (
	"math"
	"testing"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// tray is a level web 200 × 100 with a lip turned down along its right edge, a hole
// in the web 20 mm from the mold line, unfolded.
func tray(t *testing.T, lip, degrees float64) *panel.Flat {
	t.Helper()
	stock := shop.Stock{Name: "shell", Material: "mild_steel", Thickness: 1.5, Radius: 1.5}
	b := bend.Bend{Angle: degrees * bend.Degree, Thickness: 1.5, Radius: 1.5, K: 0.325}
	web := plane.RectAt(plane.Point{}, plane.Point{X: 200, Y: 100})
	level := solid.LevelFrame(0)
	p := &panel.Panel{
		Name: "tray", Stock: stock,
		Faces: []panel.Face{
			{Name: "web", Frame: level, Outline: plane.Region{web}, Cuts: []panel.Cut{{Name: "hand",
				Region: plane.Region{plane.Circle(20).Transform(plane.Translate(plane.Point{X: 180, Y: 50}))}}}},
			{Name: "lip", Frame: panel.Hung(level, plane.Point{X: 200}, plane.Point{X: 200, Y: 100}, b, true),
				Outline: plane.Region{plane.RectAt(plane.Point{X: -50}, plane.Point{X: 50, Y: lip})}},
		},
		Folds: []panel.Fold{{Name: "rim", A: 0, B: 1, Radius: 1.5, K: 0.325, Angle: b.Angle, Down: true}},
	}
	flat, err := panel.Unfold(p, panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return flat
}

// What panel.Unfold makes is read as it is meant: the lip's flat is its drawn depth
// less the set-back, the hole stands where it was drawn.
func TestUnfoldedPanel(t *testing.T) {
	shop := shop.Default()
	if found := Check(tray(t, 30, 90), shop); len(found) != 0 {
		t.Errorf("a sound tray: %+v", found)
	}
	found := Check(tray(t, 7.5, 90), shop)
	if len(found) != 1 || found[0].Code != flangeFlat.Code || math.Abs(found[0].Got-4.5) > 1e-6 || found[0].Place != "fold rim" {
		t.Errorf("lip of 7.5: %+v, want a flat of 7.5 − 3", found)
	}
	found = Check(tray(t, 30, 140), shop) // set-back 3·tan 70° = 8.24: the hole is 1.76 from the bend
	want := 10 - 3*math.Tan(70*bend.Degree)
	if len(found) != 1 || found[0].Code != holeToBend.Code || math.Abs(found[0].Got-want) > 1e-6 {
		t.Errorf("bent by 140°: %+v, want a hole %g from the bend", found, want)
	}
}
