package mockup

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
)

// Options of a mock-up's pages.
type Options struct {
	Sheet paper.Sheet   // upright
	Title paper.Title   // what is the same on all pages: design, size, shop, source
	Paper measure.Paper // how lengths are written
}

// Pages makes the document of a paper model. The error is of Make, a *TilesError, or ctx's.
func Pages(ctx context.Context, a *panel.Assembly, scale Scale, opt Options) (*paper.Document, error) {
	m, err := Make(a, scale)
	if err != nil {
		return nil, err
	}
	w := &writer{Options: opt, scale: scale, legend: modelLegend, doc: &paper.Document{Name: strings.TrimSpace(a.Design + " " + a.Size + ", paper model " + scale.String())}}
	for i := range a.Copies {
		w.pieces = append(w.pieces, m.pieceOf(i))
	}
	if err := w.sort(); err != nil {
		return nil, err
	}
	pieces, err := w.write(ctx)
	if err != nil {
		return nil, err
	}
	if err := w.together(m); err != nil {
		return nil, err
	}
	w.doc.Pages = append(w.doc.Pages, pieces...)
	return w.doc, nil
}

// writer makes pages.
type writer struct {
	Options
	scale  Scale
	legend func(*paper.Page) // at the foot of every page with pieces
	doc    *paper.Document
	pieces []*piece
	small  []int    // pieces that go on a page whole
	large  []*grid  // those that take several
	lost   []string // what found no room where it belongs
}

const legendHigh = 7.0

// fresh is a page for pieces.
func (w *writer) fresh(what string) *paper.Page {
	p := &paper.Page{Sheet: w.Sheet, Title: w.Title}
	p.Title.Blank, p.Title.Scale = what, w.scale.String()
	return p
}

// area is where pieces go on a page.
func (w *writer) area() plane.Box {
	b := w.fresh("").Area()
	b.Max.Y -= legendHigh
	return b
}

// flow is for text, on pages of its own.
func (w *writer) flow(title string) *paper.Flow {
	first := true
	return &paper.Flow{Doc: w.doc, Title: title, New: func() *paper.Page {
		p := w.fresh(strings.ToLower(title))
		if first {
			p.Bookmark = title
		}
		first = false
		return p
	}}
}

// sort turns the paper as it suits and finds the pieces that need several pages.
func (w *writer) sort() error {
	for _, p := range w.pieces {
		p.named()
	}
	w.chooseSheet()
	area := w.area()
	for i, p := range w.pieces {
		if fits(p, area.Size()) {
			w.small = append(w.small, i)
			continue
		}
		g, err := newGrid(p, area, w.Sheet.Name, w.scale)
		if err != nil {
			return err
		}
		w.large = append(w.large, g)
	}
	return nil
}

// write puts all pieces on pages, small ones first.
func (w *writer) write(ctx context.Context) ([]*paper.Page, error) {
	out, err := w.packed(ctx)
	for _, g := range w.large {
		first := true
		for row := range g.ny {
			for col := range g.nx {
				if !g.has(col, row) {
					continue
				}
				page := w.fresh(g.piece.name + ", page " + g.tile(col, row))
				if page.Bookmark = page.Title.Blank; !first {
					page.Level = 1
				}
				first = false
				out = append(out, page)
				w.fill(page, func(c *canvas) { g.draw(c, w.area(), col, row) })
			}
		}
	}
	if err == nil {
		err = ctx.Err()
	}
	return out, err
}

// fill draws a page with its legend, and keeps what found no room.
func (w *writer) fill(page *paper.Page, draw func(*canvas)) {
	w.legend(page)
	c := &canvas{page: page}
	draw(c)
	for _, what := range c.lost {
		w.lost = append(w.lost, what+" ("+page.Title.Blank+")")
	}
}

// grids shows how the pages of large pieces lie.
func (w *writer) grids(f *paper.Flow) {
	if len(w.large) == 0 {
		return
	}
	f.Heading("On several pages")
	f.Para("Columns by letter from the left, rows by number from the top.", paper.Style{})
	const inRow, gap = 2, 6.0
	for from := 0; from < len(w.large); from += inRow {
		box := f.Box(overviewHigh)
		wide := float64((box.Size().X - gap) / inRow)
		for i, g := range w.large[from:min(from+inRow, len(w.large))] {
			left := box.Min.X + float64(float64(i)*(wide+gap))
			text := fmt.Sprintf("%s: %d pages", g.piece.name, g.pages())
			f.Page().Text(paper.Label{Text: paper.Shorten(text, paper.Style{}, wide), At: plane.Point{X: left, Y: box.Min.Y + paper.Body}})
			g.overview(f.Page(), plane.Box{Min: plane.Point{X: left, Y: box.Min.Y + float64(1.6*paper.Body)}, Max: plane.Point{X: left + wide, Y: box.Max.Y}})
		}
		f.Space(3)
	}
}

const overviewHigh = 48.0 // mm, with its name

// chooseSheet turns the paper as the pieces fit better.
func (w *writer) chooseSheet() {
	up := w.Sheet
	w.Sheet = up.Landscape()
	side := w.area().Size()
	w.Sheet = up
	if !tall(w.pieces, w.area().Size(), side) {
		w.Sheet = up.Landscape()
	}
}

// packed puts the pieces that fit on pages.
func (w *writer) packed(ctx context.Context) (out []*paper.Page, err error) {
	spreads, err := pack(ctx, w.pieces, w.small, w.area())
	if err != nil {
		return nil, fmt.Errorf("laying the pieces on pages: %w", err)
	}
	for n, s := range spreads {
		page := w.fresh(fmt.Sprintf("pieces, page %d of %d", n+1, len(spreads)))
		page.Bookmark = page.Title.Blank
		out = append(out, page)
		var on []*piece
		for _, i := range s.pieces {
			on = append(on, w.pieces[i])
		}
		w.fill(page, func(c *canvas) { c.draw(on, s.to) })
	}
	return out, nil
}

// legend is a line at the foot of a page that says what lines and signs mean.
type legend struct {
	page *paper.Page
	x, y float64
}

func newLegend(p *paper.Page) *legend {
	area := p.Area()
	return &legend{p, area.Min.X, area.Max.Y - 1}
}

// middle is the height of what stands beside words.
func (l *legend) middle() float64 { return l.y - float64(paper.Body*0.36) }

func (l *legend) word(text string) {
	l.page.Text(paper.Label{Text: text, At: plane.Point{X: l.x, Y: l.y}})
	l.x += paper.Style{}.Width(text) + 4
}

func (l *legend) sample(pen paper.Pen) {
	l.page.Line(pen, plane.Point{X: l.x, Y: l.middle()}, plane.Point{X: l.x + 10, Y: l.middle()})
	l.x += 11.5
}

func (l *legend) sign(front bool) {
	c := &canvas{page: l.page}
	c.ring(sign{letter: "A", front: front}, ringStyle(front), plane.Point{X: l.x + 2.6, Y: l.middle()}, ringRadius("A"))
	l.x += 6.5
}

// modelLegend says what a model's lines and signs mean.
func modelLegend(p *paper.Page) {
	l := newLegend(p)
	l.sample(paper.Visible)
	l.word("cut")
	l.sample(mountain)
	l.word("M: fold away")
	l.sample(valley)
	l.word("V: fold to you")
	l.sign(true)
	l.word("glue here")
	l.sign(false)
	l.word("glue behind")
}

// together is the page that shows how the pieces go together.
func (w *writer) together(m *Model) error {
	f := w.flow("How it goes together")
	for _, text := range w.advice(m) {
		f.Item(text, false)
	}
	if err := w.pictures(f, m.Assembly, m.copyName); err != nil {
		return err
	}
	steps := paper.Table{Columns: []paper.Column{{Head: "step", Right: true}, {Head: "piece"}, {Head: "its own tabs"}, {Head: "glue it", Weight: 1}}}
	for i, s := range m.Steps {
		var own, to []string
		for _, g := range s.Closes {
			own = append(own, m.Glues[g].Letter)
		}
		for _, g := range s.Glues {
			to = append(to, m.Glues[g].Letter+" to "+m.copyName(m.Glues[g].Other(s.Copy).Copy))
		}
		steps.Rows = append(steps.Rows, []string{fmt.Sprint(i + 1), m.copyName(s.Copy), strings.Join(own, ", "), strings.Join(to, ", ")})
	}
	f.Heading("In this order")
	f.Table(steps)
	if len(m.Gaps) > 0 {
		f.Heading("Without a tab: hold with tape")
		for _, g := range m.Gaps {
			f.Item(m.faceWords(g.A)+" to "+m.faceWords(g.B), false)
		}
	}
	w.untold(f)
	w.folds(f, m)
	w.grids(f)
	return nil
}

// untold says what found no room on the pieces' pages.
func (w *writer) untold(f *paper.Flow) {
	if len(w.lost) > 0 {
		f.Heading("No room where they belong")
		f.Para(strings.Join(w.lost, ", "), paper.Style{})
	}
}

// folds lists every blank's folds, those that are alike together.
func (w *writer) folds(f *paper.Flow, m *Model) {
	t := paper.Table{Columns: []paper.Column{{Head: "piece"}, {Head: "angle", Right: true}, {Head: "way"}, {Head: "folds", Weight: 1}}}
	for i := range m.Assembly.Blanks {
		from := len(t.Rows)
		for _, s := range m.Patterns[i].Strips {
			name, row := m.names.Fold(i, s.Fold), []string{m.names.Blank(i), angle(s.Angle), w.howWord(&s), ""}
			at := slices.IndexFunc(t.Rows[from:], func(r []string) bool { return r[1] == row[1] && r[2] == row[2] })
			if at < 0 {
				row[3] = name
				t.Rows = append(t.Rows, row)
			} else {
				t.Rows[from+at][3] += ", " + name
			}
		}
	}
	if len(t.Rows) > 0 {
		f.Heading("Folds")
		f.Table(t)
	}
}

func (w *writer) howWord(s *Strip) string {
	switch s.How {
	case Twice:
		return way(s.Down) + ", two creases"
	case Over:
		return way(s.Down) + ", pressed flat"
	case Roll:
		return fmt.Sprintf("%s, rolled round Ø %s%s", way(s.Down), w.Paper.Overall(2*s.Radius*w.scale.Factor()), w.Paper.Unit())
	}
	return way(s.Down)
}

// advice is what somebody must know who has made no model yet.
func (w *writer) advice(m *Model) []string {
	thick := 0.0
	for _, b := range m.Assembly.Blanks {
		if t := b.Flat.Panel.Stock.Thickness * w.scale.Factor(); thick == 0 || t < thick {
			thick = t
		}
	}
	return []string{
		fmt.Sprintf("Print at 100 %% and hold a ruler to the bar: the whole of it is %s%s of the piece.", w.Paper.Overall(paper.BarLong(w.Paper.System)/w.scale.Factor()), w.Paper.Unit()),
		fmt.Sprintf("Paper up to %s%s thick fits as the metal does: it stands for the middle of the sheet.", w.Paper.Fine(thick), w.Paper.Unit()),
		"Cut along the thick lines. A knife cuts fingers as well as paper: a steel rule, a fresh blade, a mat below, the other hand never before the blade.",
		"Draw along the fold lines with something blunt before folding. M is a mountain, away from you who look at the printed side; V is a valley, towards you. The number is the angle to fold by: 0° is flat.",
		"Equal letters are glued to each other. A black disc: glue on the printed side there. A dashed ring: glue on the back, behind it.",
		"The model shows shapes and how they meet. It tells nothing of strength.",
	}
}
