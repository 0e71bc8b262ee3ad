package drawing

import (
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"perch/parts/plane"
)

// Page is a drawing on paper: shapes and words, one over the other, that come out
// the same as SVG, PDF and PNG. Lengths are mm, x to the right, y down.
type Page struct {
	Wide, High float64
	marks      []mark
	words      []pageWords
}

// Tone is a colour of a page: one of its hues, from black at light 0 through the
// hue itself at 1 to white at 2.
type Tone struct {
	Hue   Hue
	Light float64
}

// Hue is a colour of full strength.
type Hue uint8

// Hues. Where two meet in one spot of a PNG the one named first shows.
const (
	Red Hue = iota
	Orange
	Green
	Blue
	Steel
	Sand
	Grey
)

var pageTints = [len(tints)][3]float64{
	{196, 22, 46}, {206, 110, 20}, {58, 140, 72}, {84, 124, 170}, {196, 202, 208}, {222, 190, 148},
}

var pagePalette = newPalette(pageTints)

// entry is the tone's place in the palette.
func (t Tone) entry() uint8 {
	level := t.Light * fullLevel
	if t.Light > 1 {
		level = fullLevel + float64((t.Light-1)*(levels-1-fullLevel))
	}
	return uint8(int(t.Hue)*levels + max(0, min(levels-1, int(level+0.5))))
}

// mark is a filled shape, or a stroke where wide is above 0.
type mark struct {
	loops  [][]plane.Point
	closed bool
	wide   float64
	tone   Tone
}

type pageWords struct {
	words
	tone Tone
}

// Fill paints the inside of loops, by parity.
func (p *Page) Fill(t Tone, loops ...[]plane.Point) {
	p.marks = append(p.marks, mark{loops: loops, closed: true, tone: t})
}

// Stroke draws lines of a width, closed ones or open.
func (p *Page) Stroke(t Tone, wide float64, closed bool, lines ...[]plane.Point) {
	p.marks = append(p.marks, mark{loops: lines, closed: closed, wide: wide, tone: t})
}

// Text writes a line; at is the start, or the middle, of its baseline, size the
// height of the letters' body: capitals are 0.72 of it.
func (p *Page) Text(t Tone, at plane.Point, size float64, middle, bold bool, text string) {
	p.words = append(p.words, pageWords{words{text, at, middle, bold, size}, t})
}

// TextWidth is the width of a line on a page.
func TextWidth(text string, size float64, bold bool) float64 {
	f, err := letters(bold)
	if err != nil {
		return 0
	}
	em := fixed.I(int(f.UnitsPerEm()))
	var buf sfnt.Buffer
	var w float64
	for _, c := range text {
		w += advance(f, &buf, c, em)
	}
	return w * size / float64(f.UnitsPerEm()) / 64
}

func letters(b bool) (*sfnt.Font, error) {
	if b {
		return bold()
	}
	return regular()
}
