package sparse

import (
	"testing"

	"pgregory.net/rapid"
)

// TestDots: the products of rows are the same bits by the processor's wide registers and by
// plain Go, and what plain sums say within rounding.
func TestDots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "n")
		step := n + rapid.IntRange(0, 3).Draw(t, "beside")
		x := rapid.SliceOfN(rapid.Float64Range(-1, 1), 3*step, 3*step).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Float64Range(-1, 1), 3*step, 3*step).Draw(t, "y")
		var got, plain [9]float64
		if four := n &^ 3; four > 0 {
			nine(&got, x, step, y, step, four)
			ninePlain(&plain, x, step, y, step, four)
			if got != plain {
				t.Fatalf("%v by wide registers, %v by plain Go", got, plain)
			}
		}
		dots(&got, x, 3, step, y, 3, step, n)
		for r := range 3 {
			for c := range 3 {
				want := 0.0
				for k := range n {
					want += float64(x[r*step+k] * y[c*step+k])
				}
				if d := got[3*r+c] - want; d > 1e-13 || d < -1e-13 {
					t.Fatalf("row %d by row %d is %v, want %v", r, c, got[3*r+c], want)
				}
			}
		}
	})
}
