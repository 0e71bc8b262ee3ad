package blankpage

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"perch/parts/drawing/layout"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/solver/elementary"
)

// holeGroup are holes or marks of one kind: a row of the table, with a symbol.
type holeGroup struct {
	what  string  // Ø 4.9, or 40 × 12
	size  float64 // diameter, to sort by; 0: no round hole
	how   string
	why   string
	at    []plane.Point
	boxes []plane.Box // of openings that are no round holes
	rank  int
}

// gather finds the holes, openings and marks of the blank, those of one kind together.
func (d *drawing) gather() {
	purpose := d.purposes()
	groups := map[string]*holeGroup{}
	add := func(g holeGroup, at plane.Point, box ...plane.Box) {
		key := g.what + "|" + g.how + "|" + g.why
		if groups[key] == nil {
			groups[key] = &g
		}
		groups[key].at = append(groups[key].at, at)
		groups[key].boxes = append(groups[key].boxes, box...)
	}
	cutName := d.cutNames()
	for _, l := range d.f.Inner {
		why := cutName(l)
		if c, r, ok := layout.Circle(l); ok {
			add(holeGroup{what: "Ø " + d.read.Fine(2*r), size: 2 * r, how: "cut", why: or(purpose.through(d.f, l), why)}, c)
			continue
		}
		box := l.Transform(d.turn).Bounds()
		s := box.Size()
		add(holeGroup{what: d.size(s.X) + " × " + d.size(s.Y), how: "cut", why: or(why, "opening"), rank: 1}, l.Bounds().Center(), box)
	}
	for i, p := range d.f.Points {
		if d.f.Open(p) {
			continue
		}
		g := holeGroup{what: "Ø " + d.read.Fine(p.Diameter), size: p.Diameter, why: purpose.of[i]}
		switch {
		case p.Marked():
			g = holeGroup{what: string(p.Kind) + ", " + d.size(p.Diameter) + " long", how: "mark; weld when joined", why: purpose.of[i], rank: 2}
		case p.Made() == panel.InPlace:
			g.how = "drill in place, through the outer sheet"
			if !p.Bare {
				g.how += "; light mark only"
			}
		case p.Kind == panel.Drill:
			g.how = "centre mark cut, drill before bending"
		case p.Kind == panel.Plug:
			g.how = "cut; plug weld through it"
		default:
			g.how = "cut"
		}
		if p.Made() == panel.Locate {
			g.how += "; locates the parts"
		}
		add(g, p.At)
	}
	for _, g := range groups {
		d.holes = append(d.holes, *g)
	}
	slices.SortFunc(d.holes, func(a, b holeGroup) int {
		return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(a.size, b.size), strings.Compare(a.what, b.what), strings.Compare(a.how, b.how), strings.Compare(a.why, b.why))
	})
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// cutNames finds what the design calls an opening, by where its middle is.
func (d *drawing) cutNames() func(l plane.Loop) string {
	const same = 1e-3 // mm
	middles := make([]plane.Box, len(d.f.Cuts))
	for i, cut := range d.f.Cuts {
		c := cut.Loop.Bounds().Center()
		middles[i] = plane.Box{Min: c, Max: c}.Grow(same)
	}
	places := plane.NewPlaces(middles)
	var near []int
	return func(l plane.Loop) string {
		c := l.Bounds().Center()
		if near = places.Near(plane.Box{Min: c, Max: c}, near[:0]); len(near) == 0 {
			return ""
		}
		return naming.Plain(stem(d.f.Cuts[slices.Min(near)].Name))
	}
}

// purposes tells of every point of the blank what it fastens.
type purposes struct {
	of []string // by number of the flat's points
}

func (d *drawing) purposes() purposes {
	p := purposes{of: make([]string, len(d.f.Points))}
	at := map[string]int{}
	for i, q := range d.f.Points {
		at[q.Name] = i
	}
	for _, j := range d.Assembly.Joins {
		for _, m := range j.Members {
			i, ok := at[m.Point]
			if d.Assembly.Copies[m.Copy].Blank != d.blank || !ok || p.of[i] != "" {
				continue
			}
			var to []string
			for _, o := range j.Members {
				if o.Copy == m.Copy {
					continue
				}
				if name := naming.Plain(stem(d.Assembly.Blanks[d.Assembly.Copies[o.Copy].Blank].Name)); !slices.Contains(to, name) {
					to = append(to, name)
				}
			}
			p.of[i] = j.Kind
			if j.Kind == "rivet" || j.Kind == "bolt" {
				p.of[i] += " Ø " + d.read.Fine(j.Diameter)
			}
			if len(to) > 0 {
				p.of[i] += " to " + strings.Join(to, ", ")
			}
		}
	}
	return p
}

func stem(name string) string {
	s, _, _ := strings.Cut(name, ".")
	return s
}

// through is what is fastened through an opening that the part has anyway.
func (p purposes) through(f *panel.Flat, l plane.Loop) string {
	for i, q := range f.Points {
		if p.of[i] != "" && l.Locate(q.At) != plane.Outside {
			return p.of[i]
		}
	}
	return ""
}

// symbolSize is the height of a hole's symbol, mm.
const symbolSize = 3.0

// marks of groups: each has a form of its own, so that black and white tells them apart.
var forms = []func(p *paper.Page, c plane.Point){
	func(p *paper.Page, c plane.Point) { cross(p, c, 0.5); ring(p, c, 0.32) },
	func(p *paper.Page, c plane.Point) { polygon(p, c, 4, 0.62, math.Pi/4); cross(p, c, 0.25) },
	func(p *paper.Page, c plane.Point) { polygon(p, c, 3, 0.62, math.Pi/2) },
	func(p *paper.Page, c plane.Point) { polygon(p, c, 4, 0.58, 0) },
	func(p *paper.Page, c plane.Point) { ring(p, c, 0.5); saltire(p, c, 0.35) },
	func(p *paper.Page, c plane.Point) { polygon(p, c, 3, 0.62, -math.Pi/2) },
	func(p *paper.Page, c plane.Point) { saltire(p, c, 0.42) },
	func(p *paper.Page, c plane.Point) { polygon(p, c, 6, 0.54, 0) },
	func(p *paper.Page, c plane.Point) { ring(p, c, 0.5); ring(p, c, 0.25) },
	func(p *paper.Page, c plane.Point) { polygon(p, c, 4, 0.62, math.Pi/4); saltire(p, c, 0.42) },
}

// symbol draws a group's symbol. Past the forms that there are they begin anew, with a number.
func symbol(p *paper.Page, c plane.Point, group int) { forms[group%len(forms)](p, c) }

// again is the number that stands beside a group's symbol; "" where the form alone tells it.
func again(group int) string {
	if n := group / len(forms); n > 0 {
		return strconv.Itoa(n + 1)
	}
	return ""
}

func ring(p *paper.Page, c plane.Point, part float64) {
	p.Outline(paper.Thin, true, plane.Circle(2*part*symbolSize).Transform(plane.Translate(c)))
}

func cross(p *paper.Page, c plane.Point, part float64) {
	r := float64(part * symbolSize * 1.2)
	p.Line(paper.Thin, c.Add(plane.Point{X: -r}), c.Add(plane.Point{X: r}))
	p.Line(paper.Thin, c.Add(plane.Point{Y: -r}), c.Add(plane.Point{Y: r}))
}

func saltire(p *paper.Page, c plane.Point, part float64) {
	r := float64(part * symbolSize)
	p.Line(paper.Thin, c.Add(plane.Point{X: -r, Y: -r}), c.Add(plane.Point{X: r, Y: r}))
	p.Line(paper.Thin, c.Add(plane.Point{X: -r, Y: r}), c.Add(plane.Point{X: r, Y: -r}))
}

func polygon(p *paper.Page, c plane.Point, n int, part, turn float64) {
	var pts []plane.Point
	for i := range n {
		sin, cos := elementary.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
		pts = append(pts, c.Add(plane.Point{X: cos, Y: -sin}.Scale(part*symbolSize)))
	}
	p.Polyline(paper.Thin, true, pts...)
}

// holeTable lists the groups with their symbols.
func (d *drawing) holeTable() (paper.Table, bool) {
	t := paper.Table{Columns: []paper.Column{
		{Head: "", Draw: func(p *paper.Page, row int, c plane.Point) { symbol(p, c, row) }},
		{Head: "size"}, {Head: "count", Right: true}, {Head: "how and when"}, {Head: "for", Weight: 1},
	}}
	for i, g := range d.holes {
		t.Rows = append(t.Rows, []string{again(i), g.what, strconv.Itoa(len(g.at)), g.how, g.why})
	}
	return t, len(t.Rows) > 0
}
