package drawing

import (
	"slices"

	"perch/parts/drawing/layout"
	"perch/parts/lettering"
	"perch/parts/panel"
	"perch/parts/plane"
)

// marked are the lines scribed on a face and the strokes of its text, in the flat.
func marked(f *panel.Flat, face int, sag float64) [][]plane.Point {
	var out [][]plane.Point
	for _, m := range f.Marks {
		switch {
		case m.Face != face:
		case m.Kind == panel.MarkText:
			out = append(out, lettering.Strokes(m.Text, m.Height, m.At, m.Dir)...)
		case m.Kind == panel.MarkLine && m.Closed:
			line := layout.Polyline(m.Path, sag)
			out = append(out, append(line, line[0]))
		case m.Kind == panel.MarkLine:
			out = append(out, layout.OpenPolyline(m.Path, sag))
		}
	}
	return out
}

// beads are the edges of the beads rolled into a face: a line on either side of the middle
// one, half the bead's width off, and at an open bead's ends one across.
func beads(f *panel.Flat, face int, sag float64) [][]plane.Point {
	var out [][]plane.Point
	for _, m := range f.Marks {
		if m.Face != face || m.Kind != panel.MarkBead || len(m.Path) < 2 {
			continue
		}
		line := layout.OpenPolyline(m.Path, sag)
		if m.Closed {
			line = layout.Polyline(m.Path, sag)
		}
		left, right := beside(line, m.Closed, m.Width/2), beside(line, m.Closed, -m.Width/2)
		if m.Closed {
			out = append(out, append(left, left[0]), append(right, right[0]))
			continue
		}
		ends := [][]plane.Point{{left[0], right[0]}, {left[len(left)-1], right[len(right)-1]}}
		out = append(append(out, left, right), ends...)
	}
	return out
}

// beside is a line so far to the left of another.
func beside(line []plane.Point, closed bool, off float64) []plane.Point {
	n := len(line)
	out := make([]plane.Point, n)
	for i, p := range line {
		a, b := line[(i+n-1)%n], line[(i+1)%n]
		if !closed && i == 0 {
			a = p
		}
		if !closed && i == n-1 {
			b = p
		}
		u, v := p.Sub(a).Unit(), b.Sub(p).Unit()
		if a == p {
			u = v
		}
		if b == p {
			v = u
		}
		mid := u.Add(v).Unit()
		if k := mid.Dot(u); k > 0.2 { // a sharper corner than that is left blunt
			out[i] = p.Add(mid.Perp().Scale(off / k))
		} else {
			out[i] = p.Add(u.Perp().Scale(off))
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
