package tolerance_test

import (
	"strings"
	"testing"

	"perch/parts/shop"
	"perch/parts/shopcheck"
)

// A hole that is drilled in place lands somewhere: rivets of 3.2 mm that keep 6.4 mm, two
// diameters, from the edge of their sheet are fine where they land within 1.6 mm, and are
// told where a shop's bends are so far off that less than 1.5 diameters may be left.
func TestEdgesWhereHolesLand(t *testing.T) {
	const shelf = "../../examples/tutorial/4_hooks.perch"
	for _, c := range []struct {
		drilled float64
		told    bool
	}{{0.3, false}, {0.88, false}, {0.89, true}} {
		s := shop.Default()
		s.Tolerance.Drilled = c.drilled
		r := built(t, shelf, "workshop", s)
		told := false
		for _, f := range shopcheck.CheckJoins(r.Assembly, s, r.Made.Misfits) {
			told = told || f.Code == "P6018" && strings.Contains(f.Message.String(), "drilled in place it may land")
		}
		if told != c.told {
			t.Errorf("drilled to ±%.2f mm: told %v", c.drilled, told)
		}
	}
}
