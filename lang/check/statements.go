package check

import (
	"fmt"
	"slices"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// checkModule reads every statement of a text.
func (c *checker) checkModule(m *Module) {
	for _, d := range m.Order {
		c.checkDeclared(d)
	}
	if m.library {
		return
	}
	for _, s := range m.File.Stmts {
		if r, ok := s.(*syntax.Rule); ok {
			c.checkRule(m, r)
		}
	}
}

// checkDeclared reads a statement that declares a name at the top of a text.
func (c *checker) checkDeclared(d *Decl) {
	c.open(d)
	switch s := d.Node.(type) {
	case *syntax.Stock, *syntax.Let, *syntax.Body:
		c.typeOf(d)
	case *syntax.Param:
		c.checkDecl(d)
	case *syntax.Size:
		c.checkSize(d, s)
	case *syntax.Part:
		c.checkPart(d, s)
	case *syntax.Join:
		c.checkJoin(d, s)
	case *syntax.Panel:
		c.checkPanel(d, s)
	case *syntax.Cut, *syntax.Mark:
		c.checkOutside(d)
	}
}

func (c *checker) checkRule(m *Module, r *syntax.Rule) {
	c.ruled(m.scope, r)
}

// ruled reads a rule, of the text or of a panel.
func (c *checker) ruled(s *scope, r *syntax.Rule) {
	c.condition(s, r.Cond, "a rule")
	if r.Guard != nil {
		c.condition(s, r.Guard, "a guard")
	}
}

// reading runs do with d as what is being read, so that what do names is what d needs.
func (c *checker) reading(d *Decl, do func()) {
	outer := c.node
	c.node = d
	do()
	c.node = outer
}

func (c *checker) checkPart(d *Decl, s *syntax.Part) {
	c.typeOf(d)
	c.reading(d, func() {
		if s.Of != nil {
			c.want(d.scope, s.Of, "what a part is made of", stock)
		}
		c.checkMaking(d, s)
		if s.Guard != nil {
			c.condition(d.scope, s.Guard, "a guard")
		}
	})
}

// checkMaking wants the call of a panel after a part's =.
func (c *checker) checkMaking(d *Decl, s *syntax.Part) {
	if s.Value == nil {
		return
	}
	c.making = strip(s.Value)
	call, ok := c.making.(*syntax.Call)
	before := len(c.diags)
	t := c.expr(d.scope, s.Value)
	c.making = nil
	if n, isName := strip(s.Value).(*syntax.Name); isName && len(c.diags) > before {
		if p := c.prog.DeclOf(n); p != nil && p.Kind == Panel {
			last := c.diags[len(c.diags)-1]
			last.Code, last.Summary, last.Label = "P2024", fmt.Sprintf("%s needs its arguments", n.Name), "call it"
			if allOptional(p) {
				fix(last, fmt.Sprintf("write %s()", n.Name), diag.Edit{Span: n.At.After(), Text: "()"})
			}
		}
		return
	}
	if t.silent() {
		return
	}
	isPanel := false
	if ok {
		if n, named := strip(call.Fun).(*syntax.Name); named {
			p := c.prog.DeclOf(n)
			isPanel = p != nil && p.Kind == Panel
		}
	}
	if !isPanel {
		r := c.report("P2024", s.Value.Span(), fmt.Sprintf("a part is made by a panel, this is %s", t.phrase()), "no panel")
		c.notePanels(r, d.scope)
	}
}

func (c *checker) notePanels(r *diag.Diagnostic, s *scope) {
	var names []string
	for ; s != nil && c.searches < maxSearches; s = s.parent {
		for n, d := range s.names[Calls] {
			if d.Kind == Panel {
				names = append(names, n)
			}
		}
	}
	slices.Sort(names)
	if len(names) > 0 && len(names) <= 16 {
		note(r, "the panels known here are "+joined(names))
	}
}

func (c *checker) checkJoin(d *Decl, s *syntax.Join) {
	for _, i := range d.Indices {
		c.typeOf(i)
	}
	if n := len(s.Members); n > 3 {
		c.report("P2037", s.Members[3].Span(), fmt.Sprintf("a join stacks two or three faces, this is %d", n), "one too many")
	}
	for _, m := range s.Members {
		c.joinMember(d, m)
	}
	if s.Places != nil {
		t := c.expr(d.scope, s.Places)
		e := t
		if t.Kind == FamilyKind {
			e = *t.Elem
		}
		c.fits(s.Places, e, "where a join is fastened", cut, point, list(point))
	}
	if s.By != nil {
		c.want(d.scope, s.By, "what a join is made by", fastener)
	}
	if s.Guard != nil {
		c.condition(d.scope, s.Guard, "a guard")
	}
}

// joinMember wants a face of a part, a family of such faces, or a list in which each is
// one or the other.
func (c *checker) joinMember(d *Decl, e syntax.Expr) {
	if l, ok := strip(e).(*syntax.List); ok && !cornered(l) {
		for i := range l.Items {
			c.joinMember(d, l.Items[i].Value)
		}
		c.prog.keep(l, list(face))
		return
	}
	t := c.expr(d.scope, e)
	one := t
	if (t.Kind == FamilyKind || t.Kind == ListKind) && t.Elem != nil {
		one = *t.Elem
	}
	if e == nil || assignable(face, one) {
		return
	}
	r := c.report("P2037", e.Span(), fmt.Sprintf("a join is between faces, this is %s", t.phrase()), "not a face")
	c.noteFaces(r, e, one)
}

// cornered tells whether a list treats the corners of an outline, which faces have none of.
func cornered(l *syntax.List) bool {
	return slices.ContainsFunc(l.Items, func(it syntax.Item) bool {
		return it.Round != nil || it.Chamfer != nil || it.Arc != nil || it.Edge != nil
	})
}

// noteFaces lists the faces of a part that stands where one of them is wanted, or of
// which a member that is no face, such as a parameter, is named there.
func (c *checker) noteFaces(r *diag.Diagnostic, e syntax.Expr, of Type) {
	if x, ok := strip(e).(*syntax.IndexExpr); ok {
		e = x.X
	}
	if m, ok := strip(e).(*syntax.Member); ok && of.Kind != PartKind {
		if of = c.prog.TypeOf(m.X); of.Kind == FamilyKind && of.Elem != nil {
			of = *of.Elem
		}
	}
	if of.Kind != PartKind || of.Decl == nil {
		return
	}
	var faces []string
	for _, m := range of.Decl.Members {
		if m.Kind == Face {
			faces = append(faces, m.Name)
		}
	}
	note(r, "name one of its faces: "+joined(faces))
	if m, ok := strip(e).(*syntax.Member); ok {
		e = m.X
	}
	if name := oneFace(of.Decl); name != "" {
		at := r.Span
		at.Start = e.Span().End
		fix(r, fmt.Sprintf("write %s.%s", e.Span().Text(), name), diag.Edit{Span: at, Text: "." + name})
	}
}

// checkSize checks a row: what it is like, and what it states.
func (c *checker) checkSize(d *Decl, s *syntax.Size) {
	c.checkLike(d, s)
	stated := map[string]diag.Span{}
	for i := range s.States {
		st := &s.States[i]
		if st.Name.Name == "" {
			continue
		}
		if at, twice := stated[st.Name.Name]; twice {
			r := c.report("P2042", st.Name.At, fmt.Sprintf("%s is stated twice in this size", st.Name.Name), "again here")
			also(r, at, "first stated here")
			fix(r, "leave it out", diag.Edit{Span: diag.Span{Source: st.At.Source, Start: s.States[i-1].At.End, End: st.At.End}})
		} else {
			stated[st.Name.Name] = st.Name.At
		}
		c.checkState(d, st)
	}
}

// checkLike wants another size. That it is not, through others, like this one is
// seen with the other circles of names.
func (c *checker) checkLike(d *Decl, s *syntax.Size) {
	if s.Like == nil || s.Like.Name == "" {
		return
	}
	like := c.top(d.Module, Sizes, s.Like.Name)
	switch {
	case like != nil && like.Kind == Size && like.Module == d.Module:
		c.reading(d, func() { c.needs(like) })
	case c.lost(d.Module, s.Like.Name):
	default:
		r := c.report("P2032", s.Like.At, fmt.Sprintf("there is no size %s", s.Like.Name), "unknown size")
		var known []string
		for _, o := range d.Module.Order {
			if o.Kind == Size && o != d {
				known = append(known, o.Name)
			}
		}
		c.suggest(r, s.Like.At, s.Like.Name, known)
	}
}

func (c *checker) checkState(d *Decl, st *syntax.State) {
	p := c.top(d.Module, Values, st.Name.Name)
	switch {
	case p == nil && c.lost(d.Module, st.Name.Name):
	case p == nil:
		r := c.report("P2041", st.Name.At, fmt.Sprintf("there is no param %s to state", st.Name.Name), "unknown param")
		var known []string
		for _, o := range d.Module.Order {
			if o.Kind == Param {
				known = append(known, o.Name)
			}
		}
		c.suggest(r, st.Name.At, st.Name.Name, known)
	case p.Kind != Param:
		r := c.report("P2041", st.Name.At, fmt.Sprintf("a size states params, %s is a %s", st.Name.Name, p.Kind), "not a param")
		also(r, d.Module.placeOf(p), "declared here")
		c.offerParam(r, d.Module, p)
	default:
		c.stateValue(d, st, p)
		return
	}
	if st.Value != nil {
		c.expr(d.scope, st.Value)
	}
}

// wishedWith reports a word such as largest where it stands behind a sign.
func (c *checker) wishedWith(d *Decl, st *syntax.State) bool {
	n, ok := strip(st.Value).(*syntax.Name)
	if !ok || !contains(wishes, n.Name) || c.find(d.scope, Values, n.Name) != nil || c.lost(d.Module, n.Name) {
		return false
	}
	r := c.report("P2001", n.At, fmt.Sprintf("nothing here is named %s", n.Name), "a word, not a value")
	note(r, fmt.Sprintf("it is written %s %s", st.Name.Name, n.Name))
	fix(r, fmt.Sprintf("write %s %s", st.Name.Name, n.Name), diag.Edit{Span: diag.Span{Source: st.At.Source, Start: st.Name.At.End, End: st.Value.Span().End}, Text: " " + n.Name})
	return true
}

// wishes are the words that state a param without a value.
var wishes = []string{"largest", "smallest", "free"}

func (c *checker) stateValue(d *Decl, st *syntax.State, p *Decl) {
	switch st.How {
	case syntax.StateLargest, syntax.StateSmallest:
		if t := c.typeOf(p); t.Kind != Invalid && !t.quantity() {
			word := "largest"
			if st.How == syntax.StateSmallest {
				word = "smallest"
			}
			c.report("P3007", st.At, fmt.Sprintf("%s is a %s, which has no %s", p.Name, p.Param.Type.Name, word), "")
		}
	case syntax.StateEq, syntax.StateAbout:
		if c.wishedWith(d, st) {
			return
		}
		t := c.typeOf(p)
		if c.want(d.scope, st.Value, p.Name, t).Kind != Invalid {
			c.inRange(p, st.Value)
		}
	}
}
