package drawing

import (
	"bytes"
	"image/color"
	"io"

	"github.com/tdewolff/canvas"
	svgcanvas "github.com/tdewolff/canvas/renderers/svg"

	"perch/parts/decimal"
	"perch/parts/plane"
)

// tints are the stocks' colours in full light, in the order the stocks appear:
// bare sheet, then paints that print apart.
var tints = [...][3]float64{
	{226, 224, 216}, {176, 197, 206}, {222, 190, 148}, {186, 204, 168}, {214, 178, 176}, {196, 186, 210},
}

var (
	ink       = color.RGBA{0x2b, 0x2a, 0x28, 255}
	dimInk    = color.RGBA{0x6d, 0x6a, 0x63, 255}
	shadowInk = color.RGBA{0xe9, 0xe6, 0xdf, 255}
)

const (
	inkLevel  = 0.17 // of full light
	edgeWidth = 0.8  // pixels
)

// colour of a tint under light.
func colour(tint int, light float64) color.RGBA {
	var c [3]uint8
	for i, x := range tints[tint%len(tints)] {
		c[i] = uint8(max(0, min(255, int(float64(x*min(1, light*1.06))+0.5))))
	}
	return color.RGBA{c[0], c[1], c[2], 255}
}

// SVG writes the picture as SVG, in pixels, with paths as the canvas library simplifies them.
// Lettering is left to the viewer's sans-serif, as text that can be searched.
func (p *Picture) SVG(w io.Writer) error {
	var b bytes.Buffer
	r := svgcanvas.New(&b, p.Width, p.Height, &svgcanvas.Options{SizeUnits: "px"})
	d := &pictureSVG{w: &b}
	d.fill([][]plane.Point{{{}, {X: p.Width}, {X: p.Width, Y: p.Height}, {Y: p.Height}}}, color.RGBA{255, 255, 255, 255}, 0)
	for _, sh := range p.shapes {
		if sh.tint == shadowTint {
			d.fill(sh.loops, shadowInk, edgeWidth)
			continue
		}
		// the outline in the fill's own colour closes the seams between pieces
		d.fill(sh.loops, colour(sh.tint, sh.light), 0.5)
		d.edges(sh)
	}
	for _, l := range p.lines {
		d.stroke([]plane.Point{l.from, l.to}, dimInk)
		if l.arrows {
			u, _ := unit(l.from, l.to)
			d.fill([][]plane.Point{arrowHead(l.from, plane.Point{X: -u.X, Y: -u.Y}, 9)}, dimInk, 0)
			d.fill([][]plane.Point{arrowHead(l.to, u, 9)}, dimInk, 0)
		}
	}
	b.Write(p.lettering())
	if err := r.Close(); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// lettering is the picture's text.
func (p *Picture) lettering() []byte {
	s := &svg{decimals: 2}
	s.raw("<style>text{font-family:sans-serif;fill:#2b2a28}.strong{font-weight:bold}</style>\n")
	for _, t := range p.texts {
		class, anchor := "note", "start"
		if t.bold {
			class = "strong"
		}
		if t.middle {
			anchor = "middle"
		}
		s.text(class, anchor, t.content, t.at, t.size)
	}
	return s.buf
}

// pictureSVG draws in pixels, y down. It writes paths itself, byte for byte as the canvas
// library's renderer does: that one prints every number by a format, and most of a picture
// is numbers.
type pictureSVG struct {
	w   *bytes.Buffer
	buf []byte
}

func (d *pictureSVG) fill(loops [][]plane.Point, c color.RGBA, outline float64) {
	path := &canvas.Path{}
	for _, l := range loops {
		d.run(path, l)
		path.Close()
	}
	paint := canvas.CSSColor(c).String()
	d.data(path)
	switch {
	case outline > 0:
		d.buf = append(d.buf, `" style="`...)
		if c != canvas.Black { // which is what is taken
			d.buf = append(append(append(d.buf, "fill:"...), paint...), ';')
		}
		d.buf = append(append(append(d.buf, "fill-rule:evenodd;stroke:"...), paint...), ";stroke-width:"...)
		d.number(outline)
		d.buf = append(d.buf, ";stroke-linejoin:round"...)
	case c != canvas.Black:
		d.buf = append(append(append(d.buf, `" fill="`...), paint...), `" fill-rule="evenodd`...)
	default:
		d.buf = append(d.buf, `" fill-rule="evenodd`...)
	}
	d.end()
}

// data begins a path with where it goes.
func (d *pictureSVG) data(path *canvas.Path) {
	d.buf = append(d.buf[:0], `<path d="`...)
	if b := path.FastBounds(); max(b.X1, b.Y1, -b.X0, -b.Y0) >= 1000 { // has a form of its own
		d.buf = append(d.buf, path.ToSVG()...)
		return
	}
	for s := path.Scanner(); s.Scan(); {
		from, to := s.Start(), s.End()
		switch s.Cmd() {
		case canvas.MoveToCmd:
			d.point('M', to)
		case canvas.LineToCmd:
			switch same := canvas.Equal(to.X, from.X); {
			case same && canvas.Equal(to.Y, from.Y):
			case same:
				d.buf = append(d.buf, 'V')
				d.number(to.Y)
			case canvas.Equal(to.Y, from.Y):
				d.buf = append(d.buf, 'H')
				d.number(to.X)
			default:
				d.point('L', to)
			}
		case canvas.CloseCmd:
			d.buf = append(d.buf, 'z')
		}
	}
}

func (d *pictureSVG) point(command byte, p canvas.Point) {
	d.buf = append(d.buf, command)
	d.number(p.X)
	d.buf = append(d.buf, ' ')
	d.number(p.Y)
}

// number writes a number below 1000, to a hundredth, without a zero before its point.
func (d *pictureSVG) number(x float64) {
	from := len(d.buf)
	d.buf = decimal.Append(d.buf, x, 2)
	if d.buf[from] == '-' {
		from++
	}
	if len(d.buf) > from+1 && d.buf[from] == '0' {
		d.buf = append(d.buf[:from], d.buf[from+1:]...)
	}
}

func (d *pictureSVG) end() {
	d.buf = append(d.buf, `"/>`...)
	d.w.Write(d.buf)
}

// run adds a run of straight edges, its points rounded to a hundredth of a pixel.
func (d *pictureSVG) run(path *canvas.Path, pts []plane.Point) {
	for i, q := range pts {
		x, y := decimal.Round(q.X, 2), decimal.Round(q.Y, 2)
		if i == 0 {
			path.MoveTo(x, y)
		} else {
			path.LineTo(x, y)
		}
	}
}

func (d *pictureSVG) stroke(pts []plane.Point, c color.RGBA) {
	path := &canvas.Path{}
	d.run(path, pts)
	d.line(path, c)
}

func (d *pictureSVG) line(path *canvas.Path, c color.RGBA) {
	d.data(path)
	d.buf = append(append(append(d.buf, `" style="fill:none;stroke:`...), canvas.CSSColor(c).String()...), ";stroke-width:"...)
	d.number(edgeWidth)
	d.buf = append(d.buf, ";stroke-linecap:round;stroke-linejoin:round"...)
	d.end()
}

// edges strokes the runs of drawn edges of a shape, and what is marked on it, as one path.
func (d *pictureSVG) edges(sh shape) {
	path := &canvas.Path{}
	for _, run := range sh.runs() {
		d.run(path, run)
	}
	if !path.Empty() {
		d.line(path, ink)
	}
}

// runs are the lines of a shape: the stretches of its loops that are drawn, and its marks.
func (sh *shape) runs() (out [][]plane.Point) {
	for k, l := range sh.loops {
		var run []plane.Point
		for i, q := range l {
			if !sh.drawn[k][i] {
				out = append(out, run)
				run = nil
				continue
			}
			if run == nil {
				run = append(run, q)
			}
			run = append(run, l[(i+1)%len(l)])
		}
		out = append(out, run)
	}
	for _, m := range sh.marks {
		out = append(out, []plane.Point{m.from, m.to})
	}
	return out
}
