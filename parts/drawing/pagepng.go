package drawing

import (
	"image"
	"image/png"
	"io"

	"perch/parts/plane"
)

// PNG writes the page with so many pixels to the mm.
func (p *Page) PNG(w io.Writer, perMM float64) error {
	wide, high := int(p.Wide*perMM), int(p.High*perMM)
	r := newRaster(wide, high, white)
	var scaled [][]plane.Point
	for _, m := range p.marks {
		scaled = scaled[:0]
		for _, l := range m.loops {
			q := make([]plane.Point, len(l))
			for i, a := range l {
				q[i] = plane.Point{X: float64(a.X * perMM), Y: float64(a.Y * perMM)}
			}
			scaled = append(scaled, q)
		}
		if m.wide == 0 {
			r.fill(scaled, m.tone.entry())
			continue
		}
		for _, l := range scaled {
			for i := 0; i+1 < len(l); i++ {
				r.line(l[i], l[i+1], m.wide*perMM, m.tone.entry())
			}
			if m.closed && len(l) > 2 {
				r.line(l[len(l)-1], l[0], m.wide*perMM, m.tone.entry())
			}
		}
	}
	for _, t := range p.words {
		s := t.words
		s.at = plane.Point{X: float64(s.at.X * perMM), Y: float64(s.at.Y * perMM)}
		s.size *= perMM
		if err := r.text(s, t.tone.entry()); err != nil {
			return err
		}
	}
	img := image.NewPaletted(image.Rect(0, 0, wide, high), pagePalette)
	r.mix(img.Pix)
	e := png.Encoder{CompressionLevel: png.DefaultCompression}
	return e.Encode(w, img)
}
