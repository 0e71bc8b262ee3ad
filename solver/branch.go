package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
)

const (
	// sameBest is the relative distance to its bound at which a value counts as
	// the best, certainBest that at which it is certain.
	sameBest    = 1e-9
	certainBest = 1e-6
	maxTrials   = 4000 // points tried
)

// problem asks for the largest value of a target over the part of a box where rows
// hold. The target is a variable of its own; what the free variables leave open
// follows from the rows.
type problem struct {
	rows      []row // equations first
	equations int
	box       []interval
	whole     []bool // by variable: takes whole numbers only
	target    int    // variable that is the target
	free      []int  // variables that, given, fix the others; they come last
	// try gives the free variables values. It returns the target's there, if it is
	// admissible and above least.
	try func(at []float64, least float64) (value float64, ok bool)
}

// branchAndBound answers a problem: boxes are contracted by the rows and dropped where
// the target cannot exceed the best value known.
type branchAndBound struct {
	problem
	p     *prover
	best  float64    // -∞ while there is none
	bound float64    // proved: no admissible point has more
	rest  []interval // the box given up with the highest target
	tried int
}

// newBranchAndBound prepares to answer in so many steps of contraction.
func newBranchAndBound(p problem, steps int) *branchAndBound {
	return &branchAndBound{problem: p, p: newProver(p.rows, p.equations, boxScale(p.box), steps), best: math.Inf(-1), bound: math.Inf(-1)}
}

// run searches best first.
func (c *branchAndBound) run() {
	todo := [][]interval{slices.Clone(c.box)}
	for len(todo) > 0 {
		at := 0
		for k := range todo {
			if todo[k][c.target].hi > todo[at][c.target].hi {
				at = k
			}
		}
		box := todo[at]
		todo[at] = todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if box[c.target].hi <= c.enough() || c.p.steps <= 0 || c.tried >= maxTrials {
			c.giveUp(box)
			continue
		}
		if !c.contract(box) {
			continue
		}
		c.sample(box)
		if box[c.target].hi <= c.enough() {
			c.giveUp(box)
			continue
		}
		k := c.widest(box)
		if k < 0 {
			c.giveUp(box)
			continue
		}
		half := slices.Clone(box)
		m := splitAt(box[k])
		if c.whole[k] {
			m = math.Floor(m)
			box[k].hi, half[k].lo = m, m+1
		} else {
			box[k].hi, half[k].lo = m, m
		}
		todo = append(todo, box, half)
	}
	c.bound = max(c.bound, c.best)
}

// giveUp leaves a box without a look at its parts.
func (c *branchAndBound) giveUp(box []interval) {
	if c.rest == nil || box[c.target].hi > c.bound {
		c.rest = box
	}
	c.bound = max(c.bound, box[c.target].hi)
}

// certain tells whether the best value is all that can be had, or that there is none.
func (c *branchAndBound) certain() bool {
	if math.IsInf(c.best, -1) {
		return math.IsInf(c.bound, -1)
	}
	return c.bound-c.best <= float64(certainBest*math.Max(1, math.Abs(c.best)))
}

// enough is the target's value below which a box is not worth a look.
func (c *branchAndBound) enough() float64 {
	if math.IsInf(c.best, 0) {
		return c.best
	}
	return c.best + float64(sameBest*math.Max(math.Abs(c.best), 1e-3))
}

// contract narrows a box by the rows and to whole numbers; false where nothing is left.
func (c *branchAndBound) contract(box []interval) bool {
	square := c.equations+len(c.free) == len(c.box)
	for range 5 {
		box[c.target].lo = max(box[c.target].lo, c.best)
		c.p.mark(box)
		if !c.p.contract(box) {
			return false
		}
		for k, whole := range c.whole {
			if !whole {
				continue
			}
			box[k].lo = math.Ceil(box[k].lo - float64(wholeTolerance*math.Max(1, math.Abs(box[k].lo))))
			box[k].hi = math.Floor(box[k].hi + float64(wholeTolerance*math.Max(1, math.Abs(box[k].hi))))
			if box[k].isEmpty() {
				return false
			}
		}
		if square && c.p.contractNewton(box) == stepEmpty {
			return false
		}
		if c.p.shrink(box) < wideEnough {
			break
		}
	}
	return true
}

// attempt tries a point and keeps its value where it is better.
func (c *branchAndBound) attempt(at []float64) bool {
	c.tried++
	value, ok := c.try(at, c.best)
	if ok {
		c.best = value
	}
	return ok
}

// sample tries points of a box: its middle, then for each free variable the
// ends, keeping what is better.
func (c *branchAndBound) sample(box []interval) {
	at := make([]float64, len(c.free))
	for i, k := range c.free {
		at[i] = inner(box[k])
	}
	c.attempt(at)
	for i, k := range c.free {
		m := at[i]
		for _, e := range [2]float64{box[k].lo, box[k].hi} {
			if !elementary.Finite(e) || e == m {
				continue
			}
			old := at[i]
			if at[i] = e; !c.attempt(at) {
				at[i] = old
			}
		}
	}
}

// inner is a finite point of an interval.
func inner(x interval) float64 {
	m := middle(x)
	if !elementary.Finite(m) || !x.has(m) {
		m = math.Max(x.lo, math.Min(x.hi, 0))
	}
	return m
}

// widest is the variable to split: the free one that is widest for its range,
// else any other but the target; -1 where all are narrow.
func (c *branchAndBound) widest(box []interval) int {
	best, most := -1, 0.0
	wide := func(k int) {
		w := box[k].width()
		if w <= 1e-13*math.Max(box[k].magnitude(), math.Min(1, c.p.scale[k])) || c.whole[k] && w < 1 {
			return
		}
		if m := splitAt(box[k]); !c.whole[k] && !(m > box[k].lo && m < box[k].hi) {
			return
		}
		if w = math.Min(w/c.p.scale[k], math.MaxFloat64); w > most {
			best, most = k, w
		}
	}
	for _, k := range c.free {
		wide(k)
	}
	if best < 0 {
		for k := range box {
			if k != c.target {
				wide(k)
			}
		}
	}
	return best
}
