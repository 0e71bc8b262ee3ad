package lettering_test

import (
	"fmt"
	"math"
	"testing"

	"perch/parts/lettering"
	"perch/parts/plane"
)

func Example() {
	for _, s := range lettering.Strokes("L1", 6, plane.Point{X: 10}, plane.Point{X: 1}) {
		fmt.Println(s)
	}
	fmt.Printf("%.1f\n", lettering.Width("L1", 6))
	// Output:
	// [{10 6} {10 0} {13 0}]
	// [{14.65 5} {15.4 6} {15.4 0}]
	// [{14.65 0} {16.15 0}]
	// 7.8
}

var all = func() string {
	var s []rune
	for c := ' '; c <= '~'; c++ {
		s = append(s, c)
	}
	return string(s) + "ÄÖÜäöüßéèêëçñåÅøØčšžŠő°×–—"
}()

// Every sign keeps to its own room: so wide, from a fourth below the baseline to a
// fourth above a capital, each stroke a line of some length, and none drawn twice.
func TestSignsKeepToTheirRoom(t *testing.T) {
	x := plane.Point{X: 1}
	looks := map[string]rune{}
	for _, c := range all {
		if !lettering.Known(string(c)) {
			t.Errorf("%c has no strokes", c)
		}
		seen := map[string]bool{}
		strokes := lettering.Strokes(string(c), 1, plane.Point{}, x)
		for _, s := range strokes {
			length := 0.0
			for i, p := range s {
				if p.X < 0 || p.X > lettering.Advance-0.1 || p.Y < -0.35 || p.Y > 1.5 {
					t.Errorf("%c goes to %v", c, p)
				}
				if i > 0 {
					length += p.Dist(s[i-1])
				}
			}
			if len(s) < 2 || length < 0.1 || seen[fmt.Sprint(s)] {
				t.Errorf("%c has the stroke %v", c, s)
			}
			seen[fmt.Sprint(s)] = true
		}
		key := fmt.Sprint(strokes)
		if other, ok := looks[key]; ok && c != '–' && c != '—' {
			t.Errorf("%c looks like %c", c, other)
		}
		looks[key] = c
	}
}

// Text goes where it is told: turned a quarter it runs up, twice as high it is twice as
// large, and its last letter ends before its width.
func TestTextGoesWhereItIsTold(t *testing.T) {
	at := plane.Point{X: 7, Y: 3}
	level := lettering.Strokes("Ag 4", 5, plane.Point{}, plane.Point{X: 1})
	up := lettering.Strokes("Ag 4", 10, at, plane.Point{Y: 1})
	if len(level) != len(up) || len(level) != 5 {
		t.Fatalf("%d and %d strokes", len(level), len(up))
	}
	far := 0.0
	for i := range level {
		for k, p := range level[i] {
			far = max(far, p.X)
			if want := (plane.Point{X: at.X - 2*p.Y, Y: at.Y + 2*p.X}); !up[i][k].Near(want, 1e-9) {
				t.Errorf("%v lies at %v, not at %v", p, up[i][k], want)
			}
		}
	}
	if w := lettering.Width("Ag 4", 5); w != 4*0.65*5 || far > w || far < w-5 {
		t.Errorf("%v wide, the last stroke ends at %v", w, far)
	}
	if math.Abs(lettering.Width("e\u0301", 10)-lettering.Width("é", 10)) > 0 {
		t.Error("a letter written in two pieces is wider than in one")
	}
}

// What has no strokes is told, and is a box.
func TestSignsWithoutStrokes(t *testing.T) {
	if lettering.Known("A梯") || !lettering.Known("A") {
		t.Error("梯 is known")
	}
	if s := lettering.Strokes("梯", 6, plane.Point{}, plane.Point{X: 1}); len(s) != 1 || len(s[0]) != 5 || s[0][0] != s[0][4] {
		t.Errorf("%v", s)
	}
}
