package panel

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// crossRung is a channel across a side of a body, its web from lo to hi along the slope,
// flanges above and below that stop clear of the next sides, and a tab round each corner.
func crossRung(s solid.Side, stock shop.Stock, k, lo, hi, flange, lap, clear float64) *Panel {
	band := s.Band(lo, hi)
	web := Face{Name: "web", Frame: s.Frame(), Outline: plane.Region{loopOf(band[:]...)}}
	p := &Panel{Name: fmt.Sprint("rung.", s.Number()), Stock: stock, Faces: []Face{web}}
	hang := func(f Face) {
		p.Faces = append(p.Faces, f)
		p.Folds = append(p.Folds, Fold{Name: f.Name, A: 0, B: len(p.Faces) - 1, Radius: stock.Radius, K: k})
	}
	for _, v := range [2]float64{lo, hi} {
		z := s.Frame().At(plane.Point{Y: v}).Z
		f := Face{Name: "tread", Frame: solid.LevelFrame(z)}
		if v == lo {
			f = Face{Name: "lip", Frame: solid.LevelFrame(z).Back()}
		}
		h, _, _ := solid.Behind(f.Frame, s.Frame().Plane(), 0)
		r := plane.Clip(plane.Region{plane.Rect(5000, 5000)}, h)
		r = plane.Clip(r, plane.HalfPlane{N: h.N.Neg(), D: flange - h.D})
		for _, c := range [2]solid.Corner{s.Left(), s.Right()} {
			o, _ := c.Other(s)
			next, _, _ := solid.Behind(f.Frame, o.Frame().Plane(), clear)
			r = plane.Clip(r, next)
		}
		f.Outline = r
		hang(f)
	}
	for i, c := range [2]solid.Corner{s.Left(), s.Right()} {
		o, _ := c.Other(s)
		f := o.Frame()
		ends := [2]plane.Point{band[0], band[3]}
		if i == 1 {
			ends = [2]plane.Point{band[2], band[1]}
		}
		a, b := f.Local(s.Frame().At(ends[0])), f.Local(s.Frame().At(ends[1]))
		in := b.Sub(a).Unit().Perp()
		if in.X*a.X > 0 { // towards the middle of the next side
			in = in.Neg()
		}
		l := loopOf(a, b, b.Add(in.Scale(lap)), a.Add(in.Scale(lap)))
		if l.Area() < 0 {
			l = l.Reversed()
		}
		hang(Face{Name: fmt.Sprint("tab.", i), Frame: f, Outline: plane.Region{l}})
	}
	return p
}

// Rungs on all sides of a regular body are one blank, whatever the lean, with both flanges
// and both tabs, and leave no horns.
func TestCrossRungs(t *testing.T) {
	made := 0
	rapid.Check(t, func(rt *rapid.T) {
		u := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(rt, name) }
		n := rapid.IntRange(3, 8).Draw(rt, "n")
		th := u(0.9, 2.5, "t")
		stock := shop.Stock{Name: "shell", Thickness: th, Radius: u(th, 2*th, "r"), Density: 7850}
		lean := u(-10, 12, "lean")
		b, err := solid.Frustum(n, 400, 400+2*500*math.Tan(lean*bend.Degree), 500)
		if err != nil {
			rt.Skip(err)
		}
		lo := u(100, 200, "lo")
		hi, clear := lo+u(35, 60, "depth"), u(0.5, 12, "clear")
		k := u(0.3, 0.45, "k")
		var parts []Part
		for _, s := range b.Sides() {
			p := crossRung(s, stock, k, lo, hi, 32, 30, clear)
			f, err := Unfold(p, Options{})
			if err != nil {
				var fe *FaceError
				if errors.As(err, &fe) && fe.Reason == Overlap {
					rt.Skip(err) // tabs of a triangle can meet its flanges
				}
				rt.Fatal(err)
			}
			checkFlat(rt, f)
			parts = append(parts, Part{Name: p.Name, Family: "rung", Flat: f})
		}
		made++
		blanks, copies := Group(parts)
		if len(blanks) != 1 || blanks[0].Count != n || blanks[0].Mirrored != 0 {
			rt.Fatalf("%d blanks for %d rungs", len(blanks), n)
		}
		for i, c := range copies {
			landsOn(rt, blanks[0].Flat, c, parts[i].Flat)
		}
		w := 0.9 * max(th, 1.5) // a corner of 35° loses half of w²
		if h, at := horns(parts[0].Flat, w); h > 0.5*w*w {
			rt.Fatalf("a horn of %.3f mm² at %.3f", h, at)
		}
	})
	if made < 20 {
		t.Errorf("only %d draws made a rung", made)
	}
}

// A frustum whose sides lean differently: opposite rungs are alike, neighbours not.
func TestRectangularRungs(t *testing.T) {
	b, err := solid.RectFrustum(320, 400, 420, 460, 600)
	if err != nil {
		t.Fatal(err)
	}
	var parts []Part
	for _, s := range b.Sides() {
		p := crossRung(s, sheet, dinK, 150, 190, 32, 30, 3)
		parts = append(parts, Part{Name: p.Name, Family: "rung", Flat: unfold(t, p)})
	}
	blanks, copies := Group(parts)
	if len(blanks) != 2 || blanks[0].Count != 2 || blanks[1].Count != 2 {
		t.Fatalf("%d blanks", len(blanks))
	}
	for i, c := range copies {
		landsOn(t, blanks[c.Blank].Flat, c, parts[i].Flat)
	}
}
