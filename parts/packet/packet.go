// Package packet makes the pages of one size of a piece from the first look at it to the last
// check: a cover, what to buy and to fetch, sheet by sheet what to cut, blank by blank what to
// drill and to bend, how the parts are joined, and how to finish. It lays nothing out on sheets and plans no cut,
// bend or join: it draws what others planned.
package packet

import (
	"fmt"
	"slices"
	"strconv"

	"perch/parts/blankpage"
	"perch/parts/brake"
	"perch/parts/cutplan"
	"perch/parts/drawing"
	"perch/parts/joining"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/record"
	"perch/parts/solid"
	"perch/parts/strength"
	"perch/parts/tolerance"
)

// Packet is what one size's pages are made from.
type Packet struct {
	*blankpage.Job
	Sheets   []Sheet           // as nested, for one piece; nil where they are not
	Why      string            // why they are not; may be empty
	Plans    []brake.BlankPlan // how blanks are bent; nil where it is not planned
	Together *joining.Plan     // how the parts are joined; nil where it is not planned
	Fits     *tolerance.View   // what real metal does to holes; nil where it is not worked out
	Loads    *strength.Report  // what the loads that the design names do to it; nil where it names none
	Costs    []string          // lines on what it costs, for the cover; may be empty

	size solid.Vec // over all
}

// Sheet is a nested sheet.
type Sheet struct {
	Plan    *cutplan.Plan
	Stock   string // what to take: mild steel 1.5 mm, 2500 × 1250 mm
	Program string // the file for the table; "" where there is none
	Feed    string // and its feed, with the unit
	Used    float64
	Remnant bool // it is one, not a whole sheet
}

// Add puts all pages at the end of a document. It fails where a blank can't be drawn.
func (p *Packet) Add(doc *paper.Document) error {
	if err := p.cover(doc); err != nil {
		return err
	}
	p.buy(doc)
	for i := range p.Sheets {
		p.sheetPage(doc, i)
	}
	for i := range p.Assembly.Blanks {
		if err := p.Job.Add(doc, i); err != nil {
			return err
		}
	}
	p.bending(doc)
	p.fit(doc)
	if err := p.joining(doc); err != nil {
		return err
	}
	p.carries(doc)
	p.finish(doc)
	return nil
}

// page is a page with its title block.
func (p *Packet) page(sheet paper.Sheet, name, bookmark string) *paper.Page {
	t := p.Title()
	t.Blank = name
	return &paper.Page{Sheet: sheet, Title: t, Bookmark: bookmark}
}

// flow writes pages of one name.
func (p *Packet) flow(doc *paper.Document, name, bookmark string) *paper.Flow {
	return &paper.Flow{Doc: doc, Title: name, New: func() *paper.Page { return p.page(p.Sheet, name, bookmark) }}
}

// The two corners that a piece is shown from.
var corners = []struct {
	name string
	from solid.Vec
}{
	{"from the front right, above", solid.Vec{X: 0.7, Y: -1, Z: 0.6}},
	{"from the back left, above", solid.Vec{X: -0.7, Y: 1, Z: 0.6}},
}

// cover shows the piece from two corners, its sizes, its values and what to mind.
func (p *Packet) cover(doc *paper.Document) error {
	f := &paper.Flow{Doc: doc, New: func() *paper.Page { return p.page(p.Sheet, "cover", "cover") }}
	head := paper.Style{Size: paper.Huge, Bold: true}
	for _, l := range paper.Wrap(p.Assembly.Design, head, f.Wide()) {
		f.Write(l, head)
	}
	sub := "size " + naming.Plain(p.Assembly.Size)
	if p.Assembly.Revision != "" {
		sub += ", revision " + p.Assembly.Revision
	}
	f.Write(sub, paper.Style{Size: paper.Large})
	f.Space(2)
	facets, err := drawing.Facets(p.Assembly)
	if err != nil {
		return err
	}
	p.size, err = p.overAll(facets)
	if err != nil {
		return err
	}
	if err := p.pictures(f, facets); err != nil {
		return err
	}
	say := func(mm float64) string { return p.Paper.Overall(mm) }
	f.Para(fmt.Sprintf("Over all %s wide × %s deep × %s high,%s. %s of %s, %s together.", say(p.size.X), say(p.size.Y), say(p.size.Z), p.Paper.Unit(),
		measure.Counted(len(p.Assembly.Copies), "part"), measure.Counted(len(p.Assembly.Blanks), "blank"), p.mass()), paper.Style{Bold: true})
	for _, l := range p.Costs {
		f.Para(l, paper.Style{})
	}
	if t, ok := p.values(); ok {
		f.Heading("Values")
		f.Table(t)
	}
	f.Heading("Mind")
	for _, c := range cautions {
		f.Item(c, false)
	}
	return nil
}

// cautions of all pages. They are common practice; local codes and licensed practice go first.
var cautions = []string{
	"Every number is an estimate: bend a test strip, build one piece, load it well above its load before anybody trusts it. Where the public will use it local codes and a licensed judgement go first.",
	"Cutting: eyes, lungs, fire; extinguisher at hand, look again half an hour later, never leave the table alone.",
	"Cut edges: gloves, deburr. Drill: glasses and ears, the part clamped, no gloves. Brake: fingers out, never reach through.",
	"Weld: shield, skin covered, fumes drawn off, zinc stripped beside it; no chlorinated cleaner near an arc or hot metal.",
}

// overAll is the size of the piece: across its front, from front to back, and up.
func (p *Packet) overAll(facets []drawing.Facet) (size solid.Vec, err error) {
	_, front, err := drawing.Orthographic(facets, solid.Vec{Y: -1}, solid.Vec{Z: 1})
	if err != nil {
		return size, err
	}
	_, side, err := drawing.Orthographic(facets, solid.Vec{X: 1}, solid.Vec{Z: 1})
	return solid.Vec{X: front.Size().X, Y: side.Size().X, Z: front.Size().Y}, err
}

// coverHigh is the height of the cover's pictures with their captions, at most.
const coverHigh = 128.0

// pictures shows the piece from two corners side by side.
func (p *Packet) pictures(f *paper.Flow, facets []drawing.Facet) error {
	const pad, caption = 6.0, 8.0
	each := f.Wide() / float64(len(corners))
	type seen struct {
		surfaces []drawing.Surface
		box      plane.Box
	}
	var views []seen
	n, high := 0.0, 0.0 // one scale for both
	for _, c := range corners {
		surfaces, box, err := drawing.Orthographic(facets, c.from, solid.Vec{Z: 1})
		if err != nil {
			return err
		}
		views = append(views, seen{surfaces, box})
		n, high = max(n, paper.ScaleFor(box.Size(), plane.Point{X: each - pad, Y: coverHigh - caption})), max(high, box.Size().Y)
	}
	room := f.Box(high/n + caption)
	for i, v := range views {
		left := room.Min.X + float64(each*float64(i))
		shown := v.box.Size().Scale(1 / n)
		blankpage.Show(f.Page(), v.surfaces, v.box, plane.Point{X: left + float64((each-shown.X)/2), Y: room.Max.Y - caption - shown.Y}, n)
		f.Page().Text(paper.Label{Text: corners[i].name + ", " + paper.ScaleName(n), At: plane.Point{X: left + float64(each/2), Y: room.Max.Y - 2.5}, Anchor: paper.Middle})
	}
	return nil
}

// mass is that of the whole piece without fasteners.
func (p *Packet) mass() string {
	var kg float64
	for _, b := range p.Assembly.Blanks {
		kg += float64(b.Flat.Mass() * float64(b.Count))
	}
	return measure.Say("%.3g", measure.Mass(kg)).In(p.Paper.System)
}

// origins puts where a value is from into words.
var origins = map[string]string{"default": "the design's default", "size": "this size", "setting": "set when made", "rule": "follows from the rules", "choice": "chosen as the best"}

// values is the table of the size's values.
func (p *Packet) values() (paper.Table, bool) {
	t := paper.Table{Columns: []paper.Column{{Head: "value"}, {Head: "is", Right: true}, {Head: "unit"}, {Head: "from", Weight: 1}}}
	for _, v := range p.Assembly.Values {
		from := origins[v.From]
		if from == "" {
			from = v.From
		}
		number, unit := strconv.FormatFloat(v.Value, 'f', -1, 64), v.Unit
		if unit == "mm" {
			number, unit = p.Paper.Overall(v.Value), p.Paper.System.Unit()
		} else if len(number) > 8 {
			number = strconv.FormatFloat(v.Value, 'f', 3, 64)
		}
		t.Rows = append(t.Rows, []string{naming.Plain(v.Name), number, unit, from})
	}
	return t, len(t.Rows) > 0
}

// buy lists what to buy and to fetch.
func (p *Packet) buy(doc *paper.Document) {
	f := p.flow(doc, "To buy and to fetch", "to buy and to fetch")
	f.Heading("Sheets")
	f.Table(p.sheetTable())
	if p.Why != "" {
		f.Item(p.Why, false)
	}
	if t, ok := p.fastenerTable(); ok {
		f.Heading("Fasteners")
		f.Table(t)
	}
	if t, ok := p.drillTable(); ok {
		f.Heading("Drills")
		f.Table(t)
	}
	f.Heading("For the surface")
	f.Item("Degreaser, abrasive, primer and paint for "+p.area(p.surface())+", both faces of all parts. No chlorinated degreaser where it is welded.", true)
}

// area is an area for a person, in square metres or square feet.
func (p *Packet) area(mm2 float64) string {
	const inch, foot = measure.InchMM, 12.0
	return measure.Either{
		Millimetres: strconv.FormatFloat(mm2/1e6, 'f', 2, 64) + " m²",
		Inches:      strconv.FormatFloat(mm2/(inch*inch*foot*foot), 'f', 1, 64) + " ft²",
	}.In(p.Paper.System)
}

// surface is the area of both faces of all parts, mm².
func (p *Packet) surface() float64 {
	var a float64
	for _, b := range p.Assembly.Blanks {
		a += float64(2 * b.Flat.Area() * float64(b.Count))
	}
	return a
}

// sheetTable lists the sheets as nested; where they are not, the metal that the blanks take.
func (p *Packet) sheetTable() paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "", Tick: true}, {Head: "sheet", Weight: 1}, {Head: "count", Right: true}, {Head: "used", Right: true}}}
	if len(p.Sheets) > 0 {
		count := map[string]int{}
		used := map[string]float64{}
		var names []string
		for _, s := range p.Sheets {
			name := s.Stock
			if s.Remnant {
				name += " (a remnant)"
			}
			if count[name]++; count[name] == 1 {
				names = append(names, name)
			}
			used[name] += s.Used
		}
		for _, n := range names {
			t.Rows = append(t.Rows, []string{"", n, strconv.Itoa(count[n]), strconv.FormatFloat(float64(100*used[n])/float64(count[n]), 'f', 0, 64) + " %"})
		}
		return t
	}
	t.Columns = []paper.Column{{Head: "", Tick: true}, {Head: "metal", Weight: 1}, {Head: "area of the blanks", Right: true}, {Head: "mass", Right: true}}
	area, mass := map[string]float64{}, map[string]float64{}
	var names []string
	for _, b := range p.Assembly.Blanks {
		n := p.stock(b)
		if area[n] == 0 {
			names = append(names, n)
		}
		area[n] += float64(b.Flat.Area() * float64(b.Count))
		mass[n] += float64(b.Flat.Mass() * float64(b.Count))
	}
	for _, n := range names {
		t.Rows = append(t.Rows, []string{"", n, p.area(area[n]), measure.Say("%.3g", measure.Mass(mass[n])).In(p.Paper.System)})
	}
	return t
}

func (p *Packet) stock(b *panel.Blank) string {
	s := b.Flat.Panel.Stock
	s.Material = naming.Plain(s.Material)
	return s.Told().In(p.Paper.System)
}

// fastenerTable lists rivets and bolts by kind, diameter and length.
func (p *Packet) fastenerTable() (paper.Table, bool) {
	t := paper.Table{Columns: []paper.Column{{Head: "", Tick: true}, {Head: "what"}, {Head: "Ø", Right: true}, {Head: "length", Right: true}, {Head: "grip", Right: true},
		{Head: "count", Right: true}, {Head: "note", Weight: 1}}}
	or := func(mm float64) string {
		if mm == 0 {
			return "–"
		}
		return p.Paper.Fine(mm)
	}
	rows := record.Hardware(p.Assembly)
	for _, r := range rows {
		t.Rows = append(t.Rows, []string{"", r.Kind, p.Paper.Fine(r.Diameter), or(r.Length), or(r.Grip), strconv.Itoa(r.Count), r.Note().In(p.Paper.System)})
	}
	return t, len(rows) > 0
}

// drillTable lists the drills by diameter, with the holes of all pieces.
func (p *Packet) drillTable() (paper.Table, bool) {
	t := paper.Table{Columns: []paper.Column{{Head: "", Tick: true}, {Head: "drill Ø", Right: true}, {Head: "holes in the flat", Right: true}, {Head: "holes in place", Right: true}}}
	type holes struct{ flat, place int }
	count := map[float64]*holes{}
	var sizes []float64
	for _, b := range p.Assembly.Blanks {
		for _, q := range b.Flat.Points {
			if q.Kind != panel.Drill && q.Made() != panel.InPlace || b.Flat.Open(q) {
				continue
			}
			if count[q.Diameter] == nil {
				count[q.Diameter] = &holes{}
				sizes = append(sizes, q.Diameter)
			}
			if q.Made() == panel.InPlace {
				count[q.Diameter].place += b.Count
			} else {
				count[q.Diameter].flat += b.Count
			}
		}
	}
	slices.Sort(sizes)
	for _, d := range sizes {
		t.Rows = append(t.Rows, []string{"", p.Paper.Fine(d), strconv.Itoa(count[d].flat), strconv.Itoa(count[d].place)})
	}
	return t, len(sizes) > 0
}

// finish is the last page: surface, feet, sizes and the load to prove.
func (p *Packet) finish(doc *paper.Document) {
	f := p.flow(doc, "Finish and check", "finish and check")
	f.Heading("Finish")
	for _, s := range []string{
		"Every edge deburred, every corner that a hand can reach rounded.",
		"Degreased and dry. No chlorinated cleaner where it was or will be welded, or is hot.",
		"Blasted or sanded: face shield, breathing protection, ears. Discs burst; fine dust burns.",
		"Coated: " + p.area(p.surface()) + " in all, both faces. Mask threads and where it stands on the floor.",
	} {
		f.Item(s, true)
	}
	f.Heading("Check")
	f.Item("On a flat table it does not rock: all feet are in one plane.", true)
	f.Table(p.checks())
	f.Item("Every fastener is set tight, its head flat on the sheet; pull at each part.", true)
	f.Item("The load test: an estimate is no proof. Stand back, load it slowly with dead weight well above what it is to carry, leave it an hour, look for cracks, bends that opened and fasteners that tore. Where the public will use it, local codes and a licensed judgement go first.", true)
}

// checks are the sizes over all, with room to write down what was measured.
func (p *Packet) checks() paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "size over all", Weight: 1}, {Head: "is to be", Right: true}, {Head: "measured", Weight: 2}}}
	for _, r := range []struct {
		name string
		mm   float64
	}{{"width, from left to right", p.size.X}, {"depth, from front to back", p.size.Y}, {"height", p.size.Z}} {
		t.Rows = append(t.Rows, []string{r.name, p.Paper.Overall(r.mm) + p.Paper.Unit(), ""})
	}
	return t
}
