package check

import (
	"perch/lang/diag"
	"perch/lang/syntax"
)

// Expr types an expression that stands outside the text, such as a result that
// is asked for on the command line, as if a let of the design had it. It may not
// be called while the program is in use elsewhere.
func (p *Program) Expr(e syntax.Expr) (Type, []diag.Diagnostic) {
	c := &checker{builtin: p.builtin, prog: p, modules: map[string]*Module{}, constants: map[string]*Decl{}}
	c.declareConstants()
	t := c.expr(p.Root.scope, e)
	return t, c.sorted()
}
