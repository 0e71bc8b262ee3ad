package format

import (
	"perch/lang/diag"
	"perch/lang/syntax"
)

// mark is what the tree says of the token that starts or ends at a byte.
type mark uint8

const (
	glued   mark = 1 << iota // at a last byte: the bracket that follows belongs to this
	minus                    // at a first byte: a sign, not a difference
	binary                   // an operator between two operands, its word included
	clause                   // the token before this one leads a clause: `to`, `then`, `=`
	doc                      // documentation of a param, a rule or a declaration
	bare                     // the type in `[side]`: its bracket holds no list
	rowLine                  // starts a declaration or rule: a row of a table
)

// marks holds the marks by byte offset.
type marks []mark

func marksOf(file *syntax.File) marks {
	m := make(marks, len(file.Source.Text)+1)
	syntax.InspectFile(file, func(n syntax.Node) bool {
		switch x := n.(type) {
		case syntax.Stmt:
			m.stmt(x)
		case syntax.Expr:
			m.expr(x)
		}
		return true
	})
	return m
}

func (m marks) at(sp diag.Span, k mark) { m[sp.Start] |= k }

func (m marks) glue(sp diag.Span) {
	if sp.End > 0 {
		m[sp.End-1] |= glued
	}
}

// leads marks what clause words lead to; nil for what was left out.
func (m marks) leads(es ...syntax.Expr) {
	for _, e := range es {
		if e != nil {
			m.at(e.Span(), clause)
		}
	}
}

func (m marks) stmt(s syntax.Stmt) {
	switch x := s.(type) {
	case *syntax.Use:
		m.at(x.FromAt, clause)
	case *syntax.Stock:
		m.leads(x.Value)
	case *syntax.Param:
		m.at(x.At, rowLine)
		m.decl(&x.Decl)
	case *syntax.Let:
		if x.IsFunc {
			m.glue(x.Name.At)
		}
		m.index(x.Name, x.Index)
		m.decls(x.Params)
		m.leads(x.Value)
	case *syntax.Rule:
		m.at(x.At, rowLine)
		m.leads(x.Guard)
		m.text(x.Label)
	case *syntax.Size:
		for i := range x.States {
			m.leads(x.States[i].Value)
		}
	case *syntax.Body:
		m.index(x.Name, x.Index)
		m.leads(x.Value)
	case *syntax.Part:
		m.index(x.Name, x.Index)
		m.leads(x.Of, x.Value, x.Guard)
	case *syntax.Join:
		m.index(x.Name, x.Index)
		m.leads(x.Members...)
		m.leads(x.Places, x.By, x.Guard)
	case *syntax.Panel:
		m.glue(x.Name.At)
		m.decls(x.Params)
	case *syntax.Face:
		m.index(x.Name, x.Index)
		m.leads(x.On, x.From, x.Off, x.Angle, x.Guard)
	case *syntax.Fold:
		m.domains(x.Index)
		m.leads(x.B, x.By, x.Guard)
	case *syntax.Seam:
		m.domains(x.Index)
		m.leads(x.B, x.By, x.Guard)
	case *syntax.Cut:
		m.index(x.Name, x.Index)
		m.leads(x.In, x.Behind, x.Value, x.Guard)
	case *syntax.Mark:
		m.index(x.Name, x.Index)
		m.leads(x.In, x.Value, x.Guard)
	}
}

func (m marks) index(name syntax.Ident, es []syntax.Each) {
	if len(es) > 0 {
		m.glue(name.At)
	}
	m.domains(es)
}

func (m marks) domains(es []syntax.Each) {
	for i := range es {
		m.leads(es[i].Domain.Lo)
	}
}

func (m marks) decls(ds []syntax.Decl) {
	for i := range ds {
		m.at(ds[i].At, rowLine)
		m.decl(&ds[i])
	}
}

func (m marks) decl(d *syntax.Decl) {
	if d.List {
		m.at(d.Type.At, bare)
	}
	if d.Domain != nil {
		m.leads(d.Domain.Lo)
	}
	m.leads(d.Default)
	m.text(d.Doc)
}

func (m marks) text(d *syntax.Doc) {
	if d != nil {
		m.at(d.At, doc)
	}
}

func (m marks) expr(e syntax.Expr) {
	switch x := e.(type) {
	case *syntax.Call:
		m.glue(x.Fun.Span())
	case *syntax.IndexExpr:
		m.glue(x.X.Span())
	case *syntax.List:
		for i := range x.Items {
			it := &x.Items[i]
			m.leads(it.Round, it.Chamfer, it.Arc)
			if it.Edge != nil {
				m.at(it.Edge.At, clause)
			}
		}
	case *syntax.If:
		m.leads(x.Then, x.Else)
	case *syntax.Binary:
		m.at(x.OpAt, binary)
	case *syntax.Unary:
		if x.Op == syntax.OpNeg {
			m.at(x.At, minus)
		}
	case *syntax.In:
		m.leads(x.Domain.Lo)
	}
}
