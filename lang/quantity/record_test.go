package quantity

import (
	"math"
	"testing"
)

// Units of a record as a reader of inches has them; factors by the definitions of inch,
// pound and pound-force.
func TestFromRecord(t *testing.T) {
	for _, c := range []struct {
		v    float64
		unit string
		want float64
		in   string
	}{
		{25.4, "mm", 1, "in"}, {645.16, "mm²", 1, "in²"}, {0.45359237, "kg", 1, "lb"}, {4.4482216152605, "N", 1, "lbf"},
		{1, "deg", 1, "deg"}, {3, "", 3, ""}, {0.45359237 / 25.4, "kg/mm", 1, "lb/in"}, {25.4, "mm/deg", 1, "in/deg"},
		{1, "N/mm²", 145.03773773, "psi"}, // the table of SI units, to its digits
	} {
		got, unit := FromRecord(c.v, c.unit, Inches)
		if math.Abs(got-c.want) > 1e-8*c.want || unit != c.in {
			t.Errorf("%g %s: %g %s, want %g %s", c.v, c.unit, got, unit, c.want, c.in)
		}
		if got, unit := FromRecord(c.v, c.unit, Millimetres); got != c.v || unit != c.unit {
			t.Errorf("%g %s: %g %s in millimetres", c.v, c.unit, got, unit)
		}
	}
}
