package rules_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestBranches: which branch of an `if` over params counts, by hand, at both sides of
// every end and on it.
func TestBranches(t *testing.T) {
	const text = head + `param x: length in 0mm..900mm
param y: length in -900mm..900mm
param a: angle in 0deg..90deg = 30deg
let low = x < 100mm
let twice(l: length in 10mm..100mm) = 2 * l
rule y = (%s)
size it: x = %vmm
`
	for _, c := range []struct {
		y  string
		x  float64
		y0 float64 // NaN: nothing fulfils it
	}{
		{"if x < 100mm then x else 2 * x", 99, 99},
		{"if x < 100mm then x else 2 * x", 100, 200},
		{"if x <= 100mm then x else 2 * x", 100, 100},
		{"if x <= 100mm then x else 2 * x", 101, 202},
		{"if x > 100mm then x else 2 * x", 100, 200},
		{"if x >= 100mm then x else 2 * x", 100, 100},
		{"if x >= 100mm then x else 2 * x", 99, 198},
		{"if x = 100mm then 5mm else 7mm", 100, 5},
		{"if x = 100mm then 5mm else 7mm", 101, 7},
		{"if x = 100mm then 5mm else 7mm", 99, 7},
		{"if x != 100mm then 5mm else 7mm", 100, 7},
		{"if x != 100mm then 5mm else 7mm", 99, 5},
		{"if x in 100mm..300mm then 5mm else 7mm", 99, 7},
		{"if x in 100mm..300mm then 5mm else 7mm", 100, 5},
		{"if x in 100mm..300mm then 5mm else 7mm", 300, 5},
		{"if x in 100mm..300mm then 5mm else 7mm", 301, 7},
		{"if not x in 100mm..300mm then 5mm else 7mm", 99, 5},
		{"if not x in 100mm..300mm then 5mm else 7mm", 100, 7},
		{"if not x in 100mm..300mm then 5mm else 7mm", 300, 7},
		{"if not x in 100mm..300mm then 5mm else 7mm", 301, 5},
		{"if x > 100mm and x < 300mm then 5mm else 7mm", 99, 7},
		{"if x > 100mm and x < 300mm then 5mm else 7mm", 200, 5},
		{"if x > 100mm and x < 300mm then 5mm else 7mm", 301, 7},
		{"if x < 100mm or x > 300mm then 5mm else 7mm", 99, 5},
		{"if x < 100mm or x > 300mm then 5mm else 7mm", 200, 7},
		{"if x < 100mm or x > 300mm then 5mm else 7mm", 301, 5},
		{"if not (x < 100mm or x > 300mm) then 5mm else 7mm", 200, 5},
		{"if not (x < 100mm or x > 300mm) then 5mm else 7mm", 99, 7},
		{"if not (x > 100mm and x < 300mm) then 5mm else 7mm", 301, 5},
		{"if low then 5mm else 7mm", 99, 5},
		{"if not low then 5mm else 7mm", 99, 7},
		{"if even(4) and low then 5mm else 7mm", 99, 5},
		{"if even(4) and low then 5mm else 7mm", 101, 7},
		{"if even(3) and low then 5mm else 7mm", 99, 7},
		{"if not even(3) and low then 5mm else 7mm", 99, 5},
		{"if even(3) or low then 5mm else 7mm", 99, 5},
		{"if even(3) or low then 5mm else 7mm", 101, 7},
		{"if not even(4) or low then 5mm else 7mm", 101, 7},
		{"if odd(3) or low then 5mm else 7mm", 101, 5},
		{"if a > 20deg and low then 5mm else 7mm", 50, 5},
		{"if a > 40deg or low then 5mm else 7mm", 150, 7},
		{"if low then (if x < 50mm then 1mm else 2mm) else 3mm", 40, 1},
		{"if low then (if x < 50mm then 1mm else 2mm) else 3mm", 60, 2},
		{"if low then (if x < 50mm then 1mm else 2mm) else 3mm", 100, 3},
		{"if low then 3mm else (if x < 200mm then 1mm else 2mm)", 40, 3},
		{"if low then 3mm else (if x < 200mm then 1mm else 2mm)", 150, 1},
		{"if low then 3mm else (if x < 200mm then 1mm else 2mm)", 200, 2},
		// a range binds where its call counts, ends and all
		{"twice(x)", 50, 100}, {"twice(x)", 10, 20}, {"twice(x)", 100, 200},
		{"twice(x)", 9, math.NaN()}, {"twice(x)", 101, math.NaN()},
		{"if x <= 100mm then twice(x) else 300mm", 150, 300},
		{"if x <= 100mm then twice(x) else 300mm", 60, 120},
		{"if x <= 100mm then twice(x) else 300mm", 5, math.NaN()},
		{"if x > 100mm then 300mm else twice(x)", 150, 300},
		{"if x > 100mm then 300mm else twice(x)", 60, 120},
		{"if x > 100mm then 300mm else twice(x)", 5, math.NaN()},
		{"if low then (if x < 50mm then 1mm else twice(x)) else twice(x - 100mm)", 5, 1},
		{"if low then (if x < 50mm then 1mm else twice(x)) else twice(x - 100mm)", 60, 120},
		{"if low then (if x < 50mm then 1mm else twice(x)) else twice(x - 100mm)", 160, 120},
		{"if low then (if x < 50mm then 1mm else twice(x)) else twice(x - 100mm)", 105, math.NaN()},
		{"if low then (if x < 50mm then 1mm else twice(x)) else twice(x - 100mm)", 205, math.NaN()},
	} {
		what := fmt.Sprintf("%s, x = %vmm", c.y, c.x)
		sys, told := read(t, fmt.Sprintf(text, c.y, c.x), "it")
		if sys == nil {
			t.Errorf("%s: %v", what, told)
			continue
		}
		res := sys.Solver.Solve()
		if math.IsNaN(c.y0) {
			if sys.Judge(res) {
				t.Errorf("%s: y is %v, and the range of l is left", what, sys.Named(res.Values)["y"])
			}
			told := fmt.Sprint(sys.Faults())
			if !strings.Contains(told, "10mm..100mm") {
				t.Errorf("%s: nothing is told of the range: %s", what, told)
			}
			continue
		}
		if !sys.Judge(res) {
			t.Errorf("%s: %v", what, sys.Faults())
			continue
		}
		if y := sys.Named(res.Values)["y"]; math.Abs(y-c.y0) > 1e-6 {
			t.Errorf("%s: y is %v, by hand %v", what, y, c.y0)
		}
	}
}

// TestBranchesOfPoints: a point that is chosen is chosen in both its numbers.
func TestBranchesOfPoints(t *testing.T) {
	for x, want := range map[float64][2]float64{50: {50, 1}, 99: {99, 1}, 100: {2, 300}, 150: {2, 450}} {
		sys, told := read(t, head+fmt.Sprintf(`param x: length in 0mm..900mm
param y: length in 0mm..900mm
param z: length in 0mm..900mm
let bent(l: length) = if l < 100mm then (l, 1mm) else (2mm, 3 * l)
rule bent(x) = (y, z)
size it: x = %vmm
`, x), "it")
		if sys == nil {
			t.Errorf("%v: %s", x, told)
			continue
		}
		res := sys.Solver.Solve()
		got := sys.Named(res.Values)
		if !sys.Judge(res) || math.Abs(got["y"]-want[0]) > 1e-6 || math.Abs(got["z"]-want[1]) > 1e-6 {
			t.Errorf("%v mm: %v, by hand %v", x, got, want)
		}
	}
}
