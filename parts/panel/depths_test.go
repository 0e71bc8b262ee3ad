package panel

import (
	"errors"
	"math"
	"testing"

	"perch/parts/plane"
)

// TestFacesTooShort: two folds that face each other need the depth of both; one of 90° with
// radius and sheet of 1.5 takes 1.5 where it turns up from the drawn side and 3 where it
// turns down, of the face that hangs as of the other.
func TestFacesTooShort(t *testing.T) {
	for _, c := range []struct {
		name        string
		deep        float64 // of the web
		front, back bool    // down
		lip         float64
		got, need   float64 // 0: it unfolds
	}{
		{"room for both", 6.1, true, true, 20, 0, 0},
		{"no room for two down", 5.9, true, true, 20, 5.9, 6},
		{"room for up and down", 4.6, false, true, 20, 0, 0},
		{"no room for up and down", 4.4, false, true, 20, 4.4, 4.5},
		{"no room for down and up", 4.4, true, false, 20, 4.4, 4.5},
		{"room for two up", 3.1, false, false, 20, 0, 0},
		{"no room for two up", 2.9, false, false, 20, 2.9, 3},
		{"a lip with room, down", 60, true, true, 3.1, 0, 0},
		{"a lip too short, down", 60, true, true, 2.9, 2.9, 3},
		{"a lip with room, up", 60, false, false, 1.6, 0, 0},
		{"a lip too short, up", 60, false, false, 1.4, 1.4, 1.5},
	} {
		b := base(rectAt(0, 0, 50, c.deep))
		lip := func() plane.Region { return rectAt(-25, 0, 25, c.lip) }
		b.hang(0, "front", pt(0, 0), pt(50, 0), 90, c.front, lip())
		b.hang(0, "back", pt(50, c.deep), pt(0, c.deep), 90, c.back, lip())
		_, err := Unfold(b.Panel, Options{})
		var short *FoldError
		switch {
		case c.need == 0:
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		case !errors.As(err, &short) || short.Reason != TooShort:
			t.Errorf("%s: %v", c.name, err)
		case math.Abs(short.Got-c.got) > 1e-9 || math.Abs(short.Need-c.need) > 1e-9:
			t.Errorf("%s: %v of %v, by hand %v of %v", c.name, short.Got, short.Need, c.got, c.need)
		}
	}
}

// TestChordSpan: what a lap has of a face that narrows, on a slant, or bows.
func TestChordSpan(t *testing.T) {
	narrow := plane.Region{loopOf(pt(-40, 0), pt(40, 0), pt(20, 20), pt(-10, 20))} // by 1 in 1, and 3 in 2
	for _, c := range []struct {
		lap, from, to float64
	}{{8, -40 + 12, 40 - 8}, {16, -40 + 24, 40 - 16}, {2, -40 + 3, 40 - 2}} {
		if x := chordSpan(narrow, c.lap); math.Abs(x.From-c.from) > 1e-9 || math.Abs(x.To-c.to) > 1e-9 {
			t.Errorf("%v deep: %v, by hand %v to %v", c.lap, x, c.from, c.to)
		}
	}
	wide := plane.Region{loopOf(pt(-20, 0), pt(20, 0), pt(40, 20), pt(-40, 20))}
	if x := chordSpan(wide, 8); math.Abs(x.From+21) > 1e-9 || math.Abs(x.To-21) > 1e-9 { // at the first eighth
		t.Errorf("of a face that widens: %v", x)
	}
}

// TestInRange: a kilometre is the most that is reckoned with.
func TestInRange(t *testing.T) {
	for x, want := range map[float64]bool{0: true, 1: true, 1e6: true, 1.01e6: false, -1e-9: false, -1: false, math.Inf(1): false, math.Inf(-1): false} {
		if inRange(x) != want {
			t.Errorf("%v: %v", x, !want)
		}
	}
	if inRange(math.NaN()) {
		t.Error("NaN")
	}
}

// TestExtent: how deep outlines reach from a line, arcs with them.
func TestExtent(t *testing.T) {
	up := &hinge{p: pt(0, 0), e: pt(1, 0), in: pt(0, 1)}
	down := &hinge{p: pt(0, 0), e: pt(1, 0), in: pt(0, -1)}
	bowed := loopOf(pt(-10, 0), pt(10, 0), pt(10, 20), pt(-10, 20))
	bowed[2].Bulge = 1 // a half disc of 10 on top
	for _, c := range []struct {
		l    plane.Loop
		h    *hinge
		want float64
	}{
		{loopOf(pt(-10, 0), pt(10, 0), pt(10, 20), pt(-10, 25)), up, 25},
		{loopOf(pt(-10, -3), pt(10, 0), pt(10, 20), pt(-10, 25)), down, 3},
		{bowed, up, 30}, {bowed, down, 0},
	} {
		if got := extent(c.l, c.h); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v reaches %v, by hand %v", c.l, got, c.want)
		}
	}
}
