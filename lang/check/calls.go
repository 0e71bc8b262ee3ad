package check

import (
	"fmt"
	"strings"

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
		if n, ok := strip(e.Args[i].Value).(*syntax.Name); ok && IsWord(n.Name) && c.find(s, n.Name) == nil {
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
			r := c.report("P2024", e.At, fmt.Sprintf("%s makes a part, in a part statement only", d.Name), "")
			note(r, fmt.Sprintf("write: part NAME of STOCK = %s(…)", d.Name))
		}
		c.args(s, d.Name, c.panelParams(d), e)
		return d.Type
	case d.IsFunc():
		t := c.typeOf(d)
		c.args(s, d.Name, c.declParams(d.Indices), e)
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

func (c *checker) panelParams(p *Decl) []Parameter {
	var ds []*Decl
	for _, d := range p.Members {
		if d.Kind == PanelParam {
			ds = append(ds, d)
		}
	}
	return c.declParams(ds)
}

// declParams are declared parameters as arguments are matched with them.
func (c *checker) declParams(ds []*Decl) []Parameter {
	params := make([]Parameter, len(ds))
	for i, d := range ds {
		params[i] = Parameter{Name: d.Name, Types: []Type{c.typeOf(d)}, Optional: d.Param.Default != nil, Doc: d.Doc(), decl: d}
		if d.Param.Default != nil {
			params[i].Default = d.Param.Default.Span().Text()
		}
	}
	return params
}

// callFunction is the type of a call of a function of the language.
func (c *checker) callFunction(s *scope, name *syntax.Name, e *syntax.Call) Type {
	f := pick(functionIndex[name.Name], e)
	params := f.Params
	if f.Name == "sheet" {
		params = c.sheetParams(params)
	}
	if f.Name == "strip" && s.face != nil {
		if face, ok := s.face.Node.(*syntax.Face); ok && face.Off == nil {
			d := c.report("P2039", e.At, "strip runs along a fold, and this face is not hung off an edge", "no fold")
			note(d, "hang the face with `off EDGE`, or draw it with rect, band or points")
		}
	}
	got, good := c.args(s, f.Name, params, e)
	if pitch, count := labelled(e, "pitch"), labelled(e, "count"); f.Result.Kind == FastenerKind && pitch != nil && count != nil {
		d := c.report("P2025", count.Label.At, "state the pitch or the count of a row, not both", "one too many")
		also(d, pitch.Label.At, "the other")
	}
	if f.Name == "mass" && len(e.Args) == 0 {
		c.needsAllParts()
	}
	if !good {
		if f.Rule == Fixed {
			return f.Result
		}
		return invalid
	}
	return c.result(f, e, got)
}

// labelled finds the argument that a call gives under a label, or nil.
func labelled(e *syntax.Call, label string) *syntax.Arg {
	for i := range e.Args {
		if l := e.Args[i].Label; l != nil && l.Name == label {
			return &e.Args[i]
		}
	}
	return nil
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

func (c *checker) sheetParams(params []Parameter) []Parameter {
	out := append([]Parameter{}, params...)
	for i := range out {
		if out[i].Name == "method" {
			out[i].Words = c.builtin.Methods
			if out[i].Words == nil {
				out[i].Words = []string{}
			}
		}
	}
	return out
}

// pick chooses the form of a function that a call's labels and number of arguments fit best.
func pick(forms []*Function, e *syntax.Call) *Function {
	best, bestMiss := forms[0], 1<<30
	for _, f := range forms {
		miss := max(0, len(e.Args)-len(f.Params))
		for i := range e.Args {
			if l := e.Args[i].Label; l != nil {
				if paramNamed(f.Params, l.Name) < 0 {
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

// result follows the function's rule.
func (c *checker) result(f *Function, e *syntax.Call, got [][]given) Type {
	switch {
	case f.Keeps:
		return withEdges(got[0][0].t)
	case f.Rule == Fixed:
		return f.Result
	}
	t, ok := c.same(f, got)
	if !ok || t.silent() {
		return t
	}
	switch f.Rule {
	case Root:
		dim, ok := t.Dim.Root(2)
		if !ok {
			c.report("P2010", e.At, fmt.Sprintf("the square root of %s has no unit", t.phrase()), "its powers are odd")
			return invalid
		}
		return Type{Kind: Quantity, Dim: dim}
	case Step:
		return c.stepped(f, e, t, got)
	case Lookup:
		return c.lookup(e, t, got[1])
	}
	return t
}

// same is the type that all arguments marked Same have together.
func (c *checker) same(f *Function, got [][]given) (Type, bool) {
	var t Type
	var first *given
	for i := range f.Params {
		if !f.Params[i].Same {
			continue
		}
		for k := range got[i] {
			g := &got[i][k]
			if g.t.silent() {
				return g.t, true
			}
			if f.Params[i].Many && g.t.Kind == ListKind {
				g = &given{g.at, *g.t.Elem}
			}
			if g.t.silent() {
				return g.t, true
			}
			if !g.t.quantity() {
				c.report("P2010", g.at.Span(), fmt.Sprintf("%s takes quantities, this is %s", f.Name, g.t.phrase()), "not a quantity")
				return invalid, false
			}
			if first == nil {
				first, t = g, g.t
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
	}
	return t, true
}

// stepped is the type of round, floor and ceil.
func (c *checker) stepped(f *Function, e *syntax.Call, t Type, got [][]given) Type {
	if t.Dim != quantity.None {
		if len(got[1]) == 0 {
			d := c.report("P2023", e.At, fmt.Sprintf("%s of %s needs a step", f.Name, t.phrase()), "to a multiple of what?")
			if unit := plainUnits[t.Dim]; unit != "" {
				note(d, fmt.Sprintf("such as %s(x, 1%s)", f.Name, unit))
			}
		}
		return t
	}
	if len(got[1]) == 0 || got[1][0].t.Kind == CountKind {
		return count
	}
	return number
}

// lookup is the type of the values of a table whose first column is like x.
func (c *checker) lookup(e *syntax.Call, x Type, table []given) Type {
	if len(table) == 0 || table[0].t.silent() {
		return anything
	}
	row := *table[0].t.Elem
	first, second := row, row
	switch row.Kind {
	case Invalid, Any:
		return row
	case PairKind:
		first, second = row.Index[0], row.Index[1]
	case PointKind:
		first, second = length, length
	default:
		c.report("P2010", table[0].at.Span(), fmt.Sprintf("a table's rows are pairs, these are %s", row.plural()), row.String())
		return invalid
	}
	if _, ok := unify(x, first); !ok {
		d := c.report("P2010", table[0].at.Span(), fmt.Sprintf("%s is looked up in a column of %s", x.phrase(), first.plural()), first.String())
		also(d, e.Args[0].Value.Span(), "this is "+x.phrase())
		return invalid
	}
	if second.Kind == CountKind { // what lies between two counts is none
		return number
	}
	return second
}

// signature writes how a function of the language is called.
func signature(name string) string {
	var forms []string
	for _, f := range functionIndex[name] {
		forms = append(forms, f.Signature())
	}
	return strings.Join(forms, " or ")
}

// Signature writes the function as it is called: rect(w, h).
func (f *Function) Signature() string { return signatureOf(f.Name, f.Params) }

func signatureOf(name string, params []Parameter) string {
	parts := make([]string, len(params))
	for i, p := range params {
		parts[i] = p.Name
		if p.Labelled {
			parts[i] += ":"
		}
		if p.Many {
			parts[i] += ", …"
		}
		if p.Optional {
			parts[i] = "[" + parts[i] + "]"
		}
	}
	return name + "(" + strings.Join(parts, ", ") + ")"
}

func counted(n int, thing string) string {
	switch n {
	case 0:
		return "no " + thing + "s"
	case 1:
		return "one " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
