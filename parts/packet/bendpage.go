package packet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"perch/parts/bend"
	"perch/parts/brake"
	"perch/parts/decimal"
	"perch/parts/measure"
	"perch/parts/paper"
	"perch/parts/plane"
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
	f.Para("The number of a bend is that of the step in which it is made here, and on the blank's own page. You stand at the left of each picture; "+atBrake(plan), paper.Style{})
	p.bendPictures(f, plan)
	if len(plan.Steps) > 0 {
		f.Table(p.bendTable(plan))
	}
	p.bendWarnings(f, plan)
	if plan.Refused != nil {
		p.bendRefused(f, plan)
	}
}

// atBrake says what a picture shows of the brake, how a step is done and what to mind.
func atBrake(plan *brake.BlankPlan) string {
	if plan.Press() {
		return "the punch is shown down, where it ends. Press to the angle told, let go, measure: it is an estimate. Hands off the sheet's underside and out from between punch and die before it comes down; the sheet swings up as it bends."
	}
	return "the clamp is shown closed, the leaf where it ends. Pull to the angle told, let go, measure: it is an estimate. Fingers out of the clamp before it closes."
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

// bendWords is the height of a plan's table and of what is to be minded, mm.
func (p *Packet) bendWords(f *paper.Flow, plan *brake.BlankPlan) float64 {
	scratch := &paper.Flow{Doc: &paper.Document{}, New: func() *paper.Page { return &paper.Page{Sheet: paper.Sheet{Wide: f.Wide() + 100, High: 1e5}} }}
	scratch.On(scratch.New(), plane.Box{Max: plane.Point{X: f.Wide(), Y: 1e5}})
	if len(plan.Steps) > 0 {
		scratch.Table(p.bendTable(plan))
	}
	p.bendWarnings(scratch, plan)
	return scratch.Y()
}

// bendTable tells the steps.
func (p *Packet) bendTable(plan *brake.BlankPlan) paper.Table {
	hold, pull, tools, flatten := "hold", "pull to", "fingers from the left", "under the fingers, clamp down on it"
	if plan.Press() {
		hold, pull, tools, flatten = "to the back", "press to", "punch, from the left", "between flat tools in place of punch and die"
	}
	t := paper.Table{Columns: []paper.Column{{Head: "n", Right: true}, {Head: "bend"}, {Head: hold}, {Head: "drawn side"}, {Head: "set the line", Weight: 1},
		{Head: "turn", Right: true}, {Head: "included", Right: true}, {Head: pull, Right: true}, {Head: "radius", Right: true}, {Head: tools}}}
	for i := range plan.Steps {
		s := &plan.Steps[i]
		var folds []string
		for _, k := range s.Folds {
			folds = append(folds, p.Names.Face(plan.Blank, p.Assembly.Blanks[plan.Blank].Flat.Folds[k].B))
		}
		what := strings.Join(folds, " and ")
		if s.Op == brake.Flatten {
			t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), "flatten the hem " + what, "", "", flatten, "", "", "", "", ""})
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
			angle(s.Turned), angle(math.Pi - s.Turned), angle(float64(s.StopAngle() * bend.Degree)), p.Paper.Fine(s.Radius), strings.TrimSpace(s.Punch + " " + s.FingersFrom(p.Paper.System))})
	}
	return t
}

func angle(a float64) string { return string(decimal.Append(nil, a/bend.Degree, 1)) + "°" }
