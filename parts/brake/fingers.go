package brake

import (
	"math"
	"math/bits"
	"slices"
)

const (
	// grid is the step, in mm, that finger widths are rounded to.
	grid = 0.1
	// freePlay is what the fingers' width stays below the free width, mm (common practice, no source).
	freePlay = 1.0
	// maxWidth bounds the widths that are added up, mm: beyond it a bar is one finger.
	maxWidth = 6000.0
	// maxFingers bounds a rack: a set of its fingers is one number.
	maxFingers = 60
)

// bareEnd is how much of a fold may go without a finger, in mm, and how much with a block
// dressed in (common practice, no source).
func bareEnd(t float64) (passes, most float64) { return max(6, float64(4*t)), float64(25 * t) }

// rack is a shop's fingers, and what widths they add up to.
type rack struct {
	widths []float64
	gap    float64
	unit   int              // in steps of the grid, what every width is a multiple of
	sums   map[uint64][]sum // by the fingers that are used already
}

// sum is a width with the fewest fingers that come to it.
type sum struct {
	width float64
	set   uint64
}

// newRack takes the widest fingers where there are more than a set can hold. Without
// fingers there is one bar.
func newRack(widths []float64, gap, bar float64) *rack {
	w := slices.Clone(widths)
	slices.Sort(w)
	if len(w) > maxFingers {
		w = w[len(w)-maxFingers:]
	}
	if len(w) == 0 {
		w = []float64{bar}
	}
	r := &rack{widths: w, gap: gap, sums: map[uint64][]sum{}}
	for _, x := range w {
		for a, b := r.unit, int(math.Round(x/grid)); ; a, b = b, a%b {
			if b == 0 {
				r.unit = max(a, 1)
				break
			}
		}
	}
	return r
}

// sumsOf lists the widths that the fingers add up to which are not used, ascending.
func (r *rack) sumsOf(used uint64) []sum {
	if s, ok := r.sums[used]; ok {
		return s
	}
	total := 0.0
	for _, w := range r.widths {
		total += w
	}
	limit := int(math.Round(min(total, maxWidth)/grid)) / r.unit
	sets, reached := make([]uint64, limit+1), make([]bool, limit+1)
	reached[0] = true
	for f, w := range r.widths {
		step := int(math.Round(w/grid)) / r.unit
		if used&(1<<f) != 0 || step < 1 {
			continue
		}
		for s := limit; s >= step; s-- {
			if !reached[s-step] {
				continue
			}
			set := sets[s-step] | 1<<f
			if !reached[s] || bits.OnesCount64(set) < bits.OnesCount64(sets[s]) {
				reached[s], sets[s] = true, set
			}
		}
	}
	var out []sum
	for s := 1; s <= limit; s++ {
		if reached[s] {
			out = append(out, sum{float64(float64(s*r.unit) * grid), sets[s]})
		}
	}
	r.sums[used] = out
	return out
}

// choose finds the fingers, of those not used yet, that cover most of want mm within room mm:
// first what leaves no more bare than passes, of those the fewest fingers, then the widest.
func (r *rack) choose(used uint64, want, room, passes float64) (sum, bool) {
	var best sum
	bestBare := math.Inf(1)
	all := r.sumsOf(used)
	for i := len(all) - 1; i >= 0; i-- {
		s := all[i]
		if s.width > room+1e-9 {
			continue
		}
		n := bits.OnesCount64(s.set)
		spread := min(float64(r.gap*float64(n-1)), room-s.width)
		bare := max(0, want-s.width-spread)
		if bare <= passes {
			bare = 0
		}
		switch {
		case bare < bestBare-1e-9, bare < bestBare+1e-9 && n < bits.OnesCount64(best.set):
			best, bestBare = s, bare
		}
	}
	return best, best.set != 0
}

// stand places fingers along the folds of a stroke where none is blocked, in rows that nothing parts: rows
// are where each ends. bare is the widest stretch of a fold that no finger stands on.
func (r *rack) stand(folds, blocked []Span, passes float64) (fingers []Span, rows []int, set uint64, bare Span) {
	lo, hi := folds[0].From, folds[len(folds)-1].To
	for _, s := range folds {
		hi = max(hi, s.To)
	}
	for _, free := range between(blocked, lo-1e4, hi+1e4) {
		from, to := max(free.From, lo), min(free.To, hi)
		if to-from < 1 || !touches(folds, Span{from, to}) {
			continue
		}
		room := free.To - free.From - freePlay
		// Ends that pass: one at each side that no metal closes.
		got, ok := r.choose(set, to-from, room, float64(2*passes))
		if !ok {
			continue
		}
		set |= got.set
		fingers = append(fingers, r.lay(got, Span{from, to}, free)...)
		rows = append(rows, len(fingers))
	}
	return fingers, rows, set, widestBare(folds, fingers, r.gap)
}

// lay sets fingers side by side about the middle of what is wanted, as far as they are free,
// with gaps where they come short.
func (r *rack) lay(s sum, want, free Span) []Span {
	n := bits.OnesCount64(s.set)
	gap := 0.0
	if n > 1 {
		room := min(want.To-want.From, free.To-free.From-freePlay)
		gap = min(max((room-s.width)/float64(n-1), 0), r.gap)
	}
	width := s.width + float64(gap*float64(n-1))
	at := float64((want.From+want.To)/2) - float64(width/2)
	at = min(max(at, free.From+freePlay/2), free.To-freePlay/2-width)
	var out []Span
	for f := range r.widths {
		if s.set&(1<<f) != 0 {
			out = append(out, Span{at, at + r.widths[f]})
			at += r.widths[f] + gap
		}
	}
	return out
}

// between are the stretches from lo to hi that no span covers; spans are merged and in order.
func between(spans []Span, lo, hi float64) []Span {
	var out []Span
	for _, s := range spans {
		if s.From > lo {
			out = append(out, Span{lo, min(s.From, hi)})
		}
		lo = max(lo, s.To)
	}
	if lo < hi {
		out = append(out, Span{lo, hi})
	}
	return out
}

func touches(spans []Span, s Span) bool {
	return slices.ContainsFunc(spans, func(o Span) bool { return o.From < s.To-1e-9 && s.From < o.To-1e-9 })
}

// widestBare is the widest stretch of the folds that no finger stands on; gaps between neighbours count as covered.
func widestBare(folds, fingers []Span, gap float64) Span {
	covered := slices.Clone(fingers)
	slices.SortFunc(covered, func(a, b Span) int {
		if a.From < b.From {
			return -1
		}
		return 1
	})
	for i := range covered {
		if i > 0 && covered[i].From-covered[i-1].To <= gap+1e-6 {
			covered[i].From = covered[i-1].To
		}
	}
	covered = merged(covered)
	var bare Span
	for _, f := range folds {
		for _, s := range between(covered, f.From, f.To) {
			if s.To-s.From > bare.To-bare.From {
				bare = s
			}
		}
	}
	return bare
}
