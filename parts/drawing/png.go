package drawing

import (
	"encoding/binary"
	"image"
	"image/color"
	"image/png"
	"io"

	"perch/parts/plane"
)

// A pixel of the PNG is one byte: a tint's row of the palette and the light in
// it, from ink through the tint's own colour in full light to white. Mixing the
// samples of a pixel is then adding their lights, and a picture of a hundred
// thousand bytes compresses in a millisecond or two.
const (
	levels    = 36 // in each tint
	fullLevel = 26 // the tint's own colour
	inkIndex  = 3
	shadeRow  = len(tints) // the greys: shadow, dimensions, text
	white     = uint8(shadeRow*levels + levels - 1)
	shadowIs  = uint8(shadeRow*levels + levels - 6)
	dimIs     = uint8(shadeRow*levels + 14)
	textIs    = uint8(shadeRow*levels + inkIndex)
)

var palette = newPalette(tints)

func newPalette(tints [len(tints)][3]float64) color.Palette {
	p := make(color.Palette, 0, (len(tints)+1)*levels)
	add := func(full [3]float64) {
		for level := range levels {
			var c [3]uint8
			for i, x := range full {
				if level <= fullLevel {
					x = x * float64(level) / fullLevel
				} else {
					k := float64(level-fullLevel) / (levels - 1 - fullLevel)
					x = float64(x*(1-k)) + float64(255*k)
				}
				c[i] = uint8(x + 0.5)
			}
			p = append(p, color.RGBA{c[0], c[1], c[2], 255})
		}
	}
	for _, t := range tints {
		add(t)
	}
	add([3]float64{222, 219, 211})
	return p
}

// PNG writes the picture as a PNG of its width and height in pixels.
func (p *Picture) PNG(w io.Writer) error {
	wide, high := int(p.Width), int(p.Height)
	r := newRaster(wide, high, white)
	for i := range p.shapes {
		r.shape(&p.shapes[i])
	}
	for _, l := range p.lines {
		r.line(l.from, l.to, edgeWidth, dimIs)
		if l.arrows {
			u, _ := unit(l.from, l.to)
			r.head(l.from, plane.Point{X: -u.X, Y: -u.Y})
			r.head(l.to, u)
		}
	}
	for _, t := range p.texts {
		if err := r.text(t, textIs); err != nil {
			return err
		}
	}
	img := image.NewPaletted(image.Rect(0, 0, wide, high), palette)
	r.mix(img.Pix)
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	return e.Encode(w, img)
}

func (r *raster) shape(s *shape) {
	if s.tint == shadowTint {
		r.fill(s.loops, shadowIs)
		return
	}
	row := s.tint % len(tints) * levels
	level := max(inkIndex, min(fullLevel, int(float64(s.light*1.06*fullLevel)+0.5)))
	r.fill(s.loops, uint8(row+level))
	for k, l := range s.loops {
		for i, a := range l {
			if s.drawn[k][i] {
				r.line(a, l[(i+1)%len(l)], edgeWidth, uint8(row+inkIndex))
			}
		}
	}
	for _, m := range s.marks {
		r.line(m.from, m.to, edgeWidth, uint8(row+inkIndex))
	}
}

func (r *raster) head(p, dir plane.Point) {
	const long, slim = 9.0, 1.6
	back := plane.Point{X: p.X - float64(dir.X*long), Y: p.Y - float64(dir.Y*long)}
	r.fill([][]plane.Point{{p, {X: back.X - float64(dir.Y*slim), Y: back.Y + float64(dir.X*slim)}, {X: back.X + float64(dir.Y*slim), Y: back.Y - float64(dir.X*slim)}}}, dimIs)
}

// mix makes each pixel of its samples: their mean light, in the tint that most
// differs from the background's. Most of a picture is of one colour, so eight
// pixels at a time are looked at first.
func (r *raster) mix(pix []uint8) {
	const together = 8
	wide := r.wide / fine
	for y := range r.high / fine {
		var rows [fine][]uint8
		for dy := range rows {
			rows[dy] = r.samples[(y*fine+dy)*r.wide : (y*fine+dy+1)*r.wide]
		}
		line := pix[y*wide : (y+1)*wide]
		for x := 0; x < wide; {
			if x+together <= wide && even(&rows, x*fine, together*fine) {
				fillSpan(line[x:x+together], rows[0][x*fine])
				x += together
				continue
			}
			for end := min(x+together, wide); x < end; x++ {
				line[x] = mixed(&rows, x*fine)
			}
		}
	}
}

// even reports whether n samples from x on, a multiple of 8, are one colour in all rows.
func even(rows *[fine][]uint8, x, n int) bool {
	all := uint64(rows[0][x]) * 0x0101010101010101
	for _, row := range rows {
		for i := x; i < x+n; i += 8 {
			if binary.LittleEndian.Uint64(row[i:]) != all {
				return false
			}
		}
	}
	return true
}

// mixed is the pixel whose samples start at x.
func mixed(rows *[fine][]uint8, x int) uint8 {
	sum, tint := 0, shadeRow
	for _, row := range rows {
		for _, v := range row[x : x+fine] {
			sum += int(v % levels)
			tint = min(tint, int(v/levels))
		}
	}
	const n = fine * fine
	return uint8(tint*levels + (sum+n/2)/n)
}
