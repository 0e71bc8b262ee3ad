// Package bracket is one small assembly computed by hand: two angle brackets, a
// right and a left one of the same blank, with a plate riveted on each. The rooms
// that write files are tested on it; it is no part of the product.
package bracket

import (
	"math"

	"perch/parts/bend"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// The bracket: 2 mm sheet, inside radius 3, K 0.4, one square bend. The base is
// 80 × 50 and the wall 60 high, over the outside, so each face loses r + t = 5.
const (
	Thickness = 2.0
	Radius    = 3.0
	K         = 0.4
	Allowance = math.Pi / 2 * (Radius + K*Thickness)
	baseFlat  = 75.0
	wallFlat  = 55.0
	deep      = 50.0
	Width     = baseFlat + Allowance + wallFlat // of the blank
	round     = 10.0                            // the wall's free corners
)

// quarter is tan(90°/4), the bulge of a quarter arc.
const quarter = 0.41421356237309503

// Area of the bracket's blank and the length of its cuts, from elementary geometry.
const (
	holes     = 3
	slotLong  = 30.0 // over the ends
	slotWide  = 8.0
	holeWide  = 4.9
	Area      = Width*deep - (4-math.Pi)*round*round/2 - holes*math.Pi*holeWide*holeWide/4 - (slotLong-slotWide)*slotWide - math.Pi*slotWide*slotWide/4
	CutLength = 2*Width + 2*deep - (4-math.Pi)*round + holes*math.Pi*holeWide + 2*(slotLong-slotWide) + math.Pi*slotWide
)

func at(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

func polygon(pts ...plane.Point) plane.Loop {
	var l plane.Loop
	for _, p := range pts {
		l = append(l, plane.Vertex{P: p})
	}
	return l
}

func circle(c plane.Point, d float64) plane.Loop {
	return plane.Loop{{P: at(c.X-float64(d/2), c.Y), Bulge: -1}, {P: at(c.X+float64(d/2), c.Y), Bulge: -1}}
}

// Assembly returns a new copy of the whole.
func Assembly() *panel.Assembly {
	shift := func(x, y, z, mirror float64) panel.Matrix {
		return panel.Matrix{mirror, 0, 0, x, 0, 1, 0, y, 0, 0, 1, z, 0, 0, 0, 1}
	}
	down := solid.Vec{Z: -1}
	rivet := func(name string, x, y float64, plate, angle int, point string) panel.JoinPoint {
		return panel.JoinPoint{Name: name, Kind: "rivet", Diameter: 4.8, At: solid.Vec{X: x, Y: y, Z: 62}, Axis: down, Grip: 4,
			Members: []panel.JoinMember{{Copy: plate, Point: point}, {Copy: angle, Point: point}}}
	}
	return &panel.Assembly{
		Design: "Wandwinkel groß", Revision: "A", Size: "mid",
		Values: []panel.Value{
			{Name: "height", Value: 60, Unit: "mm", From: "size", Where: "bracket.perch:9:7"},
			{Name: "rows", Value: 1, From: "default", Where: "bracket.perch:10:1"},
		},
		Blanks: []*panel.Blank{
			{Name: "angle", Flat: angle(), Count: 2, Mirrored: 1},
			{Name: "plate", Flat: plate(), Count: 2, Mirrored: 1},
		},
		Copies: []panel.Copy{
			{Name: "angle.1", Blank: 0, Matrix: shift(0, 0, 60, 1)},
			{Name: "angle.2", Blank: 0, Mirrored: true, Matrix: shift(-40, 0, 60, -1)},
			{Name: "plate.1", Blank: 1, Matrix: shift(5, 5, 62, 1)},
			{Name: "plate.2", Blank: 1, Mirrored: true, Matrix: shift(-45, 5, 62, -1)},
		},
		Joins: []panel.JoinPoint{
			rivet("hold.1", 15, 15, 2, 0, "hold.1"), rivet("hold.2", 15, 35, 2, 0, "hold.2"),
			rivet("hold.3", -55, 15, 3, 1, "hold.1"), rivet("hold.4", -55, 35, 3, 1, "hold.2"),
		},
	}
}

func stock() shop.Stock {
	return shop.Stock{Name: "angle_sheet", Material: "mild_steel", Thickness: Thickness, Radius: Radius, Density: 7850}
}

func angle() *panel.Flat {
	wall := baseFlat + Allowance
	mid := baseFlat + Allowance/2
	sight := baseFlat + Radius
	outer := plane.Loop{
		{P: at(0, 0)}, {P: at(Width-round, 0), Bulge: quarter},
		{P: at(Width, round)}, {P: at(Width, deep-round), Bulge: quarter},
		{P: at(Width-round, deep)}, {P: at(0, deep)},
	}
	hold1, hold2, wallHole := circle(at(15, 15), holeWide), circle(at(15, 35), holeWide), circle(at(wall+30, 15), holeWide)
	slot := plane.Loop{ // clockwise, from its lower left
		{P: at(44, 21), Bulge: -1}, {P: at(44, 21+slotWide)},
		{P: at(44+slotLong-slotWide, 21+slotWide), Bulge: -1}, {P: at(44+slotLong-slotWide, 21)},
	}
	wallFrame := solid.Frame{O: solid.Vec{X: 80, Z: -5 + wall}, X: solid.Vec{Z: -1}, Y: solid.Vec{Y: 1}}
	return &panel.Flat{
		Panel: &panel.Panel{Name: "angle", Stock: stock(), Faces: make([]panel.Face, 2), Folds: make([]panel.Fold, 1)},
		Outer: outer,
		Inner: []plane.Loop{hold1, hold2, slot, wallHole},
		Faces: []panel.FlatFace{
			{Name: "base", Loop: polygon(at(0, 0), at(baseFlat, 0), at(baseFlat, deep), at(0, deep)),
				Frame: solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}, ToFlat: plane.Affine{A: 1, D: 1}},
			{Name: "wall", Loop: plane.Loop{
				{P: at(wall, 0)}, {P: at(Width-round, 0), Bulge: quarter}, {P: at(Width, round)},
				{P: at(Width, deep-round), Bulge: quarter}, {P: at(Width-round, deep)}, {P: at(wall, deep)}},
				Frame: wallFrame, ToFlat: plane.Affine{A: 1, D: 1}},
		},
		Folds: []panel.FlatFold{{
			Name: "base/wall", A: 0, B: 1, From: at(mid, 0), To: at(mid, deep),
			Loop:     polygon(at(baseFlat, 0), at(wall, 0), at(wall, deep), at(baseFlat, deep)),
			TangentA: [2]plane.Point{at(baseFlat, 0), at(baseFlat, deep)},
			TangentB: [2]plane.Point{at(wall, 0), at(wall, deep)},
			Sight:    [2]plane.Point{at(sight, 0), at(sight, deep)},
			Bend:     bend.Bend{Angle: math.Pi / 2, Thickness: Thickness, Radius: Radius, K: K},
			Down:     true, SetBackA: 5, SetBackB: 5,
		}},
		Cuts: []panel.FlatCut{
			{Name: "hold.1", Face: 0, Loop: hold1}, {Name: "hold.2", Face: 0, Loop: hold2},
			{Name: "slot", Face: 0, Loop: slot}, {Name: "wall_hole", Face: 1, Loop: wallHole},
		},
		Marks: []panel.FlatMark{
			{Mark: panel.Mark{Name: "rib", Kind: panel.MarkBead, Width: 6, Path: plane.Loop{{P: at(wall+20, 30), Bulge: 0.2}, {P: at(wall+42, 40)}}}, Face: 1},
			{Mark: panel.Mark{Name: "up", Kind: panel.MarkText, Text: "TOP µ", At: at(wall+10, 5), Dir: at(1, 0), Height: 4}, Face: 1},
		},
		Points: []panel.Point{
			{Name: "hold.1", Face: 0, At: at(15, 15), Diameter: holeWide, Kind: panel.Hole},
			{Name: "hold.2", Face: 0, At: at(15, 35), Diameter: holeWide, Kind: panel.Hole},
			{Name: "pin.1", Face: 1, At: at(wall+12, 40), Diameter: 2, Kind: panel.Drill},
			{Name: "weld.1", Face: 0, At: at(40, 4), Diameter: 5, Kind: panel.Tack, Dir: at(1, 0)},
		},
	}
}

func plate() *panel.Flat {
	outer := polygon(at(0, 0), at(30, 0), at(30, 40), at(0, 40))
	h1, h2 := circle(at(10, 10), holeWide), circle(at(10, 30), holeWide)
	return &panel.Flat{
		Panel: &panel.Panel{Name: "plate", Stock: stock(), Faces: make([]panel.Face, 1)},
		Outer: outer, Inner: []plane.Loop{h1, h2},
		Faces: []panel.FlatFace{{Name: "flat", Loop: outer.Clone(),
			Frame: solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}, ToFlat: plane.Affine{A: 1, D: 1}}},
		Cuts: []panel.FlatCut{{Name: "hold.1", Loop: h1}, {Name: "hold.2", Loop: h2}},
		Points: []panel.Point{
			{Name: "hold.1", At: at(10, 10), Diameter: holeWide, Kind: panel.Hole},
			{Name: "hold.2", At: at(10, 30), Diameter: holeWide, Kind: panel.Hole},
		},
	}
}
