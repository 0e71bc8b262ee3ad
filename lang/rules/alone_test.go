package rules_test

import (
	"testing"

	"perch/lang/diag"
)

// TestToldByHand: what is said where several values would do, and of a rule that ranges
// alone forbid: how far its one side goes, where the other is a number.
func TestToldByHand(t *testing.T) {
	const twice = "let twice(l: length in 10mm..100mm) = 2 * l\n"
	for _, c := range []struct{ text, want string }{
		// only x differs, by its sign
		{"param x: length in -9mm..9mm\nparam y: length in 0mm..9mm\nrule x * x = 4mm * 1mm\nrule y = 3mm\n",
			"P3003 2 values would do for x, and nothing chooses [x] | at this size [size it] / possible: x = -2mm, y = 3mm / possible: x = 2mm, y = 3mm / to choose, state one of these names, narrow its range, or say which value you are after: x about -2mm"},
		{"param y: length in 0mm..9mm\nparam x: length in -9mm..9mm\nparam z: length in -9mm..9mm\nrule x * x = 4mm * 1mm\nrule z = 2 * x\nrule y = 3mm\n",
			"P3003 2 values would do for x and z, and nothing chooses [x] | at this size [size it] / possible: y = 3mm, x = -2mm, z = -4mm / possible: y = 3mm, x = 2mm, z = 4mm / to choose, state one of these names, narrow its range, or say which value you are after: x about -2mm"},
		// the range of a function's parameter is no rule with two sides
		{"param x: length in 0mm..5mm\n" + twice + "rule twice(x) <= 150mm\n", "P3001 these cannot all hold [10mm..100mm] | x stays within this range [0mm..5mm]"},
		{"param x: length in 200mm..500mm\n" + twice + "rule twice(x) >= 20mm\n", "P3001 these cannot all hold [10mm..100mm] | x stays within this range [200mm..500mm]"},
		{"param x: length in 0mm..5mm\nrule x in 7mm..9mm\n", "P3001 x is at most 5mm while x stays within 0mm..5mm [rule x in 7mm..9mm] | x stays within this range [0mm..5mm]"},
		{"param x: length in 0mm..5mm\nrule 7mm <= x\n", "P3001 x is at most 5mm while x stays within 0mm..5mm [rule 7mm <= x] | x stays within this range [0mm..5mm]"},
		{"param x: length in 1mm..5mm\nrule x <= 0.5mm\n", "P3001 x is at least 1mm while x stays within 1mm..5mm [rule x <= 0.5mm] | x stays within this range [1mm..5mm]"},
		{"param x: length in 1mm..5mm\nrule 0.5mm >= 2 * x\n", "P3001 2 * x is at least 2mm while x stays within 1mm..5mm [rule 0.5mm >= 2 * x] | x stays within this range [1mm..5mm]"},
		{"param x: length in 1mm..5mm\nparam y: length in 1mm..5mm\nrule x >= y + 7mm\n", "P3001 these cannot all hold [rule x >= y + 7mm] | x stays within this range [1mm..5mm] | y stays within this range [1mm..5mm]"},
	} {
		if got := judged(t, head+c.text+"size it\n", "it"); got != c.want {
			t.Errorf("%s: %s, want %s", c.text, got, c.want)
		}
	}
}

// TestUnprovedNote: one name is solved for, several depend on each other; a long list is cut.
func TestUnprovedNote(t *testing.T) {
	sys, told := read(t, desk, "it")
	if sys == nil {
		t.Fatal(told)
	}
	for want, names := range map[string][]string{
		"a rule has to be solved for high":                                 {"high"},
		"the rules make 2 names depend on each other: high and lean":       {"high", "lean"},
		"the rules make 3 names depend on each other: wide, high and lean": {"wide", "high", "lean"},
	} {
		d := sys.UnprovedNote(names)
		if d.Code != "P3013" || d.Notes[0] != want || d.Severity != diag.Note {
			t.Errorf("%v: %v", names, d)
		}
	}
}
