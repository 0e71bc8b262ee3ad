package nest

import (
	"context"
	"math"

	"perch/parts/plane"
)

// jobWork is what one search may spend on one material and thickness at effort 1,
// for usualItems blanks or more; for fewer less.
const (
	jobWork    = 2.5e9
	usualItems = 30
)

// Sheets nests a job: material and thickness kept apart, the cheapest choice of
// sheets that takes all blanks, then the largest rectangle left over on one of
// them, then, of layouts that leave the same, the shortest way from blank to blank.
// (The cuts themselves are as long in every layout: blanks keep their spacing, and
// so share no edge.) The same job and options give the same result, unless ctx ends
// the search early: then the best so far is the answer, checked, and Left tells what
// has no place yet, if anything.
// opt.Best hears the area left over so far, as in Progress; opt.Progress hears more.
// Errors: *CountError, *SpacingError, *NumberError, *outline.Error, *NoSheetError,
// *NoMetalError, *TooLargeError, *NoRoomError, *ManyError, *PlaceError when a result
// fails Check, which is a fault of this package; ctx.Err() when ctx ended before any
// blank was placed.
func Sheets(ctx context.Context, j Job, opt Options) (*Result, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	groups, err := grouped(ctx, &j, opt)
	if err != nil {
		return nil, err
	}
	told := newTeller(&j, opt)
	for _, g := range groups {
		if err := g.place(ctx, func() { told.better(g, g.full) }); err != nil {
			return nil, err
		}
		told.better(g, g.found())
	}
	out := &Result{}
	for _, g := range groups {
		out.Sheets = append(out.Sheets, g.improve(ctx, func(used []Used) { told.better(g, used) })...)
		out.Work += g.work
	}
	for i := range out.Sheets {
		u := &out.Sheets[i]
		if err := Check(&j, &j.Sheets[u.Sheet], u.Placed); err != nil {
			return nil, err
		}
	}
	for _, g := range groups {
		for k, n := range g.left {
			if n > 0 && out.Left == nil {
				out.Left = make([]int, len(j.Blanks))
			}
			if n > 0 {
				out.Left[g.forms[k].blank] += n
			}
		}
	}
	if out.Left != nil && len(out.Sheets) == 0 {
		return nil, ctx.Err()
	}
	return out, nil
}

// group is the part of a job that shares material and thickness.
type group struct {
	stop   context.Context // when it ends, searches do
	job    *Job
	opt    Options
	blanks []int
	sheets []int
	stock  []kind // of sheets, before any is used
	shapes []*shape
	forms  []form // of blanks, then of pairs
	blocks map[int][]int
	known  *nofits
	margin float64
	budget int64 // of work, of one search
	work   int64

	// What place found: sheets full of blanks, and a layout of the rest.
	full  []Used
	rest  *problem
	pairs *problem // rest with pairs as one; nil where that does not pay
	at    *layout
	// The layout of pairs that at came from, if it did.
	pairsAt *layout
	spent   int64
	// Where the search was stopped: what it was at, and by form what has no place.
	broken *unfinished
	left   []int
}

// form is a blank, or a pair of it, as the search moves it.
type form struct {
	blank     int
	shape     int
	over      int // shape when turned over, −1 when it may not be
	rotations []float64
	area      float64 // of the shape
	pair      *pair   // nil for a blank by itself
}

// grouped parts a job by material and thickness.
func grouped(ctx context.Context, j *Job, opt Options) ([]*group, error) {
	var out []*group
	done := make([]bool, len(j.Blanks))
	for i, b := range j.Blanks {
		if done[i] {
			continue
		}
		g := &group{stop: ctx, job: j, opt: opt, blocks: map[int][]int{}}
		for k, c := range j.Blanks {
			if !done[k] && sameStock(b.Material, b.Thickness, c.Material, c.Thickness) {
				g.blanks, done[k] = append(g.blanks, k), true
			}
		}
		for k, s := range j.Sheets {
			if sameStock(b.Material, b.Thickness, s.Material, s.Thickness) {
				g.sheets = append(g.sheets, k)
			}
		}
		g.known = newNofits(len(g.blanks))
		if len(g.sheets) == 0 {
			return nil, &NoSheetError{b.Name, b.Material, b.Thickness}
		}
		g.prepare()
		if err := g.tooLarge(); err != nil {
			return nil, err
		}
		out = append(out, g)
	}
	return out, nil
}

// prepare makes the shapes.
func (g *group) prepare() {
	narrowest, n := math.Inf(1), 0
	for _, k := range g.blanks {
		narrowest = min(narrowest, narrow(g.job.Blanks[k].Region)+g.job.Spacing)
		n += g.job.Blanks[k].Count
	}
	g.budget = int64(float64(g.opt.effort()*jobWork) * clamp(float64(n)/usualItems, 0.1, 1))
	for _, k := range g.sheets {
		size := g.space(k).Size()
		g.margin = max(g.margin, float64(1e-5*size.X), float64(1e-5*size.Y))
		g.blocks[k] = g.lacking(k)
	}
	g.stock = g.kinds()
	for _, k := range g.blanks {
		b := &g.job.Blanks[k]
		f := form{blank: k, shape: g.addShape(b.Region, narrowest), over: -1}
		if b.Mirror {
			f.over = g.addShape(b.Region.Transform(plane.MirrorX()), narrowest)
		}
		f.rotations = b.rotations(mostShapes / (len(g.blanks) * len(g.blanks)))
		f.area = g.shapes[f.shape].area
		g.forms = append(g.forms, f)
		if len(f.rotations) > fewRotations {
			g.known.cells = fewGridCells
		}
	}
}

// fewRotations is up to how many positions of a blank no-fit shapes have fine grids.
const fewRotations = 12

// mostShapes bounds the no-fit shapes of a job: by it the rotations of each blank.
const mostShapes = 2500

// rotations are those at which the search lays a blank: of very many every other,
// every third, … so that no more than the given number, or four, are left.
func (b *Blank) rotations(most int) []float64 {
	rot := b.Rotations
	if len(rot) == 0 {
		rot = Steps(90)
	}
	var out []float64
	for _, d := range rot {
		if turn := d - float64(180*math.Floor(d/180)); !b.Grain || turn == 0 {
			out = append(out, d)
		}
	}
	if len(out) == 0 {
		return []float64{0}
	}
	if most = max(most, 4); len(out) > most {
		every := (len(out) + most - 1) / most
		// Steps of a quarter turn stay quarter turns where they can.
		for every < len(out) && len(out)%(4*every) != 0 && len(out)%4 == 0 {
			every++
		}
		var some []float64
		for k := 0; k < len(out); k += every {
			some = append(some, out[k])
		}
		return some
	}
	return out
}

// addShape adds a blank's outline, grown by half the spacing.
func (g *group) addShape(r plane.Region, narrowest float64) int {
	outer, holes := simplified(r, g.job.Spacing/2, narrowest, vertices(len(g.blanks)))
	s := newShape(outer, holes)
	s.exact, s.grown = r, g.job.Spacing/2
	g.shapes = append(g.shapes, s)
	return len(g.shapes) - 1
}

// inset is how far from a sheet's edge the grown shapes must stay.
func (g *group) inset() float64 { return g.job.Margin - float64(g.job.Spacing/2) }

// space is the box in which grown shapes may lie on a sheet, about its own origin.
func (g *group) space(sheet int) plane.Box {
	s := &g.job.Sheets[sheet]
	return s.region().Bounds().Grow(-g.inset())
}

// lacking makes shapes of what a remnant lacks of its box.
func (g *group) lacking(sheet int) []int {
	s := &g.job.Sheets[sheet]
	if len(s.Outline) == 0 {
		return nil
	}
	box := g.space(sheet).Grow(10)
	metal := s.Outline
	if d := g.inset(); d != 0 {
		metal = plane.Offset(metal, -d)
	}
	var out []int
	for _, c := range plane.Subtract(plane.Region{plane.RectAt(box.Min, box.Max)}, metal).Components() {
		outer, holes := simplified(c, 0, 0, mostVertices)
		out = append(out, len(g.shapes))
		g.shapes = append(g.shapes, newShape(outer, holes))
	}
	return out
}
