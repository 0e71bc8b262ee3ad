package panel

import (
	"math"
	"testing"

	"perch/parts/plane"
	"perch/parts/solid"
)

// plateAt is a flat plate of 2 mm, its drawn side up, moved and turned about x.
func plateAt(t *testing.T, o solid.Vec, y solid.Vec, w, h float64) *Flat {
	t.Helper()
	p := &Panel{Name: "plate", Stock: worksheet(), Faces: []Face{{
		Name: "web", Frame: solid.Frame{O: o, X: solid.Vec{X: 1}, Y: y}, Outline: plane.Region{plane.Rect(w, h)},
	}}}
	f, err := Unfold(p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestClearance holds the distance to what elementary geometry says.
func TestClearance(t *testing.T) {
	up, stand := solid.Vec{Y: 1}, solid.Vec{Z: 1}
	base := plateAt(t, solid.Vec{}, up, 100, 60)
	for name, c := range map[string]struct {
		o, y solid.Vec
		w, h float64
		want float64
	}{
		"above: surface to surface":    {solid.Vec{Z: 12}, up, 20, 20, 10},
		"beside: edge to edge":         {solid.Vec{X: 75}, up, 40, 60, 5},
		"corner to corner":             {solid.Vec{X: 83, Y: 64}, up, 60, 60, 5}, // 3 and 4 mm off
		"lying on it":                  {solid.Vec{Z: 2}, up, 20, 20, 0},
		"standing through it":          {solid.Vec{}, stand, 20, 20, 0},
		"standing over it":             {solid.Vec{Z: 17}, stand, 20, 20, 7},
		"small, over the middle":       {solid.Vec{X: 7, Y: 3, Z: 4}, up, 1, 1, 2},
		"crossing above: edges astray": {solid.Vec{Z: 30}, stand, 300, 20, 20},
	} {
		got := Clearance(base, plateAt(t, c.o, c.y, c.w, c.h))
		if math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g, want %g", name, got, c.want)
		}
		if f := FaceClearance(base, 0, plateAt(t, c.o, c.y, c.w, c.h), 0); f != got {
			t.Errorf("%s: between the faces %g, between the parts %g", name, f, got)
		}
	}
}
