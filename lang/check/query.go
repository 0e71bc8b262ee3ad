package check

import (
	"perch/lang/diag"
	"perch/lang/syntax"
)

// State checks a statement about a param that stands outside the text, such as one on the
// command line, and gives the names in it their meaning. Where its value names nothing the
// program is only read, so that many may be checked at once; it is Expr otherwise.
func (p *Program) State(s *syntax.State) []diag.Diagnostic {
	named := false
	if s.Value != nil {
		syntax.Inspect(s.Value, func(n syntax.Node) bool {
			_, is := n.(*syntax.Name)
			named = named || is
			return !named
		})
	}
	prog := p
	if !named {
		prog = p.aside()
	}
	c := &checker{builtin: p.builtin, prog: prog, modules: map[string]*Module{}, constants: map[string]*Decl{}}
	c.declareConstants()
	c.checkState(&Decl{Kind: Size, Module: p.Root, scope: p.Root.scope}, s)
	return c.sorted()
}

// Expr types an expression that stands outside the text, such as a result that
// is asked for on the command line, as if a let of the design had it. It may not
// be called while the program is in use elsewhere.
func (p *Program) Expr(e syntax.Expr) (Type, []diag.Diagnostic) {
	c := &checker{builtin: p.builtin, prog: p, modules: map[string]*Module{}, constants: map[string]*Decl{}}
	c.declareConstants()
	t := c.expr(p.Root.scope, e)
	return t, c.sorted()
}
