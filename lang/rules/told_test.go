package rules_test

import (
	"fmt"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/shop"
)

// read reads the rules of a size of a text that checks.
func read(t *testing.T, text, size string, settings ...rules.Setting) (*rules.System, string) {
	t.Helper()
	facts := shop.Default()
	p, diags, err := load.Source(diag.NewSource("it.perch", text), load.Library(), facts)
	if err != nil || diag.HasErrors(diags) {
		t.Fatalf("%s\n%v %v", text, err, diags)
	}
	sys, faults := rules.Read(p, facts, rules.FindSize(p, size), settings)
	var told []diag.Diagnostic
	for _, f := range faults {
		told = append(told, f.Diagnostic)
	}
	return sys, plainly(told)
}

// plainly is what is told: of each the code, the words, and the notes, with the text that
// each place covers.
func plainly(diags []diag.Diagnostic) string {
	var out []string
	for _, d := range diags {
		line := fmt.Sprintf("%s %s [%s]", d.Code, d.Summary, rules.OneLine(d.Span.Text()))
		for _, r := range d.Related {
			line += fmt.Sprintf(" | %s [%s]", r.Message, rules.OneLine(r.Span.Text()))
		}
		for _, n := range d.Notes {
			line += " / " + n
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}

// judged solves a size and is what is told of it.
func judged(t *testing.T, text, size string, settings ...rules.Setting) string {
	t.Helper()
	sys, told := read(t, text, size, settings...)
	if sys == nil {
		return told
	}
	if sys.Judge(sys.Solver.Solve()) {
		return "solved"
	}
	var diags []diag.Diagnostic
	for _, f := range sys.Faults() {
		diags = append(diags, f.Diagnostic)
	}
	return plainly(diags)
}

// set is a setting as it is written on a command line.
func set(t *testing.T, text string) rules.Setting {
	t.Helper()
	f, diags := syntax.Parse(diag.NewSource("--set", "size it: "+text))
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	return rules.Setting{State: f.Stmts[0].(*syntax.Size).States[0]}
}

const head = "design \"It\"\n"

// TestJudged wants what can't be solved told with what clashes, what would do instead, and
// where; each case was reckoned by hand.
func TestJudged(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"none", `param a: length in 0mm..100mm
rule a + 0mm >= 120mm
size it`, "P3001 a + 0mm is at most 100mm while a stays within 0mm..100mm [rule a + 0mm >= 120mm] | a stays within this range [0mm..100mm]"},
		{"ranges", `param a: length in 0mm..100mm
param b: length in 0mm..50mm
rule a + b >= 200mm "room"
size it`, "P3001 a + b is at most 150mm while a stays within 0mm..100mm and b stays within 0mm..50mm [rule a + b >= 200mm \"room\"] | a stays within this range [0mm..100mm] | b stays within this range [0mm..50mm]"},
		{"limit", `param a: length in 0mm..100mm
param b: length in 0mm..500mm
rule b = 2 * a
size it: b = 240mm`, "P3001 b can be at most 200mm while a stays within 0mm..100mm [b = 240mm] | must hold [rule b = 2 * a] | a stays within this range [0mm..100mm]"},
		{"strict", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
rule 2 * a < b
size it: a = 20mm, b = 40mm`, "P3001 a has to be less than 20mm [a = 20mm] | stated by the size [b = 40mm] | must hold [rule 2 * a < b] / or b has to be more than 40mm"},
		{"default", `param a: length in 0mm..100mm = 30mm
param b: length in 0mm..500mm
rule b = 2 * a
size it: b = 100mm`, "P3001 these cannot all hold [b = 100mm] | must hold [rule b = 2 * a] | the default holds unless a size states the name [30mm] / with all else as it is, they would hold with b = 60mm, or a = 50mm / a default holds as a stated value does; to let it go, state `a free` in the size / by the other statements, the rule's left side is 100mm and its right side 60mm"},
		{"outside", `param a: length in 0mm..100mm
size it: a = 2 * 60mm`, "P3010 a is 120mm, outside its range [a = 2 * 60mm] | its range [0mm..100mm]"},
		{"count", `param n: count in 1..9
rule 2 * n = 5
size it`, "P3001 n is a whole number, and would have to be 2.5 [rule 2 * n = 5] | n is a whole number of this range [1..9]"},
		{"count of a length", `param n: count in 1..9
param a: length in 0mm..100mm
rule a = 3mm * n
size it: a = 10.2mm`, "P3001 n is a whole number, and would have to be 3.4 [a = 10.2mm] | must hold [rule a = 3mm * n] | n is a whole number of this range [1..9]"},
		{"two", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
rule a = 10mm
rule b = 20mm
size it: a = 11mm, b = 22mm`, "P3001 these cannot all hold [a = 11mm] | must hold [rule a = 10mm] / with all else as it is, they would hold with a = 10mm / by the other statements, the rule's left side is 11mm and its right side 10mm\nP3001 these cannot all hold [b = 22mm] | must hold [rule b = 20mm] / with all else as it is, they would hold with b = 20mm / by the other statements, the rule's left side is 22mm and its right side 20mm"},
		{"abouts", `param a: length in 0mm..100mm about 10mm
param b: length in 0mm..100mm about 20mm
rule a + b = 50mm
size it`, "P3005 `about` values compete: not all can be had, and none is told to yield [10mm] | b about 20mm [20mm] | at this size [size it] / state one of the names in the size, or drop one `about`"},
		{"several", `param tag: text = "x"
param a: length in -100mm..100mm
rule a * a = 100mm * 1mm
size it`, "P3003 2 values would do for a, and nothing chooses [a] | at this size [size it] / possible: a = -10mm / possible: a = 10mm / to choose, state one of these names, narrow its range, or say which value you are after: a about -10mm"},
		{"open", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
param c: length in 0mm..100mm
rule a + b = c
size it: c = 50mm`, "P3002 nothing fixes a and b [a] | at this size [size it: c = 50mm] / it is enough to state a, or b"},
		{"one open", `param a: length in 0mm..100mm
size it`, "P3002 nothing fixes a [a] | at this size [size it] / state a, give it a default, or write a rule for it"},
		{"equal sides", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
rule 2 * a = b + 3mm
size it: a = 10mm, b = 20mm`, "P3001 these cannot all hold [a = 10mm] | stated by the size [b = 20mm] | must hold [rule 2 * a = b + 3mm] / with all else as it is, they would hold with a = 11.5mm, or b = 17mm / by the other statements, the rule's left side is 20mm and its right side 23mm"},
		{"range of names", `param a: length in 0mm..100mm
param b: length in 0mm..a
size it: a = 10mm, b = 20mm`, "P3001 a can be at least 20mm [a = 10mm] | stated by the size [b = 20mm] | the range [0mm..a] / or b can be at most 10mm"},
		{"of the command line", `param a: length in 0mm..100mm = 30mm
param b: length in 0mm..500mm
rule b = 2 * a
size it`, "P3001 these cannot all hold [b = 100mm] | must hold [rule b = 2 * a] | the default holds unless a size states the name [30mm] / with all else as it is, they would hold with b = 60mm, or a = 50mm / a default holds as a stated value does; to let it go, --set 'a free' / by the other statements, the rule's left side is 100mm and its right side 60mm"},
		{"a strict end", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
rule 35mm < 2 * b - a
size it: a = 70mm, b = 5mm`, "P3001 these cannot all hold [b = 5mm] | must hold [rule 35mm < 2 * b - a] | a stays within this range [0mm..100mm] / with all else as it is, they would hold with b more than 52.5mm"},
		{"sound", `param a: length in 0mm..100mm
rule a = 30mm and a <= 40mm
size it`, "solved"},
	} {
		var settings []rules.Setting
		if c.name == "of the command line" {
			settings = append(settings, set(t, "b = 100mm"))
		}
		if got := judged(t, head+c.text+"\n", "it", settings...); got != c.want {
			t.Errorf("%s: it says\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
}

// TestGuards: a rule with an if binds where that holds; where it asks for what is made the
// rule is looked at later.
func TestGuards(t *testing.T) {
	const text = head + `param n: count in 1..9
param a: length in 0mm..100mm about 60mm
stock tin = sheet(mild_steel, 1mm)
panel plate(w: length) { face base on level(0mm) { outline rect(w, 100mm) } }
part one of tin = plate(a)
rule a = 10mm if n > 4
rule a = 3 * n * 1mm if n <= 4 and n > 1
rule a <= 50mm if 1 > 2
rule a >= 0mm if mass() > 1kg
size it: n = 7
size low like it: n = 3
size one like it: n = 1
`
	for size, want := range map[string]float64{"it": 10, "low": 9, "one": 60} {
		sys, told := read(t, text, size)
		if sys == nil {
			t.Fatal(told)
		}
		res := sys.Solver.Solve()
		if !sys.Judge(res) || !near(res.Values[1], want) || len(sys.Later) != 1 {
			t.Errorf("%s: a is %v, want %v; %d rules are looked at later", size, res.Values[1], want, len(sys.Later))
		}
	}
}
