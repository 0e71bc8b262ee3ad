package join

import (
	"errors"
	"math"
	"testing"

	"perch/parts/drawing/layout"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// standing is a plate of a thickness whose drawn side is a frame's.
func standing(t *testing.T, name string, frame solid.Frame, thick float64, outline plane.Loop) *panel.Flat {
	t.Helper()
	f, err := panel.Unfold(&panel.Panel{Name: name, Stock: shop.Stock{Name: "s", Thickness: thick},
		Faces: []panel.Face{{Name: "face", Frame: frame, Outline: plane.Region{outline}}}}, panel.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// upright faces right: u runs to the back, v up, metal to its left.
func upright(x, y, z float64) solid.Frame {
	return solid.Frame{O: solid.Vec{X: x, Y: y, Z: z}, X: solid.Vec{Y: 1}, Y: solid.Vec{Z: 1}}
}

// The floor is a plate of 200 × 100 mm, 2 mm thick, its top at z = 0. A wall of 1 mm stands
// on it, as far off as the case says, or beside it. What must come out is read off these
// numbers; half of the thinner sheet is 0.5 mm.
func TestLines(t *testing.T) {
	floor := standing(t, "floor", solid.LevelFrame(0), 2, box(0, 0, 200, 100))
	for _, c := range []struct {
		name     string
		frame    solid.Frame
		outline  plane.Loop
		thick    float64
		from, to solid.Vec // of the only line, either way round; equal where there is none
		back     bool
	}{
		{"tee", upright(50, 10, 0), box(0, 0, 60, 30), 1, solid.Vec{X: 50, Y: 10}, solid.Vec{X: 50, Y: 70}, false},
		{"tee from its back", upright(50, 10, 0), box(0, 0, 60, 30), 1, solid.Vec{X: 49, Y: 10}, solid.Vec{X: 49, Y: 70}, true},
		{"tee with a gap", upright(50, 10, 0.45), box(0, 0, 60, 30), 1, solid.Vec{X: 50, Y: 10, Z: 0.45}, solid.Vec{X: 50, Y: 70, Z: 0.45}, false},
		{"too far up", upright(50, 10, 0.55), box(0, 0, 60, 30), 1, solid.Vec{}, solid.Vec{}, false},
		{"over the end", upright(50, 80, 0), box(0, 0, 60, 30), 1, solid.Vec{X: 50, Y: 80}, solid.Vec{X: 50, Y: 100}, false},
		{"corner on the edge", upright(200, 0, 0), box(0, 0, 100, 30), 1, solid.Vec{X: 200}, solid.Vec{X: 200, Y: 100}, false},
		{"corner beside the edge", upright(201.3, 0, 0), box(0, 0, 100, 30), 1, solid.Vec{X: 201.3}, solid.Vec{X: 201.3, Y: 100}, false},
		{"off the corner both ways", upright(201.45, 0, 0.45), box(0, 0, 100, 30), 1, solid.Vec{}, solid.Vec{}, false},
		{"butt", solid.Frame{O: solid.Vec{X: 200.2}, X: solid.Vec{X: 1}, Y: solid.Vec{Y: 1}}, box(0, 20, 50, 80), 1, solid.Vec{X: 200.2, Y: 20}, solid.Vec{X: 200.2, Y: 80}, false},
		{"slanting", solid.Frame{O: solid.Vec{X: 50, Y: 10}, X: solid.Vec{Y: 1}, Y: solid.Vec{X: 0.6, Z: 0.8}}, box(0, 0, 60, 30), 1, solid.Vec{X: 50, Y: 10}, solid.Vec{X: 50, Y: 70}, false},
		{"rising off it", solid.Frame{O: solid.Vec{X: 50, Y: 10}, X: solid.Vec{Y: 0.8, Z: 0.6}, Y: solid.Vec{Y: -0.6, Z: 0.8}}, box(0, 0, 60, 30), 1, solid.Vec{}, solid.Vec{}, false},
	} {
		wall := standing(t, "wall", c.frame, c.thick, c.outline)
		got := Lines(Member{wall, 0}, Member{floor, 0}, c.back)
		if c.from == c.to {
			if len(got) != 0 {
				t.Errorf("%s: %+v, want none", c.name, got)
			}
			continue
		}
		if len(got) != 1 {
			t.Errorf("%s: %d lines, want one", c.name, len(got))
			continue
		}
		l := got[0]
		tol := 0.5 // what an end that the floor's edge makes is found within
		if d, e := l.From.Sub(c.from).Len()+l.To.Sub(c.to).Len(), l.From.Sub(c.to).Len()+l.To.Sub(c.from).Len(); min(d, e) > tol {
			t.Errorf("%s: from %v to %v, want %v to %v", c.name, l.From, l.To, c.from, c.to)
		}
		n := wall.FaceFrame(0).Normal()
		if want := map[bool]float64{false: -1, true: 1}[c.back]; l.Of != 0 || math.Abs(l.In.Dot(n)-want) > 1e-9 {
			t.Errorf("%s: the edge of member %d, into the metal %v", c.name, l.Of, l.In)
		}
		// named the other way round it is the same line, still of the wall's edge
		back := Lines(Member{floor, 0}, Member{wall, 0}, c.back)
		if len(back) != 1 {
			t.Errorf("%s: %d lines the other way round, want one", c.name, len(back))
		}
	}
}

// Beads along a tee: on the wall's flat a tick across its edge at either end, 5 mm in; on
// the floor, whose edge is far, a line as long as the bead.
func TestBeads(t *testing.T) {
	floor := standing(t, "floor", solid.LevelFrame(0), 2, box(0, 0, 200, 100))
	wall := standing(t, "wall", upright(50, 10, 0), 1, box(0, 0, 60, 30))
	l := Lines(Member{wall, 0}, Member{floor, 0}, false)
	if len(l) != 1 {
		t.Fatalf("%d lines", len(l))
	}
	fixes, err := Beads("w", 1, l[0], Fastener{Kind: Weld, Diameter: 10, Pitch: 22})
	if err != nil {
		t.Fatal(err)
	}
	// 60 mm less 8 at either end leave 44: three, 22 apart.
	if len(fixes) != 3 {
		t.Fatalf("%d beads, want 3", len(fixes))
	}
	for i, f := range fixes {
		want := solid.Vec{X: 50, Y: 18 + 22*float64(i)}
		if l[0].From.Y > l[0].To.Y {
			want.Y = 62 - 22*float64(i)
		}
		if f.At.Sub(want).Len() > 1e-9 || f.Line == nil || math.Abs(f.Line[0].Sub(f.Line[1]).Len()-10) > 1e-9 || f.Kind != Weld || f.Grip != 1 {
			t.Errorf("bead %d: %+v, want it at %v", i, f, want)
		}
		at := func(y float64) plane.Point { return pt(y-10, 0) }
		strokes := layout.Strokes(f.Members[0].Point)
		if len(strokes) != 2 {
			t.Fatalf("bead %d: %d strokes on the wall", i, len(strokes))
		}
		for _, s := range strokes {
			if math.Abs(math.Abs(s[0].X-at(f.At.Y).X)-5) > 1e-9 || math.Abs(s[0].Y) > 1e-9 || !s[1].Near(s[0].Add(pt(0, 5)), 1e-9) {
				t.Errorf("bead %d: a tick from %v to %v", i, s[0], s[1])
			}
		}
		on := layout.Strokes(f.Members[1].Point)
		if len(on) != 1 || math.Abs(on[0][0].Dist(on[0][1])-10) > 1e-9 || math.Abs(on[0][0].X-50) > 1e-9 || math.Abs(on[0][1].X-50) > 1e-9 {
			t.Errorf("bead %d: on the floor %v", i, on)
		}
	}
	for _, c := range []struct {
		f         Fastener
		short     Short
		got, need float64
	}{
		{Fastener{Kind: Weld, Diameter: 70}, NoRoom, 60, 72},
		{Fastener{Kind: Weld, Diameter: 20, Count: 4}, TooTight, 34.0 / 3, 20},
		{Fastener{Kind: Tack, Diameter: 6, Count: 5}, TooTight, 9, 12},
		{Fastener{Kind: Weld}, BadSize, 0, 0},
	} {
		_, err := Beads("w", 1, l[0], c.f)
		var e *PatternError
		if !errors.As(err, &e) || e.Short != c.short || math.Abs(e.Got-c.got) > 1e-6 || math.Abs(e.Need-c.need) > 1e-9 {
			t.Errorf("%+v: %v", c.f, err)
		}
	}
	// a weld as long as there is room for keeps its ticks off the corners
	fixes, err = Beads("w", 1, l[0], Fastener{Kind: Weld, Diameter: 57, Count: 1})
	if err != nil || len(fixes) != 1 {
		t.Fatal(err, fixes)
	}
	for _, s := range layout.Strokes(fixes[0].Members[0].Point) {
		if s[0].X < 1 || s[0].X > 59 {
			t.Errorf("a tick at %v lies along the cut", s[0])
		}
	}
}

// Beads by pitch stand at both ends and no farther apart than stated, where there is room.
func TestBeadsNoFartherApart(t *testing.T) {
	floor := standing(t, "floor", solid.LevelFrame(0), 2, box(0, 0, 200, 100))
	wall := standing(t, "wall", upright(50, 10, 0), 1, box(0, 0, 60, 30))
	l := Lines(Member{wall, 0}, Member{floor, 0}, false)
	for _, c := range []struct {
		f    Fastener
		want int
		step float64
	}{
		{Fastener{Kind: Tack, Diameter: 5, Pitch: 35, Edge: 12}, 3, 18}, // 36 mm between the first and the last
		{Fastener{Kind: Tack, Diameter: 5, Pitch: 18, Edge: 12}, 3, 18},
		{Fastener{Kind: Tack, Diameter: 5, Pitch: 37, Edge: 12}, 1, 0},
		{Fastener{Kind: Tack, Diameter: 16, Pitch: 32, Edge: 12}, 2, 36}, // a third would stand too near
		{Fastener{Kind: Weld, Diameter: 16, Pitch: 32, Edge: 12}, 3, 18},
	} {
		fixes, err := Beads("w", 1, l[0], c.f)
		if err != nil || len(fixes) != c.want {
			t.Errorf("%+v: %d beads, want %d: %v", c.f, len(fixes), c.want, err)
			continue
		}
		for i := 1; i < len(fixes); i++ {
			if d := fixes[i].At.Sub(fixes[i-1].At).Len(); math.Abs(d-c.step) > 1e-9 {
				t.Errorf("%+v: %g apart, want %g", c.f, d, c.step)
			}
		}
	}
}
