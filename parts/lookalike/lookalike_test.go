package lookalike_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"perch/parts/bend"
	"perch/parts/lookalike"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

func pt(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

// shape is a plate with a hole, a bend and a scribed line, which a case changes.
type shape struct {
	outer        plane.Loop
	hole         plane.Point
	across       float64
	fold         float64 // its height
	angle        float64
	down         bool
	text         string
	line, second bool
	twice        bool // there is a second bend
	material     string
	thickness    float64
	m            plane.Affine // where it is drawn
}

func plate() shape {
	return shape{outer: plane.Loop{{P: pt(0, 0)}, {P: pt(80, 0)}, {P: pt(80, 30)}, {P: pt(0, 60)}}, hole: pt(20, 20), across: 9, fold: 45,
		angle: math.Pi / 2, material: "mild_steel", thickness: 2, m: plane.Identity()}
}

func (s shape) blank(name string) *panel.Blank {
	circle := func(at plane.Point) plane.Loop {
		return plane.Circle(s.across).Transform(plane.Translate(at)).Reversed().Transform(s.m)
	}
	f := &panel.Flat{Panel: &panel.Panel{Stock: shop.Stock{Material: s.material, Thickness: s.thickness}}, Outer: s.outer.Transform(s.m),
		Inner: []plane.Loop{circle(s.hole)}}
	f.Cuts = []panel.FlatCut{{Name: "bolt", Loop: f.Inner[0]}}
	if s.second {
		f.Inner = append(f.Inner, circle(pt(60, 15)))
	}
	f.Folds = []panel.FlatFold{{Name: "a/b", From: s.m.Apply(pt(0, s.fold)), To: s.m.Apply(pt(40, s.fold)), Bend: bend.Bend{Angle: s.angle, Radius: 2}, Down: s.down}}
	if s.twice {
		g := f.Folds[0]
		g.Name, g.From, g.To = "a/c", s.m.Apply(pt(0, 5)), s.m.Apply(pt(80, 5))
		f.Folds = append(f.Folds, g)
	}
	if s.text != "" {
		f.Marks = append(f.Marks, panel.FlatMark{Mark: panel.Mark{Kind: panel.MarkText, Text: s.text, Height: 5, Dir: pt(1, 0)}})
	}
	if s.line {
		f.Marks = append(f.Marks, panel.FlatMark{Mark: panel.Mark{Name: "way", Path: plane.Loop{{P: s.m.Apply(pt(10, 5))}, {P: s.m.Apply(pt(30, 5))}}}})
	}
	return &panel.Blank{Name: name, Flat: f, Count: 1}
}

// Cases are told, or not, by the words alone that stand here; all numbers follow from
// the drawing above.
func TestWhatLooksAlike(t *testing.T) {
	for name, c := range map[string]struct {
		change func(s *shape)
		want   string // what differs on the changed one, "" for not alike
		over   bool
	}{
		"the same":        {func(s *shape) {}, "", false},
		"hole elsewhere":  {func(s *shape) { s.hole.X += 1.3 }, "cut bolt lies 1.3 mm elsewhere, at (21.3, 20.0) from its lower left", false},
		"hole far away":   {func(s *shape) { s.hole.X += 2.1 }, "", false},
		"hole by a hair":  {func(s *shape) { s.hole.X += 0.4 }, "", false},
		"wider hole":      {func(s *shape) { s.across = 10.5 }, "cut bolt is 10.5 mm across, not 9.0 mm", false},
		"much wider hole": {func(s *shape) { s.across = 14 }, "", false},
		// The corner is 1 mm farther out, beside an edge that falls 30 on 80: 80/√(80² + 30²) from it.
		"outline":              {func(s *shape) { s.outer[1].P.X, s.outer[2].P.X = 81, 81 }, "its outline differs by up to 0.9 mm, at (81.0, 30.0) from its lower left", false},
		"longer":               {func(s *shape) { s.outer[1].P.X, s.outer[2].P.X = 90, 90 }, "", false},
		"corner more":          {func(s *shape) { s.outer = append(s.outer, plane.Vertex{P: pt(0, 30)}); s.hole.Y += 1 }, "cut bolt lies 1.0 mm elsewhere, at (20.0, 21.0) from its lower left", false},
		"one more hole":        {func(s *shape) { s.second = true }, "", false},
		"bent less":            {func(s *shape) { s.angle = 88 * math.Pi / 180 }, "fold a/b is bent by 88.0°, not 90.0°", false},
		"bent the other way":   {func(s *shape) { s.down = true }, "fold a/b is bent down, not up", false},
		"bend elsewhere":       {func(s *shape) { s.fold += 1 }, "fold a/b lies up to 1.0 mm elsewhere, at (20.0, 46.0) from its lower left", false},
		"other metal":          {func(s *shape) { s.hole.X++; s.material = "brass" }, "", false},
		"other sheet":          {func(s *shape) { s.hole.X++; s.thickness = 3 }, "", false},
		"told apart by a name": {func(s *shape) { s.hole.X++; s.text = "B" }, "", false},
		"scribed on one":       {func(s *shape) { s.hole.X++; s.line = true }, "", false},
		"turned": {func(s *shape) {
			s.hole.X++
			c, d := plane.Turned(130)
			s.m = plane.Affine{A: c, B: -d, C: d, D: c, E: 300, F: 70}
		}, "cut bolt lies 1.0 mm elsewhere", false},
		"turned over":          {func(s *shape) { s.hole.X++; s.m = plane.MirrorX(); s.down = true }, "cut bolt lies 1.0 mm elsewhere, at (59.0, 20.0) from its lower left", true},
		"its own mirror image": {func(s *shape) { s.m = plane.MirrorX() }, "fold a/b is bent up, not down", true},
	} {
		s := plate()
		c.change(&s)
		blanks := []*panel.Blank{plate().blank("one"), s.blank("two")}
		lookalike.Note(blanks, 0.5)
		got, over := "", false
		if l := blanks[1].Like; len(l) > 0 {
			got, over = fmt.Sprint(l[0].Differs[0]), l[0].Over
			if len(l[0].At) != len(l[0].Differs) {
				t.Errorf("%s: it differs at %v", name, l[0].At)
			}
			if inner := blanks[1].Flat.Inner; strings.HasPrefix(got, "cut bolt lies") && !l[0].At[0].Near(inner[0].Bounds().Center(), 1e-6) {
				t.Errorf("%s: the hole that differs is told at %v", name, l[0].At)
			}
			if l[0].Blank != "one" || len(l[0].Differs) != 1 || len(blanks[0].Like) != 1 || blanks[0].Like[0].Blank != "two" {
				t.Errorf("%s: %+v and %+v", name, l, blanks[0].Like)
			}
		} else if len(blanks[0].Like) > 0 {
			t.Errorf("%s: only one of the two is told", name)
		}
		if c.want == "" && got != "" || c.want != "" && !strings.HasPrefix(got, c.want) || over != c.over {
			t.Errorf("%s: %q, over %v; want %q, %v", name, got, over, c.want, c.over)
		}
	}
}

// Of a mirror image with several bends it is told in one.
func TestMirrorImages(t *testing.T) {
	s := plate()
	s.twice = true
	left := s.blank("left")
	s.m = plane.MirrorX()
	right := s.blank("right")
	lookalike.Note([]*panel.Blank{left, right}, 0.5)
	if l := right.Like; len(l) != 1 || !l[0].Over || len(l[0].Differs) != 1 || l[0].Differs[0].String() != "every bend goes the other way" {
		t.Errorf("%+v", l)
	}
	right.Flat.Folds[1].Down = true
	lookalike.Note([]*panel.Blank{left, right}, 0.5)
	if l := right.Like; len(l) != 1 || l[0].Differs[0].String() != "fold a/b is bent up, not down" || len(l[0].Differs) != 1 {
		t.Errorf("%+v", l)
	}
}

// A hundred nearly equal blanks are told in little time, and noting twice tells once.
func TestManyBlanks(t *testing.T) {
	var blanks []*panel.Blank
	for i := range 100 {
		s := plate()
		s.hole.X += float64(i) * 0.6
		blanks = append(blanks, s.blank(fmt.Sprint(i)))
	}
	for range 2 {
		lookalike.Note(blanks, 0.5)
		for i, b := range blanks {
			if want := min(i, 3) + min(99-i, 3); len(b.Like) != want { // 0.6, 1.2 and 1.8 mm
				t.Errorf("blank %d is like %d others, not %d", i, len(b.Like), want)
			}
		}
	}
}

// Blanks without end that look alike are held to each other as far as the work goes, and
// it is told that there are more.
func TestWorkIsBounded(t *testing.T) {
	var blanks []*panel.Blank
	for i := range 900 {
		s := plate()
		for k := range 60 { // a toothed edge
			s.outer = append(s.outer, plane.Vertex{P: pt(0, 60-float64(k+1)*0.9)})
		}
		s.hole.X += float64(i) * 0.001
		blanks = append(blanks, s.blank(fmt.Sprint(i)))
	}
	began := time.Now()
	if lookalike.Note(blanks, 0.5) {
		t.Error("all of 900 blanks are held to each other")
	}
	if took := time.Since(began); took > time.Minute {
		t.Errorf("it took %v", took)
	}
	if !lookalike.Note(blanks[:20], 0.5) {
		t.Error("20 blanks are too many")
	}
}

func Example() {
	a, b := plate(), plate()
	b.hole.Y -= 1.3
	blanks := []*panel.Blank{a.blank("left"), b.blank("right")}
	lookalike.Note(blanks, 0.5)
	for _, l := range blanks[1].Like {
		fmt.Println("right looks like", l.Blank, "but", l.Differs[0])
	}
	// Output: right looks like left but cut bolt lies 1.3 mm elsewhere, at (20.0, 18.7) from its lower left
}
