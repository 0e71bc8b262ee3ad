package paper

import (
	"math"

	"perch/parts/plane"
)

// Page is a sheet under way. What is drawn later lies over what was drawn before, but for
// text, which lies over all.
type Page struct {
	Sheet    Sheet
	Title    Title
	Bookmark string // in the document's list of bookmarks; "": none
	Level    int    // of the bookmark: 0 is the top one
	Bare     bool   // no frame, title block or bar: what is drawn is all there is

	shapes []shape
	texts  []text
	room   room
	framed bool
}

// shape is a path that is filled, drawn with a pen, or both.
type shape struct {
	loops  []plane.Loop // on the page, y down
	closed bool
	pen    *Pen
	fill   *Ink
}

// Anchor is the part of a line of text that stands at its point.
type Anchor uint8

// Anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Label is a line of text at a place on its baseline.
type Label struct {
	Text   string
	At     plane.Point
	Style  Style
	Anchor Anchor
	Rising bool // it runs up the page, read from the right
}

type text struct {
	Label
	drawn string // as spelled
	block block
}

// along is the direction of the line, and up that of its letters, as unit vectors.
func (l Label) along() plane.Point {
	if l.Rising {
		return plane.Point{Y: -1}
	}
	return plane.Point{X: 1}
}

// start is where the line's baseline begins.
func (l Label) start() plane.Point {
	back := 0.0
	switch l.Anchor {
	case Middle:
		back = l.Style.Width(l.Text) / 2
	case End:
		back = l.Style.Width(l.Text)
	}
	return l.At.Sub(l.along().Scale(back))
}

// block is what the line takes of the page, from the top of the highest letters to the
// bottom of the lowest.
func (l Label) block() block {
	size, w := l.Style.size(), l.Style.Width(l.Text)
	u := l.along()
	rise := float64(size*(ascent+descent)) / 2
	lift := float64(size*(ascent-descent)) / 2 // of the block's middle over the baseline
	c := l.start().Add(u.Scale(w / 2)).Add(plane.Point{X: u.Y, Y: -u.X}.Scale(lift))
	return block{c, u, w / 2, rise}
}

// Box is what the line takes of the page.
func (l Label) Box() plane.Box { return l.block().box() }

// On is the label with its letters' middle at a point, for text in a circle or beside a line.
func (l Label) On(p plane.Point) Label {
	l.Anchor = Middle
	drop := float64(l.Style.size()*0.7227) / 2
	u := l.along()
	l.At = p.Add(plane.Point{X: -u.Y, Y: u.X}.Scale(drop))
	return l
}

// Line draws a line.
func (p *Page) Line(pen Pen, a, b plane.Point) { p.Polyline(pen, false, a, b) }

// Polyline draws lines from point to point, back to the first where it is closed.
func (p *Page) Polyline(pen Pen, closed bool, pts ...plane.Point) {
	if len(pts) < 2 {
		return
	}
	l := make(plane.Loop, len(pts))
	for i, q := range pts {
		l[i].P = q
	}
	p.Outline(pen, closed, l)
}

// Outline draws paths with true arcs. An arc's bulge is as in the flat, seen on a page with
// y down: take paths there by an affine map that turns y over.
func (p *Page) Outline(pen Pen, closed bool, loops ...plane.Loop) {
	p.shapes = append(p.shapes, shape{loops: loops, closed: closed, pen: &pen})
	for _, l := range loops {
		p.takeLoop(l, closed, pen.Width)
	}
}

// Fill paints what loops enclose, by parity. Text may lie on it.
func (p *Page) Fill(ink Ink, loops ...plane.Loop) {
	p.shapes = append(p.shapes, shape{loops: loops, closed: true, fill: &ink})
}

// Sketch draws lines of a picture whose place is reserved as a whole: no text is kept off
// the lines themselves.
func (p *Page) Sketch(pen Pen, closed bool, loops ...plane.Loop) {
	p.shapes = append(p.shapes, shape{loops: loops, closed: closed, pen: &pen})
}

// FillPoints paints a polygon.
func (p *Page) FillPoints(ink Ink, pts ...plane.Point) {
	l := make(plane.Loop, len(pts))
	for i, q := range pts {
		l[i].P = q
	}
	p.Fill(ink, l)
}

// Solid paints what loops enclose where no text may lie on it.
func (p *Page) Solid(ink Ink, loops ...plane.Loop) {
	p.Fill(ink, loops...)
	for _, l := range loops {
		p.takeLoop(l, true, 0)
	}
}

// curveSag is how far, in mm, a chord may lie off its arc where room is sought.
const curveSag = 0.1

func (p *Page) takeLoop(l plane.Loop, closed bool, wide float64) {
	for i := range l {
		if i+1 == len(l) && !closed {
			return
		}
		e := l.Edge(i)
		if e.Straight() {
			p.room.take(lineBlock(e.From, e.To, wide), -1)
			continue
		}
		n := 1
		if r := e.Radius(); r > curveSag {
			n = max(1, int(math.Ceil(math.Abs(e.Sweep())/(2*math.Sqrt(2*curveSag/r)))))
		}
		from := e.From
		for k := 1; k <= n; k++ {
			to := e.PointAt(float64(k) / float64(n))
			p.room.take(lineBlock(from, to, wide), -1)
			from = to
		}
	}
}

// Reserve keeps text out of a box: a picture stands there.
func (p *Page) Reserve(b plane.Box) { p.room.take(boxBlock(b), -1) }

// Free tells whether nothing is drawn yet in a box.
func (p *Page) Free(b plane.Box) bool { return p.room.meet(boxBlock(b), -1) < 0 }

// Text writes a line.
func (p *Page) Text(l Label) {
	if l.Text == "" {
		return
	}
	p.texts = append(p.texts, text{l, spelled(l.Text), l.block()})
	p.room.take(l.block(), len(p.texts)-1)
}

// How far text keeps from what is there already, in mm: across the line, and before and behind
// it, where less would read as one word.
const (
	clear  = 0.3
	beside = 1.0
)

// Place writes the first of the labels that meets nothing, and tells which; −1: none.
func (p *Page) Place(labels ...Label) int {
	for i, l := range labels {
		if p.Fits(l) {
			p.Text(l)
			return i
		}
	}
	return -1
}

// Fits tells whether a label would meet nothing that is drawn, nor leave the frame.
func (p *Page) Fits(l Label) bool {
	b := l.block().grown(clear)
	b.half += beside - clear
	in, box := p.Sheet.inside(), b.box()
	return box.Min.X >= in.Min.X && box.Max.X <= in.Max.X && box.Min.Y >= in.Min.Y && box.Max.Y <= in.Max.Y && p.room.meet(b, -1) < 0
}

// ClearOfText tells whether a line from a to b would meet no text.
func (p *Page) ClearOfText(a, b plane.Point) bool {
	l := lineBlock(a, b, clear)
	p.room.near = p.room.places.Near(l.box(), p.room.near[:0])
	for _, i := range p.room.near {
		if p.room.of[i] >= 0 && p.room.taken[i].meets(l) {
			return false
		}
	}
	return true
}

// Arrow draws a line with a slim head at its end b.
func (p *Page) Arrow(pen Pen, a, b plane.Point, head float64) {
	u := b.Sub(a).Unit()
	p.Line(pen, a, b.Sub(u.Scale(head/2)))
	p.Head(pen.Ink, b, u, head)
}

// Head paints an arrow's head with its tip at a point, pointing along the unit vector u.
func (p *Page) Head(ink Ink, tip, u plane.Point, size float64) {
	const slim = 0.18
	back, side := tip.Sub(u.Scale(size)), u.Perp().Scale(float64(size*slim))
	p.Solid(ink, plane.Loop{{P: tip}, {P: back.Add(side)}, {P: back.Sub(side)}})
}

// Clash is a text that lies over something else, or off the paper.
type Clash struct {
	Text string
	Over string // the other text; "": a line or a picture, or the paper's edge
	At   plane.Point
}

// Clashes lists every text of the page that lies on another text or on a line. Labels set
// by Place never do; a page that is drawn by fixed places may.
func (p *Page) Clashes() []Clash {
	var out []Clash
	edge := plane.Box{Max: plane.Point{X: p.Sheet.Wide, Y: p.Sheet.High}}
	for i, t := range p.texts {
		// Descenders and accents may touch: what counts is the letters' own height.
		b := t.block
		b.rise = float64(b.rise * 0.85)
		box := b.box()
		k := p.room.meet(b, i)
		switch {
		case k >= 0 && p.room.of[k] > i, box.Min.X >= edge.Min.X && box.Min.Y >= edge.Min.Y && box.Max.X <= edge.Max.X && box.Max.Y <= edge.Max.Y && k < 0:
			continue // the other text tells it, or all is well
		case k < 0 || p.room.of[k] < 0:
			out = append(out, Clash{Text: t.drawn, At: b.centre})
		default:
			out = append(out, Clash{Text: t.drawn, Over: p.texts[p.room.of[k]].drawn, At: b.centre})
		}
	}
	return out
}

// Lacking are the signs on the page that the fonts have no letter for. They are drawn by
// their numbers, U+6F22.
func (p *Page) Lacking() []rune {
	var all []rune
	for _, t := range p.texts {
		all = append(all, []rune(t.Text)...)
	}
	return Lacking(string(all))
}

// Written are the page's lines of text, in the order they were written.
func (p *Page) Written() []string {
	out := make([]string, len(p.texts))
	for i, t := range p.texts {
		out[i] = t.drawn
	}
	return out
}
