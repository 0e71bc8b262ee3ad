package blankpage

import (
	"math"
	"slices"
	"strconv"

	"perch/parts/bend"
	"perch/parts/decimal"
	"perch/parts/drawing/layout"
	"perch/parts/lettering"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
)

// Lines of bends: what is bent up, towards the viewer, has long dashes with a dot, what is bent
// down has short ones; a word stands at each.
var (
	upLine   = paper.Chain.In(paper.Up)
	downLine = paper.Pen{Width: 0.25, Dash: []float64{2, 1}, Ink: paper.Down}
)

// drawFlat draws the blank with all that is on it, the lines first.
func (d *drawing) drawFlat() {
	p := d.page
	p.Outline(paper.Visible, true, d.b.Contour().Transform(d.to))
	for _, l := range layout.Openings(d.f) {
		p.Outline(paper.Visible, true, l.Transform(d.to))
	}
	for _, s := range d.f.Folds {
		pen := upLine
		if s.Down {
			pen = downLine
		}
		p.Line(pen, d.to.Apply(s.From), d.to.Apply(s.To))
	}
	for _, s := range d.b.Scribed() {
		p.Line(paper.Thin, d.to.Apply(s[0]), d.to.Apply(s[1]))
	}
	for _, q := range d.b.Punched() {
		p.Solid(paper.Black, plane.Circle(1).Transform(plane.Translate(d.to.Apply(q))))
	}
	for _, m := range d.f.Marks {
		d.drawMark(m)
	}
	for _, q := range d.f.Points {
		if q.Marked() {
			for _, s := range layout.Strokes(q) {
				p.Line(paper.Visible, d.to.Apply(s[0]), d.to.Apply(s[1]))
			}
		}
	}
	for i, g := range d.holes {
		for _, at := range g.at {
			symbol(p, d.to.Apply(at), i)
		}
	}
	d.drawDatum()
}

// drawMark draws what is scribed, and a bead by its middle line.
func (d *drawing) drawMark(m panel.FlatMark) {
	switch m.Kind {
	case panel.MarkText:
		for _, s := range lettering.Strokes(m.Text, m.Height, m.At, m.Dir) {
			pts := make([]plane.Point, len(s))
			for i, q := range s {
				pts[i] = d.to.Apply(q)
			}
			d.page.Polyline(paper.Thin, false, pts...)
		}
	case panel.MarkBead:
		d.page.Outline(paper.Double, m.Closed, m.Path.Transform(d.to))
	default:
		d.page.Outline(paper.Thin, m.Closed, m.Path.Transform(d.to))
	}
}

// drawDatum marks the corner that is measured from.
func (d *drawing) drawDatum() {
	c := d.set.Apply(d.datum())
	d.page.FillPoints(paper.Black, c, c.Add(plane.Point{X: 2.2}), c.Add(plane.Point{Y: -2.2}))
	if !d.onMetal(d.back(d.datum())) {
		d.page.Line(paper.Thin, c.Add(plane.Point{X: -2}), c.Add(plane.Point{X: 6}))
		d.page.Line(paper.Thin, c.Add(plane.Point{Y: 2}), c.Add(plane.Point{Y: -6}))
	}
}

// onMetal tells whether a point is on the blank's outline or inside.
func (d *drawing) onMetal(p plane.Point) bool { return d.f.Outer.Locate(p) != plane.Outside }

// labels writes what lines are: bends, beads, texts, radii and faces, each where it is free.
func (d *drawing) labels() {
	for i, s := range d.order() {
		d.labelFold(i+1, &d.f.Folds[s])
	}
	for i, g := range d.holes {
		for _, at := range g.at {
			if n := again(i); n != "" {
				d.page.Point(d.to.Apply(at), paper.Style{}, n)
			}
		}
	}
	d.labelDifferences()
	for _, m := range d.f.Marks {
		d.labelMark(m)
	}
	d.labelRadii(nil)
	d.labelWays()
	d.labelFaces()
}

// order is the order in which the bends are numbered: that of the plan, as far as there is one.
func (d *drawing) order() []int {
	var out []int
	add := func(fold int) {
		if !slices.Contains(out, fold) {
			out = append(out, fold)
		}
	}
	for _, f := range d.b.Order {
		add(f)
	}
	for i := range d.f.Folds {
		add(i)
	}
	return out
}

func direction(down bool) string {
	if down {
		return "down"
	}
	return "up"
}

// degrees writes an angle to a tenth.
func degrees(a float64) string { return string(decimal.Append(nil, a/bend.Degree, 1)) + "°" }

// labelFold writes a bend's number, way and angle along its line, or by an arrow to it.
func (d *drawing) labelFold(n int, s *panel.FlatFold) {
	ink := paper.Up
	if s.Down {
		ink = paper.Down
	}
	style := paper.Style{Bold: true, Ink: ink}
	number := strconv.Itoa(n)
	a, b := d.to.Apply(s.From), d.to.Apply(s.To)
	u := b.Sub(a).Unit()
	rising := math.Abs(u.Y) > math.Abs(u.X)
	if skew := min(math.Abs(u.X), math.Abs(u.Y)); skew < 0.02 {
		for _, text := range []string{number + " " + direction(s.Down) + " " + degrees(s.Bend.Angle), number + " " + direction(s.Down)} {
			var all []paper.Label
			for _, off := range []float64{3, 4.5} {
				for _, part := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
					for _, side := range []float64{-1, 1} {
						l := paper.Label{Text: text, Style: style, Rising: rising}
						all = append(all, l.On(a.Lerp(b, part).Add(u.Perp().Scale(side*off))))
					}
				}
			}
			if d.page.Place(all...) >= 0 {
				return
			}
		}
	}
	if !d.page.Point(a.Lerp(b, 0.5), style, number+" "+direction(s.Down)+" "+degrees(s.Bend.Angle), number+" "+direction(s.Down), number) {
		d.notes = append(d.notes, "Bend "+number+" is not written on the drawing: see the table.")
	}
}

// labelMark says what is rolled or scribed.
func (d *drawing) labelMark(m panel.FlatMark) {
	text := ""
	var at plane.Point
	switch m.Kind {
	case panel.MarkBead:
		text = "bead " + d.read.Fine(m.Width) + " wide"
	case panel.MarkText:
		text, at = "scribe “"+m.Text+"”", m.At
	default:
		text = "scribed line"
		if m.Name != "" {
			text = "scribed: " + naming.Plain(m.Name)
		}
	}
	if m.Kind != panel.MarkText {
		if len(m.Path) == 0 {
			return
		}
		at = m.Path[0].P
		if len(m.Path) > 1 {
			at = m.Path.Edge(0).Mid()
		}
	}
	if !d.page.Point(d.to.Apply(at), paper.Style{}, text) && !slices.Contains(d.notes, text) {
		d.notes = append(d.notes, text)
	}
}

// labelWays shows by an arrow which way u runs on each face that hangs on an edge, near its fold, for
// who changes the design.
func (d *drawing) labelWays() {
	const long, head = 5.0, 1.8
	style := paper.Style{Ink: paper.Grey}
	for _, s := range d.f.Folds {
		u, ok := d.f.Along(s.B)
		if !ok {
			continue
		}
		face := d.f.Faces[s.B].Loop
		n := s.To.Sub(s.From).Unit().Perp().Neg() // away from face A
		way := d.turn.Vec(u)
		way.Y = -way.Y
		for _, try := range [][2]float64{{4, 0.5}, {4, 0.3}, {4, 0.7}, {8, 0.5}, {4, 0.15}, {4, 0.85}, {12, 0.5}, {8, 0.3}, {8, 0.7}} {
			at := s.TangentB[0].Lerp(s.TangentB[1], try[1]).Add(n.Scale(float64(try[0] * d.scale)))
			c := d.to.Apply(at)
			tail, tip := c.Sub(way.Scale(long/2)), c.Add(way.Scale(long/2))
			l := paper.Label{Text: "u", Style: style}.On(tip.Add(way.Scale(2)))
			box := plane.EmptyBox().With(tail).With(tip).Union(l.Box()).Grow(0.3)
			if !d.within(face, box) || !d.page.Free(box) {
				continue
			}
			d.page.Arrow(paper.Thin.In(paper.Grey), tail, tip, head)
			d.page.Text(l)
			break
		}
	}
}

// labelFaces writes the faces' names where there is room; they are in the bends' table too.
func (d *drawing) labelFaces() {
	if len(d.f.Faces) < 2 {
		return
	}
	for i, f := range d.f.Faces {
		b := f.Loop.Bounds()
		var all []paper.Label
		for _, y := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
			for _, x := range []float64{0.5, 0.35, 0.65, 0.2, 0.8} {
				at := plane.Point{X: b.Min.X + float64(x*b.Size().X), Y: b.Min.Y + float64(y*b.Size().Y)}
				if f.Loop.Locate(at) != plane.Inside {
					continue
				}
				for _, rising := range []bool{false, true} {
					l := paper.Label{Text: d.Names.Face(d.blank, i), Style: paper.Style{Ink: paper.Grey}, Rising: rising}
					l = l.On(d.to.Apply(at))
					if d.within(f.Loop, l.Box()) {
						all = append(all, l)
					}
				}
			}
		}
		d.page.Place(all...)
	}
}

// within tells whether a box on the page has its corners on a face.
func (d *drawing) within(face plane.Loop, b plane.Box) bool {
	for _, c := range []plane.Point{b.Min, b.Max, {X: b.Min.X, Y: b.Max.Y}, {X: b.Max.X, Y: b.Min.Y}} {
		if back := d.back(plane.Point{X: (c.X - d.set.E) * d.scale, Y: (d.set.F - c.Y) * d.scale}); face.Locate(back) != plane.Inside {
			return false
		}
	}
	return true
}

// bendTable lists the bends.
func (d *drawing) bendTable() (paper.Table, bool) {
	t := paper.Table{Columns: []paper.Column{{Head: "n", Right: true}, {Head: "bend", Weight: 1}, {Head: "way"}, {Head: "turned", Right: true},
		{Head: "included", Right: true}, {Head: "inside radius", Right: true}, {Head: "long", Right: true}}}
	for n, i := range d.order() {
		s := &d.f.Folds[i]
		inside := degrees(math.Pi - s.Bend.Angle)
		if s.Bend.ClosedHem() {
			inside = "closed hem"
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(n + 1), d.Names.Fold(d.blank, i), direction(s.Down), degrees(s.Bend.Angle), inside,
			d.read.Fine(s.Bend.Radius), d.size(s.From.Dist(s.To))})
	}
	return t, len(t.Rows) > 0
}
