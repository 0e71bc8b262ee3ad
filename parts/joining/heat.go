package joining

import (
	"slices"

	"perch/parts/solid"
)

// mostBeads is how many beads of one step are put into an order that balances heat: the
// work grows with their square. The rest follows as it comes.
const mostBeads = 3000

// balanced is the order of beads that spreads their heat: the first lies outermost, each
// next one as far as can be from all before it, so that opposite corners come first and
// neighbours last.
func (w *writer) balanced(joins []int) []int {
	if len(joins) < 3 {
		return joins
	}
	rest := slices.Clone(joins[:min(len(joins), mostBeads)])
	var middle solid.Vec
	for _, i := range rest {
		middle = middle.Add(w.a.Joins[i].At.Scale(1 / float64(len(rest))))
	}
	far := make([]float64, len(rest))
	for k, i := range rest {
		far[k] = w.a.Joins[i].At.Sub(middle).Len()
	}
	out := make([]int, 0, len(joins))
	taken := make([]bool, len(rest))
	for range rest {
		best := -1
		for k := range rest {
			if !taken[k] && (best < 0 || far[k] > far[best]+nearlySame) {
				best = k
			}
		}
		taken[best] = true
		at := w.a.Joins[rest[best]].At
		for k, i := range rest {
			d := w.a.Joins[i].At.Sub(at).Len()
			if len(out) == 0 {
				far[k] = d
			} else {
				far[k] = min(far[k], d)
			}
		}
		out = append(out, rest[best])
	}
	return append(out, joins[len(rest):]...)
}

// nearlySame is by how much, in mm, one bead has to lie farther than another to be taken
// first: far above rounding.
const nearlySame = 1e-6
