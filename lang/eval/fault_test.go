package eval_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/eval"
	"perch/lang/load"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/lang/value"
	"perch/parts/join"
	"perch/parts/shop"
)

// TestReports: a mistake is told once for one place, warnings for each thing that they say.
func TestReports(t *testing.T) {
	src := diag.NewSource("it.perch", "abc")
	at := func(n int32) diag.Span { return diag.Span{Source: src, Start: n, End: n + 1} }
	var r eval.Reports
	for _, d := range []diag.Diagnostic{
		{Code: "P6001", Severity: diag.Warning, Span: at(0), Summary: "one"},
		{Code: "P6001", Severity: diag.Warning, Span: at(0), Summary: "one"},
		{Code: "P6001", Severity: diag.Warning, Span: at(0), Summary: "two"},
		{Code: "P6001", Severity: diag.Warning, Span: at(1), Summary: "one"},
	} {
		r.Report(d)
	}
	if len(r.Faults()) != 3 || r.Broken() {
		t.Errorf("%d warnings, broken %v", len(r.Faults()), r.Broken())
	}
	for i := range 3 {
		if ok := r.Try(func() { value.Fail("P4001", at(2), fmt.Sprint(i)) }); ok {
			t.Error("a mistake is none")
		}
	}
	if r.Try(func() { value.Fail("P4002", at(2), "another") }) || len(r.Faults()) != 5 || !r.Broken() {
		t.Errorf("%d faults, broken %v", len(r.Faults()), r.Broken())
	}
	if !r.Try(func() {}) || len(r.Faults()) != 5 {
		t.Error("nothing is a mistake")
	}
	defer func() {
		if recover() != "not ours" {
			t.Error("another panic is swallowed")
		}
	}()
	r.Try(func() { panic("not ours") })
}

// TestCauses: whoever decides by a fault goes by its cause.
func TestCauses(t *testing.T) {
	const head = `design "It" in millimetres
param wide: length in 0mm..900mm = 40mm
stock tin = sheet(mild_steel, 1mm)
panel plate(w: length, z: length) { face base on level(z) { outline rect(w, 40mm) } }
part low of tin = plate(wide, 0mm)
part top of tin = plate(8mm, 1mm)
`
	ev, _ := settled(t, head+"join both = low.base to top.base by rivet(4mm)\nsize it\n")
	if ev.Make() != nil || len(ev.Faults()) != 1 {
		t.Fatalf("%v", ev.Faults())
	}
	// the contact is 8 mm wide; a rivet of 4 mm keeps two diameters from either edge
	s, is := ev.Faults()[0].Cause.(eval.Shortfall)
	if !is || s.Short != join.NoRoom || math.Abs(s.Got-8) > 0.01 || s.Need != 16 || math.Abs(s.By()-0.5) > 1e-3 || s.Of.Name.Name != "both" {
		t.Errorf("%+v", ev.Faults()[0])
	}
	facts := shop.Default()
	p, _, err := load.Source(diag.NewSource("it.perch", head+"let heavy = mass()\nlet odd = 1mm / 0\nsize it\n"), load.Library(), facts)
	if err != nil {
		t.Fatal(err)
	}
	none := eval.New(p, facts, nil)
	let := func(k int) syntax.Expr { return p.Root.File.Stmts[k].(*syntax.Let).Value }
	if _, faults, ok := none.Number(let(5)); ok || len(faults) != 1 || faults[0].Code != "P3008" {
		t.Errorf("what nothing is known of weighs something: %v", faults)
	}
	if len(none.Faults()) > 0 {
		t.Errorf("asking for a number reports %v", none.Faults())
	}
	m := none.Mistake(let(6), &eval.Env{})
	if _, is := m.Cause.(value.NoNumber); !is || m.D.Code != "P2063" {
		t.Errorf("%+v", m)
	}
	if m := none.Mistake(p.Root.File.Stmts[0].(*syntax.Param).Decl.Default, &eval.Env{}); m != nil {
		t.Errorf("%+v", m)
	}
	sys, _ := rules.Read(p, facts, rules.FindSize(p, "it"), nil)
	sys.Give(none, []float64{40})
	if n, _, ok := none.Number(let(5)); !ok || n.V < 0.0150 || n.V > 0.0151 { // 1920 mm³ of 7850 kg/m³
		t.Errorf("it weighs %v", n.V)
	}
}

// TestCondition reads conditions as trees: a for both, o for either, and in each the text
// of its leaves, with ! where it must not hold.
func TestCondition(t *testing.T) {
	for cond, want := range map[string]string{
		"x < y":                          "x<y",
		"not x < y":                      "x>=y",
		"not (x <= y or y >= 2)":         "a(x>y, y<2)",
		"not (x > y and not y = 2)":      "o(x<=y, y=2)",
		"not x != y":                     "x=y",
		"x in 1..2 and not x in 3..4":    "a(x in 1..2, !x in 3..4)",
		"low":                            "x<3",
		"not low or up":                  "o(x>=3, o(x>1, flat))",
		"not up":                         "a(x<=1, !flat)",
		"(x = 1 or y = 1) and (y > 2)":   "a(o(x=1, y=1), y>2)",
		"(if flat then x else y) > 2":    "(if flat then x else y)>2",
		"x = 1 and y = 1 and (x = 2)":    "a(a(x=1, y=1), x=2)",
		"not (if flat then low else up)": "!if flat then low else up",
	} {
		facts := shop.Default()
		p, diags, err := load.Source(diag.NewSource("it.perch", `design "It"
param x: number in 0..9 = 1
param y: number in 0..9 = 1
param flat: flag = true
let low = x < 3
let up = x > 1 or flat
rule `+cond+"\n"), load.Library(), facts)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(cond, diags)
		}
		c := eval.ConditionOf(p, p.Root.File.Stmts[5].(*syntax.Rule).Cond)
		if got := drawn(c); got != want {
			t.Errorf("%s: %s, want %s", cond, got, want)
		}
		all, leaves := 0, 0
		c.All(func(*eval.Condition) { all++ })
		c.Leaves(func(*eval.Condition) { leaves++ })
		if both := strings.Count(outside(want), "a("); c.Kind == eval.Both && all < both+1 || leaves != strings.Count(want, ", ")+1 || len(c.Eithers()) != strings.Count(want, "o(") {
			t.Errorf("%s: %d parts that must hold, %d leaves, %d choices", cond, all, leaves, len(c.Eithers()))
		}
	}
}

// outside is a tree without what stands in its choices.
func outside(tree string) string {
	head, _, _ := strings.Cut(tree, "o(")
	return head
}

func drawn(c *eval.Condition) string {
	text := func(x syntax.Node) string { return x.Span().Text() }
	not := ""
	if c.Not {
		not = "!"
	}
	switch c.Kind {
	case eval.Both:
		return "a(" + drawn(c.Parts[0]) + ", " + drawn(c.Parts[1]) + ")"
	case eval.Either:
		return "o(" + drawn(c.Parts[0]) + ", " + drawn(c.Parts[1]) + ")"
	case eval.Relation:
		return text(c.X) + c.Op.String() + text(c.Y)
	case eval.Range:
		return not + text(c.X) + " in " + text(c.In.Lo) + ".." + text(c.In.Hi)
	}
	return not + text(c.At)
}
