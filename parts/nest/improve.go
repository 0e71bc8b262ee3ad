package nest

import (
	"context"
	"math"
)

// improve makes the largest remnant on the sheet with the most metal free, one
// search along each axis, and answers with the group's sheets as they are to be
// cut. What the searches come to, tell hears.
func (g *group) improve(ctx context.Context, tell func([]Used)) []Used {
	if g.rest == nil {
		tell(g.full)
		return g.full
	}
	k := g.freest(g.rest, g.at)
	ws := make([]*shrinker, g.opt.workers())
	for i := range ws {
		ws[i] = newShrinker(g.rest, k, i%2, g.opt.Seed*64+uint64(i))
		ws[i].s.load(g.at)
		ws[i].keep()
	}
	best := g.best(ws)
	tell(best)
	work := max(g.budget-g.spent, g.budget/3)
	if g.pairs != nil {
		g.improvePairs(ctx, ws, k, work/3)
		work -= work / 3
	}
	length := [2]float64{math.Inf(1), math.Inf(1)}
	rounds := 0
	race(ctx, ws, work, func(*shrinker) {
		if rounds++; rounds == syncRounds/2 {
			joinAhead(ws)
		}
		shorter := false
		for _, w := range ws {
			if w.length < length[w.axis] {
				length[w.axis], shorter = w.length, true
			}
		}
		if shorter {
			best = g.best(ws)
			tell(best)
		}
	})
	for _, w := range ws {
		g.work += w.s.work
	}
	return best
}

// farBehind is the part of what the best search has freed below which another gives
// its axis up for that one's.
const farBehind = 0.8

// joinAhead lets searches whose axis is far behind go on along the best one's.
func joinAhead(ws []*shrinker) {
	freed := func(w *shrinker) float64 {
		s := w.base.Size()
		if w.axis == 0 {
			return float64((s.X - w.length) * s.Y)
		}
		return float64((s.Y - w.length) * s.X)
	}
	ahead := ws[0]
	for _, w := range ws[1:] {
		if freed(w) > freed(ahead) {
			ahead = w
		}
	}
	for _, w := range ws {
		if freed(w) < float64(farBehind*freed(ahead)) {
			w.axis, w.length = ahead.axis, math.Inf(1)
			w.adopt(ahead)
		}
	}
}

// newShrinker shortens a bin of a problem along an axis.
func newShrinker(p *problem, bin, axis int, seed uint64) *shrinker {
	return &shrinker{s: newSearch(p.m, p.bins, seed), step: mostStep, bin: bin, base: p.bins[bin].box, axis: axis}
}

// improvePairs shortens with pairs as one, and hands what is shorter so to ws. A
// search that finds no first layout with pairs has spent half of its work in vain.
func (g *group) improvePairs(ctx context.Context, ws []*shrinker, bin int, work int64) {
	ps := make([]*shrinker, len(ws))
	for i, w := range ws {
		ps[i] = newShrinker(g.pairs, bin, w.axis, g.opt.Seed*64+uint64(i))
	}
	started := make([]bool, len(ps))
	sideBySide(len(ps), func(i int) {
		s := ps[i].s
		if g.pairsAt != nil {
			s.load(g.pairsAt)
			ps[i].keep()
			ps[i].run(ctx, work)
			started[i] = true
		}
		for s.work < work/2 && !started[i] && ctx.Err() == nil {
			s.scatter()
			s.work += int64(s.all) * 20
			if started[i] = s.separate(work / 2); started[i] {
				ps[i].keep()
				ps[i].run(ctx, work)
			}
		}
		if !started[i] {
			return
		}
		w := ws[i]
		now, length := w.best, w.length
		w.s.load(g.apart(g.pairs, g.rest, ps[i].best))
		if ok := w.s.separate(w.s.work + work/20); ok {
			w.keep()
		}
		if w.length >= length {
			w.s.load(now)
			w.keep()
		}
	})
	for _, p := range ps {
		g.work += p.s.work
	}
}

// best is, of what the searches know, the cheapest, then the one with the largest
// free rectangle, then the one with the shortest way.
func (g *group) best(ws []*shrinker) []Used {
	var best []Used
	var price, free, way float64
	for _, w := range ws {
		used := append(g.full[:len(g.full):len(g.full)], g.used(g.rest, w.best)...)
		p, f, d := g.price(used), 0.0, 0.0
		for _, u := range used {
			s := u.Remnant.Size()
			f = max(f, float64(s.X*s.Y))
			d += g.job.way(&u)
		}
		same := math.Abs(f-free) <= float64(sameFree*free)
		if best == nil || p < price || p == price && (f > free && !same || same && d < way) {
			best, price, free, way = used, p, f, d
		}
	}
	return best
}

// sameFree is the part by which two free rectangles may differ and count as one size.
const sameFree = 0.001

func (g *group) price(used []Used) float64 {
	var sum float64
	for _, k := range g.stock {
		for _, u := range used {
			if u.Sheet == k.sheet {
				sum += k.price
			}
		}
	}
	return sum
}

// freest is the bin with the most of its area free.
func (g *group) freest(p *problem, l *layout) int {
	taken := make([]float64, len(p.bins))
	for i := range p.m.items {
		taken[l.bin[i]] += p.m.items[i].area
	}
	best, most := 0, math.Inf(-1)
	for k := range p.bins {
		size := p.bins[k].box.Size()
		if free := float64(size.X*size.Y) - taken[k]; free > most {
			best, most = k, free
		}
	}
	return best
}

// way estimates the travel from blank to blank on a sheet, from its corner: always
// the nearest next.
func (j *Job) way(u *Used) float64 {
	at := j.Sheets[u.Sheet].region().Bounds().Min
	var to []point
	for _, p := range u.Placed {
		to = append(to, j.Blanks[p.Piece].Region.Transform(p.Transform()).Bounds().Center())
	}
	var sum float64
	for len(to) > 0 {
		k := 0
		for i := range to {
			if to[i].Dist(at) < to[k].Dist(at) {
				k = i
			}
		}
		sum += to[k].Dist(at)
		at = to[k]
		to[k] = to[len(to)-1]
		to = to[:len(to)-1]
	}
	return sum
}
