package panel

import (
	"testing"

	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// TestForAnotherPlace unfolds a leg once and takes its flat for the same leg
// elsewhere, and for none that differs.
func TestForAnotherPlace(t *testing.T) {
	leg := func(turn func(solid.Vec) solid.Vec, wide float64) *Panel {
		p := channelForAlike(wide)
		for i := range p.Faces {
			f := &p.Faces[i].Frame
			f.O, f.X, f.Y = turn(f.O), turn(f.X), turn(f.Y)
		}
		return p
	}
	stay := func(v solid.Vec) solid.Vec { return v }
	quarter := func(v solid.Vec) solid.Vec { return solid.Vec{X: -v.Y, Y: v.X, Z: v.Z} }
	mirror := func(v solid.Vec) solid.Vec { return solid.Vec{X: -v.X, Y: v.Y, Z: v.Z} }
	f, err := Unfold(leg(stay, 40), Options{})
	if err != nil {
		t.Fatal(err)
	}
	turned := leg(quarter, 40)
	turned.Faces[1].Name = "other"
	g, ok := f.For(turned)
	if !ok {
		t.Fatal("the same channel a quarter turn on is not taken for alike")
	}
	if g.Faces[1].Name != "other" || g.Panel != turned {
		t.Errorf("the flat keeps names of the first: %s", g.Faces[1].Name)
	}
	for i := range turned.Faces {
		if d := g.FaceFrame(i).O.Sub(turned.Faces[i].Frame.O); d.Len() > 1e-6 {
			t.Errorf("face %d stands %v off", i, d)
		}
	}
	if _, ok := f.For(leg(stay, 40.001)); ok {
		t.Error("a wider channel is taken for alike")
	}
	if _, ok := f.For(leg(mirror, 40)); ok {
		t.Error("a mirrored channel is taken for alike")
	}
}

// channelForAlike is a base with one wall, so that its mirror image differs.
func channelForAlike(wide float64) *Panel {
	base := solid.LevelFrame(0)
	wall := solid.Frame{O: solid.Vec{X: wide / 2}, X: solid.Vec{Y: -1}, Y: solid.Vec{Z: 1}}
	p := &Panel{Name: "channel", Stock: worksheet()}
	p.Faces = []Face{
		{Name: "base", Frame: base, Outline: rectRegion(-wide/2, -30, wide/2, 30)},
		{Name: "wall", Frame: wall, Outline: rectRegion(-30, 0, 30, 25)},
	}
	p.Folds = []Fold{{Name: "base/wall", A: 0, B: 1, Radius: 2, K: 0.4}}
	return p
}

func worksheet() shop.Stock {
	return shop.Stock{Name: "sheet", Material: "mild_steel", Thickness: 2, Radius: 2, Density: 7850}
}

func rectRegion(x0, y0, x1, y1 float64) plane.Region {
	return plane.Region{plane.RectAt(plane.Point{X: x0, Y: y0}, plane.Point{X: x1, Y: y1})}
}
