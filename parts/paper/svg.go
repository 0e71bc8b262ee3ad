package paper

import (
	"fmt"
	"io"
	"math"
	"unicode/utf8"

	"perch/parts/decimal"
	"perch/parts/plane"
)

// SVG writes the page as a picture, a user unit a millimetre. Letters are text in a font
// that the reader has; each line is held to the width that it was laid out with.
func (p *Page) SVG(w io.Writer) error { return (&Document{Pages: []*Page{p}}).SVG(w) }

// apart is between the pages of a picture of several, mm.
const apart = 5.0

// SVG writes the pages one below the other as one picture.
func (d *Document) SVG(w io.Writer) error {
	if len(d.Pages) == 0 {
		return fmt.Errorf("a document without a page can't be drawn")
	}
	d.Finish()
	wide, high := 0.0, -apart
	for i, p := range d.Pages {
		if err := p.finite(); err != nil {
			return fmt.Errorf("page %d: %w", i+1, err)
		}
		wide, high = max(wide, p.Sheet.Wide), high+p.Sheet.High+apart
	}
	s := &picture{}
	s.raw(`<svg xmlns="http://www.w3.org/2000/svg" width="`)
	s.num(wide)
	s.raw(`mm" height="`)
	s.num(high)
	s.raw(`mm" viewBox="0 0 `)
	s.pair(plane.Point{X: wide, Y: high})
	s.raw("\">\n<title>")
	s.escaped(d.Pages[0].Title.Blank)
	s.raw("</title>\n")
	top := 0.0
	for _, p := range d.Pages {
		s.page(p, top)
		top += p.Sheet.High + apart
	}
	s.raw("</svg>\n")
	_, err := w.Write(s.buf)
	return err
}

// page draws a page so far down.
func (s *picture) page(p *Page, top float64) {
	s.raw("<g")
	if top > 0 {
		s.raw(` transform="translate(0 `)
		s.num(top)
		s.raw(`)"`)
	}
	s.raw(">\n<rect width=\"")
	s.num(p.Sheet.Wide)
	s.raw(`" height="`)
	s.num(p.Sheet.High)
	s.raw("\" fill=\"#fff\"/>\n<g fill=\"none\" stroke-linejoin=\"round\">\n")
	for _, q := range p.shapes {
		s.shape(q)
	}
	s.raw("</g>\n<g font-family=\"Go, Liberation Sans, Arial, sans-serif\">\n")
	for _, t := range p.texts {
		s.text(t)
	}
	s.raw("</g>\n</g>\n")
}

type picture struct{ buf []byte }

func (s *picture) raw(parts ...string) {
	for _, p := range parts {
		s.buf = append(s.buf, p...)
	}
}

func (s *picture) num(x float64) { s.buf = decimal.Append(s.buf, x, 3) }

func (s *picture) pair(p plane.Point) {
	s.num(p.X)
	s.buf = append(s.buf, ' ')
	s.num(p.Y)
}

func (s *picture) ink(name string, i Ink) {
	const hex = "0123456789abcdef"
	s.raw(" ", name, `="#`)
	for _, b := range [...]uint8{i.R, i.G, i.B} {
		s.buf = append(s.buf, hex[b>>4], hex[b&15])
	}
	s.raw(`"`)
}

func (s *picture) shape(q shape) {
	s.raw("<path")
	if q.fill != nil {
		s.ink("fill", *q.fill)
		s.raw(` fill-rule="evenodd"`)
	}
	if q.pen != nil {
		s.ink("stroke", q.pen.Ink)
		s.raw(` stroke-width="`)
		s.num(q.pen.Width)
		s.raw(`"`)
		if len(q.pen.Dash) > 0 {
			s.raw(` stroke-dasharray="`)
			for _, d := range q.pen.Dash {
				s.num(d)
				s.raw(" ")
			}
			s.raw(`"`)
		}
	}
	s.raw(` d="`)
	for _, l := range q.loops {
		s.loop(l, q.closed)
	}
	s.raw("\"/>\n")
}

func (s *picture) loop(l plane.Loop, closed bool) {
	if len(l) == 0 {
		return
	}
	s.raw("M")
	s.pair(l[0].P)
	for i := range l {
		if i+1 == len(l) && !closed {
			return
		}
		e := l.Edge(i)
		switch {
		case !e.Straight():
			s.arc(e)
		case i+1 < len(l):
			s.raw("L")
			s.pair(e.To)
		}
	}
	s.raw("Z")
}

// arc writes an edge as a true arc, halved where it is more than half a turn.
func (s *picture) arc(e plane.Edge) {
	if math.Abs(e.Bulge) > 1 {
		a, b := e.Split(0.5)
		s.arc(a)
		s.arc(b)
		return
	}
	sweep := "0"
	if e.Bulge > 0 {
		sweep = "1"
	}
	s.raw("A")
	s.pair(plane.Point{X: e.Radius(), Y: e.Radius()})
	s.raw(" 0 0 ", sweep, " ")
	s.pair(e.To)
}

func (s *picture) text(t text) {
	s.raw("<text")
	at := t.start()
	if t.Rising {
		s.raw(` transform="translate(`)
		s.pair(at)
		s.raw(`) rotate(-90)"`)
	} else {
		s.raw(` x="`)
		s.num(at.X)
		s.raw(`" y="`)
		s.num(at.Y)
		s.raw(`"`)
	}
	s.raw(` font-size="`)
	s.num(t.Style.size())
	s.raw(`"`)
	if t.Style.Bold {
		s.raw(` font-weight="bold"`)
	}
	s.ink("fill", t.Style.Ink)
	s.raw(` textLength="`)
	s.num(t.Style.Width(t.Text))
	s.raw(`" lengthAdjust="spacingAndGlyphs">`)
	s.escaped(t.drawn)
	s.raw("</text>\n")
}

// escaped writes text for an element; signs that XML 1.0 forbids become U+FFFD.
func (s *picture) escaped(text string) {
	for _, r := range text {
		switch {
		case r == '&':
			s.raw("&amp;")
		case r == '<':
			s.raw("&lt;")
		case r == '>':
			s.raw("&gt;")
		case r < ' ', r == 0xfffe, r == 0xffff:
			s.buf = utf8.AppendRune(s.buf, utf8.RuneError)
		default:
			s.buf = utf8.AppendRune(s.buf, r)
		}
	}
}
