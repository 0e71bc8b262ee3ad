package nest

import (
	"context"
	"math"
	"slices"
)

// attempts take turns of this part of their share of work.
const attemptTurns = 4

// starter looks for a first layout of a problem, on its own or with pairs as one.
type starter struct {
	s     *search
	pairs *search // nil: single blanks only
	begun bool
	tried bool // single blanks have been laid out somehow
	// What was found: single blanks, and the pairs they came from if any.
	at, pairsAt *layout
}

// attempt separates from random starts until one search succeeds: the first of
// those that did in the same turn; nil for none. Every other search lays out pairs
// first, with half of its share; the layout that it came from is the second answer. Where
// ctx ended the first search, as far as it came, is kept in g.broken.
func (g *group) attempt(ctx context.Context, p, pairs *problem, share int64) (at, pairsAt *layout) {
	ws := make([]*starter, g.opt.workers())
	for i := range ws {
		seed := g.opt.Seed*64 + uint64(i)
		ws[i] = &starter{s: newSearch(p.m, p.bins, seed)}
		if pairs != nil && i%2 == 1 {
			ws[i].pairs = newSearch(pairs.m, pairs.bins, seed)
		}
	}
	defer func() {
		for _, w := range ws {
			g.work += w.spent()
		}
	}()
	for turn := range int64(attemptTurns) {
		until := share / attemptTurns * (turn + 1)
		sideBySide(len(ws), func(k int) { ws[k].run(ctx, g, p, pairs, share, until) })
		for _, w := range ws {
			if w.at != nil {
				return w.at, w.pairsAt
			}
		}
		if ctx.Err() != nil {
			if ws[0].tried {
				g.broken = &unfinished{p, ws[0].s}
			}
			break
		}
	}
	return nil, nil
}

// unfinished is a problem with a search that was stopped in the midst of it.
type unfinished struct {
	p *problem
	s *search
}

func (w *starter) spent() int64 {
	if w.pairs != nil {
		return w.s.work + w.pairs.work
	}
	return w.s.work
}

// run goes on until the work is spent or a layout found.
func (w *starter) run(ctx context.Context, g *group, p, pairs *problem, share, until int64) {
	for w.at == nil && w.spent() < until && ctx.Err() == nil {
		if w.pairs != nil && w.pairs.work < share/2 {
			if separated(w.pairs, &w.begun, min(until, share/2)) {
				w.s.load(g.apart(pairs, p, w.pairs.at))
				w.begun = false
				if w.s.separate(w.s.work + share/16) {
					w.at, w.pairsAt = w.s.at.clone(), w.pairs.at.clone()
				}
			}
			w.begun = w.begun && w.pairs.work < share/2
			continue
		}
		w.tried = true
		least := w.spent() - w.s.work
		if separated(w.s, &w.begun, until-least) {
			w.at = w.s.at.clone()
		}
	}
}

// separated goes on with a search, or starts it anew where it had ended.
func separated(s *search, begun *bool, until int64) bool {
	if !*begun {
		s.scatter()
	}
	s.work += int64(s.all) * 20 // no try is free
	ok := s.separate(until)
	*begun = !ok && s.work >= until
	return ok
}

// place finds where every blank can lie, or what of them has a place when ctx ends: whole sheets first where there are many
// blanks, then the cheapest choice of sheets that takes the rest. tell hears of sheets that
// are full.
func (g *group) place(ctx context.Context, tell func()) error {
	counts := make([]int, len(g.forms))
	for k := range g.blanks {
		counts[k] = g.job.Blanks[g.forms[k].blank].Count
	}
	stock := slices.Clone(g.stock)
	for k := range g.blanks {
		if counts[k] > 1 && ctx.Err() == nil {
			g.addPair(k)
		}
	}
	counts = append(counts, make([]int, len(g.forms)-len(counts))...)
	g.fill(ctx, counts, stock, tell)
	least := g.need(counts)
	if least == 0 {
		return nil
	}
	cs := newChoices(stock)
	share := g.budget / 6
	for {
		if ctx.Err() != nil {
			g.breakOff(counts)
			return nil
		}
		c, ok := cs.next(least)
		if !ok {
			return g.noRoom(counts, stock)
		}
		var sheets []int
		for k, n := range c.count {
			for range n {
				sheets = append(sheets, stock[k].sheet)
			}
		}
		p := g.problem(sheets, counts)
		if !p.fits() {
			continue
		}
		if len(p.m.items) > mostItems {
			return &ManyError{Blanks: len(p.m.items), Most: mostItems}
		}
		var pairs *problem
		if paired, ok := g.paired(counts); ok {
			if pairs = g.problem(sheets, paired); !pairs.fits() {
				pairs = nil
			}
		}
		before := g.work
		l, pairsAt := g.attempt(ctx, p, pairs, share)
		g.spent += (g.work - before) / int64(g.opt.workers())
		if l != nil {
			g.rest, g.pairs, g.at, g.pairsAt = p, pairs, l, pairsAt
			return nil
		}
		// The more is spent in vain the larger the next choice must be.
		switch {
		case g.spent > g.budget:
			least = max(least, 1.1*c.area)
		case g.spent > g.budget/2:
			least = max(least, 1.03*c.area)
		}
	}
}

// found are the sheets as place left them.
func (g *group) found() []Used {
	out := g.full[:len(g.full):len(g.full)]
	if g.rest != nil {
		out = append(out, g.used(g.rest, g.at)...)
	}
	return out
}

// mostItems bounds the blanks of one search.
const mostItems = 1500

// need is the area of so many of each form.
func (g *group) need(counts []int) float64 {
	var a float64
	for k, n := range counts {
		a += float64(float64(n) * g.forms[k].area)
	}
	return a
}

// noRoom tells what could not be placed.
func (g *group) noRoom(counts []int, stock []kind) error {
	e := &NoRoomError{Need: g.need(counts)}
	largest := 0.0
	for k, n := range counts {
		e.Left += n
		if n > 0 && g.forms[k].area > largest {
			e.Blank, largest = g.job.Blanks[g.forms[k].blank].Name, g.forms[k].area
		}
	}
	for _, k := range stock {
		if k.stock < 0 {
			e.Have = math.Inf(1)
		}
		e.Have += float64(float64(max(k.stock, 0)) * k.area)
	}
	return e
}
