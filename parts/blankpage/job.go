package blankpage

import (
	"fmt"
	"slices"
	"strconv"

	"perch/parts/drawing/layout"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/shop"
)

// Job is what all pages of one size have in common.
type Job struct {
	Assembly   *panel.Assembly
	Names      *naming.Names
	Paper      measure.Paper
	Sheet      paper.Sheet // upright
	Projection paper.Projection
	Shop       *shop.Shop
	Source     string // a short hash of what the pages are made from; may be empty
	Date       string // may be empty
}

// Printed takes paper and projection as the shop's file tells them; a paper that it does not
// know is A4.
func (j *Job) Printed() {
	j.Sheet, j.Projection = paper.A4, paper.FirstAngle
	if s, err := paper.ParseSheet(j.Shop.Papers.Sheet); err == nil {
		j.Sheet = s
	}
	if j.Shop.Papers.Projection == shop.ThirdAngle {
		j.Projection = paper.ThirdAngle
	}
}

// Title is what the title block says on every page.
func (j *Job) Title() paper.Title {
	t := paper.Title{
		Design: j.Assembly.Design, Revision: j.Assembly.Revision, Size: naming.Plain(j.Assembly.Size),
		Units: j.Paper.System.Unit(), Source: j.Source, Date: j.Date, Ruler: j.Paper.System,
	}
	if j.Shop != nil {
		if t.Shop = naming.Plain(j.Shop.Name); j.Shop.Name == "default" {
			t.Shop = ""
		}
		t.Tolerance = "± " + j.Paper.Fine(j.Shop.Cutter.Tolerance) + " as cut"
	}
	return t
}

// Add puts the pages of a blank at the end of a document: one, and where its tables do not go
// beside the drawing, more of them. It fails for a blank without an outline, or with
// numbers that are not finite.
func (j *Job) Add(doc *paper.Document, blank int) error {
	b := j.Assembly.Blanks[blank]
	if b.Flat == nil || len(b.Flat.Outer) < 2 || b.Flat.Panel == nil {
		return fmt.Errorf("the page of blank %q: it has no outline", b.Name)
	}
	if err := layout.Check(b.Flat); err != nil {
		return fmt.Errorf("the page of blank %q: %w", b.Name, err)
	}
	d := j.begin(blank)
	d.gather()
	if err := d.lookAt(); err != nil {
		return fmt.Errorf("the page of blank %q: %w", b.Name, err)
	}
	d.compose(doc)
	return nil
}

// Place is where a point of a blank lies on its page, (x, y) from the marked corner; false where the
// blank has no such point.
func (j *Job) Place(blank int, point string) (string, bool) {
	b := j.Assembly.Blanks[blank]
	k := slices.IndexFunc(b.Flat.Points, func(p panel.Point) bool { return p.Name == point })
	if k < 0 {
		return "", false
	}
	d := j.begin(blank)
	return d.placeText(b.Flat.Points[k].At), true
}

// begin is the page of a blank, with how it lies and is read.
func (j *Job) begin(blank int) *drawing {
	b := j.Assembly.Blanks[blank]
	d := &drawing{Job: j, blank: blank, b: b, f: b.Flat, read: j.Paper}
	d.turn = levelled(d.f)
	d.box = d.f.Outer.Transform(d.turn).Bounds()
	d.choosePaper()
	return d
}

// drawing is the page of one blank under way.
type drawing struct {
	*Job
	blank int
	b     *panel.Blank
	f     *panel.Flat
	turn  plane.Affine  // of the flat, before it is set on the page
	box   plane.Box     // of the flat, turned
	read  measure.Paper // how sizes on this page are written
	extra

	holes   []holeGroup
	views   *views    // of the part bent up; nil where it stays flat
	details []detail  // that are drawn
	crowded []crowded // places that the drawing as it stands has no room for
	asDrawn float64   // the scale that details were chosen at; 0: any

	page    *paper.Page
	set     plane.Affine        // from the turned flat to the page
	to      plane.Affine        // from the flat to the page
	scale   float64             // n of 1:n
	heights map[float64]float64 // of the tables, by their width
}

// choosePaper leaves out a ruler that is coarser than a quarter of the blank's lesser side:
// what it read would be nothing or the whole.
func (d *drawing) choosePaper() {
	r, size := d.read.Ruler, d.box.Size()
	if r.Division == 0 || r.System != d.read.System {
		return
	}
	if step := float64(r.Division * r.System.Scale()); step*4 > min(size.X, size.Y) {
		d.read.Ruler = measure.Ruler{}
		d.notes = append(d.notes, "The shop's ruler, by "+d.Paper.Fine(step)+d.Paper.Unit()+", is too coarse for this part: sizes are written finer.")
	}
}

// size writes a size that is read off a ruler.
func (d *drawing) size(mm float64) string { return d.read.Overall(mm) }

// title is that of the blank's pages.
func (d *drawing) title() paper.Title {
	t := d.Title()
	t.Blank = d.Names.Blank(d.blank)
	t.Count = d.count()
	s := d.f.Panel.Stock
	s.Material = naming.Plain(s.Material)
	t.Material = s.Told().In(d.Paper.System)
	t.Mass = measure.Say("%.3g", measure.Mass(d.f.Mass())).In(d.Paper.System)
	if t.Scale = paper.ScaleName(d.scale); d.views != nil {
		t.Projection = d.Projection
	}
	return t
}

// count tells how many there are of the blank, left and right apart.
func (d *drawing) count() string {
	n, m := d.b.Count, d.b.Mirrored
	switch {
	case m == 0:
		return strconv.Itoa(n)
	case m == n:
		return strconv.Itoa(n) + ", all mirrored"
	}
	return strconv.Itoa(n) + ": " + strconv.Itoa(n-m) + " as drawn, " + strconv.Itoa(m) + " mirrored"
}

// sentence is a text of a measure in the reader's system.
func (d *drawing) say(format string, args ...any) string {
	return measure.Say(format, args...).In(d.Paper.System)
}
