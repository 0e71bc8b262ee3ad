package drawing

import (
	"fmt"
	"image/color"
	"io"

	"perch/parts/plane"
)

// colour is the tone as the palette has it.
func (t Tone) colour() color.RGBA { return pagePalette[t.entry()].(color.RGBA) }

func (t Tone) hex() string {
	c := t.colour()
	return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
}

// SVG writes the page, true to its size. Words stay text, held to their width.
func (p *Page) SVG(w io.Writer) error {
	s := &svg{decimals: 2}
	s.raw(`<svg xmlns="http://www.w3.org/2000/svg"`)
	s.raw(` width="`)
	s.num(p.Wide)
	s.raw(`mm" height="`)
	s.num(p.High)
	s.raw(`mm" viewBox="0 0 `)
	s.num(p.Wide)
	s.raw(" ")
	s.num(p.High)
	s.raw("\" font-family=\"sans-serif\">\n<rect width=\"100%\" height=\"100%\" fill=\"#ffffff\"/>\n")
	for _, m := range p.marks {
		s.raw(`<path d="`)
		for _, l := range m.loops {
			s.polyline(l, m.closed)
		}
		if m.wide == 0 {
			s.raw(`" fill="`, m.tone.hex(), "\" fill-rule=\"evenodd\"/>\n")
			continue
		}
		s.raw(`" fill="none" stroke="`, m.tone.hex(), `" stroke-linejoin="round"`)
		s.attr("stroke-width", m.wide)
		s.raw("/>\n")
	}
	for _, t := range p.words {
		s.raw("<text")
		s.attr("x", t.at.X)
		s.attr("y", t.at.Y)
		s.attr("font-size", t.size)
		s.attr("textLength", TextWidth(t.content, t.size, t.bold))
		s.raw(` lengthAdjust="spacingAndGlyphs" fill="`, t.tone.hex(), `"`)
		if t.middle {
			s.raw(` text-anchor="middle"`)
		}
		if t.bold {
			s.raw(` font-weight="bold"`)
		}
		s.raw(">")
		s.escaped(t.content)
		s.raw("</text>\n")
	}
	s.raw("</svg>\n")
	_, err := w.Write(s.buf)
	return err
}

func (s *svg) polyline(l []plane.Point, closed bool) {
	for i, a := range l {
		if i == 0 {
			s.raw("M")
		} else {
			s.raw("L")
		}
		s.pair(a)
	}
	if closed {
		s.raw("Z")
	}
}
