// Package optimize finds the largest value of a target over the part of a box where rows
// hold, with a proved bound, by branch and bound; where the admissible points are as good as
// one it restores that point and finds the multipliers there. It knows nothing of names, rules
// or what is preferred.
package optimize

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/roots"
)

const (
	// sameBest is the relative distance to its bound at which a value counts as
	// the best, CertainBest that at which it is certain.
	sameBest    = 1e-9
	CertainBest = 1e-6
	maxTrials   = 4000 // points tried
)

// Problem asks for the largest value of a target over the part of a box where rows
// hold. The target is a variable of its own; what the free variables leave open
// follows from the rows.
type Problem struct {
	Rows      []expr.Row // equations first
	Equations int
	Box       []interval.Interval
	Whole     []bool // by variable: takes whole numbers only
	Target    int    // variable that is the target
	Free      []int  // variables that, given, fix the others; they come last
	// Try gives the free variables values. It returns the target's there, if it is
	// admissible and above least.
	Try func(at []float64, least float64) (value float64, ok bool)
}

// Search answers a problem: boxes are contracted by the rows and dropped where
// the target cannot exceed the best value known.
type Search struct {
	Problem
	p     *roots.Prover
	Best  float64             // -∞ while there is none
	Bound float64             // proved: no admissible point has more
	Rest  []interval.Interval // the box given up with the highest target
	tried int
}

// NewSearch prepares to answer in so many steps of contraction.
func NewSearch(p Problem, steps int) *Search {
	return &Search{Problem: p, p: roots.NewProver(p.Rows, p.Equations, interval.Scale(p.Box), steps), Best: math.Inf(-1), Bound: math.Inf(-1)}
}

// Run searches best first.
func (c *Search) Run() {
	todo := [][]interval.Interval{slices.Clone(c.Box)}
	for len(todo) > 0 {
		at := 0
		for k := range todo {
			if todo[k][c.Target].Hi > todo[at][c.Target].Hi {
				at = k
			}
		}
		box := todo[at]
		todo[at] = todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if box[c.Target].Hi <= c.enough() || c.p.Steps <= 0 || c.tried >= maxTrials {
			c.giveUp(box)
			continue
		}
		if !c.contract(box) {
			continue
		}
		c.sample(box)
		if box[c.Target].Hi <= c.enough() {
			c.giveUp(box)
			continue
		}
		k := c.widest(box)
		if k < 0 {
			c.giveUp(box)
			continue
		}
		half := slices.Clone(box)
		m := interval.SplitPoint(box[k])
		if c.Whole[k] {
			m = math.Floor(m)
			box[k].Hi, half[k].Lo = m, m+1
		} else {
			box[k].Hi, half[k].Lo = m, m
		}
		todo = append(todo, box, half)
	}
	c.Bound = max(c.Bound, c.Best)
}

// giveUp leaves a box without a look at its parts.
func (c *Search) giveUp(box []interval.Interval) {
	if c.Rest == nil || box[c.Target].Hi > c.Bound {
		c.Rest = box
	}
	c.Bound = max(c.Bound, box[c.Target].Hi)
}

// Certain tells whether the best value is all that can be had, or that there is none.
func (c *Search) Certain() bool {
	if math.IsInf(c.Best, -1) {
		return math.IsInf(c.Bound, -1)
	}
	return c.Bound-c.Best <= float64(CertainBest*math.Max(1, math.Abs(c.Best)))
}

// enough is the target's value below which a box is not worth a look.
func (c *Search) enough() float64 {
	if math.IsInf(c.Best, 0) {
		return c.Best
	}
	return c.Best + float64(sameBest*math.Max(math.Abs(c.Best), 1e-3))
}

// contract narrows a box by the rows and to whole numbers; false where nothing is left.
func (c *Search) contract(box []interval.Interval) bool {
	square := c.Equations+len(c.Free) == len(c.Box)
	for range 5 {
		box[c.Target].Lo = max(box[c.Target].Lo, c.Best)
		c.p.Mark(box)
		if !c.p.Contract(box) {
			return false
		}
		for k, whole := range c.Whole {
			if !whole {
				continue
			}
			box[k].Lo = math.Ceil(box[k].Lo - float64(expr.WholeTolerance*math.Max(1, math.Abs(box[k].Lo))))
			box[k].Hi = math.Floor(box[k].Hi + float64(expr.WholeTolerance*math.Max(1, math.Abs(box[k].Hi))))
			if box[k].IsEmpty() {
				return false
			}
		}
		if square && c.p.ContractNewton(box) == roots.Empty {
			return false
		}
		if c.p.Shrink(box) < roots.WideEnough {
			break
		}
	}
	return true
}

// Attempt tries a point and keeps its value where it is better.
func (c *Search) Attempt(at []float64) bool {
	c.tried++
	value, ok := c.Try(at, c.Best)
	if ok {
		c.Best = value
	}
	return ok
}

// sample tries points of a box: its middle, then for each free variable the
// ends, keeping what is better.
func (c *Search) sample(box []interval.Interval) {
	at := make([]float64, len(c.Free))
	for i, k := range c.Free {
		at[i] = Inner(box[k])
	}
	c.Attempt(at)
	for i, k := range c.Free {
		m := at[i]
		for _, e := range [2]float64{box[k].Lo, box[k].Hi} {
			if !elementary.Finite(e) || e == m {
				continue
			}
			old := at[i]
			if at[i] = e; !c.Attempt(at) {
				at[i] = old
			}
		}
	}
}

// Inner is a finite point of an interval.
func Inner(x interval.Interval) float64 {
	m := interval.Middle(x)
	if !elementary.Finite(m) || !x.Has(m) {
		m = math.Max(x.Lo, math.Min(x.Hi, 0))
	}
	return m
}

// widest is the variable to split: the free one that is widest for its range,
// else any other but the target; -1 where all are narrow.
func (c *Search) widest(box []interval.Interval) int {
	best, most := -1, 0.0
	wide := func(k int) {
		w := box[k].Width()
		if w <= 1e-13*math.Max(box[k].Magnitude(), math.Min(1, c.p.Scale[k])) || c.Whole[k] && w < 1 {
			return
		}
		if m := interval.SplitPoint(box[k]); !c.Whole[k] && !(m > box[k].Lo && m < box[k].Hi) {
			return
		}
		if w = math.Min(w/c.p.Scale[k], math.MaxFloat64); w > most {
			best, most = k, w
		}
	}
	for _, k := range c.Free {
		wide(k)
	}
	if best < 0 {
		for k := range box {
			if k != c.Target {
				wide(k)
			}
		}
	}
	return best
}
