package step

import (
	"perch/parts/solid"
)

// body writes a shell as one closed solid.
func (f *file) body(name string, s *shell) ref {
	corners, vertices := make([]ref, len(s.corners)), make([]ref, len(s.corners))
	vertex := func(i int) (point, vertex ref) {
		if vertices[i] == 0 {
			corners[i] = f.point(s.corners[i])
			vertices[i] = f.begin("VERTEX_POINT").text("").ref(corners[i]).end()
		}
		return corners[i], vertices[i]
	}
	poles := map[*solid.Vec]ref{} // of splines, which an edge and its wall have both
	edges := make([]ref, len(s.edges))
	for i := range s.edges {
		e := &s.edges[i]
		p, from := vertex(e.from)
		_, to := vertex(e.to)
		var on ref
		switch {
		case e.curve.arc != nil:
			on = f.circle(e.curve.arc)
		case e.curve.spline != nil:
			on = f.spline(e.curve.spline, poles)
		default:
			way := f.direction(s.corners[e.to].Sub(s.corners[e.from]).Unit())
			along := f.begin("VECTOR").text("").ref(way).length(1).end()
			on = f.begin("LINE").text("").ref(p).ref(along).end()
		}
		edges[i] = f.begin("EDGE_CURVE").text("").ref(from).ref(to).ref(on).flag(true).end()
	}
	faces := make([]ref, len(s.faces))
	for i := range s.faces {
		faces[i] = f.patch(&s.faces[i], edges, poles)
	}
	closed := f.begin("CLOSED_SHELL").text("").list(faces...).end()
	return f.begin("MANIFOLD_SOLID_BREP").text(name).ref(closed).end()
}

func (f *file) circle(a *arc) ref {
	at := f.axes(f.point(a.centre), a.axis, a.along)
	return f.begin("CIRCLE").text("").ref(at).length(a.radius).end()
}

// pole is the point of a spline's pole, written once.
func (f *file) pole(v *solid.Vec, poles map[*solid.Vec]ref) ref {
	if poles[v] == 0 {
		poles[v] = f.point(*v)
	}
	return poles[v]
}

func (f *file) spline(s *spline, poles map[*solid.Vec]ref) ref {
	rs := make([]ref, len(s.points))
	for i := range s.points {
		rs[i] = f.pole(&s.points[i], poles)
	}
	at, times := s.knots()
	f.begin("B_SPLINE_CURVE_WITH_KNOTS").text("").raw("5").list(rs...).raw(".UNSPECIFIED.,.F.,.F.").integers(times).lengths(at)
	return f.raw(".UNSPECIFIED.").end()
}

// patch writes a face with its surface and borders.
func (f *file) patch(p *patch, edges []ref, poles map[*solid.Vec]ref) ref {
	on, outward := f.surface(&p.surface, poles), !p.surface.inward
	bounds := []ref{f.bound("FACE_OUTER_BOUND", p.outer, edges)}
	for _, h := range p.holes {
		bounds = append(bounds, f.bound("FACE_BOUND", h, edges))
	}
	return f.begin("ADVANCED_FACE").text(p.name).list(bounds...).ref(on).flag(outward).end()
}

func (f *file) bound(kind string, ways []way, edges []ref) ref {
	rs := make([]ref, len(ways))
	for i, w := range ways {
		rs[i] = f.begin("ORIENTED_EDGE").text("").raw("*,*").ref(edges[w.edge]).flag(!w.against).end()
	}
	loop := f.begin("EDGE_LOOP").text("").list(rs...).end()
	return f.begin(kind).text("").ref(loop).flag(true).end()
}

func (f *file) surface(s *surface, poles map[*solid.Vec]ref) ref {
	if s.kind == ruled {
		return f.ruled(&s.rows, poles)
	}
	at := f.axes(f.point(s.at), s.axis, s.along)
	if s.kind == cylinder {
		return f.begin("CYLINDRICAL_SURFACE").text("").ref(at).length(s.radius).end()
	}
	return f.begin("PLANE").text("").ref(at).end()
}

// ruled is the surface from the lower of two splines straight up to the upper.
func (f *file) ruled(rows *[2]spline, poles map[*solid.Vec]ref) ref {
	n := len(rows[upper].points)
	pairs := make([][2]ref, n)
	for i := range pairs {
		pairs[i] = [2]ref{f.pole(&rows[lower].points[i], poles), f.pole(&rows[upper].points[i], poles)}
	}
	f.begin("B_SPLINE_SURFACE_WITH_KNOTS").text("").raw("5,1,(")
	for _, p := range pairs {
		f.list(p[:]...)
	}
	at, times := rows[upper].knots()
	f.buf = append(f.buf, ')')
	f.raw(".RULED_SURF.,.F.,.F.,.F.").integers(times).raw("(2,2)").lengths(at).raw("(0.,1.)")
	return f.raw(".UNSPECIFIED.").end()
}
