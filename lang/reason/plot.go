package reason

import (
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
	"sort"

	"github.com/tdewolff/canvas"
	"github.com/tdewolff/canvas/renderers/rasterizer"
	svgcanvas "github.com/tdewolff/canvas/renderers/svg"
	"golang.org/x/image/font/gofont/goregular"

	"image/png"
)

// Sizes of a plot on the page, in mm.
const (
	plotWide, panelHigh       = 180.0, 70.0
	leftRoom, rightRoom       = 28.0, 8.0
	lowRoom, highRoom         = 16.0, 9.0
	legendLine                = 5.0
	textSize, smallSize       = 9.0, 8.0 // points
	plotDotsPerMM             = 8.0
	maxCurves, maxPlotBreaks  = 12, 8
	markSize, curveWide, hair = 1.1, 0.45, 0.15
)

var (
	ink   = color.RGBA{0x22, 0x22, 0x22, 0xff}
	pale  = color.RGBA{0xdd, 0xdd, 0xdd, 0xff}
	alarm = color.RGBA{0xc0, 0x20, 0x20, 0xff}
	// curves are told apart by lightness and hue, also by the colour-blind.
	curves = []color.RGBA{
		{0x1b, 0x4f, 0x8c, 0xff}, {0xd9, 0x82, 0x1e, 0xff}, {0x3a, 0x8f, 0x5a, 0xff}, {0x7a, 0x4a, 0x9c, 0xff},
		{0x8c, 0x6b, 0x3f, 0xff}, {0x4a, 0xa3, 0xb8, 0xff},
	}
)

// plotter draws one study.
type plotter struct {
	Study
	ctx          *canvas.Context
	high         float64
	face, small  *canvas.FontFace
	group        [][]int // points of each curve, by the first axis
	broken       []string
	brokenNumber map[string]int
}

// WritePlot draws a panel for each result over the first axis, a curve for each
// value of the second. Points that break a rule are crosses with the number of
// the rule below the panels.
func (s Study) WritePlot(w io.Writer, asPNG bool) error {
	switch {
	case len(s.Axes) > 2:
		return errors.New("a plot shows one or two names; the table holds any number")
	case len(s.Of) == 0:
		return errors.New("there is no result to plot")
	}
	font := canvas.NewFontFamily("plain")
	if err := font.LoadFont(goregular.TTF, 0, canvas.FontRegular); err != nil {
		return fmt.Errorf("cannot load the plot's letters: %w", err)
	}
	p := &plotter{Study: s, brokenNumber: map[string]int{}}
	p.face, p.small = font.Face(textSize, ink, canvas.FontRegular, canvas.FontNormal), font.Face(smallSize, ink, canvas.FontRegular, canvas.FontNormal)
	p.sort()
	p.high = float64(len(s.Of))*panelHigh + legendLine*float64(len(p.legend())+1)
	page := canvas.New(plotWide, p.high)
	p.ctx = canvas.NewContext(page)
	p.ctx.SetFillColor(color.White)
	p.ctx.SetStrokeColor(canvas.Transparent)
	p.ctx.DrawPath(0, 0, canvas.Rectangle(plotWide, p.high))
	for j := range s.Of {
		p.panel(j, p.high-float64(j+1)*panelHigh)
	}
	for i, t := range p.legend() {
		p.text(leftRoom, legendLine*float64(len(p.legend())-i), t, canvas.Left, p.small)
	}
	if asPNG {
		return png.Encode(w, rasterizer.Draw(page, canvas.DPMM(plotDotsPerMM), canvas.LinearColorSpace{}))
	}
	out := svgcanvas.New(w, plotWide, p.high, &svgcanvas.Options{EmbedFonts: false})
	page.RenderTo(out)
	return out.Close()
}

// sort gathers the points into curves and numbers what is broken.
func (p *plotter) sort() {
	n := 1
	if len(p.Axes) == 2 {
		n = len(p.Axes[1].Values)
	}
	p.group = make([][]int, n)
	for i, pt := range p.Points {
		p.group[i%n] = append(p.group[i%n], i)
		if t := pt.Broken.String(); t != "" && p.brokenNumber[t] == 0 {
			p.broken = append(p.broken, t)
			p.brokenNumber[t] = len(p.broken)
		}
	}
}

func (p *plotter) legend() []string {
	var out []string
	for i, t := range p.broken {
		if i == maxPlotBreaks {
			out = append(out, fmt.Sprintf("and %d more, in the table", len(p.broken)-i))
			break
		}
		if r := []rune(t); len(r) > 100 {
			t = string(r[:100]) + "…"
		}
		out = append(out, fmt.Sprintf("× %d breaks %s", i+1, t))
	}
	return out
}

func (p *plotter) text(x, y float64, t string, align canvas.TextAlign, face *canvas.FontFace) {
	p.ctx.SetFillColor(ink)
	p.ctx.SetStrokeColor(canvas.Transparent)
	line := canvas.NewTextLine(face, t, align)
	p.ctx.DrawText(x, y, line)
}

func (p *plotter) stroke(c color.RGBA, wide float64, pts ...[2]float64) {
	if len(pts) < 2 {
		return
	}
	path := &canvas.Path{}
	path.MoveTo(pts[0][0], pts[0][1])
	for _, q := range pts[1:] {
		path.LineTo(q[0], q[1])
	}
	p.ctx.SetFillColor(canvas.Transparent)
	p.ctx.SetStrokeColor(c)
	p.ctx.SetStrokeWidth(wide)
	p.ctx.DrawPath(0, 0, path)
}

// panel draws result j; its lower edge is at base.
func (p *plotter) panel(j int, base float64) {
	axes, of := p.heads()
	xs := scaleOver(p.Axes[0].Show(p.Axes[0].Values[0]), p.Axes[0].Show(p.Axes[0].Values[len(p.Axes[0].Values)-1]), leftRoom, plotWide-rightRoom)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, pt := range p.Points {
		if v, _ := p.reading(pt.Of[j]); !math.IsNaN(v) {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	if lo > hi {
		lo, hi = 0, 1
	}
	if hi-lo < 1e-9*max(1, math.Abs(hi)) { // a level line stands in the middle
		lo, hi = lo-max(1, 0.1*math.Abs(lo)), hi+max(1, 0.1*math.Abs(hi))
	}
	ys := scaleOver(lo, hi, base+lowRoom, base+panelHigh-highRoom)
	for _, t := range xs.ticks() {
		p.stroke(pale, hair, [2]float64{xs.at(t), ys.b}, [2]float64{xs.at(t), ys.a})
		p.text(xs.at(t), base+lowRoom-4.5, tidy(t), canvas.Center, p.small)
	}
	for _, t := range ys.ticks() {
		p.stroke(pale, hair, [2]float64{xs.a, ys.at(t)}, [2]float64{xs.b, ys.at(t)})
		p.text(xs.a-2, ys.at(t)-1, tidy(t), canvas.Right, p.small)
	}
	p.stroke(ink, hair*2, [2]float64{xs.a, ys.b}, [2]float64{xs.a, ys.a}, [2]float64{xs.b, ys.a})
	p.text(xs.a, base+panelHigh-5, of[j], canvas.Left, p.face)
	p.text(xs.b, base+lowRoom-9, axes[0], canvas.Right, p.face)
	for g, points := range p.group {
		p.curve(j, g, points, xs, ys)
	}
}

// curve draws the points of one value of the second axis. What breaks a rule
// parts the line.
func (p *plotter) curve(j, g int, points []int, xs, ys scale) {
	c := curves[g%len(curves)]
	var run [][2]float64
	flush := func() {
		p.stroke(c, curveWide, run...)
		run = nil
	}
	var last [2]float64
	for _, i := range points {
		pt := p.Points[i]
		x := xs.at(p.Axes[0].Show(pt.At[0]))
		v, _ := p.reading(pt.Of[j])
		y := ys.a
		if !math.IsNaN(v) {
			y = ys.at(v)
		}
		if pt.Broken != nil {
			flush()
			p.cross(x, y, p.brokenNumber[pt.Broken.String()])
			continue
		}
		if math.IsNaN(v) {
			flush()
			continue
		}
		last = [2]float64{x, y}
		run = append(run, last)
		p.ctx.SetFillColor(c)
		p.ctx.SetStrokeColor(canvas.Transparent)
		p.ctx.DrawPath(x, y, canvas.Circle(markSize*0.6))
	}
	flush()
	if len(p.group) > 1 && last != [2]float64{} && g < maxCurves {
		a := p.Axes[1]
		p.text(last[0]-1, last[1]+1, fmt.Sprintf("%s %s%s", a.Param.Name, tidy(a.Show(a.Values[g])), a.Unit.Name), canvas.Right, p.small)
	}
}

func (p *plotter) cross(x, y float64, number int) {
	p.stroke(alarm, curveWide, [2]float64{x - markSize, y - markSize}, [2]float64{x + markSize, y + markSize})
	p.stroke(alarm, curveWide, [2]float64{x - markSize, y + markSize}, [2]float64{x + markSize, y - markSize})
	if number <= maxPlotBreaks {
		p.text(x, y+markSize+0.6, fmt.Sprint(number), canvas.Center, p.small)
	}
}

// scale takes values from lo to hi to the page from a to b.
type scale struct{ lo, hi, a, b float64 }

func scaleOver(lo, hi, a, b float64) scale {
	if !(hi > lo) {
		lo, hi = lo-1, hi+1
	}
	return scale{lo, hi, a, b}
}

func (s scale) at(v float64) float64 { return s.a + (v-s.lo)/(s.hi-s.lo)*(s.b-s.a) }

// ticks are round values, about five.
func (s scale) ticks() []float64 {
	raw := (s.hi - s.lo) / 5
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	steps := []float64{1, 2, 2.5, 5, 10}
	step := ten * steps[min(sort.SearchFloat64s(steps, raw/ten*(1-1e-9)), len(steps)-1)]
	var out []float64
	for k := math.Ceil(s.lo/step - 1e-9); k*step <= s.hi+1e-9*step && len(out) < 20; k++ {
		out = append(out, k*step)
	}
	return out
}
