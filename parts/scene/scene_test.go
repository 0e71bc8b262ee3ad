package scene_test

import (
	"fmt"
	"math"
	"testing"

	"perch/parts/drawing/layout"
	"perch/parts/joining"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
	"perch/parts/scene"
	"perch/parts/shop"
	"perch/parts/solid"
)

func pieces(t testing.TB) map[string]*panel.Assembly {
	t.Helper()
	s, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return map[string]*panel.Assembly{"stool": s, "bracket": bracket.Assembly()}
}

func made(t testing.TB, a *panel.Assembly) *scene.Scene {
	t.Helper()
	plan := joining.New(a, shop.Default())
	s, err := scene.New(a, &plan)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Closed: each edge is there once each way. Derived from what a closed surface is.
func closed(s scene.Solid) error {
	seen := map[[2]int32]int{}
	for _, t := range s.Triangles {
		for e := range 3 {
			seen[[2]int32{t[e], t[(e+1)%3]}]++
		}
	}
	for e, n := range seen {
		if n != 1 || seen[[2]int32{e[1], e[0]}] != 1 {
			return fmt.Errorf("the edge %v is there %d times, and %d times back", e, n, seen[[2]int32{e[1], e[0]}])
		}
	}
	return nil
}

func TestFinished(t *testing.T) {
	for name, a := range pieces(t) {
		s := made(t, a)
		for i, b := range a.Blanks {
			shape := s.Shapes[i]
			p := shape.Posture(shape.Bent(1))
			for k, f := range b.Flat.Faces {
				for _, v := range f.Loop {
					if d := p.Frames[k].At(v.P).Sub(f.Frame.At(v.P)).Len(); d > 1e-6 {
						t.Errorf("%s, %s.%s: a corner of the finished part is %g mm off the record's frame", name, b.Name, f.Name, d)
					}
				}
			}
		}
	}
}

// At every step the mesh is closed. Flat it is as thick and as large as the record's blank;
// bent, each strip is a ring's sector: t·A·(r + t/2) for each mm of its length, by Pappus, where
// the flat has t·A·(r + K·t).
func TestClosedAndWhole(t *testing.T) {
	for name, a := range pieces(t) {
		s := made(t, a)
		for i, b := range a.Blanks {
			shape := s.Shapes[i]
			m := record.Measure(b.Flat)
			mass := m.Mass
			if math.Abs(shape.Mass-mass) > 1e-3*mass { // nicks
				t.Errorf("%s, %s weighs %g kg, the record says %g", name, b.Name, shape.Mass, mass)
			}
			more := 0.0
			for _, f := range shape.Folds {
				more += f.Angle * shape.Thickness * shape.Thickness * (0.5 - f.K) * middle(f)
			}
			for _, part := range []float64{0, 0.1, 0.5, 0.9, 1} {
				solid := shape.Solid(shape.Bent(part))
				if err := closed(solid); err != nil {
					t.Fatalf("%s, %s at %g: %v", name, b.Name, part, err)
				}
				want := m.Area * shape.Thickness
				if part == 1 {
					want += more
				}
				if got := solid.Volume(); (part == 0 || part == 1) && math.Abs(got-want) > 1e-3*want {
					t.Errorf("%s, %s at %g has %g mm³, not %g", name, b.Name, part, got, want)
				}
			}
		}
	}
}

// middle is how long a strip is, halfway across.
func middle(f scene.Fold) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	n := plane.Point{X: f.Along.Y, Y: -f.Along.X}
	for i, p := range f.Loop {
		q := f.Loop[(i+1)%len(f.Loop)]
		a, b := p.Sub(f.Start).Dot(n)-f.Allowance/2, q.Sub(f.Start).Dot(n)-f.Allowance/2
		if a*b >= 0 {
			continue
		}
		along := p.Lerp(q, a/(a-b)).Sub(f.Start).Dot(f.Along)
		lo, hi = min(lo, along), max(hi, along)
	}
	return hi - lo
}

// Unbent a shape is its flat: all of it between z = 0 and the thickness under it, and its
// border lies on the record's outline and openings, corner for corner.
func TestFlat(t *testing.T) {
	for name, a := range pieces(t) {
		s := made(t, a)
		for i, b := range a.Blanks {
			shape := s.Shapes[i]
			solid := shape.Solid(shape.Bent(0))
			for _, p := range solid.Points {
				if math.Abs(p.Z) > 1e-9 && math.Abs(p.Z+shape.Thickness) > 1e-9 {
					t.Fatalf("%s, %s: unbent a corner lies at z %g", name, b.Name, p.Z)
				}
			}
			outlines := append([]plane.Loop{b.Contour()}, layout.Openings(b.Flat)...)
			region := plane.Region(outlines)
			length := 0.0
			for _, e := range shape.Border {
				p, q := solid.Points[e.From], solid.Points[e.To]
				length += q.Sub(p).Len()
				for _, k := range []float64{0, 0.5} {
					at := p.Add(q.Sub(p).Scale(k))
					if d, _ := region.DistanceTo(plane.Point{X: at.X, Y: at.Y}); d > 0.01 {
						t.Fatalf("%s, %s: the border is %g mm off the flat's outline at %v", name, b.Name, d, at)
					}
				}
			}
			if want := region.Length(); math.Abs(length-want) > 1e-3*want {
				t.Errorf("%s, %s: the border is %g mm long, the outline %g", name, b.Name, length, want)
			}
		}
	}
}

// No stretching: at every step the neutral axis of each strip is as long as its allowance, and
// all along it the sheet is as thick as it is.
func TestNothingStretches(t *testing.T) {
	for name, a := range pieces(t) {
		s := made(t, a)
		for _, shape := range s.Shapes {
			for _, part := range []float64{0.05, 0.3, 0.7, 1} {
				p := shape.Posture(shape.Bent(part))
				for k, f := range shape.Folds {
					n := plane.Point{X: f.Along.Y, Y: -f.Along.X}
					depth := f.K * shape.Thickness // of the neutral axis under the drawn side
					if f.Down {
						depth = (1 - f.K) * shape.Thickness
					}
					const steps = 2000
					length := 0.0
					var last solid.Vec
					for i := range steps + 1 {
						q := f.Start.Add(n.Scale(f.Allowance * float64(i) / steps))
						at, _ := p.At(len(shape.Faces)+k, q, depth)
						if top, normal := p.At(len(shape.Faces)+k, q, 0); math.Abs(at.Sub(top).Dot(normal)+depth) > 1e-9 {
							t.Fatalf("%s, %s, fold %s: the neutral axis is %g mm under the drawn side", name, shape.Name, f.Name, at.Sub(top).Len())
						}
						if i > 0 {
							length += at.Sub(last).Len()
						}
						last = at
					}
					if math.Abs(length-f.Allowance) > 1e-5 {
						t.Errorf("%s, %s, fold %s at %g: the neutral axis is %g mm long, the allowance %g", name, shape.Name, f.Name, part, length, f.Allowance)
					}
				}
			}
		}
	}
}

// Folds are bent one after the other where their order is planned.
func TestInOrder(t *testing.T) {
	a := pieces(t)["stool"]
	a.Blanks[0].Order = []int{2, 0}
	s := made(t, a)
	f := s.Shapes[0].Folds
	got := s.Shapes[0].Bent(0.5) // of three turns: one and a half
	want := []float64{f[0].Angle / 2, 0, f[2].Angle, 0}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 1e-12 {
			t.Errorf("halfway fold %d is bent by %g, not %g", i, got[i], want[i])
		}
	}
	for i, b := range s.Shapes[0].Bent(1) {
		if b != f[i].Angle {
			t.Errorf("at the end fold %d is bent by %g, not %g", i, b, f[i].Angle)
		}
	}
}

// Every part but one comes off, clear of what it was fastened to.
func TestApart(t *testing.T) {
	a := pieces(t)["stool"]
	s := made(t, a)
	moved := map[int]solid.Vec{}
	for _, step := range s.Steps {
		for _, m := range step.Moves {
			for _, c := range m.Copies {
				moved[c] = moved[c].Add(m.By)
			}
		}
	}
	if len(moved) != len(s.Copies)-1 {
		t.Fatalf("%d of %d parts come off", len(moved), len(s.Copies))
	}
	for c, by := range moved {
		name := s.Copies[c].Name
		if by.Len() < 50 {
			t.Errorf("%s goes %g mm", name, by.Len())
		}
		// A leg lies inside of the cap's flaps: it goes inward, down or both, away from its rivets' heads.
		for _, f := range s.Fasteners {
			if f.Copies[len(f.Copies)-1] == c && by.Dot(f.Axis) < -0.2*by.Len() {
				t.Errorf("%s goes through the sheet that %s holds it to", name, f.Name)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	if _, err := scene.New(&panel.Assembly{Blanks: []*panel.Blank{{Name: "none"}}}, nil); err == nil {
		t.Error("a blank without a flat has a scene")
	}
	a := bracket.Assembly()
	a.Copies[0].Blank = 9
	if _, err := scene.New(a, nil); err == nil {
		t.Error("a copy of no blank has a place in a scene")
	}
}

func ExampleNew() {
	a := bracket.Assembly()
	s, err := scene.New(a, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	shape := s.Shapes[0]
	fmt.Println(shape.Called, len(shape.Faces), "faces,", len(shape.Folds), "fold of", shape.Folds[0].Facets, "flats")
	flat, bent := shape.Solid(shape.Bent(0)), shape.Solid(shape.Bent(1))
	fmt.Printf("%.1f mm³ flat, %.1f mm³ bent\n", flat.Volume(), bent.Volume())
	// Output:
	// angle 2 faces, 1 fold of 9 flats
	// 12945.8 mm³ flat, 12974.1 mm³ bent
}
