package plane

import (
	"math"

	"perch/solver/elementary"
)

// maxFlatten bounds the chords that stand for one arc.
const maxFlatten = 4096

// Flatten replaces arcs by equal chords no farther than chordTol mm from them (at
// most 4096 an arc) and lists the vertices; the loop's own vertices stay.
func Flatten(l Loop, chordTol float64) []Point {
	out := make([]Point, 0, len(l)*2)
	for i := range l {
		e := l.Edge(i)
		out = append(out, e.From)
		if e.Bulge == 0 {
			continue
		}
		n := chords(e, chordTol)
		for k := 1; k < n; k++ {
			out = append(out, e.PointAt(float64(k)/float64(n)))
		}
	}
	return out
}

// chords is how many chords keep within tol of an arc: a chord of angle a leaves
// it by r·(1 − cos(a/2)).
func chords(e Edge, tol float64) int {
	r := e.Radius()
	if !(tol > 0) {
		return maxFlatten
	}
	if tol >= 2*r {
		return 1
	}
	step := 2 * elementary.Acos(max(-1, 1-tol/r))
	n := math.Ceil(math.Abs(e.Sweep()) / step)
	if !(n < maxFlatten) {
		return maxFlatten
	}
	return max(1, int(n))
}
