package rules_test

import (
	"fmt"
	"strings"
	"testing"
)

// TestMendsOffered: what the fixes of what can't be solved write, and where.
func TestMendsOffered(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"a stated value", "param a: length in 0mm..100mm\nparam b: length in 0mm..500mm\nrule b = 2 * a\nsize it: a = 30mm, b = 100mm", "P3001 write 50mm [30mm to 50mm]"},
		{"a limit", "param a: length in 0mm..100mm\nparam b: length in 0mm..500mm\nrule b = 2 * a\nsize it: b = 240mm", "P3001 write 200mm [240mm to 200mm]"},
		{"a value that is reckoned", "param a: length in 0mm..100mm\nparam b: length in 0mm..500mm\nrule b = 2 * a\nsize it: b = 2 * 120mm", "P3001"},
		{"a default", "param a: length in 0mm..100mm = 30mm\nparam b: length in 0mm..500mm\nrule b = 2 * a\nsize it: b = 100mm", "P3001 write 60mm [100mm to 60mm]"},
		{"abouts of defaults", "param a: length in 0mm..100mm about 10mm\nparam b: length in 0mm..100mm about 20mm\nrule a + b = 50mm\nsize it", "P3005 leave the `about` of b out [ about 20mm to ]"},
		{"abouts of a size", "param a: length in 0mm..100mm\nparam b: length in 0mm..100mm\nrule a + b = 50mm\nsize it: a about 10mm, b about 20mm", "P3005 write b free [ about 20mm to  free]"},
		{"several", "param a: length in -100mm..100mm\nrule a * a = 100mm^2 / 100\nsize it", "P3003 write about -10mm behind it [ to  about -10mm]"},
		{"several without a range", "param a: number\nrule a * a = 4\nsize it", "P3003 write about -2 behind it [ to  about -2]"},
		{"a third", "param a: length in 0mm..100mm\nparam b: length in 0mm..500mm\nrule 3 * a = b\nsize it: a = 5mm, b = 17mm", "P3001 write 5.666666666667mm [5mm to 5.666666666667mm]"},
		{"a strict end", "param a: length in 0mm..100mm\nparam b: length in 0mm..100mm\nrule 35mm < 2 * b - a\nsize it: a = 70mm, b = 5mm", "P3001"},
		{"a count", "param n: count in 1..9\nparam a: length in 0mm..100mm\nrule a = 3mm * n\nsize it: a = 10.2mm", "P3001"},
	} {
		sys, told := read(t, head+c.text+"\n", "it")
		if sys == nil {
			t.Errorf("%s: %s", c.name, told)
			continue
		}
		var out []string
		if !sys.Judge(sys.Solver.Solve()) {
			for _, f := range sys.Faults() {
				line := f.Code
				if f.Fix != nil {
					line += " " + f.Fix.Message
					for _, e := range f.Fix.Edits {
						line += fmt.Sprintf(" [%s to %s]", e.Span.Text(), e.Text)
					}
				}
				out = append(out, line)
			}
		}
		if got := strings.Join(out, "; "); got != c.want {
			t.Errorf("%s:\n got  %q\n want %q", c.name, got, c.want)
		}
	}
}

// TestParamsThatAreNoNumbers: texts among the params have no variable, and are passed over
// where values are recorded; one that can't be read leaves the whole unread.
func TestParamsThatAreNoNumbers(t *testing.T) {
	sys, told := read(t, head+"param tag: text = \"x\"\nparam a: length = 3mm\nparam up: flag = true\nparam b: length = 4mm\nsize it\n", "it")
	if sys == nil {
		t.Fatal(told)
	}
	res := sys.Solver.Solve()
	var names []string
	for _, v := range sys.Recorded(res) {
		names = append(names, v.Name)
	}
	if strings.Join(names, " ") != "a b" {
		t.Errorf("recorded are %v", names)
	}
	if open := sys.Unproved(res); len(open) > 0 {
		t.Errorf("unproved are %v", open)
	}
	const made = "stock tin = sheet(mild_steel, 1mm)\npanel p() { face f on level(0mm) { outline rect(9mm, 9mm) } }\npart plate of tin = p()\n"
	if sys, told = read(t, head+"param a: length = flat_long(plate)\nparam b: length = 4mm\n"+made+"size it\n", "it"); sys != nil || !strings.HasPrefix(told, "P3008 ") {
		t.Errorf("a param that is measured: %v, %s", sys != nil, told)
	}
}
