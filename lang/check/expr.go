package check

import (
	"fmt"

	"perch/lang/builtin"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

// maxDepth caps how deep expressions, and the names they go through, may nest.
const maxDepth = 20000

// expr reads an expression once and returns its type; Invalid where it reported.
func (c *checker) expr(s *scope, e syntax.Expr) Type {
	if e == nil || c.deep {
		return invalid
	}
	if c.depth++; c.depth > maxDepth {
		c.deep = true
		c.report("P2045", e.Span(), "this goes too deep to follow", fmt.Sprintf("more than %d steps", maxDepth))
		c.depth--
		return invalid
	}
	t := c.exprOf(s, e)
	c.depth--
	c.prog.keep(e, t)
	return t
}

func (c *checker) exprOf(s *scope, e syntax.Expr) Type {
	switch e := e.(type) {
	case *syntax.Literal:
		return literal(e.Value)
	case *syntax.Text:
		return text
	case *syntax.Name:
		return c.name(s, e)
	case *syntax.Paren:
		return c.expr(s, e.X)
	case *syntax.Pair:
		return c.pair(s, e)
	case *syntax.Triple:
		return c.triple(s, e)
	case *syntax.List:
		return c.list(s, e)
	case *syntax.Call:
		return c.call(s, e)
	case *syntax.Member:
		return c.member(s, e, c.expr(s, e.X), nil)
	case *syntax.IndexExpr:
		return c.index(s, e)
	case *syntax.If:
		return c.branches(s, e)
	case *syntax.Unary:
		return c.unary(s, e)
	case *syntax.Binary:
		return c.binary(s, e)
	case *syntax.In:
		return c.in(s, e)
	}
	return invalid
}

func literal(l quantity.Literal) Type {
	switch {
	case l.Kind == quantity.Gauge:
		return gauge
	case l.Kind == quantity.Plain && l.Whole:
		return count
	case l.Kind == quantity.Plain:
		return number
	}
	return Type{Kind: Quantity, Dim: l.Dim}
}

// resolve finds what a bare name, which call calls where that is not nil, refers to
// and notes that it is used. A nil without report means a function of the language.
func (c *checker) resolve(s *scope, e *syntax.Name, call *syntax.Call) (d *Decl, ok bool) {
	if e.Name == "" {
		return nil, false
	}
	p := c.placeFor(e, call)
	d, own := c.means(s, p.space(), e.Name)
	switch {
	case d != nil:
		c.refer(s, e, d)
		return d, true
	case p == asValue && c.constant(e.Name) != nil:
		d := c.constant(e.Name)
		c.prog.refs[e] = d
		return d, true
	case p != asValue && builtin.IsFunction(e.Name):
		return nil, true
	}
	if d := c.misplaced(s, p, e.Name); d != nil {
		c.refer(s, e, d)
		return d, true
	}
	switch {
	case p == asValue && builtin.IsFunction(e.Name):
		return nil, true
	case own:
		r := c.report("P2004", e.At, fmt.Sprintf("%s can't need itself", e.Name), "its own name")
		note(r, fmt.Sprintf("here %s means the next one outward, and there is none", e.Name))
		return nil, false
	case c.lost(s.module, e.Name):
		return nil, false
	}
	r := c.report("P2001", e.At, fmt.Sprintf("nothing here is named %s", e.Name), "not known")
	c.offer(r, s, e, p, call)
	return nil, false
}

// misplaced is what a name means that stands where such a thing can't: something
// that can't be called before a bracket, or something that has to be.
func (c *checker) misplaced(s *scope, p place, name string) *Decl {
	others := []Space{Calls, Sizes, Joins}
	if p != asValue {
		others = []Space{Values, Sizes, Joins}
	}
	for _, in := range others {
		if d := c.find(s, in, name); d != nil {
			return d
		}
	}
	if p != asValue {
		return c.constant(name)
	}
	return nil
}

// offer tells what a name that nothing has may have meant.
func (c *checker) offer(r *diag.Diagnostic, s *scope, e *syntax.Name, p place, call *syntax.Call) {
	if c.offerLibrary(r, s.module, e.Name, p) || c.offerMember(r, s, e) {
		return
	}
	meant := c.suggest(r, e.At, e.Name, c.fitting(s, p, call))
	for _, im := range s.module.imports { // it is used, if misspelt
		im.used = im.used || meant != "" && im.name.Name == meant
	}
	_, unit := quantity.LookupUnit(e.Name)
	switch {
	case meant != "":
	case p == asPanel:
		c.notePanels(r, s)
	case unit:
		note(r, "a unit is glued to its number: 3"+e.Name)
	}
}

// refer records that node refers to d, and that what is being read needs d.
func (c *checker) refer(s *scope, node syntax.Node, d *Decl) {
	c.open(d)
	c.prog.refs[node] = d
	c.needs(d)
	if d.Module != s.module {
		s.module.uses(d)
	}
}

func (c *checker) needs(d *Decl) {
	if d.Kind == Index || d.Kind == LetParam {
		return
	}
	if c.node != nil {
		c.node.deps = append(c.node.deps, d)
	}
}

// name is the type of a name that is read, not called.
func (c *checker) name(s *scope, e *syntax.Name) Type {
	d, ok := c.resolve(s, e, nil)
	if !ok {
		return invalid
	}
	if d == nil {
		r := c.report("P2020", e.At, fmt.Sprintf("%s is a function", e.Name), "call it")
		note(r, "it is written "+signature(e.Name))
		return invalid
	}
	switch d.Kind {
	case Size, Join:
		also(c.report("P2020", e.At, fmt.Sprintf("%s is a %s, which has no value", e.Name, d.Kind), ""), d.At, "declared here")
		return invalid
	case Panel:
		r := c.report("P2020", e.At, fmt.Sprintf("%s is a panel: a part is made of it by a part statement", e.Name), "")
		also(r, d.At, "declared here")
		return invalid
	}
	return c.typeOf(d)
}

func (c *checker) pair(s *scope, e *syntax.Pair) Type {
	x, y := c.expr(s, e.X), c.expr(s, e.Y)
	switch {
	case x.Kind == Invalid || y.Kind == Invalid:
		return invalid
	case assignable(length, x) && assignable(length, y):
		return point
	}
	return Type{Kind: PairKind, Index: []Type{x, y}}
}

// triple is the type of a place in space; its coordinates are lengths.
func (c *checker) triple(s *scope, e *syntax.Triple) Type {
	for i, x := range []syntax.Expr{e.X, e.Y, e.Z} {
		c.want(s, x, [3]string{"x", "y", "z"}[i]+" of a place in space", length)
	}
	return inSpace
}

// list is the type of a list; its corner clauses want points.
func (c *checker) list(s *scope, e *syntax.List) Type {
	elem := anything
	var edges []*Decl
	at := map[string]diag.Span{}
	wrong, cornered := false, false
	for i := range e.Items {
		it := &e.Items[i]
		t := c.expr(s, it.Value)
		clause := it.Round != nil || it.Chamfer != nil || it.Arc != nil || it.Edge != nil
		cornered = cornered || clause
		if p, ok := strip(it.Value).(*syntax.Pair); ok && clause && t.Kind == PairKind {
			c.pairFits(p, t, "")
			t = invalid
		}
		if clause && !assignable(point, t) {
			if !syntax.MayBePoint(it.Value) { // told when it was read
				c.tells()
				t = invalid
				continue
			}
			c.report("P2031", it.At, fmt.Sprintf("a corner clause stands after a point, this is %s", t.phrase()), "not a point")
			t = invalid
		}
		c.clauses(s, it)
		if it.Edge != nil && it.Edge.Name != "" {
			if old, twice := at[it.Edge.Name]; twice {
				also(c.report("P2002", it.Edge.At, fmt.Sprintf("two edges are named %s", it.Edge.Name), "again here"), old, "first named here")
			} else {
				at[it.Edge.Name] = it.Edge.At
				edges = append(edges, c.states(s, e, it))
			}
		}
		if i == 0 {
			elem = t
			continue
		}
		u, ok := unify(elem, t)
		if !ok && !wrong {
			wrong = true
			d := c.report("P2017", it.At, fmt.Sprintf("a list holds one type: this is %s", t.phrase()), t.String())
			also(d, e.Items[0].At, "the first is "+elem.phrase())
			c.giveUnit(d, it.Value, t, elem)
			c.otherUnit(d, it.Value, t, elem)
		}
		elem = u
	}
	if wrong {
		elem = invalid
	}
	elem = elem.withEdges(Type{})
	t := list(elem)
	if cornered || elem.Kind == PointKind {
		t.edges = noneNamed
		if len(edges) > 0 {
			t.edges = &shapeEdges{all: edges, known: true}
		}
	}
	return t
}

func (c *checker) clauses(s *scope, it *syntax.Item) {
	if it.Round != nil {
		c.want(s, it.Round, "the radius after round", length)
	}
	if it.Chamfer != nil {
		c.want(s, it.Chamfer, "the size after chamfer", length)
	}
	if it.Arc != nil {
		c.want(s, it.Arc, "what follows arc", length, point)
	}
}

func (c *checker) index(s *scope, e *syntax.IndexExpr) Type {
	x := c.expr(s, e.X)
	at := make([]Type, len(e.Index))
	for i := range e.Index {
		at[i] = c.expr(s, e.Index[i])
	}
	switch x.Kind {
	case Invalid, Any:
		return x
	case ListKind:
		if len(at) != 1 {
			d := c.report("P2027", e.At, "a list takes one index", "")
			if len(at) > 1 {
				d.Span = diag.Cover(e.Index[1].Span(), e.Index[len(at)-1].Span())
				d.Label = "one too many"
				fix(d, "leave it out", diag.Edit{Span: diag.Span{Source: e.At.Source, Start: e.Index[0].Span().End, End: d.Span.End}})
			}
			return invalid
		}
		if !c.fits(e.Index[0], at[0], "the index of a list", count) {
			return invalid
		}
		return *x.Elem
	case FamilyKind:
		return c.familyIndex(e, x, at)
	case EdgeKind:
		if c.maybeEdges(e.X) {
			return edge
		}
	}
	d := c.report("P2027", e.At, fmt.Sprintf("only a family or a list has an index, this is %s", x.phrase()), "no index here")
	if n, ok := strip(e.X).(*syntax.Name); ok && c.prog.DeclOf(n) != nil {
		also(d, c.prog.DeclOf(n).At, "declared here, without an index")
	}
	return invalid
}

func (c *checker) familyIndex(e *syntax.IndexExpr, x Type, at []Type) Type {
	if len(at) > len(x.Index) {
		d := c.report("P2027", e.Index[len(x.Index)].Span(), fmt.Sprintf("%d indices are given, the family has %d", len(at), len(x.Index)), "one too many")
		note(d, "it is indexed by "+phrases(x.Index))
		return invalid
	}
	good := true
	for i := range at {
		told := len(c.diags)
		if c.fits(e.Index[i], at[i], "this index", x.Index[i]) {
			continue
		}
		if good = false; len(c.diags) == told {
			continue
		}
		r := c.diags[told]
		switch w := x.Index[i].Kind; {
		case at[i].Kind == CountKind && (w == SideKind || w == CornerKind):
			note(r, fmt.Sprintf("%s is picked by its number from its body's list, as in BODY.%ss[1]", x.Index[i].phrase(), x.Index[i]))
		case at[i].Kind == CountKind && w == EdgeKind:
			note(r, "an edge is picked from its face, by its name or its place, as in FACE.left or FACE.edges[1]")
		case len(x.Index) > 1:
			note(r, fmt.Sprintf("it is indexed by %s, in this order", phrases(x.Index)))
		}
	}
	switch {
	case !good:
		return invalid
	case len(at) == len(x.Index):
		return *x.Elem
	}
	return Type{Kind: FamilyKind, Index: x.Index[len(at):], Elem: x.Elem}
}

func (c *checker) branches(s *scope, e *syntax.If) Type {
	c.condition(s, e.Cond, "the condition after if")
	a, b := c.expr(s, e.Then), c.expr(s, e.Else)
	t, ok := unify(a, b)
	if !ok {
		span := e.At
		if e.Else != nil {
			span = e.Else.Span()
		}
		d := c.report("P2014", span, fmt.Sprintf("the branches differ: %s, else %s", a.phrase(), b.phrase()), b.String())
		if e.Then != nil {
			also(d, e.Then.Span(), "this is "+a.phrase())
		}
		c.giveUnit(d, e.Then, a, b)
		c.giveUnit(d, e.Else, b, a)
	}
	return t
}

// condition wants a flag.
func (c *checker) condition(s *scope, e syntax.Expr, what string) {
	t := c.expr(s, e)
	if !assignable(flag, t) {
		d := c.report("P2015", e.Span(), fmt.Sprintf("%s holds or not; this is %s", what, t.phrase()), "not a flag")
		if n, ok := strip(e).(*syntax.Name); ok && t.quantity() {
			note(d, fmt.Sprintf("compare it with something, as in %s > …", n.Name))
		}
	}
}

func (c *checker) in(s *scope, e *syntax.In) Type {
	x := c.expr(s, e.X)
	if e.Domain == nil {
		return flag
	}
	d := c.domain(s, e.Domain)
	if e.X != nil && !x.silent() && !d.silent() && !assignable(d, x) && !assignable(x, d) {
		r := c.report("P2011", e.X.Span(), fmt.Sprintf("%s is never in a range or list of %s", x.phrase(), d.plural()), x.String())
		also(r, e.Domain.At, "of "+d.plural())
		return invalid
	}
	return flag
}

// domain reads a range, list or family and returns the type of what is in it.
func (c *checker) domain(s *scope, d *syntax.Domain) Type {
	lo := c.expr(s, d.Lo)
	if d.Hi == nil {
		switch {
		case lo.silent():
			return lo
		case lo.Kind == FamilyKind && lo.Elem.Kind == ListKind: // joined
			return *lo.Elem.Elem
		case lo.Kind == ListKind || lo.Kind == FamilyKind:
			return *lo.Elem
		case lo.Kind == EdgeKind && c.maybeEdges(d.Lo):
			return lo
		}
		r := c.report("P2016", d.At, fmt.Sprintf("a range, a list or a family is wanted, this is %s", lo.phrase()), lo.String())
		if b, ok := strip(d.Lo).(*syntax.Binary); ok && b.Op == syntax.OpSub && lo.quantity() {
			note(r, "a range is written LOW..HIGH")
			fix(r, "write `..`", diag.Edit{Span: diag.Span{Source: d.At.Source, Start: b.X.Span().End, End: b.Y.Span().Start}, Text: ".."})
		}
		return invalid
	}
	hi := c.expr(s, d.Hi)
	switch {
	case lo.Kind == Invalid || hi.Kind == Invalid:
		return invalid
	case lo.Kind == Any:
		return hi
	case hi.Kind == Any:
		return lo
	case lo.quantity() && hi.quantity() && lo.Dim == hi.Dim:
		if hi.Kind == Quantity {
			return hi
		}
		return lo
	}
	r := c.report("P2016", d.At, fmt.Sprintf("a range runs between quantities of one kind: this is %s to %s", lo.phrase(), hi.phrase()), "")
	c.giveUnit(r, d.Lo, lo, hi)
	c.giveUnit(r, d.Hi, hi, lo)
	return invalid
}

// strip takes the brackets off an expression.
func strip(e syntax.Expr) syntax.Expr {
	for {
		p, ok := e.(*syntax.Paren)
		if !ok {
			return e
		}
		e = p.X
	}
}
