package rules_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// solved solves the rules of a design of one size; the codes are of what was reported.
func solved(t *testing.T, text string) (*build.Result, []diag.Diagnostic) {
	t.Helper()
	facts := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("bound.perch", text), load.Library(), facts)
	if err != nil {
		t.Fatal(err)
	}
	if len(diags) > 0 {
		t.Fatalf("%s %s", diags[0].Code, diags[0].Summary)
	}
	return build.Size(prog, build.Sizes(prog)[0], facts, nil)
}

// blankOf is a design with a plate of v × w, v being fixed by what is stated.
func blankOf(stated string) string {
	return `design "Plate"
stock steel = sheet(mild_steel, 1mm)
param w: length = 203mm
param v: length in 0mm..4000mm
` + stated + `
panel plate(a: length, b: length) {
  face web on level(0mm) { outline rect(a, b) }
}
part plain of steel = plate(v, w)
`
}

// TestOneMeaningOfACall: rules and what is built go by one binding of arguments, with
// labels, defaults and ranges. The numbers are by hand.
func TestOneMeaningOfACall(t *testing.T) {
	for name, c := range map[string]struct {
		stated string
		v      float64
	}{
		"labels out of order":        {"let l = ceil(step: 64mm, x: w)\nrule v = l", 256},
		"labels of a let":            {"let less(a: length, b: length) = a - b\nrule v = less(b: 3mm, a: w)", 200},
		"a default":                  {"let less(a: length, b: length = 3mm) = a - b\nrule v = less(w)", 200},
		"a table under its label":    {"rule v = read_off(rows: [(100mm, 10mm), (300mm, 210mm)], x: w)", 113},
		"one of a family":            {"let k = 1\nlet spoke[i in 1..3] = w * i / 7\nrule v = spoke[k + 1]", 58},
		"a point":                    {"param t: angle in 0deg..180deg\nrule polar(v, t) = (w, w * 4 / 3)", 203 * 5 / 3.0},
		"a triangle":                 {"rule hypot(y: w, x: v) = 5 * w / 3", 203 * 4 / 3.0},
		"a choice on a param":        {"rule v = (if w > 100mm then w / 2 else w)", 101.5},
		"a choice that is not taken": {"rule v = (if w > 300mm then w / 2 else w)", 203},
		"a choice in a let":          {"let half(x: length) = if x > 100mm and not x > 210mm then x / 2 else x\nrule v = half(w)", 101.5},
		"a choice in a chain":        {"let a = if w < 10mm or w in 200mm..210mm then 2 * w else w\nrule v = (if a = 406mm then a + 4mm else a)", 410},
		"a branch without a value":   {"rule v = (if w > 100mm then w else sqrt((w - 250mm) * 1mm))", 203},
		"solved for the other way":   {"rule w = (if v > 300mm then v - 150mm else v / 2)", 353},
	} {
		r, diags := solved(t, blankOf(c.stated))
		if len(diags) > 0 {
			t.Errorf("%s: %s %s %v", name, diags[0].Code, diags[0].Summary, diags[0].Notes)
			continue
		}
		f := r.Flats[0].Outer.Area() / 203
		if math.Abs(f-c.v) > 1e-6 {
			t.Errorf("%s: the blank is %.6g long, by hand %.6g", name, f, c.v)
		}
	}
}

// TestRangesOfFunctionsHoldInRules: a range that a let declares for its parameter binds
// the rules that call it, only where the call counts.
func TestRangesOfFunctionsHoldInRules(t *testing.T) {
	in := "let half(x: length in 0mm..150mm) = x / 2\n"
	if _, diags := solved(t, blankOf(in+"rule v = half(w)")); len(diags) == 0 || diags[0].Code != "P3003" && diags[0].Code != "P3001" {
		t.Errorf("203mm is outside of 0mm..150mm, told %v", diags)
	} else if !strings.Contains(fmt.Sprint(diags), "0mm..150mm") {
		t.Errorf("the range is not told: %v", diags)
	}
	if _, diags := solved(t, blankOf(in+"rule v = (if w < 150mm then half(w) else w)")); len(diags) > 0 {
		t.Errorf("a call that does not count: %s %s", diags[0].Code, diags[0].Summary)
	}
}

// TestSharedWorkIsDoneOnce: chains that double at every link, as deep as 64, in lets, in
// functions, in conditions and in rules.
func TestSharedWorkIsDoneOnce(t *testing.T) {
	chain := func(link func(n int) string) string {
		var b strings.Builder
		for n := 1; n <= 64; n++ {
			b.WriteString(link(n) + "\n")
		}
		return b.String()
	}
	lets := chain(func(n int) string { return fmt.Sprintf("let a%d = (a%d + a%d) / 2", n, n-1, n-1) })
	functions := chain(func(n int) string {
		return fmt.Sprintf("let f%d(x: length) = (f%d(x) + f%d(x)) / 2", n, n-1, n-1)
	})
	flags := chain(func(n int) string { return fmt.Sprintf("let c%d = c%d and c%d", n, n-1, n-1) })
	for name, text := range map[string]string{
		"lets in a rule":          "let a0 = w / 7\n" + lets + "rule v = a64",
		"lets evaluated":          "let a0 = w / 7\n" + lets + "rule v = 29mm\nrule a64 > 1mm",
		"families in a rule":      "let b0[i in 1..3] = w * i / 7\n" + chain(func(n int) string { return fmt.Sprintf("let b%d[i in 1..3] = (b%d[i] + b%d[i]) / 2", n, n-1, n-1) }) + "rule v = b64[1]",
		"functions in a rule":     "let f0(x: length) = x / 7\n" + functions + "rule v = f64(w)",
		"functions of a constant": "let f0(x: length) = x / 7\n" + functions + "rule v = f64(203mm)",
		"functions evaluated":     "let f0(x: length) = x / 7\n" + functions + "rule v = 29mm\nrule f64(area(plain) / w) > 1mm",
		"conditions":              "let c0 = area(plain) > 1mm^2\n" + flags + "rule v = 29mm\nrule c64",
		"choices":                 "let a0 = w / 7\n" + chain(func(n int) string { return fmt.Sprintf("let a%d = if a%d > 1mm then a%d else a%d", n, n-1, n-1, n-1) }) + "rule v = a64",
	} {
		r, diags := solved(t, blankOf(text))
		if len(diags) > 0 {
			t.Errorf("%s: %s %s %v", name, diags[0].Code, diags[0].Summary, diags[0].Notes)
			continue
		}
		if got := r.Flats[0].Outer.Area() / 203; math.Abs(got-29) > 1e-6 {
			t.Errorf("%s: the blank is %.6g long, by hand 29", name, got)
		}
	}
}

// TestNothingFixedHasItsRecord: a rule that fixes nothing is told, and the record says so
// as it does elsewhere.
func TestNothingFixedHasItsRecord(t *testing.T) {
	for _, rule := range []string{"rule v = v", "rule v - v = w - w"} {
		r, diags := solved(t, blankOf(rule))
		if r.Status != "undetermined" || len(diags) != 1 || diags[0].Code != "P3002" {
			t.Errorf("%s: status %q, %v", rule, r.Status, diags)
		}
	}
}
