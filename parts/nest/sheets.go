package nest

import (
	"context"
	"math"
	"sync"

	"perch/parts/plane"
)

// jobWork is what one search may spend on one material and thickness at effort 1.
const jobWork = 2.5e9

// binGap keeps bins apart on the plane where all of them lie in a row, mm.
const binGap = 1000

// Sheets nests a job: material and thickness kept apart, the cheapest choice of
// sheets that takes all blanks, then the largest rectangle left over on one of
// them. The same job and options give the same result, unless ctx ends the search
// early; then the best so far is the answer. opt.Best hears the area left over, mm².
// Errors: *CountError, *SpacingError, *OutlineError, *NoSheetError, *TooLargeError,
// *NoRoomError, *PlaceError when a result fails Check, which is a fault of this
// package; ctx's when it ended before all were placed.
func Sheets(ctx context.Context, j Job, opt Options) (*Result, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	out := &Result{}
	done := make([]bool, len(j.Blanks))
	for i, b := range j.Blanks {
		if done[i] {
			continue
		}
		g := &group{job: &j, opt: opt}
		for k, c := range j.Blanks {
			if sameStock(b.Material, b.Thickness, c.Material, c.Thickness) {
				g.blanks, done[k] = append(g.blanks, k), true
			}
		}
		for k, s := range j.Sheets {
			if sameStock(b.Material, b.Thickness, s.Material, s.Thickness) {
				g.sheets = append(g.sheets, k)
			}
		}
		if len(g.sheets) == 0 {
			return nil, &NoSheetError{b.Name, b.Material, b.Thickness}
		}
		used, err := g.nest(ctx)
		if err != nil {
			return nil, err
		}
		out.Sheets = append(out.Sheets, used...)
		out.Work += g.work
	}
	for i := range out.Sheets {
		u := &out.Sheets[i]
		if err := Check(&j, &j.Sheets[u.Sheet], u.Placed); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// group is the part of a job that shares material and thickness.
type group struct {
	job    *Job
	opt    Options
	blanks []int
	sheets []int
	shapes []*shape // of blanks, turned over ones after them
	items  []groupItem
	need   float64 // area of all items
	work   int64
}

// groupItem is a blank's shapes before a model is made of them.
type groupItem struct {
	blank     int
	shape     int
	over      int // shape when turned over, −1 when it may not be
	rotations []float64
}

// prepare makes the shapes.
func (g *group) prepare() {
	narrowest := math.Inf(1)
	for _, k := range g.blanks {
		narrowest = min(narrowest, narrow(g.job.Blanks[k].Region)+g.job.Spacing)
	}
	for _, k := range g.blanks {
		b := &g.job.Blanks[k]
		it := groupItem{blank: k, shape: len(g.shapes), over: -1}
		outer, holes := simplified(b.Region, g.job.Spacing/2, narrowest)
		g.shapes = append(g.shapes, newShape(outer, holes))
		if b.Mirror {
			it.over = len(g.shapes)
			outer, holes := simplified(b.Region.Transform(plane.MirrorX()), g.job.Spacing/2, narrowest)
			g.shapes = append(g.shapes, newShape(outer, holes))
		}
		rot := b.Rotations
		if len(rot) == 0 {
			rot = Steps(90)
		}
		for _, d := range rot {
			if turn := d - float64(180*math.Floor(d/180)); !b.Grain || turn == 0 {
				it.rotations = append(it.rotations, d)
			}
		}
		if len(it.rotations) == 0 {
			it.rotations = []float64{0}
		}
		g.items = append(g.items, it)
		g.need += float64(float64(b.Count) * g.shapes[it.shape].area)
	}
}

// inset is how far from a sheet's edge the grown shapes must stay.
func (g *group) inset() float64 { return g.job.Margin - float64(g.job.Spacing/2) }

// space is the box in which grown shapes may lie on a sheet, about its own origin.
func (g *group) space(sheet int) plane.Box {
	s := &g.job.Sheets[sheet]
	return s.region().Bounds().Grow(-g.inset())
}

// model is the packing problem on a choice of sheets, and its bins in a row.
func (g *group) model(kinds []kind, c choice) (*model, []bin, []int) {
	var bins []bin
	var sheets []int
	m := &model{shapes: append([]*shape(nil), g.shapes...)}
	var longest, at float64
	for k, n := range c.count {
		for range n {
			box := g.space(kinds[k].sheet)
			to := point{X: at - box.Min.X, Y: -box.Min.Y}
			at += box.Size().X + binGap
			longest = max(longest, box.Size().X, box.Size().Y)
			bins = append(bins, bin{box: plane.Box{Min: box.Min.Add(to), Max: box.Max.Add(to)}, shift: to})
			sheets = append(sheets, kinds[k].sheet)
			g.block(m, kinds[k].sheet, to)
		}
	}
	m.margin = 1e-5 * longest
	for _, it := range g.items {
		var poses []int
		poses = append(poses, m.addPoses(it.shape, it.rotations)...)
		if it.over >= 0 {
			from := len(m.poses)
			poses = append(poses, m.addPoses(it.over, it.rotations)...)
			for k := from; k < len(m.poses); k++ {
				m.poses[k].over = true
			}
		}
		var size float64
		for _, p := range poses {
			size = max(size, m.poses[p].box.Size().X, m.poses[p].box.Size().Y)
		}
		for range g.job.Blanks[it.blank].Count {
			m.items = append(m.items, item{poses: poses, blank: it.blank, area: g.shapes[it.shape].area, size: size})
		}
	}
	m.seal()
	return m, bins, sheets
}

// block adds what a remnant lacks of its box as fixed shapes.
func (g *group) block(m *model, sheet int, to point) {
	s := &g.job.Sheets[sheet]
	if len(s.Outline) == 0 {
		return
	}
	box := g.space(sheet).Grow(10)
	metal := s.Outline
	if d := g.inset(); d != 0 {
		metal = plane.Offset(metal, -d)
	}
	for _, c := range plane.Subtract(plane.Region{plane.RectAt(box.Min, box.Max)}, metal).Components() {
		outer, holes := simplified(c, 0, 0)
		m.shapes = append(m.shapes, newShape(outer, holes))
		p := m.addPoses(len(m.shapes)-1, []float64{0})
		m.fixed = append(m.fixed, fixed{pose: p[0], at: to})
	}
}

// nest finds the cheapest choice of sheets that works and makes the most of it.
func (g *group) nest(ctx context.Context) ([]Used, error) {
	g.prepare()
	kinds := g.kinds()
	if err := g.tooLarge(); err != nil {
		return nil, err
	}
	effort := g.opt.Effort
	if effort <= 0 {
		effort = 1
	}
	workers := g.opt.Workers
	if workers <= 0 {
		workers = 2
	}
	budget := int64(float64(effort * jobWork))
	var spent int64
	least := g.need
	cs := newChoices(kinds)
	for {
		c, ok := cs.next(least)
		if !ok {
			have := 0.0
			for _, k := range kinds {
				have += float64(float64(max(k.stock, 0)) * k.area)
			}
			return nil, &NoRoomError{Need: g.need, Have: have}
		}
		m, bins, sheets := g.model(kinds, c)
		if !m.fits(bins) {
			continue
		}
		ws := make([]*shrinker, workers)
		for i := range ws {
			ws[i] = &shrinker{s: newSearch(m, bins, g.opt.Seed*64+uint64(i)), step: mostStep, axis: i % 2}
		}
		share := max(budget/6, budget/20)
		found := attempt(ctx, ws, share)
		if ctx.Err() != nil && found < 0 {
			return nil, ctx.Err()
		}
		spent += ws[0].s.work
		if found >= 0 {
			used := g.improve(ctx, ws, found, max(budget-spent, budget/3), sheets)
			for _, w := range ws {
				g.work += w.s.work
			}
			return used, nil
		}
		// The more is spent in vain the larger the next choice must be.
		switch {
		case spent > budget:
			least = max(least, 1.1*c.area)
		case spent > budget/2:
			least = max(least, 1.03*c.area)
		}
	}
}

// kinds are the sheets with prices; where none has one, area stands for it, and a
// remnant's counts half.
func (g *group) kinds() []kind {
	priced := false
	for _, k := range g.sheets {
		priced = priced || g.job.Sheets[k].Price > 0
	}
	var out []kind
	for _, k := range g.sheets {
		s := &g.job.Sheets[k]
		x := kind{sheet: k, stock: s.Count, price: s.Price}
		metal := plane.Region{plane.RectAt(g.space(k).Min, g.space(k).Max)}
		if len(s.Outline) > 0 {
			metal = plane.Intersect(metal, plane.Offset(s.Outline, -g.inset()))
			x.stock = max(1, s.Count)
		} else if s.Count == 0 {
			x.stock = -1
		}
		x.area = metal.Area()
		if !priced {
			x.price = s.region().Area()
			if len(s.Outline) > 0 {
				x.price /= 2
			}
		}
		out = append(out, x)
	}
	return out
}

// tooLarge errs when a blank fits no sheet at any of its rotations.
func (g *group) tooLarge() error {
	m := &model{shapes: g.shapes}
	for _, it := range g.items {
		over, sheet := math.Inf(1), ""
		for _, p := range m.addPoses(it.shape, it.rotations) {
			size := m.poses[p].box.Size()
			for _, k := range g.sheets {
				s := g.space(k).Size()
				if o := max(size.X-s.X, size.Y-s.Y); o < over {
					over, sheet = o, g.job.Sheets[k].Name
				}
			}
		}
		if over > fitSlack {
			return &TooLargeError{Blank: g.job.Blanks[it.blank].Name, Sheet: sheet, Over: over}
		}
	}
	return nil
}

// fits tells whether each item fits one of the bins by its box.
func (m *model) fits(bins []bin) bool {
	s := &search{m: m, bins: bins}
	for i := range m.items {
		ok := false
		for _, p := range m.items[i].poses {
			for b := range bins {
				_, _, _, _, in := s.room(p, b)
				ok = ok || in
			}
		}
		if !ok {
			return false
		}
	}
	return true
}

// attempts take turns of this part of their share of work.
const attemptTurns = 4

// attempt separates from random starts until one search succeeds: the first of
// those that did in the same turn, −1 for none.
func attempt(ctx context.Context, ws []*shrinker, share int64) int {
	for turn := range int64(attemptTurns) {
		until := share / attemptTurns * (turn + 1)
		ok := make([]bool, len(ws))
		var wg sync.WaitGroup
		for k, w := range ws {
			wg.Go(func() {
				for w.s.work < until && ctx.Err() == nil && !ok[k] {
					if !w.begun {
						w.s.scatter()
					}
					ok[k] = w.s.separate(until)
					w.begun = !ok[k] && w.s.work >= until
				}
			})
		}
		wg.Wait()
		for k := range ws {
			if ok[k] {
				return k
			}
		}
		if ctx.Err() != nil {
			break
		}
	}
	return -1
}
