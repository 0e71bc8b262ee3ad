package check

import (
	"fmt"
	"slices"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// scope is the names known at a place: its own, then those around it.
type scope struct {
	parent *scope
	names  Names
	module *Module
	panel  *Decl // the panel it is in, or nil
	face   *Decl // the face it is in, or nil
	unseen *Decl // whose right side it is, which does not see it; or nil
}

func (s *scope) child() *scope {
	return &scope{parent: s, module: s.module, panel: s.panel, face: s.face}
}

// without is s as the right side of d sees it: not d itself, but what the name
// means around d.
func (s *scope) without(d *Decl) *scope {
	in := s.child()
	in.unseen = d
	return in
}

// find looks a declared name up in one space, nearest scope first.
func (c *checker) find(s *scope, in Space, name string) *Decl {
	d, _ := c.means(s, in, name)
	return d
}

// means is find; own says that a declaration of the name was passed by, for the
// name stands on its right side.
func (c *checker) means(s *scope, in Space, name string) (d *Decl, own bool) {
	var unseen [2]*Decl // the statement whose right side it is, and one that is asked past
	for n := 0; s != nil; s = s.parent {
		if s.unseen != nil && n < len(unseen) {
			unseen[n] = s.unseen
			n++
		}
		if s.parent == nil {
			d = c.top(s.module, in, name)
		} else {
			d = s.names.Find(in, name)
		}
		switch {
		case d == nil:
		case slices.Contains(unseen[:], d):
			own = true
		default:
			return d, own
		}
	}
	return nil, own
}

// top looks a name up among those of a whole text.
func (c *checker) top(m *Module, in Space, name string) *Decl {
	c.asks(asked{in, name})
	return m.names.Find(in, name)
}

// constant finds a built-in name that is not a function.
func (c *checker) constant(name string) *Decl { return c.constants[name] }

// wanting is an expression and the types of which it has to have one.
type wanting struct {
	e     syntax.Expr
	types []Type
}

// takes tells whether a function of the language can be what is wanted where f is called:
// by the type of what it gives, where that is always the same.
func (w wanting) takes(f *builtin.Function, call *syntax.Call) bool {
	if call == nil || w.e != syntax.Expr(call) || len(w.types) == 0 || f.Follows != nil {
		return true
	}
	got := Result(f)
	return slices.ContainsFunc(w.types, func(t Type) bool { return assignable(t, got) })
}

// fitting lists the names that could stand in a place: a panel where a part is made,
// a function where one is called, a value elsewhere.
func (c *checker) fitting(s *scope, p place, call *syntax.Call) []string {
	if c.searches >= maxSearches {
		return nil
	}
	var names []string
	for t := s; t != nil; t = t.parent {
		for n, d := range t.names[p.space()] {
			if p.takes(d) && d != c.node { // nothing needs itself
				names = append(names, n)
			}
		}
	}
	switch p {
	case asFunction:
		for _, f := range builtin.Functions {
			if c.wanted.takes(f, call) {
				names = append(names, f.Name)
			}
		}
	case asValue:
		for n := range c.constants {
			names = append(names, n)
		}
	}
	return names
}

// free says whether s can declare name for d, and reports where it has one already.
// A name around s may be repeated: the innermost is meant.
func (c *checker) free(s *scope, name syntax.Ident, in Space, kind DeclKind) bool {
	if name.Name == "" {
		return false
	}
	d := s.names.Find(in, name.Name)
	if d == nil {
		return true
	}
	r := c.report("P2002", name.At, fmt.Sprintf("%s is declared twice", name.Name), "again here")
	also(r, s.module.placeOf(d), "first declared here")
	if d.Kind != kind {
		note(r, fmt.Sprintf("a %s and a %s of one text have names of their own", d.Kind, kind))
	}
	if c.doubled == nil {
		c.doubled = map[*Decl]bool{}
	}
	c.doubled[d] = true
	other := c.unused(s, name.Name, kind)
	fix(r, "write "+other, diag.Edit{Span: name.At, Text: other})
	return false
}

// suffixes are what a second thing of a name is called by.
var suffixes = map[DeclKind]string{Body: "body", Part: "part", Stock: "stock", Face: "face"}

// unused makes a name like another that means nothing in s, and nothing in the
// language.
func (c *checker) unused(s *scope, name string, kind DeclKind) string {
	taken := func(n string) bool {
		return c.find(s, Values, n) != nil || c.find(s, Calls, n) != nil || c.constant(n) != nil || builtin.IsFunction(n) || syntax.IsReserved(n)
	}
	if suffix := suffixes[kind]; suffix != "" && !taken(name+"_"+suffix) {
		return name + "_" + suffix
	}
	for i := 2; ; i++ {
		if n := fmt.Sprintf("%s_%d", name, i); !taken(n) {
			return n
		}
	}
}

// placeOf is where d got its name in m: where it is imported when it is another module's.
func (m *Module) placeOf(d *Decl) diag.Span {
	if d.Module == m {
		return d.At
	}
	if im := m.importOf(d); im != nil {
		return im.name.At
	}
	return d.At
}

// declare adds a name to s. A name that is taken is reported and its
// declaration kept out of the scope, but not forgotten: it is still checked.
func (c *checker) declare(s *scope, name syntax.Ident, d *Decl) *Decl {
	d.Name, d.At, d.Module, d.unit = name.Name, name.At, s.module, c.unit
	if d.scope == nil {
		d.scope = s
	}
	if c.free(s, name, d.Space(), d.Kind) {
		s.names.put(name.Name, d)
	} else if c.doubled != nil {
		c.doubled[d] = true
	}
	c.nodes = append(c.nodes, d)
	return d
}

// declareModule declares everything a text declares, before any of it is read.
func (c *checker) declareModule(m *Module) {
	c.declareTop(m)
	if m == c.prog.Root && c.mem != nil {
		c.beginUnits(m)
	}
	if c.again {
		return
	}
	for _, d := range m.Order {
		if d.Kind != Panel {
			c.open(d)
		}
	}
	for _, d := range m.Order {
		c.open(d)
	}
}

// declareTop declares what stands at the top of a text; what stands inside of
// that is declared when it is opened.
func (c *checker) declareTop(m *Module) {
	room := make([]Decl, len(m.File.Stmts))
	top := func(s syntax.Stmt, kind DeclKind, name syntax.Ident) *Decl {
		d := &room[0]
		room = room[1:]
		d.Kind, d.Node = kind, s
		c.declare(m.scope, name, d)
		if kind == Panel {
			d.Type = Type{Kind: PartKind, Decl: d}
		}
		m.Order = append(m.Order, d)
		return d
	}
	for _, s := range m.File.Stmts {
		if m.library && !inModule(s) {
			if _, isDesign := s.(*syntax.Design); !isDesign {
				offerLet(c.report("P2009", s.Span(), "a module holds panels, lets and stocks, and uses others", "only in a design"), s)
			}
			continue
		}
		switch s := s.(type) {
		case *syntax.Stock:
			top(s, Stock, s.Name)
		case *syntax.Param:
			top(s, Param, s.Decl.Name).Param = &s.Decl
		case *syntax.Let:
			top(s, Let, s.Name)
		case *syntax.Size:
			top(s, Size, s.Name)
		case *syntax.Body:
			top(s, Body, s.Name)
		case *syntax.Part:
			top(s, Part, s.Name)
		case *syntax.Join:
			top(s, Join, s.Name)
		case *syntax.Panel:
			top(s, Panel, s.Name)
		case *syntax.Cut:
			c.declareOutside(m, Cut, s, s.Name)
		case *syntax.Mark:
			c.declareOutside(m, Mark, s, s.Name)
		}
	}
}

// open declares what stands inside a declaration at the top of a text, once.
func (c *checker) open(d *Decl) {
	if d.opened || d.Owner != nil {
		return
	}
	d.opened = true
	outer := c.enter(d)
	switch s := d.Node.(type) {
	case *syntax.Let:
		c.declareLetParams(d, s)
	case *syntax.Body:
		c.declareIndices(d, s.Index)
	case *syntax.Part:
		c.declareIndices(d, s.Index)
	case *syntax.Join:
		c.declareIndices(d, s.Index)
	case *syntax.Panel:
		c.declarePanel(d, s)
	case *syntax.Cut:
		c.declareIndices(d, s.Index)
	case *syntax.Mark:
		c.declareIndices(d, s.Index)
	}
	c.leave(outer)
}

// declareIndices gives d a scope of its own for the names of its index.
func (c *checker) declareIndices(d *Decl, index []syntax.Each) {
	for i := range index {
		name := index[i].Name
		for _, o := range d.Indices {
			if o.Name == name.Name && name.Name != "" {
				also(c.report("P2002", name.At, fmt.Sprintf("%s is declared twice", name.Name), "again here"), o.At, "first declared here")
				break
			}
		}
		d.scope = d.scope.child()
		d.Indices = append(d.Indices, c.declare(d.scope, name, &Decl{
			Kind: Index, Node: d.Node, Each: &index[i], Owner: d, scope: d.scope.parent}))
	}
}

func (c *checker) declareLetParams(d *Decl, l *syntax.Let) {
	if !l.IsFunc {
		c.declareIndices(d, l.Index)
		return
	}
	d.scope = d.scope.child()
	for i := range l.Params {
		d.Indices = append(d.Indices, c.declare(d.scope, l.Params[i].Name, &Decl{
			Kind: LetParam, Node: l, Param: &l.Params[i], Owner: d, scope: d.scope.parent}))
	}
}

// declarePanel declares a panel's parameters, lets and faces, and what its faces declare.
func (c *checker) declarePanel(p *Decl, s *syntax.Panel) {
	in := p.scope.child()
	in.panel = p
	p.scope = in
	member := func(name syntax.Ident, d *Decl) *Decl {
		d.Owner = p
		c.declare(in, name, d)
		c.keep(p, d)
		return d
	}
	for i := range s.Params {
		member(s.Params[i].Name, &Decl{Kind: PanelParam, Node: s, Param: &s.Params[i]})
	}
	if s.Of != nil {
		member(*s.Of, &Decl{Kind: OwnStock, Node: s, Type: stock, state: done})
	}
	for _, b := range s.Body {
		switch b := b.(type) {
		case *syntax.Let:
			member(b.Name, &Decl{Kind: Let, Node: b})
		case *syntax.Face:
			member(b.Name, &Decl{Kind: Face, Node: b})
		}
	}
	for _, d := range p.Members {
		switch b := d.Node.(type) {
		case *syntax.Let:
			c.declareLetParams(d, b)
		case *syntax.Face:
			c.declareFace(d, b)
		}
	}
	for _, b := range s.Body {
		switch b := b.(type) {
		case *syntax.Fold:
			c.declareFold(p, b, b.Index)
		case *syntax.Seam:
			c.declareFold(p, b, b.Index)
		}
	}
}

// declareFold declares the index of a fold or seam.
func (c *checker) declareFold(p *Decl, s syntax.Stmt, index []syntax.Each) {
	d := &Decl{Kind: Fold, Node: s, At: s.Span(), Module: p.Module, Owner: p, scope: p.scope, unit: p.unit}
	p.Folds = append(p.Folds, d)
	c.nodes = append(c.nodes, d)
	c.declareIndices(d, index)
}

// keep lists d as a member of owner; of two with one name the first can be read.
func (c *checker) keep(owner, d *Decl) {
	owner.Members = append(owner.Members, d)
	if d.Name != "" && owner.members.Find(d.Space(), d.Name) == nil {
		owner.members.put(d.Name, d)
	}
}

func (c *checker) declareFace(f *Decl, s *syntax.Face) {
	c.declareIndices(f, s.Index)
	in := f.scope.child()
	in.face = f
	f.scope = in
	for _, b := range s.Body {
		switch b := b.(type) {
		case *syntax.Let:
			d := c.declare(in, b.Name, &Decl{Kind: Let, Node: b, Owner: f})
			c.keep(f, d)
			c.declareLetParams(d, b)
		case *syntax.Cut:
			c.declareDrawn(f, b.Name, &Decl{Kind: Cut, Node: b}, b.Index)
		case *syntax.Mark:
			c.declareDrawn(f, b.Name, &Decl{Kind: Mark, Node: b}, b.Index)
		}
	}
}

// declareDrawn declares a cut or mark. It is read as a member of its face, never
// by its bare name, so it can hide nothing.
func (c *checker) declareDrawn(f *Decl, name syntax.Ident, d *Decl, index []syntax.Each) {
	d.Name, d.At, d.Module, d.Owner, d.scope, d.unit = name.Name, name.At, f.Module, f, f.scope, f.unit
	if old := f.members.Find(Values, d.Name); old != nil && d.Name != "" {
		r := c.report("P2002", d.At, fmt.Sprintf("%s is declared twice in its face", d.Name), "again here")
		also(r, old.At, "first declared here")
		for i := 2; ; i++ {
			other := fmt.Sprintf("%s_%d", d.Name, i)
			if f.members.Find(Values, other) == nil {
				fix(r, "write "+other, diag.Edit{Span: d.At, Text: other})
				break
			}
		}
	}
	c.keep(f, d)
	c.declareIndices(d, index)
}
