package shopcheck

import (
	"math"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

// pathEdges are the edges of a mark's path; an open one has no edge back.
func pathEdges(m panel.FlatMark) []plane.Edge {
	var edges []plane.Edge
	for i, e := range m.Path.Edges() {
		if m.Closed || i < len(m.Path)-1 {
			edges = append(edges, e)
		}
	}
	return edges
}

func loopEdges(loops ...plane.Loop) []plane.Edge {
	var edges []plane.Edge
	for _, l := range loops {
		for _, e := range l.Edges() {
			edges = append(edges, e)
		}
	}
	return edges
}

// beads holds every bead to the bends, edges and beads around it and to the roller.
func (c *checker) beads() {
	rims := loopEdges(c.flat.Outer)
	holes := loopEdges(c.flat.Inner...)
	boxes, widest := make([]plane.Box, len(c.flat.Marks)), 0.0
	for i, m := range c.flat.Marks {
		if boxes[i] = plane.EmptyBox(); m.Kind == panel.MarkBead {
			boxes[i], widest = m.Path.Bounds(), max(widest, m.Width)
		}
	}
	places := plane.NewPlaces(boxes)
	for i, m := range c.flat.Marks {
		if m.Kind != panel.MarkBead {
			continue
		}
		place, path := Subject{Kind: Bead, Name: m.Name, Face: c.faceName(m.Face)}, pathEdges(m)
		limit := float64(m.Width/2) + float64(2*c.t)
		for _, line := range c.tangents(m.Face) {
			c.beadGap(place, c.foldPlace(line.fold).String(), plane.EdgeDistance(path, []plane.Edge{line.edge}), limit)
		}
		c.beadGap(place, "the blank's edge", plane.EdgeDistance(path, rims), 2*m.Width)
		c.beadGap(place, "an opening", plane.EdgeDistance(path, holes), 2*m.Width)
		for _, k := range places.Near(boxes[i].Grow(2*widest), nil) {
			if other := c.flat.Marks[k]; k > i {
				c.beadGap(place, "bead "+other.Name, plane.EdgeDistance(path, pathEdges(other)), 2*max(m.Width, other.Width))
			}
		}
		c.rolling(place, m, path)
	}
}

func (c *checker) beadGap(place Subject, other string, got, limit float64) {
	if below(got, limit) {
		c.add(beadPlace, place, got, limit, "its centre line is %.2f from %s; at least %.3g: move it %.2f away", measure.Length(got), other, measure.Length(limit), measure.Length(limit-got))
	}
}

// rolling holds a bead's path to the roller's least corner and its throat.
func (c *checker) rolling(place Subject, m panel.FlatMark, path []plane.Edge) {
	least, reach := math.Inf(1), 0.0
	edge := plane.Region{c.flat.Outer}
	for i, e := range path {
		least = min(least, e.Radius())
		if i > 0 || m.Closed {
			before := path[(i+len(path)-1)%len(path)]
			if in, out := before.EndTangent(), e.StartTangent(); turned(in, out, 1) || turned(in, out, -1) {
				least = 0
			}
		}
		for _, p := range []plane.Point{e.From, e.Mid(), e.To} {
			if d, _ := edge.DistanceTo(p); !math.IsInf(d, 0) {
				reach = max(reach, d)
			}
		}
	}
	if limit := c.shop.Roller.MinCorner; below(least, limit) {
		c.add(beadPath, place, least, limit, "its path has a corner of radius %.3g; the roller follows %.3g and more", measure.Length(least), measure.Length(limit))
	}
	if limit := c.shop.Roller.Throat; above(reach, limit) {
		c.add(beadPath, place, reach, limit, "it lies %.0f inside the blank's edge; the roller reaches %.0f", measure.Length(reach), measure.Length(limit))
	}
}
