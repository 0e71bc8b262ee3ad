package syntax

import "perch/lang/diag"

// parseOne parses the statement that first starts and builds its node. opens
// says that its opening brace was taken. On a mistake p.failed is set and the
// node, if any, is partial.
func (p *parser) parseOne(first *Token) (s Stmt, opens bool) {
	start := p.span(first)
	switch first.Value {
	case "design":
		return p.design(start), false
	case "use":
		return p.use(start), false
	case "stock":
		return p.stock(start), false
	case "param":
		return p.param(start), false
	case "let":
		return p.let(start), false
	case "rule":
		return p.rule(start), false
	case "size":
		return p.size(start), false
	case "body":
		return p.body(start), false
	case "part":
		return p.part(start), false
	case "join":
		return p.join(start), false
	case "panel":
		return p.panel(start)
	case "face":
		return p.face(start)
	case "fold":
		return p.fold(start), false
	case "seam":
		return p.seam(start), false
	case "outline":
		return p.outline(start), false
	case "cut":
		return p.cut(start), false
	default:
		return p.mark(start), false
	}
}

// design takes the units before the revision or behind it.
func (p *parser) design(start diag.Span) Stmt {
	x := &Design{}
	var behind *Ident
	one(p, p.eng.start.design, func(word string) bool {
		switch {
		case word == "revision":
			return p.remark(&x.Revision)
		case word == "in" && x.Revision == nil && x.Units == nil:
			return p.units(&x.Units)
		case word == "in":
			return p.units(&behind)
		}
		return p.text(&x.Name)
	}, nil)
	x.At = p.since(start)
	switch {
	case behind == nil:
	case x.Units == nil:
		x.Units = behind
	default:
		p.fail(diag.Diagnostic{Code: "P1102", Span: behind.At, Summary: "the design names its units twice", Label: "delete one of them",
			Related: []diag.Related{{Span: x.Units.At, Message: "the first is here"}}})
	}
	return x
}

func (p *parser) use(start diag.Span) Stmt {
	x := &Use{}
	one(p, p.eng.start.use, func(word string) bool {
		if word == "from" {
			return p.module(x)
		}
		var n Import
		ok := p.named(&n.Name) && (!p.takes("as") || p.alias(&n.As))
		if ok {
			x.Names = append(x.Names, n)
		}
		return ok
	}, nil)
	x.At = p.since(start)
	return x
}

// module = WORD { "." WORD } | TEXT .
func (p *parser) module(x *Use) bool {
	if t := p.peek(); p.quoted() {
		p.next()
		x.Path, x.FromAt = unquote(t.Value, nil), p.span(t)
		if x.Path == "" {
			p.fail(diag.Diagnostic{Code: "P1102", Span: x.FromAt, Summary: "the file's path is empty", Label: `write it as "parts/pan.perch"`})
		}
		return true
	}
	for what := "a module or a quoted path"; ; what = "a name" {
		t := p.peek()
		if t.Type != WordToken {
			p.expected(nil, what)
			return false
		}
		p.next()
		x.Module += t.Value
		x.FromAt = diag.Cover(x.FromAt, p.span(t))
		if !p.takes(".") {
			return true
		}
		x.Module += "."
	}
}

func (p *parser) stock(start diag.Span) Stmt {
	x := &Stock{}
	one(p, p.eng.start.stock, func(word string) bool {
		if word == "=" {
			return p.value(&x.Value)
		}
		return p.named(&x.Name)
	}, nil)
	x.At = p.since(start)
	return x
}

func (p *parser) param(start diag.Span) Stmt {
	x := &Param{}
	if !one(p, p.eng.start.param, func(string) (ok bool) {
		x.Decl, ok = p.decl()
		return ok
	}, nil) {
		return nil
	}
	x.At = p.since(start)
	return x
}

func (p *parser) let(start diag.Span) Stmt {
	x := &Let{}
	one(p, p.eng.start.let, func(word string) bool {
		if word == "=" {
			return p.value(&x.Value)
		}
		if !p.named(&x.Name) {
			return false
		}
		if x.IsFunc = p.is("("); x.IsFunc && !p.decls(&x.Params) {
			return false
		}
		return p.indexed(&x.Index)
	}, nil)
	x.At = p.since(start)
	return x
}

// rule reads a guard before the label or behind it, but one.
func (p *parser) rule(start diag.Span) Stmt {
	x := &Rule{}
	var late Expr
	one(p, p.eng.start.rule, func(word string) bool {
		switch {
		case word == "":
			return p.remark(&x.Label)
		case word == "if" && x.Label == nil && x.Guard == nil:
			return p.value(&x.Guard)
		case word == "if":
			return p.value(&late)
		}
		return p.value(&x.Cond)
	}, p.quoted)
	x.At = p.since(start)
	switch {
	case x.Guard == nil:
		x.Guard = late
	case late != nil:
		p.fail(diag.Diagnostic{Code: "P1102", Span: late.Span(), Summary: "a rule has one guard", Label: "join the two by `and`",
			Related: []diag.Related{{Span: x.Guard.Span(), Message: "the first is here"}}})
	}
	return x
}

func (p *parser) size(start diag.Span) Stmt {
	x := &Size{}
	one(p, p.eng.start.size, func(word string) bool {
		switch word {
		case "size":
			return p.named(&x.Name)
		case "like":
			return p.alias(&x.Like)
		}
		st, ok := p.state()
		if ok {
			x.States = append(x.States, st)
		}
		return ok
	}, nil)
	x.At = p.since(start)
	return x
}

// state = NAME ( "=" Expr | "about" Expr | "largest" | "smallest" | "free" ) .
func (p *parser) state() (st State, ok bool) {
	if !p.named(&st.Name) {
		return st, false
	}
	ok = true
	switch p.choose("=", "about", "largest", "smallest", "free") {
	case "=":
		ok = p.value(&st.Value)
	case "about":
		st.How = StateAbout
		ok = p.value(&st.Value)
	case "largest":
		st.How = StateLargest
	case "smallest":
		st.How = StateSmallest
	case "free":
		st.How = StateFree
	default:
		p.expected(nil, "`=`, `about`, `largest`, `smallest` or `free`")
		return st, false
	}
	st.At = p.since(st.Name.At)
	return st, ok
}

func (p *parser) body(start diag.Span) Stmt {
	x := &Body{}
	one(p, p.eng.start.body, func(word string) bool {
		if word == "=" {
			return p.value(&x.Value)
		}
		return p.named(&x.Name) && p.indexed(&x.Index)
	}, nil)
	x.At = p.since(start)
	return x
}

func (p *parser) part(start diag.Span) Stmt {
	x := &Part{}
	one(p, p.eng.start.part, func(word string) bool {
		switch word {
		case "of":
			return p.place(&x.Of)
		case "=":
			return p.value(&x.Value)
		case "":
			x.Loose = p.takes("loose")
			return x.Loose
		case "if":
			return p.value(&x.Guard)
		}
		return p.named(&x.Name) && p.indexed(&x.Index)
	}, func() bool { return p.word("loose") })
	x.At = p.since(start)
	return x
}

// join has two members or three.
func (p *parser) join(start diag.Span) Stmt {
	x := &Join{}
	one(p, p.eng.start.join, func(word string) bool {
		switch word {
		case "=", "to":
			var m Expr
			ok := p.place(&m)
			if ok {
				x.Members = append(x.Members, m)
			}
			return ok
		case "at":
			return p.place(&x.Places)
		case "by":
			return p.place(&x.By)
		case "if":
			return p.value(&x.Guard)
		}
		return p.named(&x.Name) && p.indexed(&x.Index)
	}, nil)
	x.At = p.since(start)
	return x
}

// panel is nil where it has no name.
func (p *parser) panel(start diag.Span) (s Stmt, opens bool) {
	x := &Panel{}
	opens = one(p, p.eng.start.panel, func(word string) bool {
		switch word {
		case "of":
			return p.alias(&x.Of)
		case "":
			return p.remark(&x.Doc)
		}
		if !p.named(&x.Name) {
			return false
		}
		if !p.is("(") {
			p.expected(nil, "`(`")
			return false
		}
		return p.decls(&x.Params)
	}, p.quoted)
	x.At = p.since(start)
	if x.Name.Name == "" {
		return nil, opens
	}
	return x, opens
}

func (p *parser) face(start diag.Span) (s Stmt, opens bool) {
	x := &Face{}
	opens = one(p, p.eng.start.face, func(word string) bool {
		switch word {
		case "on":
			return p.plane(&x.On)
		case "from":
			return p.place(&x.From)
		case "off":
			return p.place(&x.Off)
		case "up":
			x.Turn = TurnUp
			return p.value(&x.Angle)
		case "down":
			x.Turn = TurnDown
			return p.value(&x.Angle)
		case "if":
			return p.value(&x.Guard)
		}
		return p.named(&x.Name) && p.indexed(&x.Index)
	}, nil)
	x.At = p.since(start)
	return x, opens
}

func (p *parser) fold(start diag.Span) Stmt {
	x := &Fold{}
	one(p, p.eng.start.fold, func(word string) bool {
		switch word {
		case "to":
			return p.place(&x.B)
		case "by":
			return p.place(&x.By)
		case "if":
			return p.value(&x.Guard)
		}
		return p.place(&x.A)
	}, nil)
	x.At = p.since(start)
	x.A, x.Index = declared(x.A)
	return x
}

func (p *parser) seam(start diag.Span) Stmt {
	x := &Seam{}
	one(p, p.eng.start.seam, func(word string) bool {
		switch word {
		case "to":
			return p.place(&x.B)
		case "by":
			return p.place(&x.By)
		case "if":
			return p.value(&x.Guard)
		}
		return p.place(&x.A)
	}, nil)
	x.At = p.since(start)
	x.A, x.Index = declared(x.A)
	return x
}

func (p *parser) outline(start diag.Span) Stmt {
	x := &Outline{}
	one(p, p.eng.start.outline, func(string) bool { return p.value(&x.Value) }, nil)
	x.At = p.since(start)
	return x
}

func (p *parser) cut(start diag.Span) Stmt {
	x := &Cut{}
	one(p, p.eng.start.cut, func(word string) bool {
		switch word {
		case "in":
			return p.place(&x.In)
		case "through":
			return p.place(&x.Behind)
		case "=":
			return p.value(&x.Value)
		case "if":
			return p.value(&x.Guard)
		}
		return p.named(&x.Name) && p.indexed(&x.Index)
	}, nil)
	x.At = p.since(start)
	return x
}

func (p *parser) mark(start diag.Span) Stmt {
	x := &Mark{}
	one(p, p.eng.start.mark, func(word string) bool {
		switch word {
		case "in":
			return p.place(&x.In)
		case "=":
			return p.value(&x.Value)
		case "if":
			return p.value(&x.Guard)
		}
		return p.named(&x.Name) && p.indexed(&x.Index)
	}, nil)
	x.At = p.since(start)
	return x
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
