package paper

import (
	"cmp"
	"slices"

	"perch/parts/plane"
)

// Named is a thing in a picture with its name.
type Named struct {
	Text string
	At   plane.Point
	Bold bool
}

// Beside writes names on both sides of a picture, within a room, each with a thin line to its
// thing, from top to bottom as the things lie, so that no line crosses a name. What is more
// than goes there is written below the others with no line, shortened.
func (p *Page) Beside(picture, room plane.Box, names []Named) {
	var left, right []Named
	for _, n := range names {
		if n.At.X < picture.Center().X {
			left = append(left, n)
		} else {
			right = append(right, n)
		}
	}
	lead := Style{}.Lead() * 1.1
	most := max(1, int(room.Size().Y/lead)-1)
	for len(left) > most && len(right) < most {
		right, left = append(right, left[len(left)-1]), left[:len(left)-1]
	}
	for len(right) > most && len(left) < most {
		left, right = append(left, right[len(right)-1]), right[:len(right)-1]
	}
	p.column(left, room.Min.X, picture.Min.X-2, room, lead, Start)
	p.column(right, room.Max.X, picture.Max.X+2, room, lead, End)
}

// column writes names from an edge of the room to near the picture.
func (p *Page) column(names []Named, edge, inner float64, room plane.Box, lead float64, anchor Anchor) {
	slices.SortStableFunc(names, func(a, b Named) int { return cmp.Compare(a.At.Y, b.At.Y) })
	if most := max(1, int(room.Size().Y/lead)-1); len(names) > most {
		names = names[:most] // the words beside the picture name all
	}
	wide := edge - inner
	if wide < 0 {
		wide = -wide
	}
	y := room.Min.Y + lead
	for i, n := range names {
		style := Style{Bold: n.Bold}
		// As near to its thing as those below leave room for.
		at := max(y, min(n.At.Y, room.Max.Y-float64(float64(len(names)-1-i)*lead)-2))
		text := Shorten(n.Text, style, wide)
		l := Label{Text: text, At: plane.Point{X: edge, Y: at}, Style: style, Anchor: anchor}
		p.Text(l)
		box := l.Box()
		from := plane.Point{X: box.Max.X + 0.6, Y: at - float64(style.size()*0.36)}
		if anchor == End {
			from.X = box.Min.X - 0.6
		}
		p.Sketch(Thin.In(Grey), false, plane.Loop{{P: from}, {P: n.At}})
		p.Sketch(Thin, true, plane.Circle(1).Transform(plane.Translate(n.At)))
		y = at + lead
	}
}
