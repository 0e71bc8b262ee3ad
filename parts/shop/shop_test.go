package shop

import (
	"math"
	"testing"
)

func TestRivetFor(t *testing.T) {
	shop := Default()
	for _, c := range []struct{ thin, thick, want float64 }{
		{1.5, 1.5, 4.8}, // 4.5 asked for
		{1.2, 1.2, 4.0}, // 3.6 asked for: as near as 3.2, and thicker
		{1.4, 1.4, 4.0}, // 4.2 asked for
		{1.6, 1.6, 4.8},
		{1, 4, 4.0},
		{3, 3, 6.4},
		{1, 8, 0},
		{1, 1, 3.2}, // 3 asked for, and nothing below is stocked
		{0.8, 0.9, 3.2},
		{0.5, 0.5, 0}, // above 4 × 0.5 there is no rivet so thin
	} {
		got, ok := RivetFor(shop.RivetSizes(Pulled), c.thin, c.thick)
		if ok != (c.want > 0) || got != c.want {
			t.Errorf("%g on %g: got %g, want %g", c.thin, c.thick, got, c.want)
		}
	}
}

func TestFasteners(t *testing.T) {
	shop := Default()
	if r, ok := shop.Rivet(4.8); !ok || r.Hole != 4.9 { // ISO 15977, from memory
		t.Errorf("4.8: %+v, %v", r, ok)
	}
	if _, ok := shop.Rivet(5); ok {
		t.Error("a rivet of 5 is on hand")
	}
	if b, ok := shop.Bolt(6); !ok || b.Hole != 6.6 { // ISO 273 medium, from memory
		t.Errorf("M6: %+v, %v", b, ok)
	}
	if _, ok := shop.Rivets[0].ForGrip(20); ok {
		t.Error("a 3.2 rivet grips 20 mm")
	}
	if got := shop.SheetsOf("mild_steel", 1.5); len(got) != 1 || got[0].Width != 1250 {
		t.Errorf("sheets %+v", got)
	}
}

// max(2t, 4·kerf, 6 mm), max(2t, 3 mm), kerf/2 + 0.2: common practice, no source.
func TestCutterLimits(t *testing.T) {
	c := Default().Cutter
	for _, k := range []struct{ got, want float64 }{
		{c.RoundHole(1.5), 6}, {c.RoundHole(4), 8}, {c.Web(1.2), 3}, {c.Web(3), 6}, {c.CornerRadius(), 0.95},
	} {
		if !close(k.got, k.want, 1e-12) {
			t.Errorf("got %g, want %g", k.got, k.want)
		}
	}
	c.Kerf = 2
	if got := c.RoundHole(1.5); got != 8 {
		t.Errorf("at a kerf of 2: got %g, want 8", got)
	}
}

// The built-in shop knows the usual inch fasteners, also those that are sold as metric
// ones: a blind rivet of 3/16 in is the one of 4.8 mm. Clearance holes of inch bolts are
// those of ASME B18.2.8, normal fit, from memory.
func TestInchFasteners(t *testing.T) {
	s := Default()
	for inches, want := range map[float64]float64{1.0 / 8: 3.2, 5.0 / 32: 4, 3.0 / 16: 4.8, 1.0 / 4: 6.4} {
		if r, ok := s.Rivet(inches * 25.4); !ok || r.Diameter != want {
			t.Errorf("rivet of %g in: %+v", inches, r)
		}
	}
	for inches, hole := range map[float64]float64{0.164: 0.196, 0.19: 0.221, 0.25: 0.281, 0.3125: 0.344, 0.375: 0.406, 0.5: 0.562, 0.625: 0.688} {
		if b, ok := s.Bolt(inches * 25.4); !ok || math.Abs(b.Hole/25.4-hole) > 1e-9 {
			t.Errorf("bolt of %g in: %+v", inches, b)
		}
	}
	for mm, hole := range map[float64]float64{8: 9, 5: 5.5, 16: 17.5} {
		if b, ok := s.Bolt(mm); !ok || b.Hole != hole {
			t.Errorf("bolt of %g mm: %+v", mm, b)
		}
	}
}
