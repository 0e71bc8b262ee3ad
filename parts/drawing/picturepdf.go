package drawing

import (
	"image/color"
	"io"

	"perch/parts/plane"
)

// pixelMM is how large, in mm, a picture's pixel is on paper: its width of 640 goes on A4 and
// on Letter.
const pixelMM = 0.28

// PDF writes the picture as a PDF 1.4 document of one page that is as large as the picture,
// 0.28 mm to the pixel. Letters are shapes; the bytes are the same every time.
func (p *Picture) PDF(w io.Writer) error {
	high := p.Height * pixelMM
	c := newPDFContent(pixelMM, high)
	c.fill(color.RGBA{255, 255, 255, 255}, [][]plane.Point{{{}, {X: p.Width}, {X: p.Width, Y: p.Height}, {Y: p.Height}}})
	for i := range p.shapes {
		sh := &p.shapes[i]
		paint, seam := shadowInk, edgeWidth
		if sh.tint != shadowTint {
			paint, seam = colour(sh.tint, sh.light), 0.5
		}
		c.fill(paint, sh.loops)
		c.lines(paint, seam, true, sh.loops) // closes the seams between pieces
		if sh.tint != shadowTint {
			c.lines(ink, edgeWidth, false, sh.runs())
		}
	}
	for _, l := range p.lines {
		c.lines(dimInk, edgeWidth, false, [][]plane.Point{{l.from, l.to}})
		if l.arrows {
			u, _ := unit(l.from, l.to)
			c.fill(dimInk, [][]plane.Point{arrowHead(l.from, plane.Point{X: -u.X, Y: -u.Y}, 9), arrowHead(l.to, u, 9)})
		}
	}
	for i := range p.texts {
		loops, err := p.texts[i].outlines()
		if err != nil {
			return err
		}
		c.fill(ink, loops)
	}
	return writePDF(w, float64(p.Width*pixelMM), high, c.buf)
}

// lines draws lines of a width, closed ones or open; no line draws nothing.
func (c *pdfContent) lines(k color.RGBA, wide float64, closed bool, lines [][]plane.Point) {
	any := false
	for _, l := range lines {
		if len(l) == 0 {
			continue
		}
		if !any {
			c.colour(k, true)
			c.numbers(wide)
			c.raw("w ")
			any = true
		}
		c.polyline(l, closed)
	}
	if any {
		c.raw("S\n")
	}
}
