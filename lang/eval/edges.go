package eval

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
)

// straight are the straight edges of a face's outline, in order.
func (f *face) straight() []value.Segment {
	if f.edges == nil {
		f.names = f.outline.Edges()
		if f.canvas.Hung && !slices.ContainsFunc(f.names, func(s value.Segment) bool { return s.Name == "outer" }) {
			f.names = append(f.outer(), f.names...)
		}
		f.edges = append([]value.Segment{}, value.OutlineEdges(f.region[0], f.names)...)
	}
	return f.edges
}

// outer is what of a hung face's outline lies farthest from its fold and along it.
func (f *face) outer() []value.Segment {
	var out []value.Segment
	far := 0.0
	for i := range f.region[0] {
		e := f.region[0].Edge(i)
		if !e.Straight() || math.Abs(e.From.Y-e.To.Y) > 1e-6 || e.To.X >= e.From.X || e.From.Y < far-1e-6 {
			continue
		}
		if e.From.Y > far+1e-6 {
			far, out = e.From.Y, nil
		}
		out = append(out, value.Segment{EdgeName: value.EdgeName{Name: "outer", Own: true}, A: e.From, B: e.To})
	}
	return out
}

// edge is a straight edge of the outline.
func (f *face) edge(s value.Segment) edge {
	return edge{f, s.Name, f.frame.At(s.A), f.frame.At(s.B), []value.Segment{s}}
}

// named is the edge of a name, or where there are several of it the list of them.
func (f *face) named(name string) (value.Value, bool) {
	for _, s := range f.straight() { // one of several by its number, or an unnamed one by its place
		if s.Name == name {
			return f.edge(s), true
		}
	}
	copies, several := value.Named(f.names, name)
	if len(copies) == 0 {
		return nil, false
	}
	all := make([]edge, len(copies))
	for i, pieces := range copies {
		all[i] = f.edge(pieces[0])
		all[i].name, all[i].pieces = name, pieces
		if len(pieces) > 1 {
			continue
		}
		for _, s := range f.straight() { // it is that edge, whatever else that is called
			if s.A.Near(pieces[0].A, 1e-6) && s.B.Near(pieces[0].B, 1e-6) {
				all[i].name = s.Name
			}
		}
	}
	if !several {
		return all[0], true
	}
	return value.ListOf(all...), true
}

func (e edge) length() float64 {
	l := 0.0
	for _, p := range e.pieces {
		l += p.A.Dist(p.B)
	}
	return l
}

// whole refuses an edge that is in pieces where one edge is needed.
func (ev *evaluator) whole(e edge, at syntax.Node, hung *syntax.Face) {
	if len(e.pieces) == 1 {
		return
	}
	more := []any{onEachPiece(e, hung)}
	first := ""
	for _, p := range e.pieces {
		call := e.of.called(p)
		if first == "" {
			first = call
		}
		more = append(more, measure.Say("%s, %s long, runs from %s to %s", call, value.ShownLength(p.A.Dist(p.B)), e.of.point(p.A), e.of.point(p.B)))
	}
	more = append(more, "hang a face on each piece, as in `off "+first+"`, or draw what parts them as a cut")
	ev.fail("P4012", at.Span(), fmt.Sprintf("%s of %s is in %d pieces: a face hangs on one edge", e.name, e.of.name, len(e.pieces)), more...)
}

// onEachPiece offers to hang a face on every piece of an edge; nil where what is hung is
// a family already, or has a name that the index would hide.
func onEachPiece(e edge, hung *syntax.Face) *diag.Fix {
	const index = "e"
	if hung == nil || len(hung.Index) > 0 || hung.Turn == syntax.NoTurn {
		return nil
	}
	hidden := false
	syntax.Inspect(hung, func(n syntax.Node) bool {
		x, ok := n.(*syntax.Name)
		hidden = hidden || ok && x.Name == index
		return !hidden
	})
	if hidden {
		return nil
	}
	var pieces []string
	for _, p := range e.pieces {
		pieces = append(pieces, e.of.called(p))
	}
	return &diag.Fix{Message: "hang a face on each piece", Edits: []diag.Edit{
		{Span: hung.Name.At.After(), Text: fmt.Sprintf("[%s in [%s]]", index, strings.Join(pieces, ", "))},
		{Span: hung.Off.Span(), Text: index},
	}}
}

// called is how a straight edge of the face can be written.
func (f *face) called(p value.Segment) string {
	for i, s := range f.straight() {
		if s.A.Near(p.A, 1e-6) && s.B.Near(p.B, 1e-6) {
			return fmt.Sprintf("%s.edges[%d]", f.stmt.Name.Name, i+1)
		}
	}
	return p.Name
}

// point writes a point of the face's frame as u and v.
func (f *face) point(p plane.Point) measure.Text {
	back, err := f.canvas.Point.Inverse()
	if err == nil {
		p = back.Apply(p)
	}
	return measure.Say("(%s, %s)", value.ShownLength(p.X), value.ShownLength(p.Y))
}

// oneOf refuses a list of edges where one edge is needed.
func (ev *evaluator) oneOf(l *value.List, at syntax.Node) {
	var names []string
	for _, it := range l.Items {
		e, ok := it.V.(edge)
		if !ok {
			ev.wrong(at, l, "face or edge")
		}
		names = append(names, ev.says("%s, %s long", e.name, value.ShownLength(e.length())))
	}
	ev.fail("P4012", at.Span(), fmt.Sprintf("these are %d edges: a face hangs on one", len(names)), strings.Join(names, "; "),
		"take one with [n], or hang a face on each, as in `face NAME[e in "+at.Span().Text()+"] off e`")
}

// edgeOnLine finds the face's edge that lies on a line of its plane.
func (ev *evaluator) edgeOnLine(f *face, line solid.Line, at diag.Span) edge {
	nearest := math.Inf(1)
	var on []value.Segment
	for _, s := range f.straight() {
		a, b := f.frame.At(s.A), f.frame.At(s.B)
		d := max(line.D.Cross(a.Sub(line.P)).Len(), line.D.Cross(b.Sub(line.P)).Len())
		nearest = min(nearest, d)
		if d < 1e-6 {
			on = append(on, s)
		}
	}
	if len(on) == 0 {
		ev.fail("P4010", at, fmt.Sprintf("no edge of %s lies where its plane meets this one", f.name),
			measure.Say("the nearest is off by %.3g", measure.Length(nearest)))
	}
	e := f.edge(on[0])
	e.pieces = value.Together(on)
	if p := e.pieces[0]; len(e.pieces) == 1 {
		e.a, e.b = f.frame.At(p.A), f.frame.At(p.B)
	} else {
		e.name = "this side"
	}
	return e
}

// EdgeIn is f.edge(plane): the edge that lies in another plane.
func (ev *evaluator) EdgeIn(of builtin.Face, on solid.Frame, at diag.Span) value.Value {
	f := of.(*face)
	line, ok := solid.Meet(f.frame.Plane(), on.Plane())
	if !ok {
		ev.fail("P4010", at, fmt.Sprintf("this plane is parallel to %s: it holds no edge of it", f.name))
	}
	return ev.edgeOnLine(f, line, at)
}

// Shape is the face's outline, with the names of its edges.
func (f *face) Shape(at diag.Span) *value.Shape {
	return &value.Shape{At: at, By: func(c *value.Canvas) value.Drawn {
		f.straight()
		m := value.Between(f.frame, c.Frame)
		d := value.Drawn{Region: f.region, Names: func() []value.Segment { return f.names }}
		if m.Det()*f.canvas.Point.Det()*c.Point.Det() < 0 { // seen from its other side
			return d.Mirrored(m)
		}
		return d.Mapped(m)
	}}
}

// noEdge tells what edges there are where one that the language may name is missing.
func (ev *evaluator) noEdge(f *face, name string, x *syntax.Member) {
	if !slices.Contains([]string{"left", "right", "top", "bottom", "outer"}, name) {
		return
	}
	var has []string
	for _, s := range f.names {
		if !slices.Contains(has, s.Name) {
			has = append(has, s.Name)
		}
	}
	var more []any
	if len(has) > 0 {
		more = append(more, "its edges are called "+strings.Join(has, ", "))
	}
	if f.canvas.Level() && !f.canvas.Hung {
		more = append(more, fmt.Sprintf("it lies level: an edge along a body is found by its side, as in %s.edge(BODY.front)", f.stmt.Name.Name))
	}
	more = append(more, f.copyNote())
	ev.fail("P2030", x.Name.At, fmt.Sprintf("the face %s has no straight edge called %s", f.name, name), more...)
}
