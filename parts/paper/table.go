package paper

import "perch/parts/plane"

// Column of a table.
type Column struct {
	Head   string
	Weight float64 // of its width beyond its least; 0: as wide as its widest cell
	Right  bool    // numbers, one below the other
	Tick   bool    // a box to tick in every row; its cells are empty
	// Draw, where set, draws a row's sign with its middle at a point, before the cell's text.
	Draw func(p *Page, row int, middle plane.Point)
}

// Table of text. A cell may have several lines; a row stays on one page unless it is higher
// than one.
type Table struct {
	Columns []Column
	Rows    [][]string
}

const (
	tablePad  = 1.5 // beside a cell's text
	tableRow  = 0.7 // above and below it
	leastCell = 9.0 // wide
)

// Widths are the columns' widths on paper so wide: what each needs for its longest cell,
// less where that is too much together, shared by weight where something is left.
func (t Table) Widths(wide float64) []float64 {
	need := make([]float64, len(t.Columns))
	least := make([]float64, len(t.Columns))
	sum, weight := 0.0, 0.0
	for i, c := range t.Columns {
		need[i] = Style{Bold: true}.Width(c.Head)
		least[i] = leastCell
		for _, r := range t.Rows {
			if i < len(r) {
				need[i] = max(need[i], widestLine(r[i]))
				least[i] = max(least[i], min(widestWord(r[i]), wide/4))
			}
		}
		least[i] = max(least[i], min(float64(widestWord(c.Head)*1.15), wide/4))
		if c.Tick {
			need[i] = max(need[i], tickSize+1)
		}
		if c.Draw != nil { // before the cell's text, which stands at the right
			need[i] += tickSize + 1.5
		}
		need[i], least[i] = need[i]+2*tablePad+0.05, least[i]+2*tablePad+0.05
		least[i] = min(least[i], need[i])
		sum += need[i]
		weight += c.Weight
	}
	if sum <= wide {
		if weight > 0 {
			for i, c := range t.Columns {
				need[i] += float64((wide - sum) * c.Weight / weight)
			}
		}
		return need
	}
	return squeezed(need, least, wide)
}

// squeezed takes from the widest columns until all go into wide, from none below its least
// as long as others have more; past that from all alike.
func squeezed(need, least []float64, wide float64) []float64 {
	over, give, sum := -wide, 0.0, 0.0
	for i := range need {
		over += need[i]
		give += need[i] - least[i]
		sum += least[i]
	}
	if give > 0 {
		part := min(1, over/give)
		for i := range need {
			need[i] -= float64((need[i] - least[i]) * part)
		}
	}
	if sum > wide {
		for i := range need {
			need[i] = float64(need[i] * wide / sum)
		}
	}
	return need
}

func widestLine(text string) float64 {
	w := 0.0
	for _, l := range Wrap(text, Style{}, 1e6) {
		w = max(w, Style{}.Width(l))
	}
	return w
}

func widestWord(text string) float64 {
	w := 0.0
	from := 0
	for i := 0; i <= len(text); i++ {
		if i == len(text) || text[i] == ' ' || text[i] == '\n' {
			w = max(w, Style{}.Width(text[from:i]))
			from = i + 1
		}
	}
	return w
}

// High is how high the table is on paper so wide, where it is not broken.
func (t Table) High(wide float64) float64 {
	widths := t.Widths(wide)
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	high := t.cells(heads, widths, Style{Bold: true}).high
	for _, r := range t.Rows {
		high += t.cells(r, widths, Style{}).high
	}
	return high + 2
}

// Table writes a table, its head again on every page that it goes on to.
func (f *Flow) Table(t Table) {
	widths := t.Widths(f.Wide())
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = c.Head
	}
	head := t.cells(heads, widths, Style{Bold: true})
	if whole := t.High(f.Wide()); f.Left() < whole && whole < f.whole()/2 {
		f.next() // a table that is small stays together
	}
	f.Need(head.high + float64(Style{}.Lead()*2))
	f.row(t, head, widths, Style{Bold: true}, -1)
	for i, r := range t.Rows {
		c, n := t.cells(r, widths, Style{}), i
		for !c.done() {
			if f.Left() < c.high {
				if whole := f.area.Size().Y / 2; c.high < whole || f.Left() < float64(3*Style{}.Lead()) {
					f.next()
					f.row(t, head, widths, Style{Bold: true}, -1)
				}
			}
			part := c.cut(f.Left())
			f.row(t, part, widths, Style{}, n)
			n = goesOn
		}
	}
	f.y += 2
}

// cells are a row's cells broken into lines.
type cells struct {
	lines [][]string
	high  float64
}

func (t Table) cells(texts []string, widths []float64, s Style) cells {
	c := cells{lines: make([][]string, len(widths))}
	for i, w := range widths {
		text := ""
		if i < len(texts) {
			text = texts[i]
		}
		c.lines[i] = Wrap(text, s, w-2*tablePad)
	}
	c.measure()
	return c
}

func (c *cells) measure() {
	n := 0
	for _, l := range c.lines {
		n = max(n, len(l))
	}
	c.high = float64(float64(n)*Style{}.Lead()) + 2*tableRow
}

func (c *cells) done() bool { return c.lines == nil }

// cut takes off the lines that go into a height, at least one.
func (c *cells) cut(high float64) cells {
	n := max(1, int((high-2*tableRow)/Style{}.Lead()))
	part := cells{lines: make([][]string, len(c.lines))}
	left := false
	for i, l := range c.lines {
		k := min(n, len(l))
		part.lines[i], c.lines[i] = l[:k], l[k:]
		left = left || len(c.lines[i]) > 0
	}
	part.measure()
	c.measure()
	if !left {
		c.lines = nil
	}
	return part
}

// goesOn is the number of a row's part that has its sign on the page before; −1 is the head's.
const goesOn = -2

// row draws a row with a line below it.
func (f *Flow) row(t Table, c cells, widths []float64, s Style, n int) {
	x, top := f.area.Min.X, f.y
	for i, lines := range c.lines {
		y := top + tableRow + float64(s.size()*ascent)
		for _, l := range lines {
			label := Label{Text: l, At: plane.Point{X: x + tablePad, Y: y}, Style: s}
			if t.Columns[i].Right || t.Columns[i].Draw != nil {
				label.At.X, label.Anchor = x+widths[i]-tablePad, End
			}
			f.page.Text(label)
			y += s.Lead()
		}
		base := plane.Point{X: x + tablePad, Y: top + tableRow + float64(s.size()*ascent)}
		if t.Columns[i].Tick && n >= 0 {
			f.page.Tick(base)
		}
		if draw := t.Columns[i].Draw; draw != nil && n >= 0 {
			draw(f.page, n, base.Add(plane.Point{X: tickSize / 2, Y: -float64(s.size() * 0.36)}))
		}
		x += widths[i]
	}
	f.y += c.high
	pen := Thin
	if n == -1 {
		pen = Visible
		f.page.Line(Thin, plane.Point{X: f.area.Min.X, Y: top}, plane.Point{X: x, Y: top})
	}
	f.page.Line(pen, plane.Point{X: f.area.Min.X, Y: f.y}, plane.Point{X: x, Y: f.y})
}
