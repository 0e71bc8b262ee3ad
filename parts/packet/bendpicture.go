package packet

import (
	"strconv"

	"perch/parts/blankpage"
	"perch/parts/brake"
	"perch/parts/drawing"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

const (
	stepWide    = 64.0  // of a step's picture, least
	stepMost    = 125.0 // … and most
	stepPad     = 4.0
	stepHigh    = 62.0 // of a step's picture, at most
	stepLow     = 36.0 // … where there are many
	stepCaption = 10.0

	closeSize  = 34.0 // of the close-up of a bend, on paper
	closeScale = 2.0  // it is 1:2
)

// toolWindow is what is shown of the tools, about the held tangent, mm, y up.
func toolWindow(s *shop.Shop) plane.Box {
	if s.Brake.Kind == shop.BrakeVDie {
		return plane.RectAt(plane.Point{X: -42, Y: -42}, plane.Point{X: 42, Y: 80}).Bounds()
	}
	return plane.RectAt(plane.Point{X: -38, Y: -20}, plane.Point{X: 38, Y: 42}).Bounds()
}

// bendView is what is bent after a step, from the machine's end, with the brake's sections; all
// in mm of the piece, y down as on the page.
type bendView struct {
	surfaces []drawing.Surface
	piece    plane.Box
	tools    [][]plane.Point
	all      plane.Box   // piece and tools
	bend     plane.Point // the held tangent
	thick    float64     // of the sheet
	least    float64     // no scale is larger than 1:least
	most     float64     // high on paper
	n        float64     // the scale is 1:n
	name     string
	hold     string
}

// close tells whether the tools are too small to be read, so that the bend is drawn again.
func (v *bendView) close() bool { return v.n > closeScale }

// bendPictures draws every step in a grid.
func (p *Packet) bendPictures(f *paper.Flow, plan *brake.BlankPlan) {
	flat := p.Assembly.Blanks[plan.Blank].Flat
	turned := make([]float64, len(flat.Folds))
	var views []*bendView
	least, largest := stepWide, 1.0
	if len(plan.Steps) > 2 {
		largest = 2
	}
	for k := range plan.Steps {
		s := &plan.Steps[k]
		for _, fold := range s.Folds {
			if turned[fold] += s.Turned; s.Op == brake.Flatten {
				turned[fold] = flat.Folds[fold].Bend.Angle
			}
		}
		v, err := p.bendView(plan, k, turned)
		if err != nil {
			continue
		}
		v.least, v.most = largest, stepHigh
		if v.scale(stepWide); v.close() {
			least = stepWide + closeSize
		}
		views = append(views, v)
	}
	perRow := max(1, min(len(views), int(f.Wide()/least)))
	wide := min(stepMost, f.Wide()/float64(perRow))
	// As high as leaves the table on the same page, as far as pictures can be read then.
	rows := float64((len(views) + perRow - 1) / max(1, perRow))
	most := max(stepLow, min(stepHigh, (f.Left()-p.bendWords(f, plan))/max(1, rows)-stepCaption-2))
	for _, v := range views {
		v.most = most
	}
	for i := 0; i < len(views); i += perRow {
		row := views[i:min(i+perRow, len(views))]
		high := 0.0
		for _, v := range row {
			v.scale(wide)
			if high = max(high, v.all.Size().Y/v.n); v.close() {
				high = max(high, closeSize)
			}
		}
		box := f.Box(high + stepCaption + 2)
		for k, v := range row {
			left := box.Min.X + float64(wide*float64(k))
			v.draw(f.Page(), plane.Box{Min: plane.Point{X: left, Y: box.Min.Y}, Max: plane.Point{X: left + wide - stepPad, Y: box.Max.Y}})
		}
	}
}

// scale chooses the view's scale for a width, with a close-up beside it where it is wanted.
func (v *bendView) scale(wide float64) {
	room := plane.Point{X: wide - stepPad, Y: v.most}
	if v.n = paper.ScaleFor(v.all.Size(), room); v.close() && wide > stepWide {
		v.n = paper.ScaleFor(v.all.Size(), plane.Point{X: room.X - closeSize - 2, Y: room.Y})
	}
	v.n = max(v.n, v.least)
}

// bendView looks at a piece after a step, as its folds are turned by then.
func (p *Packet) bendView(plan *brake.BlankPlan, k int, turned []float64) (*bendView, error) {
	s := &plan.Steps[k]
	b := p.Assembly.Blanks[plan.Blank]
	fold := &b.Flat.Folds[s.Folds[0]]
	facets, err := drawing.PartlyBent(b, s.Held, func(i int) float64 { return turned[i] })
	if err != nil {
		return nil, err
	}
	tangent, into := fold.TangentA[0], fold.To.Sub(fold.From).Unit().Perp() // face A lies left of the fold
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
	origin := solid.Vec{X: tangent.X, Y: tangent.Y} // the held tangent on the sheet's lower face
	if up.Z > 0 {
		origin.Z = -b.Flat.Panel.Stock.Thickness
	}
	stand := plan.Standing(p.Shop.Brake, k)
	m := stand.Held // in a press the held side leans: level is seen level
	level, plumb := right.Scale(m.A).Add(up.Scale(m.B)), right.Scale(m.C).Add(up.Scale(m.D))
	v := &bendView{thick: b.Flat.Panel.Stock.Thickness, name: strconv.Itoa(k+1) + "  " + p.Names.Face(plan.Blank, fold.B) + " " + angle(turned[s.Folds[0]]), hold: held(plan, p.Names.Face(plan.Blank, s.Held))}
	if v.surfaces, v.piece, err = drawing.Orthographic(facets, right.Cross(up), plumb); err != nil {
		return nil, err
	}
	at := plane.Point{X: origin.Dot(level), Y: -origin.Dot(plumb)} // the machine's origin but for Held's own move
	at = at.Add(plane.Point{X: -m.E, Y: m.F})
	v.bend, v.all = at.Add(plane.Point{X: m.E, Y: -m.F}), v.piece
	window := toolWindow(p.Shop)
	for _, body := range stand.Bodies {
		var loop []plane.Point
		for _, q := range within(body.Section, window) {
			q = plane.Point{X: at.X + q.X, Y: at.Y - q.Y}
			loop, v.all = append(loop, q), v.all.With(q)
		}
		if len(loop) > 2 {
			v.tools = append(v.tools, loop)
		}
	}
	return v, nil
}

// within is the part of a polygon that lies in a box, its sides cut one after the other.
func within(loop []plane.Point, b plane.Box) []plane.Point {
	for side := range 4 {
		depth := func(q plane.Point) float64 {
			return [4]float64{q.X - b.Min.X, b.Max.X - q.X, q.Y - b.Min.Y, b.Max.Y - q.Y}[side]
		}
		var kept []plane.Point
		for i, q := range loop {
			next := loop[(i+1)%len(loop)]
			d, e := depth(q), depth(next)
			if d >= 0 {
				kept = append(kept, q)
			}
			if (d < 0) != (e < 0) {
				kept = append(kept, q.Lerp(next, d/(d-e)))
			}
		}
		loop = kept
	}
	return loop
}

// draw draws the view with its caption, and the bend near by where the tools are small.
func (v *bendView) draw(page *paper.Page, box plane.Box) {
	size := v.all.Size().Scale(1 / v.n)
	foot, room := box.Max.Y-stepCaption, box.Size().X
	if v.close() {
		room -= closeSize + 2
	}
	v.show(page, v.n, v.all, plane.Point{X: box.Min.X + float64((room-size.X)/2), Y: foot - size.Y})
	text := v.name + ", " + paper.ScaleName(v.n)
	bold := paper.Style{Bold: true}
	page.Text(paper.Label{Text: paper.Shorten(text, bold, room), At: plane.Point{X: box.Min.X, Y: foot + 4.5}, Style: bold})
	page.Text(paper.Label{Text: paper.Shorten(v.hold, paper.Style{}, room), At: plane.Point{X: box.Min.X, Y: box.Max.Y - 1.2}})
	if !v.close() {
		return
	}
	at := plane.Point{X: box.Max.X - closeSize, Y: foot - closeSize}
	half := float64(closeSize * closeScale / 2)
	near := plane.Box{Min: v.bend.Add(plane.Point{X: -half, Y: -half}), Max: v.bend.Add(plane.Point{X: half, Y: half})}
	v.show(page, closeScale, near, at)
	page.Outline(paper.Thin, true, plane.RectAt(at, at.Add(plane.Point{X: closeSize, Y: closeSize})))
	page.Text(paper.Label{Text: "bend " + paper.ScaleName(closeScale), At: plane.Point{X: at.X, Y: foot + 4.5}})
}

// heavy is the width on paper, in mm, below which a sheet seen on its edge is drawn as one line.
const heavy = 1.1

// show draws what lies in a window at a scale of 1:n, the window's upper left corner at a point.
func (v *bendView) show(page *paper.Page, n float64, window plane.Box, at plane.Point) {
	to := func(loop []plane.Point) plane.Loop {
		out := make(plane.Loop, len(loop))
		for i, q := range loop {
			out[i].P = at.Add(q.Sub(window.Min).Scale(1 / n))
		}
		return out
	}
	for _, l := range v.tools {
		if l = within(l, window); len(l) > 2 {
			page.Fill(paper.Pale, to(l))
			page.Sketch(paper.Hidden, true, to(l))
		}
	}
	var shown []drawing.Surface
	var edges []plane.Loop
	for _, s := range v.surfaces {
		cut := drawing.Surface{Light: s.Light}
		for _, l := range s.Loops {
			if l = within(l, window); len(l) < 3 {
				continue
			}
			if cut.Loops = append(cut.Loops, l); v.thick/n < heavy && thin(l, n) {
				edges = append(edges, to(l))
			}
		}
		for _, e := range s.Edges {
			if line := within(e[:], window); len(line) > 1 {
				cut.Edges = append(cut.Edges, [2]plane.Point{line[0], line[1]})
			}
		}
		shown = append(shown, cut)
	}
	blankpage.Show(page, shown, window, at, n)
	for _, l := range edges {
		page.Sketch(paper.Visible, true, l)
	}
}

// thin tells whether a surface is a sheet's edge that is not seen as wide as a line.
func thin(loop []plane.Point, n float64) bool {
	round, area := 0.0, 0.0
	for i, q := range loop {
		next := loop[(i+1)%len(loop)]
		round += q.Dist(next)
		area += float64(q.Cross(next) / 2)
	}
	return max(area, -area) < float64(round*heavy*n)/2
}

// held says where the face goes that is held, or that lies behind the punch of a press.
func held(plan *brake.BlankPlan, face string) string {
	if plan.Press() {
		return face + " to the back"
	}
	return "hold " + face
}
