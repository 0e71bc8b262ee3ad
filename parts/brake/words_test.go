package brake

import (
	"strings"
	"testing"

	"perch/parts/measure"
	"perch/parts/shop"
)

// What is said at a leaf brake and at a press is of that machine, in the reader's units.
func TestWordsAreOfTheMachine(t *testing.T) {
	d := newDrawn(1, 300, 80)
	d.hang(0, 2, 90, false, 30, 0, 0, 0)
	flat := d.must()
	press := shop.Default()
	press.Brake.Kind = shop.BrakeVDie
	for _, c := range []struct {
		shop  *shop.Shop
		in    measure.System
		says  []string
		never []string
	}{
		{shop.Default(), measure.Millimetres, []string{" 1. bend base/f1: hold base, drawn side up", "under the fingers' edge", "pull to about 91.5°", "fingers from the left: 3 × 100 mm"}, []string{"punch", " in "}},
		{press, measure.Inches, []string{"base to the back", "under the punch", "press to about", " in from the free edge of f1"}, []string{"finger", " mm"}},
	} {
		p := Find(flat, c.shop, nil)
		text := strings.Join(p.Tell(c.in), "\n")
		for _, s := range c.says {
			if !strings.Contains(text, s) {
				t.Errorf("it does not say %q:\n%s", s, text)
			}
		}
		for _, s := range c.never {
			if strings.Contains(text, s) {
				t.Errorf("it says %q:\n%s", s, text)
			}
		}
	}
}
