package drawing

import (
	"math"
	"testing"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record/stool"
	"perch/parts/solid"
)

// Every rivet of the stool has a head outside and a tail inside, round, that stand off the
// stack by less than a millimetre and look away from each other.
func TestRivetsHaveHeads(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	metal, err := Metal(a)
	if err != nil {
		t.Fatal(err)
	}
	all := facetsOf(t, a)
	heads := all[len(metal):]
	if len(heads) != 2*len(a.Joins) {
		t.Fatalf("%d heads and tails of %d rivets", len(heads), len(a.Joins))
	}
	for i, j := range a.Joins {
		head, tail := heads[2*i], heads[2*i+1]
		if d := head.Normal.Add(j.Axis).Len(); d > 1e-9 {
			t.Errorf("%s: its head looks %v", j.Name, head.Normal)
		}
		apart := head.Outer[0].Sub(tail.Outer[0]).Dot(head.Normal)
		if apart < j.Grip || apart > j.Grip+2 {
			t.Errorf("%s: head and tail are %g mm apart, the grip is %g", j.Name, apart, j.Grip)
		}
		centre := solid.Vec{}
		for _, q := range head.Outer {
			centre = centre.Add(q.Scale(1 / float64(len(head.Outer))))
		}
		if r := head.Outer[0].Sub(centre).Len(); math.Abs(r-j.Diameter) > 1e-9 {
			t.Errorf("%s: its head is %g mm wide, want two diameters", j.Name, 2*r)
		}
	}
}

// Arcs are as round as the piece is small: a chord of the picture leaves its arc by no more
// than a three-thousandth of the piece.
func TestArcsAreRoundAtAnySize(t *testing.T) {
	for _, size := range []float64{20, 2000} {
		l := plane.Circle(size)
		f := &panel.Flat{Panel: &panel.Panel{}, Outer: l, Faces: []panel.FlatFace{{Name: "disc", Loop: l, Frame: solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}}}}
		f.Panel.Stock.Thickness = 1
		facets, err := BlankFacets(&panel.Blank{Name: "disc", Flat: f})
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		outer := facets[0].Outer
		for i, p := range outer {
			mid := p.Add(outer[(i+1)%len(outer)]).Scale(0.5)
			worst = math.Max(worst, size/2-mid.Len())
		}
		if worst > size*math.Sqrt2/3000+1e-9 || worst < size/1e5 {
			t.Errorf("a disc of %g mm is drawn to %g mm", size, worst)
		}
	}
}

// What is scribed on a blank is on the side that was up when it was scribed: on a copy that
// is bent the other way that is the other surface. A bead shows on both.
func TestTextOfMirroredCopies(t *testing.T) {
	square := plane.Rect(100, 60)
	f := &panel.Flat{Panel: &panel.Panel{}, Outer: square, Faces: []panel.FlatFace{{Name: "plate", Loop: square, Frame: solid.Frame{X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}}}}
	f.Panel.Stock.Thickness = 2
	b := &panel.Blank{Name: "plate", Flat: f}
	marks := func(mirrored bool) (front, back int) {
		for _, facet := range partFacets(b, 0, 0.1, mirrored) {
			switch facet.Normal.Z {
			case 1:
				front += len(facet.Marks)
			case -1:
				back += len(facet.Marks)
			}
		}
		return front, back
	}
	f.Marks = []panel.FlatMark{{Mark: panel.Mark{Kind: panel.MarkText, Text: "L", Dir: plane.Point{X: 1}, Height: 10}}}
	front, back := marks(false)
	mirroredFront, mirroredBack := marks(true)
	if front == 0 || back != 0 || mirroredFront != 0 || mirroredBack != front {
		t.Errorf("text is drawn on %d and %d sides, of a mirrored copy on %d and %d", front, back, mirroredFront, mirroredBack)
	}
	f.Marks = []panel.FlatMark{{Mark: panel.Mark{Kind: panel.MarkBead, Width: 8, Path: plane.Loop{{P: plane.Point{X: -30}}, {P: plane.Point{X: 30}}}}}}
	// two edges and two ends
	if front, back := marks(false); front != 4 || back != 4 {
		t.Errorf("a bead is %d lines on the front, %d on the back, want 4 and 4", front, back)
	}
}

// A picture's dimensions are those of the metal, without the heads that stand off it; from behind
// the piece has the same, and what was at the left is at the right.
func TestDimensionsLeaveHeadsOut(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	metal, err := Metal(a)
	if err != nil {
		t.Fatal(err)
	}
	lo, hi, err := extent(metal)
	if err != nil {
		t.Fatal(err)
	}
	all := facetsOf(t, a)
	head := all[len(all)-1]
	if !head.Head {
		t.Fatal("the last facet is no head")
	}
	head.Outer = nil // one that stands 5 mm off the widest place
	for _, q := range []solid.Vec{{Z: 2}, {Y: 2, Z: 2}, {Y: 2, Z: 4}, {Z: 4}} {
		head.Outer = append(head.Outer, q.Add(solid.Vec{X: hi.X + 5}))
	}
	head.Normal = solid.Vec{X: 1}
	all = append(all, head)
	want := (measure.Paper{}).Rough(hi.X-lo.X) + " mm"
	for _, facets := range [][]Facet{all, Behind(all)} {
		p, err := NewPicture(facets, PictureOptions{})
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, w := range p.texts {
			if w.content == want {
				n++
			}
		}
		if n != 2 { // it is square
			t.Errorf("%s stands on the picture %d times: %+v", want, n, p.texts)
		}
	}
	behind := Behind(all)
	for i := range all {
		for k, q := range all[i].Outer {
			if r := behind[i].Outer[k]; r.X != -q.X || r.Y != -q.Y || r.Z != q.Z {
				t.Fatalf("%v comes to %v", q, r)
			}
		}
	}
}
