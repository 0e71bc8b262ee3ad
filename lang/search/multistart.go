package search

import (
	"cmp"
	"math"
	"slices"
)

// How much of the box is looked at. Each point costs an evaluation.
const (
	fewStarts  = 8   // points spread over the box, beside a feasible one that is known
	manyStarts = 20  // as many before one is
	wideStarts = 64  // as many where nothing can be evaluated at those
	fewLocal   = 2   // of the starts, the best, from which local searches are taken
	manyLocal  = 3   // as many before a feasible point is known
	wellApart  = 0.2 // of the stretches, between points from which they are taken
	maxSides   = 8   // choices of sides that are searched one by one
)

// multistart searches from the points given, which may do, and then from the best of many.
func (j *joint) multistart(starts ...[]float64) {
	n, points, searches := len(j.Variables), manyStarts, manyLocal
	if j.Warm || j.best != nil {
		points, searches = fewStarts, fewLocal
	}
	if !j.scaled {
		all := slices.Clone(starts)
		for k := range fewStarts {
			all = append(all, spread(k+1, n))
		}
		j.scaleImplicit(all)
	}
	var seen, from []*point
	add := func(at []float64) {
		if p := j.try(at, false); p != nil && !p.void && !j.done {
			seen = append(seen, p)
		}
	}
	for _, at := range starts {
		if !j.done {
			add(at)
		}
	}
	from = j.searchFrom(seen, from, 1)
	for k := 1; k <= wideStarts && !j.done && (k <= points || len(seen) == 0); k++ {
		add(spread(k, n))
	}
	j.searchFrom(seen, from, searches)
	if j.best == nil && !j.done && j.counts() {
		j.repairMany()
	}
}

// searchFrom takes local searches from the best points, each well apart from those from
// which they were taken, until there are so many of these.
func (j *joint) searchFrom(seen, from []*point, searches int) []*point {
	merit := func(p *point) float64 {
		v := float64(firstPenalty * p.violation)
		if j.objective {
			v -= p.at[0]
		}
		return v
	}
	slices.SortStableFunc(seen, func(a, b *point) int { return cmp.Compare(merit(a), merit(b)) })
	for _, p := range seen {
		if j.done || len(from) >= searches {
			break
		}
		if !slices.ContainsFunc(from, func(o *point) bool { return distance(o.at, p.at) < wellApart }) {
			from = append(from, p)
			j.keepStationary(j.sequential(p))
		}
	}
	return from
}

// keepStationary keeps the end of a local search.
func (j *joint) keepStationary(p *point) {
	if p.stationary && (j.stationary == nil || p.at[0] > j.stationary.at[0]) {
		j.stationary = p
	}
}

// repairMany looks for a point where counted residuals are met, which hangs on more than
// the load: at many points, each brought to where all else holds.
func (j *joint) repairMany() {
	for k := manyStarts + 1; k <= manyStarts+wideStarts && !j.done && j.best == nil; k++ {
		p := j.try(spread(k, len(j.Variables)), false)
		if p == nil || p.void || p.feasible || j.done {
			continue
		}
		j.differentiate(p)
		j.repair(p)
	}
	if j.best != nil && !j.done {
		j.keepStationary(j.sequential(j.best))
	}
}

// eachSide searches again with each choice of one side of what either side may hold of.
func (j *joint) eachSide(start []float64) {
	if j.done || j.Alternatives == 0 {
		return
	}
	sides := make([]int, j.Alternatives)
	for n := 0; n < min(maxSides, 1<<min(len(sides), 10)) && !j.done; n++ {
		for i := range sides {
			sides[i] = n >> min(i, 10) & 1
		}
		j.Choose(sides)
		from := [][]float64{start}
		if j.best != nil {
			from = append(from, j.best.at)
		}
		j.multistart(from...)
	}
	j.Choose(nil)
}

// spread is the k-th of evenly spread points of a box with n sides: multiples of powers of
// the root of x^(n+1) = x + 1, less their whole parts.
func spread(k, n int) []float64 {
	root := 1.5
	for range 60 {
		p, slope := 1.0, 0.0
		for range n + 1 {
			slope = float64(slope*root) + p
			p *= root
		}
		root -= (p - root - 1) / (slope - 1)
	}
	out := make([]float64, n)
	step := 1.0
	for i := range out {
		step /= root
		x := 0.5 + float64(float64(k)*step)
		out[i] = x - math.Floor(x)
	}
	return out
}
