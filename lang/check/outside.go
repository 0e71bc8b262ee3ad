package check

import (
	"fmt"
	"slices"

	"perch/lang/syntax"
)

// Work on a part from outside: the cuts and marks that a file makes in faces of its
// parts. They are read as members of the face, as its own are, and by no bare name.

// work is what a cut or mark of a file says, whichever it is.
type work struct {
	in, behind, value, guard syntax.Expr
	index                    []syntax.Each
}

func workOf(s syntax.Stmt) (work, bool) {
	switch s := s.(type) {
	case *syntax.Cut:
		return work{s.In, s.Behind, s.Value, s.Guard, s.Index}, true
	case *syntax.Mark:
		return work{s.In, nil, s.Value, s.Guard, s.Index}, true
	}
	return work{}, false
}

// declareOutside declares a cut or mark of a file.
func (c *checker) declareOutside(m *Module, kind DeclKind, s syntax.Stmt, name syntax.Ident) {
	d := &Decl{Name: name.Name, Kind: kind, At: name.At, Node: s, Module: m, scope: m.scope, unit: c.unit}
	m.Order = append(m.Order, d)
	m.outside = append(m.outside, d)
	c.nodes = append(c.nodes, d)
}

// outsideType is the type of a cut or mark of a file; it finds the face it is made in.
func (c *checker) outsideType(d *Decl, t Type) Type {
	w, _ := workOf(d.Node)
	in := c.expr(d.scope, w.in)
	one := in
	if (in.Kind == FamilyKind || in.Kind == ListKind) && in.Elem != nil {
		one = *in.Elem
	}
	if !assignable(face, one) {
		r := c.report("P2048", w.in.Span(), fmt.Sprintf("a %s is made in a face, this is %s", d.Kind, in.phrase()), "not a face")
		c.noteFaces(r, w.in, one)
	}
	d.Parts = append(d.Parts, c.partsIn(w.in)...)
	if d.Into = one.Decl; one.Kind != FaceKind {
		d.Into = nil
	}
	if d.Into != nil {
		if old := d.Into.Member(d.Name); old != nil && d.Name != "" {
			r := c.report("P2002", d.At, fmt.Sprintf("the face %s has a %s %s of its own", d.Into.Name, old.Kind, d.Name), "another name is needed")
			also(r, old.At, "declared here")
		}
	}
	return c.familyOf(d, t)
}

// partsIn are the parts that an expression speaks of, through lets and indices.
func (c *checker) partsIn(e syntax.Expr) (parts []*Decl) {
	seen := map[*Decl]bool{}
	var visit func(n syntax.Node) bool
	visit = func(n syntax.Node) bool {
		name, ok := n.(*syntax.Name)
		if !ok {
			return true
		}
		of := c.prog.DeclOf(name)
		if of == nil || seen[of] {
			return true
		}
		seen[of] = true
		switch {
		case of.Kind == Part:
			parts = append(parts, of)
		case of.Kind == Index && of.Each.Domain != nil:
			syntax.Inspect(of.Each.Domain.Lo, visit)
		case of.Kind == Let:
			if l, ok := of.Node.(*syntax.Let); ok && !l.IsFunc {
				syntax.Inspect(l.Value, visit)
			}
		}
		return true
	}
	syntax.Inspect(e, visit)
	return parts
}

// checkOutside checks a cut or mark of a file.
func (c *checker) checkOutside(d *Decl) {
	c.typeOf(d)
	w, _ := workOf(d.Node)
	c.reading(d, func() {
		if w.behind != nil {
			t := c.expr(d.scope, w.behind)
			one := t
			if t.Kind == FamilyKind {
				one = *t.Elem
			}
			c.fits(w.behind, one, "what a cut goes through", part, face)
			d.Parts = append(d.Parts, c.partsIn(w.behind)...)
		}
		if d.Kind == Cut {
			c.want(d.scope, w.value, "a cut", shape)
		} else {
			c.want(d.scope, w.value, "a mark", mark)
		}
		if w.guard != nil {
			c.condition(d.scope, w.guard, "a guard")
		}
	})
}

// outsideIn is the cut or mark of a name that the file makes in copies of a face f, which
// an expression x stands for: not those of other parts that the same panel makes.
func (c *checker) outsideIn(f *Decl, name string, x syntax.Expr) *Decl {
	for _, d := range c.prog.Root.outside {
		if d.Name != name {
			continue
		}
		c.typeOf(d)
		of := c.partsIn(x)
		if d.Into == f && (of == nil || slices.ContainsFunc(of, func(p *Decl) bool { return slices.Contains(d.Parts, p) })) {
			return d
		}
	}
	return nil
}
