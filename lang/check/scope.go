package check

import (
	"fmt"
	"sort"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
)

// scope is the names known at a place: its own, then those around it.
type scope struct {
	parent *scope
	names  map[string]*Decl
	module *Module
	panel  *Decl // the panel it is in, or nil
	face   *Decl // the face it is in, or nil
}

func (s *scope) child() *scope {
	return &scope{parent: s, names: map[string]*Decl{}, module: s.module, panel: s.panel, face: s.face}
}

// find looks a declared name up, nearest scope first.
func (c *checker) find(s *scope, name string) *Decl {
	for ; s != nil; s = s.parent {
		if s.parent == nil {
			return c.top(s.module, name)
		}
		if d := s.names[name]; d != nil {
			return d
		}
	}
	return nil
}

// top looks a name up among those of a whole text.
func (c *checker) top(m *Module, name string) *Decl {
	c.asks(name)
	return m.Names[name]
}

// constant finds a built-in name that is not a function.
func (c *checker) constant(s *scope, name string) *Decl {
	return c.constants[name]
}

// visible lists every declared name that a reader may write in s, sorted.
func (c *checker) visible(s *scope) []string {
	if c.searches >= maxSearches {
		return nil
	}
	var names []string
	for t := s; t != nil; t = t.parent {
		for n := range t.names {
			names = append(names, n)
		}
	}
	sort.Strings(names)
	return names
}

// fitting lists the names that could stand in a place: a panel where a part is made,
// a function where one is called, a value elsewhere.
func (c *checker) fitting(s *scope, p place) []string {
	if c.searches >= maxSearches {
		return nil
	}
	var names []string
	for t := s; t != nil; t = t.parent {
		for n, d := range t.names {
			if p.takes(d) {
				names = append(names, n)
			}
		}
	}
	switch p {
	case asFunction:
		for i := range builtin.Functions {
			names = append(names, builtin.Functions[i].Name)
		}
	case asValue:
		for n := range c.constants {
			names = append(names, n)
		}
	}
	return names
}

// free says whether s declares name, and reports a name that it may not take: one
// that can be read in it already.
// Sizes and joins are never read by expressions, so they can't be hidden.
func (c *checker) free(s *scope, name syntax.Ident, kind DeclKind) bool {
	if name.Name == "" {
		return false
	}
	read := kind != Size && kind != Join // by expressions
	if read && (builtin.IsFunction(name.Name) || c.constants[name.Name] != nil) {
		c.report("P2003", name.At, fmt.Sprintf("%s is a name of the language", name.Name), "choose another name")
		return false
	}
	if d := s.names[name.Name]; d != nil {
		r := c.report("P2002", name.At, fmt.Sprintf("%s is declared twice", name.Name), "again here")
		also(r, s.module.placeOf(d), "first declared here")
		return false
	}
	if d := c.find(s.parent, name.Name); d != nil && d.Kind != Size && d.Kind != Join {
		r := c.report("P2003", name.At, fmt.Sprintf("%s would hide a %s of that name", name.Name, d.Kind), "choose another name")
		also(r, s.module.placeOf(d), "the other one")
		return true // what is written in s means this one
	}
	return true
}

// placeOf is where d got its name in m: where it is imported when it is another module's.
func (m *Module) placeOf(d *Decl) diag.Span {
	if d.Module == m {
		return d.At
	}
	for _, im := range m.imports {
		if im.decl == d {
			return im.name.At
		}
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
	if c.free(s, name, d.Kind) {
		s.names[name.Name] = d
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
				c.report("P2009", s.Span(), "a module holds panels, lets and stocks, and uses others", "only in a design")
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
	case *syntax.Part:
		c.declareIndices(d, s.Index)
	case *syntax.Join:
		c.declareIndices(d, s.Index)
	case *syntax.Panel:
		c.declarePanel(d, s)
	}
	c.leave(outer)
}

// declareIndices gives d a scope of its own for the names of its index.
func (c *checker) declareIndices(d *Decl, index []syntax.Each) {
	for i := range index {
		d.scope = d.scope.child()
		d.Indices = append(d.Indices, c.declare(d.scope, index[i].Name, &Decl{
			Kind: Index, Node: d.Node, Each: &index[i], Owner: d, scope: d.scope.parent}))
	}
}

func (c *checker) declareLetParams(d *Decl, l *syntax.Let) {
	if !l.IsFunc {
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
	p.members = map[string]*Decl{}
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
}

// keep lists d as a member of owner; of two with one name the first can be read.
func (c *checker) keep(owner, d *Decl) {
	owner.Members = append(owner.Members, d)
	if d.Name != "" && owner.members[d.Name] == nil {
		owner.members[d.Name] = d
	}
}

func (c *checker) declareFace(f *Decl, s *syntax.Face) {
	f.members = map[string]*Decl{}
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
	if old := f.members[d.Name]; old != nil && d.Name != "" {
		r := c.report("P2002", d.At, fmt.Sprintf("%s is declared twice in its face", d.Name), "again here")
		also(r, old.At, "first declared here")
	}
	c.keep(f, d)
	c.declareIndices(d, index)
}
