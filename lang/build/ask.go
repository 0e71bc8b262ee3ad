package build

import (
	"fmt"
	"math"
	"slices"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/quantity"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/lang/value"
)

// What is told of a size, in the words of the design.
type (
	Setting   = rules.Setting
	Statement = rules.Statement
	Quantity  = rules.Quantity
	Cause     = rules.Cause
	Yield     = rules.Yield
)

// Pinned states a param as if on the command line, to the last bit; value is in
// internal units.
func Pinned(d *check.Decl, value float64) Setting { return rules.Pinned(d, value) }

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
func ParamDim(d *check.Decl) quantity.Dim { return rules.ParamDim(d) }

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
		return Quantity{V: math.NaN()}, nil
	}
	n, faults, ok := r.ev.Number(x)
	if !ok {
		return Quantity{V: math.NaN()}, eval.Diagnostics(faults, r.Program().Shown)
	}
	return n, eval.Diagnostics(faults, r.Program().Shown)
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
	return r.sys.Mentions([]syntax.Expr{x})
}

// Range is what a param may be.
type Range struct {
	Name      string
	Low, High Quantity // infinite where there is no limit
	Whole     bool     // it is a count
}

// Ranges are those of the params that are numbers, in the order written.
func (r *Result) Ranges() []Range {
	if r.sys == nil {
		return nil
	}
	var out []Range
	for i, v := range r.sys.Vars {
		if v < 0 {
			continue
		}
		l := r.sys.Limits[v]
		out = append(out, Range{Name: r.sys.Params[i].Name, Low: r.sys.QuantityOf(i, l.Lo), High: r.sys.QuantityOf(i, l.Hi), Whole: l.Whole})
	}
	return out
}

// Unproved are the params whose values were found by search, so that there may be others.
func (r *Result) Unproved() []string {
	if !r.stands {
		return nil
	}
	return r.sys.Unproved(r.solved)
}

// FreeSets are, where nothing fixes some params, the smallest sets of params that are
// enough to state; none otherwise.
func (r *Result) FreeSets() [][]*check.Decl {
	var out [][]*check.Decl
	for _, set := range r.solved.FreeSets {
		var of []*check.Decl
		for _, v := range set {
			of = append(of, r.sys.Params[r.sys.Of[v]])
		}
		out = append(out, of)
	}
	return out
}

// Causes tells what gave every param its value, in the order of Values.
func (r *Result) Causes() []Cause {
	if !r.stands {
		return nil
	}
	var out []Cause
	for i, v := range r.sys.Vars {
		if v < 0 {
			continue
		}
		c := r.sys.Cause(i, r.solved)
		if ch := r.Choice; ch != nil && ch.Name == c.Name {
			c.By = ch.By
		}
		for _, f := range r.Fits {
			if f.Name == c.Name {
				c.By = f.To[0]
				c.By.Names = append([]string{c.Name}, f.To[0].Names...)
			}
		}
		out = append(out, c)
	}
	return out
}

// Yields lists the abouts that gave way.
func (r *Result) Yields() []Yield {
	var out []Yield
	for _, id := range r.solved.GaveWay {
		out = append(out, r.sys.Yield(id, r.solved))
	}
	return out
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
	for i, v := range s.Vars {
		if v < 0 || s.Limits[v].Whole {
			continue
		}
		if id := r.solved.Origins[v].By; s.States(id, i) && !slices.Contains(r.solved.GaveWay, id) {
			by = append(by, i)
			out.By = append(out.By, s.Params[i].Name)
		}
	}
	vars := s.Vars[:0:0]
	for _, i := range by {
		vars = append(vars, s.Vars[i])
	}
	d := s.Solver.Sensitivity(r.solved.Values, vars)
	for i, v := range s.Vars {
		if v < 0 {
			continue
		}
		row := make([]float64, len(by))
		for k, j := range by {
			to, _ := s.QuantityOf(i, 1).Recorded()
			from, _ := s.QuantityOf(j, 1).Recorded()
			row[k] = d[v][k] * to / from
		}
		out.Of = append(out.Of, s.Params[i].Name)
		out.D = append(out.D, row)
	}
	return out
}
