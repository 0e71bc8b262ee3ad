package panel

import (
	"math"

	"perch/parts/plane"
	"perch/parts/solid"
)

// alikeTol is how far, in mm, numbers of two panels may differ that are one panel in
// two places: rounding, and nothing else.
const alikeTol = 1e-10

// For is the flat as that of another panel, where the two are drawn alike and only
// stand elsewhere: the four legs of a stool need unfolding once. ok is false where
// they differ; names may. The flat's points are not taken over.
func (f *Flat) For(p *Panel) (g *Flat, ok bool) {
	q := f.Panel
	if q == p || len(q.Faces) != len(p.Faces) || !alike(q, p) {
		return nil, false
	}
	c := *f
	c.Panel, c.Points = p, nil
	c.Faces = append([]FlatFace(nil), f.Faces...)
	for i := range c.Faces {
		c.Faces[i].Name = p.Faces[i].Name
	}
	c.Folds = append([]FlatFold(nil), f.Folds...)
	for i := range c.Folds {
		c.Folds[i].Name = p.Folds[i].Name
	}
	return &c, true
}

// alike tells whether two panels are drawn with the same numbers.
func alike(p, q *Panel) bool {
	if p.Stock != q.Stock || len(p.Folds) != len(q.Folds) || len(p.Seams) != len(q.Seams) {
		return false
	}
	for i, f := range p.Folds {
		g := q.Folds[i]
		if f.A != g.A || f.B != g.B || f.Relief != g.Relief || f.Down != g.Down ||
			!closeBy(f.Radius, g.Radius) || !closeBy(f.K, g.K) || !closeBy(f.ReliefSize, g.ReliefSize) || !closeBy(f.Angle, g.Angle) {
			return false
		}
	}
	for i, s := range p.Seams {
		t := q.Seams[i]
		if s.A != t.A || s.B != t.B || s.Kind != t.Kind || !closeBy(s.Gap, t.Gap) || !closeBy(s.Lap, t.Lap) {
			return false
		}
	}
	for i := range p.Faces {
		if !alikeFaces(&p.Faces[i], &q.Faces[i]) || !alikeFrames(p, q, i) {
			return false
		}
	}
	return true
}

func closeBy(a, b float64) bool { return math.Abs(a-b) <= alikeTol }

func alikeFaces(f, g *Face) bool {
	if f.Hung != g.Hung || !alikeRegions(f.Outline, g.Outline) || len(f.Cuts) != len(g.Cuts) || len(f.Marks) != len(g.Marks) {
		return false
	}
	for i, c := range f.Cuts {
		if c.Name != g.Cuts[i].Name || !alikeRegions(c.Region, g.Cuts[i].Region) {
			return false
		}
	}
	for i, m := range f.Marks {
		n := g.Marks[i]
		if m.Name != n.Name || m.Kind != n.Kind || m.Closed != n.Closed || m.Text != n.Text || !closeBy(m.Width, n.Width) || !closeBy(m.Height, n.Height) ||
			!m.At.Near(n.At, alikeTol) || !m.Dir.Near(n.Dir, alikeTol) || !alikeLoops(m.Path, n.Path) {
			return false
		}
	}
	return true
}

// alikeFrames compares where face i stands as seen from face 0.
func alikeFrames(p, q *Panel, i int) bool {
	same := func(a, b solid.Vec) bool { return a.Sub(b).Len() <= alikeTol }
	a, b := seenFrom(p.Faces[0].Frame, p.Faces[i].Frame), seenFrom(q.Faces[0].Frame, q.Faces[i].Frame)
	return same(a.O, b.O) && same(a.X, b.X) && same(a.Y, b.Y)
}

// seenFrom is frame g in the coordinates of frame f.
func seenFrom(f, g solid.Frame) solid.Frame {
	n := f.Normal()
	dir := func(v solid.Vec) solid.Vec { return solid.Vec{X: v.Dot(f.X), Y: v.Dot(f.Y), Z: v.Dot(n)} }
	return solid.Frame{O: dir(g.O.Sub(f.O)), X: dir(g.X), Y: dir(g.Y)}
}

func alikeRegions(a, b plane.Region) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !alikeLoops(a[i], b[i]) {
			return false
		}
	}
	return true
}

func alikeLoops(a, b plane.Loop) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !closeBy(a[i].Bulge, b[i].Bulge) || !a[i].P.Near(b[i].P, alikeTol) {
			return false
		}
	}
	return true
}
