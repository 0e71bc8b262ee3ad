package roots

import (
	"slices"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
	"perch/solver/linear"
)

// sweep searches a long block depth first from one end to the other: what is not
// straight yet is split next to what was split before, so that a wrong turn is noticed
// from near by, and only what a split moves is looked at again. Of a chain the work
// then grows with its length. Where all rows are about straight Newton's steps decide
// over the whole box.
type sweep struct {
	*Prover
	order []int32             // rows as they are looked at
	box   []interval.Interval // the part that is looked at
	size  []float64           // by variable: its width at first
	trail []change
	forks []branch
	at    int     // rows of order before it are straight
	most  float64 // bend of a straight row
	ok    bool    // the box may hold solutions
	begun bool
	deep  int // most that at was
	high  int // forks when it came to its end
	low   int // least forks since
	used  int // steps
	leaf  []interval.Interval
	left  [][]interval.Interval // given up
}

// change is a side of the box as it was.
type change struct {
	v   int32
	old interval.Interval
}

// branch is a box of which one half is looked at.
type branch struct {
	mark  int // of the trail
	v     int32
	other interval.Interval // the other half
	at    int
	most  float64
}

const (
	// nearlyLinear is the bend of a row below which it is not split, at first.
	nearlyLinear = 0.25
	// tighterBy is by how much less bend is allowed where Newton's steps did not
	// decide.
	tighterBy = 0.25
	// mostTurns is how many turns a sweep may have at once.
	mostTurns = 10
	// slender is the part of its length up to which a block's band pays.
	slender = 0.25
	// worthwhile is the part of a side that has to be cut off for its other rows to be
	// looked at, and nearby how often a row of a split's is at most, with those around.
	worthwhile = 0.25
	nearby     = 8
)

// along is an order of rows in which those that share variables are near each other,
// where that pays, else nil.
func (p *Prover) along() []int32 {
	if p.n <= alwaysStep || p.m > p.n {
		return nil
	}
	at := p.shape
	if at == nil && (p.inv != nil || p.sparse == nil) {
		at = linear.NewPattern(p.n, p.columns())
	}
	if at == nil || float64(at.Kl+at.Ku) > slender*float64(p.n) {
		return nil
	}
	return at.RowOf
}

func newSweep(p *Prover, first []interval.Interval, order []int32) *sweep {
	return &sweep{Prover: p, box: slices.Clone(first), leaf: slices.Clone(first), order: order, most: nearlyLinear}
}

func (s *sweep) open() ([][]interval.Interval, bool) { return s.left, len(s.left) == 0 }

func (s *sweep) run() bool {
	if !s.begun {
		s.begin()
	}
	before := s.Steps
	defer func() { s.used += before - s.Steps }()
	for {
		s.Steps, s.spent = s.Steps-s.spent, 0
		if len(s.left) >= maxLeft || len(s.Found) > maxRoots {
			return true
		}
		if s.Steps <= 0 {
			return false
		}
		v := int32(-1)
		if s.ok {
			v = s.nonlinear()
			s.deep = max(s.deep, s.at)
			if v < 0 {
				if s.high == 0 {
					s.high, s.low = len(s.forks), len(s.forks)
				}
				s.decide()
				continue
			}
			s.split(v)
		} else if v = s.back(); v < 0 {
			return true
		}
		for _, i := range s.uses[v] {
			s.push(i)
		}
		s.ok = s.propagate(s.box, worthwhile, nearby*len(s.queue), &s.trail)
	}
}

// part is about how much of the sweep is behind it, of 2: the way to the other end and
// that back over the forks.
func (s *sweep) part() float64 {
	if s.high == 0 {
		return float64(s.deep) / float64(len(s.order))
	}
	return 2 - float64(s.low)/float64(s.high)
}

// onCourse tells whether at its rate so far the sweep ends in some turns of so many
// steps, and well within the steps left.
func (s *sweep) onCourse(turn int) bool {
	return (2-s.part())*float64(s.used) < float64(s.part()*float64(min(s.Steps/8, turn*mostTurns)))
}

// begin contracts the whole box.
func (s *sweep) begin() {
	for i := range s.rows {
		s.push(int32(i))
	}
	s.begun, s.ok = true, s.propagate(s.box, worthwhile, 40*len(s.rows), &s.trail)
	s.size = make([]float64, len(s.box))
	for k, b := range s.box {
		s.size[k] = 1
		if w := b.Width(); elementary.Finite(w) {
			s.size[k] = w
		}
	}
}

// set changes a side of the box.
func (s *sweep) set(v int32, to interval.Interval) {
	s.trail = append(s.trail, change{v, s.box[v]})
	s.box[v] = to
}

// split goes on with one half of a variable's side.
func (s *sweep) split(v int32) {
	m := interval.SplitPoint(s.box[v])
	half, other := s.box[v], s.box[v]
	half.Hi, other.Lo = m, m
	s.forks = append(s.forks, branch{len(s.trail), v, other, s.at, s.most})
	s.set(v, half)
}

// back goes on with the other half of the last split, and returns its variable; -1
// where there is none.
func (s *sweep) back() int32 {
	n := len(s.forks) - 1
	if n < 0 {
		return -1
	}
	f := s.forks[n]
	s.forks = s.forks[:n]
	s.low = min(s.low, n)
	for k := len(s.trail) - 1; k >= f.mark; k-- {
		s.box[s.trail[k].v] = s.trail[k].old
	}
	s.trail = s.trail[:f.mark]
	s.at, s.most = f.at, f.most
	s.set(f.v, f.other)
	return f.v
}

// nonlinear moves to the next row that is not straight and returns its variable to split;
// -1 where all are.
func (s *sweep) nonlinear() int32 {
	for ; s.at < len(s.order); s.at++ {
		r := &s.rows[s.order[s.at]]
		s.Steps -= 4 * r.Size()
		if v := nonlinearity(r, s.box, s.center, s.size, s.most); v >= 0 {
			return v
		}
	}
	return -1
}

// nonlinearity is the variable that adds most to how the row's slopes differ in the box, where
// that is more than a part of the slopes; else -1. A variable counts by its size,
// which stays, so that a part of a straight box is about straight.
func nonlinearity(r *expr.Row, box, mid []interval.Interval, size []float64, most float64) int32 {
	for _, v := range r.Vars {
		mid[v] = interval.Point(interval.Middle(box[v]))
	}
	r.AtCenter(mid)
	r.Over(box)
	slopes := r.Slopes()
	line, off, worst := 0.0, 0.0, 0.0
	best := int32(-1)
	for k, v := range r.Vars {
		m, d := interval.MiddleRadius(slopes[k])
		line += float64(max(m, -m) * size[v])
		if d = float64(d * size[v]); !(d <= 1e200) {
			d = 1e200
		}
		off += d
		if d > worst && divisible(box[v], size[v]) {
			best, worst = v, d
		}
	}
	if off <= float64(most*line) {
		return -1
	}
	return best
}

// divisible tells whether a side of a box is worth splitting.
func divisible(b interval.Interval, scale float64) bool {
	m := interval.SplitPoint(b)
	return b.Width() > smallSide*max(b.Magnitude(), 1e-6*min(1, scale)) && m > b.Lo && m < b.Hi
}

// decide puts the whole box to Newton's steps. Where they do not settle it, it is
// looked at again as they left it, with less bend allowed.
func (s *sweep) decide() {
	copy(s.leaf, s.box)
	if s.ok = !s.decided(s.leaf); !s.ok {
		return
	}
	for k, b := range s.leaf {
		if b != s.box[k] {
			s.set(int32(k), b)
		}
	}
	s.at, s.most = 0, float64(s.most*tighterBy)
	if s.choose(s.box) < 0 {
		s.left = append(s.left, slices.Clone(s.box))
		s.ok = false
	}
}

// decided tells whether a box is done with, trying Newton's steps before the rows,
// which come to its end a little at a time.
func (s *sweep) decided(box []interval.Interval) bool {
	if s.covered(box) {
		return true
	}
	s.Mark(box)
	st := s.step(box)
	s.Steps -= s.cost
	return st == Empty || st == Contracted && s.beta < 0.5 && s.tighten(box) || !s.prune(box)
}
