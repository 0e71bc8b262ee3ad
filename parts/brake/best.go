package brake

import (
	"cmp"
	"container/heap"
	"math"
	"math/bits"
	"slices"

	"perch/parts/plane"
)

const (
	// maxBestLooks bounds what a search for the best plan looks at, beyond what the first took.
	maxBestLooks = 1_500_000
	// maxNodes bounds the beginnings that it takes up.
	maxNodes = 200_000
)

// cost orders plans that work: warnings that count, then turnings over and end for end, then
// changes of fingers, then flanges that wait although they are short, and those farther out.
type cost struct {
	warnings, turnings, changes int
	wait                        float64
}

func (c cost) less(d cost) bool {
	switch {
	case c.warnings != d.warnings:
		return c.warnings < d.warnings
	case c.turnings != d.turnings:
		return c.turnings < d.turnings
	case c.changes != d.changes:
		return c.changes < d.changes
	}
	return c.wait < d.wait-1e-9
}

// plus is what two parts of a plan come to.
func (c cost) plus(d cost) cost {
	return cost{c.warnings + d.warnings, c.turnings + d.turnings, c.changes + d.changes, c.wait + d.wait}
}

// node is a beginning of a plan: what is done, and the last hold of it. What was done before that,
// and so the fingers that stand, follow from the two: of two beginnings alike in them the cheaper one
// is as good for whatever comes.
type node struct {
	done   uint64
	last   int // hold; none at the start
	set    uint64
	before *node
	cost   cost
	least  cost // of any whole plan that begins so, at least
	tried  bool // the last move is known to go; else its cost is the least that it can be
	order  int
}

// queue holds beginnings, the most promising first.
type queue []*node

func (q queue) Len() int { return len(q) }

func (q queue) Less(i, j int) bool {
	a, b := q[i], q[j]
	switch {
	case a.least.less(b.least):
		return true
	case b.least.less(a.least):
		return false
	}
	if x, y := bits.OnesCount64(a.done), bits.OnesCount64(b.done); x != y {
		return x > y
	}
	return a.order < b.order
}

func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }

func (q *queue) Push(x any) { *q = append(*q, x.(*node)) }

func (q *queue) Pop() any {
	n := len(*q) - 1
	x := (*q)[n]
	*q = (*q)[:n]
	return x
}

// best are the moves of the cheapest plan, and whether it is proved that none is cheaper. Where that
// takes more looks than there are, the cheapest of all that was tried is taken.
func (f *finder) best() (moves []move, proved bool) {
	end := f.cheapest(f.try, f.p.looked+maxBestLooks, maxNodes)
	if proved = end != nil; !proved {
		end = f.cheapest(f.known, math.MaxInt, math.MaxInt)
	}
	for b := end; b.before != nil; b = b.before {
		moves = append(moves, move{b.last, b.before.done})
	}
	slices.Reverse(moves)
	return moves, proved
}

// known is what a trial came to that was made already; one that was not counts as one that does not go.
func (f *finder) known(hold int, done uint64) trial { return f.trials[hold][done] }

// cheapest is the cheapest whole plan, of moves that try lets go: beginnings are grown from the most
// promising one, by what the rest costs at least, and a move is tried when its turn comes. nil is for
// more looks or beginnings than there may be.
func (f *finder) cheapest(try func(hold int, done uint64) trial, looks, nodes int) *node {
	type key struct {
		done uint64
		last int
	}
	closed := map[key]cost{}
	q := &queue{{last: none, tried: true}}
	for order := 1; q.Len() > 0; {
		n := heap.Pop(q).(*node)
		k := key{n.done, n.last}
		if c, ok := closed[k]; ok && !n.cost.less(c) {
			continue
		}
		if !n.tried {
			if f.p.looked > looks {
				return nil
			}
			t := try(n.last, n.before.done)
			if !t.ok {
				continue
			}
			f.settle(n, t)
			heap.Push(q, n)
			continue
		}
		if n.done == f.all {
			return n
		}
		if closed[k] = n.cost; len(closed) > nodes {
			return nil
		}
		for i, h := range f.holds {
			if next := n.done | h.ops; f.can(h, n.done) && !f.dead[next] && !f.stuck(i, n.done) {
				heap.Push(q, f.grow(n, i, order))
				order++
			}
		}
	}
	return nil
}

// grow adds a move that is not tried yet.
func (f *finder) grow(b *node, i, order int) *node {
	h := f.holds[i]
	out := &node{done: b.done | h.ops, last: i, before: b, cost: b.cost, order: order}
	out.cost.warnings += h.static.weight
	if b.last >= 0 {
		g := f.holds[b.last]
		if g.drawnUp != h.drawnUp {
			out.cost.turnings++
		}
		if !sameBack(g, h) {
			out.cost.turnings++
		}
	}
	left := len(f.p.ops) - bits.OnesCount64(b.done)
	// Each stroke weighs its flange by how much is still to come: short ones early, inner ones
	// a little before others.
	out.cost.wait += float64(float64(left) * h.waits())
	out.least = out.cost.plus(f.rest(out.done, i))
	return out
}

// settle adds what the trial of a beginning's last move tells.
func (f *finder) settle(n *node, t trial) {
	h := f.holds[n.last]
	n.tried, n.set = true, t.set
	n.cost.warnings += t.weight - h.static.weight
	if b := n.before; b.last >= 0 {
		if g := f.holds[b.last].k; b.set != t.set || g.brake.Punch != h.k.brake.Punch || math.Abs(g.r-h.k.r) > 1e-6 {
			n.cost.changes++
		}
	}
	n.least = n.cost.plus(f.rest(n.done, n.last))
}

// waits is what a stroke costs for each operation that is still to come.
func (h *hold) waits() float64 { return h.flange + float64(1e-3*h.off) }

// share is the least that an operation adds to a plan's cost, whatever stroke it is done in.
type share struct {
	op    int
	warns float64
	waits float64
	lies  lie
}

// lie is how a fold lies in the machine: which of the lines of the flat is along it, and which
// side is up. Both ways to hold it lie so.
type lie struct{ line, up uint64 } // a bit each

// weigh finds how holds lie, and the shares of all operations, what waits least first.
func (f *finder) weigh() {
	var lines []plane.Point
	f.lies = make([]lie, len(f.holds))
	for i, h := range f.holds {
		d := plane.Point{X: h.frame.X.X, Y: h.frame.Y.X}
		k := slices.IndexFunc(lines, func(l plane.Point) bool { return math.Abs(l.Dot(d)) > 1-1e-9 })
		if k < 0 {
			k, lines = len(lines), append(lines, d)
		}
		f.lies[i] = lie{1 << k, 1}
		if h.drawnUp {
			f.lies[i].up = 2
		}
	}
	f.shares = make([]share, len(f.p.ops))
	for o := range f.shares {
		s := &f.shares[o]
		*s = share{op: o, warns: math.Inf(1), waits: math.Inf(1)}
		for i, h := range f.holds {
			if h.ops&(1<<o) != 0 {
				n := float64(len(h.list))
				s.warns, s.waits, s.lies = min(s.warns, float64(h.static.weight)/n), min(s.waits, h.waits()/n), f.lies[i]
			}
		}
	}
	slices.SortStableFunc(f.shares, func(a, b share) int { return cmp.Compare(a.waits, b.waits) })
}

// rest is the least that what is left costs after a hold: what waits least comes first, the piece is
// turned for every line that a fold lies along and each side that is up, and a warning that no hold
// is without is given.
func (f *finder) rest(done uint64, last int) cost {
	var c cost
	seen := f.lies[last]
	warns, left := 0.0, len(f.p.ops)-bits.OnesCount64(done)
	for i := range f.shares {
		if s := &f.shares[i]; done&(1<<s.op) == 0 {
			c.wait += float64(float64(left) * s.waits)
			left--
			warns += s.warns
			seen.line, seen.up = seen.line|s.lies.line, seen.up|s.lies.up
		}
	}
	c.warnings = int(math.Floor(warns + 1e-9))
	c.turnings = bits.OnesCount64(seen.line) + bits.OnesCount64(seen.up) - 2
	return c
}

// found are the moves of the plan that the search found first.
func (f *finder) found() []move {
	var moves []move
	for done := uint64(0); done != f.all; {
		for _, i := range f.ordered(done) {
			if next := done | f.holds[i].ops; f.alive[next] && f.try(i, done).ok {
				moves = append(moves, move{i, done})
				done = next
				break
			}
		}
	}
	return moves
}

// sameBack tells whether the same direction of the flat points to the machine's back.
func sameBack(g, h *hold) bool {
	return float64(g.frame.X.X*h.frame.X.X)+float64(g.frame.Y.X*h.frame.Y.X) > 1-1e-9
}
