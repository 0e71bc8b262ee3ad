package solver

import (
	"math"
	"slices"

	"perch/solver/elementary"
)

const (
	// proofSteps bounds the work of all proofs about blocks in one Solve, in
	// steps of rows and products of matrices; one block's proof may take half
	// of what is left, so that a conflict's many searches end.
	proofSteps = 300_000_000
	// proofStepsEach are allowed more for each step of the system's rules.
	proofStepsEach = 20_000
	// wideEnough is the part of a side that a contraction must cut off to be
	// worth repeating.
	wideEnough = 0.1
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

// prover finds all solutions of a square block by branch and prune: boxes are
// contracted row by row and by the interval Newton operator, and split where
// neither helps (R. E. Moore, R. B. Kearfott, M. J. Cloud, "Introduction to
// interval analysis", SIAM 2009). Every box ends excluded, in one that is proved
// to hold exactly one solution, or given up.
type prover struct {
	newton
	uses   [][]int32 // by variable: rows that hold it
	queue  []int32
	queued []bool     // by row
	old    []interval // a box before a contraction
	found  []proved
	left   [][]interval // given up
	steps  int
	done   bool // every box was decided
	spare  [][]interval
}

// proved is a box with exactly one solution, which lies in tight.
type proved struct{ tight, unique []interval }

// newProver makes the prover of rows, of which the first n are equations.
func newProver(rows []row, n int, scale []float64, steps int) *prover {
	p := &prover{newton: makeNewton(rows, n, scale), uses: make([][]int32, len(scale)), old: make([]interval, len(scale)), queued: make([]bool, len(rows)), steps: steps}
	for i := range rows {
		for _, v := range rows[i].vars {
			p.uses[v] = append(p.uses[v], int32(i))
		}
	}
	return p
}

// way is a search that can be left and taken up again.
type way interface {
	// run goes on while there are steps; ended where it has nothing left to do.
	run() (ended bool)
	// onCourse tells whether another turn of so many steps is well spent.
	onCourse(turn int) bool
	// open lists boxes given up; done where there are none, and all were looked at.
	open() (left [][]interval, done bool)
}

const (
	// firstTurn is how many evaluations of all rows a way may take at first, and
	// longerTurn by how much more at each turn.
	firstTurn  = 100
	longerTurn = 1.5
	// sweepTurn makes the turns of sweeps shorter, as it soon shows where they lead.
	sweepTurn = 3
)

// run decides a box and all of its parts. Where the block is long and narrow it is
// also swept from both ends, the ways taking turns: which is best differs by far more
// than their number.
func (p *prover) run(first []interval) {
	h := &halving{prover: p, todo: [][]interval{slices.Clone(first)}, done: true}
	ways := []way{h}
	turn := p.steps
	if order := p.along(); order != nil {
		ways = append(ways, newSweep(p, first, order))
		order = slices.Clone(order)
		slices.Reverse(order)
		ways = append(ways, newSweep(p, first, order))
		turn = firstTurn * p.cost
	}
	for p.steps > 0 && len(p.found) <= maxRoots {
		for k := 0; k < len(ways) && p.steps > 0; k++ {
			part := turn
			if k > 0 {
				part /= sweepTurn
			}
			rest := p.steps - min(part, p.steps)
			p.steps -= rest
			ended := ways[k].run()
			p.steps += rest
			if ended {
				p.left, p.done = ways[k].open()
				return
			}
			if ways[k].onCourse(part) {
				k--
			}
		}
		turn = int(float64(turn) * longerTurn)
	}
	h.giveUp()
	p.left, p.done = h.left, false
}

// halving splits where a box moves most.
type halving struct {
	*prover
	todo [][]interval
	left [][]interval // given up
	done bool         // none was given up
}

func (h *halving) open() ([][]interval, bool) { return h.left, h.done }

func (h *halving) onCourse(int) bool { return false }

func (h *halving) run() bool {
	for len(h.todo) > 0 {
		h.steps, h.spent = h.steps-h.spent, 0
		if len(h.left) >= maxLeft || len(h.found) > maxRoots {
			h.giveUp()
			return true
		}
		if h.steps <= 0 {
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
		m := splitAt(box[k])
		box[k].hi, half[k].lo = m, m
		h.todo = append(h.todo, half, box)
	}
	return true
}

// giveUp leaves some of the boxes not looked at to start from.
func (h *halving) giveUp() {
	h.done = false
	for k := len(h.todo) - 1; k >= 0 && len(h.left) < maxStartBoxes; k-- {
		h.left = append(h.left, h.todo[k])
	}
}

// copyOf copies a box into space that is no longer used.
func (p *prover) copyOf(box []interval) []interval {
	if n := len(p.spare); n > 0 {
		c := p.spare[n-1]
		p.spare = p.spare[:n-1]
		copy(c, box)
		return c
	}
	return slices.Clone(box)
}

// covered tells whether a box lies in one whose only solution is known.
func (p *prover) covered(box []interval) bool {
	for i := range p.found {
		if inside(box, p.found[i].unique) {
			return true
		}
	}
	return false
}

// prune contracts the box. It returns false where the box is done with: empty,
// or with its one solution recorded.
func (p *prover) prune(box []interval) bool {
	for round := range 50 {
		// Of a large block a step may decide the whole box, and tells soon where it can't.
		at := round > 0 || p.n <= alwaysStep
		if at && !p.contract(box) {
			return false
		}
		p.mark(box)
		st := p.step(box)
		p.steps -= p.cost
		if st == stepEmpty {
			return false
		}
		if st == stepUnknown {
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
		if at && p.shrink(box) < wideEnough {
			return true
		}
	}
	return true
}

// contractNewton is one of Newton's steps on a box, counted.
func (p *prover) contractNewton(box []interval) stepState {
	st := p.step(box)
	p.steps -= p.cost + p.spent
	p.spent = 0
	return st
}

// tighten repeats Newton's steps on a box where they converge, and records the
// solution. True: the box is done with.
func (p *prover) tighten(box []interval) bool {
	for range 30 {
		if p.narrowEnough(box) {
			break
		}
		p.mark(box)
		st := p.step(box)
		p.steps -= p.cost
		if st == stepEmpty {
			return true
		}
		if st == stepUnknown || p.shrink(box) < 0.01 {
			break
		}
	}
	return p.record(box)
}

// narrowEnough tells whether a box is a point but for rounding.
func (p *prover) narrowEnough(box []interval) bool {
	for k, b := range box {
		if b.width() > tightSide*math.Max(b.magnitude(), 1e-6*math.Min(1, p.scale[k])) {
			return false
		}
	}
	return true
}

// mark notes a box before it is contracted.
func (p *prover) mark(box []interval) { copy(p.old, box) }

// shrink is the largest part cut off a side since mark.
func (p *prover) shrink(box []interval) float64 {
	most := 0.0
	for k, b := range box {
		w := p.old[k].width()
		switch {
		case w == 0:
		case math.IsInf(w, 1):
			if elementary.Finite(b.width()) {
				return 1
			}
		default:
			most = math.Max(most, 1-b.width()/w)
		}
	}
	return most
}

// record proves that one solution lies in or right beside the box, and keeps it
// unless it is known.
func (p *prover) record(box []interval) bool {
	t, u, ok := p.verify(box)
	p.steps -= 2 * p.cost
	if !ok {
		return false
	}
	for _, f := range p.found {
		if inside(t, f.unique) || inside(f.tight, u) {
			return true
		}
		if !apart(t, f.tight) {
			return false
		}
	}
	p.found = append(p.found, proved{t, u})
	return true
}

// contract revises rows until nothing moves much; false where nothing is left.
func (p *prover) contract(box []interval) bool {
	p.queue = p.queue[:0]
	for i := range p.rows {
		p.push(int32(i))
	}
	return p.propagate(box, wideEnough, 40*len(p.rows), nil)
}

// propagate revises the rows in the queue and then those that hold a side of which
// part was cut off, up to a limit, noting in trail what sides were; false where nothing
// is left.
func (p *prover) propagate(box []interval, part float64, limit int, trail *[]moved) bool {
	ok := true
	for at := 0; at < len(p.queue); at++ {
		r := &p.rows[p.queue[at]]
		p.queued[p.queue[at]] = false
		if !ok || at > limit {
			continue
		}
		p.steps -= 2 * r.size()
		if r.isBent() {
			p.steps -= 5 * r.size()
		}
		for _, v := range r.vars {
			p.before[v] = box[v]
		}
		ok = r.revise(box) && (!r.isBent() || r.recenter(box, p.newton.center))
		if trail != nil {
			for _, v := range r.vars {
				if box[v] != p.before[v] {
					*trail = append(*trail, moved{v, p.before[v]})
				}
			}
		}
		if !ok {
			continue
		}
		for _, v := range r.vars {
			o, b := p.before[v].width(), box[v].width()
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

func (p *prover) push(i int32) {
	if !p.queued[i] {
		p.queued[i] = true
		p.queue = append(p.queue, i)
	}
}

// choose picks the variable to split: the one whose width, times slope, moves
// the rows most (SmearSumRel: G. Trombettoni, I. Araya, B. Neveu, G. Chabert,
// AAAI 2011); the widest where slopes are not known. -1: the box is too small.
func (p *prover) choose(box []interval) int {
	best, most := -1, -1.0
	smear := p.smear(box)
	for k, b := range box {
		w := b.width()
		if w <= smallSide*math.Max(b.magnitude(), 1e-6*math.Min(1, p.scale[k])) {
			continue
		}
		m := smear[k]
		if !(m > most) {
			continue
		}
		if s := splitAt(b); !(s > b.lo && s < b.hi) {
			continue
		}
		best, most = k, m
	}
	return best
}
