package reason

import (
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
	"sort"
	"strings"

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
	labelRoom                 = 34.0 // right of the panels, for the names of curves
	labelLine                 = 3.8
	legendWide                = 104 // letters
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
	high, right  float64
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
	p.right = plotWide - rightRoom
	if len(p.group) > 1 {
		p.right = plotWide - labelRoom
	}
	p.high = float64(float64(len(s.Of))*panelHigh) + float64(legendLine*float64(len(p.legend())+1))
	page := canvas.New(plotWide, p.high)
	p.ctx = canvas.NewContext(page)
	p.ctx.SetFillColor(color.White)
	p.ctx.SetStrokeColor(canvas.Transparent)
	p.ctx.DrawPath(0, 0, canvas.Rectangle(plotWide, p.high))
	for j := range s.Of {
		p.panel(j, p.high-float64(float64(j+1)*panelHigh))
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
		out = append(out, wrapped(fmt.Sprintf("× %d breaks %s", i+1, t), legendWide)...)
	}
	return out
}

// wrapped breaks a text into lines at spaces; a word longer than a line stays whole.
func wrapped(t string, wide int) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(t) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > wide {
			out, line = append(out, line), "   "
		}
		line = strings.TrimPrefix(line+" "+word, " ")
	}
	return append(out, line)
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
	xs := scaleOver(p.Axes[0].Show(p.Axes[0].Values[0]), p.Axes[0].Show(p.Axes[0].Values[len(p.Axes[0].Values)-1]), leftRoom, p.right)
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
		lo, hi = lo-max(1, float64(0.1*math.Abs(lo))), hi+max(1, float64(0.1*math.Abs(hi)))
	}
	pad := float64(0.04 * (hi - lo))
	low := pad
	if len(p.broken) > 0 { // marked on the axis, clear of the curves
		low = float64(3 * pad)
	}
	ys := scaleOver(lo-low, hi+pad, base+lowRoom, base+panelHigh-highRoom)
	for _, t := range xs.ticks(p.wholeAxis()) {
		p.stroke(pale, hair, [2]float64{xs.at(t), ys.b}, [2]float64{xs.at(t), ys.a})
		p.text(xs.at(t), base+lowRoom-4.5, tidy(t), canvas.Center, p.small)
	}
	for _, t := range ys.ticks(false) {
		p.stroke(pale, hair, [2]float64{xs.a, ys.at(t)}, [2]float64{xs.b, ys.at(t)})
		p.text(xs.a-2, ys.at(t)-1, tidy(t), canvas.Right, p.small)
	}
	p.stroke(ink, hair*2, [2]float64{xs.a, ys.b}, [2]float64{xs.a, ys.a}, [2]float64{xs.b, ys.a})
	p.text(xs.a, base+panelHigh-5, of[j], canvas.Left, p.face)
	p.text(xs.b, base+lowRoom-9, axes[0], canvas.Right, p.face)
	var ends []curveEnd
	told := map[[3]float64]bool{}
	for g, points := range p.group {
		if last := p.curve(j, g, points, xs, ys, told); last != [2]float64{} {
			ends = append(ends, curveEnd{g, last})
		}
	}
	if len(p.group) > 1 {
		p.label(ends, ys)
	}
}

// wholeAxis tells whether the first axis is of a count.
func (p *plotter) wholeAxis() bool {
	return p.Axes[0].Param != nil && p.Axes[0].Param.Param.Type.Name == "count"
}

// curveEnd is where a curve ends on the page.
type curveEnd struct {
	group int
	at    [2]float64
}

// label names the curves to the right of a panel, in the order in which they end
// there, no two names on one line.
func (p *plotter) label(ends []curveEnd, ys scale) {
	sort.SliceStable(ends, func(i, j int) bool { return ends[i].at[1] > ends[j].at[1] })
	if len(ends) > maxCurves {
		ends = ends[:maxCurves]
	}
	places := make([]float64, len(ends))
	for i, e := range ends {
		places[i] = e.at[1]
		if i > 0 {
			places[i] = min(places[i], places[i-1]-labelLine)
		}
	}
	for i := len(places) - 1; i >= 0; i-- { // those pushed below the panel come up again
		floor := ys.a
		if i < len(places)-1 {
			floor = places[i+1] + labelLine
		}
		places[i] = max(places[i], floor)
	}
	a := p.Axes[1]
	for i, e := range ends {
		c := curves[e.group%len(curves)]
		x := p.right + 3
		p.stroke(c, hair, [2]float64{e.at[0] + markSize, e.at[1]}, [2]float64{x, places[i]}, [2]float64{x + 2.5, places[i]})
		p.text(x+3.2, places[i]-1, fmt.Sprintf("%s %s%s", a.Param.Name, tidy(a.Show(a.Values[e.group])), a.Unit.Name), canvas.Left, p.small)
	}
}

// curve draws the points of one value of the second axis. What breaks a rule
// parts the line. It returns the last point drawn. told are the marks there already.
func (p *plotter) curve(j, g int, points []int, xs, ys scale, told map[[3]float64]bool) (last [2]float64) {
	c := curves[g%len(curves)]
	var run [][2]float64
	flush := func() {
		p.stroke(c, curveWide, run...)
		run = nil
	}
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
			n := p.brokenNumber[pt.Broken.String()]
			if mark := [3]float64{x, y, float64(n)}; !told[mark] {
				p.cross(x, y, n, x-xs.a < markSize)
				told[mark] = true
			}
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
	return last
}

// cross marks a point that breaks a rule with the rule's number above it, or beside it
// where the axis stands there.
func (p *plotter) cross(x, y float64, number int, onAxis bool) {
	p.stroke(alarm, curveWide, [2]float64{x - markSize, y - markSize}, [2]float64{x + markSize, y + markSize})
	p.stroke(alarm, curveWide, [2]float64{x - markSize, y + markSize}, [2]float64{x + markSize, y - markSize})
	switch {
	case number > maxPlotBreaks:
	case onAxis:
		p.text(x+markSize+0.4, y+0.5, fmt.Sprint(number), canvas.Left, p.small)
	default:
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

func (s scale) at(v float64) float64 { return s.a + float64((v-s.lo)/(s.hi-s.lo)*(s.b-s.a)) }

// ticks are round values, about five; of a count, whole ones.
func (s scale) ticks(whole bool) []float64 {
	raw := (s.hi - s.lo) / 5
	ten := math.Pow(10, math.Floor(math.Log10(raw)))
	steps := []float64{1, 2, 2.5, 5, 10}
	step := ten * steps[min(sort.SearchFloat64s(steps, raw/ten*(1-1e-9)), len(steps)-1)]
	if whole {
		step = max(1, math.Round(step))
	}
	var out []float64
	for k := math.Ceil(s.lo/step - 1e-9); k*step <= s.hi+float64(1e-9*step) && len(out) < 20; k++ {
		out = append(out, float64(k*step)+0) // no minus before nothing
	}
	return out
}
