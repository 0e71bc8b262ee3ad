package search

import (
	"math"
	"slices"
)

// maxRestore is how many steps back to where the implicit constraints hold are taken;
// they cost no evaluation.
const maxRestore = 6

// implicitAt are the implicit constraints at a point, each in its own size.
func (j *joint) implicitAt(at []float64) (values []float64, ok bool) {
	raw, ok := j.Problem.Implicit(j.values(at), j.implicit)
	values = make([]float64, len(j.implicit))
	if !ok {
		return values, false
	}
	for k := range values {
		if values[k] = raw[k] / j.size[k]; math.Abs(values[k]) < 1e-12 {
			values[k] = 0
		}
	}
	return values, true
}

// scaleImplicit takes the sizes of the implicit constraints from what they are at some
// points, and drops those that are the same everywhere.
func (j *joint) scaleImplicit(points [][]float64) {
	var seen [][]float64
	for _, at := range points {
		if g, ok := j.implicitAt(at); ok {
			seen = append(seen, g)
		}
	}
	var kept []int
	var sizes []float64
	for k, n := range j.implicit {
		largest, lo, hi := 0.0, math.Inf(1), math.Inf(-1)
		for _, g := range seen {
			largest, lo, hi = max(largest, math.Abs(g[k])), min(lo, g[k]), max(hi, g[k])
		}
		size := j.size[k]
		if j.Scale[n] == 0 && largest > 0 && !math.IsInf(largest, 0) {
			size = largest
		}
		if !(hi-lo <= float64(1e-9*largest) && hi <= 0) {
			kept, sizes = append(kept, n), append(sizes, size)
		}
	}
	j.implicit, j.size, j.scaled = kept, sizes, true
}

// restoreImplicit moves a point to where the implicit constraints hold.
func (j *joint) restoreImplicit(at []float64, hold bool) (_, implicit []float64, ok bool) {
	at = slices.Clone(at)
	for k := range at {
		at[k] = j.within(k, at[k])
	}
	for range maxRestore {
		if implicit, ok = j.implicitAt(at); !ok {
			return at, implicit, false
		}
		if !slices.ContainsFunc(implicit, positive) {
			return at, implicit, true
		}
		s := j.subproblem(at, 1, hold, 0)
		for k, slope := range j.implicitGradients(at, implicit) {
			if !slices.ContainsFunc(slope, math.IsNaN) {
				s.row(row{onImplicit, k}, slope, implicit[k]+inside, false)
			}
		}
		d, _, _ := s.solve(1e3)
		if d == nil {
			return at, implicit, false
		}
		moved := false
		for k := range at {
			was := at[k]
			at[k] = j.within(k, at[k]+d[k])
			moved = moved || at[k] != was
		}
		if !moved {
			return at, implicit, false
		}
	}
	return at, implicit, false
}

// implicitGradients are by constraint and variable; NaN where there are none.
func (j *joint) implicitGradients(at, implicit []float64) [][]float64 {
	out := make([][]float64, len(implicit))
	for g := range out {
		out[g] = make([]float64, len(at))
	}
	for k := range at {
		to := j.beside(at, k, differenceStep)
		values, ok := j.implicitAt(to)
		for g := range out {
			out[g][k] = (values[g] - implicit[g]) / (to[k] - at[k])
			if !ok {
				out[g][k] = math.NaN()
			}
		}
	}
	return out
}

// beside is a point h beside one along a variable, to the other side where its range ends.
func (j *joint) beside(at []float64, k int, h float64) []float64 {
	to := slices.Clone(at)
	if to[k]+h > j.max[k] || to[k]+h < j.min[k] {
		h = -h
	}
	to[k] += h
	return to
}
