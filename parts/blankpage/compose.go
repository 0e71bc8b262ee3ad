package blankpage

import (
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
	room   plane.Box
	column plane.Box
	below  plane.Box // for the tables
	scale  float64
}

// compose chooses how the page is laid out, and draws it.
func (d *drawing) compose(doc *paper.Document) {
	best := d.layOut(d.Sheet.Landscape(), true)
	for _, p := range []plan{d.layOut(d.Sheet, true), d.layOut(d.Sheet.Landscape(), false), d.layOut(d.Sheet, false)} {
		if p.better(best) {
			best = p
		}
	}
	d.draw(doc, best)
}

// better tells whether a plan draws larger; a page more is not worth a step of the scale that
// 1:5 or more leaves.
func (p plan) better(q plan) bool {
	if p.tables != q.tables && !p.tables && q.scale <= 5 {
		return false
	}
	return p.scale < q.scale
}

// layOut divides a sheet.
func (d *drawing) layOut(sheet paper.Sheet, tables bool) plan {
	p := plan{sheet: sheet, tables: tables}
	blank := &paper.Page{Sheet: sheet, Title: d.title()}
	area := blank.Area()
	area.Min.Y += headHigh
	if tables {
		high := d.tablesHigh(area.Size().X)
		p.below = plane.Box{Min: plane.Point{X: area.Min.X, Y: area.Max.Y - high}, Max: area.Max}
		area.Max.Y -= high + 2
	}
	p.room, p.column = area, plane.EmptyBox()
	if d.views != nil {
		p.column = plane.Box{Min: plane.Point{X: area.Max.X - columnWide, Y: area.Min.Y}, Max: area.Max}
		p.room.Max.X -= columnWide + 3
	}
	d.to = plane.Affine{A: 1, D: 1}
	left, below := d.bands()
	size := p.room.Size()
	free := plane.Point{X: size.X - left - around, Y: size.Y - below - around}
	p.scale = 1e6 // it does not go there at all
	if least := 25.0; free.X > least && free.Y > least && (d.views == nil || size.Y > 90) {
		p.scale = paper.EnlargedFor(d.box.Size(), free)
	}
	return p
}

// tablesHigh is the height that tables and notes take at a width.
func (d *drawing) tablesHigh(wide float64) float64 {
	const endless = 1e5
	scratch := &paper.Document{}
	f := &paper.Flow{Doc: scratch, New: func() *paper.Page { return &paper.Page{Sheet: paper.Sheet{Wide: wide + 100, High: endless}} }}
	f.On(f.New(), plane.Box{Max: plane.Point{X: wide, Y: endless}})
	d.tables(f)
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
	left, _ := d.bands()
	size := d.box.Size().Scale(1 / d.scale)
	at := plane.Point{X: p.room.Min.X + left, Y: p.room.Min.Y + around} // the flat's upper left corner
	d.to = plane.Affine{A: 1 / d.scale, D: -1 / d.scale,
		E: at.X - d.box.Min.X/d.scale, F: at.Y + size.Y + d.box.Min.Y/d.scale}
	d.drawFlat()
	d.running(p.room)
	if d.views != nil {
		d.drawViews(p.column)
	}
	d.labels()
	f := &paper.Flow{Doc: doc, Title: d.Names.Blank(d.blank), New: func() *paper.Page { return &paper.Page{Sheet: p.sheet, Title: d.title()} }}
	if p.tables {
		f.On(d.page, p.below)
	}
	d.tables(f)
}

// head writes what the page is of, and how many.
func (d *drawing) head(area plane.Box) {
	style := paper.Style{Size: paper.Large, Bold: true}
	text := paper.Shorten(d.Names.Blank(d.blank), style, area.Size().X*0.45)
	d.page.Text(paper.Label{Text: text, At: plane.Point{X: area.Min.X, Y: area.Min.Y + 5}, Style: style})
	rest := "make " + d.count() + " – seen from the drawn side – flat " + paper.ScaleName(d.scale)
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
		for _, w := range l.Differs {
			what = append(what, w.In(d.Paper.System))
		}
		f.Item(text+": "+strings.Join(what, "; ")+". Write "+d.Names.Blank(d.blank)+" on this one as soon as it is cut.", false)
	}
	for _, text := range d.notes {
		f.Item(text, false)
	}
	if len(d.unsaid) > 0 {
		f.Item("Further places from the marked corner, in "+d.Paper.System.Unit()+": "+strings.Join(d.unsaid, "; "), false)
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
