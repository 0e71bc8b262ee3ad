package brake

import (
	"math/rand/v2"
	"strings"
	"testing"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/shop"
)

// What can't be bent is told with what could be done so far, what stops it, the number that it breaks and
// what would help, in words that a person at the brake can act on.
func TestRefusalsInWords(t *testing.T) {
	pan := func(high float64) *panel.Flat {
		d := newDrawn(1, 200, 160)
		for k := range 4 {
			d.hang(0, k, 90, false, high, 2, 2, 0)
		}
		return d.must()
	}
	flange := func(t, long, deep float64) *panel.Flat {
		d := newDrawn(t, long, 60)
		d.hang(0, 2, 90, false, deep, 0, 0, 0)
		return d.must()
	}
	for _, c := range []struct {
		what   string
		flat   *panel.Flat
		change func(b *shop.Brake)
		done   int // steps that can be done
		reason Reason
		told   []string
	}{
		{"no set of fingers fits", pan(30), func(b *shop.Brake) { b.Fingers = []float64{250} }, 3, BareEnd,
			[]string{"then it can't be bent any further on this brake, nor in any other order", "holding base: no fingers fit, 156 mm of the fold would stay bare (fingers)", "a narrower finger"}},
		{"the brake is too short", flange(1, 700, 40), func(b *shop.Brake) { b.Length, b.BetweenFrames = 600, 2000 }, 0, TooLong,
			[]string{"it can't be bent on this brake:", "the fold is 700 mm long and the brake 600 mm (length)", "keep the fold to 600 mm, or make it of two parts"}},
		{"the brake is too weak", flange(1.5, 1200, 40), func(b *shop.Brake) { b.Thickness = 1.3 }, 0, TooStrong,
			[]string{"it asks for a rating of 1.49 mm and the brake's is 1.3 mm (thickness)", "use thinner sheet or a shorter fold"}},
		{"the sheet is too thick at any length", flange(3, 100, 40), func(b *shop.Brake) { b.Thickness = 1.6 }, 0, TooThick,
			[]string{"the sheet is 3 mm and the brake takes 2 mm at any length (over)", "a shop with a stronger brake says so in its shop file"}},
		{"a wall can't come in under the clamp", pan(60), func(b *shop.Brake) { b.Lift = 2 }, 3, NoWayIn,
			[]string{"no way is found that it goes in under the clamp, which opens by 2 mm (lift)", "a brake that opens wider than 2 mm"}},
		{"too little to hold", flange(1, 300, 6), func(b *shop.Brake) { b.MoveMin, b.HoldMin = 8, 80 }, 0, ShortMove,
			[]string{"of flat to move by, 8.0 mm are needed (move_min)", "deeper"}},
	} {
		s := shop.Default()
		c.change(&s.Brake)
		p := Find(c.flat, s, nil)
		if p.Refused == nil || p.Refused.Bound || len(p.Steps) != c.done {
			t.Errorf("%s: %d steps, refused %+v", c.what, len(p.Steps), p.Refused)
			continue
		}
		found := false
		for _, b := range p.Refused.Next {
			found = found || b.Reason == c.reason
		}
		told := strings.Join(p.Tell(measure.Millimetres), "\n")
		if !found {
			t.Errorf("%s: it is refused otherwise:\n%s", c.what, told)
		}
		for _, part := range c.told {
			if !strings.Contains(told, part) {
				t.Errorf("%s: it does not say %q:\n%s", c.what, part, told)
			}
		}
	}
}

// A flange that, bent, could not be taken from the brake again is refused for that, not for the bend: here an
// angle about a punch that hardly goes up, too long to be slid off it between the frames. A shorter one is slid off.
func TestFlangeThatCantComeOut(t *testing.T) {
	s := press()
	s.Brake.Stroke = 3
	angle := func(long float64) *Plan {
		d := newDrawn(1, long, 60)
		d.hang(0, 2, 120, false, 60, 0, 0, 0)
		return Find(d.must(), s, nil)
	}
	if p := angle(400); p.Refused != nil {
		t.Errorf("400 mm long it is refused: %s", strings.Join(p.Tell(measure.Millimetres), "\n"))
	}
	p := angle(800)
	if p.Refused == nil || len(p.Refused.Next) == 0 {
		t.Fatal("800 mm long it comes off the punch")
	}
	told := strings.Join(p.Tell(measure.Millimetres), "\n")
	for _, b := range p.Refused.Next {
		if b.Reason != NoWayOut || b.Number != "stroke" || b.At == 0 {
			t.Errorf("%+v", b)
		}
	}
	for _, part := range []string{"no way is found that it comes out again under the ram, which goes up by 3 mm (stroke)", "a brake that opens wider than 3 mm"} {
		if !strings.Contains(told, part) {
			t.Errorf("it does not say %q:\n%s", part, told)
		}
	}
}

// Beyond the search's bound a part of many folds is told as far as it goes: the steps found, what
// stops each of them that are left, and that there may be a plan all the same.
func TestBeyondTheBoundInWords(t *testing.T) {
	flat := drawMany(rand.New(rand.NewPCG(0, 14))).must()
	p := Find(flat, shop.Default(), nil)
	if p.Refused == nil || !p.Refused.Bound {
		t.Skip("it is settled within the bound")
	}
	told := strings.Join(p.Tell(measure.Millimetres), "\n")
	if len(p.Steps) < 5 || len(p.Refused.Next) == 0 {
		t.Errorf("%d steps, %d reasons", len(p.Steps), len(p.Refused.Next))
	}
	for _, part := range []string{"no plan was found before the search was given up; there may be one", "sets of folds", "make the part of two", " 5. bend "} {
		if !strings.Contains(told, part) {
			t.Errorf("it does not say %q:\n%s", part, told)
		}
	}
}
