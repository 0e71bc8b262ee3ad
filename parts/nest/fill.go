package nest

import (
	"context"
	"math"
	"slices"
)

// A job beyond these bounds is not searched as one: sheets are filled first, each
// with the same mixture of all that is left, until a rest within them stays.
const (
	restItems  = 80
	restSheets = 2.2
)

// Densities of a full sheet, of the area that blanks may take.
const (
	fillMost  = 0.96
	fillLeast = 0.3
	fillStep  = 0.97 // from one that failed to the next
	fillHalve = 4    // bisections for the first
)

// fill packs sheets as full as it can and takes what lies on them from counts, the
// sheets from stock; tell hears of each kind of sheet that is full.
func (g *group) fill(ctx context.Context, counts []int, stock []kind, tell func()) {
	density := 0.0
	for ctx.Err() == nil {
		k := bestValue(stock)
		if k < 0 || !g.manyLeft(counts, stock[k].area) {
			return
		}
		p, l := g.fullSheet(ctx, counts, &stock[k], &density)
		if l == nil {
			// Nothing more goes on sheets of this kind.
			if stock[k].stock == 0 || density > fillLeast {
				return
			}
			density = 0
			continue
		}
		g.repeat(p, l, counts, &stock[k])
		tell()
	}
}

// bestValue is the kind in stock with the most area for its price, −1 for none.
func bestValue(stock []kind) int {
	best := -1
	for k := range stock {
		if stock[k].stock != 0 && stock[k].area > 0 &&
			(best < 0 || float64(stock[k].area*stock[best].price) > float64(stock[best].area*stock[k].price)) {
			best = k
		}
	}
	return best
}

func (g *group) manyLeft(counts []int, area float64) bool {
	n := 0
	for _, c := range counts {
		n += c
	}
	return n > restItems || g.need(counts) > restSheets*area
}

// fullSheet packs one sheet: the first time the density is found by bisection, later
// the last one is tried, then less.
func (g *group) fullSheet(ctx context.Context, counts []int, k *kind, density *float64) (*problem, *layout) {
	if *density > 0 {
		for d := *density; d > fillLeast && ctx.Err() == nil; d *= fillStep {
			if p, l := g.tryFull(ctx, counts, k, d); l != nil {
				*density = d
				return p, l
			}
		}
		*density = 0
		return nil, nil
	}
	var bestP *problem
	var bestL *layout
	lo, hi := fillLeast, fillMost
	for step := 0; step < fillHalve || bestL == nil && step < 2*fillHalve; step++ {
		d := (lo + hi) / 2
		if step == 0 {
			d = 0.8
		}
		if p, l := g.tryFull(ctx, counts, k, d); l != nil {
			lo, bestP, bestL, *density = d, p, l, d
		} else {
			hi = d
		}
		if ctx.Err() != nil {
			break
		}
	}
	return bestP, bestL
}

// tryFull tries a sheet at a density.
func (g *group) tryFull(ctx context.Context, counts []int, k *kind, density float64) (*problem, *layout) {
	mix := g.mixture(counts, float64(density*k.area), k.sheet)
	if !slices.ContainsFunc(mix, func(n int) bool { return n > 0 }) {
		return nil, nil
	}
	p := g.problem([]int{k.sheet}, mix)
	if len(p.m.items) > mostItems {
		return nil, nil
	}
	var pairs *problem
	if paired, ok := g.paired(mix); ok {
		pairs = g.problem([]int{k.sheet}, paired)
	}
	l, _ := g.attempt(ctx, p, pairs, g.budget/8)
	return p, l
}

// mixture takes from counts, in proportion, forms of the given area: fractions are
// carried from the larger forms to the smaller, so that many single blanks give a
// mixture of all sizes. Forms that do not fit the sheet are left.
func (g *group) mixture(counts []int, area float64, sheet int) []int {
	order := make([]int, 0, len(counts))
	var all float64
	for k, n := range counts {
		if n > 0 && g.fitsSheet(k, sheet) {
			order = append(order, k)
			all += float64(float64(n) * g.forms[k].area)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch x, y := g.forms[a].area, g.forms[b].area; {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	out := make([]int, len(counts))
	part := min(1, area/all)
	carry := 0.5
	for _, k := range order {
		carry += float64(part * float64(counts[k]))
		n := min(int(math.Floor(carry+1e-9)), counts[k])
		carry -= float64(n)
		out[k] = n
	}
	return out
}

func (g *group) fitsSheet(f, sheet int) bool {
	room := g.space(sheet).Size()
	m := &model{shapes: g.shapes}
	for _, k := range m.addPoses(g.forms[f].shape, g.forms[f].rotations) {
		if s := m.poses[k].box.Size(); s.X <= room.X+fitSlack && s.Y <= room.Y+fitSlack {
			return true
		}
	}
	return false
}

// repeat takes a full sheet as often as counts and stock allow, once at least; what
// is left then is more than a sheet's worth, for the search that ends the job.
func (g *group) repeat(p *problem, l *layout, counts []int, k *kind) {
	on := make([]int, len(counts))
	for i := range p.m.items {
		on[p.m.items[i].blank]++
	}
	times := math.MaxInt
	for i, n := range on {
		if n > 0 {
			times = min(times, counts[i]/n)
		}
	}
	if k.stock >= 0 {
		times = min(times, k.stock)
	}
	spare := (g.need(counts) - k.area) / g.need(on)
	times = max(1, min(times, int(clamp(spare, 1, 1e9))))
	u := g.used(p, l)[0]
	for range times {
		c := u
		c.Placed = slices.Clone(u.Placed)
		g.full = append(g.full, c)
	}
	for i, n := range on {
		counts[i] -= n * times
	}
	if k.stock >= 0 {
		k.stock -= times
	}
}
