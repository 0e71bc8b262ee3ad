package blankpage

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"perch/parts/paper"
	"perch/parts/plane"
)

// detail is a part of the flat that is drawn again, larger, with what its drawing has no room
// for: a box of the turned flat.
type detail struct {
	letter string
	box    plane.Box
	n      float64 // its scale is 1:n
}

const (
	mostDetails = 6
	detailNear  = 16.0 // mm on the page: what is crowded and so near by goes into one detail
	detailRim   = 3.0  // mm on the drawing's page, round what is crowded
	detailWide  = 118.0
	detailHigh  = 96.0
	detailLeast = 1.9  // a detail is so much larger than the drawing, at least
	detailTimes = 5.01 // … and at most
	detailMost  = 0.6  // of the flat's width or height: what takes more is no detail
)

// choose finds the details for what is crowded on the drawing, as it stands on its page.
func (d *drawing) choose(left []crowded) []detail {
	var boxes []plane.Box
	for _, p := range left {
		boxes = append(boxes, plane.Box{Min: p.at, Max: p.at})
	}
	near := float64(detailNear * d.scale)
	for again := true; again; { // those that are near each other become one
		again = false
		for i := 0; i < len(boxes); i++ {
			for k := len(boxes) - 1; k > i; k-- {
				if boxes[i].Grow(near / 2).Overlaps(boxes[k].Grow(near / 2)) {
					boxes[i] = boxes[i].Union(boxes[k])
					boxes = slices.Delete(boxes, k, k+1)
					again = true
				}
			}
		}
	}
	var out []detail
	whole := d.box.Size()
	for _, b := range boxes {
		b = b.Grow(float64(detailRim * d.scale))
		size := b.Size()
		n := paper.EnlargedFor(size, plane.Point{X: detailWide, Y: detailHigh})
		n = max(n, paper.EnlargedFor(plane.Point{X: d.scale / detailTimes}, plane.Point{X: 1, Y: 1}))
		if n*detailLeast > d.scale || size.X > float64(detailMost*whole.X) && size.Y > float64(detailMost*whole.Y) {
			continue
		}
		out = append(out, detail{box: b, n: n})
	}
	slices.SortStableFunc(out, func(a, b detail) int {
		return cmp.Or(cmp.Compare(a.box.Min.X, b.box.Min.X), cmp.Compare(a.box.Min.Y, b.box.Min.Y))
	})
	out = out[:min(len(out), mostDetails)]
	for i := range out {
		out[i].letter = string(rune('A' + i))
	}
	return out
}

// detailed tells whether a point of the turned flat is in a detail.
func (d *drawing) detailed(p plane.Point) bool {
	return slices.ContainsFunc(d.details, func(t detail) bool { return t.box.Holds(p) })
}

// frameDetails marks on the drawing what is drawn again.
func (d *drawing) frameDetails() {
	for _, t := range d.details {
		lo, hi := d.set.Apply(t.box.Min), d.set.Apply(t.box.Max)
		d.page.Outline(paper.Thin, true, plane.RectAt(plane.Point{X: lo.X, Y: hi.Y}, plane.Point{X: hi.X, Y: lo.Y}))
		style := paper.Style{Size: paper.Large, Bold: true}
		corner := plane.Point{X: hi.X, Y: hi.Y}
		if !d.page.Point(corner, style, t.letter) {
			d.page.Point(plane.Point{X: lo.X, Y: hi.Y}, style, t.letter)
		}
	}
}

const (
	detailHead = 9.0  // over a detail
	detailPad  = 10.0 // beside it
)

// drawDetails draws them, side by side as far as the page is wide.
func (d *drawing) drawDetails(f *paper.Flow) {
	var row []*drawing
	wide, high := 0.0, 0.0
	flush := func() {
		if len(row) == 0 {
			return
		}
		box := f.Box(high)
		for _, of := range row {
			of.page = f.Page()
			room := box
			room.Max.X = room.Min.X + of.takes().X
			of.drawDetail(of.details[0], room)
			box.Min.X = room.Max.X
			d.noRoom(of.crowded) // not even there
		}
		for _, of := range row { // where all of the row's lines leave room
			of.labelPart(of.details[0].box)
		}
		row, wide, high = nil, 0, 0
	}
	for _, t := range d.details {
		of := *d // a drawing of its own, at its own place and scale
		of.scale, of.crowded, of.details = t.n, nil, []detail{t}
		of.setTo(plane.Affine{A: 1 / t.n, D: -1 / t.n})
		size := of.takes()
		if wide+size.X > f.Wide() {
			flush()
		}
		row, wide, high = append(row, &of), wide+size.X, max(high, size.Y)
	}
	flush()
}

// takes is the room that a detail takes with its dimensions.
func (d *drawing) takes() plane.Point {
	t := d.details[0]
	left, below := d.bands()
	size := t.box.Size().Scale(1 / t.n)
	return plane.Point{
		X: left + max(size.X, d.roomFor(t.box, false), paper.Style{Bold: true}.Width(t.name())-left) + detailPad,
		Y: detailHead + max(size.Y+2, d.roomFor(t.box, true)) + below + 4,
	}
}

func (t detail) name() string { return "Detail " + t.letter + ", " + paper.ScaleName(t.n) }

// drawDetail draws one in a room; its sizes are those from the marked corner of the whole.
func (d *drawing) drawDetail(t detail, room plane.Box) {
	left, below := d.bands()
	at := plane.Point{X: room.Min.X + left + 3, Y: room.Max.Y - below - 3}
	d.setTo(plane.Affine{A: 1 / t.n, D: -1 / t.n, E: at.X - t.box.Min.X/t.n, F: at.Y + t.box.Min.Y/t.n})
	d.page.Text(paper.Label{Text: t.name(), At: plane.Point{X: room.Min.X, Y: room.Min.Y + 5}, Style: paper.Style{Bold: true}})
	d.drawPart(t.box)
	d.running(plane.Box{Min: plane.Point{X: room.Min.X, Y: room.Min.Y + detailHead}, Max: room.Max}, &t.box)
}

// roomFor is the room that the texts of an axis take side by side, of what lies in a box.
func (d *drawing) roomFor(b plane.Box, y bool) float64 {
	return float64(float64(len(d.places(y, &b))+1) * paper.Style{}.Lead() * 0.95)
}

// drawPart draws what lies in a box of the turned flat.
func (d *drawing) drawPart(b plane.Box) {
	sides := []plane.HalfPlane{{N: plane.Point{X: 1}, D: b.Max.X}, {N: plane.Point{X: -1}, D: -b.Min.X}, {N: plane.Point{Y: 1}, D: b.Max.Y}, {N: plane.Point{Y: -1}, D: -b.Min.Y}}
	metal := plane.Region{d.b.Contour().Transform(d.turn)}
	for _, l := range d.f.Inner {
		metal = append(metal, l.Transform(d.turn))
	}
	for _, s := range sides {
		metal = plane.Clip(metal, s)
	}
	cut := func(p, q plane.Point) bool { // the edge is the detail's, not the blank's
		const on = 1e-6
		for _, s := range sides {
			if math.Abs(s.Dist(p)) < on && math.Abs(s.Dist(q)) < on {
				return true
			}
		}
		return false
	}
	d.page.Fill(paper.Pale, metal.Transform(d.set)...)
	for _, l := range metal {
		for _, e := range l.Edges() {
			pen := paper.Visible
			if e.Straight() && cut(e.From, e.To) {
				pen = paper.Thin.In(paper.Grey)
			}
			d.page.Outline(pen, false, plane.Loop{{P: e.From, Bulge: e.Bulge}, {P: e.To}}.Transform(d.set))
		}
	}
	for _, s := range d.f.Folds {
		pen := upLine
		if s.Down {
			pen = downLine
		}
		if p, q, ok := clipped(d.turn.Apply(s.From), d.turn.Apply(s.To), b); ok {
			d.page.Line(pen, d.set.Apply(p), d.set.Apply(q))
		}
	}
	for i, g := range d.holes {
		for _, at := range g.at {
			if b.Holds(d.turn.Apply(at)) {
				symbol(d.page, d.to.Apply(at), i)
			}
		}
	}
}

// labelPart numbers the bends of a detail and tells its radii.
func (d *drawing) labelPart(b plane.Box) {
	for n, i := range d.order() {
		s := &d.f.Folds[i]
		p, q, ok := clipped(d.turn.Apply(s.From), d.turn.Apply(s.To), b)
		if !ok {
			continue
		}
		ink := paper.Up
		if s.Down {
			ink = paper.Down
		}
		d.page.Point(d.set.Apply(p.Lerp(q, 0.5)), paper.Style{Bold: true, Ink: ink}, strconv.Itoa(n+1)+" "+direction(s.Down))
	}
	d.labelRadii(&b)
}

// clipped is the part of a line in a box.
func clipped(p, q plane.Point, b plane.Box) (plane.Point, plane.Point, bool) {
	lo, hi := 0.0, 1.0
	for _, side := range [4][2]float64{{p.X - b.Min.X, q.X - b.Min.X}, {b.Max.X - p.X, b.Max.X - q.X}, {p.Y - b.Min.Y, q.Y - b.Min.Y}, {b.Max.Y - p.Y, b.Max.Y - q.Y}} {
		from, to := side[0], side[1]
		switch {
		case from < 0 && to < 0:
			return p, q, false
		case from < 0:
			lo = max(lo, from/(from-to))
		case to < 0:
			hi = min(hi, from/(from-to))
		}
	}
	return p.Lerp(q, lo), p.Lerp(q, hi), lo < hi
}
