package panel

import (
	"math"
	"slices"
	"strings"
	"testing"

	"perch/parts/bend"
	"perch/parts/measure"
	"perch/parts/solid"
)

// A face is called by its own name, and the tab of a lapped seam by its wall's; a wall's
// pieces are itself and its tab.
func TestFaceNames(t *testing.T) {
	f := unfold(t, tray(true, 90, 0, SeamLapped, 15))
	for i := range f.Panel.Faces[:5] {
		if got := f.FaceName(i); got != f.Panel.Faces[i].Name {
			t.Errorf("face %d is called %s, not %s", i, got, f.Panel.Faces[i].Name)
		}
	}
	for _, tab := range f.Tabs {
		if got := f.FaceName(tab.Face); got != f.Panel.Faces[tab.Of].Name {
			t.Errorf("the tab of %s is called %s", f.Panel.Faces[tab.Of].Name, got)
		}
		if got := slices.Collect(f.Pieces(tab.Of)); !slices.Equal(got, []int{tab.Of, tab.Face}) {
			t.Errorf("%s is made of %v", f.Panel.Faces[tab.Of].Name, got)
		}
	}
	if got := slices.Collect(f.Pieces(0)); !slices.Equal(got, []int{0}) {
		t.Errorf("the base is made of %v", got)
	}
}

// What is wrong with a fold is told with its own numbers.
func TestFoldErrorsTell(t *testing.T) {
	for _, c := range []struct {
		e    FoldError
		want string
	}{
		{FoldError{Reason: SamePlane, Got: 0.5 * bend.Degree}, "bend angle 0.5°"},
		{FoldError{Reason: NoMeeting, Got: 12.5}, "12.5 mm apart"},
		{FoldError{Reason: Stretches, Got: 2}, "meet in 2 stretches"},
		{FoldError{Reason: Disagree, Got: 60 * bend.Degree, Need: 90 * bend.Degree}, "the frames fold by 60°, stated is 90°"},
		{FoldError{Reason: Disagree, Got: 3, Detail: measure.Say("the edges lie apart by")}, "the edges lie apart by 3 mm"},
		{FoldError{Reason: AngleNeeded, Got: 160 * bend.Degree}, "the frames fold by 160°"},
		{FoldError{Reason: NotRefolding, B: "wall", Got: 0.25}, "wall misses its place by 0.25 mm"},
	} {
		if got := c.e.Error(); !strings.Contains(got, c.want) {
			t.Errorf("%q does not tell %q", got, c.want)
		}
	}
}

// Blanks are one only where their folds are: angle, radius, neutral axis and direction count.
func TestFoldsKeepBlanksApart(t *testing.T) {
	p := base(rectAt(0, 0, 60, 40))
	p.hang(0, "wall", pt(60, 40), pt(0, 40), 90, true, rectAt(-30, 0, 30, 20))
	one := unfold(t, p.Panel)
	for name, change := range map[string]func(f *FlatFold){
		"angle": func(f *FlatFold) { f.Bend.Angle += 1e-6 }, "radius": func(f *FlatFold) { f.Bend.Radius += 1e-6 },
		"factor": func(f *FlatFold) { f.Bend.K += 1e-6 }, "direction": func(f *FlatFold) { f.Down = !f.Down },
		"near end": func(f *FlatFold) { f.From.X += 0.01 }, "far end": func(f *FlatFold) { f.To.X += 0.01 },
	} {
		two := *one
		two.Folds = slices.Clone(one.Folds)
		change(&two.Folds[0])
		if blanks, _ := Group([]Part{{Name: "a", Flat: one}, {Name: "b", Flat: &two}}); len(blanks) != 2 {
			t.Errorf("%s: %d blanks", name, len(blanks))
		}
	}
	same := *one
	same.Folds = slices.Clone(one.Folds)
	same.Folds[0].From, same.Folds[0].To = same.Folds[0].To, same.Folds[0].From
	if blanks, _ := Group([]Part{{Name: "a", Flat: one}, {Name: "b", Flat: &same}}); len(blanks) != 1 {
		t.Errorf("a fold run the other way makes %d blanks", len(blanks))
	}
}

// The distance between two stretches by hand: askew, level, end on, touching, and points.
func TestSegments(t *testing.T) {
	v := func(x, y, z float64) solid.Vec { return solid.Vec{X: x, Y: y, Z: z} }
	for _, c := range []struct {
		a, b, c, d solid.Vec
		want       float64
	}{
		{v(0, 0, 0), v(10, 0, 0), v(5, -5, 3), v(5, 5, 3), 3},
		{v(0, 0, 0), v(10, 0, 0), v(12, -5, 0), v(12, 5, 0), 2},
		{v(0, 0, 0), v(10, 0, 0), v(5, 2, 0), v(5, 9, 0), 2},
		{v(0, 0, 0), v(10, 0, 0), v(13, 4, 0), v(20, 9, 0), 5},
		{v(0, 0, 0), v(10, 0, 0), v(2, 3, 4), v(8, 3, 4), 5},
		{v(0, 0, 0), v(10, 0, 0), v(-9, 3, 4), v(-3, 3, 4), math.Sqrt(34)},
		{v(0, 0, 0), v(10, 0, 0), v(10, 0, 0), v(20, 5, 0), 0},
		{v(0, 0, 0), v(10, 10, 0), v(0, 10, 0), v(10, 0, 0), 0},
		{v(1, 2, 3), v(1, 2, 3), v(1, 2, 0), v(5, 2, 0), 3},
		{v(0, 0, 0), v(4, 0, 0), v(2, 7, 0), v(2, 7, 0), 7},
	} {
		for k, got := range []float64{segments(c.a, c.b, c.c, c.d), segments(c.b, c.a, c.c, c.d), segments(c.c, c.d, c.a, c.b), segments(c.d, c.c, c.b, c.a)} {
			near(t, "distance", got, c.want, 1e-12)
			if t.Failed() {
				t.Fatalf("%v, way %d", c, k)
			}
		}
	}
}

// Blanks are one only where their marks, points and holes are.
func TestWhatIsMarkedKeepsBlanksApart(t *testing.T) {
	p := base(rectAt(0, 0, 60, 40))
	p.Faces[0].Marks = []Mark{
		{Name: "line", Path: loopOf(pt(5, 5), pt(20, 9), pt(30, 5))},
		{Name: "word", Kind: MarkText, Text: "A", At: pt(8, 20), Dir: pt(1, 0), Height: 5},
	}
	p.Faces[0].Cuts = []Cut{{Name: "hole", Region: rectAt(40, 20, 44, 22)}}
	one := unfold(t, p.Panel)
	one.Points = []Point{{Name: "p", Kind: Hole, Diameter: 4, At: pt(12, 30)}, {Name: "q", Kind: Tack, Diameter: 5, At: pt(30, 30), Dir: pt(1, 0)}}
	copyOf := func() *Flat {
		two := *one
		two.Marks, two.Points = slices.Clone(one.Marks), slices.Clone(one.Points)
		two.Marks[0].Path = slices.Clone(one.Marks[0].Path)
		return &two
	}
	blanks := func(two *Flat) int {
		b, _ := Group([]Part{{Name: "a", Flat: one}, {Name: "b", Flat: two}})
		return len(b)
	}
	if n := blanks(copyOf()); n != 1 {
		t.Fatalf("a copy makes %d blanks", n)
	}
	for name, change := range map[string]func(f *Flat){
		"mark's kind": func(f *Flat) { f.Marks[0].Kind = MarkBead }, "words": func(f *Flat) { f.Marks[1].Text = "B" },
		"mark's width": func(f *Flat) { f.Marks[0].Width = 3 }, "height": func(f *Flat) { f.Marks[1].Height = 6 },
		"mark's end": func(f *Flat) { f.Marks[0].Closed = true }, "path": func(f *Flat) { f.Marks[0].Path[1].P.Y += 0.1 },
		"path's corners": func(f *Flat) { f.Marks[0].Path = f.Marks[0].Path[:2] }, "words' place": func(f *Flat) { f.Marks[1].At.X += 0.1 },
		"words' turn": func(f *Flat) { f.Marks[1].Dir = pt(0, 1) }, "marks": func(f *Flat) { f.Marks = f.Marks[:1] },
		"point's kind": func(f *Flat) { f.Points[0].Kind = Drill }, "diameter": func(f *Flat) { f.Points[0].Diameter = 5 },
		"point's place": func(f *Flat) { f.Points[0].At.Y += 0.1 }, "tack's turn": func(f *Flat) { f.Points[1].Dir = pt(0, 1) },
		"points": func(f *Flat) { f.Points = f.Points[:1] },
	} {
		two := copyOf()
		change(two)
		if n := blanks(two); n != 2 {
			t.Errorf("%s: %d blanks", name, n)
		}
	}
}
