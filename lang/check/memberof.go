package check

import (
	"fmt"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// member is the type of x.name, or of x.name(…) when call is not nil.
func (c *checker) member(s *scope, e *syntax.Member, x Type, call *syntax.Call) Type {
	switch x.Kind {
	case Invalid, Any:
		c.mayMean(e, nil, true)
		if call != nil {
			c.readArgs(s, call)
		}
		return x
	case FamilyKind:
		if m := builtin.MemberOf(ShapeKind, e.Name.Name); m != nil && x.Elem.Kind == PointKind {
			return c.shapeUse(s, e, m, x, call)
		}
		return family(x.Index, c.member(s, e, *x.Elem, call))
	case PartKind:
		return c.partMember(s, e, x, call)
	case FaceKind:
		return c.faceMember(s, e, x, call)
	case ListKind:
		if m := builtin.MemberOf(ShapeKind, e.Name.Name); m != nil && assignable(point, *x.Elem) {
			return c.shapeUse(s, e, m, x, call)
		}
		if !assignable(point, *x.Elem) {
			return joinedLists(c.member(s, e, *x.Elem, call))
		}
	}
	if m := builtin.MemberOf(x.Kind, e.Name.Name); m != nil {
		return c.shapeUse(s, e, m, x, call)
	}
	return c.noMember(s, e, x, memberNames(x.Kind), call)
}

// joinedLists is the type of the list of things that are of a type; those that are lists
// or families are joined.
func joinedLists(t Type) Type {
	switch t.Kind {
	case Invalid, Any, ListKind:
		return t
	case FamilyKind:
		return list(*t.Elem)
	}
	t.edges = nil
	return list(t)
}

// builtinUse is the type of a member of the language's own: a property read, or a method called.
func (c *checker) builtinUse(s *scope, e *syntax.Member, m *builtin.Member, call *syntax.Call) Type {
	switch {
	case m.Method && call == nil:
		d := c.report("P2028", e.Name.At, fmt.Sprintf("%s takes arguments", m.Name), "call it")
		note(d, "it is written ."+m.Signature())
		return Result(&m.Function)
	case m.Method:
		got, _, _ := c.args(s, m.Name, Parameters(&m.Function), call)
		c.bind(call, &m.Function, nil, got)
	case call != nil:
		d := c.report("P2028", e.Name.At, fmt.Sprintf("%s is read without brackets", m.Name), "takes no arguments")
		fix(d, "write "+m.Name, diag.Edit{Span: diag.Span{Source: call.At.Source, Start: e.Name.At.End, End: call.At.End}})
		c.readArgs(s, call)
	}
	return Result(&m.Function)
}

// shapeUse is builtinUse of a member of x: a shape made of another keeps its edges' names.
func (c *checker) shapeUse(s *scope, e *syntax.Member, m *builtin.Member, x Type, call *syntax.Call) Type {
	t := c.builtinUse(s, e, m, call)
	if m.Of == ShapeKind && t.Kind == ShapeKind {
		return shape.withEdges(x)
	}
	return t
}

// partMember reads what a part's panel declares.
func (c *checker) partMember(s *scope, e *syntax.Member, x Type, call *syntax.Call) Type {
	if x.Decl == nil {
		if call != nil {
			c.readArgs(s, call)
		}
		return anything
	}
	if d := x.Decl.member(e.Name.Name, call); d != nil {
		return c.declaredMember(s, e, d, call)
	}
	return c.noMember(s, e, x, declNames(x.Decl), call)
}

// member is what a panel or face declares under a name that is read, or called where
// call is not nil.
func (d *Decl) member(name string, call *syntax.Call) *Decl {
	if call != nil {
		return d.Called(name)
	}
	return d.Member(name)
}

func declNames(of *Decl) []string {
	var names []string
	for _, d := range of.Members {
		names = append(names, d.Name)
	}
	return names
}

// declaredMember is the type of a member that a panel or face declares.
func (c *checker) declaredMember(s *scope, e *syntax.Member, d *Decl, call *syntax.Call) Type {
	c.prog.refs[e] = d
	c.needs(d)
	if call != nil {
		return c.callDecl(s, d, e, call)
	}
	return c.typeOf(d)
}

// faceMember reads, in this order, a face's cuts and marks, the edges that its outline
// names, its lets, the language's own members of a face, then what may be an edge.
func (c *checker) faceMember(s *scope, e *syntax.Member, x Type, call *syntax.Call) Type {
	name := e.Name.Name
	own := builtin.MemberOf(FaceKind, name)
	if x.Decl == nil {
		if own != nil {
			return c.builtinUse(s, e, own, call)
		}
		c.mayMean(e, nil, true)
		if call != nil {
			c.readArgs(s, call)
		}
		return anything
	}
	d := x.Decl.member(name, call)
	if d != nil && d.Kind != Let {
		return c.declaredMember(s, e, d, call)
	}
	if d == nil {
		if o := c.outsideIn(x.Decl, name, e.X); o != nil {
			return c.declaredMember(s, e, o, call)
		}
	}
	edges := c.faceEdges(x.Decl)
	switch {
	case len(edges.named(name)) > 0, d == nil && own == nil && !edges.outline().known:
		return c.edgeUse(s, e, edges, call)
	case d != nil:
		return c.declaredMember(s, e, d, call)
	case own != nil:
		t := c.builtinUse(s, e, own, call)
		if t.Kind == ShapeKind { // its outline
			return t.withEdges(edges)
		}
		return t
	}
	known := append(append(declNames(x.Decl), edges.edgeNames()...), memberNames(FaceKind)...)
	return c.noMember(s, e, x, known, call)
}

// once lists names in their order, each once.
func once(names []string) []string {
	var out []string
	for _, n := range names {
		if !contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

func (c *checker) noMember(s *scope, e *syntax.Member, x Type, known []string, call *syntax.Call) Type {
	if call != nil {
		c.readArgs(s, call)
	}
	if e.Name.Name == "" || x.Decl != nil && c.lost(x.Decl.Module, e.Name.Name) {
		return invalid
	}
	of := x.phrase()
	if x.Kind == FaceKind && x.Decl != nil {
		of = "the face " + x.Decl.Name
	}
	if c.twice(e.X) {
		c.tells()
		return invalid
	}
	d := c.report("P2030", e.Name.At, fmt.Sprintf("%s has no %s", of, e.Name.Name), "no such member")
	c.suggest(d, e.Name.At, e.Name.Name, known)
	switch {
	case x.Kind == FaceKind && x.Decl != nil && d.Fix == nil && call == nil && c.nameEdge(d, x.Decl, e.Name.Name):
	case x.Kind == ListKind && builtin.MemberOf(x.Elem.Kind, e.Name.Name) != nil:
		note(d, fmt.Sprintf("%s of them has: take one with [n]", x.Elem.phrase()))
	case len(known) > 0 && len(known) <= 16 && d.Fix == nil:
		note(d, "it has "+joined(once(known)))
	}
	return invalid
}

// memberNames lists what the language gives a kind, in order.
func memberNames(of Kind) []string {
	var names []string
	for _, m := range builtin.MembersOf(of) {
		names = append(names, m.Name)
	}
	return names
}
