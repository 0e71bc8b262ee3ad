package stack

import (
	"math"

	"perch/parts/plane"
	"perch/solver/elementary"
)

// steepest is the slope, along x and y, up to which a piece is followed as it settles.
const steepest = 0.2

// tilt is a plane h + x·A + y·B: how far the upper piece stands over the lower.
type tilt struct{ h, a, b float64 }

func (t tilt) at(p plane.Point) float64 { return t.h + float64(t.a*p.X) + float64(t.b*p.Y) }

// lean is how a piece settles whose weight acts at a place: with that as low as it can be, and
// nowhere closer to the piece below than touching. For small angles this is a linear
// programme of three unknowns; it is solved on few of the gaps, to which the one
// most broken is added until none is.
func lean(all []gap, centre plane.Point) (angle float64, toward plane.Point) {
	first := all[0]
	for _, g := range all {
		if g.height > first.height {
			first = g
		}
	}
	work := []gap{first}
	best := tilt{}
	for range 200 {
		best = lowest(work, centre)
		worst, by := gap{}, settled/10
		for _, g := range all {
			if d := g.height - best.at(above(g.At)); d > by {
				worst, by = g, d
			}
		}
		if by == settled/10 {
			break
		}
		work = append(work, worst)
	}
	slope := plane.Point{X: best.a, Y: best.b}
	if slope.Len() < 1e-6 {
		return 0, plane.Point{}
	}
	return elementary.Atan(slope.Len()), slope.Neg().Unit()
}

// lowest is the tilt that holds what it is told with the least height at the centre: of all
// that three of the gaps or of the bounds on its slope fix, the lowest that holds them all.
// Of tilts as low the evenest is taken.
func lowest(work []gap, centre plane.Point) tilt {
	// a row (p, q, r, s) holds where p·h + q·a + r·b ≥ s
	var rows [][4]float64
	for _, g := range work {
		rows = append(rows, [4]float64{1, g.At.X, g.At.Y, g.height})
	}
	rows = append(rows, [4]float64{0, 1, 0, -steepest}, [4]float64{0, -1, 0, -steepest}, [4]float64{0, 0, 1, -steepest}, [4]float64{0, 0, -1, -steepest})
	level := tilt{h: math.Inf(-1)}
	for _, g := range work {
		level.h = max(level.h, g.height)
	}
	best := level
	for i := range rows {
		for j := i + 1; j < len(rows); j++ {
			for k := j + 1; k < len(rows); k++ {
				t, ok := meet(rows[i], rows[j], rows[k])
				if !ok || !holds(rows, t) {
					continue
				}
				if t.at(centre) < best.at(centre)-1e-7 {
					best = t
				}
			}
		}
	}
	return best
}

func holds(rows [][4]float64, t tilt) bool {
	for _, r := range rows {
		if float64(r[0]*t.h)+float64(r[1]*t.a)+float64(r[2]*t.b) < r[3]-1e-7 {
			return false
		}
	}
	return true
}

// meet is the tilt that three rows fix, by Cramer's rule.
func meet(x, y, z [4]float64) (tilt, bool) {
	det := func(i, j, k int) float64 {
		return float64(x[i]*(float64(y[j]*z[k])-float64(y[k]*z[j]))) -
			float64(x[j]*(float64(y[i]*z[k])-float64(y[k]*z[i]))) +
			float64(x[k]*(float64(y[i]*z[j])-float64(y[j]*z[i])))
	}
	d := det(0, 1, 2)
	if math.Abs(d) < 1e-9 {
		return tilt{}, false
	}
	return tilt{det(3, 1, 2) / d, det(0, 3, 2) / d, det(0, 1, 3) / d}, true
}
