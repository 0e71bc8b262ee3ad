package eval

import (
	"fmt"
	"math"
	"slices"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// arguments are what a call passes, by the names of the function's parameters.
type arguments struct {
	ev   *evaluator
	call *syntax.Call
	env  *env

	params []string
	expr   []syntax.Expr // by parameter; nil where none is given
}

// arguments matches a call with the parameters' names: first positions, then
// labels.
func (ev *evaluator) arguments(x *syntax.Call, e *env, params []string) arguments {
	a := arguments{ev, x, e, params, make([]syntax.Expr, len(params))}
	for i, arg := range x.Args {
		switch {
		case arg.Label != nil:
			k := slices.Index(params, arg.Label.Name)
			if k < 0 {
				ev.fail("P2021", arg.Label.At, fmt.Sprintf("no parameter is called %s", arg.Label.Name))
			}
			a.expr[k] = arg.Value
		case i < len(params):
			a.expr[i] = arg.Value
		default:
			ev.fail("P2022", arg.Value.Span(), "too many arguments")
		}
	}
	return a
}

// given is the parameter's expression, nil where none is given.
func (a arguments) given(name string) syntax.Expr {
	if k := slices.Index(a.params, name); k >= 0 {
		return a.expr[k]
	}
	return nil
}

func (a arguments) has(name string) bool { return a.given(name) != nil }

func (a arguments) need(name string) syntax.Expr {
	x := a.given(name)
	if x == nil {
		a.ev.fail("P2023", a.call.At, fmt.Sprintf("%s is not given", name))
	}
	return x
}

func (a arguments) value(name string) value.Value { return a.ev.eval(a.need(name), a.env) }

func (a arguments) length(name string) float64 { return a.ev.lengthOf(a.need(name), a.env) }

func (a arguments) lengthOr(name string, or float64) float64 {
	if !a.has(name) {
		return or
	}
	return a.length(name)
}

func (a arguments) numberOr(name string, or float64) float64 {
	if !a.has(name) {
		return or
	}
	return a.ev.number(a.given(name), a.env).V
}

func (a arguments) count(name string) int {
	x := a.need(name)
	return a.ev.count(a.ev.eval(x, a.env), x)
}

func (a arguments) wordOr(name string, or value.Word, allowed ...value.Word) value.Word {
	if !a.has(name) {
		return or
	}
	if n, ok := a.given(name).(*syntax.Name); ok { // the word itself, whatever else has its name
		for _, w := range allowed {
			if n.Name == string(w) {
				return w
			}
		}
	}
	a.ev.fail("P2010", a.given(name).Span(), fmt.Sprintf("%s is one of %v", name, allowed))
	return ""
}

func (a arguments) positive(name string) float64 {
	v := a.length(name)
	if !(v > 0) {
		a.ev.fail("P4003", a.given(name).Span(), fmt.Sprintf("%s of %s must be more than 0mm, it is %s", name, calledName(a.call), value.Millimetres(v)))
	}
	return v
}

// calledName is the name of what a call calls.
func calledName(x *syntax.Call) string {
	switch f := x.Fun.(type) {
	case *syntax.Name:
		return f.Name
	case *syntax.Member:
		return f.Name.Name
	}
	return "the call"
}

// call works out f(…) and x.f(…).
func (ev *evaluator) call(x *syntax.Call, e *env) value.Value {
	if m, ok := x.Fun.(*syntax.Member); ok {
		return ev.method(ev.eval(m.X, e), m, x, e)
	}
	if n, ok := x.Fun.(*syntax.Name); ok && ev.prog.DeclOf(n) == nil && builtin.IsFunction(n.Name) {
		return ev.function(n.Name, x, e)
	}
	switch f := ev.eval(x.Fun, e).(type) {
	case function:
		return ev.apply(f, x, e)
	case panelRef:
		ev.fail("P2024", x.At, fmt.Sprintf("%s is a panel: it is made by a part", f.def.Name.Name))
	default:
		ev.fail("P2010", x.Fun.Span(), value.Article(value.KindOf(f))+" cannot be called")
	}
	return nil
}

// apply calls a let with parameters.
func (ev *evaluator) apply(f function, x *syntax.Call, e *env) value.Value {
	a := ev.arguments(x, e, names(f.decl.Indices))
	in := f.env.child()
	ev.bind(f.decl.Indices, a, in)
	ev.depth++
	defer func() { ev.depth-- }()
	if ev.depth > maxDepth {
		ev.fail("P2061", x.At, "functions call each other too deep")
	}
	return ev.eval(f.let.Value, in)
}

// names lists what declarations are called.
func names(ds []*check.Decl) []string {
	out := make([]string, len(ds))
	for i, d := range ds {
		out[i] = d.Name
	}
	return out
}

// bind gives the declared parameters their arguments or defaults in a new
// scope, and holds each to its range.
func (ev *evaluator) bind(decls []*check.Decl, a arguments, in *env) {
	for _, p := range decls {
		d := p.Param
		x, from := a.given(d.Name.Name), a.env
		if x == nil {
			x, from = d.Default, in
		}
		if x == nil {
			ev.fail("P2023", a.call.At, fmt.Sprintf("%s is not given", d.Name.Name), diag.Related{Span: d.At, Message: "declared here"})
		}
		in.later(p, d.At, func() value.Value {
			v := ev.eval(x, from)
			ev.within(v, d, x, in)
			return v
		})
	}
	for _, p := range decls { // mistakes belong to the call, not to the first use
		in.find(p).value(ev, p.Param.At)
	}
}

// within holds an argument to its parameter's range.
func (ev *evaluator) within(v value.Value, d *syntax.Decl, x syntax.Expr, in *env) {
	n, ok := v.(value.Number)
	if d.Domain == nil || d.Domain.Hi == nil || !ok {
		return
	}
	lo, hi := ev.number(d.Domain.Lo, in), ev.number(d.Domain.Hi, in)
	slack := equalWithin * max(1, math.Abs(n.V))
	if n.V < lo.V-slack || n.V > hi.V+slack || math.IsNaN(n.V) {
		more := []any{diag.Related{Span: d.At, Message: fmt.Sprintf("declared in %s..%s", value.Show(lo), value.Show(hi))}}
		ev.fail("P3010", x.Span(), fmt.Sprintf("%s is %s, outside its range", d.Name.Name, value.Show(n)), append(more, ev.sources(x)...)...)
	}
}

// sources tells of every parameter of the design that an expression names what
// it is at this size, and points to the statement that says so.
func (ev *evaluator) sources(x syntax.Expr) []any {
	var out []any
	seen := map[*check.Decl]bool{}
	syntax.Inspect(x, func(n syntax.Node) bool {
		name, ok := n.(*syntax.Name)
		if !ok {
			return true
		}
		d := ev.prog.DeclOf(name)
		if d == nil || d.Param == nil || seen[d] || ev.top[d] == nil {
			return true
		}
		seen[d] = true
		v, ok := ev.top[d].v.(value.Number)
		if !ok {
			return true
		}
		says := diag.Related{Span: d.At, Message: fmt.Sprintf("%s is %s", d.Name, value.Show(v))}
		if ev.size != nil {
			for i := range ev.size.States {
				if st := &ev.size.States[i]; st.Name.Name == d.Name {
					says = diag.Related{Span: st.At, Message: fmt.Sprintf("size %s makes %s %s", ev.size.Name.Name, d.Name, value.Show(v))}
				}
			}
		}
		out = append(out, says)
		return true
	})
	return out
}

// function works out a function of the language.
func (ev *evaluator) function(name string, x *syntax.Call, e *env) value.Value {
	if v, ok := ev.mathFunction(name, x, e); ok {
		return v
	}
	if v, ok := ev.shapeFunction(name, x, e); ok {
		return v
	}
	if v, ok := ev.specFunction(name, x, e); ok {
		return v
	}
	switch name {
	case "frustum":
		return ev.frustum(x, e)
	case "box":
		return ev.box(x, e)
	case "level":
		return value.Placed{Frame: solid.LevelFrame(ev.arguments(x, e, []string{"z"}).length("z"))}
	case "upright":
		a := ev.arguments(x, e, []string{"y", "x"})
		if a.has("x") {
			return value.Placed{Frame: solid.SidewaysFrame(a.length("x"))}
		}
		return value.Placed{Frame: solid.UprightFrame(a.length("y"))}
	case "count":
		n := 0
		value.EachItem(ev.arguments(x, e, []string{"of"}).value("of"), func(value.Value) { n++ })
		return value.Number{V: float64(n), Whole: true}
	}
	if v, ok := ev.measure(name, x, e); ok {
		return v
	}
	unmeasurable(x.At, fmt.Sprintf("%s cannot be worked out here", name))
	return nil
}

func (ev *evaluator) bodyOr(b *solid.Body, err error, at diag.Span) value.Value {
	if err != nil {
		ev.fail("P4004", at, "this body cannot stand", err.Error())
	}
	return b
}

func (ev *evaluator) frustum(x *syntax.Call, e *env) value.Value {
	a := ev.arguments(x, e, []string{"sides", "top", "bottom", "height"})
	h := a.positive("height")
	top, bottom := a.value("top"), a.value("bottom")
	if _, ok := top.(value.Pair); ok || isPair(bottom) {
		if a.has("sides") && a.count("sides") != 4 {
			ev.fail("P4004", x.At, "only a body of four sides takes pairs (x, y)")
		}
		t, b := ev.across(top, a.need("top")), ev.across(bottom, a.need("bottom"))
		body, err := solid.RectFrustum(t.X, t.Y, b.X, b.Y, h)
		return ev.bodyOr(body, err, x.At)
	}
	n := 4
	if a.has("sides") {
		n = a.count("sides")
	}
	body, err := solid.Frustum(n, a.length("top"), a.length("bottom"), h)
	return ev.bodyOr(body, err, x.At)
}

// box takes (x, y, height) or a labelled size (x, y) and height.
func (ev *evaluator) box(x *syntax.Call, e *env) value.Value {
	a := ev.arguments(x, e, []string{"x", "y", "height", "size"})
	var p plane.Point
	if a.has("size") {
		p = value.PointOf(a.value("size"), a.need("size"))
	} else {
		p = plane.Point{X: a.length("x"), Y: a.length("y")}
	}
	body, err := solid.RectFrustum(p.X, p.Y, p.X, p.Y, a.positive("height"))
	return ev.bodyOr(body, err, x.At)
}

func isPair(v value.Value) bool { _, ok := v.(value.Pair); return ok }

// across takes a pair (x, y) or one length for both.
func (ev *evaluator) across(v value.Value, at syntax.Node) plane.Point {
	if n, ok := v.(value.Number); ok {
		return plane.Point{X: n.V, Y: n.V}
	}
	return value.PointOf(v, at)
}

// stock makes a stock of sheet(…).
func (ev *evaluator) stock(s *syntax.Stock, e *env) value.Value {
	v := ev.eval(s.Value, e)
	st, ok := v.(value.Stock)
	if !ok {
		ev.wrong(s.Value, v, "stock")
	}
	named := *st.Stock
	named.Name = s.Name.Name
	return value.Stock{Stock: &named}
}

func (ev *evaluator) sheet(x *syntax.Call, e *env) value.Stock {
	a := ev.arguments(x, e, []string{"material", "thickness", "radius", "k", "method", "size"})
	m, ok := a.value("material").(value.Material)
	if !ok {
		ev.wrong(a.need("material"), a.value("material"), "material")
	}
	facts, _ := ev.shop.Material(string(m))
	st := &shop.Stock{Material: string(m), Density: facts.Density, K: a.numberOr("k", 0)}
	switch t := a.value("thickness").(type) {
	case value.Gauge:
		mm, err := ev.shop.GaugeThickness(string(m), t.N)
		if err != nil {
			ev.fail("P6002", a.need("thickness").Span(), "the shop does not know this gauge", err.Error())
		}
		st.Thickness, st.Gauge = mm, fmt.Sprintf("%dga", t.N)
	default:
		st.Thickness = a.positive("thickness")
	}
	if st.Thickness < 0.2 || st.Thickness > 25 {
		ev.fail("P4003", a.need("thickness").Span(), "perch bends sheet from 0.2 mm to 25 mm thick")
	}
	st.Radius = a.lengthOr("radius", st.Thickness)
	if st.Radius < 0 || st.Radius > 500 {
		ev.fail("P4003", a.need("radius").Span(), "an inside radius lies between 0 mm and 500 mm")
	}
	if a.has("k") && !(st.K > 0 && st.K <= 1) {
		ev.fail("P4003", a.need("k").Span(), "the neutral axis lies inside the sheet: k is between 0 and 1")
	}
	if a.has("method") {
		st.Method = string(a.wordOr("method", "", methodWords()...))
	}
	if a.has("size") {
		p := value.PointOf(a.value("size"), a.need("size"))
		if !(p.X > 0 && p.Y > 0 && p.X < 1e5 && p.Y < 1e5) {
			ev.fail("P4003", a.need("size").Span(), "a sheet's size is two lengths, more than nothing and under 100 m")
		}
		st.SheetWidth, st.SheetLength = min(p.X, p.Y), max(p.X, p.Y)
	}
	return value.Stock{Stock: st}
}

// methodWords are the bend methods that a stock may name.
func methodWords() []value.Word {
	var out []value.Word
	for _, m := range bend.Methods {
		out = append(out, value.Word(m))
	}
	return out
}

// mathFunction works out the functions of numbers.
func (ev *evaluator) mathFunction(name string, x *syntax.Call, e *env) (value.Value, bool) {
	one := func() value.Number {
		if len(x.Args) != 1 {
			ev.fail("P2022", x.At, fmt.Sprintf("%s takes one argument", name))
		}
		return ev.number(x.Args[0].Value, e)
	}
	finite := func(v float64, d quantity.Dim, from value.Number) (value.Value, bool) {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			value.FailNoNumber(x.At, fmt.Sprintf("%s of %s is not a number", name, value.Show(from)))
		}
		return value.Number{V: v, Dim: d}, true
	}
	angle := func(f func(float64) float64) (value.Value, bool) {
		n := one()
		if n.Dim != quantity.Angle {
			ev.fail("P2012", x.Args[0].Value.Span(), fmt.Sprintf("%s takes an angle, this is a %s", name, n.Dim))
		}
		return finite(f(n.V), quantity.None, n)
	}
	plain := func(f func(float64) float64, d quantity.Dim) (value.Value, bool) {
		n := one()
		if n.Dim != quantity.None {
			ev.fail("P2012", x.Args[0].Value.Span(), fmt.Sprintf("%s takes a plain number, this is a %s", name, n.Dim))
		}
		return finite(f(n.V), d, n)
	}
	switch name {
	case "sin":
		return angle(elementary.Sin)
	case "cos":
		return angle(elementary.Cos)
	case "tan":
		return angle(elementary.Tan)
	case "asin":
		return plain(elementary.Asin, quantity.Angle)
	case "acos":
		return plain(elementary.Acos, quantity.Angle)
	case "atan":
		return plain(elementary.Atan, quantity.Angle)
	case "exp":
		return plain(elementary.Exp, quantity.None)
	case "ln":
		return plain(elementary.Log, quantity.None)
	case "sqrt":
		n := one()
		d, ok := n.Dim.Root(2)
		if !ok {
			ev.fail("P2012", x.At, fmt.Sprintf("a %s has no square root", n.Dim))
		}
		return finite(math.Sqrt(n.V), d, n)
	case "abs":
		n := one()
		n.V = math.Abs(n.V)
		return n, true
	case "even", "odd":
		n := ev.count(one(), x)
		return (n%2 == 0) == (name == "even"), true
	case "min", "max":
		return ev.extreme(name, x, e), true
	case "round", "floor", "ceil":
		return ev.stepped(name, x, e), true
	case "lookup":
		return ev.lookup(x, e), true
	}
	return nil, false
}

func (ev *evaluator) extreme(name string, x *syntax.Call, e *env) value.Value {
	var best value.Number
	for i, arg := range x.Args {
		n := ev.number(arg.Value, e)
		if i == 0 {
			best = n
			continue
		}
		if n.Dim != best.Dim {
			ev.fail("P2012", arg.Value.Span(), fmt.Sprintf("%s and %s cannot be compared", best.Dim, n.Dim))
		}
		if (name == "min") == (n.V < best.V) {
			best = n
		}
	}
	return best
}

func (ev *evaluator) stepped(name string, x *syntax.Call, e *env) value.Value {
	a := ev.arguments(x, e, []string{"x", "step"})
	n := ev.number(a.need("x"), e)
	step := 1.0
	if a.has("step") {
		s := ev.number(a.need("step"), e)
		if s.Dim != n.Dim || !(s.V > 0) {
			ev.fail("P2012", a.need("step").Span(), fmt.Sprintf("the step is a positive %s", n.Dim))
		}
		step = s.V
	}
	// a value that is a step already, up to rounding, stays where it is
	q := n.V / step
	if r := math.Round(q); math.Abs(q-r) < 1e-9*max(1, math.Abs(q)) {
		q = r
	}
	switch name {
	case "floor":
		q = math.Floor(q)
	case "ceil":
		q = math.Ceil(q)
	default:
		q = math.Round(q)
	}
	n.V = q * step
	n.Whole = n.Dim == quantity.None && n.V == math.Trunc(n.V)
	return n
}

func (ev *evaluator) lookup(x *syntax.Call, e *env) value.Value {
	a := ev.arguments(x, e, []string{"x", "table"})
	n := ev.number(a.need("x"), e)
	t, ok := a.value("table").(*value.List)
	if !ok || len(t.Items) == 0 {
		ev.fail("P2010", a.need("table").Span(), "a table is a list of pairs, as in [(60kg, 50mm), (110kg, 40mm)]")
	}
	var last value.Pair
	for i, it := range t.Items {
		p, ok := it.V.(value.Pair)
		if !ok || p.X.Dim != n.Dim || p.Y.Dim != t.Items[0].V.(value.Pair).Y.Dim {
			ev.fail("P2012", it.Span(), fmt.Sprintf("each pair gives a value for a %s", n.Dim))
		}
		if i > 0 && !(p.X.V > last.X.V) {
			value.FailNoNumber(it.Span(), "the table does not rise")
		}
		if n.V == p.X.V {
			return p.Y
		}
		if i > 0 && n.V > last.X.V && n.V < p.X.V {
			f := (n.V - last.X.V) / (p.X.V - last.X.V)
			return value.Number{V: last.Y.V + f*(p.Y.V-last.Y.V), Dim: p.Y.Dim}
		}
		last = p
	}
	value.FailNoNumber(a.need("x").Span(), fmt.Sprintf("%s lies outside the table", value.Show(n)))
	return nil
}
