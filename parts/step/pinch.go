package step

import "slices"

// axle is a surface of a bend that is folded flat on itself: all of it lies on its axis, in
// stretches between the places where an edge of the bend ends.
type axle struct {
	places  []float64 // along the axis, mm
	corners []int     // of the shell
	edges   []int     // of the shell, between them
}

// pinch makes the axle of a bend's surface; its corners are those of the bend that lie there.
func (m *builder) pinch(k, s int) {
	a := &m.bent.bends[k]
	x := &m.axles[s][k]
	loops := m.cells.cells[len(m.bent.faces)+k].loops
	for _, l := range loops {
		for _, n := range l {
			along, _ := a.local(n.at)
			x.places = append(x.places, along)
		}
	}
	slices.Sort(x.places)
	x.places = slices.CompactFunc(x.places, together)
	for _, p := range x.places {
		m.corners = append(m.corners, a.onAxis(p))
		x.corners = append(x.corners, len(m.corners)-1)
	}
	for i := 1; i < len(x.corners); i++ {
		x.edges = append(x.edges, m.edge(x.corners[i-1], x.corners[i], curve{}).edge)
	}
	for _, l := range loops {
		for _, n := range l {
			along, _ := a.local(n.at)
			m.spots[s][m.cells.corner(n.id)] = x.corners[nearest(x.places, along)]
		}
	}
}

// ways are the stretches of an axle from a corner of its bend to another.
func (x *axle) ways(a *arch, p, q *node) []way {
	s, _ := a.local(p.at)
	t, _ := a.local(q.at)
	var out []way
	from, to := nearest(x.places, s), nearest(x.places, t)
	for ; from < to; from++ {
		out = append(out, way{edge: x.edges[from]})
	}
	for ; from > to; from-- {
		out = append(out, way{x.edges[from-1], true})
	}
	return out
}
