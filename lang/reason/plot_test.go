package reason

import (
	"fmt"
	"math"
	"testing"
)

// TestTicks holds the marks of an axis to round values: whole ones for a count,
// and no minus before nothing.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		whole  bool
		want   string
	}{
		{0, 2, true, "[0 1 2]"},
		{0, 2, false, "[0 0.5 1 1.5 2]"},
		{350, 800, false, "[400 500 600 700 800]"},
		{-1, 1, false, "[-1 -0.5 0 0.5 1]"},
		{1, 40, true, "[10 20 30 40]"},
	} {
		ticks := scale{lo: c.lo, hi: c.hi, b: 100}.ticks(c.whole)
		if got := fmt.Sprint(ticks); got != c.want {
			t.Errorf("%g..%g: %s, want %s", c.lo, c.hi, got, c.want)
		}
		for _, v := range ticks {
			if v == 0 && math.Signbit(v) {
				t.Errorf("%g..%g: minus zero", c.lo, c.hi)
			}
		}
	}
}

func TestWrapped(t *testing.T) {
	if got := fmt.Sprintf("%q", wrapped("one two three four", 9)); got != `["one two" "   three" "   four"]` {
		t.Error(got)
	}
}
