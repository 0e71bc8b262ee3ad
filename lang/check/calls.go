package check

import (
	"fmt"
	"slices"
	"strings"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// call is the type of f(…) or x.f(…).
func (c *checker) call(s *scope, e *syntax.Call) Type {
	switch f := strip(e.Fun).(type) {
	case *syntax.Member:
		t := c.member(s, f, c.expr(s, f.X), e)
		c.prog.keep(f, t)
		return t
	case *syntax.Name:
		d, ok := c.resolve(s, f, e)
		if !ok {
			c.readArgs(s, e)
			return invalid
		}
		if d == nil {
			return c.callFunction(s, f, e)
		}
		return c.callDecl(s, d, f, e)
	default:
		t := c.expr(s, e.Fun)
		c.readArgs(s, e)
		if !t.silent() {
			c.report("P2020", e.Fun.Span(), "only a function or a panel can be called", "")
			return invalid
		}
		return t
	}
}

// readArgs reads the arguments of a call that is wrong already.
func (c *checker) readArgs(s *scope, e *syntax.Call) {
	for i := range e.Args {
		if n, ok := strip(e.Args[i].Value).(*syntax.Name); ok && builtin.IsWord(n.Name) && c.find(s, Values, n.Name) == nil {
			continue
		}
		c.expr(s, e.Args[i].Value)
	}
}

// callDecl is the type of a call of a let, a panel or a parameter.
func (c *checker) callDecl(s *scope, d *Decl, at syntax.Node, e *syntax.Call) Type {
	switch {
	case d.Kind == Panel:
		if c.making != e {
			if deps := c.depsOf(); len(deps) > 0 && deps[len(deps)-1] == d { // of this no circle is told as well
				c.node.deps = deps[:len(deps)-1]
			}
			r := c.report("P2024", e.Fun.Span(), fmt.Sprintf("%s makes a part, in a part statement only", d.Name), "")
			note(r, fmt.Sprintf("write: part NAME of STOCK = %s(…)", d.Name))
			if n, ok := at.(*syntax.Name); ok {
				c.tellHidden(r, s, d, n.Name)
			}
			c.readArgs(s, e)
			return invalid
		}
		c.argsOf(s, d, at, e)
		return d.Type
	case d.IsFunc():
		t := c.typeOf(d)
		c.argsOf(s, d, at, e)
		if t.Kind != FuncKind {
			return invalid
		}
		return d.Result
	}
	t := c.typeOf(d)
	c.readArgs(s, e)
	if t.silent() {
		return t
	}
	r := c.report("P2020", at.Span(), fmt.Sprintf("%s is %s, which takes no arguments", d.Name, t.phrase()), "not a function")
	also(r, d.At, "declared here")
	return invalid
}

// depsOf is what is being read needs, as far as it was read.
func (c *checker) depsOf() []*Decl {
	if c.node == nil {
		return nil
	}
	return c.node.deps
}

// argsOf reads the arguments of a call of a panel or function, which at names.
func (c *checker) argsOf(s *scope, d *Decl, at syntax.Node, e *syntax.Call) {
	got, _, wrong := c.args(s, d.Name, c.declParams(parametersOf(d)), e)
	c.bind(e, nil, d, got)
	if n, ok := at.(*syntax.Name); ok && wrong != nil {
		c.tellHidden(wrong, s, d, n.Name)
	}
}

// tellHidden adds to a report of wrong arguments what else has the name of what was
// called, and is hidden by it: that may have been meant.
func (c *checker) tellHidden(r *diag.Diagnostic, s *scope, d *Decl, name string) {
	kind := func(d *Decl) string {
		if d.IsFunc() {
			return "function"
		}
		return d.Kind.String()
	}
	other, mend := "", "give yours another name to call that one"
	if outer := c.find(s.without(d), Calls, name); outer != nil {
		other = fmt.Sprintf("the %s %s", kind(outer), name)
		also(r, s.module.placeOf(outer), fmt.Sprintf("a %s of that name stands here", kind(outer)))
	} else if builtin.IsFunction(name) {
		other = "the language's own " + signature(name)
	} else if dotted, what := c.inLibrary(s.module, name); dotted != "" && (d.Module == nil || d.Module.Name != dotted) {
		other = fmt.Sprintf("the %s %s of %s", what, name, dotted)
	}
	if other == "" {
		return
	}
	also(r, s.module.placeOf(d), fmt.Sprintf("this %s is meant", kind(d)))
	note(r, fmt.Sprintf("%s is hidden by it: %s", other, mend))
}

// declParams are declared parameters as arguments are matched with them.
func (c *checker) declParams(ds []*Decl) []Parameter {
	params := make([]Parameter, len(ds))
	for i, d := range ds {
		params[i] = Parameter{Parameter: builtin.Parameter{Name: d.Name, Optional: d.Param.Default != nil, Doc: d.Doc()}, Types: []Type{c.typeOf(d)}, decl: d}
		if d.Param.Default != nil {
			params[i].Default = d.Param.Default.Span().Text()
		}
	}
	return params
}

// callFunction is the type of a call of a function of the language.
func (c *checker) callFunction(s *scope, name *syntax.Name, e *syntax.Call) Type {
	f := pick(builtin.Forms(name.Name), e)
	params := c.shopWords(Parameters(f))
	if f.OnFold && s.face != nil {
		if face, ok := s.face.Node.(*syntax.Face); ok && face.Off == nil {
			d := c.report("P2039", e.At, f.Name+" runs along a fold, and this face is not hung off an edge", "no fold")
			note(d, "hang the face with `off EDGE`, or draw it with rect, band or points")
		}
	}
	got, good, _ := c.args(s, f.Name, params, e)
	c.bind(e, f, nil, got)
	c.beside(f, got)
	for i, p := range f.Params {
		if p.Whole && got[i].at == nil {
			c.needsAllParts()
		}
	}
	switch {
	case f.Follows == nil:
		return c.fixed(f, got)
	case !good:
		return invalid
	}
	return c.follows(f, e, got)
}

// fixed is the result that a function has whatever its arguments are.
func (c *checker) fixed(f *builtin.Function, got []given) Type {
	if f.Keeps && got[0].at != nil {
		return shape.withEdges(got[0].t).symmetric()
	}
	return Result(f)
}

// follows is the result of a function whose arguments determine its type.
func (c *checker) follows(f *builtin.Function, e *syntax.Call, got []given) Type {
	t, ok := c.same(f, got)
	if !ok || t.silent() {
		return t
	}
	typing := builtin.Typing{
		Name: f.Name, At: e.At, Common: t.plain(), Given: make([]builtin.Argument, len(got)), Report: c.report,
		Unit: func(d quantity.Dim) string { return plainUnits[c.writtenIn()][d] },
	}
	for i, g := range got {
		if g.at != nil {
			typing.Given[i] = builtin.Argument{At: g.at, Type: g.t.plain()}
		}
	}
	return typeFrom(f.Follows.Type(&typing))
}

// beside reports an argument that can't be given beside another that is given.
func (c *checker) beside(f *builtin.Function, got []given) {
	for i, p := range f.Params {
		k := builtin.Named(f.Params, p.Without)
		if p.Without == "" || got[i].at == nil || got[k].at == nil {
			continue
		}
		d := c.report("P2025", got[k].named, fmt.Sprintf("state the %s or the %s of a row, not both", p.Name, p.Without), "one too many")
		also(d, got[i].named, "the other")
	}
}

// shopWords are parameters with the words that the shop knows.
func (c *checker) shopWords(params []Parameter) []Parameter {
	for i := range params {
		if params[i].Shop {
			params = slices.Clone(params)
			params[i].Words = c.builtin.Methods
		}
	}
	return params
}

// needsAllParts notes that what is being read needs every part of the design.
func (c *checker) needsAllParts() {
	if c.unit != nil {
		c.unit.parts = true
	}
	for _, d := range c.prog.Root.Order {
		if d.Kind == Part {
			c.needs(d)
		}
	}
}

// pick chooses the form of a function that a call's labels and number of arguments fit best.
func pick(forms []*builtin.Function, e *syntax.Call) *builtin.Function {
	best, bestMiss := forms[0], 1<<30
	for _, f := range forms {
		miss := max(0, len(e.Args)-len(f.Params))
		for i := range e.Args {
			if l := e.Args[i].Label; l != nil {
				if builtin.Named(f.Params, l.Name) < 0 {
					miss++
				}
			} else if i < len(f.Params) && f.Params[i].Labelled {
				miss++
			}
		}
		if miss < bestMiss {
			best, bestMiss = f, miss
		}
	}
	return best
}

func paramNamed(params []Parameter, name string) int {
	for i := range params {
		if params[i].Name == name {
			return i
		}
	}
	return -1
}

// same is the type that all arguments marked Same have together.
func (c *checker) same(f *builtin.Function, got []given) (Type, bool) {
	var t Type
	var first *given
	for i := range got {
		p, g := f.Params[min(i, len(f.Params)-1)], got[i]
		if !p.Same || g.at == nil {
			continue
		}
		if p.Many && g.t.Kind == ListKind {
			g.t = *g.t.Elem
		}
		if g.t.silent() {
			return g.t, true
		}
		if !g.t.quantity() {
			c.report("P2010", g.at.Span(), fmt.Sprintf("%s takes quantities, this is %s", f.Name, g.t.phrase()), "not a quantity")
			return invalid, false
		}
		if first == nil {
			first, t = &g, g.t
			continue
		}
		u, ok := unify(t, g.t)
		if !ok {
			d := c.report("P2010", g.at.Span(), fmt.Sprintf("%s takes quantities of one kind: this is %s", f.Name, g.t.phrase()), g.t.String())
			also(d, first.at.Span(), "the first is "+first.t.phrase())
			c.giveUnit(d, g.at, g.t, t)
			return invalid, false
		}
		t = u
	}
	return t, true
}

// signature writes how a function of the language is called.
func signature(name string) string {
	var forms []string
	for _, f := range builtin.Forms(name) {
		forms = append(forms, f.Signature())
	}
	return strings.Join(forms, " or ")
}
