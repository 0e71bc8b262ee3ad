package syntax

import "perch/lang/diag"

// parseOne parses the statement that first starts and builds its node. opens
// says that its opening brace was taken. On a mistake p.failed is set and the
// node, if any, is partial.
func (p *parser) parseOne(first *Token) (s Stmt, opens bool) {
	start := p.span(first)
	p.next()
	switch first.Value {
	case "design":
		return p.design(start), false
	case "use":
		return p.use(start), false
	case "stock":
		x := &Stock{}
		_ = p.named(&x.Name) && p.need("=") && p.value(&x.Value)
		x.At = p.since(start)
		return x, false
	case "param":
		d, ok := p.decl()
		if !ok {
			return nil, false
		}
		return &Param{At: p.since(start), Decl: d}, false
	case "let":
		return p.let(start), false
	case "rule":
		return p.rule(start), false
	case "size":
		return p.size(start), false
	case "body":
		x := &Body{}
		_ = p.named(&x.Name) && p.indexed(&x.Index) && p.need("=") && p.value(&x.Value)
		x.At = p.since(start)
		return x, false
	case "part":
		return p.part(start), false
	case "join":
		return p.join(start), false
	case "panel":
		return p.panel(start)
	case "face":
		return p.face(start)
	case "fold":
		x := &Fold{}
		_ = p.place(&x.A) && p.need("to") && p.place(&x.B) && p.placeBehind("by", &x.By) && p.guard(&x.Guard)
		x.At = p.since(start)
		x.A, x.Index = declared(x.A)
		return x, false
	case "seam":
		x := &Seam{}
		_ = p.place(&x.A) && p.placeBehind("to", &x.B) && p.need("by") && p.place(&x.By) && p.guard(&x.Guard)
		x.At = p.since(start)
		x.A, x.Index = declared(x.A)
		return x, false
	case "outline":
		x := &Outline{}
		p.value(&x.Value)
		x.At = p.since(start)
		return x, false
	case "cut":
		x := &Cut{}
		_ = p.named(&x.Name) && p.indexed(&x.Index) && p.placeBehind("in", &x.In) && p.placeBehind("through", &x.Behind) &&
			p.need("=") && p.value(&x.Value) && p.guard(&x.Guard)
		x.At = p.since(start)
		return x, false
	default:
		x := &Mark{}
		_ = p.named(&x.Name) && p.indexed(&x.Index) && p.placeBehind("in", &x.In) && p.need("=") && p.value(&x.Value) && p.guard(&x.Guard)
		x.At = p.since(start)
		return x, false
	}
}

// design takes the units before the revision or behind it.
func (p *parser) design(start diag.Span) *Design {
	d := &Design{}
	var behind *Ident
	ok := p.text(&d.Name) && p.units(&d.Units)
	if ok && p.takes("revision") {
		d.Revision = &Doc{}
		ok = p.text(d.Revision)
	}
	_ = ok && p.units(&behind)
	d.At = p.since(start)
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

// use = NAME [ "as" NAME ] { "," … } "from" ( WORD { "." WORD } | TEXT ) .
func (p *parser) use(start diag.Span) *Use {
	u := &Use{}
	_ = p.imports(u) && p.need("from") && p.module(u)
	u.At = p.since(start)
	return u
}

func (p *parser) imports(u *Use) bool {
	for more := true; more; more = p.takes(",") {
		var n Import
		if !p.named(&n.Name) || !p.namedBehind("as", &n.As) {
			return false
		}
		u.Names = append(u.Names, n)
	}
	return true
}

func (p *parser) module(u *Use) bool {
	t := p.peek()
	switch t.Type {
	case TextToken:
		p.next()
		u.Path, u.FromAt = unquote(t.Value, nil), p.span(t)
		if u.Path == "" {
			p.fail(diag.Diagnostic{Code: "P1102", Span: u.FromAt, Summary: "the file's path is empty", Label: `write it as "parts/pan.perch"`})
		}
		return true
	case WordToken:
	default:
		p.expected(nil, "a module or a quoted path")
		return false
	}
	for {
		t := p.peek()
		if t.Type != WordToken {
			p.expected(nil, "a name")
			return false
		}
		p.next()
		u.Module += t.Value
		u.FromAt = diag.Cover(u.FromAt, p.span(t))
		if !p.takes(".") {
			return true
		}
		u.Module += "."
	}
}

func (p *parser) let(start diag.Span) *Let {
	x := &Let{}
	ok := p.named(&x.Name)
	if ok && p.is("(") {
		x.IsFunc = true
		ok = p.decls(&x.Params)
	}
	_ = ok && p.indexed(&x.Index) && p.need("=") && p.value(&x.Value)
	x.At = p.since(start)
	return x
}

// rule reads a guard before the label or behind it, but one.
func (p *parser) rule(start diag.Span) *Rule {
	r := &Rule{}
	var late Expr
	_ = p.value(&r.Cond) && p.guard(&r.Guard) && p.remark(&r.Label) && p.guard(&late)
	r.At = p.since(start)
	switch {
	case r.Guard == nil:
		r.Guard = late
	case late != nil:
		p.fail(diag.Diagnostic{Code: "P1102", Span: late.Span(), Summary: "a rule has one guard", Label: "join the two by `and`",
			Related: []diag.Related{{Span: r.Guard.Span(), Message: "the first is here"}}})
	}
	return r
}

// size = NAME [ "like" NAME ] [ ":" State { "," State } ] .
func (p *parser) size(start diag.Span) *Size {
	s := &Size{}
	ok := p.named(&s.Name) && p.namedBehind("like", &s.Like)
	for sign := ":"; ok && p.takes(sign); sign = "," {
		var st State
		if ok = p.state(&st); ok {
			s.States = append(s.States, st)
		}
	}
	s.At = p.since(start)
	return s
}

// state = NAME ( "=" Expr | "about" Expr | "largest" | "smallest" | "free" ) .
func (p *parser) state(st *State) bool {
	if !p.named(&st.Name) {
		return false
	}
	ok := true
	switch p.either("=", "about", "largest", "smallest", "free") {
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
		return false
	}
	st.At = p.since(st.Name.At)
	return ok
}

func (p *parser) part(start diag.Span) *Part {
	x := &Part{}
	if p.named(&x.Name) && p.indexed(&x.Index) && p.need("of") && p.place(&x.Of) && p.need("=") && p.value(&x.Value) {
		x.Loose = p.takes("loose")
		p.guard(&x.Guard)
	}
	x.At = p.since(start)
	return x
}

// join has two members or three.
func (p *parser) join(start diag.Span) *Join {
	j := &Join{}
	var a, b, c Expr
	_ = p.named(&j.Name) && p.indexed(&j.Index) && p.need("=") && p.place(&a) && p.need("to") && p.place(&b) && p.placeBehind("to", &c) &&
		p.placeBehind("at", &j.Places) && p.need("by") && p.place(&j.By) && p.guard(&j.Guard)
	for _, m := range []Expr{a, b, c} {
		if m != nil {
			j.Members = append(j.Members, m)
		}
	}
	j.At = p.since(start)
	return j
}

// panel is nil where it has no name.
func (p *parser) panel(start diag.Span) (Stmt, bool) {
	x := &Panel{}
	ok := p.named(&x.Name)
	if ok && !p.is("(") {
		p.expected(nil, "`(`")
		ok = false
	}
	opens := ok && p.decls(&x.Params) && p.namedBehind("of", &x.Of) && p.remark(&x.Doc) && p.need("{")
	x.At = p.since(start)
	if x.Name.Name == "" {
		return nil, opens
	}
	return x, opens
}

// face = NAME [ Index ] ( "on" Plane [ "from" Ref ] | "off" Ref ( "on" Plane | "up" Expr | "down" Expr ) ) [ "if" Expr ] "{" .
func (p *parser) face(start diag.Span) (Stmt, bool) {
	f := &Face{}
	opens := p.named(&f.Name) && p.indexed(&f.Index) && p.stands(f) && p.guard(&f.Guard) && p.need("{")
	f.At = p.since(start)
	return f, opens
}

func (p *parser) stands(f *Face) bool {
	switch p.either("on", "off") {
	case "on":
		return p.plane(&f.On) && p.placeBehind("from", &f.From)
	case "off":
	default:
		return false
	}
	if !p.place(&f.Off) {
		return false
	}
	switch p.either("on", "up", "down") {
	case "on":
		return p.plane(&f.On)
	case "up":
		f.Turn = TurnUp
		return p.value(&f.Angle)
	case "down":
		f.Turn = TurnDown
		return p.value(&f.Angle)
	}
	return false
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
