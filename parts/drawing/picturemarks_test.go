package drawing

import (
	"bytes"
	"math"
	"testing"

	"perch/parts/lettering"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/record/bracket"
	"perch/parts/solid"
)

// board is a square 100 mm wide that faces the viewer, so far from him, with a square
// opening in its middle.
func board(y float64, marks ...[]solid.Vec) Facet {
	square := func(a, b float64) []solid.Vec {
		return []solid.Vec{{X: a, Y: y, Z: a}, {X: b, Y: y, Z: a}, {X: b, Y: y, Z: b}, {X: a, Y: y, Z: b}}
	}
	return Facet{Outer: square(0, 100), Holes: [][]solid.Vec{square(40, 60)}, Normal: solid.Vec{Y: -1}, Marks: marks}
}

// A scribed line is drawn where there is metal: not beyond the face, not over its
// opening. What stands before it hides it.
func TestScribedLinesLieOnMetal(t *testing.T) {
	line := []solid.Vec{{X: -20, Y: 50, Z: 50}, {X: 120, Y: 50, Z: 50}}
	p, err := NewPicture([]Facet{board(50, line)}, PictureOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var drawn, whole float64
	for _, s := range p.shapes {
		if s.tint == shadowTint {
			continue
		}
		if len(s.marks) != 2 {
			t.Fatalf("%d pieces of the line are drawn", len(s.marks))
		}
		for _, m := range s.marks {
			drawn += m.from.Dist(m.to)
		}
		whole = s.marks[0].from.Dist(s.marks[1].to)
	}
	if math.Abs(drawn/whole-0.8) > 0.005 { // perspective takes a little
		t.Errorf("%.3f of the face's width is scribed", drawn/whole)
	}

	draw := func(back Facet) (svg, png string) {
		front := board(0)
		front.Holes = nil
		p, err := NewPicture([]Facet{front, back}, PictureOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var a, b bytes.Buffer
		if err := p.SVG(&a); err != nil {
			t.Fatal(err)
		}
		if err := p.PNG(&b); err != nil {
			t.Fatal(err)
		}
		return a.String(), b.String()
	}
	low := []solid.Vec{{X: 10, Y: 4, Z: 20}, {X: 80, Y: 4, Z: 20}}
	high := []solid.Vec{{X: 90, Y: 4, Z: 94}, {X: 96, Y: 4, Z: 99}}
	_, bare := draw(board(4))
	_, hidden := draw(board(4, low))
	_, seen := draw(board(4, high))
	if hidden != bare {
		t.Error("a line behind a sheet shows")
	}
	if seen == bare {
		t.Error("a line that stands free does not show")
	}
}

// The picture has the strokes of marked text, as they are scribed, on the face's drawn side alone.
func TestMarkedTextIsDrawn(t *testing.T) {
	a := bracket.Assembly()
	b := a.Blanks[0]
	root := b.Flat.Root
	at := b.Flat.Faces[root].Loop.Centroid()
	b.Flat.Marks = []panel.FlatMark{{Face: root, Mark: panel.Mark{Kind: panel.MarkText, Text: "L<4", At: at, Dir: plane.Point{Y: 1}, Height: 6}}}
	strokes := lettering.Strokes("L<4", 6, at, plane.Point{Y: 1})
	marked := 0
	for _, f := range facetsOf(t, &panel.Assembly{Blanks: a.Blanks[:1], Copies: a.Copies[:1]}) {
		if len(f.Marks) == 0 {
			continue
		}
		marked++
		for i, s := range f.Marks {
			for k := range len(s) - 1 {
				if want, got := strokes[i][k].Dist(strokes[i][k+1]), s[k].Sub(s[k+1]).Len(); math.Abs(want-got) > 1e-9 {
					t.Errorf("stroke %d is %v long, not %v", i, got, want)
				}
				if off := s[k].Sub(f.Outer[0]).Dot(f.Normal); math.Abs(off) > 1e-9 {
					t.Errorf("stroke %d lies %v off its face", i, off)
				}
			}
		}
	}
	if marked != 1 {
		t.Errorf("%d sides are marked", marked)
	}
}
