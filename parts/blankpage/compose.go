package blankpage

import (
	"slices"
	"strconv"
	"strings"

	"perch/parts/naming"
	"perch/parts/paper"
	"perch/parts/plane"
)

const (
	columnWide = 66.0 // of the views beside the drawing
	headHigh   = 9.0  // of the page's name
	around     = 7.0  // free beside the drawing, for labels
)

// plan is one way to lay out the page.
type plan struct {
	sheet  paper.Sheet
	tables bool // they stand below the drawing
	row    bool // the views stand below the drawing too, else in a column at its right
	room   plane.Box
	views  plane.Box
	below  plane.Box // for the tables
	scale  float64
	high   float64 // of the tables
}

// extra is what a drawing has no room for, and the tables tell.
type extra struct {
	notes          []string
	holes, corners bool // places that are listed
}

// within tells whether all of it is in another.
func (e extra) within(o extra) bool {
	return len(e.notes) <= len(o.notes) && (o.holes || !e.holes) && (o.corners || !e.corners)
}

// compose chooses how the page is laid out, and draws it. What the drawing has no room for is
// known only then: where the tables were planned without it, it is drawn again with room for that
// in lists; and where that leaves places that are crowded, these are drawn larger instead, at the
// scale that the lists led to.
func (d *drawing) compose(doc *paper.Document) {
	own := d.notes // of the blank, whatever the drawing
	trial, p := d.settle(own)
	if at := slices.Clone(d.crowded); len(at) > 0 {
		d.scale = p.scale
		if d.details = d.choose(at); len(d.details) > 0 {
			d.asDrawn = p.scale
			trial, _ = d.settle(own)
		}
	}
	doc.Pages = append(doc.Pages, trial.Pages...)
}

// settle draws the page until what it has no room for is what was planned for.
func (d *drawing) settle(own []string) (*paper.Document, plan) {
	planned := extra{notes: own}
	for again := 0; ; again++ {
		d.extra = planned
		d.heights = map[float64]float64{}
		p := d.bestPlan()
		d.extra = extra{notes: slices.Clone(own)}
		d.crowded = nil
		trial := &paper.Document{}
		d.draw(trial, p)
		if again == 3 || d.extra.within(planned) {
			return trial, p
		}
		planned.holes, planned.corners = planned.holes || d.extra.holes, planned.corners || d.extra.corners
		if len(d.extra.notes) > len(planned.notes) {
			planned.notes = d.extra.notes
		}
	}
}

func (d *drawing) bestPlan() plan {
	var best plan
	first := true
	for _, row := range []bool{false, true} {
		for _, tables := range []bool{true, false} {
			for _, sheet := range []paper.Sheet{d.Sheet.Landscape(), d.Sheet} {
				p := d.layOut(sheet, tables, row)
				if d.asDrawn > 0 && p.scale != d.asDrawn {
					continue
				}
				if first || p.cost() < best.cost()-1e-9 {
					best, first = p, false
				}
			}
		}
	}
	if first && d.asDrawn > 0 {
		d.asDrawn = 0
		return d.bestPlan()
	}
	return best
}

// smallTables are so high, in mm, at most.
const smallTables = 70.0

// cost of a plan: a step of the scale counts more than a page for the tables, where these are
// not small; an enlargement counts less.
func (p plan) cost() float64 {
	c := 0.0
	for _, n := range []float64{0.2, 0.5} {
		if p.scale > n {
			c += 0.3
		}
	}
	for _, n := range []float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1e4} {
		if p.scale > n {
			c++
		}
	}
	switch {
	case p.tables:
	case p.high < smallTables:
		c += 1.1
	default:
		c += 0.7
	}
	return c
}

// rowHigh is the height of the views where they stand below the drawing.
const rowHigh = 62.0

// layOut divides a sheet.
func (d *drawing) layOut(sheet paper.Sheet, tables, row bool) plan {
	p := plan{sheet: sheet, tables: tables, row: row}
	blank := &paper.Page{Sheet: sheet, Title: d.title()}
	area := blank.Area()
	area.Min.Y += headHigh
	high := d.tablesHigh(area.Size().X)
	p.high = high
	if tables {
		p.below = plane.Box{Min: plane.Point{X: area.Min.X, Y: area.Max.Y - high}, Max: area.Max}
		area.Max.Y -= high + 2
	}
	p.room = area
	if d.views != nil {
		p.views = area
		if row {
			p.views.Min.Y = area.Max.Y - rowHigh
			p.room.Max.Y -= rowHigh + 3
		} else {
			p.views.Min.X = area.Max.X - columnWide
			p.room.Max.X -= columnWide + 3
		}
	}
	d.setTo(plane.Identity())
	left, below := d.bands()
	size := p.room.Size()
	free := plane.Point{X: size.X - left - around, Y: size.Y - below - around}
	p.scale = 1e6 // it does not go there at all
	const least = 25.0
	if high := p.views.Size().Y; free.X > least && free.Y > least && (d.views == nil || row || high > 110) {
		p.scale = paper.EnlargedFor(d.box.Size(), free)
	}
	return p
}

// tablesHigh is the height that tables and notes take at a width.
func (d *drawing) tablesHigh(wide float64) float64 {
	if high, ok := d.heights[wide]; ok {
		return high
	}
	const endless = 1e5
	scratch := &paper.Document{}
	f := &paper.Flow{Doc: scratch, New: func() *paper.Page { return &paper.Page{Sheet: paper.Sheet{Wide: wide + 100, High: endless}} }}
	f.On(f.New(), plane.Box{Max: plane.Point{X: wide, Y: endless}})
	d.tables(f)
	d.heights[wide] = f.Y() + 3
	return f.Y() + 3
}

// draw draws the page by its plan.
func (d *drawing) draw(doc *paper.Document, p plan) {
	d.scale = p.scale
	if p.scale >= 1e6 { // nothing goes beside anything: the drawing gets what there is
		d.scale = paper.ScaleFor(d.box.Size(), p.room.Size().Scale(0.5))
	}
	d.page = doc.Add(&paper.Page{Sheet: p.sheet, Title: d.title(), Bookmark: d.Names.Blank(d.blank), Level: 1})
	area := d.page.Area()
	d.head(area)
	d.stand(p.room)
	d.drawFlat()
	d.running(p.room, nil)
	for _, c := range d.crowded {
		if !d.detailed(c.at) {
			d.noRoom([]crowded{c})
		}
	}
	if d.views != nil {
		d.drawViews(p)
	}
	d.frameDetails()
	d.labels()
	f := &paper.Flow{Doc: doc, Title: d.Names.Blank(d.blank), New: func() *paper.Page { return &paper.Page{Sheet: p.sheet, Title: d.title()} }}
	if p.tables {
		f.On(d.page, p.below)
	}
	d.tables(f)
	d.drawDetails(f)
}

// stand puts the flat into its room: in the middle, but for as much as the texts of its
// dimensions take above it and on its right.
func (d *drawing) stand(room plane.Box) {
	left, below := d.bands()
	size := d.box.Size().Scale(1 / d.scale)
	free := plane.Point{X: room.Size().X - left - size.X, Y: room.Size().Y - below - size.Y}
	low := plane.Point{X: room.Min.X + left + max(0, free.X/2), Y: room.Max.Y - below - max(around, free.Y/2)}
	low.X = max(room.Min.X+left, min(low.X, room.Max.X-d.needs(false)))
	low.Y = min(room.Max.Y-below, max(low.Y, room.Min.Y+d.needs(true)))
	d.setTo(plane.Affine{A: 1 / d.scale, D: -1 / d.scale, E: low.X - d.box.Min.X/d.scale, F: low.Y + d.box.Min.Y/d.scale})
}

// head writes what the page is of, and how many.
func (d *drawing) head(area plane.Box) {
	style := paper.Style{Size: paper.Large, Bold: true}
	text := paper.Shorten(d.Names.Blank(d.blank), style, area.Size().X*0.45)
	d.page.Text(paper.Label{Text: text, At: plane.Point{X: area.Min.X, Y: area.Min.Y + 5}, Style: style})
	rest := "make " + d.count() + " – drawn side up – flat " + paper.ScaleName(d.scale) + d.turned()
	x := area.Min.X + style.Width(text) + 5
	d.page.Text(paper.Label{Text: paper.Shorten(rest, paper.Style{}, area.Max.X-x), At: plane.Point{X: x, Y: area.Min.Y + 5}})
}

// tables writes bends, holes and what else is to be known.
func (d *drawing) tables(f *paper.Flow) {
	if t, ok := d.bendTable(); ok {
		f.Table(t)
	}
	if t, ok := d.holeTable(); ok {
		f.Table(t)
	}
	if d.b.Mirrored > 0 && len(d.f.Folds) > 0 {
		f.Item("Mirrored ones are cut alike and bent the other way: what is up here is down there. Sort them before you bend.", false)
	}
	for _, l := range d.b.Like {
		text := "Looks like " + naming.Plain(l.Blank)
		if l.Over {
			text += " turned over"
		}
		var what []string
		for i, w := range l.Differs {
			text := inWords(w.In(d.Paper.System))
			if n := d.difference(l, i); n > 0 {
				text = "≠" + strconv.Itoa(n) + " " + text
			}
			what = append(what, text)
		}
		f.Item(text+": "+strings.Join(what, "; ")+". Write "+d.Names.Blank(d.blank)+" on this one as soon as it is cut.", false)
	}
	for _, text := range d.notes {
		f.Item(text, false)
	}
	if listed := d.listed(); len(listed) > 0 {
		f.Item("Places that the drawing has no room for, (x, y) from the marked corner in "+d.Paper.System.Unit()+":", false)
		for _, text := range listed {
			f.Item(text, false)
		}
	}
	f.Item(d.caution(), false)
}

// caution is what to mind with this blank.
func (d *drawing) caution() string {
	text := "Cut edges are sharp: gloves, and deburr."
	if len(d.f.Folds) > 0 {
		text += " Mind fingers at the brake; bend a test strip first."
	}
	for _, p := range d.f.Points {
		if p.Diameter > 0 && !p.Marked() {
			return text + " Clamp the sheet and wear glasses at the drill, no gloves there."
		}
	}
	return text
}
