package mockup

import (
	"fmt"

	"perch/parts/blankpage"
	"perch/parts/drawing"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/solid"
)

const (
	wholeHigh = 78.0 // mm of a picture of the whole
	nameRoom  = 38.0 // free on each side of it, for names
)

// pictures shows the whole from two corners, from the front with its pieces' names.
func (w *writer) pictures(f *paper.Flow, a *panel.Assembly, name func(int) string) error {
	if len(a.Copies) == 0 {
		return nil
	}
	facets, err := drawing.Metal(a)
	if err != nil {
		return fmt.Errorf("the picture of the whole: %w", err)
	}
	up := solid.Vec{Z: 1}
	for i, from := range [2]solid.Vec{{X: 0.6, Y: -1, Z: 0.6}, {X: -0.6, Y: 1, Z: 0.6}} {
		surfaces, seen, err := drawing.Orthographic(facets, from, up)
		if err != nil {
			return fmt.Errorf("the picture of the whole: %w", err)
		}
		box := f.Box(wholeHigh)
		n := max(seen.Size().X/(box.Size().X-2*nameRoom), seen.Size().Y/(wholeHigh-12)) // as large as it goes
		size := seen.Size().Scale(1 / n)
		at := plane.Point{X: box.Center().X - float64(size.X/2), Y: box.Min.Y + 2}
		blankpage.Show(f.Page(), surfaces, seen, at, n)
		word := "from the front"
		if i == 1 {
			word = "from behind"
		}
		f.Page().Text(paper.Label{Text: word, At: plane.Point{X: box.Center().X, Y: box.Max.Y - 3}, Anchor: paper.Middle})
		if i == 1 {
			continue
		}
		to := plane.Affine{A: 1 / n, D: 1 / n, E: at.X - seen.Min.X/n, F: at.Y - seen.Min.Y/n}
		var names []paper.Named
		for c := range a.Copies {
			names = append(names, paper.Named{Text: name(c), At: to.Apply(drawing.Seen(middleOf(a, c), from, up))})
		}
		room := box
		room.Max.Y -= 8
		f.Page().Beside(plane.Box{Min: at, Max: at.Add(size)}, room, names)
	}
	return nil
}

// middleOf is the middle of a copy's largest face.
func middleOf(a *panel.Assembly, copied int) solid.Vec {
	c := a.Copies[copied]
	faces := a.Blanks[c.Blank].Flat.Faces
	best := 0
	for i := range faces {
		if faces[i].Loop.Area() > faces[best].Loop.Area() {
			best = i
		}
	}
	return c.Matrix.Apply(faces[best].Frame.At(faces[best].Loop.Centroid()))
}
