package nest

import (
	"context"
	"math"
	"sync"

	"perch/parts/plane"
)

// Work, in units of some two nanoseconds, that one search may spend at effort 1.
const defaultWork = 9e9

// rounds after which searches side by side take up the best of them.
const syncRounds = 10

// shrinker shortens one bin along one axis: a search and the best it knows. The
// other bins keep their size.
type shrinker struct {
	s      *search
	bin    int
	axis   int       // 0: along x, 1: along y
	base   plane.Box // of the bin, before it is shortened
	best   *layout
	length float64 // of the bin in best
	stuck  bool    // an item is as long as the bin
	step   float64 // next shortening, as a fraction
	fails  int     // in a row, at this step
	miss   *layout // of these the one with least overlap
	missed float64 // its overlap
	from   int64   // work spent before the race
}

func packStrip(ctx context.Context, m *model, p Strip, opt Options) (*Packing, error) {
	work := int64(float64(opt.effort() * defaultWork))
	ws := make([]*shrinker, opt.workers())
	for k := range ws {
		ws[k] = newStripShrinker(m, p.Width, opt.Seed*64+uint64(k))
	}
	told := math.Inf(1)
	best := race(ctx, ws, work, func(best *shrinker) {
		if opt.Best != nil && best.length < told {
			told = best.length
			opt.Best(told)
		}
	})
	if best.best == nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, &NoRoomError{}
	}
	out := &Packing{Length: best.length}
	for _, w := range ws {
		out.Work += w.s.work
	}
	for i, it := range m.items {
		out.Placed = append(out.Placed, Placed{Piece: it.blank, Rotation: m.poses[best.best.pose[i]].degrees, At: point{X: best.best.x[i], Y: best.best.y[i]}})
	}
	return out, nil
}

// race runs searches side by side in rounds and answers with the one that knows
// the shortest packing, of several the first. Later rounds go on from it. After each
// round tell hears of the best, where there is any.
func race(ctx context.Context, ws []*shrinker, work int64, tell func(*shrinker)) *shrinker {
	var best *shrinker
	for _, w := range ws {
		w.from = w.s.work
	}
	for r := range int64(syncRounds) {
		sideBySide(len(ws), func(i int) { ws[i].run(ctx, ws[i].from+work/syncRounds*(r+1)) })
		best = ws[0]
		for _, w := range ws[1:] {
			if w.best != nil && (best.best == nil || w.length < best.length) {
				best = w
			}
		}
		if best.best != nil {
			tell(best)
		}
		if ctx.Err() != nil {
			break
		}
		if r >= syncRounds/3 {
			for _, w := range ws {
				w.adopt(best)
			}
		}
	}
	return best
}

// sideBySide calls do with 0 … n−1 at once and waits for all.
func sideBySide(n int, do func(i int)) {
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { do(i) })
	}
	wg.Wait()
}

// newStripShrinker starts from a strip so long that most starts succeed.
func newStripShrinker(m *model, width float64, seed uint64) *shrinker {
	var area, long float64
	for _, it := range m.items {
		area += it.area
		least := m.poses[it.poses[0]].box.Size().X
		for _, o := range it.poses[1:] {
			least = min(least, m.poses[o].box.Size().X)
		}
		long = max(long, least)
	}
	w := &shrinker{step: mostStep}
	w.base.Max = point{X: max(area/width*1.6, long), Y: width}
	w.s = newSearch(m, []bin{{box: w.base}}, seed)
	return w
}

// run shortens until the search's work reaches until.
func (w *shrinker) run(ctx context.Context, until int64) {
	for w.s.work < until && ctx.Err() == nil && !w.stuck && (w.best == nil || w.length > 0) {
		if w.best == nil {
			w.begin(until)
			continue
		}
		w.shorten(until)
	}
}

// begin finds a first packing, in a longer bin after each failure.
func (w *shrinker) begin(until int64) {
	w.s.bins[w.bin].box = w.base
	w.s.scatter()
	if w.s.separate(until) {
		w.keep()
		return
	}
	if w.s.work < until {
		w.base.Max.X += float64(w.base.Size().X / 4)
	}
}

// keep takes the layout at hand as the best.
func (w *shrinker) keep() {
	w.best = w.s.at.clone()
	w.length = 0
	for i := range w.s.n {
		switch {
		case w.s.at.bin[i] != w.bin:
		case w.axis == 0:
			w.length = max(w.length, w.s.x1[i]-w.base.Min.X)
		default:
			w.length = max(w.length, w.s.y1[i]-w.base.Min.Y)
		}
	}
	w.fails = 0
}

// cut is the bin's box shortened to a length.
func (w *shrinker) cut(length float64) plane.Box {
	b := w.base
	if w.axis == 0 {
		b.Max.X = b.Min.X + length
	} else {
		b.Max.Y = b.Min.Y + length
	}
	return b
}

const (
	leastStep  = 0.0005
	mostStep   = 0.02
	triesHalve = 6
)

// shorten tries a shorter strip: first the best packing pressed together, then in
// turn the nearest miss with two items swapped, and a start from nothing.
func (w *shrinker) shorten(until int64) {
	s := w.s
	target := float64(w.length * (1 - w.step))
	s.bins[w.bin].box = w.cut(target)
	switch {
	case w.fails == 0:
		s.load(w.best)
	case w.fails%3 == 2:
		s.scatter()
	default:
		s.load(w.miss)
		w.disturb()
	}
	s.work += int64(s.all) * 20 // no try is free
	if !w.squeeze() {
		w.stuck = w.step <= leastStep
		w.halve()
		return
	}
	s.measure()
	if s.separate(until) {
		w.keep()
		w.step = min(mostStep, 2*w.step)
		return
	}
	if s.work >= until {
		return
	}
	if left := s.overlap(); w.fails == 0 || left < w.missed {
		w.miss, w.missed = s.at.clone(), left
	}
	if w.fails++; w.fails >= triesHalve {
		w.halve()
	}
}

func (w *shrinker) halve() { w.step, w.fails = max(leastStep, w.step/2), 0 }

// squeeze moves items that stick out back into the bin, or anywhere; false when
// one fits nowhere.
func (w *shrinker) squeeze() bool {
	for i := range w.s.n {
		if w.s.at.bin[i] != w.bin {
			continue
		}
		x0, y0, x1, y1, ok := w.s.room(w.s.at.pose[i], w.bin)
		if !ok {
			if !w.s.throw(i) {
				return false
			}
			continue
		}
		w.s.put(i, w.s.at.pose[i], w.bin, clamp(w.s.at.x[i], x0, x1), clamp(w.s.at.y[i], y0, y1))
	}
	return true
}

// disturb swaps two items of different shapes, by their boxes' middles.
func (w *shrinker) disturb() {
	s := w.s
	for range 50 {
		i, j := s.rnd.below(s.n), s.rnd.below(s.n)
		if s.m.items[i].blank == s.m.items[j].blank {
			continue
		}
		s.swap(i, j)
		return
	}
}

func (s *search) swap(i, j int) {
	ci := point{X: (s.x0[i] + s.x1[i]) / 2, Y: (s.y0[i] + s.y1[i]) / 2}
	cj := point{X: (s.x0[j] + s.x1[j]) / 2, Y: (s.y0[j] + s.y1[j]) / 2}
	bi, bj := s.at.bin[i], s.at.bin[j]
	s.center(i, bj, cj)
	s.center(j, bi, ci)
}

// center puts item i with its box's middle at c, or as near as the bin allows.
func (s *search) center(i, bin int, c point) {
	poses := s.m.items[i].poses
	k := s.rnd.below(len(poses))
	for range poses {
		pose := poses[k]
		if x0, y0, x1, y1, ok := s.room(pose, bin); ok {
			m := s.m.poses[pose].box.Center()
			s.put(i, pose, bin, clamp(c.X-m.X, x0, x1), clamp(c.Y-m.Y, y0, y1))
			return
		}
		k = (k + 1) % len(poses)
	}
}

func (w *shrinker) adopt(b *shrinker) {
	if w == b || b.best == nil || w.axis != b.axis || w.best != nil && w.length <= b.length {
		return
	}
	w.best, w.length, w.step, w.fails = b.best.clone(), b.length, b.step, 0
	w.stuck = false
}
