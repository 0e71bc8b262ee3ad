package builtin_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/load"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/shop"
	"perch/solver"
	"perch/solver/expr"
	"perch/solver/interval"
)

// drawn is an argument of a call: a param of a type in a range, or a text as it stands.
type drawn struct {
	param  string
	lo, hi float64
	text   string
}

// called has a line or more for every row of the table with a rule: its arguments, by
// parameter, in the table's order.
var called = []struct {
	name string
	args []drawn
}{
	{"sin", []drawn{{param: "angle", lo: -9, hi: 9}}},
	{"cos", []drawn{{param: "angle", lo: -9, hi: 9}}},
	{"tan", []drawn{{param: "angle", lo: -9, hi: 9}}},
	{"asin", []drawn{{param: "number", lo: -1.2, hi: 1.2}}},
	{"acos", []drawn{{param: "number", lo: -1.2, hi: 1.2}}},
	{"atan", []drawn{{param: "number", lo: -9, hi: 9}}},
	{"sqrt", []drawn{{param: "area", lo: -9, hi: 90}}},
	{"hypot", []drawn{{param: "length", lo: -9, hi: 9}, {param: "length", lo: -9, hi: 9}}},
	{"polar", []drawn{{param: "length", lo: -9, hi: 9}, {param: "angle", lo: -9, hi: 9}}},
	{"exp", []drawn{{param: "number", lo: -9, hi: 9}}},
	{"ln", []drawn{{param: "number", lo: -1, hi: 9}}},
	{"abs", []drawn{{param: "length", lo: -9, hi: 9}}},
	{"min", []drawn{{param: "length", lo: -9, hi: 9}, {param: "length", lo: -9, hi: 9}, {param: "length", lo: -9, hi: 9}}},
	{"max", []drawn{{param: "mass", lo: -9, hi: 9}, {param: "mass", lo: -9, hi: 9}}},
	{"round", []drawn{{param: "length", lo: -90, hi: 90}, {param: "length", lo: -0.5, hi: 9}}},
	{"round", []drawn{{param: "number", lo: -90, hi: 90}}},
	{"floor", []drawn{{param: "angle", lo: -90, hi: 90}, {param: "angle", lo: -0.5, hi: 9}}},
	{"floor", []drawn{{param: "number", lo: -90, hi: 90}}},
	{"ceil", []drawn{{param: "length", lo: -90, hi: 90}, {param: "length", lo: -0.5, hi: 9}}},
	{"ceil", []drawn{{param: "number", lo: -90, hi: 90}}},
	{"read_off", []drawn{{param: "mass", lo: 50, hi: 120}, {text: "[(60kg, 50mm), (80kg, 45mm), (110kg, 40mm)]"}}},
}

// writings are all ways to write a call: the first so many arguments by position as may
// be, the others by label in every order.
func writings(f *builtin.Function, args []string) []string {
	var out []string
	names := make([]string, len(args))
	for i := range args {
		names[i] = f.Params[min(i, len(f.Params)-1)].Name
	}
	if f.Params[len(f.Params)-1].Many {
		return permuted(args, func(a []string) string { return f.Name + "(" + strings.Join(a, ", ") + ")" })
	}
	for k := 0; k <= len(args); k++ {
		if k > 0 && f.Params[k-1].Labelled {
			break
		}
		labelled := make([]string, 0, len(args)-k)
		for i := k; i < len(args); i++ {
			labelled = append(labelled, names[i]+": "+args[i])
		}
		out = append(out, permuted(labelled, func(a []string) string {
			return f.Name + "(" + strings.Join(append(append([]string{}, args[:k]...), a...), ", ") + ")"
		})...)
	}
	return out
}

func permuted(items []string, write func([]string) string) []string {
	if len(items) == 0 {
		return []string{write(nil)}
	}
	var out []string
	for i := range items {
		rest := append(append([]string{}, items[:i]...), items[i+1:]...)
		out = append(out, permuted(rest, func(a []string) string { return write(append([]string{items[i]}, a...)) })...)
	}
	return out
}

// written is a design whose params are the arguments of calls, and the calls as rules have
// them and as they are evaluated.
type written struct {
	prog   *check.Program
	facts  *shop.Shop
	params []*check.Decl
	lets   []syntax.Expr
	forms  [][]solver.Expr // of each let: one, or the two of a point
}

func write(t *testing.T, types []string, calls []string) *written {
	t.Helper()
	var b strings.Builder
	b.WriteString("design \"Row\" in millimetres\n")
	for i, p := range types {
		fmt.Fprintf(&b, "param p%d: %s\n", i, p)
	}
	for i, c := range calls {
		fmt.Fprintf(&b, "let l%d = %s\nrule l%d = %s\n", i, c, i, c)
	}
	w := &written{facts: shop.Default()}
	prog, diags, err := load.Source(diag.NewSource("row.perch", b.String()), load.Library(), w.facts)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range diags {
		t.Fatalf("%s %s in\n%s", d.Code, d.Summary, b.String())
	}
	w.prog = prog
	sys, faults := rules.Read(prog, w.facts, nil, nil)
	if sys == nil || len(sys.Later) > 0 {
		t.Fatalf("no arithmetic: %v in\n%s", faults, b.String())
	}
	w.params = sys.Params
	each := len(sys.Constraints) / len(calls)
	for _, d := range prog.Root.Order {
		if l, ok := d.Node.(*syntax.Let); ok {
			w.lets = append(w.lets, l.Value)
		}
	}
	for i := range calls {
		var form []solver.Expr
		for k := range each {
			form = append(form, sys.Constraints[i*each+k].Left)
		}
		w.forms = append(w.forms, form)
	}
	return w
}

// evaluated is a call at values of the params: one number, or the two of a point; NaN
// where it has no value.
func (w *written) evaluated(k int, at []float64) []float64 {
	ev := eval.New(w.prog, w.facts, nil)
	for i, d := range w.params {
		ev.Know(d, value.Number{V: at[i], Dim: rules.ParamDim(d)})
	}
	ev.Settle()
	v, ok := ev.Quietly(w.lets[k], &eval.Env{})
	if !ok {
		return []float64{math.NaN(), math.NaN()}[:len(w.forms[k])]
	}
	if p, point := v.(value.Pair); point {
		return []float64{p.X.V, p.Y.V}
	}
	return []float64{v.(value.Number).V}
}

// TestEveryRowHasOneMeaning: for every row with a rule, evaluation and the rule give the
// same at 1,000 points, however the call is written; the rule's partial derivatives are
// those of differences, and its enclosures hold what lies in them.
func TestEveryRowHasOneMeaning(t *testing.T) {
	tried := map[string]bool{}
	for n, c := range called {
		tried[c.name] = true
		t.Run(c.name, func(t *testing.T) {
			rnd := rand.New(rand.NewPCG(uint64(n), 3))
			var types, args []string
			for _, a := range c.args {
				if a.param == "" {
					args = append(args, a.text)
					continue
				}
				args = append(args, fmt.Sprintf("p%d", len(types)))
				types = append(types, a.param)
			}
			forms := builtin.Forms(c.name)
			calls := writings(forms[0], args)
			w := write(t, types, calls)
			at := make([]float64, len(types))
			defined := 0
			for range 1000 {
				k := 0
				for _, a := range c.args {
					if a.param != "" {
						at[k] = a.lo + float64(rnd.Float64()*(a.hi-a.lo))
						k++
					}
				}
				for k := range calls {
					want := w.evaluated(k, at)
					for i, x := range w.forms[k] {
						if got := valueOf(x, at); !close(got, want[i]) {
							t.Fatalf("%s at %v: the rule says %v, evaluation %v", calls[k], at, got, want[i])
						}
						if !math.IsNaN(want[i]) {
							defined++
							derivatives(t, calls[k], x, at)
							encloses(t, calls[k], x, at, rnd)
						}
					}
				}
			}
			if defined < 500*len(calls) {
				t.Errorf("only %d of %d points told anything", defined, 1000*len(calls))
			}
		})
	}
	for _, f := range builtin.Functions {
		if f.Rule != nil && !tried[f.Name] {
			t.Errorf("no line for %s", f.Name)
		}
	}
}

func valueOf(x solver.Expr, at []float64) float64 {
	t := expr.Compile(x, expr.Const(0), len(at))
	return t.Eval(at, make([]float64, t.Size()))
}

func close(a, b float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-9*max(1, math.Abs(b))
}

// derivatives holds partial derivatives to differences where these agree on both sides.
func derivatives(t *testing.T, call string, x solver.Expr, at []float64) {
	tape := expr.Compile(x, expr.Const(0), len(at))
	n := tape.Size()
	buf, adj, grad := make([]float64, n), make([]float64, n), make([]float64, len(at))
	v := tape.Eval(at, buf)
	tape.Gradient(buf, adj, grad)
	for i := range at {
		const h = 1e-5
		near := append([]float64{}, at...)
		near[i] = at[i] - h
		left := (v - valueOf(x, near)) / h
		near[i] = at[i] + h
		right := (valueOf(x, near) - v) / h
		if math.Abs(left)+math.Abs(right) < 1e3 && math.Abs(left-right) < 1e-4 { // no kink or jump here
			if d := (left + right) / 2; math.Abs(d-grad[i]) > 1e-4*max(1, math.Abs(d)) {
				t.Fatalf("%s at %v: by %d %v, difference %v", call, at, i, grad[i], d)
			}
		}
	}
}

// encloses holds the enclosure over a box around a point to the point.
func encloses(t *testing.T, call string, x solver.Expr, at []float64, rnd *rand.Rand) {
	tape := expr.Compile(x, expr.Const(0), len(at))
	box := make([]interval.Interval, len(at))
	for i, v := range at {
		box[i] = interval.Interval{Lo: v - float64(rnd.Float64()), Hi: v + float64(rnd.Float64())}
	}
	in := tape.EncloseBox(box, make([]expr.Dual, tape.Size()))
	if v := valueOf(x, at); !in.Has(v) {
		t.Fatalf("%s over %v: %v is not in %v", call, box, v, in)
	}
}

// TestEveryOperatorHasOneMeaning: likewise of operators.
func TestEveryOperatorHasOneMeaning(t *testing.T) {
	calls := map[string][]string{
		"p0 + p1": {"length", "length"}, "p0 - p1": {"angle", "angle"}, "p0 * p1": {"length", "mass"}, "p0 / p1": {"length", "number"},
		"p0 ^ 2": {"length"}, "p0 ^ -3": {"mass"}, "p0 ^ p1": {"number", "number"}, "-p0": {"area"},
		"(p0, p1) + (p1, 3mm)": {"length", "length"}, "(p0, p1) - (p1, 3mm)": {"length", "length"}, "(p0, p1) * p2": {"length", "length", "number"},
		"p2 * (p0, p1)": {"length", "length", "number"}, "(p0, p1) / p2": {"length", "length", "number"}, "-(p0, p1)": {"length", "length"},
	}
	for _, o := range builtin.Operators {
		shown := false
		for c := range calls {
			shown = shown || strings.Contains(c, o.Sign)
		}
		if o.Rule != nil && !shown {
			t.Errorf("no call of %s", o.Sign)
		}
	}
	for c, types := range calls {
		w := write(t, types, []string{c})
		rnd := rand.New(rand.NewPCG(9, 1))
		for range 1000 {
			at := make([]float64, len(types))
			for i := range at {
				at[i] = float64(rnd.Float64()*18) - 9
			}
			for i, want := range w.evaluated(0, at) {
				if got := valueOf(w.forms[0][i], at); !close(got, want) {
					t.Fatalf("%s at %v: the rule says %v, evaluation %v", c, at, got, want)
				}
			}
		}
	}
}

// TestDrawnConditions: `if` in a rule goes the way that evaluation goes, at 1,000 points.
func TestDrawnConditions(t *testing.T) {
	calls := []string{}
	for _, c := range []string{"p0 < p1", "p0 <= p1", "p0 > p1", "p0 >= p1", "p0 = p1", "p0 != p1", "p0 in 0mm..p1", "not p0 in -3mm..p1",
		"p0 < p1 and p1 > 0mm", "p0 < p1 or not p1 > 2mm", "not (p0 < p1 or p1 < 0mm) and p0 < 8mm"} {
		calls = append(calls, "(if "+c+" then p0 + p1 else p0 - 2 * p1)", "(if "+c+" then (p0, p1) else (p1, 3mm))")
	}
	for _, c := range calls {
		w := write(t, []string{"length", "length"}, []string{c})
		rnd := rand.New(rand.NewPCG(5, 8))
		for range 1000 {
			at := []float64{math.Round(rnd.Float64()*20) - 10 + 0.25, math.Round(rnd.Float64()*20) - 10 + 0.25}
			if rnd.IntN(2) == 0 {
				at[0] += rnd.Float64()
			}
			for i, want := range w.evaluated(0, at) {
				if got := valueOf(w.forms[0][i], at); !close(got, want) {
					t.Fatalf("%s at %v: the rule says %v, evaluation %v", c, at, got, want)
				}
			}
		}
	}
}
