package syntax

import "perch/lang/diag"

// parseOne parses the statement that first starts and builds its node. opens
// says that its opening brace was taken. On a mistake p.failed is set and the
// node, if any, is partial.
func (p *parser) parseOne(first *token) (s Stmt, opens bool) {
	start := p.span(first)
	g := &p.eng.start
	switch first.Value {
	case "design":
		return p.design(one(p, g.design), start), false
	case "use":
		return p.use(one(p, g.use), start), false
	case "stock":
		x := one(p, g.stock)
		return &Stock{At: p.since(start), Name: p.name(x.Name), Value: x.Value}, false
	case "param":
		x := one(p, g.param)
		if x.Decl == nil {
			return nil, false
		}
		return &Param{At: p.since(start), Decl: *x.Decl.decl()}, false
	case "let":
		x := one(p, g.let)
		let := &Let{At: p.since(start), Name: p.name(x.Name), Index: each(x.Index), Value: x.Value}
		if x.Params != nil {
			let.IsFunc, let.Params = true, x.Params.decls()
		}
		return let, false
	case "rule":
		return p.rule(one(p, g.rule), start), false
	case "size":
		return p.size(one(p, g.size), start), false
	case "body":
		x := one(p, g.body)
		return &Body{At: p.since(start), Name: p.name(x.Name), Index: each(x.Index), Value: x.Value}, false
	case "part":
		x := one(p, g.part)
		return &Part{At: p.since(start), Name: p.name(x.Name), Index: each(x.Index), Of: x.Of, Value: x.Value, Loose: x.Loose.Value != "", Guard: opt(x.Guard)}, false
	case "join":
		return p.join(one(p, g.join), start), false
	case "panel":
		x := one(p, g.panel)
		panel := &Panel{At: p.since(start), Name: p.name(x.Name), Of: p.optName(x.Of), Doc: p.optDoc(x.Doc)}
		if x.Params != nil {
			panel.Params = x.Params.decls()
		}
		if x.Name.Value == "" {
			return nil, x.Open.Value != ""
		}
		return panel, x.Open.Value != ""
	case "face":
		x := one(p, g.face)
		return p.face(x, start), x.Open.Value != ""
	case "fold":
		x := one(p, g.fold)
		a, index := declared(x.A)
		return &Fold{At: p.since(start), Index: index, A: a, B: x.B, By: opt(x.By), Guard: opt(x.Guard)}, false
	case "seam":
		x := one(p, g.seam)
		a, index := declared(x.A)
		return &Seam{At: p.since(start), Index: index, A: a, B: opt(x.B), By: x.By, Guard: opt(x.Guard)}, false
	case "outline":
		x := one(p, g.outline)
		return &Outline{At: p.since(start), Value: x.Value}, false
	case "cut":
		x := one(p, g.cut)
		return &Cut{At: p.since(start), Name: p.name(x.Name), Index: each(x.Index), In: opt(x.In), Behind: opt(x.Behind), Value: x.Value, Guard: opt(x.Guard)}, false
	default:
		x := one(p, g.mark)
		return &Mark{At: p.since(start), Name: p.name(x.Name), Index: each(x.Index), In: opt(x.In), Value: x.Value, Guard: opt(x.Guard)}, false
	}
}

// design takes the units before the revision or behind it.
func (p *parser) design(x *designG, start diag.Span) *Design {
	d := &Design{At: p.since(start), Name: p.doc(x.Name), Units: p.optName(x.Units), Revision: p.optDoc(x.Revision)}
	behind := p.optName(x.Behind)
	switch {
	case behind == nil:
	case d.Units == nil:
		d.Units = behind
	default:
		p.fail(diag.Diagnostic{Code: "P1102", Span: behind.At, Summary: "the design names its units twice", Label: "delete one of them",
			Related: []diag.Related{{Span: d.Units.At, Message: "the first is here"}}})
	}
	return d
}

// rule reads a guard before the label or behind it, but one.
func (p *parser) rule(x *ruleG, start diag.Span) *Rule {
	r := &Rule{At: p.since(start), Cond: x.Cond, Guard: opt(x.Guard), Label: p.optDoc(x.Label)}
	switch {
	case r.Guard == nil:
		r.Guard = opt(x.Late)
	case x.Late != nil:
		p.fail(diag.Diagnostic{Code: "P1102", Span: x.Late.Span(), Summary: "a rule has one guard", Label: "join the two by `and`",
			Related: []diag.Related{{Span: r.Guard.Span(), Message: "the first is here"}}})
	}
	return r
}

func (p *parser) use(x *useG, start diag.Span) *Use {
	u := &Use{At: p.since(start)}
	for _, n := range x.Names {
		u.Names = append(u.Names, Import{Name: p.name(n.Name), As: p.optName(n.As)})
	}
	for i := range x.Module {
		t := &x.Module[i].Word
		if i > 0 {
			u.Module += "."
		}
		u.Module += t.Value
		u.FromAt = diag.Cover(u.FromAt, p.span(t))
	}
	if x.Path.Value != "" {
		u.Path, u.FromAt = unquote(x.Path.Value, nil), p.span(&x.Path)
		if u.Path == "" {
			p.fail(diag.Diagnostic{Code: "P1102", Span: u.FromAt, Summary: "the file's path is empty", Label: `write it as "parts/pan.perch"`})
		}
	}
	return u
}

func (p *parser) size(x *sizeG, start diag.Span) *Size {
	s := &Size{At: p.since(start), Name: p.name(x.Name), Like: p.optName(x.Like)}
	for i := range x.States {
		g := &x.States[i]
		st := State{At: p.span(&g.Name), Name: p.name(g.Name)}
		switch {
		case g.Eq != nil:
			st.Value = g.Eq
		case g.About != nil:
			st.How, st.Value = StateAbout, g.About
		case g.Word.Value == "largest":
			st.How = StateLargest
		case g.Word.Value == "smallest":
			st.How = StateSmallest
		default:
			st.How = StateFree
		}
		if st.Value != nil {
			st.At = diag.Cover(st.At, st.Value.Span())
		} else if g.Word.Value != "" {
			st.At = diag.Cover(st.At, p.span(&g.Word))
		}
		s.States = append(s.States, st)
	}
	return s
}

func (p *parser) join(x *joinG, start diag.Span) *Join {
	j := &Join{At: p.since(start), Name: p.name(x.Name), Index: each(x.Index), Places: opt(x.At), By: x.By, Guard: opt(x.Guard)}
	for _, m := range []refNode{x.A, x.B, x.C} {
		if m != nil {
			j.Members = append(j.Members, m)
		}
	}
	return j
}

func (p *parser) face(x *faceG, start diag.Span) *Face {
	f := &Face{
		At: p.since(start), Name: p.name(x.Name), Index: each(x.Index),
		On: opt(x.On), From: opt(x.From), Off: opt(x.Off), Guard: opt(x.Guard),
	}
	switch {
	case x.OffOn != nil:
		f.On = x.OffOn
	case x.Up != nil:
		f.Turn, f.Angle = TurnUp, x.Up
	case x.Down != nil:
		f.Turn, f.Angle = TurnDown, x.Down
	}
	return f
}

// declared takes the declarations out of the index of a face: of a[i in xs] it is
// a[i], and i in xs. What is no such declaration stays an expression.
func declared(face Expr) (Expr, []Each) {
	x, ok := face.(*IndexExpr)
	if !ok {
		return face, nil
	}
	var index []Each
	out := &IndexExpr{At: x.At, X: x.X}
	for _, e := range x.Index {
		if in, ok := e.(*In); ok {
			if n, ok := in.X.(*Name); ok {
				index = append(index, Each{At: in.At, Name: Ident{Name: n.Name, At: n.At}, Domain: in.Domain})
				e = n
			}
		}
		out.Index = append(out.Index, e)
	}
	if index == nil {
		return face, nil
	}
	return out, index
}

// opt turns a clause left out into a plain nil.
func opt(e interface{ Expr }) Expr {
	if e == nil {
		return nil
	}
	return e
}

func each(x indexNode) []Each {
	if x == nil {
		return nil
	}
	return x.each()
}

// name makes an Ident of a word, which may not be reserved.
func (p *parser) name(t token) Ident {
	if t.Value != "" && IsReserved(t.Value) {
		p.reserved(&t)
	}
	return Ident{Name: normal(t.Value), At: p.span(&t)}
}

func (p *parser) optName(t token) *Ident {
	if t.Value == "" {
		return nil
	}
	id := p.name(t)
	return &id
}

func (p *parser) doc(t token) Doc { return Doc{Value: unquote(t.Value, nil), At: p.span(&t)} }

func (p *parser) optDoc(t token) *Doc {
	if t.Value == "" {
		return nil
	}
	d := p.doc(t)
	return &d
}
