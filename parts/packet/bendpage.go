package packet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"perch/parts/bend"
	"perch/parts/blankpage"
	"perch/parts/brake"
	"perch/parts/decimal"
	"perch/parts/drawing"
	"perch/parts/measure"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// bending makes the pages of every plan: the piece as it stands after each step, from the
// machine's end, and a table.
func (p *Packet) bending(doc *paper.Document) {
	for i := range p.Plans {
		p.bendPlan(doc, &p.Plans[i])
	}
}

func (p *Packet) bendPlan(doc *paper.Document, plan *brake.BlankPlan) {
	name := p.Names.Blank(plan.Blank)
	way := strconv.Itoa(plan.Count) + " as drawn"
	if plan.Mirrored {
		way = strconv.Itoa(plan.Count) + " mirrored, bent the other way"
	}
	sheet := p.Sheet.Landscape()
	f := &paper.Flow{Doc: doc, Title: "Bending " + name + " – " + way, New: func() *paper.Page {
		page := p.page(sheet, name+", bending", "bending "+name)
		page.Level = 1
		page.Title.Count, page.Title.Material = way, p.stock(p.Assembly.Blanks[plan.Blank])
		return page
	}}
	f.Para("The number of a bend is that of the step in which it is made here, and on the blank's own page. You stand at the left of each picture; the clamp is shown closed, the leaf where it ends. Pull to the angle told, let go, measure: it is an estimate. Fingers out of the clamp before it closes.", paper.Style{})
	p.bendPictures(f, plan)
	if len(plan.Steps) > 0 {
		f.Table(p.bendTable(plan))
	}
	p.bendWarnings(f, plan)
	if plan.Refused != nil {
		p.bendRefused(f, plan)
	}
}

// bendRefused tells why a blank can't be bent, or not to its end.
func (p *Packet) bendRefused(f *paper.Flow, plan *brake.BlankPlan) {
	r := plan.Refused
	switch {
	case r.Bound:
		f.Para("No plan was found before the search was given up; there may be one.", paper.Style{Bold: true})
	case len(plan.Steps) == 0:
		f.Para("It can't be bent on this brake:", paper.Style{Bold: true})
	default:
		f.Para("So far it goes; then it can't be bent any further on this brake, nor in any other order:", paper.Style{Bold: true})
	}
	var told []string // held on either side the same may stop a fold
	for _, b := range r.Next {
		if text := p.Names.Fold(plan.Blank, b.Fold) + ": " + plan.Words(b).In(p.Paper.System); !slices.Contains(told, text) {
			told = append(told, text)
			f.Item(text, false)
		}
	}
	f.Item("What would help: "+r.Help.In(p.Paper.System), false)
}

// bendWarnings tells what to mind, once for all steps that it is true of.
func (p *Packet) bendWarnings(f *paper.Flow, plan *brake.BlankPlan) {
	steps := map[string][]string{}
	var order []string
	for i := range plan.Steps {
		for _, w := range plan.Steps[i].Warnings {
			text := w.In(p.Paper.System)
			if steps[text] == nil {
				order = append(order, text)
			}
			steps[text] = append(steps[text], strconv.Itoa(i+1))
		}
	}
	for _, text := range order {
		f.Item(measure.Plural(len(steps[text]), "step")+" "+strings.Join(steps[text], ", ")+", mind: "+text, false)
	}
}

// bendTable tells the steps.
func (p *Packet) bendTable(plan *brake.BlankPlan) paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "n", Right: true}, {Head: "bend"}, {Head: "hold"}, {Head: "drawn side"}, {Head: "set the line", Weight: 1},
		{Head: "turn", Right: true}, {Head: "included", Right: true}, {Head: "pull to", Right: true}, {Head: "radius", Right: true}, {Head: "fingers from the left"}}}
	for i := range plan.Steps {
		s := &plan.Steps[i]
		var folds []string
		for _, k := range s.Folds {
			folds = append(folds, p.Names.Face(plan.Blank, p.Assembly.Blanks[plan.Blank].Flat.Folds[k].B))
		}
		what := strings.Join(folds, " and ")
		if s.Op == brake.Flatten {
			t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), "flatten the hem " + what, "", "", "under the fingers, clamp down on it", "", "", "", "", ""})
			continue
		}
		if s.Op == brake.StartHem {
			what = "start the hem " + what
		}
		side := "down"
		if s.DrawnUp {
			side = "up"
		}
		line := "the nicks"
		if s.Line.Distance > 0 {
			line = measure.Say("%.1f", measure.Length(s.Line.Distance)).In(p.Paper.System) + " from " + s.Line.From
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), what, p.Names.Face(plan.Blank, s.Held), side, line,
			angle(s.Turned), angle(math.Pi - s.Turned), angle(float64(s.StopAngle() * bend.Degree)), p.Paper.Fine(s.Radius), s.FingersFrom(p.Paper.System)})
	}
	return t
}

func angle(a float64) string { return string(decimal.Append(nil, a/bend.Degree, 1)) + "°" }

const (
	stepWide  = 64.0  // of a step's picture with its caption, least
	stepMost  = 125.0 // … and most
	stepPad   = 4.0
	toolReach = 38.0 // mm of the brake that are shown, before and behind its front edge
)

// bendPictures draws every step in a grid.
func (p *Packet) bendPictures(f *paper.Flow, plan *brake.BlankPlan) {
	perRow := max(1, min(len(plan.Steps), int(f.Wide()/stepWide)))
	wide := min(stepMost, f.Wide()/float64(perRow))
	high := 20 + float64(wide/2)
	flat := p.Assembly.Blanks[plan.Blank].Flat
	turned := make([]float64, len(flat.Folds))
	for i := 0; i < len(plan.Steps); i += perRow {
		row := f.Box(high)
		for k := i; k < min(i+perRow, len(plan.Steps)); k++ {
			s := &plan.Steps[k]
			for _, fold := range s.Folds {
				if turned[fold] += s.Turned; s.Op == brake.Flatten {
					turned[fold] = flat.Folds[fold].Bend.Angle
				}
			}
			left := row.Min.X + float64(wide*float64(k-i))
			p.bendPicture(f.Page(), plan, k, turned, plane.Box{Min: plane.Point{X: left, Y: row.Min.Y}, Max: plane.Point{X: left + wide - stepPad, Y: row.Max.Y}})
		}
	}
}

// bendPicture draws one step in a box: what is bent so far, from the machine's end, with the
// brake's sections by dashes.
func (p *Packet) bendPicture(page *paper.Page, plan *brake.BlankPlan, k int, turned []float64, box plane.Box) {
	s := &plan.Steps[k]
	b := p.Assembly.Blanks[plan.Blank]
	fold := &b.Flat.Folds[s.Folds[0]]
	facets, err := drawing.PartlyBent(b, s.Held, func(i int) float64 { return turned[i] })
	if err != nil {
		return
	}
	tangent := fold.TangentA[0]
	u := fold.To.Sub(fold.From).Unit()
	into := u.Perp() // face A lies left of the fold
	if !s.HeldA {
		tangent, into = fold.TangentB[0], into.Neg()
	}
	up := solid.Vec{Z: 1}
	if !s.DrawnUp {
		up.Z = -1
	}
	if plan.Mirrored { // the same flat laid over: what was up lies down
		up.Z = -up.Z
	}
	right := solid.Vec{X: into.X, Y: into.Y}
	surfaces, seen, err := drawing.Orthographic(facets, right.Cross(up), up)
	if err != nil {
		return
	}
	thick := b.Flat.Panel.Stock.Thickness
	origin := plane.Point{X: tangent.Dot(into)} // of the held tangent, the sheet's lower face
	if up.Z > 0 {
		origin.Y = thick
	}
	tools := toolLines(p.Shop, s, thick)
	all := seen
	for _, l := range tools {
		for _, q := range l {
			all = all.With(plane.Point{X: origin.X + q.X, Y: origin.Y - q.Y})
		}
	}
	const caption = 10.0
	room := plane.Point{X: box.Size().X, Y: box.Size().Y - caption}
	n := paper.ScaleFor(all.Size(), room)
	at := plane.Point{X: box.Min.X + float64((room.X-all.Size().X/n)/2), Y: box.Max.Y - caption - all.Size().Y/n}
	to := func(q plane.Point) plane.Point {
		return plane.Point{X: at.X + (origin.X+q.X-all.Min.X)/n, Y: at.Y + (origin.Y-q.Y-all.Min.Y)/n}
	}
	for _, l := range tools {
		loop := make(plane.Loop, len(l))
		for i, q := range l {
			loop[i].P = to(q)
		}
		page.Fill(paper.Pale, loop)
		page.Sketch(paper.Hidden, true, loop)
	}
	blankpage.Show(page, surfaces, seen, plane.Point{X: at.X + (seen.Min.X-all.Min.X)/n, Y: at.Y + (seen.Min.Y-all.Min.Y)/n}, n)
	page.Reserve(plane.Box{Min: at, Max: at.Add(all.Size().Scale(1 / n))})
	bold := paper.Style{Bold: true}
	text := strconv.Itoa(k+1) + "  " + p.Names.Face(plan.Blank, fold.B) + " " + angle(turned[s.Folds[0]]) + ", " + paper.ScaleName(n)
	page.Text(paper.Label{Text: paper.Shorten(text, bold, room.X), At: plane.Point{X: box.Min.X, Y: box.Max.Y - caption + 4.5}, Style: bold})
	page.Text(paper.Label{Text: paper.Shorten("hold "+p.Names.Face(plan.Blank, s.Held), paper.Style{}, room.X), At: plane.Point{X: box.Min.X, Y: box.Max.Y - 1.2}})
}

// toolLines are the sections of a leaf brake's bed, leaf and finger near the bend, as far as the
// shop tells them, x to the back from the held tangent, y up from the sheet's lower face; none
// of a V die.
func toolLines(s *shop.Shop, step *brake.Step, thick float64) [][]plane.Point {
	if s == nil || s.Brake.Kind != shop.BrakeLeaf || step.Op == brake.Flatten {
		return nil
	}
	b := &s.Brake
	bed := []plane.Point{{}, {X: toolReach}, {X: toolReach, Y: -toolReach / 2}, {Y: -toolReach / 2}}
	neck, heel := min(b.FingerNeck, toolReach), min(b.FingerHeel, toolReach)
	high := min(b.FingerHeight, toolReach)
	finger := []plane.Point{{Y: thick}, {X: min(neck, high), Y: thick + min(neck, high)}, {X: min(neck, high), Y: thick + high}, {X: heel, Y: thick + high}, {X: heel, Y: thick}}
	sin, cos := elementary.Sincos(step.Turned)
	pivot := plane.Point{Y: thick + step.Radius}
	wide := min(b.LeafWidth, toolReach)
	var leaf []plane.Point
	for _, q := range []plane.Point{{}, {X: -wide}, {X: -wide, Y: -toolReach / 2}, {Y: -toolReach / 2}} {
		q = q.Sub(pivot)
		leaf = append(leaf, pivot.Add(plane.Point{X: float64(q.X*cos) + float64(q.Y*sin), Y: float64(q.Y*cos) - float64(q.X*sin)}))
	}
	return [][]plane.Point{bed, finger, leaf}
}
