package paper

import (
	"math"
	"slices"
	"strconv"

	"perch/parts/measure"
	"perch/parts/plane"
)

// Projection is how views lie beside each other: ISO 5456-2.
type Projection uint8

// Projections.
const (
	Unprojected Projection = iota // no views: no symbol
	FirstAngle
	ThirdAngle
)

// Title is what a title block says. What is empty is left out.
type Title struct {
	Design, Revision, Size string
	Blank, Count           string // what the page is of, and how many: "2 as drawn, 2 mirrored"
	Material, Mass         string // with gauge or thickness; of one piece
	Tolerance, Units       string
	Scale                  string // 1:5; of a page whose drawings have several "as stated"
	Projection             Projection
	Shop, Source, Date     string // Source: a short hash of what the page was made from
	Ruler                  measure.System
}

// field is one box of the title block.
type field struct {
	label, value string
	weight       float64 // of its width, about its letters
}

// rows are the boxes of the title block, two rows, three on a narrow sheet.
func (t Title) rows(narrow bool, page, pages int) [][]field {
	of := strconv.Itoa(page) + " of " + strconv.Itoa(pages)
	first := []field{{"design", t.Design, 24}, {"size", t.Size, 9}, {"revision", t.Revision, 9}}
	second := []field{{"this page", t.Blank, 22}, {"count", t.Count, 22}, {"page", of, 8}}
	third := []field{{"material", t.Material, 20}, {"mass each", t.Mass, 10}, {"tolerance", t.Tolerance, 12}, {"units", t.Units, 6}, {"scale", t.Scale, 8}}
	last := []field{{"shop", t.Shop, 16}, {"date", t.Date, 11}}
	source := field{"source", t.Source, 9}
	if narrow {
		second = append(second, source)
	} else {
		last = append(last, source)
	}
	var rows [][]field
	for _, r := range [][]field{first, second, third, last} {
		var kept []field
		for _, f := range r {
			if f.value != "" {
				kept = append(kept, f)
			}
		}
		rows = append(rows, kept)
	}
	if !narrow {
		return [][]field{append(rows[0], rows[1]...), append(rows[2], rows[3]...)}
	}
	return slices.DeleteFunc(rows, func(r []field) bool { return len(r) == 0 })
}

const (
	cellPad   = 1.2  // from a line to text
	narrow    = 250  // a sheet below it has the title block's boxes in more rows
	symbolBox = 22.0 // wide, of the projection's symbol
	barHigh   = 9.0  // of the strip with the printer's bar
)

// Area is where the page may be drawn on: inside the frame, above title block and bar.
func (p *Page) Area() plane.Box {
	in := p.Sheet.inside()
	if p.Bare {
		return in
	}
	in.Max.Y -= p.titleHeight() + barHigh
	return in.Grow(-2)
}

func (p *Page) narrow() bool { return p.Sheet.Wide < narrow }

// rowHeight is that of a label with its value below.
func rowHeight() float64 { return float64(2*Body*Leading) + cellPad }

func (p *Page) titleHeight() float64 {
	return float64(float64(len(p.Title.rows(p.narrow(), 1, 1))) * rowHeight())
}

// frame draws frame, title block and bar, once.
func (p *Page) frame(page, pages int) {
	if p.framed || p.Bare {
		return
	}
	p.framed = true
	in := p.Sheet.inside()
	p.Outline(Visible, true, plane.RectAt(in.Min, in.Max))
	y := in.Max.Y - p.titleHeight()
	p.bar(p.BarAt())
	for i, r := range p.Title.rows(p.narrow(), page, pages) {
		pen := Thin
		if i == 0 {
			pen = Visible
		}
		p.Line(pen, plane.Point{X: in.Min.X, Y: y}, plane.Point{X: in.Max.X, Y: y})
		right := in.Max.X
		if i == 0 && p.Title.Projection != Unprojected {
			right -= symbolBox
			p.symbol(plane.Point{X: right, Y: y})
		}
		p.row(r, in.Min.X, right, y)
		y += rowHeight()
	}
}

// row draws boxes side by side over a width that they fill.
func (p *Page) row(fields []field, left, right, y float64) {
	sum := 0.0
	for _, f := range fields {
		sum += f.weight
	}
	x := left
	for i, f := range fields {
		wide := float64((right - left) * f.weight / sum)
		if i > 0 {
			p.Line(Thin, plane.Point{X: x, Y: y}, plane.Point{X: x, Y: y + rowHeight()})
		}
		inner := wide - 2*cellPad
		label, value := Style{Ink: Grey}, Style{Bold: true}
		p.Text(Label{Text: Shorten(f.label, label, inner), At: plane.Point{X: x + cellPad, Y: y + Body + 0.2}, Style: label})
		p.Text(Label{Text: Shorten(f.value, value, inner), At: plane.Point{X: x + cellPad, Y: y + Body + 0.2 + Body*Leading}, Style: value})
		x += wide
	}
}

// symbol draws the projection's symbol: a cone cut short, from the side and from its end
// (ISO 5456-2), in a box of its own at the right of the first row.
func (p *Page) symbol(at plane.Point) {
	p.Line(Thin, at, at.Add(plane.Point{Y: rowHeight()}))
	const long, wide, slim, apart = 6.0, 6.0, 3.0, 10.0
	mid := at.Add(plane.Point{X: symbolBox / 2, Y: rowHeight() / 2})
	cone, rings := mid.Add(plane.Point{X: -apart / 2}), mid.Add(plane.Point{X: apart / 2})
	if p.Title.Projection == ThirdAngle {
		cone, rings = rings, cone
	}
	// Seen from the left the thin end is in front, so that both rings are seen.
	p.Polyline(Thin, true,
		cone.Add(plane.Point{X: -long / 2, Y: -slim / 2}), cone.Add(plane.Point{X: long / 2, Y: -wide / 2}),
		cone.Add(plane.Point{X: long / 2, Y: wide / 2}), cone.Add(plane.Point{X: -long / 2, Y: slim / 2}))
	for _, d := range []float64{slim, wide} {
		p.Outline(Thin, true, plane.Circle(d).Transform(plane.Affine{A: 1, D: 1, E: rings.X, F: rings.Y}))
	}
}

// BarLong is the length of the bar on every page, in mm: 100 mm, or 4 in.
func BarLong(in measure.System) float64 {
	if in == measure.Inches {
		return 4 * measure.InchMM
	}
	return 100
}

// BarAt is where the bar that a printer is checked by begins: its left lower end.
func (p *Page) BarAt() plane.Point {
	in := p.Sheet.inside()
	return plane.Point{X: in.Min.X + 4, Y: in.Max.Y - p.titleHeight() - 2.2}
}

// bar draws the bar that a printer is checked by, its left lower end at a point.
func (p *Page) bar(at plane.Point) {
	long, parts, name := BarLong(p.Title.Ruler), 10, "100 mm"
	if p.Title.Ruler == measure.Inches {
		parts, name = 4, "4 in"
	}
	p.Line(Visible, at, at.Add(plane.Point{X: long}))
	for i := 0; i <= parts; i++ {
		high := 1.5
		if i == 0 || i == parts {
			high = 4
		}
		x := at.X + float64(long*float64(i)/float64(parts))
		p.Line(Thin, plane.Point{X: x, Y: at.Y}, plane.Point{X: x, Y: at.Y - high})
	}
	text := "this bar is " + name + " long where the page was printed at 100 %"
	if p.narrow() {
		text = name + " if printed at 100 %"
	}
	p.Text(Label{Text: text, At: plane.Point{X: at.X + long + 3, Y: at.Y - 0.3}})
}

// The usual scales for reductions: ISO 5455.
var scales = []float64{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000}

// ScaleFor is the least of the usual reductions, n of 1:n, at which a thing of a size goes
// into a room, the last of them where none is enough.
func ScaleFor(size, room plane.Point) float64 {
	for _, n := range scales {
		if float64(room.X*n) >= size.X && float64(room.Y*n) >= size.Y {
			return n
		}
	}
	return scales[len(scales)-1]
}

// EnlargedFor is the largest usual enlargement or reduction, n of 1:n, of a detail.
func EnlargedFor(size, room plane.Point) float64 {
	for _, n := range []float64{0.1, 0.2, 0.5} {
		if float64(room.X*n) >= size.X && float64(room.Y*n) >= size.Y {
			return n
		}
	}
	return ScaleFor(size, room)
}

// ScaleName writes 1:5, or 2:1 of an enlargement.
func ScaleName(n float64) string {
	if n < 1 {
		return strconv.Itoa(int(math.Round(1/n))) + ":1"
	}
	return "1:" + strconv.Itoa(int(math.Round(n)))
}
