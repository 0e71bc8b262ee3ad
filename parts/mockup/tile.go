package mockup

import (
	"fmt"
	"math"
	"strconv"

	"perch/parts/paper"
	"perch/parts/plane"
)

const (
	overlap  = 10.0 // mm that neighbouring pages have in common
	maxTiles = 100  // pages for one piece: more are not glued together straight
	register = 4.0  // diameter of a register mark
)

// TilesError says that a piece would take too many pages.
type TilesError struct {
	Piece  string
	Across int // pages
	Down   int
	Sheet  string
	Scale  Scale
	Enough Scale // the largest of the usual scales at which it takes few enough; zero: none
}

func (e *TilesError) Error() string {
	s := fmt.Sprintf("at %v %s takes %d × %d pages of %s; at most %d are put together", e.Scale, e.Piece, e.Across, e.Down, e.Sheet, maxTiles)
	if e.Enough != (Scale{}) {
		s += fmt.Sprintf(": take %v, or larger paper", e.Enough)
	}
	return s
}

// grid is a piece on several pages.
type grid struct {
	piece  *piece
	name   string // of its pages: a letter for the first of several grids, then theirs
	box    plane.Box
	cell   plane.Point
	nx, ny int
	used   []bool // by row from the top, then column
}

// newGrid lays pages over a piece, its middle on theirs.
func newGrid(p *piece, live plane.Box, sheet string, scale Scale) (*grid, error) {
	g := &grid{piece: p, cell: live.Size().Sub(plane.Point{X: overlap, Y: overlap})}
	b := p.region.Bounds()
	size := b.Size()
	count := func(x, cell float64) int { return max(1, int(math.Ceil(x/cell-1e-9))) }
	g.nx, g.ny = count(size.X, g.cell.X), count(size.Y, g.cell.Y)
	if size.X/g.cell.X*size.Y/g.cell.Y > 1e6 || g.nx*g.ny > maxTiles {
		e := &TilesError{Piece: p.name, Across: g.nx, Down: g.ny, Sheet: sheet, Scale: scale}
		for k := scale.Factor(); k > smallestScale; k *= 0.99 { // the count falls with the scale
			if f := k / scale.Factor(); count(size.X*f, g.cell.X)*count(size.Y*f, g.cell.Y) <= maxTiles {
				e.Enough, _ = smallerUsual(k)
				break
			}
		}
		return nil, e
	}
	half := plane.Point{X: float64(g.cell.X * float64(g.nx) / 2), Y: float64(g.cell.Y * float64(g.ny) / 2)}
	g.box = plane.Box{Min: b.Center().Sub(half), Max: b.Center().Add(half)}
	for row := range g.ny {
		for col := range g.nx {
			c := g.cellBox(col, row).Grow(overlap / 2)
			g.used = append(g.used, plane.Intersect(p.region, plane.Region{plane.RectAt(c.Min, c.Max)}).Area() > 0)
		}
	}
	return g, nil
}

// cellBox is the part of the piece on a page, without what it has in common with others.
func (g *grid) cellBox(col, row int) plane.Box {
	min := plane.Point{X: g.box.Min.X + float64(float64(col)*g.cell.X), Y: g.box.Max.Y - float64(float64(row+1)*g.cell.Y)}
	return plane.Box{Min: min, Max: min.Add(g.cell)}
}

func (g *grid) has(col, row int) bool {
	return col >= 0 && row >= 0 && col < g.nx && row < g.ny && g.used[row*g.nx+col]
}

// pages is how many there are.
func (g *grid) pages() int {
	n := 0
	for _, u := range g.used {
		if u {
			n++
		}
	}
	return n
}

// tile is a page's name: columns by letters, rows by numbers, B3.
func (g *grid) tile(col, row int) string {
	s := ""
	for c := col; ; c = c/26 - 1 {
		s = string(rune('A'+c%26)) + s
		if c < 26 {
			break
		}
	}
	return s + strconv.Itoa(row+1)
}

// draw puts a page's part of the piece on it, live its free area.
func (g *grid) draw(c *canvas, live plane.Box, col, row int) {
	cell := g.cellBox(col, row)
	in := plane.Box{Min: live.Min.Add(plane.Point{X: overlap / 2, Y: overlap / 2}), Max: live.Max.Sub(plane.Point{X: overlap / 2, Y: overlap / 2})}
	to := plane.Affine{A: 1, D: -1, E: in.Min.X - cell.Min.X, F: in.Min.Y + cell.Max.Y}
	p := g.piece
	window := plane.Region{plane.RectAt(live.Min, live.Max)}
	for _, l := range p.shaded {
		for _, part := range plane.Intersect(plane.Region{positive(l)}.Transform(to), window) {
			c.page.Fill(paper.Pale, part)
		}
	}
	for _, l := range p.lines {
		clipped(c.page, l.pen, l.pts, l.closed, to, live)
	}
	for _, l := range p.cut {
		clipped(c.page, paper.Visible, plane.Flatten(l, sag), true, to, live)
	}
	g.register(c, in, col, row)
	c.tileName(p.name+", "+g.tile(col, row), plane.Intersect(p.region.Transform(to), plane.Region{plane.RectAt(in.Min, in.Max)}), in)
	for _, s := range p.signs {
		if at := s.place.Transform(to); in.Holds(at.Bounds().Center()) {
			at = plane.Intersect(at, window)
			c.sign(s, at, plane.Intersect(p.region.Transform(to), window))
		}
	}
	for _, r := range p.remarks {
		a, b := to.Apply(r.from), to.Apply(r.to)
		if k, ok := in.Chord(a, b.Sub(a).Unit()); ok && a != b {
			long := b.Dist(a)
			k.From, k.To = math.Max(0, k.From), math.Min(long, k.To)
			if k.Len() > long/4 || k.Len() > 40 {
				c.remark(r.text, a.Lerp(b, k.From/long), a.Lerp(b, k.To/long))
			}
		} else if ok && in.Holds(a) {
			c.remark(r.text, a, b)
		}
	}
}

// clipped draws what of a line lies in a box.
func clipped(page *paper.Page, pen paper.Pen, pts []plane.Point, closed bool, to plane.Affine, in plane.Box) {
	var run []plane.Point
	flush := func() {
		if len(run) > 1 {
			page.Polyline(pen, false, run...)
		}
		run = nil
	}
	n := len(pts)
	if !closed {
		n--
	}
	for i := range n {
		a, b := to.Apply(pts[i]), to.Apply(pts[(i+1)%len(pts)])
		long := a.Dist(b)
		if long == 0 {
			continue
		}
		k, ok := in.Chord(a, b.Sub(a).Scale(1/long))
		if !ok || k.To <= 0 || k.From >= long {
			flush()
			continue
		}
		p, q := a.Lerp(b, math.Max(0, k.From)/long), a.Lerp(b, math.Min(long, k.To)/long)
		if len(run) == 0 || !run[len(run)-1].Near(p, 1e-9) {
			flush()
			run = append(run, p)
		}
		run = append(run, q)
		if k.To < long {
			flush()
		}
	}
	flush()
}

// register draws the marks at a page's four corners, which lie on those of its neighbours,
// the lines between them where there is a neighbour, and its name.
func (g *grid) register(c *canvas, in plane.Box, col, row int) {
	corners := [4]plane.Point{in.Min, {X: in.Max.X, Y: in.Min.Y}, in.Max, {X: in.Min.X, Y: in.Max.Y}}
	for _, q := range corners {
		c.page.Outline(paper.Thin, true, plane.Circle(register).Transform(plane.Translate(q)))
		for _, d := range [2]plane.Point{{X: register}, {Y: register}} {
			c.page.Line(paper.Thin, q.Sub(d), q.Add(d))
		}
	}
	sides := [4][2]int{{0, -1}, {1, 0}, {0, 1}, {-1, 0}}
	for i, d := range sides {
		if !g.has(col+d[0], row+d[1]) {
			continue
		}
		a, b := corners[i], corners[(i+1)%4]
		u := b.Sub(a).Unit().Scale(register)
		c.page.Line(paper.Pen{Width: 0.25, Dash: []float64{2, 2}, Ink: paper.Grey}, a.Add(u), b.Sub(u))
		out := u.Unit().Perp().Neg().Scale(overlap / 4)
		var labels []paper.Label
		for _, at := range [...]float64{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8} {
			l := paper.Label{Text: "to " + g.tile(col+d[0], row+d[1]), Rising: i%2 == 1}
			labels = append(labels, l.On(a.Lerp(b, at).Add(out)))
		}
		c.place(labels)
	}
}

// tileName writes a page's name in the part of the piece that is on it, else anywhere.
func (c *canvas) tileName(text string, on plane.Region, in plane.Box) {
	style := paper.Style{Bold: true, Size: paper.Large}
	var labels []paper.Label
	for _, r := range []plane.Region{on, {plane.RectAt(in.Min, in.Max)}} {
		for _, q := range spots(r, 6, 300) {
			labels = append(labels, paper.Label{Text: text, Style: style}.On(q))
		}
	}
	if !c.place(labels) {
		c.lost = append(c.lost, text)
	}
}

// overview draws a grid small in a box, its pages by name.
func (g *grid) overview(page *paper.Page, box plane.Box) {
	size, room := g.box.Size(), box.Size()
	k := math.Min(room.X/size.X, room.Y/size.Y)
	c, m := box.Center(), g.box.Center()
	to := plane.Affine{A: k, D: -k, E: c.X - float64(k*m.X), F: c.Y + float64(k*m.Y)}
	for _, l := range g.piece.cut {
		page.Outline(paper.Visible, true, l.Transform(to))
	}
	each := func(do func(l plane.Loop, name string)) {
		for row := range g.ny {
			for col := range g.nx {
				if b := g.cellBox(col, row); g.has(col, row) {
					do(plane.RectAt(b.Min, b.Max).Transform(to), g.tile(col, row))
				}
			}
		}
	}
	each(func(l plane.Loop, _ string) {
		page.Outline(paper.Pen{Width: 0.25, Dash: []float64{2, 2}, Ink: paper.Grey}, true, l)
	})
	each(func(l plane.Loop, name string) {
		var labels []paper.Label
		for _, q := range spots(plane.Region{l}, 1.5, 400) {
			labels = append(labels, paper.Label{Text: name, Style: paper.Style{Bold: true}}.On(q))
		}
		page.Place(labels...)
	})
}
