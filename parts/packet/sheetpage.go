package packet

import (
	"fmt"
	"math"
	"strconv"

	"perch/parts/cutplan"
	"perch/parts/naming"
	"perch/parts/paper"
	"perch/parts/plane"
)

const (
	sideWide = 78.0 // of what stands beside the drawing of a sheet
	roundOff = 12.0 // mm of the sheet that are shown round what is cut
)

// sheetPage shows one sheet: the part of it that is cut, enlarged, with every blank's number
// and every pierce's as far as there is room; the whole sheet small; what to load and to tick.
func (p *Packet) sheetPage(doc *paper.Document, i int) {
	s := &p.Sheets[i]
	name := fmt.Sprintf("sheet %d of %d", i+1, len(p.Sheets))
	d := &sheetDrawing{plan: s.Plan, packet: p}
	d.choose(p.Sheet.Landscape(), p.Sheet)
	page := doc.Add(p.page(d.sheet, name, name))
	d.page = page
	page.Title.Material = s.Stock
	area := page.Area()
	style := paper.Style{Size: paper.Large, Bold: true}
	head := "Sheet " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(p.Sheets))
	page.Text(paper.Label{Text: head, At: plane.Point{X: area.Min.X, Y: area.Min.Y + 5}, Style: style})
	x := area.Min.X + style.Width(head) + 5
	page.Text(paper.Label{Text: paper.Shorten(s.Stock, paper.Style{}, area.Max.X-x), At: plane.Point{X: x, Y: area.Min.Y + 5}})
	room, side := divided(area)
	page.Title.Scale = paper.ScaleName(d.n)
	d.to = plane.Affine{A: 1 / d.n, D: -1 / d.n, E: room.Min.X - d.shown.Min.X/d.n, F: room.Max.Y + d.shown.Min.Y/d.n}
	d.draw()
	d.overview(&side)
	f := &paper.Flow{Doc: doc, Title: head, New: func() *paper.Page {
		next := p.page(d.sheet, name, "")
		next.Title.Material = s.Stock
		return next
	}}
	f.On(page, side)
	p.loading(f, s, d)
}

// sheetDrawing is the drawing of a sheet under way.
type sheetDrawing struct {
	packet *Packet
	page   *paper.Page
	plan   *cutplan.Plan
	sheet  paper.Sheet
	shown  plane.Box // of the sheet
	to     plane.Affine
	n      float64
	unsaid int  // pierces without their number
	apart  bool // the origin is not shown
}

// divided gives the rooms of a page for the drawing and for what stands beside it.
func divided(area plane.Box) (room, side plane.Box) {
	area.Min.Y += 10
	side = plane.Box{Min: plane.Point{X: area.Max.X - sideWide, Y: area.Min.Y}, Max: area.Max}
	return plane.Box{Min: area.Min.Add(plane.Point{X: 4}), Max: plane.Point{X: side.Min.X - 4, Y: area.Max.Y - 9}}, side
}

// choose takes the paper on which what is cut is drawn largest, with the origin where that costs
// nothing; of several the first.
func (d *sheetDrawing) choose(sheets ...paper.Sheet) {
	d.n = math.Inf(1)
	for _, origin := range []bool{true, false} {
		for _, s := range sheets {
			shown := d.occupied(origin)
			room, _ := divided(d.packet.page(s, "sheet", "").Area())
			if n := paper.ScaleFor(shown.Size(), room.Size()); n < d.n {
				d.n, d.sheet, d.shown = n, s, shown
			}
		}
	}
}

// occupied is the part of the sheet that is cut, and some more, as far as the origin where that is
// asked; of a remnant with an outline of its own all of it.
func (d *sheetDrawing) occupied(origin bool) plane.Box {
	whole := d.plan.Sheet.Metal.Bounds()
	if d.ragged() {
		return whole
	}
	b := plane.EmptyBox()
	for _, q := range d.plan.Sheet.Parts {
		b = b.Union(q.Region.Bounds())
	}
	for i := range d.plan.Cuts {
		b = b.With(d.plan.Cuts[i].Start())
	}
	if origin {
		b = b.With(whole.Min)
	}
	b = b.Grow(roundOff)
	b.Min = plane.Point{X: max(b.Min.X, whole.Min.X), Y: max(b.Min.Y, whole.Min.Y)}
	b.Max = plane.Point{X: min(b.Max.X, whole.Max.X), Y: min(b.Max.Y, whole.Max.Y)}
	return b
}

// ragged tells whether the metal is no rectangle.
func (d *sheetDrawing) ragged() bool {
	m := d.plan.Sheet.Metal
	s := m.Bounds().Size()
	return m.Area() < float64(s.X*s.Y)*0.999
}

func (d *sheetDrawing) draw() {
	d.edges()
	for i, q := range d.plan.Sheet.Parts {
		if d.plan.Holds(i) {
			d.page.Fill(paper.Pale, q.Region.Transform(d.to)...)
		}
		d.page.Outline(paper.Thin, true, q.Region.Transform(d.to)...)
	}
	d.origin()
	d.tabs()
	all := d.pierces()
	d.numbers()
	for _, q := range all {
		if !d.page.Point(q.at, paper.Style{}, strconv.Itoa(q.number)) {
			d.unsaid++
		}
	}
}

// edges draws the sheet's edges as far as they are shown, and by dashes where it goes on.
func (d *sheetDrawing) edges() {
	if d.ragged() {
		d.page.Outline(paper.Visible, true, d.plan.Sheet.Metal.Transform(d.to)...)
		return
	}
	whole := d.plan.Sheet.Metal.Bounds()
	corner := []plane.Point{d.shown.Min, {X: d.shown.Max.X, Y: d.shown.Min.Y}, d.shown.Max, {X: d.shown.Min.X, Y: d.shown.Max.Y}}
	ends := []bool{d.shown.Min.Y <= whole.Min.Y, d.shown.Max.X >= whole.Max.X, d.shown.Max.Y >= whole.Max.Y, d.shown.Min.X <= whole.Min.X}
	for i, c := range corner {
		pen := paper.Double
		if ends[i] {
			pen = paper.Visible
		}
		d.page.Line(pen, d.to.Apply(c), d.to.Apply(corner[(i+1)%4]))
	}
}

// numbers writes every blank's number, with its name where there is room, nearest to its middle.
func (d *sheetDrawing) numbers() {
	for _, q := range d.plan.Sheet.Parts {
		number := strconv.Itoa(q.Number)
		b := q.Region.Bounds()
		var all []paper.Label
		for _, text := range []string{number + " " + naming.Plain(q.Name), number} {
			for _, y := range []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9} {
				for _, x := range []float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9} {
					at := plane.Point{X: b.Min.X + float64(x*b.Size().X), Y: b.Min.Y + float64(y*b.Size().Y)}
					if q.Region.Locate(at) != plane.Inside {
						continue
					}
					for _, rising := range []bool{false, true} {
						l := paper.Label{Text: text, Style: paper.Style{Bold: true}, Rising: rising}
						all = append(all, l.On(d.to.Apply(at)))
					}
				}
			}
		}
		if d.page.Place(all...) < 0 {
			d.page.Point(d.to.Apply(b.Center()), paper.Style{Bold: true}, number)
		}
	}
}

// origin marks the corner that the table counts from, its two directions beside the sheet.
func (d *sheetDrawing) origin() {
	if !d.shown.Holds(d.plan.Options.From) {
		d.apart = true
		return
	}
	c := d.to.Apply(d.plan.Options.From)
	d.page.Solid(paper.Black, plane.Circle(2.4).Transform(plane.Translate(c)))
	o := c.Add(plane.Point{X: -2, Y: 2})
	d.page.Arrow(paper.Visible, o, o.Add(plane.Point{X: 13}), 2.5)
	d.page.Arrow(paper.Visible, o, o.Add(plane.Point{Y: -13}), 2.5)
	d.page.Place(paper.Label{Text: "origin", At: o.Add(plane.Point{X: 14.5, Y: 2.4})}, paper.Label{Text: "origin", At: o.Add(plane.Point{Y: 4.2})})
}

// tabs marks where metal is left standing in a cut.
func (d *sheetDrawing) tabs() {
	for i := range d.plan.Cuts {
		runs := d.plan.Cuts[i].Runs
		for k := 0; k+1 < len(runs); k++ {
			last := runs[k][len(runs[k])-1].To
			at := d.to.Apply(last)
			d.page.FillPoints(paper.Black, at.Add(plane.Point{X: -1, Y: -1}), at.Add(plane.Point{X: 1, Y: -1}), at.Add(plane.Point{X: 1, Y: 1}), at.Add(plane.Point{X: -1, Y: 1}))
		}
	}
}

// pierce is where the torch starts, on the page.
type pierce struct {
	at     plane.Point
	number int
}

// pierces dots every pierce.
func (d *sheetDrawing) pierces() []pierce {
	var all []pierce
	number := d.plan.First
	for i := range d.plan.Cuts {
		for _, r := range d.plan.Cuts[i].Runs {
			at := d.to.Apply(r[0].From)
			d.page.Solid(paper.Black, plane.Circle(1.2).Transform(plane.Translate(at)))
			all = append(all, pierce{at, number})
			number++
		}
	}
	return all
}

// overview draws the whole sheet small at the top of a column, with what is cut of it shaded,
// and takes that room off the column.
func (d *sheetDrawing) overview(side *plane.Box) {
	whole := d.plan.Sheet.Metal.Bounds()
	n := paper.ScaleFor(whole.Size(), plane.Point{X: side.Size().X - 6, Y: 34})
	size := whole.Size().Scale(1 / n)
	at := plane.Point{X: side.Min.X + 2, Y: side.Min.Y}
	to := plane.Affine{A: 1 / n, D: -1 / n, E: at.X - whole.Min.X/n, F: at.Y + size.Y + whole.Min.Y/n}
	d.page.Fill(paper.Ink{R: 200, G: 200, B: 200}, plane.RectAt(d.shown.Min, d.shown.Max).Transform(to))
	d.page.Outline(paper.Visible, true, d.plan.Sheet.Metal.Transform(to)...)
	left := d.plan.Sheet.Remnant
	if !left.Empty() {
		d.page.Outline(paper.Hidden, true, plane.RectAt(left.Min, left.Max).Transform(to))
	}
	text := "whole sheet " + paper.ScaleName(n) + ": " + d.packet.Paper.Rough(whole.Size().X) + " × " + d.packet.Paper.Rough(whole.Size().Y) + d.packet.Paper.Unit()
	if !left.Empty() {
		text += "; left over, dashed: " + d.packet.Paper.Rough(left.Size().X) + " × " + d.packet.Paper.Rough(left.Size().Y)
	}
	side.Min.Y += size.Y
	for _, l := range paper.Wrap(text, paper.Style{}, side.Size().X) {
		side.Min.Y += paper.Style{}.Lead()
		d.page.Text(paper.Label{Text: l, At: plane.Point{X: side.Min.X, Y: side.Min.Y}})
	}
	side.Min.Y += 2.5
}

// loading says what to load, lists the blanks, and has boxes to tick for the dry run.
func (p *Packet) loading(f *paper.Flow, s *Sheet, d *sheetDrawing) {
	kerf := "kerf " + p.Paper.Fine(s.Plan.Options.Kerf) + p.Paper.Unit()
	if s.Feed != "" {
		kerf += ", feed " + s.Feed
	}
	f.Write(kerf, paper.Style{})
	if s.Program != "" {
		f.Write("program "+s.Program, paper.Style{})
	}
	cuts := strconv.Itoa(s.Plan.Pierces) + " pierces (•)"
	if len(s.Plan.Drills) > 0 {
		cuts += ", " + strconv.Itoa(len(s.Plan.Drills)) + " drill marks"
	}
	if s.Plan.Options.Tab > 0 {
		cuts += ", tabs (■)"
	}
	f.Write(cuts, paper.Style{})
	if d.apart {
		f.Write("The origin is the whole sheet's lower left corner, which is not shown enlarged.", paper.Style{})
	}
	if d.unsaid > 0 {
		f.Write(strconv.Itoa(d.unsaid)+" pierces are too close to be numbered here: see the list of pierces beside the drawing for the table.", paper.Style{})
	}
	f.Space(1.5)
	for _, t := range []string{"right metal, thickness measured", "origin set at the marked corner", "dry run, torch off, along the edges", "slats, clamps and hoses clear", "extinguisher, glasses, fumes drawn off"} {
		f.Item(t, true)
	}
	f.Table(blankList(s.Plan))
}

// blankList lists the blanks on a sheet by name with their numbers.
func blankList(plan *cutplan.Plan) paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "blank", Weight: 1}, {Head: "count", Right: true}, {Head: "numbers"}}}
	numbers := map[string][]int{}
	var names []string
	for i, q := range plan.Sheet.Parts {
		if !plan.Holds(i) {
			continue
		}
		if numbers[q.Name] == nil {
			names = append(names, q.Name)
		}
		numbers[q.Name] = append(numbers[q.Name], q.Number)
	}
	for _, n := range names {
		t.Rows = append(t.Rows, []string{naming.Plain(n), strconv.Itoa(len(numbers[n])), cutplan.Ranges(numbers[n])})
	}
	return t
}
