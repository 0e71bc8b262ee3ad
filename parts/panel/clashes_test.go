package panel

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/plane"
	"perch/parts/solid"
)

// slab is an upright box in the world.
type slab struct{ lo, hi solid.Vec }

// plateOf is a flat plate of the shell's thickness that fills a box: its surface faces +x, +y
// or +z, and its metal lies behind.
func plateOf(t testing.TB, lo, size solid.Vec, facing int) (*Flat, slab) {
	t.Helper()
	x, y, z := solid.Vec{X: 1}, solid.Vec{Y: 1}, solid.Vec{Z: 1}
	thick := sheet.Thickness
	var f solid.Frame
	var w, h float64
	switch facing {
	case 0:
		f, w, h, size.X = solid.Frame{X: y, Y: z}, size.Y, size.Z, thick
		f.O = solid.Vec{X: lo.X + thick, Y: lo.Y, Z: lo.Z}
	case 1:
		f, w, h, size.Y = solid.Frame{X: z, Y: x}, size.Z, size.X, thick
		f.O = solid.Vec{X: lo.X, Y: lo.Y + thick, Z: lo.Z}
	default:
		f, w, h, size.Z = solid.Frame{X: x, Y: y}, size.X, size.Y, thick
		f.O = solid.Vec{X: lo.X, Y: lo.Y, Z: lo.Z + thick}
	}
	return unfold(t, &Panel{Name: "plate", Stock: sheet, Faces: []Face{{Name: "a", Frame: f, Outline: rectAt(0, 0, w, h)}}}), slab{lo, lo.Add(size)}
}

// shared is the box that two share; its extents may be negative.
func shared(a, b slab) solid.Vec {
	over := func(lo, hi, clo, chi float64) float64 { return min(hi, chi) - max(lo, clo) }
	return solid.Vec{X: over(a.lo.X, a.hi.X, b.lo.X, b.hi.X), Y: over(a.lo.Y, a.hi.Y, b.lo.Y, b.hi.Y), Z: over(a.lo.Z, a.hi.Z, b.lo.Z, b.hi.Z)}
}

// TestClashesOfBoxes: plates that face along the axes are boxes, and what two boxes share is
// told by their corners alone. Half a layer of either sheet may be missed or taken for metal.
func TestClashesOfBoxes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var flats []*Flat
		var boxes []slab
		for range rapid.IntRange(2, 8).Draw(rt, "plates") {
			at := func(name string, most float64) float64 {
				return float64(rapid.IntRange(0, 400).Draw(rt, name)) / 400 * most
			}
			lo := solid.Vec{X: at("x", 40), Y: at("y", 40), Z: at("z", 40)}
			size := solid.Vec{X: 5 + at("wide", 25), Y: 5 + at("deep", 25), Z: 5 + at("high", 25)}
			f, b := plateOf(t, lo, size, rapid.IntRange(0, 2).Draw(rt, "facing"))
			flats, boxes = append(flats, f), append(boxes, b)
		}
		got := Clashes(flats)
		for i := range boxes {
			for j := i + 1; j < len(boxes); j++ {
				s := shared(boxes[i], boxes[j])
				least := min(s.X, s.Y, s.Z)
				k := slices.IndexFunc(got, func(c PartClash) bool { return c.A == i && c.B == j })
				switch {
				case least <= TouchTol && k >= 0:
					rt.Fatalf("plates %v and %v share %v, told is %+v", boxes[i], boxes[j], s, got[k])
				case least > sheet.Thickness/2 && k < 0:
					rt.Fatalf("plates %v and %v share %v, nothing is told", boxes[i], boxes[j], s)
				case least > sheet.Thickness/2:
					c, layer := got[k], sheet.Thickness/levels
					if math.Abs(c.Depth-min(least, sheet.Thickness)) > layer+1e-9 || math.Abs(c.Volume-s.X*s.Y*s.Z) > 0.45*s.X*s.Y*s.Z {
						rt.Fatalf("plates %v and %v share %v, told is %+v", boxes[i], boxes[j], s, c)
					}
					if in := shared(slab{c.At, c.At}, slab{boxes[i].lo, boxes[i].hi}); min(in.X, in.Y, in.Z) < -1e-9 {
						rt.Fatalf("%v is not in plate %v", c.At, boxes[i])
					}
					if in := shared(slab{c.At, c.At}, slab{boxes[j].lo, boxes[j].hi}); min(in.X, in.Y, in.Z) < -1e-9 {
						rt.Fatalf("%v is not in plate %v", c.At, boxes[j])
					}
				}
			}
		}
		if !slices.IsSortedFunc(got, func(a, b PartClash) int { return (a.A-b.A)*1000 + a.B - b.B }) {
			rt.Fatalf("out of order: %+v", got)
		}
		// one by one the same is found
		for i := range flats {
			for j := i + 1; j < len(flats); j++ {
				one := Interfere(flats[i], flats[j])
				var all []Clash
				for _, c := range got {
					if c.A == i && c.B == j {
						all = append(all, c.Clash)
					}
				}
				if !slices.Equal(one, all) {
					rt.Fatalf("plates %d and %d: %+v among others, %+v by themselves", i, j, all, one)
				}
			}
		}
	})
}

// TestClashesTakeNoMoreWork: plates far from each other count for nothing, whichever way they
// are laid out; those whose boxes meet do until no more may be compared.
func TestClashesTakeNoMoreWork(t *testing.T) {
	for axis := range 3 {
		for facing := range 3 {
			var flats []*Flat
			for i := range 40 {
				step := 20 * float64(i)
				at := [3]solid.Vec{{X: step}, {Y: step}, {Z: step}}[axis]
				f, _ := plateOf(t, at, solid.Vec{X: 15, Y: 15, Z: 15}, facing)
				flats = append(flats, f)
			}
			last, _ := plateOf(t, [3]solid.Vec{{X: 780.5}, {Y: 780.5}, {Z: 780.5}}[axis], solid.Vec{X: 15, Y: 15, Z: 15}, facing)
			got, left := FirstClashes(append(flats, last), 1)
			if len(got) != 1 || left != 0 || got[0].A != 39 || got[0].B != 40 {
				t.Errorf("along axis %d, facing %d: %+v, %d left", axis, facing, got, left)
			}
		}
	}
	var heap []*Flat
	for i := range 5 {
		f, _ := plateOf(t, solid.Vec{X: float64(i), Z: 0.25 * float64(i)}, solid.Vec{X: 30, Y: 30}, 2)
		heap = append(heap, f)
	}
	pair := pairCorners + 4 + 4 // a look at two, and the corners of both
	for budget, want := range map[int]int{0: 0, 1: 1, pair: 1, pair + 1: 2, 3*pair + 1: 4, 9*pair + 1: 10, 1000: 10} {
		if got, left := FirstClashes(heap, budget); len(got) != want || left != 10-want {
			t.Errorf("%d corners: %d clashes, %d left, want %d and %d", budget, len(got), left, want, 10-want)
		}
	}
}

// TestClashInABend: a pin through the bend alone misses both faces, and is told as the face
// that the bend hangs.
func TestClashInABend(t *testing.T) {
	for _, down := range []bool{true, false} {
		b := base(rectAt(0, 0, 100, 60))
		b.hang(0, "flange", pt(100, 60), pt(0, 60), 90, down, rectAt(-50, 0, 50, 20))
		f := unfold(t, b.Panel)
		// bent down the outside of the corner is at y = 60, z = 0; bent up the drawn side is
		// inside, and the outside lies a thickness beyond
		z := 0.0
		if !down {
			z = -sheet.Thickness
		}
		out := solid.Vec{X: 40, Y: 60, Z: z}
		r := sheet.Radius + sheet.Thickness
		up := 1.0
		if down {
			up = -1
		}
		if !down {
			out.Y += sheet.Thickness
		}
		mid := out.Add(solid.Vec{Y: -r, Z: up * r}).Add(solid.Vec{Y: 1, Z: -up}.Scale((sheet.Radius + sheet.Thickness/2) / math.Sqrt2))
		pin, _ := plateOf(t, mid.Sub(solid.Vec{X: 0, Y: 0.2, Z: 0.2}), solid.Vec{X: 1, Y: 0.4, Z: 0.4}, 0)
		if got := Interfere(f, pin); len(got) != 0 {
			t.Errorf("down %v: the pin is in a face: %+v", down, got)
		}
		got := Clashes([]*Flat{f, pin})
		if len(got) != 1 || got[0].FaceA != 1 || got[0].FaceB != 0 {
			t.Errorf("down %v: %+v", down, got)
		}
		if got = Clashes([]*Flat{pin, f}); len(got) != 1 || got[0].FaceA != 0 || got[0].FaceB != 1 {
			t.Errorf("down %v, the other way: %+v", down, got)
		}
		for _, off := range []solid.Vec{{Y: 2}, {Z: -2 * up}, {X: 61}, {Y: -3, Z: 3 * up}} { // outside, beside, in the hollow
			pin, _ := plateOf(t, mid.Add(off).Sub(solid.Vec{X: 0, Y: 0.2, Z: 0.2}), solid.Vec{X: 1, Y: 0.4, Z: 0.4}, 0)
			if got := Clashes([]*Flat{f, pin}); len(got) != 0 {
				t.Errorf("down %v: a pin off by %v: %+v", down, off, got)
			}
		}
	}
}

// TestBoxesMeet: boxes that share a piece of each axis but one do not meet.
func TestBoxesMeet(t *testing.T) {
	one := box{solid.Vec{}, solid.Vec{X: 10, Y: 10, Z: 10}}
	for _, c := range []struct {
		lo, hi solid.Vec
		want   bool
		apart  float64
	}{
		{solid.Vec{X: 2, Y: 2, Z: 2}, solid.Vec{X: 3, Y: 3, Z: 3}, true, 0},
		{solid.Vec{X: 9, Y: 9, Z: 9}, solid.Vec{X: 30, Y: 30, Z: 30}, true, 0},
		{solid.Vec{X: 9.99, Y: 9, Z: 9}, solid.Vec{X: 30, Y: 30, Z: 30}, false, 0},
		{solid.Vec{X: 9, Y: 9.99, Z: 9}, solid.Vec{X: 30, Y: 30, Z: 30}, false, 0},
		{solid.Vec{X: 9, Y: 9, Z: 9.99}, solid.Vec{X: 30, Y: 30, Z: 30}, false, 0},
		{solid.Vec{X: 13, Y: 14, Z: 0}, solid.Vec{X: 30, Y: 30, Z: 30}, false, 5},
		{solid.Vec{X: 0, Y: 13, Z: 14}, solid.Vec{X: 30, Y: 30, Z: 30}, false, 5},
		{solid.Vec{X: 12, Y: 13, Z: 16}, solid.Vec{X: 30, Y: 30, Z: 30}, false, 7},
	} {
		b := box{c.lo, c.hi}
		if one.meets(b) != c.want || b.meets(one) != c.want {
			t.Errorf("%v: %v, the other way %v", b, one.meets(b), b.meets(one))
		}
		near(t, "boxes apart", one.apart(b), c.apart, 1e-12)
		near(t, "boxes apart, the other way", b.apart(one), c.apart, 1e-12)
		if j := one.join(b); j.lo != (solid.Vec{}) || j.hi != (solid.Vec{X: max(10, c.hi.X), Y: max(10, c.hi.Y), Z: max(10, c.hi.Z)}) {
			t.Errorf("around both: %v", j)
		}
	}
}

// TestPointsOfAFlat: which points are cut, drilled or marked, what they come to, and how far
// they lie from the metal's edges.
func TestPointsOfAFlat(t *testing.T) {
	b := base(rectAt(0, 0, 200, 100))
	b.Faces[0].Cuts = []Cut{{"window", rectAt(50, 40, 90, 60)}, {"far", plane.Region{plane.Circle(10).Transform(plane.Translate(pt(180, 50)))}}}
	f := unfold(t, b.Panel)
	at := func(x, y float64) plane.Point { return f.Faces[0].ToFlat.Apply(pt(x, y)) }
	f.Points = []Point{
		{Kind: Hole, Diameter: 4, At: at(20, 20)}, {Kind: Plug, Diameter: 8, At: at(120, 30)}, {Kind: Drill, Diameter: 3, At: at(130, 30)},
		{Kind: Tack, Diameter: 10, At: at(140, 30)}, {Kind: Weld, Diameter: 30, At: at(150, 30)},
		{Kind: Hole, Diameter: 10, At: at(180, 50)}, // the place of a cut of its own
		{Kind: Drill, Diameter: 3, At: at(60, 50)},
	}
	near(t, "cut length", f.CutLength(), 600+120+10*math.Pi+12*math.Pi, 1e-9)
	if n := f.Holes(); n != 2+3 {
		t.Errorf("%d holes", n)
	}
	near(t, "area", f.Area(), 200*100-800-25*math.Pi, 1e-9)
	for i, open := range []bool{false, false, false, false, false, true, true} {
		if p := f.Points[i]; f.Open(p) != open {
			t.Errorf("point %d in an opening: %v", i, !open)
		}
	}
	if f.Points[3].Hole() != nil || f.Points[4].Hole() != nil || !f.Points[3].Marked() || !f.Points[4].Marked() || f.Points[0].Marked() || f.Points[2].Marked() {
		t.Error("a tack or a weld has a hole")
	}
	if h := f.Points[1].Hole(); math.Abs(h.Area()-16*math.Pi) > 1e-9 || !h.Centroid().Near(at(120, 30), 1e-9) {
		t.Errorf("a plug's hole: %v", h)
	}
	for i, want := range []When{Before, Before, Before, "", ""} {
		if got := f.Points[i].Made(); got != want {
			t.Errorf("point %d is made %q", i, got)
		}
	}
	if got := (Point{Kind: Drill, When: InPlace}).Made(); got != InPlace {
		t.Errorf("drilled in place: %q", got)
	}
	for _, c := range []struct{ x, y, want float64 }{
		{20, 50, 20}, {47, 50, 3}, {93, 44, 3}, {70, 65, 5}, {94, 63, 5}, {120, 30, 30}, {170, 50, 5}, {180, 50, 20}, {183, 50, 17}, {70, 50, 50}, {1, 99, 1},
	} {
		near(t, "to the edge", f.ToEdge(at(c.x, c.y)), c.want, 1e-9)
	}
	big := unfold(t, base(rectAt(0, 0, 1000, 1000)).Panel)
	near(t, "to the edge of a large plate", big.ToEdge(big.Faces[0].ToFlat.Apply(pt(500, 500))), 500, 1e-9)
	hole := base(rectAt(0, 0, 1000, 1000))
	hole.Faces[0].Cuts = []Cut{{"h", rectAt(400, 600, 600, 650)}}
	big = unfold(t, hole.Panel)
	near(t, "to an opening far off", big.ToEdge(big.Faces[0].ToFlat.Apply(pt(500, 500))), 100, 1e-9)
	rows := one(t).Bends()
	if len(rows) != 1 || rows[0].A != "web" || rows[0].B != "flange" || !rows[0].Down {
		t.Fatalf("%+v", rows)
	}
	near(t, "length", rows[0].Length, 100, 1e-9)
	near(t, "set-back", rows[0].SetBack, 3, 1e-9)
	near(t, "allowance", rows[0].Allowance, math.Pi/2*(1.5+dinK*1.5), 1e-12)
	near(t, "deduction", rows[0].Deduction, 6-math.Pi/2*(1.5+dinK*1.5), 1e-12)
}

// one is a bracket with one flange, bent down.
func one(t testing.TB) *Flat {
	b := base(rectAt(0, 0, 100, 60))
	b.hang(0, "flange", pt(100, 60), pt(0, 60), 90, true, rectAt(-50, 0, 50, 20))
	return unfold(t, b.Panel)
}
