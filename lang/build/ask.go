package build

import (
	"fmt"
	"math"
	"slices"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
)

// Pinned states a param as if on the command line, to the last bit; value is in
// internal units.
func Pinned(d *check.Decl, value float64) Setting {
	lit := quantity.Literal{Kind: quantity.Unit, Value: value, Dim: paramDim(d)}
	if lit.Dim == quantity.None {
		lit.Kind, lit.Whole = quantity.Plain, value == math.Trunc(value)
	}
	return Setting{syntax.State{Name: syntax.Ident{Name: d.Name}, Value: &syntax.Literal{Value: lit}}}
}

// Params are the params of a design that are numbers, in the order written.
func Params(p *check.Program) []*check.Decl {
	var out []*check.Decl
	for _, d := range p.Root.Order {
		if d.Kind != check.Param {
			continue
		}
		if typ, _ := quantity.TypeByName(d.Param.Type.Name); typ.Numeric() {
			out = append(out, d)
		}
	}
	return out
}

// ParamDim is the dimension of a param.
func ParamDim(d *check.Decl) quantity.Dim { return paramDim(d) }

// Expression reads an expression of the language that stands outside the
// design's text, such as mass() or flat_long(leg), and checks that it is a number
// of the design. It may not be called while sizes of the program are built.
func Expression(p *check.Program, text string) (syntax.Expr, []diag.Diagnostic) {
	src := diag.NewSource("the expression", "let it = "+text)
	file, diags := syntax.Parse(src)
	if diag.HasErrors(diags) {
		return nil, diags
	}
	if len(file.Stmts) == 1 {
		if l, ok := file.Stmts[0].(*syntax.Let); ok && !l.IsFunc {
			t, more := p.Expr(l.Value)
			if len(more) == 0 && t.Kind != check.Quantity && t.Kind != check.CountKind {
				more = append(more, value.Diagnostic("P2010", l.Value.Span(), fmt.Sprintf("a number is wanted, this is a %s", t)))
			}
			return l.Value, more
		}
	}
	return nil, []diag.Diagnostic{value.Diagnostic("P2010", diag.Span{Source: src, Start: 9, End: int32(len(src.Text))}, "one expression is wanted here")}
}

// Eval works out an expression at a size whose values are known; parts that it
// measures are made where they are not there yet.
func (r *Result) Eval(x syntax.Expr) (Quantity, []diag.Diagnostic) {
	if !r.stands {
		return Quantity{Value: math.NaN()}, nil
	}
	ev := r.sys.ev
	outer := ev.diags
	ev.diags = nil
	var n value.Number
	ok := ev.try(func() { n = ev.number(x, &env{}) })
	diags := ev.diags
	ev.diags = outer
	if !ok {
		return Quantity{Value: math.NaN()}, diags
	}
	return Quantity{n.V, n.Dim, n.Whole}, diags
}

// Stands tells whether every param has its value.
func (r *Result) Stands() bool { return r.stands }

// Program is the design that the result is of.
func (r *Result) Program() *check.Program { return r.program }

// Mentions lists the params that an expression of the design speaks of.
func (r *Result) Mentions(x syntax.Expr) []string {
	if r.sys == nil {
		return nil
	}
	return r.sys.mentions([]syntax.Expr{x})
}

// Slopes are the derivatives of the params' values by those that are stated.
type Slopes struct {
	By []string // the params that are stated: by a size, a setting or a default
	Of []string // all params
	// D has a row for each of Of and a column for each of By, in the record's
	// units; NaN where there is no derivative.
	D [][]float64
}

// Slopes differentiates the solved rules.
func (r *Result) Slopes() Slopes {
	var out Slopes
	if !r.stands {
		return out
	}
	s := r.sys
	var by []int
	for i, v := range s.vars {
		if v < 0 || s.limits[v].whole {
			continue
		}
		id := r.solved.Origins[v].By
		if id >= 0 && s.notes[id].decl == s.params[i] && s.notes[id].kind != "range" && !slices.Contains(r.solved.GaveWay, id) {
			by = append(by, i)
			out.By = append(out.By, s.params[i].Name)
		}
	}
	vars := s.vars[:0:0]
	for _, i := range by {
		vars = append(vars, s.vars[i])
	}
	d := s.sys.Sensitivity(r.solved.Values, vars)
	for i, v := range s.vars {
		if v < 0 {
			continue
		}
		row := make([]float64, len(by))
		for k, j := range by {
			to, _ := recordUnit(1, paramDim(s.params[i]))
			from, _ := recordUnit(1, paramDim(s.params[j]))
			row[k] = d[v][k] * to / from
		}
		out.Of = append(out.Of, s.params[i].Name)
		out.D = append(out.D, row)
	}
	return out
}
