package step

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
)

const (
	// onLine is how far, in mm, an end of an edge may lie off a tangent line that it is on.
	onLine = 1e-5
	// sameEnd is how far apart, in mm, ends on a tangent line are one.
	sameEnd = 1e-5
	// least is the length, mm, below which an edge is its end.
	least = 1e-6
)

// node is a corner of a cell's outline with the edge that starts there.
type node struct {
	at    plane.Point
	bulge float64
	id    int // of the corner: faces and bends that meet there have one
	glued int // number of the line along which the edge hangs on its neighbour, −1: it is the metal's edge
}

// cell is a face or a bend in the flat: the metal on the left of its loops.
type cell struct{ loops [][]node }

// flatCells are the cells of a flat with the tangent lines along which they hang together.
type flatCells struct {
	cells   []cell // the faces, then the bends
	same    []int  // by id: another that is the same corner, itself for the one that speaks for all
	glue    int    // lines so far
	corners int
}

// cut makes the cells of a flat: what is left of its faces and bends by all that is cut and
// drilled, the holes that are drilled in place included.
func cut(f *panel.Flat, b *bent) (*flatCells, error) {
	faces, strips := metal(f)
	c := &flatCells{}
	for i, r := range faces {
		if err := c.add("face "+f.Faces[i].Name, r); err != nil {
			return nil, err
		}
	}
	for i, r := range strips {
		if err := c.add("fold "+f.Folds[i].Name, r); err != nil {
			return nil, err
		}
	}
	for id := range c.corners {
		c.same = append(c.same, id)
	}
	for i := range f.Folds {
		s, a := &f.Folds[i], &b.bends[i]
		for side, face := range [2]int{s.A, s.B} {
			across := float64(float64(side) * a.allowance)
			if c.join(face, len(f.Faces)+i, a, across) == 0 {
				return nil, fmt.Errorf("fold %s does not touch face %s", s.Name, f.Faces[face].Name)
			}
		}
	}
	return c, nil
}

// metal is what is left of faces and bends, in the flat.
func metal(f *panel.Flat) (faces, strips []plane.Region) {
	for i := range f.Faces {
		faces = append(faces, plane.Region{f.Faces[i].Loop})
	}
	for _, l := range f.Inner { // on no face: what faces and bends lie around
		for i := range f.Faces {
			if r := (plane.Region{f.Faces[i].Loop}); r.Bounds().Holds(l[0].P) && r.Locate(l[0].P) == plane.Inside {
				faces[i] = append(faces[i], l)
				break
			}
		}
	}
	for i := range f.Folds {
		strips = append(strips, plane.Region{f.Folds[i].Loop})
	}
	holes := f.Points[:0:0]
	for _, p := range f.Points {
		if !p.Marked() && p.Diameter > 0 && !f.Open(p) {
			holes = append(holes, p)
		}
	}
	for i, p := range holes {
		hole := p.Hole()
		clear := f.ToEdge(p.At) > float64(p.Diameter/2)+onLine
		for k, q := range holes {
			clear = clear && (k == i || p.At.Dist(q.At) > float64((p.Diameter+q.Diameter)/2)+onLine)
		}
		for k := range f.Folds { // of its face: a hole may reach into the bend
			s := &f.Folds[k]
			if (s.A == p.Face || s.B == p.Face) && s.Loop.Bounds().Grow(onLine).Overlaps(hole.Bounds()) {
				strips[k], clear = plane.Subtract(strips[k], plane.Region{hole}), false
			}
		}
		if clear {
			faces[p.Face] = append(faces[p.Face], hole.Reversed())
		} else {
			faces[p.Face] = plane.Subtract(faces[p.Face], plane.Region{hole})
		}
	}
	return faces, strips
}

// add makes a cell of a region, which is one piece.
func (c *flatCells) add(name string, r plane.Region) error {
	var made cell
	outers := 0
	for _, l := range r {
		var nodes []node
		for i := range l {
			e := l.Edge(i)
			if e.Chord() <= least {
				continue
			}
			nodes = append(nodes, node{at: e.From, bulge: e.Bulge, id: c.corners, glued: -1})
			c.corners++
		}
		if len(nodes) < 2 {
			continue
		}
		if l.Area() > 0 {
			outers++
		}
		made.loops = append(made.loops, nodes)
	}
	if outers != 1 {
		return fmt.Errorf("%s is left in %d pieces by its holes", name, outers)
	}
	slices.SortStableFunc(made.loops, func(a, b []node) int { return cmp.Compare(signed(b), signed(a)) })
	c.cells = append(c.cells, made)
	return nil
}

// signed tells an outer loop, 1, from an opening, −1.
func signed(nodes []node) int {
	l := make(plane.Loop, len(nodes))
	for i, n := range nodes {
		l[i] = plane.Vertex{P: n.at, Bulge: n.bulge}
	}
	if l.Area() > 0 {
		return 1
	}
	return -1
}

// join hangs a bend on a face along one of its tangent lines, which lies across from the
// bend's first, and tells in how many stretches. Corners of the one on an edge of the other
// are put into that too.
func (c *flatCells) join(face, strip int, a *arch, across float64) int {
	on := func(p plane.Point) bool {
		_, d := a.local(p)
		return math.Abs(d-across) <= onLine
	}
	var ends []float64
	for _, k := range [2]int{face, strip} {
		for _, l := range c.cells[k].loops {
			for i := range l {
				if p, q := l[i], l[(i+1)%len(l)]; p.bulge == 0 && on(p.at) && on(q.at) {
					s, _ := a.local(p.at)
					t, _ := a.local(q.at)
					ends = append(ends, s, t)
				}
			}
		}
	}
	slices.Sort(ends)
	ends = slices.CompactFunc(ends, together)
	type side struct{ from, to *node }
	stretches := [2][]side{make([]side, len(ends)), make([]side, len(ends))}
	for which, k := range [2]int{face, strip} {
		for n, l := range c.cells[k].loops {
			l = c.split(l, a, on, ends)
			c.cells[k].loops[n] = l
			for i := range l {
				p, q := &l[i], &l[(i+1)%len(l)]
				if p.bulge != 0 || p.glued >= 0 || !on(p.at) || !on(q.at) {
					continue
				}
				s, _ := a.local(p.at)
				t, _ := a.local(q.at)
				if from, to := nearest(ends, s), nearest(ends, t); from != to {
					stretches[which][min(from, to)] = side{p, q}
				}
			}
		}
	}
	joined := 0
	for k, f := range stretches[0] {
		s := stretches[1][k]
		if f.from == nil || s.from == nil {
			continue
		}
		f.from.glued, s.from.glued = c.glue, c.glue
		c.glue++
		c.merge(f.from.id, s.to.id)
		c.merge(f.to.id, s.from.id)
		joined++
	}
	return joined
}

// split puts corners into the edges of a loop that lie on a line, where ends lie on them.
func (c *flatCells) split(l []node, a *arch, on func(plane.Point) bool, ends []float64) []node {
	var out []node
	for i := range l {
		p, q := l[i], l[(i+1)%len(l)]
		out = append(out, p)
		if p.bulge != 0 || !on(p.at) || !on(q.at) {
			continue
		}
		s, _ := a.local(p.at)
		t, _ := a.local(q.at)
		from, to, step := nearest(ends, s), nearest(ends, t), 1
		if from > to {
			step = -1
		}
		for k := from + step; from != to && k != to; k += step {
			out = append(out, node{at: p.at.Lerp(q.at, (ends[k]-s)/(t-s)), id: c.corners, glued: -1})
			c.same = append(c.same, c.corners)
			c.corners++
		}
	}
	return out
}

// together tells whether two ends on a line are one.
func together(s, t float64) bool { return math.Abs(s-t) <= sameEnd }

// nearest is which of some numbers lies nearest.
func nearest(sorted []float64, x float64) int {
	i, _ := slices.BinarySearch(sorted, x)
	if i == len(sorted) || i > 0 && x-sorted[i-1] < sorted[i]-x {
		i--
	}
	return i
}

// corner is the id that speaks for a corner.
func (c *flatCells) corner(id int) int {
	for c.same[id] != id {
		id = c.same[id]
	}
	return id
}

// merge makes two corners one; the lower id, a face's, speaks for both.
func (c *flatCells) merge(a, b int) {
	a, b = c.corner(a), c.corner(b)
	c.same[max(a, b)] = min(a, b)
}
