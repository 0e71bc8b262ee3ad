package syntax

import (
	"strings"

	"perch/lang/diag"
)

// shifter copies nodes into another text, in which they stand by bytes further
// on. Names stay slices of the text they were read from, which is kept as long as
// they are, unless they are made to be their own.
type shifter struct {
	src *diag.Source
	by  int32
	own bool
}

func (h shifter) text(s string) string {
	if h.own {
		return strings.Clone(s)
	}
	return s
}

func (h shifter) span(sp diag.Span) diag.Span {
	if sp.Source == nil {
		return sp
	}
	return diag.Span{Source: h.src, Start: sp.Start + h.by, End: sp.End + h.by}
}

func (h shifter) ident(x Ident) Ident { return Ident{h.text(x.Name), h.span(x.At)} }

func (h shifter) optIdent(x *Ident) *Ident {
	if x == nil {
		return nil
	}
	return &Ident{h.text(x.Name), h.span(x.At)}
}

func (h shifter) doc(x *Doc) *Doc {
	if x == nil {
		return nil
	}
	return &Doc{h.text(x.Value), h.span(x.At)}
}

// copied copies a list, item by item; nil stays nil.
func copied[T any](xs []T, one func(*T) T) []T {
	if xs == nil {
		return nil
	}
	out := make([]T, len(xs))
	for i := range xs {
		out[i] = one(&xs[i])
	}
	return out
}

func (h shifter) decl(x *Decl) Decl {
	return Decl{h.span(x.At), h.ident(x.Name), h.ident(x.Type), x.List, h.domain(x.Domain), h.expr(x.Default), x.About, h.doc(x.Doc)}
}

func (h shifter) decls(xs []Decl) []Decl { return copied(xs, h.decl) }

func (h shifter) index(xs []Each) []Each {
	return copied(xs, func(x *Each) Each { return Each{h.span(x.At), h.ident(x.Name), h.domain(x.Domain)} })
}

func (h shifter) domain(x *Domain) *Domain {
	if x == nil {
		return nil
	}
	return &Domain{h.span(x.At), h.expr(x.Lo), h.expr(x.Hi)}
}

func (h shifter) body(xs []Stmt) []Stmt { return copied(xs, func(x *Stmt) Stmt { return h.stmt(*x) }) }

func (h shifter) design(x *Design) *Design {
	if x == nil {
		return nil
	}
	return &Design{h.span(x.At), *h.doc(&x.Name), h.optIdent(x.Units), h.doc(x.Revision)}
}

func (h shifter) stmt(s Stmt) Stmt {
	switch x := s.(type) {
	case *Design:
		return h.design(x)
	case *Use:
		names := copied(x.Names, func(n *Import) Import { return Import{h.ident(n.Name), h.optIdent(n.As)} })
		return &Use{h.span(x.At), names, h.text(x.Module), h.text(x.Path), h.span(x.FromAt)}
	case *Stock:
		return &Stock{h.span(x.At), h.ident(x.Name), h.expr(x.Value)}
	case *Param:
		return &Param{h.span(x.At), h.decl(&x.Decl)}
	case *Let:
		return &Let{h.span(x.At), h.ident(x.Name), h.index(x.Index), h.decls(x.Params), x.IsFunc, h.expr(x.Value)}
	case *Rule:
		return &Rule{h.span(x.At), h.expr(x.Cond), h.expr(x.Guard), h.doc(x.Label)}
	case *Size:
		states := copied(x.States, func(st *State) State {
			return State{h.span(st.At), h.ident(st.Name), st.How, h.expr(st.Value)}
		})
		return &Size{h.span(x.At), h.ident(x.Name), h.optIdent(x.Like), states}
	case *Body:
		return &Body{h.span(x.At), h.ident(x.Name), h.index(x.Index), h.expr(x.Value)}
	case *Part:
		return &Part{h.span(x.At), h.ident(x.Name), h.index(x.Index), h.expr(x.Of), h.expr(x.Value), x.Loose, h.expr(x.Guard)}
	case *Join:
		members := copied(x.Members, func(e *Expr) Expr { return h.expr(*e) })
		return &Join{h.span(x.At), h.ident(x.Name), h.index(x.Index), members, h.expr(x.Places), h.expr(x.By), h.expr(x.Guard)}
	case *Panel:
		return &Panel{h.span(x.At), h.ident(x.Name), h.decls(x.Params), h.optIdent(x.Of), h.doc(x.Doc), h.body(x.Body)}
	case *Face:
		return &Face{h.span(x.At), h.ident(x.Name), h.index(x.Index), h.expr(x.On), h.expr(x.From), h.expr(x.Off),
			x.Turn, h.expr(x.Angle), h.expr(x.Guard), h.body(x.Body)}
	case *Fold:
		return &Fold{h.span(x.At), h.index(x.Index), h.expr(x.A), h.expr(x.B), h.expr(x.By), h.expr(x.Guard)}
	case *Seam:
		return &Seam{h.span(x.At), h.index(x.Index), h.expr(x.A), h.expr(x.B), h.expr(x.By), h.expr(x.Guard)}
	case *Outline:
		return &Outline{h.span(x.At), h.expr(x.Value)}
	case *Cut:
		return &Cut{h.span(x.At), h.ident(x.Name), h.index(x.Index), h.expr(x.In), h.expr(x.Behind), h.expr(x.Value), h.expr(x.Guard)}
	case *Mark:
		return &Mark{h.span(x.At), h.ident(x.Name), h.index(x.Index), h.expr(x.In), h.expr(x.Value), h.expr(x.Guard)}
	}
	return s
}

func (h shifter) expr(e Expr) Expr {
	switch x := e.(type) {
	case *Literal:
		v := x.Value
		v.Spelling = h.text(v.Spelling)
		return &Literal{h.span(x.At), v}
	case *Text:
		return &Text{h.span(x.At), h.text(x.Value)}
	case *Name:
		return &Name{h.span(x.At), h.text(x.Name)}
	case *Call:
		args := copied(x.Args, func(a *Arg) Arg { return Arg{h.optIdent(a.Label), h.expr(a.Value)} })
		return &Call{h.span(x.At), h.expr(x.Fun), args}
	case *Member:
		return &Member{h.span(x.At), h.expr(x.X), h.ident(x.Name)}
	case *IndexExpr:
		return &IndexExpr{h.span(x.At), h.expr(x.X), copied(x.Index, func(e *Expr) Expr { return h.expr(*e) })}
	case *Pair:
		return &Pair{h.span(x.At), h.expr(x.X), h.expr(x.Y)}
	case *Triple:
		return &Triple{h.span(x.At), h.expr(x.X), h.expr(x.Y), h.expr(x.Z)}
	case *Paren:
		return &Paren{h.span(x.At), h.expr(x.X)}
	case *List:
		return &List{h.span(x.At), copied(x.Items, h.item)}
	case *If:
		return &If{h.span(x.At), h.expr(x.Cond), h.expr(x.Then), h.expr(x.Else)}
	case *Binary:
		return &Binary{h.span(x.At), x.Op, h.span(x.OpAt), h.expr(x.X), h.expr(x.Y)}
	case *Unary:
		return &Unary{h.span(x.At), x.Op, h.expr(x.X)}
	case *In:
		return &In{h.span(x.At), h.expr(x.X), h.domain(x.Domain)}
	}
	return nil
}

func (h shifter) item(x *Item) Item {
	return Item{h.span(x.At), h.expr(x.Value), h.expr(x.Round), h.expr(x.Chamfer), h.expr(x.Arc), h.optIdent(x.Edge)}
}

// diagnostic copies a mistake. Places it speaks of beside its own must move with it.
func (h shifter) diagnostic(d diag.Diagnostic) diag.Diagnostic {
	d.Span = h.span(d.Span)
	d.Related = copied(d.Related, func(r *diag.Related) diag.Related { return diag.Related{Span: h.span(r.Span), Message: r.Message} })
	if d.Fix != nil {
		d.Fix = &diag.Fix{Message: d.Fix.Message, Edits: copied(d.Fix.Edits, func(e *diag.Edit) diag.Edit {
			return diag.Edit{Span: h.span(e.Span), Text: e.Text}
		})}
	}
	return d
}
