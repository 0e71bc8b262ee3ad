package paper

import (
	"perch/parts/plane"
)

// Flow writes headings, paragraphs and tables one below the other, on as many pages as
// they need.
type Flow struct {
	Doc   *Document
	New   func() *Page // makes the next page; a flow begins with one
	Title string       // stands at the head of each page, with "continued" from the second

	page *Page
	area plane.Box
	y    float64
}

// On begins the flow in a box of a page that there is already.
func (f *Flow) On(p *Page, b plane.Box) { f.page, f.area, f.y = p, b, b.Min.Y }

// Page is the page that the flow stands on.
func (f *Flow) Page() *Page {
	if f.page == nil {
		f.next()
	}
	return f.page
}

// next goes to a fresh page.
func (f *Flow) next() {
	again := f.page != nil
	f.page = f.New()
	f.Doc.Add(f.page)
	f.area = f.page.Area()
	f.y = f.area.Min.Y
	if f.Title == "" {
		return
	}
	title := f.Title
	if again {
		title += " (continued)"
		f.page.Bookmark = ""
	}
	for _, l := range Wrap(title, Style{Size: Large, Bold: true}, f.Wide()) {
		f.line(l, Style{Size: Large, Bold: true}, f.area.Min.X)
	}
	f.y += 2
}

// Wide is how wide the flow is.
func (f *Flow) Wide() float64 { f.Page(); return f.area.Size().X }

// Left is how much height is left on the page.
func (f *Flow) Left() float64 { f.Page(); return f.area.Max.Y - f.y }

// whole is the height of a page of its own.
func (f *Flow) whole() float64 { return f.page.Area().Size().Y }

// Whole is the height of a fresh page below the flow's title.
func (f *Flow) Whole() float64 {
	high := f.Page().Area().Size().Y
	if f.Title != "" {
		style := Style{Size: Large, Bold: true}
		high -= float64(float64(len(Wrap(f.Title+" (continued)", style, f.Wide())))*style.Lead()) + 2
	}
	return high
}

// Y is where the flow stands, from the page's top.
func (f *Flow) Y() float64 { f.Page(); return f.y }

// Break goes on to a fresh page unless this one is still empty.
func (f *Flow) Break() { f.next() }

// Need goes to a fresh page where less than so much height is left.
func (f *Flow) Need(high float64) {
	if f.Left() < high {
		f.next()
	}
}

// Space leaves so much free.
func (f *Flow) Space(high float64) { f.Page(); f.y += high }

// Box takes a place of the flow's whole width for a picture, on this page or the next. What
// is higher than a page gets a page.
func (f *Flow) Box(high float64) plane.Box {
	f.Need(high)
	b := plane.Box{Min: plane.Point{X: f.area.Min.X, Y: f.y}, Max: plane.Point{X: f.area.Max.X, Y: min(f.y+high, f.area.Max.Y)}}
	f.y = b.Max.Y
	return b
}

func (f *Flow) line(text string, s Style, x float64) {
	f.page.Text(Label{Text: text, At: plane.Point{X: x, Y: f.y + float64(s.size()*ascent)}, Style: s})
	f.y += s.Lead()
}

// Heading writes a line over what follows, with some room for that below it.
func (f *Flow) Heading(text string) {
	style := Style{Size: 12 / perMM, Bold: true}
	f.Need(float64(style.Lead()*4) + 3)
	f.y += 3
	for _, l := range Wrap(text, style, f.Wide()) {
		f.line(l, style, f.area.Min.X)
	}
	f.y++
}

// Write writes a line, broken where it is wider than the flow.
func (f *Flow) Write(text string, s Style) {
	for _, l := range Wrap(text, s, f.Wide()) {
		f.Need(s.Lead())
		f.line(l, s, f.area.Min.X)
	}
}

// Para writes a paragraph.
func (f *Flow) Para(text string, s Style) {
	for _, l := range Wrap(text, s, f.Wide()) {
		f.Need(s.Lead())
		f.line(l, s, f.area.Min.X)
	}
	f.y++
}

// itemIndent is the room of an item's box or dash.
const itemIndent = 6.0

// ItemHigh is the height that an item takes.
func (f *Flow) ItemHigh(text string) float64 {
	return float64(float64(len(Wrap(text, Style{}, f.Wide()-itemIndent)))*Style{}.Lead()) + 0.8
}

// Item writes a paragraph behind a box to tick, or behind a dash where tick is false.
func (f *Flow) Item(text string, tick bool) {
	s := Style{}
	lines := Wrap(text, s, f.Wide()-itemIndent)
	if len(lines) <= 4 {
		f.Need(float64(float64(len(lines)) * s.Lead()))
	}
	for i, l := range lines {
		f.Need(s.Lead())
		if i == 0 {
			at := plane.Point{X: f.area.Min.X, Y: f.y + float64(s.size()*ascent)}
			if tick {
				f.page.Tick(at)
			} else {
				f.page.Text(Label{Text: "–", At: at, Style: s})
			}
		}
		f.line(l, s, f.area.Min.X+itemIndent)
	}
	f.y += 0.8
}

// tickSize is the side of a box to tick.
const tickSize = 3.2

// Tick draws a box to tick on a baseline.
func (p *Page) Tick(at plane.Point) {
	p.Outline(Thin, true, plane.RectAt(at.Add(plane.Point{Y: -tickSize + 0.4}), at.Add(plane.Point{X: tickSize, Y: 0.4})))
}
