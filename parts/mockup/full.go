package mockup

import (
	"context"
	"fmt"
	"strings"

	"perch/parts/drawing/layout"
	"perch/parts/lettering"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
)

// Patterns makes the document of full-size patterns: the blanks' flats as they are cut,
// with their allowance, for whoever cuts metal by hand. The error is a *TilesError, or
// ctx's.
func Patterns(ctx context.Context, a *panel.Assembly, opt Options) (*paper.Document, error) {
	w := &writer{Options: opt, scale: Full, legend: patternLegend, doc: &paper.Document{Name: strings.TrimSpace(a.Design + " " + a.Size + ", full-size patterns")}}
	names := naming.Of(a)
	for i, b := range a.Blanks {
		if err := layout.Check(b.Flat); err != nil {
			return nil, fmt.Errorf("%s: %w", b.Name, err)
		}
		w.pieces = append(w.pieces, patternOf(b, names.Blank(i), opt.Paper))
	}
	if err := w.sort(); err != nil {
		return nil, err
	}
	pages, err := w.write(ctx)
	if err != nil {
		return nil, err
	}
	f := w.flow("Full-size patterns")
	for _, text := range patternAdvice {
		f.Item(text, false)
	}
	t := paper.Table{Columns: []paper.Column{{Head: "pattern"}, {Head: "pieces", Right: true}, {Head: "of these mirrored", Right: true}, {Head: "sheet", Weight: 1}}}
	for i, b := range a.Blanks {
		stock := b.Flat.Panel.Stock
		stock.Material = naming.Plain(stock.Material)
		t.Rows = append(t.Rows, []string{names.Blank(i), fmt.Sprint(b.Count), fmt.Sprint(b.Mirrored), stock.Told().In(opt.Paper.System)})
	}
	f.Heading("To cut")
	f.Table(t)
	w.untold(f)
	w.grids(f)
	w.doc.Pages = append(w.doc.Pages, pages...)
	return w.doc, nil
}

var patternAdvice = []string{
	"Print at 100 % and hold a ruler to the bar before anything is cut.",
	"Glue neighbouring pages so that their register marks lie on each other; the pages' names stand on the grids below.",
	"Cut just outside the thick line and file to it. A mirrored piece is cut as drawn and bent the other way.",
	"Bend lines are the middle of the bend: a leaf brake's sight line lies elsewhere, see the bending plan. The allowance is in the pattern.",
	"Shears, saws and cut edges: gloves against the edge, none at a turning drill; glasses; clamp the sheet. Deburr what hands can reach.",
}

// patternOf is a blank's flat as a piece.
func patternOf(b *panel.Blank, name string, read measure.Paper) *piece {
	f := b.Flat
	to := straight(plane.Region{f.Outer})
	outer := f.Outer.Transform(to)
	p := &piece{name: name, region: plane.Region{outer}, cut: []plane.Loop{outer}}
	all := func(pts ...plane.Point) []plane.Point {
		out := make([]plane.Point, len(pts))
		for i, q := range pts {
			out[i] = to.Apply(q)
		}
		return out
	}
	for _, l := range layout.Openings(f) {
		l = l.Transform(to)
		p.region = append(p.region, l)
		p.cut = append(p.cut, l)
		if c, r, ok := layout.Circle(l); ok {
			p.remarks = append(p.remarks, remark{"Ø " + read.Fine(2*r), plane.Point{X: c.X - r, Y: c.Y - r}, plane.Point{X: c.X + r, Y: c.Y - r}})
			p.cross(c)
		}
	}
	for i := range f.Folds {
		s := &f.Folds[i]
		pen, word := valley, "up "
		if s.Down {
			pen, word = mountain, "down "
		}
		p.lines = append(p.lines, line{pen, all(s.From, s.To), false})
		p.remarks = append(p.remarks, remark{word + angle(s.Bend.Angle), to.Apply(s.From), to.Apply(s.To)})
	}
	for _, q := range f.Points {
		for _, s := range layout.Strokes(q) {
			p.lines = append(p.lines, line{paper.Thin, all(s[:]...), false})
		}
		if q.Kind == panel.Drill {
			at := to.Apply(q.At)
			p.remarks = append(p.remarks, remark{"drill " + read.Fine(q.Diameter), at.Sub(plane.Point{X: 2, Y: 2}), at.Add(plane.Point{X: 2, Y: -2})})
		}
	}
	for _, k := range f.Marks {
		switch {
		case k.Kind == panel.MarkText:
			for _, s := range lettering.Strokes(k.Text, k.Height, k.At, k.Dir) {
				p.lines = append(p.lines, line{paper.Thin, all(s...), false})
			}
		case len(k.Path) > 1:
			p.lines = append(p.lines, line{lightly, all(layout.OpenPolyline(k.Path, sag)...), k.Closed})
		}
	}
	return p
}

// cross marks a hole's middle, to punch.
func (p *piece) cross(c plane.Point) {
	for _, d := range [2]plane.Point{{X: 1}, {Y: 1}} {
		p.lines = append(p.lines, line{paper.Thin, []plane.Point{c.Sub(d), c.Add(d)}, false})
	}
}

// patternLegend says what a full-size page's lines mean.
func patternLegend(p *paper.Page) {
	l := newLegend(p)
	l.sample(paper.Visible)
	l.word("cut")
	l.sample(mountain)
	l.word("bend down, away from you")
	l.sample(valley)
	l.word("bend up")
}
