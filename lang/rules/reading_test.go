package rules_test

import (
	"math"
	"testing"
)

// TestReadAsWritten: what an expression of a rule comes to, by hand, where it is solved for
// the other side: with a = 10 mm, n = 3 and t = 30°.
func TestReadAsWritten(t *testing.T) {
	const text = head + `param a: length in 0mm..100mm
param n: count in 1..9
param t: angle in 0deg..90deg
param b: length in -900mm..900mm
param idle: length = 7mm
let twice = 2 * a
let step[i in 1..4] = a * i + 1mm
let grid[i in 1..2, k in 1..3] = a * i + 1mm * k
let add(x: length, y: length = 20mm, z: length = 21mm) = x + 2 * y + 3 * z
let pick(low: flag, x: length) = if low then x else 2 * x
let corner = (a, 2 * a)
let list = [1mm, 4mm, 9mm]
rule b = `
	for expr, want := range map[string]float64{
		"a":                          10,
		"-a":                         -10,
		"-(a - 40mm)":                30,
		"a + 2 * a - 5mm":            25,
		"a * n":                      30,
		"n * a / 2":                  15,
		"a - n * 1mm":                7,
		"a ^ 2 / 5mm":                20,
		"100mm^2 / 2 / a":            500,
		"a * 2 ^ n":                  80,
		"twice + a":                  30,
		"step[3]":                    31,
		"step[2 + 1] - step[1]":      20,
		"grid[2, 3]":                 23,
		"add(a)":                     10 + 40 + 63,
		"add(a, z: 5mm)":             10 + 40 + 15,
		"add(y: a, x: 3mm)":          3 + 20 + 63,
		"add(a, 1mm, 2mm) + idle":    10 + 2 + 6 + 7,
		"pick(true, a)":              10,
		"pick(1 > 2, a)":             20,
		"(if 1 < 2 then a else 3mm)": 10,
		"(if 2 < 1 then a else 3mm)": 3,
		"(if a < 20mm then a + 1mm else a - 1mm)": 11,
		"(if a > 20mm then a + 1mm else a - 1mm)": 9,
		"(if n = 3 then a else 2 * a)":            10,
		"a * sin(t)":                              5,
		"a * cos(2 * t)":                          5,
		"a * tan(t) * sqrt(3)":                    10,
		"max(a, 12mm) + min(a, 4mm)":              16,
		"max(list) + a":                           19,
		"abs(a - 30mm)":                           20,
		"list[2] + a":                             14,
		"sqrt(a * 40mm)":                          20,
		"hypot(a, 24mm)":                          26,
	} {
		sys, told := read(t, text+expr+"\nsize it: a = 10mm, n = 3, t = 30deg\n", "it")
		if sys == nil {
			t.Errorf("%s: %s", expr, told)
			continue
		}
		res := sys.Solver.Solve()
		if !sys.Judge(res) || len(sys.Later) > 0 {
			t.Errorf("%s: %d rules are looked at later; %v", expr, len(sys.Later), sys.Faults())
			continue
		}
		for i, d := range sys.Params {
			if d.Name == "b" && math.Abs(res.Values[sys.Vars[i]]-want) > 1e-6 {
				t.Errorf("%s is %.9g, not %.9g", expr, res.Values[sys.Vars[i]], want)
			}
		}
	}
	// what asks for what is made, or for a copy that there is not, is looked at later
	for _, expr := range []string{"step[9]", "grid[3, 1]", "area(plate) / 1mm", "step[n]"} {
		sys, _ := read(t, text+expr+"\nsize it: a = 10mm, n = 3, t = 30deg, b = 3mm\nstock tin = sheet(mild_steel, 1mm)\npanel p() { face f on level(0mm) { outline rect(9mm, 9mm) } }\npart plate of tin = p()\n", "it")
		if sys == nil || len(sys.Later) != 1 {
			t.Errorf("%s is not looked at later", expr)
		}
	}
}

// TestToldInFull: what is told of rules that leave open, ask too much or choose, and what
// would mend them; reckoned by hand.
func TestToldInFull(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"many open", `param a: length in 0mm..9mm
param b: length in 0mm..9mm
param c: length in 0mm..9mm
param d: length in 0mm..9mm
param e: length in 0mm..9mm
param f: length in 0mm..9mm
param g: length in 0mm..9mm
param h: length in 0mm..9mm
param i: length in 0mm..9mm
param j: length in 0mm..9mm
param k: length in 0mm..9mm
rule a + b + c + d + e + f + g + h + i + j + k = 9mm
size it`, "P3002 nothing fixes a, b, c, d, e, f, g, h, i, j and k [a] | at this size [size it] / it is enough to state a, b, c, d, e, f, g, h, i and j, or a, b, c, d, e, f, g, h, i and k, or a, b, c, d, e, f, g, h, j and k, or a, b, c, d, e, f, g, i, j and k, or a, b, c, d, e, f, h, i, j and k, or a, b, c, d, e, g, h, i, j and k, or a, b, c, d, f, g, h, i, j and k, or a, b, c, e, f, g, h, i, j and k, or 3 others"},
		{"many values", `param x: number in 0..100
rule (x - 1) * (x - 2) * (x - 3) * (x - 4) * (x - 5) * (x - 6) * (x - 7) = 0
size it`, "P3003 7 values would do for x, and nothing chooses [x] | at this size [size it] / possible: x = 1 / possible: x = 2 / possible: x = 3 / possible: x = 4 / possible: x = 5 / possible: x = 6 / possible: x = 7 / to choose, state one of these names, narrow its range, or say which value you are after: x about 1"},
		{"two of two", `param x: number in 0..100
param y: number in 0..100
rule x * y = 12
rule x + y = 7
size it`, "P3003 2 values would do for x and y, and nothing chooses [x] | at this size [size it] / possible: x = 3, y = 4 / possible: x = 4, y = 3 / to choose, state one of these names, narrow its range, or say which value you are after: x about 3"},
		{"about of a size against a rule", `param a: length in 0mm..100mm
rule a <= 30mm
size it: a about 50mm`, "solved"},
		{"about gives way", `param a: length in 0mm..100mm about 50mm
rule a <= 30mm
size it`, "solved"},
		{"a rule of constants", `param a: length in 0mm..100mm = 3mm
rule 2 < 1 "never"
size it`, "P3001 these cannot all hold [rule 2 < 1 \"never\"] / by the other statements, the rule's left side is 2 and its right side 1"},
		{"a guard that does not hold", `param a: length in 0mm..100mm = 3mm
rule a > 5mm if a > 4mm
size it`, "solved"},
		{"a guard that holds", `param a: length in 0mm..100mm = 4.5mm
rule a >= 5mm if a > 4mm "thick"
size it`, "P3001 a can be at most 4mm [rule a >= 5mm if a > 4mm \"thick\"] | the default holds unless a size states the name [4.5mm] / by the other statements, the rule's left side is 4.5mm and its right side 5mm"},
		{"strict at its end", `param a: length in 0mm..100mm
rule a > 5mm
size it: a = 5mm`, "P3001 a has to be more than 5mm [a = 5mm] | must hold [rule a > 5mm]"},
		{"at its end", `param a: length in 0mm..100mm
rule a >= 5mm
size it: a = 5mm`, "solved"},
		{"unequal", `param a: length in 0mm..100mm
rule a != 5mm
size it: a = 5mm`, "P3001 a can be at most 4.999mm [a = 5mm] | must hold [rule a != 5mm]"},
		{"unequal and is", `param a: length in 0mm..100mm
rule a != 5mm
size it: a = 6mm`, "solved"},
		{"either, the second", `param a: length in 0mm..100mm
rule a = 5mm or a = 7mm
size it: a = 7mm`, "solved"},
		{"not", `param a: length in 0mm..100mm
rule not a > 5mm
size it: a = 6mm`, "P3001 a can be at most 5mm [a = 6mm] | must hold [rule not a > 5mm] / by the other statements, the rule's left side is 6mm and its right side 5mm"},
		{"in a range", `param a: length in 0mm..100mm
rule a in 5mm..7mm
size it: a = 8mm`, "P3001 a can be at most 7mm [a = 8mm] | must hold [rule a in 5mm..7mm] / by the other statements, the rule's left side is 8mm and its right side 7mm"},
		{"in a range and is", `param a: length in 0mm..100mm
rule a in 5mm..7mm
size it: a = 7mm`, "solved"},
		{"a root of less than nothing", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
rule b = sqrt(a * a - 400mm^2)
size it: a = 10mm`, "P3001 these cannot all hold [rule b = sqrt(a * a - 400mm^2)] | a stays within this range [0mm..100mm]"},
		{"by nothing", `param a: length in 0mm..100mm
param b: number
rule b = 1mm / (a - 10mm)
size it: a = 10mm`, "P3001 these cannot all hold [a = 10mm] | must hold [rule b = 1mm / (a - 10mm)]"},
		{"a circle of three", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
param c: length in 0mm..100mm
rule a = b + 1mm
rule b = c + 1mm
rule c = a + 1mm
size it`, "P3001 these cannot all hold [rule a = b + 1mm] | must hold [rule b = c + 1mm] | must hold [rule c = a + 1mm]"},
		{"half open", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
rule a = b
size it`, "P3002 nothing fixes a and b [a] | at this size [size it] / it is enough to state a, or b"},
		{"like one that states another", `param a: length in 0mm..100mm
param b: length in 0mm..100mm
rule a = b
size base: a = 3mm
size it like base: b = 4mm`, "P3001 these cannot all hold [a = 3mm] | stated by the size [b = 4mm] | must hold [rule a = b] / with all else as it is, they would hold with a = 4mm, or b = 3mm / by the other statements, the rule's left side is 3mm and its right side 4mm"},
	} {
		if got := judged(t, head+c.text+"\n", "it"); got != c.want {
			t.Errorf("%s: it says\n got  %q\n want %q", c.name, got, c.want)
		}
	}
}
