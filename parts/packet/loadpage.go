package packet

import (
	"fmt"
	"math"

	"perch/parts/naming"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/strength"
	"perch/parts/strength/shown"
)

// carries makes the page on what the loads that the design names do to the piece: an estimate,
// said first, a table, the piece as the load moves it that uses most of its yield, and cautions.
func (p *Packet) carries(doc *paper.Document) {
	if p.Loads == nil || len(p.Loads.Estimates) == 0 {
		return
	}
	f := p.flow(doc, "What it carries: an estimate", "what it carries")
	f.Para("This is "+shown.Estimate+".", paper.Style{Bold: true})
	f.Table(p.loadTable())
	var worst *strength.Estimate
	for i := range p.Loads.Estimates {
		e := &p.Loads.Estimates[i]
		switch {
		case e.Problem != nil:
			f.Item(fmt.Sprintf("%s: no more can be told: %s.", e.Case.Name, shown.Problem(e.Problem)), false)
			continue
		case e.Folds:
			f.Item(e.Case.Name+": it does not stand like this; the least push sideways folds it.", false)
		case e.Used > 1:
			f.Item(fmt.Sprintf("%s: it will dent and keep a set on %s.", e.Case.Name, naming.Plain(e.UsedBy)), false)
		}
		if worst == nil || e.Used > worst.Used {
			worst = e
		}
	}
	if worst != nil && worst.Answer != nil {
		p.moved(f, worst)
	}
	f.Item("Welds are taken as sound, fasteners' strengths are typical ones from memory; impact, fatigue, wear, heat and set are left out.", false)
	f.Item("Prove the piece by a test load, with nobody near or under it. Where the public uses it follow the local code and licensed practice.", false)
}

// loadTable is a row for each load.
func (p *Packet) loadTable() paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "load", Weight: 1}, {Head: "sags", Right: true}, {Head: "sways", Right: true}, {Head: "stiff sideways", Right: true},
		{Head: "of yield", Right: true}, {Head: "of a fastener", Right: true}, {Head: "buckles at", Right: true}, {Head: "tips at", Right: true}}}
	in := p.Paper.System
	for i := range p.Loads.Estimates {
		e := &p.Loads.Estimates[i]
		row := []string{e.Case.Name + ": " + shown.Pushes(p.Assembly, &e.Case).In(in), "–", "–", "–", "–", "–", "–", shown.Times(e.Tips)}
		if e.Held != nil {
			row[7] = "hangs"
		}
		if e.Problem == nil {
			row[1], row[2] = shown.Lengths(e.Sag).In(in), shown.Lengths(e.Sway).In(in)
			if e.Racking[1] > 0 {
				row[3] = shown.Stiffness(e.Racking).In(in)
			}
			row[4], row[6] = shown.Percent(e.Used), shown.Times(e.Buckling)
			if e.Weakest != "" {
				row[5] = shown.Percent(e.Fastener)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// movedHigh is the height of the picture with its caption, at most.
const movedHigh = 130.0

// moved draws the piece as a load moves it.
func (p *Packet) moved(f *paper.Flow, e *strength.Estimate) {
	const caption, pad = 12.0, 4.0
	facets, box, scale := shown.Facets(e)
	size := box.Size()
	high := math.Min(movedHigh, math.Max(60, f.Left()-40))
	zoom := math.Min((f.Wide()-2*pad)/size.X, (high-caption-2*pad)/size.Y)
	room := f.Box(float64(size.Y*zoom) + caption + 2*pad)
	page := f.Page()
	left := float64(room.Min.X + float64((f.Wide()-float64(size.X*zoom))/2))
	to := func(q plane.Point) plane.Point {
		return plane.Point{X: left + float64((q.X-box.Min.X)*zoom), Y: room.Min.Y + pad + float64((q.Y-box.Min.Y)*zoom)}
	}
	for _, q := range facets {
		page.FillPoints(paper.Ink{R: q.Colour[0], G: q.Colour[1], B: q.Colour[2]}, to(q.P[0]), to(q.P[1]), to(q.P[2]))
	}
	page.Reserve(plane.Box{Min: to(box.Min), Max: to(box.Max)})
	middle := room.Min.X + float64(f.Wide()/2)
	page.Text(paper.Label{Text: fmt.Sprintf("under %s, movements drawn %.0f times; not to scale", e.Case.Name, scale), At: plane.Point{X: middle, Y: room.Max.Y - 7}, Anchor: paper.Middle})
	page.Text(paper.Label{Text: "pale: little of the yield stress; red: near all of it; darkest: beyond it", At: plane.Point{X: middle, Y: room.Max.Y - 2}, Anchor: paper.Middle})
}
