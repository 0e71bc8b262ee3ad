package bend

import (
	"math"
	"strings"
	"testing"
)

// TestBendsThatAreNone: what each method refuses, and in which words.
func TestBendsThatAreNone(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		b    Bend
		want string
	}{
		{Bend{Angle: -1, Thickness: 1}, "is not in 0°..180°"}, {Bend{Angle: 3.2, Thickness: 1}, "is not in 0°..180°"}, {Bend{Angle: nan, Thickness: 1}, "is not in 0°..180°"},
		{Bend{Angle: 1}, "thickness 0 mm is not above 0 and up to"}, {Bend{Angle: 1, Thickness: inf}, "is not above 0 and up to"}, {Bend{Angle: 1, Thickness: 1, Radius: -1}, "inside radius -1 mm is not in 0.."},
		{Bend{Angle: 1, Thickness: 1, Radius: inf}, "inside radius"}, {Bend{Angle: 1, Thickness: 1, K: 1.1}, "neutral-axis factor 1.1 is not in 0..1"}, {Bend{Angle: 1, Thickness: 1, K: -0.1}, "neutral-axis factor"},
	} {
		if err := c.b.Err(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %s", c.b, err, c.want)
		}
		if _, err := c.b.Springback(250, 210000); err == nil || !strings.HasPrefix(err.Error(), "springback: ") {
			t.Errorf("%+v springs back: %v", c.b, err)
		}
	}
	fine := Bend{Angle: math.Pi / 2, Thickness: 1, Radius: 2}
	for _, m := range [][2]float64{{0, 210000}, {250, 0}, {250, inf}, {300000, 210000}, {nan, 210000}, {250, nan}, {-1, 210000}} {
		if _, err := fine.Springback(m[0], m[1]); err == nil {
			t.Errorf("a metal of yield %g and modulus %g", m[0], m[1])
		}
	}
	for name, want := range map[string]Method{"": DIN6935, "din6935": DIN6935, "handbook": Handbook, "stated": Stated} {
		if got, ok := MethodNamed(name); !ok || got != want {
			t.Errorf("method %q: %q, %v", name, got, ok)
		}
	}
	if m, ok := MethodNamed("guess"); ok {
		t.Errorf("method %q", m)
	}
	if k := KDIN6935(1, 0); k != 0 {
		t.Errorf("K of a sharp bend is %g", k)
	}
	strip := TestBend{Angle: math.Pi / 2, Thickness: 2, Radius: 2, Flat: 100, LegA: 50, LegB: 54}
	for name, change := range map[string]func(b *TestBend){
		"no thickness": func(b *TestBend) { b.Thickness = 0 }, "below a degree": func(b *TestBend) { b.Angle = 0.99 * Degree }, "no strip": func(b *TestBend) { b.Flat = 0 },
		"no leg": func(b *TestBend) { b.LegA = 0 }, "a leg that is none": func(b *TestBend) { b.LegB = nan }, "an endless strip": func(b *TestBend) { b.Flat = inf },
	} {
		b := strip
		change(&b)
		if k, _, err := b.K(); err == nil || !strings.HasPrefix(err.Error(), "test bend: ") {
			t.Errorf("%s: K %g, %v", name, k, err)
		}
	}
	at := strip
	at.Angle = 1.01 * Degree
	if _, _, err := at.K(); err != nil {
		t.Errorf("a bend of a degree: %v", err)
	}
	// 104 mm of legs and 100 of strip leave 4 mm; twice the set-back of 4 is 8, so the bend takes 4 mm
	if k, _, err := strip.K(); err != nil || math.Abs(k-(4/(math.Pi/2)-2)/2) > 1e-12 {
		t.Errorf("K of the strip is %g, %v", k, err)
	}
}
