package papers_test

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
)

// On a page rastered with 300 dots to the inch the bar is as long as it says, and three known
// distances of the drawing are within 0.2 mm: its edges apart, both ways, and a hole to an edge. A plate
// and a cap with flaps, a gusset at full size, inches, a large blank and one that lies aslant, on several
// papers.
func TestDrawingsAreToScale(t *testing.T) {
	asked(t, "pdftoppm")
	for _, c := range []struct {
		file, blank string
		sheet       paper.Sheet
		edge        [2]float64  // of the height and the width, that its outermost edges are long
		hole        plane.Point // from the outline's lower left corner, by hand; 0: none is looked for
	}{
		{file: "tutorial/2_bends", blank: "key_shelf", sheet: paper.A4, edge: [2]float64{0.8, 0.8}, hole: plane.Point{X: 30}},
		{file: "tutorial/2_bends", blank: "key_shelf", sheet: paper.Letter, edge: [2]float64{0.8, 0.8}, hole: plane.Point{X: 30}},
		{file: "stool/stool", blank: "cap", sheet: paper.A3, edge: [2]float64{0.6, 0.6}},
		{file: "inch_stool/inch_stool", blank: "cap", sheet: paper.A4, edge: [2]float64{0.6, 0.6}},
		{file: "stool/stool", blank: "gusset", sheet: paper.A4, edge: [2]float64{0.4, 0.4}},
		{file: "locker/locker", blank: "half", sheet: paper.A4, edge: [2]float64{0.8, 0.8}},
		{file: "locker/locker", blank: "foot", sheet: paper.A4, edge: [2]float64{0.5, 0.5}},
	} {
		t.Run(filepath.Base(c.file)+" "+c.blank+" "+c.sheet.Name, func(t *testing.T) {
			j := opened(t, filepath.Join(examples, c.file+".perch"))
			j.Sheet = c.sheet
			j.Sizes = build.Sizes(j.Program)[:1]
			results, _ := j.Results()
			r := results[0]
			i := slices.IndexFunc(r.Assembly.Blanks, func(b *panel.Blank) bool { return b.Name == c.blank })
			doc, err := j.Drawing(r, r.Assembly.Blanks[i:i+1])
			if err != nil {
				t.Fatal(err)
			}
			toScale(t, doc, r.Assembly.Blanks[i].Flat.Outer, c.edge, c.hole)
		})
	}
}

func toScale(t *testing.T, doc *paper.Document, outer plane.Loop, edge [2]float64, hole plane.Point) {
	g := gray(t, saved(t, doc))
	page := doc.Pages[0]
	bar, long := page.BarAt(), paper.BarLong(page.Title.Ruler)
	if page.Title.Ruler == measure.Inches && long != 101.6 {
		t.Errorf("the bar of 4 in is %g mm long", long)
	}
	// The bar's ends are lines of 4 mm; below the frame's own, which are longer.
	left, right := g.column(bar.X-2, bar.X+2, bar.Y-3.6, bar.Y-1.8), g.column(bar.X+long-2, bar.X+long+2, bar.Y-3.6, bar.Y-1.8)
	near(t, "the bar", right-left, long)

	scale := scaleOf(t, page.Title.Scale)
	w, h := sides(outer, page)
	// The outermost edges are the thickest upright lines over most of its height.
	thick := g.uprights(h / scale * edge[0])
	if len(thick) < 2 {
		t.Fatalf("upright edges at %v, scale %g", thick, scale)
	}
	first, last := thick[0], thick[len(thick)-1]
	near(t, "the width", last-first, w/scale)
	level := g.levels(first, last, w/scale*edge[1])
	over, under := g.extent(first) // the outline reaches no farther beyond it than it is higher
	rest := max(0, h/scale-(under-over)) + 1
	level = slices.DeleteFunc(level, func(y float64) bool { return y < over-rest || y > under+rest })
	if len(level) < 2 {
		t.Fatalf("level edges at %v", level)
	}
	top, low := level[0], level[len(level)-1]
	near(t, "the height", low-top, h/scale)
	if hole.X == 0 {
		return
	}
	x := first + hole.X/scale
	near(t, "a hole to the edge", g.column(x-2.5, x+2.5, top+1, low-1)-first, hole.X/scale)
}

// scaleOf reads n of 1:n.
func scaleOf(t *testing.T, name string) float64 {
	t.Helper()
	a, b, _ := strings.Cut(name, ":")
	m, err := strconv.ParseFloat(a, 64)
	n, err2 := strconv.ParseFloat(b, 64)
	if err != nil || err2 != nil {
		t.Fatalf("the scale %q", name)
	}
	return n / m
}

// sides are those of the outline as it lies on its page: as drawn, or where the page says that it is
// turned, of the rectangle around it along the edge that is at that angle.
func sides(outer plane.Loop, page *paper.Page) (w, h float64) {
	turned := 0.0
	for _, text := range page.Written() {
		if _, rest, ok := strings.Cut(text, "turned by "); ok {
			turned, _ = strconv.ParseFloat(rest[:strings.Index(rest, "°")], 64)
		}
	}
	box := outer.Bounds()
	if turned == 0 {
		return box.Size().X, box.Size().Y
	}
	best := plane.Point{X: math.Inf(1)}
	for _, e := range outer.Edges() {
		u := e.To.Sub(e.From).Unit()
		a := math.Mod(math.Abs(math.Atan2(u.Y, u.X))*180/math.Pi, 90)
		if math.Abs(a-turned) > 0.06 && math.Abs(90-a-turned) > 0.06 {
			continue
		}
		if math.Abs(u.X) < math.Abs(u.Y) {
			u = plane.Point{X: u.Y, Y: -u.X}
		}
		around := plane.EmptyBox()
		for _, v := range outer {
			around = around.With(plane.Point{X: v.P.Dot(u), Y: u.Cross(v.P)})
		}
		if s := around.Size(); s.X*s.Y < best.X*max(best.Y, 1) {
			best = s
		}
	}
	return best.X, best.Y
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 0.2 {
		t.Errorf("%s measures %.2f mm on paper, not %.2f", what, got, want)
	}
}

// raster is a page in grey, 300 dots to the inch.
type raster struct {
	wide, high int
	dots       []byte
}

const (
	dotMM     = 25.4 / 300
	frameDots = 142 // the first 12 mm from an edge: margin and frame
)

func gray(t *testing.T, pdf string) raster {
	t.Helper()
	out := referee(t, "pdftoppm", "-r", "300", "-gray", "-f", "1", "-l", "1", pdf)
	var r raster
	var most int
	if _, err := fmt.Fscanf(bytes.NewReader(out), "P5\n%d %d\n%d\n", &r.wide, &r.high, &most); err != nil {
		t.Fatal(err)
	}
	r.dots = out[len(out)-r.wide*r.high:]
	return r
}

func (r raster) dark(x, y int) bool { return r.dots[y*r.wide+x] < 100 }

// column is where, between two x, most is dark between two y: the middle of the best run, in mm.
func (r raster) column(x0, x1, y0, y1 float64) float64 {
	best, sum, n := 0, 0, 0
	for x := int(x0 / dotMM); x <= int(x1/dotMM); x++ {
		count := 0
		for y := int(y0 / dotMM); y <= int(y1/dotMM); y++ {
			if r.dark(x, y) {
				count++
			}
		}
		if count > best {
			best, sum, n = count, 0, 0
		}
		if count == best && best > 0 {
			sum += x
			n++
		}
	}
	return (float64(sum)/float64(max(n, 1)) + 0.5) * dotMM
}

// uprights are the middles of thick upright lines at least so long inside the frame, in mm.
func (r raster) uprights(long float64) []float64 {
	return r.lines(r.wide, func(x int) (run int) {
		best := 0
		for y := frameDots; y < r.high-frameDots; y++ {
			if run++; !r.dark(x, y) {
				run = 0
			}
			best = max(best, run)
		}
		return best
	}, long)
}

// extent is where the longest dark run of a column begins and ends, in mm.
func (r raster) extent(x float64) (top, low float64) {
	run, best := 0, 0
	for y := range r.high {
		if run++; !r.dark(int(x/dotMM), y) {
			run = 0
		}
		if run > best {
			best, top, low = run, float64(y-run)*dotMM, float64(y)*dotMM
		}
	}
	return top, low
}

// levels are those of level lines between two x.
func (r raster) levels(x0, x1, long float64) []float64 {
	return r.lines(r.high, func(y int) int {
		run, best := 0, 0
		for x := int(x0 / dotMM); x < int(x1/dotMM); x++ {
			if run++; !r.dark(x, y) {
				run = 0
			}
			best = max(best, run)
		}
		return best
	}, long)
}

// lines are the middles of bands of 5 dots and more, the visible edges' 0.5 mm, of which each
// has a run of dark dots as long as asked for; those of the frame at the margins are left out.
func (r raster) lines(n int, run func(int) int, long float64) []float64 {
	var out []float64
	first := -1
	for i := frameDots; i < n-frameDots; i++ {
		dark := float64(run(i))*dotMM >= long && float64(run(i))*dotMM < long*1.6
		switch {
		case dark && first < 0:
			first = i
		case !dark && first >= 0:
			if i-first >= 5 {
				out = append(out, (float64(first+i)/2)*dotMM)
			}
			first = -1
		}
	}
	return slices.Clip(out)
}
