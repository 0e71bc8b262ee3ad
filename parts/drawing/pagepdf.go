package drawing

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"image/color"
	"io"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"perch/parts/decimal"
	"perch/parts/plane"
)

// perMM is how many points, the unit of a PDF, make a mm.
const perMM = 72 / 25.4

// PDF writes the page as a PDF 1.4 document of one page. It is written here, not by
// a library, since it must be the same bytes every time: no date, no file names.
// Letters are drawn as shapes, so that no font is asked for.
func (p *Page) PDF(w io.Writer) error {
	content, err := p.content()
	if err != nil {
		return err
	}
	return writePDF(w, p.Wide, p.High, content)
}

// writePDF writes a page of mm with its drawing operators.
func writePDF(w io.Writer, wide, high float64, content []byte) error {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	if _, err := z.Write(content); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	objects := [][]byte{
		[]byte("<< /Type /Catalog /Pages 2 0 R >>"),
		[]byte("<< /Type /Pages /Kids [3 0 R] /Count 1 >>"),
		fmt.Appendf(nil, "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %s %s] /Resources << >> /Contents 4 0 R >>",
			decimal.Append(nil, wide*perMM, 3), decimal.Append(nil, high*perMM, 3)),
		append(append(fmt.Appendf(nil, "<< /Length %d /Filter /FlateDecode >>\nstream\n", packed.Len()), packed.Bytes()...), "\nendstream"...),
	}
	out := []byte("%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
	var at []int
	for i, o := range objects {
		at = append(at, len(out))
		out = fmt.Appendf(out, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	start := len(out)
	out = fmt.Appendf(out, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, a := range at {
		out = fmt.Appendf(out, "%010d 00000 n \n", a)
	}
	out = fmt.Appendf(out, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(objects)+1, start)
	_, err := w.Write(out)
	return err
}

// content is the page's drawing operators, in mm with y down by a map at the start.
func (p *Page) content() ([]byte, error) {
	c := newPDFContent(1, p.High)
	for _, m := range p.marks {
		c.colour(m.tone.colour(), m.wide > 0)
		for _, l := range m.loops {
			c.polyline(l, m.closed)
		}
		if m.wide == 0 {
			c.raw("f*\n")
			continue
		}
		c.numbers(m.wide)
		c.raw("w S\n")
	}
	for _, t := range p.words {
		loops, err := t.outlines()
		if err != nil {
			return nil, err
		}
		c.fill(t.tone.colour(), loops)
	}
	return c.buf, nil
}

// outlines are the letters as shapes.
func (t *words) outlines() ([][]plane.Point, error) {
	f, err := letters(t.bold)
	if err != nil {
		return nil, fmt.Errorf("reading the embedded font: %w", err)
	}
	em := fixed.I(int(f.UnitsPerEm()))
	scale := t.size / float64(f.UnitsPerEm()) / 64
	var buf sfnt.Buffer
	pen := t.at
	if t.middle {
		pen.X -= float64(TextWidth(t.content, t.size, t.bold) / 2)
	}
	var out [][]plane.Point
	for _, c := range t.content {
		index, err := f.GlyphIndex(&buf, c)
		if err != nil {
			return nil, fmt.Errorf("finding the letter %q: %w", c, err)
		}
		segments, err := f.LoadGlyph(&buf, index, em, nil)
		if err != nil {
			return nil, fmt.Errorf("loading the letter %q: %w", c, err)
		}
		out = append(out, glyphLoops(segments, pen, scale)...)
		pen.X += float64(advance(f, &buf, c, em) * scale)
	}
	return out, nil
}

type pdfContent struct{ buf []byte }

func (c *pdfContent) raw(s string) { c.buf = append(c.buf, s...) }

func (c *pdfContent) numbers(xs ...float64) {
	for _, x := range xs {
		c.buf = append(decimal.Append(c.buf, x, 3), ' ')
	}
}

// newPDFContent begins a page so many mm high, whose unit is a number of mm, with y down from
// its top.
func newPDFContent(unit, high float64) *pdfContent {
	c := &pdfContent{}
	for _, x := range [...]float64{unit * perMM, 0, 0, -unit * perMM, 0, high * perMM} {
		c.buf = append(decimal.Append(c.buf, x, 9), ' ')
	}
	c.raw("cm 1 j 1 J\n")
	return c
}

// fill paints the inside of loops, by parity.
func (c *pdfContent) fill(k color.RGBA, loops [][]plane.Point) {
	c.colour(k, false)
	for _, l := range loops {
		c.polyline(l, true)
	}
	c.raw("f*\n")
}

func (c *pdfContent) colour(k color.RGBA, stroke bool) {
	c.numbers(float64(k.R)/255, float64(k.G)/255, float64(k.B)/255)
	if stroke {
		c.raw("RG ")
	} else {
		c.raw("rg ")
	}
}

func (c *pdfContent) polyline(l []plane.Point, closed bool) {
	for i, a := range l {
		c.numbers(a.X, a.Y)
		if i == 0 {
			c.raw("m ")
		} else {
			c.raw("l ")
		}
	}
	if closed {
		c.raw("h ")
	}
}
