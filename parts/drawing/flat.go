package drawing

import (
	"fmt"
	"io"
	"math"

	"perch/parts/drawing/layout"
	"perch/parts/lettering"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/solver/elementary"
)

// FlatOptions of a flat.
type FlatOptions struct {
	Paper        measure.Paper // how the numbers in the text are written; the drawing is true to scale in any
	Design, Size string        // for the title; either may be empty
	Revision     string        // of the design; may be empty
}

// FlatSVG writes the blank as SVG, true to scale: one user unit is a millimetre.
// Each kind of line is a group with an id and class of its own (outside, inside,
// fold_up, fold_down, mark, u, label, dimension). Labels that find no free place are
// left out of the drawing; folds' are then listed below it. An arrow shows which way u
// runs on a face that hangs on an edge. It returns an error
// for a blank without outline or with numbers that are not finite.
func FlatSVG(w io.Writer, b *panel.Blank, opt FlatOptions) error {
	f := b.Flat
	if f == nil || len(f.Outer) < 2 {
		return fmt.Errorf("drawing blank %q: it has no outline", b.Name)
	}
	d := &flatDrawing{svg: svg{buf: make([]byte, 0, 16<<10), decimals: 4}, b: b, f: f, inner: layout.Openings(f), opt: opt}
	if err := layout.Check(f); err != nil {
		return fmt.Errorf("drawing blank %q: %w", b.Name, err)
	}
	d.measure()
	d.obstacles()
	title := d.title()
	d.open(title)
	d.outlines()
	d.folds()
	d.marks()
	d.labels()
	d.dimensions()
	d.titleBlock(title)
	d.raw("</svg>\n")
	_, err := w.Write(d.buf)
	return err
}

// Sizes on the page, mm.
const (
	marginLeft   = 19.0 // the height's dimension stands here
	marginTop    = 8.0
	marginRight  = 8.0
	marginBottom = 17.0 // the width's dimension
	dimOff       = 9.0  // dimension line to the blank
	dimText      = 3.2
	holeText     = 2.4
	foldText     = 2.8
	faceText     = 3.0
	titleText    = 3.2
	titleLine    = 5.2
	lineGap      = 0.7 // text to a line
	flatSag      = 0.3 // of chords that stand for arcs when room is sought
)

type flatDrawing struct {
	svg
	b      *panel.Blank
	f      *panel.Flat
	inner  []plane.Loop
	opt    FlatOptions
	box    plane.Box
	k      float64 // of all sizes on the page, see measure
	page   page
	unsaid []string // folds that found no place
	shown  []placed
	along  []block // arrows that show which way u runs on a hung face
}

// placed is a text with its place, kept until its group is written.
type placed struct {
	class, content string
	at             block
	size           float64
}

// measure also sets the scale of text and margins: large blanks are printed
// smaller or read from farther off, so their text grows with them, up to double.
func (d *flatDrawing) measure() {
	d.box = d.f.Outer.Bounds()
	size := d.size()
	d.k = min(2, max(1, math.Sqrt(max(size.X, size.Y)/200)))
}

// sized is a size on the page, scaled for this blank.
func (d *flatDrawing) sized(mm float64) float64 { return float64(d.k * mm) }

// at takes a flat point to the page, y down.
func (d *flatDrawing) at(p plane.Point) plane.Point {
	return plane.Point{X: p.X - d.box.Min.X + d.sized(marginLeft), Y: d.box.Max.Y - p.Y + d.sized(marginTop)}
}

func (d *flatDrawing) size() plane.Point { return d.box.Size() }

func (d *flatDrawing) open(title []string) {
	wide := d.size().X + d.sized(marginLeft+marginRight)
	for _, s := range title {
		wide = math.Max(wide, textWidth(s, d.sized(titleText))+d.sized(2*marginTop))
	}
	high := d.size().Y + d.sized(marginTop+marginBottom+float64(float64(len(title))*titleLine)+4)
	d.raw(`<svg xmlns="http://www.w3.org/2000/svg" width="`)
	in := d.opt.Paper.System
	d.num(wide / in.Scale())
	d.raw(in.Unit(), `" height="`)
	d.num(high / in.Scale())
	d.raw(in.Unit(), `" viewBox="0 0 `)
	d.pair(plane.Point{X: wide, Y: high})
	d.raw("\">\n<title>")
	d.escaped(d.b.Name)
	d.raw("</title>\n", flatStyle)
}

const flatStyle = `<style>
path,circle{fill:none;stroke:#1d1d1b;stroke-width:.25;stroke-linecap:round;stroke-linejoin:round}
.outside path,.outside circle{fill:#f3f1ec;stroke-width:.4}
.inside path,.inside circle{fill:#fff;stroke-width:.3}
.fold_up path{stroke:#0f7a68;stroke-width:.35;stroke-dasharray:6 1.5 1 1.5}
.fold_down path{stroke:#a8431c;stroke-width:.35;stroke-dasharray:4 1.5}
.mark path{stroke:#77736b}
.mark .sight{stroke-width:.15;stroke-dasharray:1 1}
.mark .marked{stroke:#1d1d1b}
.mark .bead{stroke-width:.5;stroke:#a9a59c}
.dimension path{stroke:#4d4a45;stroke-width:.18}
.dimension .head{fill:#4d4a45;stroke:none}
.u path{stroke:#8d887e}
.u .head{fill:#8d887e;stroke:none}
text{font-family:sans-serif;fill:#1d1d1b}
.up{fill:#0f7a68}
.down{fill:#a8431c}
.face{fill:#8d887e;font-style:italic}
.strong{font-weight:bold}
</style>
`

// group writes <g> with the layer's name around what body writes.
func (d *flatDrawing) group(name string, body func()) {
	d.raw(`<g id="`, name, `" class="`, name, "\">\n")
	body()
	d.raw("</g>\n")
}

func (d *flatDrawing) outlines() {
	d.group("outside", func() { d.outline(d.b.Contour(), true) })
	d.group("inside", func() {
		for _, l := range d.inner {
			d.outline(l, true)
		}
	})
}

// outline writes a loop with its arcs as arcs, a full circle as a circle.
func (d *flatDrawing) outline(l plane.Loop, closed bool) {
	if c, r, ok := layout.Circle(l); ok && closed {
		c = d.at(c)
		d.raw("<circle")
		d.attr("cx", c.X)
		d.attr("cy", c.Y)
		d.attr("r", r)
		d.raw("/>\n")
		return
	}
	d.raw(`<path d="`)
	d.pathData(l, closed)
	d.raw("\"/>\n")
}

func (d *flatDrawing) pathData(l plane.Loop, closed bool) {
	if len(l) == 0 {
		return
	}
	d.raw("M")
	d.pair(d.at(l[0].P))
	for i, v := range l {
		if i+1 == len(l) && !closed {
			return
		}
		to := l[(i+1)%len(l)].P
		switch {
		case v.Bulge != 0:
			d.arc(v.P, to, v.Bulge)
		case i+1 < len(l):
			d.raw("L")
			d.pair(d.at(to))
		}
	}
	d.raw("Z")
}

// arc writes the edge to b. Radius from chord c and bulge: c·(1 + b²)/(4·|b|).
// Counter-clockwise in the flat is sweep 0 on a page with y down.
func (d *flatDrawing) arc(a, b plane.Point, bulge float64) {
	_, chord := unit(a, b)
	r := chord * (1 + float64(bulge*bulge)) / (4 * math.Abs(bulge))
	d.raw("A")
	d.pair(plane.Point{X: r, Y: r})
	large, sweep := "0", "0"
	if math.Abs(bulge) > 1 {
		large = "1"
	}
	if bulge < 0 {
		sweep = "1"
	}
	d.raw(" 0 ", large, " ", sweep, " ")
	d.pair(d.at(b))
}

// obstacles takes every line that is drawn, before any text looks for its place.
func (d *flatDrawing) obstacles() {
	d.takePath(layout.Polyline(d.b.Contour(), flatSag), true)
	for _, l := range d.inner {
		if c, r, ok := layout.Circle(l); ok {
			d.page.take(block{d.at(c), plane.Point{X: 1}, r, r})
			continue
		}
		d.takePath(layout.Polyline(l, flatSag), true)
	}
	for _, s := range d.f.Folds {
		d.page.take(lineBlock(d.at(s.From), d.at(s.To)))
		if s.Sight[0] != s.Sight[1] {
			d.page.take(lineBlock(d.at(s.Sight[0]), d.at(s.Sight[1])))
		}
	}
	for _, p := range d.b.Punched() {
		d.page.take(block{d.at(p), plane.Point{X: 1}, panel.PunchMark, panel.PunchMark})
	}
	for _, m := range d.f.Marks {
		if m.Kind == panel.MarkText {
			d.page.take(d.markText(m))
			continue
		}
		d.takePath(layout.OpenPolyline(m.Path, flatSag), m.Closed)
	}
	for _, p := range d.f.Points {
		for _, s := range layout.Strokes(p) {
			d.page.take(lineBlock(d.at(s[0]), d.at(s[1])))
		}
	}
}

func (d *flatDrawing) takePath(pts []plane.Point, closed bool) {
	for i, p := range pts {
		if i+1 == len(pts) && !closed {
			return
		}
		d.page.take(lineBlock(d.at(p), d.at(pts[(i+1)%len(pts)])))
	}
}

func (d *flatDrawing) markText(m panel.FlatMark) block {
	p := d.at(m.At)
	u := plane.Point{X: m.Dir.X, Y: -m.Dir.Y}
	half, rise := lettering.Width(m.Text, m.Height)/2, m.Height*0.6
	lift := 0.5 * m.Height // the letters' middle over the baseline
	return block{plane.Point{X: p.X + float64(u.X*half) + float64(u.Y*lift), Y: p.Y + float64(u.Y*half) - float64(u.X*lift)}, u, half, rise}
}

func (d *flatDrawing) folds() {
	for _, down := range []bool{false, true} {
		name := map[bool]string{false: "fold_up", true: "fold_down"}[down]
		d.group(name, func() {
			for _, s := range d.f.Folds {
				if s.Down == down {
					d.line("fold", d.at(s.From), d.at(s.To))
				}
			}
		})
	}
}

func (d *flatDrawing) marks() {
	d.group("mark", func() {
		for _, s := range d.f.Folds {
			if s.Sight[0] != s.Sight[1] {
				d.line("sight", d.at(s.Sight[0]), d.at(s.Sight[1]))
			}
		}
		for _, m := range d.f.Marks {
			if m.Kind == panel.MarkText {
				d.letters(m)
				continue
			}
			class := "scribed"
			if m.Kind == panel.MarkBead {
				class = "bead"
			}
			d.raw(`<path class="`, class, `" d="`)
			d.pathData(m.Path, m.Closed)
			d.raw("\"/>\n")
		}
		for _, p := range d.f.Points {
			for _, s := range layout.Strokes(p) {
				d.line(string(p.Kind), d.at(s[0]), d.at(s[1]))
			}
		}
		for _, p := range d.b.Punched() {
			d.outline(plane.Circle(2*panel.PunchMark).Transform(plane.Translate(p)), true)
		}
	})
}

// letters draws marked text as it is scribed, in single strokes.
func (d *flatDrawing) letters(m panel.FlatMark) {
	d.raw("<path class=\"marked\" d=\"")
	for _, s := range lettering.Strokes(m.Text, m.Height, m.At, m.Dir) {
		for i := range s {
			s[i] = d.at(s[i])
		}
		d.polyline(s, false)
	}
	d.raw("\"><title>")
	d.escaped(m.Text)
	d.raw("</title></path>\n")
}

func degrees(v plane.Point) float64 { return elementary.Atan2(v.Y, v.X) * 180 / math.Pi }

// dimensions writes the overall width below and the height on the left.
func (d *flatDrawing) dimensions() {
	lo, hi := d.at(d.box.Min), d.at(d.box.Max) // lo is below hi on the page
	k, off := d.sized(1), d.sized(dimOff)
	d.group("dimension", func() {
		y := lo.Y + off
		d.dimension(plane.Point{X: lo.X, Y: y}, plane.Point{X: hi.X, Y: y})
		d.line("ext", plane.Point{X: lo.X, Y: lo.Y + d.sized(2)}, plane.Point{X: lo.X, Y: y + d.sized(2)})
		d.line("ext", plane.Point{X: hi.X, Y: lo.Y + d.sized(2)}, plane.Point{X: hi.X, Y: y + d.sized(2)})
		d.text("dim", "middle", d.opt.Paper.Size(d.size().X), plane.Point{X: (lo.X + hi.X) / 2, Y: y - k}, d.sized(dimText), 0)
		x := lo.X - off
		d.dimension(plane.Point{X: x, Y: lo.Y}, plane.Point{X: x, Y: hi.Y})
		d.line("ext", plane.Point{X: lo.X - d.sized(2), Y: lo.Y}, plane.Point{X: x - d.sized(2), Y: lo.Y})
		d.line("ext", plane.Point{X: lo.X - d.sized(2), Y: hi.Y}, plane.Point{X: x - d.sized(2), Y: hi.Y})
		d.text("dim", "middle", d.opt.Paper.Size(d.size().Y), plane.Point{X: x - k, Y: (lo.Y + hi.Y) / 2}, d.sized(dimText), -90)
	})
}

func (d *flatDrawing) dimension(a, b plane.Point) {
	u, n := unit(a, b)
	size := math.Min(d.sized(2.6), n/3)
	d.line("dim", a, b)
	d.arrow(a, plane.Point{X: -u.X, Y: -u.Y}, size)
	d.arrow(b, u, size)
}
