package builtin

import (
	"fmt"
	"math"

	"perch/lang/quantity"
	"perch/lang/value"
	"perch/parts/measure"
	"perch/solver"
	"perch/solver/elementary"
)

// reckoning are the functions of quantities.
var reckoning = []Function{
	trig("sin", "sine of an angle", "sin(30deg)", elementary.Sin, solver.Sin),
	trig("cos", "cosine of an angle", "cos(60deg)", elementary.Cos, solver.Cos),
	trig("tan", "tangent of an angle", "tan(45deg)", elementary.Tan, solver.Tan),
	arcTrig("asin", "angle with this sine", "asin(0.5)", elementary.Asin, solver.Asin),
	arcTrig("acos", "angle with this cosine", "acos(0.5)", elementary.Acos, solver.Acos),
	arcTrig("atan", "angle with this tangent", "atan(0.5)", elementary.Atan, solver.Atan),
	{Name: "sqrt", Params: []Parameter{quantityNeed("x", "")}, Follows: squareRoot, Doc: "square root; of an area, a length",
		Example: "sqrt(wide * deep)",
		Value: func(a *Args) value.Value {
			x := a.Number("x")
			return a.finite(math.Sqrt(x.V), a.root(x.Dim))
		},
		Rule: func(a *Args) value.Value {
			x := a.Symbol("x")
			return Symbol{solver.Sqrt(x.X), a.root(x.Dim)}
		}},
	{Name: "hypot", Params: []Parameter{quantityNeed("x", ""), quantityNeed("y", "square to x")}, Follows: asNumbers,
		Doc: "the long side of a triangle with a right angle", Example: "hypot(wide, deep)",
		Value: func(a *Args) value.Value {
			x, y := a.Number("x"), a.Number("y")
			return a.finite(elementary.Hypot(x.V, y.V), x.Dim)
		},
		Rule: func(a *Args) value.Value {
			x, y := a.Symbol("x"), a.Symbol("y")
			return Symbol{solver.Sqrt(solver.Sum(solver.Product(x.X, x.X), solver.Product(y.X, y.X))), x.Dim}
		}},
	{Name: "polar", Params: []Parameter{need("r", "from the origin", length), need("angle", "anticlockwise from the right", angle)}, Result: point,
		Doc: "the point at a distance and an angle", Example: "polar(wide, 30deg)",
		Value: func(a *Args) value.Value {
			r, t := a.Length("r"), a.Number("angle").V
			return value.PointAt(r*elementary.Cos(t), r*elementary.Sin(t))
		},
		Rule: func(a *Args) value.Value {
			r, t := a.Symbol("r"), a.Symbol("angle").X
			return Place{Symbol{solver.Product(r.X, solver.Cos(t)), r.Dim}, Symbol{solver.Product(r.X, solver.Sin(t)), r.Dim}}
		}},
	plain("exp", "e to this power", "exp(1.5)", number, elementary.Exp, solver.Exp),
	plain("ln", "natural logarithm", "ln(2)", number, elementary.Log, solver.Ln),
	{Name: "abs", Params: []Parameter{quantityNeed("x", "")}, Follows: asArguments, Doc: "the quantity without its sign",
		Example: "abs(deep - wide)",
		Value: func(a *Args) value.Value {
			x := a.Number("x")
			x.V = math.Abs(x.V)
			return x
		},
		Rule: func(a *Args) value.Value {
			x := a.Symbol("x")
			return Symbol{solver.Abs(x.X), x.Dim}
		}},
	extreme("min", "the smallest", "min(wide, 2 * deep)", func(a, b float64) bool { return a < b }, solver.Min),
	extreme("max", "the largest", "max(wide, deep, 90mm)", func(a, b float64) bool { return a > b }, solver.Max),
	stepped("round", "to the nearest step", "round(wide, 25mm)", math.Round, solver.Round),
	stepped("floor", "down to a step", "floor(wide / 40mm)", math.Floor, solver.Floor),
	stepped("ceil", "up to a step", "ceil(step: 64mm, x: wide)", math.Ceil, solver.Ceil),
	{Name: "even", Params: []Parameter{need("n", "", count)}, Result: flag, Doc: "whether a count divides by two",
		Example: "even(4)", Value: func(a *Args) value.Value { return a.Count("n")%2 == 0 }},
	{Name: "odd", Params: []Parameter{need("n", "", count)}, Result: flag, Doc: "whether a count does not divide by two",
		Example: "odd(3)", Value: func(a *Args) value.Value { return a.Count("n")%2 != 0 }},
	{Name: "read_off", Follows: ofTable, Doc: "the value of a table at x, straight between its rows", Params: []Parameter{
		quantityNeed("x", "what to read off for"), need("rows", "pairs (x, value), x rising", list(anything))},
		Example: "read_off(80kg, [(60kg, 50mm), (110kg, 40mm)])",
		Value:   func(a *Args) value.Value { return a.readOff(a.Number("x")) },
		Rule: func(a *Args) value.Value {
			x := a.Symbol("x")
			xs, ys, d := a.table(x.Dim)
			return Symbol{solver.Lookup(x.X, xs, ys), d}
		}},
}

// plain is a function of a plain number.
func plain(name, doc, example string, gives Type, f func(float64) float64, rule func(solver.Expr) solver.Expr) Function {
	return Function{Name: name, Params: []Parameter{need("x", "", number)}, Result: gives, Doc: doc, Example: example,
		Value: func(a *Args) value.Value { return a.finite(f(a.Number("x").V), gives.Dim) },
		Rule:  func(a *Args) value.Value { return Symbol{rule(a.Symbol("x").X), gives.Dim} }}
}

func arcTrig(name, doc, example string, f func(float64) float64, rule func(solver.Expr) solver.Expr) Function {
	return plain(name, doc, example, angle, f, rule)
}

func trig(name, doc, example string, f func(float64) float64, rule func(solver.Expr) solver.Expr) Function {
	t := plain(name, doc, example, number, f, rule)
	t.Params = []Parameter{need("x", "", angle)}
	return t
}

// extreme picks the first of its arguments that none is better than.
func extreme(name, doc, example string, better func(a, b float64) bool, rule func(x, y solver.Expr) solver.Expr) Function {
	return Function{Name: name, Params: []Parameter{quantityNeed("x", "").many()}, Follows: asArguments, Doc: doc, Example: example,
		Value: func(a *Args) value.Value {
			all := a.numbers()
			best := all[0]
			for _, n := range all[1:] {
				if better(n.V, best.V) {
					best = n
				}
			}
			return best
		},
		Rule: func(a *Args) value.Value {
			out := a.symbol(a.Given[0].V)
			for _, g := range a.Given[1:] {
				out.X = rule(out.X, a.symbol(g.V).X)
			}
			return out
		}}
}

// numbers are the arguments of a function that takes any number of quantities, those of
// lists among them.
func (a *Args) numbers() []value.Number {
	var all []value.Number
	for i := range a.Given {
		value.EachItem(a.Given[i].V, func(v value.Value) {
			n, ok := v.(value.Number)
			if !ok {
				value.Wrong(a.Given[i].At, v, "number")
			}
			all = append(all, n)
		})
	}
	if len(all) == 0 {
		value.FailUnmeasurable(a.At, fmt.Sprintf("%s of nothing is no number", a.Function.Name), "the list is empty at this size")
	}
	return all
}

// stepped takes a quantity to a multiple of a step.
func stepped(name, doc, example string, whole func(float64) float64, rule func(x, step solver.Expr) solver.Expr) Function {
	step := may("step", "1", "what the result is a multiple of; only a plain number can go without")
	step.Same = true
	return Function{Name: name, Follows: steps, Doc: doc, Params: []Parameter{quantityNeed("x", ""), step}, Example: example,
		Value: func(a *Args) value.Value {
			x, by := a.Number("x"), a.Number("step")
			if by.Dim != x.Dim || !(by.V > 0) {
				value.Fail("P2012", a.Place("step"), fmt.Sprintf("the step is a positive %s", x.Dim))
			}
			// a value that is a step already, up to rounding, stays where it is
			q := x.V / by.V
			if r := math.Round(q); math.Abs(q-r) < 1e-9*max(1, math.Abs(q)) {
				q = r
			}
			x.V = whole(q) * by.V
			x.Whole = x.Dim == quantity.None && x.V == math.Trunc(x.V)
			return x
		},
		Rule: func(a *Args) value.Value {
			x := a.Symbol("x")
			return Symbol{rule(x.X, a.Symbol("step").X), x.Dim}
		}}
}

func (a *Args) root(d quantity.Dim) quantity.Dim {
	r, ok := d.Root(2)
	if !ok {
		a.Fail("P2012", fmt.Sprintf("a %s has no square root", d))
	}
	return r
}

// finite is a number, or the reason why x has none.
func (a *Args) finite(v float64, d quantity.Dim) value.Value {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		value.FailNoNumber(a.At, measure.Say("%s of %s is not a number", a.Function.Name, value.Shown(a.Number("x"))))
	}
	return value.Number{V: v, Dim: d}
}

// table are the rows to look something of a dimension up in.
func (a *Args) table(of quantity.Dim) (xs, ys []float64, d quantity.Dim) {
	l, ok := a.Value("rows").(*value.List)
	if !ok || len(l.Items) == 0 {
		value.FailSaid("P2010", a.Place("rows"), measure.Say("a table is a list of pairs, as in %s",
			measure.Either{Millimetres: "[(60kg, 50mm), (110kg, 40mm)]", Inches: "[(130lb, 2in), (240lb, 1-1/2in)]"}))
	}
	for i, it := range l.Items {
		p, ok := it.V.(value.Pair)
		if i == 0 {
			d = p.Y.Dim
		}
		if !ok || p.X.Dim != of || p.Y.Dim != d {
			value.Fail("P2012", it.Span(), fmt.Sprintf("each pair gives a value for a %s", of))
		}
		if i > 0 && !(p.X.V > xs[i-1]) {
			value.FailNoNumber(it.Span(), measure.Plain("the table does not rise"))
		}
		xs, ys = append(xs, p.X.V), append(ys, p.Y.V)
	}
	return xs, ys, d
}

// readOff is the value of a table at x, straight between its rows.
func (a *Args) readOff(x value.Number) value.Value {
	xs, ys, d := a.table(x.Dim)
	for i := range xs {
		if x.V == xs[i] {
			return value.Number{V: ys[i], Dim: d}
		}
		if i > 0 && x.V > xs[i-1] && x.V < xs[i] {
			part := (x.V - xs[i-1]) / (xs[i] - xs[i-1])
			return value.Number{V: ys[i-1] + float64(part*(ys[i]-ys[i-1])), Dim: d}
		}
	}
	var more []any
	if n := len(xs); n > 0 {
		end := func(v float64) value.Shown { return value.Shown(value.Number{V: v, Dim: x.Dim}) }
		more = append(more, measure.Say("its rows run from %s to %s: give it more, or hold the value within them", end(xs[0]), end(xs[n-1])))
	}
	value.FailNoNumber(a.Place("x"), measure.Say("%s lies outside the table", value.Shown(x)), more...)
	return nil
}
