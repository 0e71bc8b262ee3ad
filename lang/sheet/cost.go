package sheet

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"perch/parts/cutplan"
	"perch/parts/decimal"
	"perch/parts/measure"
	"perch/parts/nest"
)

// JobReport tells of a job that was nested and planned.
type JobReport struct {
	Sheets   []SheetReport  `json:"sheets"`
	Lines    []CostLine     `json:"lines"`
	Total    CostLine       `json:"total"`
	Unplaced []Unplaced     `json:"unplaced,omitempty"` // by a search that was stopped
	Currency string         `json:"currency,omitempty"`
	Neglects string         `json:"neglects"`
	In       measure.System `json:"-"`      // that people read it in
	Timed    bool           `json:"timed"`  // a table profile gave times
	Priced   bool           `json:"priced"` // sheets have prices
}

// Unplaced are blanks that are on no sheet.
type Unplaced struct {
	Blank string `json:"blank"`
	Of    string `json:"of,omitempty"`
	Count int    `json:"count"`
}

// neglects is what the times and costs leave out.
const neglects = "acceleration of the torch, loading and clearing, worn nozzles changed, bending and finishing"

// SheetReport tells of one sheet.
type SheetReport struct {
	Name    string        `json:"name"`
	Stock   string        `json:"stock"`
	Told    measure.Text  `json:"-"`               // the stock, for people
	Count   int           `json:"count"`           // of blanks that lie on it
	Said    string        `json:"proof,omitempty"` // what was found in the drawing; empty where nothing is asked of the sheet
	Tally   cutplan.Tally `json:"-"`
	Used    float64       `json:"used"` // by blanks, of the sheet's area
	Remnant [2]float64    `json:"rectangle_left_mm"`
	Saved   string        `json:"remnant_file,omitempty"`
	Cut     float64       `json:"cut_mm"`
	Travel  float64       `json:"travel_mm"`
	Pierces int           `json:"pierces"`
	Seconds float64       `json:"seconds"`
	left    float64       // area that is saved, mm²
}

// CostLine is what alike blanks on one sheet take, all of them together.
type CostLine struct {
	Blank      string  `json:"blank,omitempty"`
	Of         string  `json:"of,omitempty"`
	Revision   string  `json:"revision,omitempty"`
	Count      int     `json:"count"`
	Material   string  `json:"material,omitempty"`
	Thickness  float64 `json:"thickness_mm,omitempty"`
	Sheet      string  `json:"sheet,omitempty"`
	Numbers    string  `json:"numbers,omitempty"`
	Cut        float64 `json:"cut_mm"`
	Pierces    int     `json:"pierces"`
	Seconds    float64 `json:"seconds"`
	Machine    float64 `json:"machine"`
	Wear       float64 `json:"consumables"`
	SheetShare float64 `json:"sheet_share"`
	Cost       float64 `json:"cost"`
	CostEach   float64 `json:"cost_each,omitempty"`
}

// charge adds what a sheet takes to the report, a line for alike blanks.
func (n Nesting) charge(r *JobReport, s *SheetReport, w *worklist, u nest.Used, p planned) error {
	m, err := cutplan.Measure(p.plan, n.Profile)
	if err != nil {
		return err
	}
	s.Cut, s.Travel, s.Pierces, s.Seconds = quantised(m.Cut), quantised(m.Travel), m.Pierces, quantised(m.Seconds)
	r.Timed = n.Profile != nil
	price := n.price(w, u.Sheet, s)
	r.Priced = r.Priced || price > 0
	parts := p.plan.Sheet.Parts
	var area float64
	for i := range parts {
		if p.plan.Holds(i) {
			area += parts[i].Region.Area()
		}
	}
	for i := 0; i < len(parts); {
		line := CostLine{Blank: parts[i].Name, Of: parts[i].Of, Revision: parts[i].Revision, Material: p.plan.Sheet.Material, Thickness: p.plan.Sheet.Thickness, Sheet: s.Name}
		var numbers []int
		var own float64
		piece := u.Placed[i].Piece
		for ; i < len(parts) && u.Placed[i].Piece == piece; i++ {
			if !p.plan.Holds(i) {
				continue
			}
			x := m.Parts[i]
			line.Count++
			numbers = append(numbers, parts[i].Number)
			line.Cut += x.Cut
			line.Pierces += x.Pierces
			line.Seconds += x.Seconds
			line.Machine += x.Machine
			line.Wear += x.Wear
			own += parts[i].Region.Area()
		}
		if line.Count == 0 {
			continue
		}
		line.Numbers = cutplan.Ranges(numbers)
		line.SheetShare = float64(price * own / area)
		line.finish()
		r.Lines = append(r.Lines, line)
	}
	return nil
}

// finish rounds a line, so that lines add up, and adds its costs.
func (l *CostLine) finish() {
	for _, v := range []*float64{&l.Cut, &l.Seconds, &l.Machine, &l.Wear, &l.SheetShare} {
		*v = quantised(*v)
	}
	l.Cost = quantised(l.Machine + l.Wear + l.SheetShare)
	if l.Count > 0 {
		l.CostEach = quantised(l.Cost / float64(l.Count))
	}
}

func quantised(x float64) float64 { return math.Round(x*1e4) / 1e4 }

// price is what a sheet is charged: the whole of it, or what is used up, which is
// all but the remnant that is saved. A remnant is free where whole sheets are
// charged, since the job before has paid for it; else it costs as its metal does.
func (n Nesting) price(w *worklist, sheet int, s *SheetReport) float64 {
	of := &w.Sheets[sheet]
	area := metalOf(of).Area()
	switch {
	case n.Whole:
		return of.Price // a remnant's is 0
	case len(of.Outline) == 0:
		return float64(of.Price * (1 - s.left/area))
	}
	for i := range w.Sheets {
		o := &w.Sheets[i]
		if len(o.Outline) == 0 && sameStock(o.Material, o.Thickness, of.Material, of.Thickness) {
			return float64(o.Price * (area - s.left) / metalOf(o).Area())
		}
	}
	return 0
}

// sum adds the lines up.
func (r *JobReport) sum() {
	t := CostLine{}
	for _, l := range r.Lines {
		t.Count += l.Count
		t.Cut += l.Cut
		t.Pierces += l.Pierces
		t.Seconds += l.Seconds
		t.Machine += l.Machine
		t.Wear += l.Wear
		t.SheetShare += l.SheetShare
	}
	t.finish()
	t.CostEach = 0
	r.Total = t
}

// Travel is the way with the torch out, on all sheets, mm.
func (r *JobReport) Travel() float64 {
	var s float64
	for i := range r.Sheets {
		s += r.Sheets[i].Travel
	}
	return s
}

// CSV writes the job's cut list: a line for alike blanks on one sheet, and the
// totals, lengths in the units that the job is read in. Without a table profile the times, without prices the costs, stay empty.
func (r *JobReport) CSV(w io.Writer) error {
	c := csv.NewWriter(w)
	unit, scale := r.In.Unit(), r.In.Scale()
	c.Write([]string{"blank", "of", "count", "material", "thickness_" + unit, "sheet", "numbers", "cut_" + unit, "pierces", "machine_s",
		"machine_cost", "consumables", "sheet_share", "cost", "cost_each", "revision"})
	num := func(x float64, digits int, told bool) string {
		if !told {
			return ""
		}
		return string(decimal.Append(nil, x, digits))
	}
	for _, l := range append(r.Lines[:len(r.Lines):len(r.Lines)], r.Total) {
		thick, each := num(l.Thickness/scale, 3+int(r.In), true), num(l.CostEach, 4, r.Timed || r.Priced)
		if l.Blank == "" {
			l.Blank, thick, each = "total", "", ""
		}
		c.Write([]string{l.Blank, l.Of, strconv.Itoa(l.Count), l.Material, thick, l.Sheet, l.Numbers,
			num(l.Cut/scale, 1, true), strconv.Itoa(l.Pierces), num(l.Seconds, 1, r.Timed), num(l.Machine, 4, r.Timed), num(l.Wear, 4, r.Timed),
			num(l.SheetShare, 4, r.Priced), num(l.Cost, 4, r.Timed || r.Priced), each, l.Revision})
	}
	c.Flush()
	return c.Error()
}
