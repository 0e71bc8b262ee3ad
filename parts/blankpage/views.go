package blankpage

import (
	"math"

	pictures "perch/parts/drawing"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/solid"
)

// views are of the part bent up, its root face as it lies in the flat, the drawn side up.
type views struct {
	above, front, slant view
	size                solid.Vec // over all
}

type view struct {
	surfaces []pictures.Surface
	box      plane.Box
}

// lookAt makes the views of a part that is bent.
func (d *drawing) lookAt() error {
	if len(d.f.Folds) == 0 {
		return nil
	}
	facets, err := pictures.BlankFacets(d.b)
	if err != nil {
		return err
	}
	v := &views{}
	right, up := d.back(plane.Point{X: 1}), d.back(plane.Point{Y: 1}) // of the page, in the flat
	lie := func(p plane.Point, z float64) solid.Vec { return solid.Vec{X: p.X, Y: p.Y, Z: z} }
	for _, w := range []struct {
		to       *view
		from, up solid.Vec
	}{
		{&v.above, solid.Vec{Z: 1}, lie(up, 0)},
		{&v.front, lie(up.Neg(), 0), solid.Vec{Z: 1}},
		{&v.slant, lie(right.Sub(up.Scale(1.3)), 1), solid.Vec{Z: 1}},
	} {
		if w.to.surfaces, w.to.box, err = pictures.Orthographic(facets, w.from, w.up); err != nil {
			return err
		}
	}
	v.size = solid.Vec{X: v.above.box.Size().X, Y: v.above.box.Size().Y, Z: v.front.box.Size().Y}
	d.views = v
	return nil
}

// Show draws the surfaces of a picture, whose box is given, at a scale of 1:n, with the box's upper
// left corner at a point of the page. No text goes there.
func Show(p *paper.Page, surfaces []pictures.Surface, box plane.Box, at plane.Point, n float64) {
	show(p.Sketch, p, surfaces, box, at, n)
	p.Reserve(plane.Box{Min: at, Max: at.Add(box.Size().Scale(1 / n))})
}

// Open is Show with text allowed between the picture's lines.
func Open(p *paper.Page, surfaces []pictures.Surface, box plane.Box, at plane.Point, n float64) {
	show(p.Outline, p, surfaces, box, at, n)
}

func show(draw func(paper.Pen, bool, ...plane.Loop), p *paper.Page, surfaces []pictures.Surface, box plane.Box, at plane.Point, n float64) {
	to := plane.Affine{A: 1 / n, D: 1 / n, E: at.X - box.Min.X/n, F: at.Y - box.Min.Y/n}
	for _, s := range surfaces {
		var loops []plane.Loop
		for _, l := range s.Loops {
			loop := make(plane.Loop, len(l))
			for i, q := range l {
				loop[i].P = to.Apply(q)
			}
			loops = append(loops, loop)
		}
		p.Fill(shade(s.Light), loops...)
		var lines []plane.Loop
		for _, e := range s.Edges {
			lines = append(lines, plane.Loop{{P: to.Apply(e[0])}, {P: to.Apply(e[1])}})
		}
		if len(lines) > 0 {
			draw(paper.Thin, false, lines...)
		}
	}
}

// shade is a light grey for a surface, the lighter the more the lamp falls on it.
func shade(light float64) paper.Ink {
	g := uint8(math.Round(208 + float64(47*max(0, min(1, light)))))
	return paper.Ink{R: g, G: g, B: g}
}

const (
	viewGap  = 12.0 // between views: their dimensions stand there
	viewText = 6.0  // for a line over a view
)

// drawViews draws the finished part: two views over each other, in the order of the projection,
// and one from a corner, below them in a column or beside them in a row.
func (d *drawing) drawViews(p plan) {
	v, box := d.views, p.views
	pair := box
	slant := box
	if p.row {
		pair.Max.X = box.Min.X + float64(box.Size().X*0.55)
		slant.Min.X = pair.Max.X + 4
	} else {
		pair.Max.Y = box.Min.Y + float64(box.Size().Y*0.62)
		slant.Min.Y = pair.Max.Y
	}
	const heads = 11.0 // two lines over the pair; one over the view from a corner
	wide, high := pair.Size().X-viewGap-8, pair.Size().Y-heads-2*viewGap+3
	n := paper.ScaleFor(plane.Point{X: v.size.X, Y: v.size.Y + v.size.Z}, plane.Point{X: wide, Y: high})
	n = max(n, paper.ScaleFor(v.slant.box.Size(), plane.Point{X: slant.Size().X - 2, Y: slant.Size().Y - viewText - 1}))
	lead := paper.Style{}.Lead()
	d.page.Text(paper.Label{Text: "finished, " + paper.ScaleName(n), At: plane.Point{X: pair.Min.X, Y: pair.Min.Y + 4}, Style: paper.Style{Bold: true}})
	d.page.Text(paper.Label{Text: "framed: measure outside", At: plane.Point{X: pair.Min.X, Y: pair.Min.Y + 4 + lead}})
	d.page.Text(paper.Label{Text: "drawn side up", At: plane.Point{X: slant.Min.X, Y: slant.Min.Y + 4}})
	Show(d.page, v.slant.surfaces, v.slant.box, plane.Point{X: slant.Min.X + 2, Y: slant.Min.Y + viewText}, n)
	d.drawPair(plane.Point{X: pair.Min.X + 2, Y: pair.Min.Y + heads}, n)
}

// drawPair draws the two views over each other, with the sizes over all.
func (d *drawing) drawPair(at plane.Point, n float64) {
	v := d.views
	above := []bool{false, true} // first angle: from above below the front
	if d.Projection == paper.ThirdAngle {
		above = []bool{true, false}
	}
	for _, top := range above {
		w := v.front
		if top {
			w = v.above
		}
		size := w.box.Size().Scale(1 / n)
		Show(d.page, w.surfaces, w.box, at, n)
		d.checkSize(plane.Point{X: at.X + size.X + 3, Y: at.Y}, plane.Point{X: at.X + size.X + 3, Y: at.Y + size.Y}, w.box.Size().Y)
		at.Y += size.Y
		if top {
			d.checkSize(plane.Point{X: at.X, Y: at.Y + 3}, plane.Point{X: at.X + size.X, Y: at.Y + 3}, w.box.Size().X)
		}
		at.Y += viewGap
	}
}

// checkSize draws a dimension of a view, in a frame: it is to be measured.
func (d *drawing) checkSize(a, b plane.Point, mm float64) {
	p := d.page
	u := b.Sub(a).Unit()
	p.Line(paper.Thin, a, b)
	p.Head(paper.Black, a, u.Neg(), 1.6)
	p.Head(paper.Black, b, u, 1.6)
	l := paper.Label{Text: d.size(mm)}
	w := paper.Style{}.Width(l.Text)
	var places []paper.Label
	if math.Abs(u.X) > 0.5 {
		for _, x := range []float64{0.5, 0.8, 1.2} {
			places = append(places, l.On(a.Lerp(b, x).Add(plane.Point{Y: 3.8})))
		}
	} else {
		for _, y := range []float64{0.5, 0.2, 0.9, 1.2, -0.2} {
			places = append(places, l.On(a.Lerp(b, y).Add(plane.Point{X: float64(w/2) + 2.4})))
		}
		places = append(places, l.On(a.Add(plane.Point{X: float64(w/2) + 2.4, Y: -3})), l.On(b.Add(plane.Point{X: float64(w/2) + 2.4, Y: 3})))
	}
	if i := p.Place(places...); i >= 0 {
		box := places[i].Box().Grow(0.4)
		p.Outline(paper.Thin, true, plane.RectAt(box.Min, box.Max))
		return
	}
	d.notes = append(d.notes, "Measure after bending, outside: "+d.size(mm)+d.Paper.Unit()+".")
}
