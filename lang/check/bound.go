package check

import (
	"fmt"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/measure"
)

// Bound is a call with each argument at the parameter that it is for. Whoever works a
// call out, to a number or to an expression of a rule, goes by it and by nothing else.
type Bound struct {
	Function *builtin.Function // of the language, a method included; nil of what is declared
	Decl     *Decl             // a let with parameters, or a panel; nil of the language's own
	// Args are by parameter, nil where none is given; what stands beyond the parameters
	// goes to the last, which may be repeated.
	Args []syntax.Expr
}

// Params are the declared parameters that Args are for: of a panel or a let.
func (b *Bound) Params() []*Decl { return parametersOf(b.Decl) }

// Parameter is the one that a label names: declared, or of the language; both nil where
// there is none.
func (b *Bound) Parameter(label string) (*Decl, *Parameter) {
	if b.Function != nil {
		params := Parameters(b.Function)
		if i := paramNamed(params, label); i >= 0 {
			return nil, &params[i]
		}
		return nil, nil
	}
	for _, d := range b.Params() {
		if d.Name == label {
			return d, nil
		}
	}
	return nil, nil
}

// Bound is how a call's arguments are bound; nil of a method whose receiver is known
// only when it is worked out, see Bind.
func (p *Program) Bound(e *syntax.Call) *Bound { return p.bound[e] }

// BindLate binds the call of what was found only when its receiver was worked out: to
// is the function or declaration. The diagnostic is an error where the arguments are not
// what it takes.
func BindLate(to Bound, e *syntax.Call) (*Bound, *diag.Diagnostic) {
	var name string
	var params []Parameter
	if to.Function != nil {
		name, params = to.Function.Name, Parameters(to.Function)
	} else {
		name = to.Decl.Name
		for _, d := range to.Params() {
			params = append(params, Parameter{Parameter: builtin.Parameter{Name: d.Name, Optional: d.Param.Default != nil}})
		}
	}
	b := &Bound{Function: to.Function, Decl: to.Decl, Args: make([]syntax.Expr, len(params))}
	wrong := func(code string, at diag.Span, summary string) (*Bound, *diag.Diagnostic) {
		return nil, &diag.Diagnostic{Code: code, Severity: diag.Error, Span: at, Summary: summary, Notes: []string{"it is written " + signatureOf(name, params)}}
	}
	for i := range e.Args {
		a := &e.Args[i]
		switch p := slot(params, e, i); {
		case p == noSuchLabel:
			return wrong("P2021", a.Label.At, fmt.Sprintf("%s takes no %s", name, a.Label.Name))
		case p < 0:
			return wrong("P2022", a.Value.Span(), fmt.Sprintf("%s takes %s", name, measure.Counted(len(params), "argument")))
		case b.Args[p] == nil:
			b.Args[p] = a.Value
		case params[p].Many:
			b.Args = append(b.Args, a.Value)
		default:
			return wrong("P2025", a.Value.Span(), fmt.Sprintf("%s is given twice", params[p].Name))
		}
	}
	for i, p := range params {
		if b.Args[i] == nil && !p.Optional {
			return wrong("P2023", e.At, fmt.Sprintf("%s needs %s", name, p.Name))
		}
	}
	return b, nil
}

// What an argument has that has no parameter.
const (
	noSuchLabel = -1 - iota
	behindLabel // it has no label, and stands behind one that has
	oneTooMany
)

// slot is the parameter that the i-th argument of a call is for: by its label, else by
// its position, repeated where the last may be; or why there is none.
func slot(params []Parameter, e *syntax.Call, i int) int {
	if l := e.Args[i].Label; l != nil {
		return paramNamed(params, l.Name) // noSuchLabel where there is none
	}
	for k := range e.Args[:i] {
		if l := e.Args[k].Label; l != nil {
			if n := paramNamed(params, l.Name) + 1; k == i-1 && n > 0 && n < len(params) && params[n].Follows {
				return n
			}
			return behindLabel
		}
	}
	switch n := len(params); {
	case i < n:
		return i
	case n > 0 && params[n-1].Many:
		return n - 1
	}
	return oneTooMany
}

// bind notes how the arguments of a call were matched.
func (c *checker) bind(e *syntax.Call, f *builtin.Function, d *Decl, got []given) {
	if c.prog.bound == nil {
		c.prog.bound = map[*syntax.Call]*Bound{}
	}
	b := &Bound{Function: f, Decl: d, Args: make([]syntax.Expr, len(got))}
	for i := range got {
		b.Args[i] = got[i].at
	}
	c.prog.bound[e] = b
}

// parametersOf are the declared parameters of a panel or a let.
func parametersOf(d *Decl) []*Decl {
	if d.Kind != Panel {
		return d.Indices
	}
	var ds []*Decl
	for _, m := range d.Members {
		if m.Kind == PanelParam {
			ds = append(ds, m)
		}
	}
	return ds
}
