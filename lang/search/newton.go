package search

import (
	"cmp"
	"math"
	"slices"

	"perch/solver/linear"
)

// Bounds of the search for zeros in several variables.
const (
	gridOfTwo      = 7 // points along each of two variables
	gridOfThree    = 5 // or of three
	maxGridStarts  = 6
	maxNewtonSteps = 12
)

// system is a costly function over a box with as many values as the box has sides, or
// more, whose zeros are looked for.
type system struct {
	f      func(x []float64) (y, near []float64)
	lo, hi []float64
	used   []int     // the values that are solved for: those that vary
	size   []float64 // of each of used over the grid
}

// node is a point, in parts of the box, and the function's values there.
type node struct {
	at, y, near []float64
	cost        float64
}

// Zeros looks for points of the box lo..hi where a costly function with as many values
// as the box has sides, or more, is zero: |each value| ≤ its near. Values may be NaN.
// It refines the best points of a grid by Newton's steps, with gradients by differences,
// shortened until they help.
func Zeros(f func(x []float64) (y, near []float64), lo, hi []float64) [][]float64 {
	m := system{f: f, lo: lo, hi: hi}
	per := gridOfTwo
	if len(m.lo) > 2 {
		per = gridOfThree
	}
	grid := m.grid(per)
	if !m.choose(grid) {
		return nil
	}
	var out [][]float64
	for _, s := range m.starts(grid, per) {
		if x, ok := m.refine(s); ok {
			out = append(out, x)
		}
	}
	return out
}

func (m *system) point(at []float64) []float64 {
	x := make([]float64, len(at))
	for k, t := range at {
		x[k] = m.lo[k] + float64(t*(m.hi[k]-m.lo[k]))
	}
	return x
}

func (m *system) node(at []float64) node {
	y, near := m.f(m.point(at))
	return node{at, y, near, m.cost(y)}
}

func (m *system) grid(per int) []node {
	n := 1
	for range m.lo {
		n *= per
	}
	out := make([]node, n)
	for i := range out {
		at := make([]float64, len(m.lo))
		for k, j := 0, i; k < len(at); k, j = k+1, j/per {
			at[k] = float64(j%per) / float64(per-1)
		}
		out[i] = m.node(at)
	}
	return out
}

// choose takes as many values as there are variables, those that vary first, and
// their sizes; false where too few have any value.
func (m *system) choose(grid []node) bool {
	for t := range grid[0].y {
		lo, hi, near := math.Inf(1), math.Inf(-1), 0.0
		for _, n := range grid {
			if !math.IsNaN(n.y[t]) {
				lo, hi, near = min(lo, n.y[t]), max(hi, n.y[t]), max(near, n.near[t])
			}
		}
		if hi-lo > near && len(m.used) < len(m.lo) {
			m.used, m.size = append(m.used, t), append(m.size, hi-lo)
		}
	}
	for i := range grid {
		grid[i].cost = m.cost(grid[i].y)
	}
	return len(m.used) == len(m.lo)
}

// cost is the sum of squares of the values that are solved for, each by its size.
func (m *system) cost(y []float64) float64 {
	sum := 0.0
	for k, t := range m.used {
		r := y[t] / m.size[k]
		sum += float64(r * r)
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// solved tells whether the values that are solved for are zero, to within part of
// what counts as zero.
func (m *system) solved(n node, part float64) bool {
	return !slices.ContainsFunc(m.used, func(t int) bool { return !(math.Abs(n.y[t]) <= float64(part*n.near[t])) })
}

// starts are the points of the grid that no neighbour betters, the best first.
func (m *system) starts(grid []node, per int) []node {
	var out []node
	for i, n := range grid {
		lowest := !math.IsInf(n.cost, 0)
		for step, k := 1, 0; k < len(n.at); step, k = step*per, k+1 {
			at := i / step % per
			lowest = lowest && !(at > 0 && grid[i-step].cost < n.cost) && !(at < per-1 && grid[i+step].cost < n.cost)
		}
		if lowest {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b node) int { return cmp.Compare(a.cost, b.cost) })
	return out[:min(len(out), maxGridStarts)]
}

// refine takes Newton's steps from a point until all values are zero and no step
// betters them.
func (m *system) refine(n node) ([]float64, bool) {
	for range maxNewtonSteps {
		d := m.step(n)
		if d == nil {
			break
		}
		next := n
		for part := 1.0; part > 1e-3 && !(next.cost < n.cost); part /= 4 {
			at := make([]float64, len(n.at))
			for k := range at {
				at[k] = max(0, min(1, n.at[k]+float64(part*d[k])))
			}
			next = m.node(at)
		}
		if !(next.cost < n.cost) {
			break
		}
		n = next
		if m.solved(n, 1e-3) {
			break
		}
	}
	return m.point(n.at), m.solved(n, 1)
}

// step is Newton's step, nil where the gradients do not lead anywhere.
func (m *system) step(n node) []float64 {
	k := len(n.at)
	slopes, missing, d := make([]float64, k*k), make([]float64, k), make([]float64, k)
	for r := range missing {
		missing[r] = -n.y[m.used[r]] / m.size[r]
	}
	for c := range k {
		at := slices.Clone(n.at)
		h := differenceStep
		if at[c]+h > 1 {
			h = -h
		}
		at[c] += h
		y, _ := m.f(m.point(at))
		for r := range missing {
			slopes[r*k+c] = (y[m.used[r]] - n.y[m.used[r]]) / m.size[r] / (at[c] - n.at[c])
		}
	}
	if lu := linear.NewDense(k); !lu.Factor(slopes, 1e-12) || !lu.Solve(missing, d) {
		return nil
	}
	return d
}
