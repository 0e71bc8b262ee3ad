package cutplan

import (
	"context"
	"math"
	"slices"

	"perch/parts/plane"
)

// tour is the order of cuts under way: short travel, no cut before those that must
// be done earlier.
type tour struct {
	from       plane.Point
	start, end []plane.Point
	before     [][]int
	must       [][]bool // must[i][k]: k before i
	near       [][]float64
	ways       []float64 // from each cut, last the start, to each; nil: not known
	seed       uint64
	marks      []int           // by cut, the last set that it was marked in
	marked     int             // the set being marked
	work       int64           // cuts looked at so far
	stop       context.Context // when it ends, the best so far is taken; nil: never
}

// tourWork is how many cuts are looked at in all, a second or two of work: of long tours
// what is best then is taken.
const tourWork = 500_000_000

// manyCuts is the number of cuts beyond which a tour is not bettered, for the room that
// takes: it goes on to the nearest, always.
const manyCuts = 4000

// done tells that enough was looked at, or that nobody waits any longer.
func (t *tour) done() bool {
	return t.work > tourWork || t.stop != nil && t.stop.Err() != nil
}

// waysMost is the number of cuts up to which all ways between them are kept.
const waysMost = 1500

// kicks is how often a tour that nothing improves is shaken and improved again.
const kicks = 400

// kickWork is the length of tour from which on it is shaken less often.
const kickWork = 200

func newTour(p *Plan) *tour {
	t := &tour{from: p.Options.From, before: p.before(), seed: 1}
	for i := range p.Cuts {
		t.start = append(t.start, p.Cuts[i].Start())
		t.end = append(t.end, p.Cuts[i].End())
		if len(p.Cuts) <= manyCuts {
			must := make([]bool, len(p.Cuts))
			for _, k := range t.before[i] {
				must[k] = true
			}
			t.must = append(t.must, must)
		}
	}
	return t
}

// best is a tour that neither moving up to three cuts elsewhere nor running a
// stretch backwards shortens, the best after so many kicks, fewer for long tours.
func (t *tour) best(kicks int) []int {
	o := t.nearest()
	if len(o) < 3 || len(o) > manyCuts {
		return o
	}
	t.measure()
	t.improve(o)
	best, length := append([]int(nil), o...), t.length(o)
	for range min(kicks, kickWork*kicks/len(o)) {
		if t.done() {
			break
		}
		t.kick(o)
		t.improve(o)
		if l := t.length(o); l < length-1e-9 {
			length = l
			copy(best, o)
		} else {
			copy(o, best)
		}
	}
	return best
}

// measure keeps all ways, unless they are too many.
func (t *tour) measure() {
	if t.ways != nil || len(t.start) > waysMost {
		return
	}
	ways := make([]float64, 0, len(t.start)*(len(t.start)+1))
	for a := range t.start {
		for b := range t.start {
			ways = append(ways, t.end[a].Dist(t.start[b]))
		}
	}
	for b := range t.start {
		ways = append(ways, t.from.Dist(t.start[b]))
	}
	t.ways = ways
}

// nearest goes on to the nearest cut that may be done, always.
func (t *tour) nearest() []int {
	n := len(t.start)
	done := make([]bool, n)
	out := make([]int, 0, n)
	at := t.from
	for len(out) < n {
		next, least := -1, math.Inf(1)
		for i := range n {
			if done[i] {
				continue
			}
			ready := true
			for _, k := range t.before[i] {
				ready = ready && done[k]
			}
			if d := at.Dist(t.start[i]); ready && d < least {
				next, least = i, d
			}
		}
		if next < 0 {
			// A ring of rules; there is none in a plan made by New.
			for i := range n {
				if !done[i] {
					next = i
					break
				}
			}
		}
		done[next] = true
		out = append(out, next)
		at = t.end[next]
	}
	return out
}

func (t *tour) length(o []int) float64 {
	var s float64
	last := -1
	for _, k := range o {
		s += t.hop(last, k)
		last = k
	}
	return s
}

// hop is the travel from cut a (−1: the start) to cut b (−1: nowhere).
func (t *tour) hop(a, b int) float64 {
	switch {
	case b < 0:
		return 0
	case t.ways != nil && a < 0:
		return t.ways[len(t.start)*len(t.start)+b]
	case t.ways != nil:
		return t.ways[a*len(t.start)+b]
	case a < 0:
		return t.from.Dist(t.start[b])
	}
	return t.end[a].Dist(t.start[b])
}

func at(o []int, i int) int {
	if i < 0 || i >= len(o) {
		return -1
	}
	return o[i]
}

// improve makes the first change that shortens the tour, until there is none.
func (t *tour) improve(o []int) {
	for again := true; again; {
		again = false
		for size := 1; size <= 3; size++ {
			for i := 0; i+size <= len(o) && !t.done(); i++ {
				t.work += int64(len(o))
				again = t.moveStretch(o, i, size) || again
			}
		}
		for i := range o {
			if t.done() {
				return
			}
			again = t.reverse(o, i) || again
		}
	}
}

// moveStretch moves size cuts from i to where they shorten the tour most.
func (t *tour) moveStretch(o []int, i, size int) bool {
	first, last := o[i], o[i+size-1]
	prev, next := at(o, i-1), at(o, i+size)
	gain := t.hop(prev, first) + t.hop(last, next) - t.hop(prev, next)
	if gain < 1e-9 {
		return false
	}
	best, most := -1, 1e-9
	// To the left, before cut j, as long as none passed must come before the moved.
	for j := i - 1; j >= 0; j-- {
		if t.bound(o[j], o[i:i+size]) {
			break
		}
		if g := gain - t.hop(at(o, j-1), first) - t.hop(last, o[j]) + t.hop(at(o, j-1), o[j]); g > most {
			best, most = j, g
		}
	}
	for j := i + size; j < len(o); j++ {
		if t.bindsAny(o[i:i+size], o[j]) {
			break
		}
		if g := gain - t.hop(o[j], first) - t.hop(last, at(o, j+1)) + t.hop(o[j], at(o, j+1)); g > most {
			best, most = j, g
		}
	}
	if best < 0 {
		return false
	}
	moved := append([]int(nil), o[i:i+size]...)
	if best < i {
		copy(o[best+size:i+size], o[best:i])
		copy(o[best:], moved)
	} else {
		copy(o[i:], o[i+size:best+1])
		copy(o[best-size+1:], moved)
	}
	return true
}

// bound tells whether k must come before one of set.
func (t *tour) bound(k int, set []int) bool {
	for _, s := range set {
		if t.must[s][k] {
			return true
		}
	}
	return false
}

// bindsAny tells whether one of set must come before k.
func (t *tour) bindsAny(set []int, k int) bool {
	for _, s := range set {
		if t.must[k][s] {
			return true
		}
	}
	return false
}

// mark begins a new set of marked cuts, none of them in it.
func (t *tour) mark(n int) {
	if t.marks == nil {
		t.marks = make([]int, n)
	}
	t.marked++
}

// reverse runs the stretch from i on backwards as far as that shortens the tour most.
func (t *tour) reverse(o []int, i int) bool {
	best, most := -1, 1e-9
	var old, back float64 // hops inside the stretch, as it is and backwards
	t.mark(len(o))
	for j := i + 1; j < len(o); j++ {
		t.marks[o[j-1]] = t.marked
		t.work++
		if slices.ContainsFunc(t.before[o[j]], func(k int) bool { return t.marks[k] == t.marked }) {
			break
		}
		old += t.hop(o[j-1], o[j])
		back += t.hop(o[j], o[j-1])
		g := t.hop(at(o, i-1), o[i]) + t.hop(o[j], at(o, j+1)) + old - back -
			t.hop(at(o, i-1), o[j]) - t.hop(o[i], at(o, j+1))
		if g > most {
			best, most = j, g
		}
	}
	if best < 0 {
		return false
	}
	for a, b := i, best; a < b; a, b = a+1, b-1 {
		o[a], o[b] = o[b], o[a]
	}
	return true
}

// kick exchanges two stretches that follow each other, which no single move of
// improve undoes, or where the rules forbid it moves a few cuts near there.
func (t *tour) kick(o []int) {
	const most = 12 // cuts in a stretch
	i := t.random(len(o))
	j := i + 1 + t.random(most)
	k := j + 1 + t.random(most)
	if k > len(o) || !t.exchange(o, i, j, k) {
		for range 3 {
			t.shift(o, min(len(o)-1, i+t.random(most)))
		}
	}
}

// exchange makes o[j:k] come before o[i:j], if the rules of order allow it.
func (t *tour) exchange(o []int, i, j, k int) bool {
	for _, later := range o[j:k] {
		if t.bindsAny(o[i:j], later) {
			return false
		}
	}
	first := append([]int(nil), o[i:j]...)
	copy(o[i:], o[j:k])
	copy(o[i+k-j:], first)
	return true
}

// shift moves the cut at i to a random place that the rules allow.
func (t *tour) shift(o []int, i int) {
	lo, hi := i, i
	for lo > 0 && !t.must[o[i]][o[lo-1]] {
		lo--
	}
	for hi+1 < len(o) && !t.must[o[hi+1]][o[i]] {
		hi++
	}
	j := lo + t.random(hi-lo+1)
	k := o[i]
	if j < i {
		copy(o[j+1:i+1], o[j:i])
	} else {
		copy(o[i:], o[i+1:j+1])
	}
	o[j] = k
}

func (t *tour) random(n int) int {
	t.seed += 0x9e3779b97f4a7c15
	z := t.seed
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return int((z ^ z>>31) % uint64(n))
}
