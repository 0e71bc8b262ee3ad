package check

import "perch/lang/syntax"

// Site is a place in a design's own text at which an expression may stand that the
// text does not hold, for it is still being typed. What is found there is kept by the
// site: the program is only read, and may be in use elsewhere. A site serves one at a
// time.
type Site struct {
	c     *checker
	scope *scope
}

// Site is the place in a statement that stands in a panel or a face, at the top of the
// text where in is nil, and that has the names of an index, or parameters, for itself.
// What the statement declares as the text is now is not seen there: but, nil for nothing.
func (p *Program) Site(in, but *Decl, index []syntax.Each, params []syntax.Decl) *Site {
	around := p.Root.scope
	if in != nil {
		around = in.scope
	}
	c := &checker{builtin: p.builtin, prog: p.aside(), modules: map[string]*Module{}, constants: map[string]*Decl{}}
	c.declareConstants()
	s := around.without(but)
	module := *p.Root
	module.imports = nil // what is read here makes none of them used
	s.module = &module
	l := &syntax.Let{Index: index, Params: params, IsFunc: len(params) > 0}
	d := &Decl{Kind: Let, Node: l, Module: p.Root, Owner: in, scope: s, opened: true}
	c.declareLetParams(d, l)
	for _, i := range d.Indices {
		i.Module = p.Root
		c.typeOf(i)
	}
	return &Site{c, d.scope}
}

// aside is a program in which more can be found about p without writing to it.
func (p *Program) aside() *Program {
	return &Program{Root: p.Root, Units: p.Units, Shown: p.Shown, Modules: p.Modules, builtin: p.builtin, under: p,
		types: map[syntax.Expr]int32{}, refs: map[syntax.Node]*Decl{}}
}

// TypeOf is the type that an expression has at the site; Invalid where it is mistaken, or nil.
func (s *Site) TypeOf(e syntax.Expr) Type { return s.c.expr(s.scope, e) }

// InScope lists what can be read by name at the site, as [Module.InScope] does.
func (s *Site) InScope() []*Decl { return s.c.prog.Root.inScope(s.scope) }
