package builtin

import (
	"math"
	"testing"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/solver"
	"perch/solver/expr"
)

func mm(v float64) value.Number { return value.Number{V: v, Dim: quantity.Length} }
func kg(v float64) value.Number { return value.Number{V: v, Dim: quantity.Mass} }
func no(v float64) value.Number { return value.Number{V: v} }

// TestWhatGoesTogether: arithmetic of points and numbers, by coordinates; what does not go
// together does so neither in evaluation nor in rules.
func TestWhatGoesTogether(t *testing.T) {
	p, q := value.Pair{X: mm(3), Y: mm(4)}, value.Pair{X: mm(10), Y: mm(20)}
	at := func(x, y float64) value.Value { return value.Pair{X: mm(x), Y: mm(y)} }
	for _, c := range []struct {
		x    value.Value
		op   syntax.Op
		y    value.Value
		want value.Value // nil where they don't go together
	}{
		{mm(3), syntax.OpAdd, mm(4), mm(7)}, {p, syntax.OpAdd, q, at(13, 24)}, {q, syntax.OpSub, p, at(7, 16)}, {p, syntax.OpAdd, mm(1), nil}, {mm(1), syntax.OpAdd, p, nil},
		{p, syntax.OpMul, no(2), at(6, 8)}, {no(2), syntax.OpMul, p, at(6, 8)}, {p, syntax.OpMul, q, nil}, {q, syntax.OpDiv, no(2), at(5, 10)}, {no(2), syntax.OpDiv, q, nil}, {p, syntax.OpDiv, q, nil},
		{p, syntax.OpPow, no(2), nil}, {no(2), syntax.OpPow, p, nil}, {no(2), syntax.OpPow, no(3), no(8)}, {p, syntax.OpNeg, nil, at(-3, -4)}, {mm(5), syntax.OpNeg, nil, mm(-5)},
		{mm(5), syntax.OpMeet, mm(5), nil}, {mm(5), syntax.OpLt, mm(6), nil}, {true, syntax.OpAnd, true, nil}, {"a", syntax.OpAdd, "b", nil}, {"a", syntax.OpNeg, nil, nil},
		{true, syntax.OpMul, no(2), nil}, {no(2), syntax.OpMul, true, nil}, {p, syntax.OpAdd, "b", nil}, {"a", syntax.OpAdd, p, nil},
	} {
		o := OperatorOf(c.op)
		got, ok := o.Of(c.x, c.y, diag.Span{}, diag.Span{})
		if ok != (c.want != nil) || got != c.want {
			t.Errorf("%v %s %v = %v, %v; by hand %v", c.x, o.Sign, c.y, got, ok, c.want)
		}
		rule := o.Symbols(c.x, c.y)
		if (rule != nil) != (c.want != nil) {
			t.Errorf("%v %s %v is %v in a rule; by hand %v", c.x, o.Sign, c.y, rule, c.want)
			continue
		}
		switch want := c.want.(type) {
		case value.Number:
			holdSymbol(t, rule.(Symbol), want)
		case value.Pair:
			holdSymbol(t, rule.(Place).X, want.X)
			holdSymbol(t, rule.(Place).Y, want.Y)
		}
	}
}

func holdSymbol(t *testing.T, got Symbol, want value.Number) {
	t.Helper()
	tape := expr.Compile(got.X, expr.Const(0), 0)
	if n := tape.Eval(nil, make([]float64, tape.Size())); n != want.V || got.Dim != want.Dim {
		t.Errorf("a rule has %v of %v, want %v", n, got.Dim, want)
	}
}

// TestWhatDoesNotMeet: kinds of quantities that do not meet, and numbers that come to none.
func TestWhatDoesNotMeet(t *testing.T) {
	for _, c := range []struct {
		x    value.Value
		op   syntax.Op
		y    value.Value
		code string
	}{
		{mm(1), syntax.OpAdd, kg(1), "P2012"}, {mm(1), syntax.OpSub, no(1), "P2012"}, {mm(2), syntax.OpPow, no(0.5), "P2012"}, {no(2), syntax.OpPow, mm(1), "P2012"}, {mm(2), syntax.OpPow, mm(2), "P2012"},
		{mm(1), syntax.OpDiv, no(0), "P2063"}, {no(1e300), syntax.OpMul, no(1e300), "P2063"}, {no(-1), syntax.OpPow, no(0.5), "P2063"}, {mm(2), syntax.OpPow, no(3), ""}, {mm(1), syntax.OpDiv, kg(2), ""},
		{value.Pair{X: mm(1), Y: mm(2)}, syntax.OpAdd, value.Pair{X: mm(1), Y: kg(2)}, "P2012"}, {value.Pair{X: mm(1), Y: mm(2)}, syntax.OpSub, value.Pair{X: kg(1), Y: mm(2)}, "P2012"},
	} {
		o := OperatorOf(c.op)
		said := unwound(func() { o.Of(c.x, c.y, diag.Span{Start: 1, End: 9}, diag.Span{Start: 4, End: 5}) })
		if said != c.code {
			t.Errorf("%v %s %v: %q, want %q", c.x, o.Sign, c.y, said, c.code)
		}
		if rule := o.Symbols(c.x, c.y); (rule == nil) != (c.code == "P2012") {
			t.Errorf("%v %s %v is %v in a rule", c.x, o.Sign, c.y, rule)
		}
	}
	less := OperatorOf(syntax.OpLt)
	if said := unwound(func() { less.Compare(mm(1), kg(2), diag.Span{}) }); said != "P2012" {
		t.Errorf("a length is compared with a mass: %q", said)
	}
	// a power that a rule's name is raised by has no dimension that is known before
	name := Symbol{X: solver.New().Var("n", 0, 9, false).Expr()}
	pow := OperatorOf(syntax.OpPow)
	if pow.Symbols(mm(2), name) != nil || pow.Symbols(no(2), name) == nil || pow.Symbols(mm(2), no(2)).(Symbol).Dim != quantity.Area {
		t.Error("lengths are raised to what is not known")
	}
}

// unwound is the code of the mistake that do unwinds with, "" for none.
func unwound(do func()) (code string) {
	defer func() {
		if p := recover(); p != nil {
			code = p.(value.Mistake).D.Code
		}
	}()
	do()
	return ""
}

// TestArguments holds what rows read of their arguments to the ends of what is sound.
func TestArguments(t *testing.T) {
	table := func(rows ...value.Value) value.Value { return value.ListOf(rows...) }
	row := func(x, y value.Number) value.Value { return value.Pair{X: x, Y: y} }
	good := table(row(kg(60), mm(50)), row(kg(110), mm(40)))
	for _, c := range []struct {
		name string
		args []value.Value
		want any // a code, or the number
	}{
		{"read_off", []value.Value{kg(85), good}, 45.0}, {"read_off", []value.Value{kg(60), good}, 50.0}, {"read_off", []value.Value{kg(110), good}, 40.0},
		{"read_off", []value.Value{kg(59.9), good}, "P2063"}, {"read_off", []value.Value{kg(110.1), good}, "P2063"},
		{"read_off", []value.Value{kg(85), table()}, "P2010"}, {"read_off", []value.Value{kg(85), mm(3)}, "P2010"}, {"read_off", []value.Value{kg(60), table(row(kg(60), mm(50)))}, 50.0},
		{"read_off", []value.Value{kg(60), table(mm(3))}, "P2012"}, {"read_off", []value.Value{mm(60), good}, "P2012"},
		{"read_off", []value.Value{kg(60), table(row(kg(60), mm(50)), row(kg(70), kg(50)))}, "P2012"}, {"read_off", []value.Value{kg(60), table(row(kg(60), mm(50)), row(mm(70), mm(50)))}, "P2012"},
		{"read_off", []value.Value{kg(60), table(row(kg(60), mm(50)), row(kg(60), mm(40)))}, "P2063"}, {"read_off", []value.Value{kg(60), table(row(kg(70), mm(50)), row(kg(60), mm(40)))}, "P2063"},
		{"min", []value.Value{table()}, "P2064"}, {"max", []value.Value{table(mm(3), mm(5), mm(4))}, 5.0}, {"min", []value.Value{mm(7), table(mm(3), mm(5))}, 3.0}, {"min", []value.Value{true}, "P2010"},
		{"sqrt", []value.Value{mm(4)}, "P2012"}, {"sqrt", []value.Value{value.Number{V: 9, Dim: quantity.Area}}, 3.0}, {"sqrt", []value.Value{no(-1)}, "P2063"},
		{"even", []value.Value{no(2.5)}, "P2010"}, {"even", []value.Value{mm(2)}, "P2010"}, {"even", []value.Value{no(2e9)}, "P2010"}, {"odd", []value.Value{no(-3)}, true}, {"even", []value.Value{no(-3)}, false},
		{"round", []value.Value{mm(4.2), kg(1)}, "P2012"}, {"round", []value.Value{mm(4.2), mm(0)}, "P2012"}, {"round", []value.Value{mm(4.2), mm(4)}, 4.0},
	} {
		f := Forms(c.name)[0]
		var given []Arg
		for i, v := range c.args {
			given = append(given, Arg{V: v, At: place(10 * (i + 1))})
		}
		v, said := call(f, nil, given)
		switch want := c.want.(type) {
		case string:
			if said == nil || said.Code != want {
				t.Errorf("%s%v is %v, %v; want %s", c.name, c.args, v, said, want)
			}
		case bool:
			if v != want {
				t.Errorf("%s%v is %v, want %v", c.name, c.args, v, want)
			}
		case float64:
			if n, ok := v.(value.Number); !ok || math.Abs(n.V-want) > 1e-12 {
				t.Errorf("%s%v is %v, %v; want %v", c.name, c.args, v, said, want)
			}
		}
	}
	// lengths, and points of them, are no other quantity
	for _, v := range []value.Value{kg(3), no(3)} {
		for _, name := range []string{"rect", "circle", "level"} {
			f := Forms(name)[0]
			given := []Arg{{V: v, At: place(10)}, {V: mm(3), At: place(20)}}
			if _, said := call(f, nil, given[:len(f.Params)]); said == nil || said.Code != "P2012" || said.Span.Start != 10 {
				t.Errorf("%s of %v: %v", name, v, said)
			}
		}
	}
	// what is left out has no place of its own: the call is told
	step := Forms("round")[0]
	if _, said := call(step, nil, []Arg{{V: mm(3), At: place(10)}, {V: step.Params[1].Value}}); said == nil || said.Span.Start != 1 || said.Span.End != 99 {
		t.Errorf("a step left out is told at %v", said)
	}
	if said := unwound(func() { (&Args{}).symbol("a word") }); said != "P2010" {
		t.Errorf("text is a number of a rule: %q", said)
	}
	for _, rows := range []Type{anything, {}, list(anything), list(Type{})} { // a table with a mistake that was told
		quiet := &Typing{Common: mass, Given: []Argument{{Type: mass}, {Type: rows}}}
		if got := ofTable.Type(quiet); !got.Silent() {
			t.Errorf("a value of %v is %v", rows.Kind, got)
		}
	}
	if s, ok := AsSymbol(mm(3)); !ok || s.Dim != quantity.Length {
		t.Errorf("3 mm is %v in a rule", s)
	}
	if p, ok := AsPlace(value.Pair{X: mm(3), Y: kg(4)}); !ok || p.X.Dim != quantity.Length || p.Y.Dim != quantity.Mass {
		t.Errorf("a pair is %v in a rule", p)
	}
	if _, ok := AsPlace(mm(3)); ok {
		t.Error("a length is a place")
	}
}
