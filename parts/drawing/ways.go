package drawing

import (
	"perch/parts/drawing/layout"
	"perch/parts/plane"
)

const (
	wayLong = 5.0 // of the arrow, mm on the page
	wayHead = 1.8 // of its head
)

// placeWays finds a place for the arrow of u on every face that hangs on an edge, close
// to its fold; where there is none it is left out.
func (d *flatDrawing) placeWays() {
	for _, s := range d.f.Folds {
		u, ok := d.f.Along(s.B)
		if !ok {
			continue
		}
		outline := layout.Polyline(d.f.Faces[s.B].Loop, flatSag)
		a, b := s.TangentB[0], s.TangentB[1]
		line, _ := unit(a, b)
		in := plane.Point{X: -line.Y, Y: line.X}
		if mid := s.From.Lerp(s.To, 0.5); dot(a, in) < dot(mid, in) { // away from face A
			in = in.Neg()
		}
		half, rise := d.sized(wayLong+lineGap+faceText)/2, d.sized(faceText*0.6)
		var candidates []block
		for _, off := range []float64{1, 2.2, 3.6} {
			for _, part := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
				p := a.Lerp(b, part).Add(in.Scale(float64(off*rise) + d.sized(lineGap)))
				if d.onMetal(outline, p) {
					candidates = append(candidates, block{d.at(p), plane.Point{X: u.X, Y: -u.Y}, half, rise})
				}
			}
		}
		if at, ok := d.page.try(candidates); ok {
			d.along = append(d.along, at)
		}
	}
}

// ways draws the arrows, each with the letter u ahead of it.
func (d *flatDrawing) ways() {
	if len(d.along) == 0 {
		return
	}
	d.group("u", func() {
		for _, b := range d.along {
			u := b.along
			tail := b.centre.Sub(u.Scale(b.half))
			tip := tail.Add(u.Scale(d.sized(wayLong)))
			d.line("way", tail, tip)
			d.arrow(tip, u, d.sized(wayHead))
			p := b.centre.Add(u.Scale(b.half - float64(d.sized(faceText)/2)))
			d.text("face", "middle", "u", plane.Point{X: p.X, Y: p.Y + d.sized(0.3*faceText)}, d.sized(faceText), 0)
		}
	})
}
