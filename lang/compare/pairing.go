package compare

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"perch/parts/plane"
)

// byPlace finds points by where they are: thousands of holes are paired without asking
// every one of each other.
type byPlace struct {
	at    []plane.Point
	order []int // of at, by X
}

func placesOf(at []plane.Point) byPlace {
	b := byPlace{at: at, order: make([]int, len(at))}
	for i := range b.order {
		b.order[i] = i
	}
	slices.SortStableFunc(b.order, func(i, k int) int { return cmp.Compare(at[i].X, at[k].X) })
	return b
}

// near are the points within a distance of p along X and along Y, in their own order.
func (b byPlace) near(p plane.Point, within float64) []int {
	var out []int
	first := sort.Search(len(b.order), func(i int) bool { return b.at[b.order[i]].X >= p.X-within })
	for _, i := range b.order[first:] {
		if b.at[i].X > p.X+within {
			break
		}
		if math.Abs(b.at[i].Y-p.Y) <= within {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return out
}

// cornersOf are the lower left corners of the boxes around loops: one outline has one.
func cornersOf(loops []plane.Loop) []plane.Point {
	out := make([]plane.Point, len(loops))
	for i, l := range loops {
		out[i] = l.Bounds().Min
	}
	return out
}

// pairing pairs things of the old design with things of the new: first those that are the
// same, whatever they are called, then by the rules given.
type pairing struct {
	old  []int // by old: the new one, −1 none
	new  []int // by new: the old one, −1 none
	same []bool
}

func unpaired(olds, news int) *pairing {
	p := &pairing{old: make([]int, olds), new: make([]int, news), same: make([]bool, news)}
	for i := range p.old {
		p.old[i] = -1
	}
	for i := range p.new {
		p.new[i] = -1
	}
	return p
}

// newPairing pairs what is the same, asking all of each other.
func newPairing(olds, news int, same func(o, n int) bool) *pairing {
	p := unpaired(olds, news)
	p.by(same)
	for n := range p.new {
		p.same[n] = p.new[n] >= 0
	}
	return p
}

func (p *pairing) pair(o, n int) { p.old[o], p.new[n] = n, o }

// by pairs what is left and fits.
func (p *pairing) by(fits func(o, n int) bool) {
	for n := range p.new {
		for o := 0; o < len(p.old) && p.new[n] < 0; o++ {
			if p.old[o] < 0 && fits(o, n) {
				p.pair(o, n)
			}
		}
	}
}

// where pairs what is left, lies at one place and is the same.
func (p *pairing) where(old, new []plane.Point, same func(o, n int) bool) {
	places := placesOf(old)
	for n := range p.new {
		for _, o := range places.near(new[n], 2*metalTol) {
			if p.new[n] < 0 && p.old[o] < 0 && same(o, n) {
				p.pair(o, n)
				p.same[n] = true
			}
		}
	}
}

// named pairs what is left, has one key and fits.
func (p *pairing) named(old, new []string, fits func(o, n int) bool) {
	left := map[string][]int{}
	for o, key := range old {
		if p.old[o] < 0 {
			left[key] = append(left[key], o)
		}
	}
	for n, key := range new {
		for i, o := range left[key] {
			if p.new[n] < 0 && fits(o, n) {
				p.pair(o, n)
				left[key] = slices.Delete(left[key], i, i+1)
				break
			}
		}
	}
}

// mostPairs are those that nearest weighs; of more, things go together in their order.
const mostPairs = 4_000_000

// nearest pairs what is left and has one key, the closest two first.
func (p *pairing) nearest(old, new []string, apart func(o, n int) float64) {
	left := map[string][]int{}
	for o, key := range old {
		if p.old[o] < 0 {
			left[key] = append(left[key], o)
		}
	}
	type pair struct {
		o, n int
		d    float64
	}
	var all []pair
	for n, key := range new {
		if p.new[n] >= 0 {
			continue
		}
		if len(all)+len(left[key]) > mostPairs {
			p.named(old, new, func(int, int) bool { return true })
			return
		}
		for _, o := range left[key] {
			all = append(all, pair{o, n, apart(o, n)})
		}
	}
	slices.SortStableFunc(all, func(a, b pair) int { return cmp.Compare(a.d, b.d) })
	for _, x := range all {
		if p.old[x.o] < 0 && p.new[x.n] < 0 {
			p.pair(x.o, x.n)
		}
	}
}
