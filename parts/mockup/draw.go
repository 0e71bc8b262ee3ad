package mockup

import (
	"math"
	"slices"

	"perch/parts/paper"
	"perch/parts/plane"
	"perch/solver/elementary"
)

// canvas is a page with pieces on it: lines first, then text where there is room.
type canvas struct {
	page    *paper.Page
	texts   []plane.Box  // of what is written, so that no leader runs through it
	leaders []plane.Edge // from letters to their places
	lost    []string     // letters that found no room
}

// draw puts pieces on the page, each by its map.
func (c *canvas) draw(pieces []*piece, to []plane.Affine) {
	for i, p := range pieces {
		for _, l := range p.shaded {
			c.page.Fill(paper.Pale, l.Transform(to[i]))
		}
	}
	for i, p := range pieces {
		for _, l := range p.lines {
			pts := make([]plane.Point, len(l.pts))
			for k, q := range l.pts {
				pts[k] = to[i].Apply(q)
			}
			c.page.Polyline(l.pen, l.closed, pts...)
		}
		for _, l := range p.cut {
			c.page.Outline(paper.Visible, true, l.Transform(to[i]))
		}
	}
	for i, p := range pieces {
		c.name(p, p.region.Transform(to[i]))
	}
	for i, p := range pieces {
		whole := p.region.Transform(to[i])
		for _, s := range p.signs {
			c.sign(s, s.place.Transform(to[i]), whole)
		}
	}
	for i, p := range pieces {
		for _, r := range p.remarks {
			c.remark(r.text, to[i].Apply(r.from), to[i].Apply(r.to))
		}
	}
}

// name writes a piece's name on it, level or rising, else beside it.
func (c *canvas) name(p *piece, on plane.Region) {
	style := paper.Style{Bold: true}
	var labels []paper.Label
	for _, q := range spots(on, 4, 300) {
		labels = append(labels, paper.Label{Text: p.name, Style: style}.On(q), paper.Label{Text: p.name, Style: style, Rising: true}.On(q))
	}
	b := on.Bounds()
	gap := nameGap + float64(paper.Body/2)
	mid := b.Center()
	for _, l := range []paper.Label{
		paper.Label{Text: p.name, Style: style}.On(plane.Point{X: mid.X, Y: b.Max.Y + gap}),
		paper.Label{Text: p.name, Style: style}.On(plane.Point{X: mid.X, Y: b.Min.Y - gap}),
		paper.Label{Text: p.name, Style: style, Rising: true}.On(plane.Point{X: b.Min.X - gap, Y: mid.Y}),
		paper.Label{Text: p.name, Style: style, Rising: true}.On(plane.Point{X: b.Max.X + gap, Y: mid.Y}),
	} {
		labels = append(labels, l)
	}
	c.place(labels)
}

// place writes the first label that meets nothing; it tells whether one did.
func (c *canvas) place(labels []paper.Label) bool {
	i := c.page.Place(labels...)
	if i >= 0 {
		c.texts = append(c.texts, labels[i].Box())
	}
	return i >= 0
}

// spots are places inside a region on a grid, the nearest to its middle first, at most so
// many.
func spots(r plane.Region, step float64, most int) []plane.Point {
	b := r.Bounds()
	size := b.Size()
	step = math.Max(step, math.Sqrt(size.X*size.Y/4000))
	mid := b.Center()
	var out []plane.Point
	nx, ny := int(size.X/(2*step))+1, int(size.Y/(2*step))+1
	for ring := 0; ring <= max(nx, ny); ring++ {
		for dx := -ring; dx <= ring; dx++ {
			for dy := -ring; dy <= ring; dy++ {
				if max(dx, -dx, dy, -dy) != ring {
					continue
				}
				q := mid.Add(plane.Point{X: float64(float64(dx) * step), Y: float64(float64(dy) * step)})
				if b.Holds(q) && inside(r, q) {
					if out = append(out, q); len(out) == most {
						return out
					}
				}
			}
		}
	}
	return out
}

// inside tells whether a point lies in a region: in an odd number of its loops.
func inside(r plane.Region, q plane.Point) bool {
	in := false
	for _, l := range r {
		if l.Locate(q) == plane.Inside {
			in = !in
		}
	}
	return in
}

// sign sets a letter in a disc or ring: in its place, else on the piece or beside it with a
// line to its place.
func (c *canvas) sign(s sign, place, whole plane.Region) {
	style := ringStyle(s.front)
	radius := ringRadius(s.letter)
	inPlace := spots(place, 1.2, 400)
	for _, q := range inPlace {
		if c.free(q, radius) {
			c.ring(s, style, q, radius)
			return
		}
	}
	tips := c.tips(place, inPlace)
	for _, crossing := range [2]bool{false, true} {
		for cost := radius + 1.5; cost < farthest; cost += 1.5 {
			for _, onPiece := range [2]bool{true, false} {
				away := cost
				if !onPiece { // what is cut off is lost: rather a longer line
					away -= beside
				}
				if away <= radius+1 {
					continue
				}
				for _, tip := range tips {
					if c.leader(s, style, tip, away, radius, whole, onPiece, crossing) {
						return
					}
				}
			}
		}
	}
	c.lost = append(c.lost, s.letter)
}

// tips are some points of a place that a letter's line may end at: none is written on.
func (c *canvas) tips(place plane.Region, spots []plane.Point) []plane.Point {
	const most = 5
	var free []plane.Point
	for _, q := range spots {
		if !slices.ContainsFunc(c.texts, func(b plane.Box) bool { return b.Grow(0.6).Holds(q) }) {
			free = append(free, q)
		}
	}
	if len(free) == 0 {
		return []plane.Point{place.Bounds().Center()}
	}
	out := free[:1:1]
	for k := 1; k < most && len(free) > most; k++ {
		out = append(out, free[k*(len(free)-1)/(most-1)])
	}
	return out
}

const (
	farthest = 70.0 // mm from a letter to its place
	beside   = 5.0  // how much farther off a letter may be for being on its piece
)

// leader sets a letter so far from its place, on its piece or beside it, where its line runs
// through nothing written and, unless it must, through no other such line.
func (c *canvas) leader(s sign, style paper.Style, tip plane.Point, away, radius float64, whole plane.Region, onPiece, crossing bool) bool {
	for k := range 24 {
		sin, cos := elementary.Sincos(float64(k) * math.Pi / 12)
		q := tip.Add(plane.Point{X: float64(cos * away), Y: float64(sin * away)})
		if inside(whole, q) != onPiece || !c.free(q, radius) {
			continue
		}
		end := q.Add(tip.Sub(q).Unit().Scale(radius))
		if c.throughText(end, tip) || !crossing && c.throughLeader(end, tip) {
			continue
		}
		c.page.Line(paper.Thin, end, tip)
		c.leaders = append(c.leaders, plane.Edge{From: end, To: tip})
		c.page.Fill(paper.Black, plane.Circle(0.8).Transform(plane.Translate(tip)))
		c.ring(s, style, q, radius)
		return true
	}
	return false
}

// ringStyle is a letter's: white on a disc.
func ringStyle(front bool) paper.Style {
	if front {
		return paper.Style{Bold: true, Ink: paper.White}
	}
	return paper.Style{Bold: true}
}

// ringRadius goes round a letter's own box.
func ringRadius(letter string) float64 {
	half := plane.Point{X: paper.Style{Bold: true}.Width(letter) / 2, Y: paper.Body * 0.5}
	return half.Len() + 0.4
}

// free tells whether a disc meets nothing on the page, nor leaves its area.
func (c *canvas) free(q plane.Point, radius float64) bool {
	b := plane.Box{Min: q, Max: q}.Grow(radius + 0.3)
	area := c.page.Area()
	return area.Holds(b.Min) && area.Holds(b.Max) && c.page.Free(b)
}

// throughText tells whether a line runs through text.
func (c *canvas) throughText(a, b plane.Point) bool {
	d := b.Sub(a)
	for _, t := range c.texts {
		if k, ok := t.Grow(0.4).Chord(a, d.Unit()); ok && k.To > 0 && k.From < d.Len() {
			return true
		}
	}
	return false
}

// throughLeader tells whether a line runs through another letter's line.
func (c *canvas) throughLeader(a, b plane.Point) bool {
	for _, l := range c.leaders {
		if d, _, _ := l.Distance(plane.Edge{From: a, To: b}); d < 0.8 {
			return true
		}
	}
	return false
}

func (c *canvas) ring(s sign, style paper.Style, q plane.Point, radius float64) {
	circle := plane.Circle(2 * radius).Transform(plane.Translate(q))
	if s.front {
		c.page.Fill(paper.Black, circle)
		c.page.Outline(paper.Thin, true, circle)
	} else {
		c.page.Outline(paper.Pen{Width: 0.35, Dash: []float64{1.2, 0.6}}, true, circle)
	}
	c.page.Text(paper.Label{Text: s.letter, Style: style}.On(q))
	c.texts = append(c.texts, plane.Box{Min: q, Max: q}.Grow(radius))
}

// remark writes text beside a line, or across its middle's ends where it is short.
func (c *canvas) remark(text string, from, to plane.Point) {
	style := paper.Style{}
	d := to.Sub(from)
	n := d.Unit().Perp()
	half := plane.Point{X: float64(style.Width(text) / 2), Y: float64(paper.Body * 0.5)}
	upright := math.Abs(d.Y) > math.Abs(d.X)
	var labels []paper.Label
	for _, turned := range [2]bool{upright, !upright} { // along the line first
		across := plane.Point{X: half.X, Y: half.Y}
		if turned {
			across = plane.Point{X: half.Y, Y: half.X}
		}
		for _, away := range [...]float64{0.6, 2, 4} {
			for _, along := range [...]float64{0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92} {
				off := float64(math.Abs(n.X)*across.X) + float64(math.Abs(n.Y)*across.Y) + away
				for _, side := range [2]float64{off, -off} {
					labels = append(labels, paper.Label{Text: text, Style: style, Rising: turned}.On(from.Lerp(to, along).Add(n.Scale(side))))
				}
			}
		}
	}
	c.place(labels)
}
