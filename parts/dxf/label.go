package dxf

import (
	"strconv"
	"unicode/utf8"

	"perch/parts/drawing/layout"
	"perch/parts/lettering"
	"perch/parts/panel"
	"perch/parts/plane"
)

// Label sizes, mm: the largest that finds a place is taken.
var labelHeights = []float64{10, 7, 5, 3.5, 2.5, 1.8}

const (
	// letterWidth is the width allowed for a letter, of its height: an ordinary
	// sans-serif takes 0.6 to 0.7 in a drawing program's default style.
	letterWidth = 0.85
	lineSpacing = 1.6 // of the height, baseline to baseline
)

// label writes what the blank is, in the largest letters that find a place on
// bare metal: level, or turned a quarter for a tall blank. A small blank is
// spared the last lines; one with no room at all has the label below it, off the
// metal.
func (d *draft) label(b *panel.Blank, opt Options) {
	lines := labelLines(b, opt)
	grid := d.space()
	for n := len(lines); n > 0; n-- {
		for _, h := range labelHeights {
			w, tall := blockSize(lines[:n], h)
			if at, ok := grid.Find(w, tall); ok {
				d.labelAt(lines[:n], at, plane.Point{X: 1}, tall, h)
				return
			}
			if at, ok := grid.Find(tall, w); ok {
				d.labelAt(lines[:n], plane.Point{X: at.X + tall, Y: at.Y}, plane.Point{Y: 1}, tall, h)
				return
			}
		}
	}
	h := labelHeights[len(labelHeights)-1]
	_, tall := blockSize(lines, h)
	lo := d.flat.Outer.Bounds().Min
	d.labelAt(lines, plane.Point{X: lo.X, Y: lo.Y - tall - h}, plane.Point{X: 1}, tall, h)
}

// blockSize is the room, in mm, that the lines take in letters h high.
func blockSize(lines []string, h float64) (w, tall float64) {
	longest := 0
	for _, s := range lines {
		longest = max(longest, utf8.RuneCountInString(s))
	}
	const descender = 0.3 // below the last baseline
	return float64(float64(longest) * letterWidth * h), float64((float64(float64(len(lines)-1)*lineSpacing) + 1 + descender) * h)
}

// labelAt writes the lines into the box that is tall high and stands on corner,
// its base along dir, a unit vector of x or y.
func (d *draft) labelAt(lines []string, corner, dir plane.Point, tall, h float64) {
	for i, s := range lines {
		up := tall - h - float64(float64(i)*lineSpacing*h)
		at := plane.Point{X: corner.X - float64(dir.Y*up), Y: corner.Y + float64(dir.X*up)}
		d.text(LayerLabel, s, at, h, degrees(dir))
	}
}

func labelLines(b *panel.Blank, opt Options) []string {
	count := strconv.Itoa(b.Count) + " pieces"
	if b.Count == 1 {
		count = "1 piece"
	}
	if b.Mirrored > 0 {
		count += ", " + strconv.Itoa(b.Mirrored) + " mirrored"
	}
	name := b.Name
	if opt.Revision != "" { // where no small blank is spared it
		name += ", revision " + opt.Revision
	}
	lines := []string{name, count}
	if p := b.Flat.Panel; p != nil {
		lines = append(lines, p.Stock.Told().In(opt.Reader))
	}
	for _, l := range b.Like {
		lines = append(lines, "not "+l.Blank)
	}
	switch {
	case opt.Design != "" && opt.Size != "":
		lines = append(lines, opt.Design+", "+opt.Size)
	case opt.Design+opt.Size != "":
		lines = append(lines, opt.Design+opt.Size)
	}
	return lines
}

// space is the blank's metal that no line of the drawing crosses.
func (d *draft) space() *layout.Grid {
	g := layout.New(d.blank.Contour(), d.openings)
	for _, f := range d.flat.Folds {
		g.Block(f.From, f.To)
	}
	for _, l := range d.blank.Scribed() {
		g.Block(l[0], l[1])
	}
	for _, p := range d.blank.Punched() {
		r := plane.Point{X: panel.PunchMark, Y: panel.PunchMark}
		g.Take(p.Sub(r), p.Add(r))
	}
	for _, m := range d.flat.Marks {
		if m.Kind == panel.MarkText {
			w := lettering.Width(m.Text, m.Height)
			for _, up := range []float64{0, 0.5, 1} {
				from := m.At.Add(m.Dir.Perp().Scale(float64(up * m.Height)))
				g.Block(from, from.Add(m.Dir.Scale(w)))
			}
			continue
		}
		pts := layout.OpenPolyline(m.Path, 0.5)
		for i := range len(pts) - 1 {
			g.Block(pts[i], pts[i+1])
		}
		if m.Closed && len(m.Path) > 1 {
			g.Block(pts[len(pts)-1], pts[0])
		}
	}
	for _, p := range d.flat.Points {
		h := float64(p.Diameter/2) + 2*layout.MarkReach
		if p.Kind == panel.Drill || p.Marked() {
			g.Take(plane.Point{X: p.At.X - h, Y: p.At.Y - h}, plane.Point{X: p.At.X + h, Y: p.At.Y + h})
		}
	}
	return g
}
