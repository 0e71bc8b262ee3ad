package foldmark_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"perch/parts/bend"
	"perch/parts/foldmark"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

func pt(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

// strip is a flat of a strip across x = 0 … 3 with faces to both sides, its ends leaning
// by so many mm to 1 across it: an oblique edge.
func strip(lean, long, radius float64) *panel.Flat {
	at := func(x, y float64) plane.Point { return pt(x, y+float64(lean*x)) }
	b := bend.Bend{Angle: math.Pi / 2, Thickness: 1.5, Radius: radius, K: 0.4}
	ba := b.Allowance()
	return &panel.Flat{
		Panel: &panel.Panel{Name: "p", Stock: shop.Stock{Material: "mild_steel", Thickness: 1.5}},
		Outer: plane.Loop{{P: at(-50, 0)}, {P: at(60, 0)}, {P: at(60, long)}, {P: at(-50, long)}},
		Faces: []panel.FlatFace{{Name: "a"}, {Name: "b"}},
		Folds: []panel.FlatFold{{Name: "a/b", A: 0, B: 1, Bend: b, From: at(ba/2, 0), To: at(ba/2, long),
			TangentA: [2]plane.Point{at(0, 0), at(0, long)}, TangentB: [2]plane.Point{at(ba, 0), at(ba, long)},
			Loop: plane.Loop{{P: at(0, 0)}, {P: at(ba, 0)}, {P: at(ba, long)}, {P: at(0, long)}}}},
	}
}

func marked(f *panel.Flat, change func(s *shop.Shop)) *panel.Blank {
	s := shop.Default()
	if change != nil {
		change(s)
	}
	b := &panel.Blank{Name: "p", Flat: f}
	foldmark.Mark(b, s, nil)
	return b
}

// What the kerf leaves is the contour grown by half the kerf, as far as the torch's middle
// may come, and shrunk again: in it a nick is as deep as it was asked for, on square and on
// leaning edges, whatever the kerf.
func TestDepthInTheMetal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kerf := rapid.Float64Range(0.1, 4).Draw(t, "kerf")
		width := rapid.Float64Range(0.5, 6).Draw(t, "width")
		depth := rapid.Float64Range(0.5, 4).Draw(t, "depth")
		f := strip(rapid.Float64Range(-0.6, 0.6).Draw(t, "lean"), 300, 2)
		b := marked(f, func(s *shop.Shop) { s.Cutter.Kerf, s.Brake.NickWidth, s.Brake.NickDepth = kerf, width, depth })
		for _, m := range b.FoldMarks {
			if m.Kind != panel.Nick {
				if !strings.Contains(m.Why.String(), "too flat") {
					t.Fatalf("%s: %s", m.Kind, m.Why)
				}
				continue
			}
			if b.Notched.Area() >= f.Outer.Area() || plane.Check(b.Notched) != nil {
				t.Fatalf("the contour is unsound or no smaller: %v", plane.Check(b.Notched))
			}
			left := plane.Offset(plane.Offset(plane.Region{b.Notched}, kerf/2), -kerf/2)
			for _, c := range plane.Chords(left, m.At, m.In) {
				if c.To > 0 && math.Abs(c.From-depth) > 1e-4 {
					t.Errorf("kerf %.2f, %.2f wide: %.5f deep in the metal, not %.5f", kerf, width, c.From, depth)
				}
			}
		}
	})
}

// A nick is as wide as asked for wherever the torch can cut it so.
func TestWidthAtTheEdge(t *testing.T) {
	for _, c := range []struct{ kerf, width, want float64 }{
		{1.5, 2, 2}, {0.2, 2, 2}, {1.5, 4, 4},
		{3, 2, 3.2733}, // no wider than the kerf: drawn 3.75 deep, and 2·3.75/√((1 + 2.25/1.5)² − 1) wide
	} {
		b := marked(strip(0, 200, 2), func(s *shop.Shop) { s.Cutter.Kerf, s.Brake.NickWidth = c.kerf, c.width })
		got := b.FoldMarks[0].Vee[0].Dist(b.FoldMarks[0].Vee[2])
		if math.Abs(got-c.want) > 1e-3 {
			t.Errorf("kerf %g: %.4f wide, not %.4f", c.kerf, got, c.want)
		}
	}
}

// Held from its other side a bend of 45° about 3.2 mm has its sight line 2·r less the
// allowance nearer to the first tangent; a V die works to the middle. Derived.
func TestWorkingLine(t *testing.T) {
	f := angle(math.Pi/4, 3.2)
	fold := &f.Folds[0]
	ba := fold.Bend.Allowance()
	x := func(held int, brake string) float64 { return foldmark.WorkingLine(fold, held, brake).P.X }
	tangent := fold.TangentA[0].X
	if got := x(fold.A, shop.BrakeLeaf) - tangent; math.Abs(got-3.2) > 1e-9 {
		t.Errorf("held by the first face: %.4f past its tangent, not the radius", got)
	}
	if got := x(fold.B, shop.BrakeLeaf) - tangent; math.Abs(got-(ba-3.2)) > 1e-9 {
		t.Errorf("held by the other: at %.4f, not %.4f", got, ba-3.2)
	}
	if got := x(fold.A, shop.BrakeVDie) - tangent; math.Abs(got-ba/2) > 1e-9 {
		t.Errorf("a V die: at %.4f, not the middle %.4f", got, ba/2)
	}
	b := &panel.Blank{Name: "angle", Flat: f}
	foldmark.Mark(b, shop.Default(), []int{fold.B})
	if got := b.FoldMarks[0].At.X; math.Abs(got-x(fold.B, shop.BrakeLeaf)) > 1e-9 {
		t.Errorf("the nick stands at %.4f, not on the held side's line", got)
	}
}

// Where a nick would meet something a punch mark stands, clear of it, and it is said why.
func TestPunchInstead(t *testing.T) {
	with := func(change func(f *panel.Flat)) *panel.Flat {
		f := strip(0, 200, 2)
		change(f)
		return f
	}
	bead := func(width float64) func(f *panel.Flat) {
		return func(f *panel.Flat) {
			f.Marks = []panel.FlatMark{{Mark: panel.Mark{Kind: panel.MarkBead, Width: width, Path: plane.Loop{{P: pt(-30, 9)}, {P: pt(40, 9)}}}}}
		}
	}
	line := func(y float64) func(f *panel.Flat) {
		return func(f *panel.Flat) {
			f.Marks = []panel.FlatMark{{Mark: panel.Mark{Name: "edge", Kind: panel.MarkLine, Path: plane.Loop{{P: pt(-30, y)}, {P: pt(40, y)}}}}}
		}
	}
	for _, c := range []struct {
		name, why string
		flat      *panel.Flat
	}{
		{"a hole", "of a hole", with(func(f *panel.Flat) { f.Points = []panel.Point{{At: pt(2, 9), Diameter: 6, Kind: panel.Hole}} })},
		{"a drilled hole", "to be drilled", with(func(f *panel.Flat) { f.Points = []panel.Point{{At: pt(2, 7), Diameter: 3, Kind: panel.Drill}} })},
		{"a bead", "a bead", with(bead(10))},
		{"a hem", "hem a/b", with(func(f *panel.Flat) { f.Folds[0].Bend.Angle = math.Pi })},
		{"an opening", "of a hole", with(func(f *panel.Flat) { f.Inner = []plane.Loop{plane.RectAt(pt(-9, 5), pt(9, 9)).Reversed()} })},
		{"a tack", "weld t", with(func(f *panel.Flat) {
			f.Points = []panel.Point{{Name: "t", At: pt(8, 0), Diameter: 5, Kind: panel.Tack, Dir: pt(1, 0), In: pt(0, 1)}}
		})},
		{"a weld", "weld w", with(func(f *panel.Flat) {
			f.Points = []panel.Point{{Name: "w", At: pt(25, 3), Diameter: 40, Kind: panel.Weld, Dir: pt(1, 0)}}
		})},
		{"a scribed line", "scribed line edge", with(line(2))},
		{"a corner", "turns a corner", with(func(f *panel.Flat) {
			f.Outer = plane.Loop{{P: pt(-50, 0)}, {P: pt(2.5, 0)}, {P: pt(2.5, 20)}, {P: pt(60, 20)}, {P: pt(60, 200)}, {P: pt(-50, 200)}}
		})},
		{"an edge", "of metal to another edge", with(func(f *panel.Flat) {
			f.Outer = plane.Loop{{P: pt(-50, 0)}, {P: pt(5, 0)}, {P: pt(5, 20)}, {P: pt(60, 20)}, {P: pt(60, 200)}, {P: pt(-50, 200)}}
		})},
		{"flat along the fold", "too flat", with(func(f *panel.Flat) {
			*f = *strip(2, 200, 2)
		})},
	} {
		b := marked(c.flat, nil)
		m := b.FoldMarks[0]
		if m.Kind != panel.Punch || !strings.Contains(m.Why.String(), c.why) {
			t.Errorf("%s: a %s, for %q is not that %s", c.name, m.Kind, m.Why, c.why)
			continue
		}
		if d, _ := (plane.Region{c.flat.Outer}).DistanceTo(m.At); d < 2 {
			t.Errorf("%s: the punch mark stands %.2f mm from the edge", c.name, d)
		}
		for _, p := range c.flat.Points {
			if d := p.At.Dist(m.At) - p.Diameter/2; d < 2 {
				t.Errorf("%s: the punch mark stands %.2f mm from the hole", c.name, d)
			}
		}
	}
	// just outside of each limit it is a nick
	for _, c := range []struct {
		name string
		flat *panel.Flat
	}{
		{"a hole", with(func(f *panel.Flat) { f.Points = []panel.Point{{At: pt(2, 9.5), Diameter: 6, Kind: panel.Hole}} })},
		{"a drilled hole", with(func(f *panel.Flat) { f.Points = []panel.Point{{At: pt(2, 8), Diameter: 3, Kind: panel.Drill}} })},
		{"a bead", with(bead(5))},
		{"a tack", with(func(f *panel.Flat) {
			f.Points = []panel.Point{{Name: "t", At: pt(10, 0), Diameter: 5, Kind: panel.Tack, Dir: pt(1, 0), In: pt(0, 1)}}
		})},
		{"a scribed line", with(line(6))},
		{"an edge", with(func(f *panel.Flat) {
			f.Outer = plane.Loop{{P: pt(-50, 0)}, {P: pt(6.1, 0)}, {P: pt(6.1, 20)}, {P: pt(60, 20)}, {P: pt(60, 200)}, {P: pt(-50, 200)}}
		})},
	} {
		if m := marked(c.flat, nil).FoldMarks[0]; m.Kind != panel.Nick {
			t.Errorf("%s, farther off: a %s, for %s", c.name, m.Kind, m.Why)
		}
	}
}

// Two folds side by side: the second one's nicks would meet the first one's.
func TestAnotherNick(t *testing.T) {
	f := strip(0, 200, 2)
	g := f.Folds[0]
	for _, p := range []*plane.Point{&g.From, &g.To, &g.TangentA[0], &g.TangentA[1], &g.TangentB[0], &g.TangentB[1]} {
		p.X += 4.5
	}
	f.Folds = append(f.Folds, g)
	b := marked(f, nil)
	if k := b.FoldMarks; len(k) != 4 || k[0].Kind != panel.Nick || k[1].Kind != panel.Nick || k[2].Kind != panel.Punch || !strings.Contains(k[2].Why.String(), "another edge or nick") {
		t.Errorf("%+v", k)
	}
}

// Ends that a relief makes are not marked, a fold whose metal runs on is punched, and other
// ways to tell folds are as the shop file says.
func TestOtherWays(t *testing.T) {
	f := strip(0, 200, 2)
	f.Folds[0].Relieved = [2]bool{true, false}
	if k := marked(f, nil).FoldMarks; len(k) != 1 || k[0].At.Y != 200 {
		t.Errorf("with a relief at one end: %+v", k)
	}
	f = strip(0, 200, 2)
	f.Folds[0].TangentA[0].Y, f.Folds[0].TangentB[0].Y, f.Folds[0].From.Y = 50, 50, 50
	if k := marked(f, nil).FoldMarks; len(k) != 2 || k[0].Kind != panel.Punch || !strings.Contains(k[0].Why.String(), "ends in the metal") || k[1].Kind != panel.Nick {
		t.Errorf("with metal that runs on: %+v", k)
	}
	f = strip(0, 200, 2)
	for marks, want := range map[string]string{shop.MarksPunch: "punch punch", shop.MarksScribe: "scribe", shop.MarksNone: ""} {
		b := marked(f, func(s *shop.Shop) { s.Brake.Marks = marks })
		var got []string
		for _, m := range b.FoldMarks {
			got = append(got, m.Kind.String())
		}
		if strings.Join(got, " ") != want || b.Notched != nil {
			t.Errorf("%s: %v, the outline cut: %v", marks, got, b.Notched != nil)
		}
	}
	if l := marked(f, func(s *shop.Shop) { s.Brake.Marks = shop.MarksScribe }).Scribed(); len(l) != 1 || l[0][0] != pt(2, 0) || l[0][1] != pt(2, 200) {
		t.Errorf("the sight line is scribed at %v", l)
	}
	if l := marked(f, func(s *shop.Shop) { s.Brake.Marks, s.Brake.Kind = shop.MarksScribe, shop.BrakeVDie }).Scribed(); len(l) != 0 {
		t.Errorf("a V die's line is drawn beside the strip's middle: %v", l)
	}
}
