package drawing

import (
	"fmt"
	"sync"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"perch/parts/plane"
)

// The PNG's letters are the Go fonts (BSD licence, embedded in the font module):
// Latin, Greek and Cyrillic; other signs show the font's empty box. They are read
// when a PNG first needs them.
var (
	regular = sync.OnceValues(func() (*sfnt.Font, error) { return sfnt.Parse(goregular.TTF) })
	bold    = sync.OnceValues(func() (*sfnt.Font, error) { return sfnt.Parse(gobold.TTF) })
)

// text paints a line of text.
func (r *raster) text(t words, value uint8) error {
	font := regular
	if t.bold {
		font = bold
	}
	f, err := font()
	if err != nil {
		return fmt.Errorf("reading the embedded font: %w", err)
	}
	// Glyphs are loaded at their design size, so that no hinting or rounding at a
	// pixel size comes in.
	em := fixed.I(int(f.UnitsPerEm()))
	scale := t.size / float64(f.UnitsPerEm()) / 64
	var buf sfnt.Buffer
	pen := t.at
	if t.middle {
		width := 0.0
		for _, c := range t.content {
			width += float64(advance(f, &buf, c, em) * scale)
		}
		pen.X -= float64(width / 2)
	}
	for _, c := range t.content {
		index, err := f.GlyphIndex(&buf, c)
		if err != nil {
			return fmt.Errorf("finding the letter %q: %w", c, err)
		}
		segments, err := f.LoadGlyph(&buf, index, em, nil)
		if err != nil {
			return fmt.Errorf("loading the letter %q: %w", c, err)
		}
		r.fill(glyphLoops(segments, pen, scale), value)
		pen.X += float64(advance(f, &buf, c, em) * scale)
	}
	return nil
}

func advance(f *sfnt.Font, buf *sfnt.Buffer, c rune, em fixed.Int26_6) float64 {
	index, err := f.GlyphIndex(buf, c)
	if err != nil {
		return 0
	}
	a, err := f.GlyphAdvance(buf, index, em, 0)
	if err != nil {
		return 0
	}
	return float64(a)
}

// glyphLoops takes a glyph's contours to the page; its curves, all quadratic in
// these fonts, become four chords each.
func glyphLoops(segments sfnt.Segments, pen plane.Point, scale float64) [][]plane.Point {
	at := func(p fixed.Point26_6) plane.Point {
		return plane.Point{X: pen.X + float64(float64(p.X)*scale), Y: pen.Y + float64(float64(p.Y)*scale)}
	}
	var loops [][]plane.Point
	var loop []plane.Point
	for _, s := range segments {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			if len(loop) > 2 {
				loops = append(loops, loop)
			}
			loop = []plane.Point{at(s.Args[0])}
		case sfnt.SegmentOpLineTo:
			loop = append(loop, at(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			a, b, c := loop[len(loop)-1], at(s.Args[0]), at(s.Args[1])
			const chords = 4
			for i := 1; i <= chords; i++ {
				k := float64(float64(i) / chords)
				u, v, w := float64((1-k)*(1-k)), float64(2*k*(1-k)), float64(k*k)
				loop = append(loop, plane.Point{
					X: float64(u*a.X) + float64(v*b.X) + float64(w*c.X),
					Y: float64(u*a.Y) + float64(v*b.Y) + float64(w*c.Y),
				})
			}
		case sfnt.SegmentOpCubeTo:
			loop = append(loop, at(s.Args[2]))
		}
	}
	if len(loop) > 2 {
		loops = append(loops, loop)
	}
	return loops
}
