// Package roots finds all solutions of a square system of equations in a box, or proves that
// there are none, as far as its steps go: by branch and prune and the interval Newton
// operator, and of one equation by bisection. It never calls a solution proved that interval
// arithmetic did not prove, and knows nothing of names, rules or what is preferred.
package roots

import (
	"math"
	"slices"

	"perch/solver/elementary"
	"perch/solver/expr"
	"perch/solver/interval"
)

const (
	// ProofSteps bounds the work of all proofs about blocks in one Solve, in
	// steps of rows and products of matrices; one block's proof may take half
	// of what is left, so that a conflict's many searches end.
	ProofSteps = 300_000_000
	// ProofStepsEach are allowed more for each step of the system's rules.
	ProofStepsEach = 20_000
	// WideEnough is the part of a side that a contraction must cut off to be
	// worth repeating.
	WideEnough = 0.1
	// smallSide is the width, relative to position and range, at which a box
	// that is neither excluded nor proved is given up.
	smallSide = 1e-10
	// tightSide is the relative width at which Newton's steps end.
	tightSide = 1e-12
	// maxStartBoxes of those not looked at are given up when the work is spent.
	maxStartBoxes = 4
	// maxLeft is how many boxes are given up before the whole proof is.
	maxLeft = 48
)

// Prover finds all solutions of a square block by branch and prune: boxes are
// contracted row by row and by the interval Newton operator, and split where
// neither helps (R. E. Moore, R. B. Kearfott, M. J. Cloud, "Introduction to
// interval analysis", SIAM 2009). Every box ends excluded, in one that is proved
// to hold exactly one solution, or given up.
type Prover struct {
	newton
	uses   [][]int32 // by variable: rows that hold it
	queue  []int32
	queued []bool              // by row
	old    []interval.Interval // a box before a contraction
	Found  []proved
	Left   [][]interval.Interval // given up
	Steps  int
	Done   bool // every box was decided
	spare  [][]interval.Interval
}

// proved is a box with exactly one solution, which lies in tight.
type proved struct{ Tight, unique []interval.Interval }

// NewProver makes the prover of rows, of which the first n are equations.
func NewProver(rows []expr.Row, n int, scale []float64, steps int) *Prover {
	p := &Prover{newton: makeNewton(rows, n, scale), uses: make([][]int32, len(scale)), old: make([]interval.Interval, len(scale)), queued: make([]bool, len(rows)), Steps: steps}
	for i := range rows {
		for _, v := range rows[i].Vars {
			p.uses[v] = append(p.uses[v], int32(i))
		}
	}
	return p
}

// strategy is a search that can be left and taken up again.
type strategy interface {
	// run goes on while there are steps; ended where it has nothing left to do.
	run() (ended bool)
	// onCourse tells whether another turn of so many steps is well spent.
	onCourse(turn int) bool
	// open lists boxes given up; done where there are none, and all were looked at.
	open() (left [][]interval.Interval, done bool)
}

const (
	// firstTurn is how many evaluations of all rows a way may take at first, and
	// longerTurn by how much more at each turn.
	firstTurn  = 100
	longerTurn = 1.5
	// sweepTurn makes the turns of sweeps shorter, as it soon shows where they lead.
	sweepTurn = 3
)

// Run decides a box and all of its parts. Where the block is long and narrow it is
// also swept from both ends, the ways taking turns: which is best differs by far more
// than their number.
func (p *Prover) Run(first []interval.Interval) {
	h := &bisection{Prover: p, todo: [][]interval.Interval{slices.Clone(first)}, done: true}
	ways := []strategy{h}
	turn := p.Steps
	if order := p.along(); order != nil {
		ways = append(ways, newSweep(p, first, order))
		order = slices.Clone(order)
		slices.Reverse(order)
		ways = append(ways, newSweep(p, first, order))
		turn = firstTurn * p.cost
	}
	for p.Steps > 0 && len(p.Found) <= maxRoots {
		for k := 0; k < len(ways) && p.Steps > 0; k++ {
			part := turn
			if k > 0 {
				part /= sweepTurn
			}
			rest := p.Steps - min(part, p.Steps)
			p.Steps -= rest
			ended := ways[k].run()
			p.Steps += rest
			if ended {
				p.Left, p.Done = ways[k].open()
				return
			}
			if ways[k].onCourse(part) {
				k--
			}
		}
		turn = int(float64(turn) * longerTurn)
	}
	h.giveUp()
	p.Left, p.Done = h.left, false
}

// bisection splits where a box moves most.
type bisection struct {
	*Prover
	todo [][]interval.Interval
	left [][]interval.Interval // given up
	done bool                  // none was given up
}

func (h *bisection) open() ([][]interval.Interval, bool) { return h.left, h.done }

func (h *bisection) onCourse(int) bool { return false }

func (h *bisection) run() bool {
	for len(h.todo) > 0 {
		h.Steps, h.spent = h.Steps-h.spent, 0
		if len(h.left) >= maxLeft || len(h.Found) > maxRoots {
			h.giveUp()
			return true
		}
		if h.Steps <= 0 {
			return false
		}
		box := h.todo[len(h.todo)-1]
		h.todo = h.todo[:len(h.todo)-1]
		if h.covered(box) || !h.prune(box) {
			h.spare = append(h.spare, box)
			continue
		}
		k := h.choose(box)
		if k < 0 {
			h.left = append(h.left, box)
			h.done = false
			continue
		}
		half := h.copyOf(box)
		m := interval.SplitPoint(box[k])
		box[k].Hi, half[k].Lo = m, m
		h.todo = append(h.todo, half, box)
	}
	return true
}

// giveUp leaves some of the boxes not looked at to start from.
func (h *bisection) giveUp() {
	h.done = false
	for k := len(h.todo) - 1; k >= 0 && len(h.left) < maxStartBoxes; k-- {
		h.left = append(h.left, h.todo[k])
	}
}

// copyOf copies a box into space that is no longer used.
func (p *Prover) copyOf(box []interval.Interval) []interval.Interval {
	if n := len(p.spare); n > 0 {
		c := p.spare[n-1]
		p.spare = p.spare[:n-1]
		copy(c, box)
		return c
	}
	return slices.Clone(box)
}

// covered tells whether a box lies in one whose only solution is known.
func (p *Prover) covered(box []interval.Interval) bool {
	for i := range p.Found {
		if interval.Inside(box, p.Found[i].unique) {
			return true
		}
	}
	return false
}

// prune contracts the box. It returns false where the box is done with: empty,
// or with its one solution recorded.
func (p *Prover) prune(box []interval.Interval) bool {
	for round := range 50 {
		// Of a large block a step may decide the whole box, and tells soon where it can't.
		at := round > 0 || p.n <= alwaysStep
		if at && !p.Contract(box) {
			return false
		}
		p.Mark(box)
		st := p.step(box)
		p.Steps -= p.cost
		if st == Empty {
			return false
		}
		if st == Unknown {
			if at {
				return true
			}
			continue
		}
		if p.narrowEnough(box) {
			return !p.record(box)
		}
		if p.beta < 0.5 && p.tighten(box) {
			return false
		}
		if at && p.Shrink(box) < WideEnough {
			return true
		}
	}
	return true
}

// ContractNewton is one of Newton's steps on a box, counted.
func (p *Prover) ContractNewton(box []interval.Interval) StepState {
	st := p.step(box)
	p.Steps -= p.cost + p.spent
	p.spent = 0
	return st
}

// tighten repeats Newton's steps on a box where they converge, and records the
// solution. True: the box is done with.
func (p *Prover) tighten(box []interval.Interval) bool {
	for range 30 {
		if p.narrowEnough(box) {
			break
		}
		p.Mark(box)
		st := p.step(box)
		p.Steps -= p.cost
		if st == Empty {
			return true
		}
		if st == Unknown || p.Shrink(box) < 0.01 {
			break
		}
	}
	return p.record(box)
}

// narrowEnough tells whether a box is a point but for rounding.
func (p *Prover) narrowEnough(box []interval.Interval) bool {
	for k, b := range box {
		if b.Width() > tightSide*math.Max(b.Magnitude(), 1e-6*math.Min(1, p.Scale[k])) {
			return false
		}
	}
	return true
}

// Mark notes a box before it is contracted.
func (p *Prover) Mark(box []interval.Interval) { copy(p.old, box) }

// Shrink is the largest part cut off a side since mark.
func (p *Prover) Shrink(box []interval.Interval) float64 {
	most := 0.0
	for k, b := range box {
		w := p.old[k].Width()
		switch {
		case w == 0:
		case math.IsInf(w, 1):
			if elementary.Finite(b.Width()) {
				return 1
			}
		default:
			most = math.Max(most, 1-b.Width()/w)
		}
	}
	return most
}

// record proves that one solution lies in or right beside the box, and keeps it
// unless it is known.
func (p *Prover) record(box []interval.Interval) bool {
	t, u, ok := p.verify(box)
	p.Steps -= 2 * p.cost
	if !ok {
		return false
	}
	for _, f := range p.Found {
		if interval.Inside(t, f.unique) || interval.Inside(f.Tight, u) {
			return true
		}
		if !interval.Apart(t, f.Tight) {
			return false
		}
	}
	p.Found = append(p.Found, proved{t, u})
	return true
}

// Contract revises rows until nothing moves much; false where nothing is left.
func (p *Prover) Contract(box []interval.Interval) bool {
	p.queue = p.queue[:0]
	for i := range p.rows {
		p.push(int32(i))
	}
	return p.propagate(box, WideEnough, 40*len(p.rows), nil)
}

// propagate revises the rows in the queue and then those that hold a side of which
// part was cut off, up to a limit, noting in trail what sides were; false where nothing
// is left.
func (p *Prover) propagate(box []interval.Interval, part float64, limit int, trail *[]change) bool {
	ok := true
	for at := 0; at < len(p.queue); at++ {
		r := &p.rows[p.queue[at]]
		p.queued[p.queue[at]] = false
		if !ok || at > limit {
			continue
		}
		p.Steps -= 2 * r.Size()
		if r.IsBent() {
			p.Steps -= 5 * r.Size()
		}
		for _, v := range r.Vars {
			p.before[v] = box[v]
		}
		ok = r.Revise(box) && (!r.IsBent() || r.Recenter(box, p.newton.center))
		if trail != nil {
			for _, v := range r.Vars {
				if box[v] != p.before[v] {
					*trail = append(*trail, change{v, p.before[v]})
				}
			}
		}
		if !ok {
			continue
		}
		for _, v := range r.Vars {
			o, b := p.before[v].Width(), box[v].Width()
			if b <= (1-part)*o && !(math.IsInf(o, 1) && math.IsInf(b, 1)) && o > 0 || math.IsInf(b, 1) && b != o {
				for _, i := range p.uses[v] {
					if &p.rows[i] != r {
						p.push(i)
					}
				}
			}
		}
	}
	p.queue = p.queue[:0]
	return ok
}

func (p *Prover) push(i int32) {
	if !p.queued[i] {
		p.queued[i] = true
		p.queue = append(p.queue, i)
	}
}

// choose picks the variable to split: the one whose width, times slope, moves
// the rows most (SmearSumRel: G. Trombettoni, I. Araya, B. Neveu, G. Chabert,
// AAAI 2011); the widest where slopes are not known. -1: the box is too small.
func (p *Prover) choose(box []interval.Interval) int {
	best, most := -1, -1.0
	smear := p.smear(box)
	for k, b := range box {
		w := b.Width()
		if w <= smallSide*math.Max(b.Magnitude(), 1e-6*math.Min(1, p.Scale[k])) {
			continue
		}
		m := smear[k]
		if !(m > most) {
			continue
		}
		if s := interval.SplitPoint(b); !(s > b.Lo && s < b.Hi) {
			continue
		}
		best, most = k, m
	}
	return best
}
