package check

import (
	"perch/lang/diag"
	"perch/lang/syntax"
)

// State gives the names in a statement about a param that stands outside the text,
// such as one on the command line, their meaning. What names nothing is left alone,
// so that many may be read at once; it is Expr otherwise.
func (p *Program) State(s *syntax.State) []diag.Diagnostic {
	named := false
	syntax.Inspect(s.Value, func(n syntax.Node) bool {
		_, is := n.(*syntax.Name)
		named = named || is
		return !named
	})
	if !named {
		return nil
	}
	_, diags := p.Expr(s.Value)
	return diags
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
