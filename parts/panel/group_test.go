package panel

import (
	"fmt"
	"math"
	"testing"

	"perch/parts/plane"
	"perch/parts/solid"
)

// legsOf stands a plain leg in every corner of a body.
func legsOf(t *testing.T, b *solid.Body) []Part {
	var parts []Part
	for _, c := range b.Corners() {
		l, r := c.Left().Frame(), c.Right().Frame()
		lo, hi := c.PointAt(0), c.PointAt(b.High-5)
		u := func(d float64, f solid.Frame, p solid.Vec) solid.Vec { return p.Add(f.X.Scale(d)) }
		p := &Panel{Name: fmt.Sprint("leg.", c.Number()), Stock: sheet,
			Faces: []Face{
				{Name: "left", Frame: l, Outline: drop(l, u(-40, l, lo), lo, hi, u(-75, l, hi))},
				{Name: "right", Frame: r, Outline: drop(r, lo, u(40, r, lo), u(75, r, hi), hi)},
			},
			Folds: []Fold{{Name: "left/right", A: 0, B: 1, Radius: 1.5, K: dinK}},
		}
		f := unfold(t, p)
		// a hole 20 in and 50 up on each cheek, as a join would set it
		for i, x := range []float64{-20, 20} {
			at := f.Faces[i].ToFlat.Apply(p.Faces[i].Frame.Local(u(x, p.Faces[i].Frame, c.PointAt(50))))
			f.Points = append(f.Points, Point{Name: fmt.Sprint("head.", len(f.Points)+1), Face: i, At: at, Diameter: 4.9, Kind: Hole})
		}
		parts = append(parts, Part{Name: p.Name, Family: "leg", Flat: f})
	}
	return parts
}

// The legs of a rectangular frustum whose leans differ are two pairs, each the mirror
// image of the other: one blank, two of the four bent the other way.
func TestMirroredLegs(t *testing.T) {
	b, err := solid.RectFrustum(320, 400, 420, 460, 600)
	if err != nil {
		t.Fatal(err)
	}
	parts := legsOf(t, b)
	blanks, copies := Group(parts)
	if len(blanks) != 1 || blanks[0].Count != 4 || blanks[0].Mirrored != 2 || blanks[0].Name != "leg" {
		t.Fatalf("got %d blanks, first %s: %d copies, %d mirrored", len(blanks), blanks[0].Name, blanks[0].Count, blanks[0].Mirrored)
	}
	for i, c := range copies {
		landsOn(t, blanks[c.Blank].Flat, c, parts[i].Flat)
	}
}

func TestSquareLegs(t *testing.T) {
	b, err := solid.Frustum(4, 320, 440, 600)
	if err != nil {
		t.Fatal(err)
	}
	parts := legsOf(t, b)
	blanks, copies := Group(parts)
	if len(blanks) != 1 || blanks[0].Count != 4 || blanks[0].Mirrored != 0 {
		t.Fatalf("got %d blanks, %d copies, %d mirrored", len(blanks), blanks[0].Count, blanks[0].Mirrored)
	}
	for i, c := range copies {
		landsOn(t, blanks[c.Blank].Flat, c, parts[i].Flat)
	}
	// one hole moved by a tenth makes another blank, named for its first copy
	parts[2].Flat.Points[0].At.Y += 0.1
	if blanks, _ := Group(parts); len(blanks) != 2 || blanks[0].Name != "leg.1" || blanks[1].Name != "leg.3" || blanks[0].Count != 3 {
		t.Errorf("a moved hole: %d blanks", len(blanks))
	}
}

// landsOn holds a copy's matrix to put every point and outline vertex of the blank,
// bent in part space, where the part itself has it in the world.
func landsOn(t failer, blank *Flat, c GroupedCopy, own *Flat) {
	t.Helper()
	want := 1.0
	if c.Mirrored {
		want = -1
	}
	near(t, c.Name+" determinant", c.Matrix.Det(), want, 1e-12)
	if len(c.Points) != len(own.Points) {
		t.Fatalf("%s: %d aliases of %d points", c.Name, len(c.Points), len(own.Points))
	}
	for _, p := range own.Points {
		name, ok := c.Point(p.Name)
		if !ok {
			t.Fatalf("%s: no alias for %s", c.Name, p.Name)
		}
		for _, q := range blank.Points {
			if q.Name != name {
				continue
			}
			got := c.Matrix.Apply(blank.Faces[q.Face].Frame.At(q.At))
			near(t, c.Name+" "+p.Name, got.Sub(own.World(p.Face).At(p.At)).Len(), 0, 1e-7)
		}
	}
	for _, f := range blank.Faces {
		for _, v := range f.Loop {
			at := c.Matrix.Apply(f.Frame.At(v.P))
			best := math.Inf(1)
			for j, g := range own.Faces {
				for _, w := range g.Loop {
					best = min(best, at.Sub(own.World(j).At(w.P)).Len())
				}
			}
			near(t, c.Name+" vertex", best, 0, 1e-7)
		}
	}
}

// A part bent up is not the one bent down, though the outlines agree.
func TestDirectionCounts(t *testing.T) {
	var parts []Part
	for _, down := range []bool{true, false} {
		b := base(rectAt(0, 0, 40, 100))
		b.hang(0, "flange", pt(40, 0), pt(40, 100), 90, down, rectAt(-50, 0, 50, 20))
		parts = append(parts, Part{Name: "x", Flat: unfold(t, b.Panel)})
	}
	if blanks, _ := Group(parts); len(blanks) != 2 {
		t.Errorf("%d blanks, want 2", len(blanks))
	}
}

// The pieces of a part are closed surfaces of the right volume: the sum of their
// facets' moments (divergence theorem) is area × thickness for a face, and for a bend
// its angle times the mean of the radii, to the chords' error.
func TestSolids(t *testing.T) {
	for _, down := range []bool{true, false} {
		b := base(rectAt(0, 0, 100, 60))
		b.hang(0, "flange", pt(100, 60), pt(0, 60), 70, down, rectAt(-50, 0, 50, 20))
		b.Faces[0].Cuts = []Cut{{"hole", plane.Region{plane.Circle(20).Transform(plane.Translate(pt(30, 30)))}}}
		f := unfold(t, b.Panel)
		for k, s := range f.Solids(0.001) {
			var want float64
			if k < len(f.Faces) {
				want = f.Faces[k].Trimmed.Area() * 1.5
			} else {
				want = 70 * math.Pi / 180 * (1.5 + 0.75) * 1.5 * 100
			}
			near(t, s.Name+" volume", volume(s), want, 2e-3*want)
		}
	}
}

func volume(s Solid) float64 {
	v := 0.0
	loop := func(l []solid.Vec) {
		for i := 2; i < len(l); i++ {
			v += l[0].Dot(l[i-1].Cross(l[i])) / 6
		}
	}
	for _, f := range s.Facets {
		loop(f.Loop)
		for _, h := range f.Holes {
			loop(h)
		}
	}
	return v
}

func TestInterfere(t *testing.T) {
	at := func(x, y, z float64, outline plane.Region) *Flat {
		f := solid.LevelFrame(z)
		f.O.X, f.O.Y = x, y
		return unfold(t, &Panel{Name: "plate", Stock: sheet, Faces: []Face{{Name: "a", Frame: f, Outline: outline}}})
	}
	a := at(0, 0, 0, rectAt(0, 0, 100, 100))
	for _, c := range []struct {
		x, z  float64
		depth float64 // 0: no clash
	}{{50, 0, 1.5}, {50, 1, 0.5}, {50, 1.5, 0}, {50, -1.5, 0}, {100, 0, 0}, {99.99, 0, 0}, {50, 1.49, 0}} {
		got := Interfere(a, at(c.x, 0, c.z, rectAt(0, 0, 100, 100)))
		if (len(got) > 0) != (c.depth > 0) || len(got) > 0 && math.Abs(got[0].Depth-c.depth) > 1e-9 {
			t.Errorf("at %g, %g: %+v, want depth %g", c.x, c.z, got, c.depth)
		}
	}
	upright := func(z float64) *Flat {
		f := solid.UprightFrame(50)
		f.O.Z = z
		return unfold(t, &Panel{Name: "wall", Stock: sheet, Faces: []Face{{Name: "b", Frame: f, Outline: rectAt(10, 0, 60, 40)}}})
	}
	if c := Interfere(a, upright(0)); len(c) > 0 {
		t.Errorf("a wall that stands on a plate: %+v", c)
	}
	c := Interfere(a, upright(-0.5))
	if len(c) != 1 || math.Abs(c[0].Depth-0.5) > 0.4 || math.Abs(c[0].Volume-50*1.5*0.5) > 25 {
		t.Errorf("a wall half a millimetre in: %+v", c)
	}
}
