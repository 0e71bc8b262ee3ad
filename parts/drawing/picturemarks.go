package drawing

import (
	"slices"

	"perch/parts/drawing/layout"
	"perch/parts/lettering"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// marked are the lines scribed on a face and the strokes of its text, in the flat;
// beads are no lines but rolled metal.
func marked(f *panel.Flat, face int) [][]plane.Point {
	var out [][]plane.Point
	for _, m := range f.Marks {
		switch {
		case m.Face != face:
		case m.Kind == panel.MarkText:
			out = append(out, lettering.Strokes(m.Text, m.Height, m.At, m.Dir)...)
		case m.Kind == panel.MarkLine && m.Closed:
			line := layout.Polyline(m.Path, pictureSag)
			out = append(out, append(line, line[0]))
		case m.Kind == panel.MarkLine:
			out = append(out, layout.OpenPolyline(m.Path, pictureSag))
		}
	}
	return out
}

// scribed are a facet's marks on the page, as far as they lie on a piece of it, whose
// loops are given.
func scribed(v view, f *Facet, loops [][]plane.Point) []stroke {
	var out []stroke
	for _, line := range f.Marks {
		pts := v.project(line)
		for i := range len(pts) - 1 {
			out = append(out, within(pts[i], pts[i+1], loops)...)
		}
	}
	return out
}

// within is what of the line from a to b lies inside loops, by parity.
func within(a, b plane.Point, loops [][]plane.Point) []stroke {
	cuts := []float64{0, 1}
	d := b.Sub(a)
	for _, l := range loops {
		for i, p := range l {
			e := l[(i+1)%len(l)].Sub(p)
			det := d.Cross(e)
			if det == 0 {
				continue
			}
			t, u := p.Sub(a).Cross(e)/det, p.Sub(a).Cross(d)/det
			if t > 0 && t < 1 && u >= 0 && u <= 1 {
				cuts = append(cuts, t)
			}
		}
	}
	slices.Sort(cuts)
	var out []stroke
	for i := range len(cuts) - 1 {
		from, to := a.Add(d.Scale(cuts[i])), a.Add(d.Scale(cuts[i+1]))
		if cuts[i] < cuts[i+1] && inLoops(loops, plane.Point{X: (from.X + to.X) / 2, Y: (from.Y + to.Y) / 2}) {
			out = append(out, stroke{from: from, to: to})
		}
	}
	return out
}

func inLoops(loops [][]plane.Point, p plane.Point) bool {
	in := false
	for _, l := range loops {
		in = in != inside(l, p)
	}
	return in
}

// liftAll takes lines of the flat to where a face stands.
func (s *sheet) liftAll(f solid.Frame, lines [][]plane.Point) [][]solid.Vec {
	out := make([][]solid.Vec, len(lines))
	for i, l := range lines {
		out[i] = s.lift(f, l, 0)
	}
	return out
}
