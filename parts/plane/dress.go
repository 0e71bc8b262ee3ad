package plane

import "math"

// dresser puts rounds and chamfers on an outline whose edges are given one by one.
type dresser struct {
	area  float64 // sign of the outline's area: which way it runs
	spans []span
}

// span is an edge to be dressed, with the treatment of the corner it leaves.
type span struct {
	Edge
	corner         int // index for errors and names
	round, chamfer float64
	need           [2]float64 // length used by the corner at its start and its end
	cut            [2]Point   // where the rest starts and ends
	arc            float64    // bulge of what goes before the rest: the fillet's
	dressed        bool
}

// add takes the next edge; one of more than half a turn becomes two.
func (d *dresser) add(corner int, e Edge, c Corner) {
	s := span{Edge: e, corner: corner, round: c.Round, chamfer: c.Chamfer}
	if math.Abs(e.Bulge) > 1+1e-12 {
		m := e.Mid()
		half := e.Bulge / (1 + math.Sqrt(1+float64(e.Bulge*e.Bulge)))
		s.To, s.Bulge = m, half
		d.spans = append(d.spans, s)
		s = span{Edge: Edge{m, e.To, half}, corner: corner}
	} else {
		s.Bulge = max(-1, min(1, s.Bulge))
	}
	d.spans = append(d.spans, s)
}

// dress makes the loop, counter-clockwise if the outline had area (clockwise
// outlines turn round), and tells for each edge the corner it came from, −1 for
// rounds and chamfers.
func (d *dresser) dress() (Loop, []int, error) {
	n := len(d.spans)
	for i := range d.spans {
		d.spans[i].cut = [2]Point{d.spans[i].From, d.spans[i].To}
	}
	for i := range d.spans {
		if err := d.corner(&d.spans[(i+n-1)%n], &d.spans[i]); err != nil {
			return nil, nil, err
		}
	}
	for i := range d.spans {
		if err := d.fits(i); err != nil {
			return nil, nil, err
		}
	}
	l := make(Loop, 0, 2*n)
	edges := make([]int, 0, 2*n)
	for i := range d.spans {
		s := &d.spans[i]
		if s.dressed {
			l = append(l, Vertex{d.spans[(i+n-1)%n].cut[1], s.arc})
			edges = append(edges, -1)
		}
		if s.need[0]+s.need[1] > s.Len()-Tol {
			continue // used up
		}
		b := s.Bulge
		if b != 0 && (s.need[0] > 0 || s.need[1] > 0) {
			b = bulgeAbout(s.cut[0], s.cut[1], s.Center(), s.Radius(), b > 0)
		}
		l = append(l, Vertex{s.cut[0], b})
		edges = append(edges, s.corner)
	}
	if d.area < 0 {
		l = l.Reversed()
		// Edge i of the reversed loop is edge n−1−i.
		for i, j := 0, len(edges)-1; i < j; i, j = i+1, j-1 {
			edges[i], edges[j] = edges[j], edges[i]
		}
	}
	return l, edges, nil
}

// corner works out the treatment between two edges.
func (d *dresser) corner(in, out *span) error {
	what, size := "round", out.round
	if size == 0 {
		what, size = "chamfer", out.chamfer
	}
	if size == 0 {
		return nil
	}
	u, v := in.EndTangent(), out.StartTangent()
	turn, cos := u.Cross(v), u.Dot(v)
	if math.Abs(turn) < tangentAngle {
		if cos > 0 {
			return nil // the edges run on smoothly: nothing to treat
		}
		return &CornerError{Corner: out.corner, What: what, Size: size, Reason: "the edges fold back on each other"}
	}
	if what == "chamfer" {
		in.need[1], out.need[0] = size, size
		for _, s := range [2]*span{in, out} {
			if l := s.Len(); size > l {
				return &CornerError{Corner: out.corner, What: what, Size: size, Needs: size, Has: l}
			}
		}
		in.cut[1], out.cut[0] = in.PointAt(1-size/in.Len()), out.PointAt(size/out.Len())
		out.dressed = true
		return nil
	}
	side := math.Copysign(1, turn)
	c, ok := filletCenter(in.Edge, out.Edge, size, side)
	if !ok {
		return &CornerError{Corner: out.corner, What: what, Size: size, Reason: "no arc of this radius touches both edges"}
	}
	in.cut[1], in.need[1] = touchPoint(in.Reversed(), c)
	out.cut[0], out.need[0] = touchPoint(out.Edge, c)
	out.arc = bulgeAbout(in.cut[1], out.cut[0], c, size, side > 0)
	out.dressed = true
	return nil
}

// fits checks that the corners of a span leave it its length.
func (d *dresser) fits(i int) error {
	s := &d.spans[i]
	l := s.Len()
	if s.need[0]+s.need[1] <= l+Tol {
		return nil
	}
	next := &d.spans[(i+1)%len(d.spans)]
	at, k := s, 0
	if s.need[1] > s.need[0] {
		at, k = next, 1
	}
	e := &CornerError{Corner: at.corner, What: "round", Size: at.round, Needs: s.need[k], Has: max(0, l-s.need[1-k])}
	if at.round == 0 {
		e.What, e.Size = "chamfer", at.chamfer
	}
	return e
}

// touchPoint is where a circle about c that touches the edge's line or circle
// does so, and how far along the edge that is from its start.
func touchPoint(e Edge, c Point) (Point, float64) {
	if e.Bulge == 0 {
		u := e.To.Sub(e.From).Unit()
		t := u.Dot(c.Sub(e.From))
		return e.From.Add(u.Scale(t)), t
	}
	o, r := e.Center(), e.Radius()
	p := o.Add(c.Sub(o).Unit().Scale(r))
	a, b := e.From.Sub(o), p.Sub(o)
	turn := math.Copysign(1, e.Bulge) * angleBetween(a, b)
	return p, float64(turn * r)
}

func angleBetween(a, b Point) float64 { return Point{a.Dot(b), a.Cross(b)}.Angle() }

// filletCenter is the centre of the circle of radius r that touches both edges
// on the side (+1 left, −1 right) that the corner turns to: where the edges, moved
// by r to that side, meet. Of several, the one that uses up least of the edges.
func filletCenter(in, out Edge, r, side float64) (Point, bool) {
	if in.Bulge == 0 && out.Bulge == 0 {
		u, v := in.EndTangent(), out.StartTangent()
		// The tangent length is r·tan(turn/2), tan(turn/2) = |sin|/(1+cos).
		t := r * math.Abs(u.Cross(v)) / (1 + u.Dot(v))
		return out.From.Add(v.Scale(t)).Add(v.Perp().Scale(side * r)), true
	}
	var cs [2]Point
	var n int
	a, aok := movedCircle(in, r*side)
	b, bok := movedCircle(out, r*side)
	if !aok || !bok {
		return Point{}, false
	}
	switch {
	case in.Bulge == 0:
		n = crossLineArc(&a, &b, Tol, &cs)
	case out.Bulge == 0:
		n = crossLineArc(&b, &a, Tol, &cs)
	default:
		n = crossArcs(&a, &b, Tol, &cs)
	}
	var best Point
	least := math.Inf(1)
	for _, c := range cs[:n] {
		_, x := touchPoint(in.Reversed(), c)
		_, y := touchPoint(out, c)
		if x >= -Tol && y >= -Tol && x+y < least {
			best, least = c, x+y
		}
	}
	return best, !math.IsInf(least, 1)
}

// movedCircle is the line or circle of an edge moved by d to its left; false
// when the circle would shrink to nothing.
func movedCircle(e Edge, d float64) (seg, bool) {
	var s seg
	s.set(e)
	if e.Bulge == 0 {
		v := e.To.Sub(e.From).Unit().Perp().Scale(d)
		s.a, s.b = s.a.Add(v), s.b.Add(v)
		return s, true
	}
	s.bulge, s.c = e.Bulge, e.Center()
	s.r = e.Radius() - math.Copysign(d, d*e.Bulge)
	return s, s.r > Tol
}

// Round puts a fillet of the radius on every convex corner, holes' included
// (convex as the material is). *CornerError when one does not fit; its Corner
// counts the vertices of the loop.
func Round(r Region, radius float64) (Region, error) {
	return dressConvex(r, Corner{Round: radius})
}

// Chamfer cuts every convex corner back by c along both edges; as Round.
func Chamfer(r Region, c float64) (Region, error) {
	return dressConvex(r, Corner{Chamfer: c})
}

func dressConvex(r Region, c Corner) (Region, error) {
	size := c.Round + c.Chamfer
	if size == 0 {
		return r.Clone(), nil
	}
	if !(size > 0) || math.IsInf(size, 1) {
		return nil, &CornerError{What: "corner", Size: size, Reason: "must be a positive length"}
	}
	out := make(Region, 0, len(r))
	for _, l := range r {
		if len(l) < 2 || !finite(l) {
			continue
		}
		d := dresser{area: 1, spans: make([]span, 0, len(l))}
		for i := range l {
			var treat Corner
			if u, v := l.Edge(i-1).EndTangent(), l.Edge(i).StartTangent(); u.Cross(v) > tangentAngle {
				treat = c
			}
			d.add(i, l.Edge(i), treat)
		}
		dressed, _, err := d.dress()
		if err != nil {
			return nil, err
		}
		out = append(out, dressed)
	}
	return out, nil
}
