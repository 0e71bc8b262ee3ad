package check

import (
	"slices"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// edgeUse is what a member may mean where it means an edge.
type edgeUse struct {
	edges []*Decl
	open  bool
}

// EdgeOf is the edge that a corner of a list of points names; nil where it names
// none, or one that the list names already.
func (p *Program) EdgeOf(it *syntax.Item) *Decl {
	if d := p.stated[it]; d != nil || p.under == nil {
		return d
	}
	return p.under.EdgeOf(it)
}

// EdgesOf are the edges that a member may mean: more than one where its face's
// outline is made of several shapes that each name an edge so. Edges that the
// language names, as those of a rect, stand nowhere. It is open where it may mean
// another edge, or something else, that is known only when the face is drawn.
func (p *Program) EdgesOf(m *syntax.Member) (edges []*Decl, open bool) {
	u, ok := p.edgeUses[m]
	if !ok && p.under != nil {
		return p.under.EdgesOf(m)
	}
	return u.edges, u.open
}

// withEdges is t with the edges of another type, and no others.
func (t Type) withEdges(of Type) Type {
	t.edges = of.edges
	return t
}

// shapeEdges are the edges of a shape that may have names. Types share them: they are
// never changed.
type shapeEdges struct {
	all   []*Decl
	lists []*Decl // those whose name is a list: the shape has copies of them
	known bool    // no others have names
}

// noneNamed are those of a shape without any.
var noneNamed = &shapeEdges{known: true}

// outline are the edges that a type knows of.
func (t Type) outline() shapeEdges {
	if t.edges == nil {
		return shapeEdges{}
	}
	return *t.edges
}

// joinEdges has the edges that a shape made of both may have.
func joinEdges(a, b Type) Type {
	if a.edges == b.edges {
		return Type{edges: a.edges}
	}
	m, n := a.outline(), b.outline()
	return Type{edges: &shapeEdges{bothEdges(m.all, n.all), bothEdges(m.lists, n.lists), m.known && n.known}}
}

// bothEdges has the edges of both, each once.
func bothEdges(a, b []*Decl) []*Decl {
	edges := slices.Clone(a)
	for _, e := range b {
		if !slices.Contains(edges, e) {
			edges = append(edges, e)
		}
	}
	return edges
}

// repeated is a shape that is there several times: each of its names is the list of
// the edges that the copies have.
func (t Type) repeated() Type {
	if o := t.outline(); len(o.all) > 0 {
		t.edges = &shapeEdges{o.all, o.all, o.known}
	}
	return t
}

// symmetric is a list of points closed by its mirror image: every edge is there
// twice, but for the one that crosses the axis.
func (t Type) symmetric() Type {
	if o := t.outline(); len(o.all) > 0 {
		t.edges = &shapeEdges{o.all, slices.DeleteFunc(slices.Clone(o.all), func(e *Decl) bool { return e.closes }), o.known}
	}
	return t
}

// edgeNames lists the names of a type's edges, each once.
func (t Type) edgeNames() []string {
	var names []string
	for _, e := range t.outline().all {
		if !slices.Contains(names, e.Name) {
			names = append(names, e.Name)
		}
	}
	return names
}

// named are the edges of a type that have a name.
func (t Type) named(name string) []*Decl {
	var out []*Decl
	for _, e := range t.outline().all {
		if e.Name == name {
			out = append(out, e)
		}
	}
	return out
}

// offerMember offers the face before a name that only one face of the panel has, as
// an edge, a cut or a mark.
func (c *checker) offerMember(r *diag.Diagnostic, s *scope, e *syntax.Name) bool {
	if s.panel == nil {
		return false
	}
	var of *Decl
	for _, f := range s.panel.Members {
		if f.Kind != Face || !single(f) {
			continue
		}
		d := f.Member(e.Name)
		if d != nil && d.Kind != Let || len(c.faceEdges(f).named(e.Name)) > 0 {
			if of != nil {
				return false
			}
			of = f
		}
	}
	if of == nil {
		return false
	}
	full := of.Name + "." + e.Name
	note(r, "did you mean "+full+"?")
	fix(r, "write "+full, diag.Edit{Span: e.At.Before(), Text: of.Name + "."})
	return true
}

// states declares the edge that a corner of a list of points names, once however
// often the list is read.
func (c *checker) states(s *scope, l *syntax.List, it *syntax.Item) *Decl {
	if d := c.prog.EdgeOf(it); d != nil {
		return d
	}
	d := &Decl{Name: it.Edge.Name, Kind: Edge, At: it.Edge.At, Corner: it, Module: s.module, Owner: s.face, Type: edge, state: done}
	d.closes = it == &l.Items[len(l.Items)-1] && !onAxis(it)
	if d.Owner == nil {
		d.Owner = s.panel
	}
	if c.prog.stated == nil {
		c.prog.stated = map[*syntax.Item]*Decl{}
	}
	c.prog.stated[it] = d
	return d
}

// onAxis says that a corner is known to lie at u = 0.
func onAxis(it *syntax.Item) bool {
	p, ok := strip(it.Value).(*syntax.Pair)
	if !ok {
		return false
	}
	v, ok := constant(p.X)
	return ok && v.Value == 0
}

// mayMean notes which edges a member may mean.
func (c *checker) mayMean(e *syntax.Member, edges []*Decl, open bool) {
	if c.prog.edgeUses == nil {
		c.prog.edgeUses = map[*syntax.Member]edgeUse{}
	}
	c.prog.edgeUses[e] = edgeUse{edges, open}
}

// edgeUse is the type of an edge by its name, a list where the outline has copies of
// it. What a face's outline can't tell before it is drawn is taken for an edge.
func (c *checker) edgeUse(s *scope, e *syntax.Member, outline Type, call *syntax.Call) Type {
	edges := outline.named(e.Name.Name)
	o := outline.outline()
	c.mayMean(e, edges, !o.known)
	if call != nil {
		c.readArgs(s, call)
		c.report("P2028", e.Name.At, e.Name.Name+" is an edge, read without brackets", "takes no arguments")
	}
	if slices.ContainsFunc(edges, func(d *Decl) bool { return slices.Contains(o.lists, d) }) {
		return list(edge)
	}
	return edge
}

// maybeEdges says that an expression names what is an edge, or several, as only its
// face tells when it is drawn.
func (c *checker) maybeEdges(e syntax.Expr) bool {
	m, ok := strip(e).(*syntax.Member)
	if !ok {
		return false
	}
	_, open := c.prog.EdgesOf(m)
	return open
}

// outerEdge is the edge of a hung face that lies along its fold and farthest from it.
var outerEdge = &Decl{Name: "outer", Kind: Edge, Type: edge, state: done}

// faceEdges reads a face's outline, once, for the names of its edges.
func (c *checker) faceEdges(f *Decl) Type {
	if f.outline == fresh {
		f.outline = busy
		outer := c.enter(f)
		t := c.readOutline(f)
		if s, ok := f.Node.(*syntax.Face); ok && s.Off != nil && len(t.named("outer")) == 0 {
			o := t.outline()
			t.edges = &shapeEdges{append(slices.Clone(o.all), outerEdge), o.lists, o.known}
		}
		c.leave(outer)
		f.edges = &t
		f.outline = done
	}
	if f.edges == nil { // asked for while it is read
		return invalid
	}
	return *f.edges
}
