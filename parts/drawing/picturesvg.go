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
	nothing   = canvas.Paint{}
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

// SVG writes the picture as SVG, in pixels, by the canvas library's own renderer.
// Lettering is left to the viewer's sans-serif, as text that can be searched.
func (p *Picture) SVG(w io.Writer) error {
	var b bytes.Buffer
	r := svgcanvas.New(&b, p.Width, p.Height, &svgcanvas.Options{SizeUnits: "px"})
	d := &pictureSVG{r: r, flip: canvas.Identity.ReflectYAbout(p.Height / 2)}
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
		s.text(class, anchor, t.content, t.at, t.size, 0)
	}
	return s.buf
}

// pictureSVG draws in pixels, y down, on a canvas whose y is up.
type pictureSVG struct {
	r    *svgcanvas.SVG
	flip canvas.Matrix
}

func (d *pictureSVG) fill(loops [][]plane.Point, c color.RGBA, outline float64) {
	style := canvas.DefaultStyle
	style.Fill, style.FillRule = canvas.Paint{Color: c}, canvas.EvenOdd
	if outline > 0 {
		style.Stroke, style.StrokeWidth, style.StrokeJoiner = style.Fill, outline, canvas.RoundJoin
	}
	path := &canvas.Path{}
	for _, l := range loops {
		d.run(path, l)
		path.Close()
	}
	d.r.RenderPath(path, style, d.flip)
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
	style := canvas.DefaultStyle
	style.Fill, style.Stroke, style.StrokeWidth = nothing, canvas.Paint{Color: c}, edgeWidth
	style.StrokeCapper, style.StrokeJoiner = canvas.RoundCap, canvas.RoundJoin
	d.r.RenderPath(path, style, d.flip)
}

// edges strokes the runs of drawn edges of a shape, and what is marked on it, as one path.
func (d *pictureSVG) edges(sh shape) {
	path := &canvas.Path{}
	for k, l := range sh.loops {
		var run []plane.Point
		for i, q := range l {
			if !sh.drawn[k][i] {
				d.run(path, run)
				run = nil
				continue
			}
			if run == nil {
				run = append(run, q)
			}
			run = append(run, l[(i+1)%len(l)])
		}
		d.run(path, run)
	}
	for _, m := range sh.marks {
		d.run(path, []plane.Point{m.from, m.to})
	}
	if !path.Empty() {
		d.line(path, ink)
	}
}
