package step

import (
	"fmt"
	"math"
	"slices"

	"perch/parts/plane"
	"perch/parts/solid"
)

// shell is the surface of a bent part: corners, edges and faces, each edge between two faces.
type shell struct {
	corners []solid.Vec
	edges   []edge
	faces   []patch
}

// edge runs from one corner to another on a curve.
type edge struct {
	from, to int
	curve    curve
	uses     [2]int // how many faces run along it, and against it
}

// curve is the geometry of an edge: a line where it has neither an arc nor a spline.
type curve struct {
	arc    *arc
	spline *spline
}

// arc is a part of a circle, counter-clockwise about its axis.
type arc struct {
	centre, axis solid.Vec
	along        solid.Vec // unit, from the centre square to the axis: where angles count from
	radius       float64
}

// way is an edge as a face runs along it, counter-clockwise seen from outside.
type way struct {
	edge    int
	against bool
}

// patch is a face of the shell.
type patch struct {
	name    string
	surface surface
	outer   []way
	holes   [][]way
}

// surfaceKind says what a surface is.
type surfaceKind uint8

const (
	flat surfaceKind = iota
	cylinder
	ruled // between the splines of an edge's two ends
)

// surface is the geometry of a face. Of a plane axis is the normal, out of the metal.
type surface struct {
	kind        surfaceKind
	at          solid.Vec
	axis, along solid.Vec // unit, square to each other
	radius      float64
	inward      bool // of a cylinder: the metal lies outside it
	rows        [2]spline
}

// builder makes the shell of one part.
type builder struct {
	*shell
	bent    *bent
	cells   *flatCells
	spots   [2]map[int]int   // by surface and id of a corner in the flat: the shell's corner
	glued   [2]map[int][]way // by surface and number of a line: its edges, as the bend runs along them
	upright map[int]int      // by id: the edge through the metal there, from below
	axles   [2][]axle        // by surface and bend
}

// enclose makes the shell of a bent part.
func enclose(b *bent, c *flatCells) (*shell, error) {
	m := &builder{shell: &shell{}, bent: b, cells: c, upright: map[int]int{}}
	for s := range 2 {
		m.spots[s], m.glued[s] = map[int]int{}, map[int][]way{}
		m.axles[s] = make([]axle, len(b.bends))
	}
	for k := range b.bends { // first, for edges of two faces become one there
		for s := range 2 {
			if b.bends[k].pinched(s) {
				m.pinch(k, s)
			}
		}
	}
	for i := len(c.cells) - 1; i >= 0; i-- { // bends first: faces take the edges that they share from them
		if err := m.cell(i); err != nil {
			return nil, err
		}
	}
	return m.shell, m.closed()
}

// closed holds the shell to what a solid's is: every edge is run along once and against once.
func (s *shell) closed() error {
	for _, e := range s.edges {
		if e.uses != [2]int{1, 1} {
			p := s.corners[e.from]
			return fmt.Errorf("its surface is not closed at (%.3f, %.3f, %.3f): an edge there lies on %d faces", p.X, p.Y, p.Z, e.uses[0]+e.uses[1])
		}
	}
	return nil
}

// spot is the shell's corner of a cell's corner on a surface.
func (m *builder) spot(cell int, n *node, surface int) int {
	id := m.cells.corner(n.id)
	if k, known := m.spots[surface][id]; known {
		return k
	}
	m.corners = append(m.corners, m.bent.place(cell, n.at, surface))
	m.spots[surface][id] = len(m.corners) - 1
	return len(m.corners) - 1
}

func (m *builder) edge(from, to int, c curve) way {
	m.edges = append(m.edges, edge{from: from, to: to, curve: c})
	return way{edge: len(m.edges) - 1}
}

// cell makes a cell's two surfaces and the walls at its edges.
func (m *builder) cell(i int) error {
	var loops [2][][]way
	for _, l := range m.cells.cells[i].loops {
		var both [2][]way
		for k := range l {
			p, q := &l[k], &l[(k+1)%len(l)]
			over, under, w, err := m.border(i, p, q)
			if err != nil {
				return err
			}
			both[upper] = append(both[upper], over...)
			both[lower] = append(both[lower], under...)
			if w != nil {
				m.wall(w, p, q, over, under)
			}
		}
		slices.Reverse(both[lower])
		for k := range both[lower] {
			both[lower][k].against = !both[lower][k].against
		}
		for s := range both {
			loops[s] = append(loops[s], both[s])
		}
	}
	for s := range loops {
		if k := i - len(m.bent.faces); k < 0 || !m.bent.bends[k].pinched(s) {
			m.face(patch{name: m.name(i), surface: m.cover(i, s), outer: loops[s][0], holes: loops[s][1:]})
		}
	}
	return nil
}

func (m *builder) name(cell int) string {
	if k := cell - len(m.bent.faces); k >= 0 {
		return m.bent.flat.Folds[k].Name
	}
	return m.bent.flat.Faces[cell].Name
}

// face adds a face and notes that it uses its edges.
func (m *builder) face(p patch) {
	for _, l := range append([][]way{p.outer}, p.holes...) {
		for _, w := range l {
			if w.against {
				m.edges[w.edge].uses[1]++
			} else {
				m.edges[w.edge].uses[0]++
			}
		}
	}
	m.faces = append(m.faces, p)
}

// cover is the surface of a cell's upper or lower side.
func (m *builder) cover(cell, s int) surface {
	if k := cell - len(m.bent.faces); k >= 0 {
		a := &m.bent.bends[k]
		// the seam, from which angles count, lies across from the metal
		return surface{kind: cylinder, at: a.centre, axis: a.axis, along: a.radial(a.angle / 2).Neg(), radius: a.radius[s], inward: !a.convex(s)}
	}
	f := m.bent.faces[cell]
	n := f.Normal()
	if s == lower {
		return surface{at: f.O.Sub(n.Scale(m.bent.thickness)), axis: n.Neg(), along: f.X}
	}
	return surface{at: f.O, axis: n, along: f.X}
}

// border makes the edges of a cell along one of its sides, above and below, and the wall
// between them; nil where the cell hangs together with another.
func (m *builder) border(i int, p, q *node) (over, under []way, wall *surface, err error) {
	if p.glued >= 0 {
		return m.seam(i, p, q, upper), m.seam(i, p, q, lower), nil, nil
	}
	e := plane.Edge{From: p.at, To: q.at, Bulge: p.bulge}
	var curves [2]curve
	k := i - len(m.bent.faces)
	if k < 0 {
		curves, wall = m.onFace(i, e)
	} else if curves, wall, err = m.onBend(k, e); err != nil {
		return nil, nil, nil, fmt.Errorf("fold %s: %w", m.name(i), err)
	}
	both := [2][]way{}
	for s := range both {
		if k >= 0 && m.bent.bends[k].pinched(s) {
			both[s] = m.axles[s][k].ways(&m.bent.bends[k], p, q)
		} else {
			both[s] = []way{m.edge(m.spot(i, p, s), m.spot(i, q, s), curves[s])}
		}
	}
	return both[upper], both[lower], wall, nil
}

// seam is the edge that a cell shares with its neighbour on one surface, as the cell runs
// along it: the bend makes it, the face runs against it.
func (m *builder) seam(i int, p, q *node, s int) []way {
	if ways, made := m.glued[s][p.glued]; made && i < len(m.bent.faces) {
		out := slices.Clone(ways)
		slices.Reverse(out)
		for k := range out {
			out[k].against = !out[k].against
		}
		return out
	}
	var ways []way
	if k := i - len(m.bent.faces); m.bent.bends[k].pinched(s) {
		ways = m.axles[s][k].ways(&m.bent.bends[k], p, q)
	} else {
		ways = []way{m.edge(m.spot(i, p, s), m.spot(i, q, s), curve{})}
	}
	m.glued[s][p.glued] = ways
	return ways
}

// wall adds the wall under an edge, which goes along it below and back above.
func (m *builder) wall(w *surface, p, q *node, over, under []way) {
	outer := slices.Clone(under)
	outer = append(outer, way{edge: m.post(q)})
	for k := len(over) - 1; k >= 0; k-- {
		outer = append(outer, way{over[k].edge, !over[k].against})
	}
	m.face(patch{surface: *w, outer: append(outer, way{m.post(p), true})})
}

// post is the edge through the metal at a corner.
func (m *builder) post(n *node) int {
	id := m.cells.corner(n.id)
	k, made := m.upright[id]
	if !made {
		k = m.edge(m.spots[lower][id], m.spots[upper][id], curve{}).edge
		m.upright[id] = k
	}
	return k
}

// onFace are the curves of an edge of a face, and its wall.
func (m *builder) onFace(i int, e plane.Edge) ([2]curve, *surface) {
	f := m.bent.faces[i]
	n := f.Normal()
	if e.Straight() {
		along := f.Dir(e.To.Sub(e.From).Unit())
		return [2]curve{}, &surface{at: f.At(e.From), axis: along.Cross(n), along: along}
	}
	sign := math.Copysign(1, e.Bulge)
	c := e.Center()
	seam := f.Dir(c.Sub(e.Mid()).Unit()) // across from the arc
	round := &arc{centre: f.At(c), axis: n.Scale(sign), along: seam, radius: e.Radius()}
	below := *round
	below.centre = round.centre.Sub(n.Scale(m.bent.thickness))
	return [2]curve{{arc: round}, {arc: &below}},
		&surface{kind: cylinder, at: round.centre, axis: n, along: seam, radius: round.radius, inward: e.Bulge < 0}
}

// onBend are the curves of an edge that crosses a bend, and its wall: a plane where it
// goes square across or along it, else ruled through the metal.
func (m *builder) onBend(k int, e plane.Edge) ([2]curve, *surface, error) {
	a := &m.bent.bends[k]
	s0, c0 := a.local(e.From)
	s1, c1 := a.local(e.To)
	switch {
	case e.Straight() && math.Abs(c1-c0) <= least:
		r := a.radial(a.turned((c0 + c1) / 2))
		along := a.axis.Scale(math.Copysign(1, s1-s0))
		return [2]curve{}, &surface{at: a.at(e.From, upper), axis: along.Cross(a.lifted(r)), along: along}, nil
	case e.Straight() && math.Abs(s1-s0) <= least:
		sign, at := math.Copysign(1, c1-c0), a.onAxis((s0+s1)/2)
		r := a.radial(a.turned((c0 + c1) / 2))
		spin := a.at0.Cross(a.at90).Scale(sign)
		var out [2]curve
		for s := range out {
			out[s].arc = &arc{centre: at, axis: spin, along: r.Neg(), radius: a.radius[s]}
		}
		g := spin.Cross(r)
		return out, &surface{at: at, axis: g.Cross(a.lifted(r)), along: g}, nil
	}
	p := &path{arch: a, edge: e}
	rows, err := p.splines()
	if err != nil {
		return [2]curve{}, nil, err
	}
	return [2]curve{{spline: &rows[upper]}, {spline: &rows[lower]}}, &surface{kind: ruled, rows: rows}, nil
}
