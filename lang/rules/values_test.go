package rules_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/lang/eval"
	"perch/lang/quantity"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/shop"
	"perch/solver"
)

// desk has a value of every origin: of a size, of one that it is like, of a setting, a
// default, a rule, and an about that gives way.
const desk = head + `param wide: length in 100mm..2000mm = 600mm
param deep: length in 100mm..2000mm = 400mm "how far it reaches"
param lean: angle in 0deg..45deg about 10deg
param rows: count in 1..9 = 2
param high: length in 100mm..2000mm = 700mm
param foot: length in 0mm..900mm
param tag: text = "plain"
let twice = 2 * wide
rule foot = 2 * high * tan(lean) "the legs meet the floor"
rule wide >= deep
size base: wide = 800mm
size it like base: high = 500mm, foot = 300mm
size odd like it: foot free, tag = "odd", rows largest
`

func TestCauses(t *testing.T) {
	sys, told := read(t, desk, "it", set(t, "deep = 450mm"))
	if sys == nil {
		t.Fatal(told)
	}
	res := sys.Solver.Solve()
	if !sys.Judge(res) {
		t.Fatal(sys.Faults())
	}
	// tan(lean) = 300 / 1000
	lean := math.Atan(0.3) * 180 / math.Pi
	want := map[string]struct {
		value          float64
		unit, by, from string
		where          int // the line that says so
	}{
		"wide": {800, "mm", "size base wide = 800mm", "size", 12},
		"deep": {450, "mm", "setting  deep = 450mm", "setting", 1},
		"lean": {lean, "deg", "rule  rule foot = 2 * high * tan(lean)", "rule", 10},
		"rows": {2, "", "default  rows = 2", "default", 5},
		"high": {500, "mm", "size it high = 500mm", "size", 13},
		"foot": {300, "mm", "size it foot = 300mm", "size", 13},
	}
	recorded := sys.Recorded(res)
	if len(recorded) != len(want) {
		t.Errorf("%d values for %d names", len(recorded), len(want))
	}
	for _, v := range recorded {
		w := want[v.Name]
		if math.Abs(v.Value-w.value) > 1e-9 || v.Unit != w.unit || v.From != w.from || !strings.Contains(v.Where, fmt.Sprintf(":%d:", w.where)) {
			t.Errorf("%+v, want %+v", v, w)
		}
	}
	for i, d := range sys.Params {
		if sys.Vars[i] < 0 {
			continue
		}
		c := sys.Cause(i, res)
		if got := fmt.Sprintf("%s %s %s", c.By.Kind, c.By.Size, c.By.Text); got != want[d.Name].by {
			t.Errorf("%s is by %q, want %q", d.Name, got, want[d.Name].by)
		}
		switch {
		case d.Name == "wide" || d.Name == "deep" || d.Name == "high":
			if c.Loses == nil || !strings.HasPrefix(c.Loses.Text, d.Name+" = ") || c.Loses.Kind != rules.KindDefault {
				t.Errorf("%s replaces %+v", d.Name, c.Loses)
			}
		case c.Loses != nil:
			t.Errorf("%s replaces %+v", d.Name, c.Loses)
		}
		if (c.Yields != nil) != (d.Name == "lean") {
			t.Errorf("%s yields %+v", d.Name, c.Yields)
		}
	}
	y := sys.Yield(res.GaveWay[0], res)
	if !near(y.Wanted.V, 10*math.Pi/180) || !near(y.Got.V, math.Atan(0.3)) || !y.About || y.Text != "lean about 10deg" {
		t.Errorf("%+v", y)
	}
	var to []string
	for _, s := range y.To {
		to = append(to, s.Text)
	}
	if got := strings.Join(to, "; "); got != "high = 500mm; foot = 300mm; rule foot = 2 * high * tan(lean)" && got != "rule foot = 2 * high * tan(lean); high = 500mm; foot = 300mm" {
		t.Errorf("it yields to %q", got)
	}
	for i, r := range []struct {
		names string
		label string
	}{{"foot high lean", "the legs meet the floor"}, {"wide deep", ""}} {
		for id := range sys.Constraints {
			if s := sys.Statement(solver.ID(id)); s.Kind == rules.KindRule && (s.Label != "") == (i == 0) {
				if strings.Join(s.Names, " ") != r.names || s.Label != r.label || strings.Contains(s.Text, `"`) {
					t.Errorf("%+v", s)
				}
			}
		}
	}
	if len(sys.Unproved(res)) > 0 || rules.StatusWord(res.Status) != "unique" {
		t.Errorf("%s, unproved are %v", rules.StatusWord(res.Status), sys.Unproved(res))
	}
	named := sys.Named(res.Values)
	if len(named) != 6 || !near(named["lean"], lean) || named["rows"] != 2 {
		t.Errorf("%v", named)
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(1, math.Abs(b)) }

// TestWishes are read off a size and those it is like; what a later one says replaces what
// an earlier one said.
func TestWishes(t *testing.T) {
	sys, told := read(t, desk, "odd", set(t, "rows = 3"))
	if sys == nil {
		t.Fatal(told)
	}
	for i, d := range sys.Params {
		if free := sys.Frees[i] != nil; free != (d.Name == "foot") {
			t.Errorf("%s is free: %v", d.Name, free)
		}
		if sys.Wishes[i] != nil {
			t.Errorf("%s is %s in spite of the setting", d.Name, sys.Wishes[i].Word())
		}
	}
	sys, _ = read(t, desk, "odd", set(t, "high smallest"))
	words := map[string]string{}
	for _, w := range sys.Wishes {
		if w != nil {
			words[sys.Params[w.Param].Name] = w.Word() + " " + w.Size
		}
	}
	if len(words) != 2 || words["rows"] != "largest odd" || words["high"] != "smallest " {
		t.Errorf("%v", words)
	}
}

// TestPinned states a number to its last bit, which no text goes between.
func TestPinned(t *testing.T) {
	sys, _ := read(t, desk, "it")
	third := 1000.0 / 3
	for _, d := range sys.Params {
		if d.Name != "wide" {
			continue
		}
		sys, told := read(t, desk, "it", rules.Pinned(d, third+100))
		if sys == nil {
			t.Fatal(told)
		}
		if res := sys.Solver.Solve(); res.Values[0] != third+100 {
			t.Errorf("wide is %v", res.Values[0])
		}
	}
	for i, d := range sys.Params {
		if st := sys.Setting(rules.Pin{Param: i, V: 4}); st.State.Name.Name != d.Name || *st.Value != 4 {
			t.Errorf("%+v", st)
		}
	}
	for _, d := range sys.Params {
		if d.Name == "rows" {
			want := "P3010 rows is 2.5, but a count is whole [] | its range [1..9]"
			if told := judged(t, desk, "base", rules.Pinned(d, 2.5)); told != want {
				t.Errorf("%s, want %s", told, want)
			}
		}
		if d.Name == "high" {
			want := "P3010 high is 2500mm, outside its range [] | its range [100mm..2000mm]"
			if told := judged(t, desk, "base", rules.Pinned(d, 2500)); told != want {
				t.Errorf("%s, want %s", told, want)
			}
		}
	}
}

// TestGiven hands values to an evaluator: lets, texts and mentions go by them.
func TestGiven(t *testing.T) {
	sys, _ := read(t, desk, "odd", set(t, "rows = 3"), set(t, "foot = 1mm"))
	ev := eval.New(sys.Program, shop.Default(), sys.Size)
	values := make([]float64, len(sys.Of))
	for v, i := range sys.Of {
		if sys.Params[i].Name == "wide" {
			values[v] = 321
		}
	}
	sys.Give(ev, values)
	for _, d := range sys.Program.Root.Order {
		switch d.Name {
		case "twice":
			x := d.Node.(*syntax.Let).Value
			if n, _, ok := ev.Number(x); !ok || n.V != 642 || n.Dim != quantity.Length {
				t.Errorf("twice is %v", n)
			}
			if !sys.Arithmetic(x) {
				t.Error("twice is no arithmetic")
			}
		}
	}
}

// TestReadErrors wants mistakes that only values tell.
func TestReadErrors(t *testing.T) {
	for _, c := range []struct{ text, setting, want string }{
		{"param a: length in 0mm..9mm = 1mm\nsize it", "reach = 2mm", "P2001 the design has no param reach [reach] / it has a"},
		{"param alpha: length in 0mm..9mm = 1mm\nsize it", "alpa = 2mm", "P2001 the design has no param alpa [alpa] / did you mean alpha?"},
		{"param a: text\nsize it", "", "P3002 a has no value [a] / give it a default, or state it in the size"},
		{"param a: text = \"x\"\nsize it", "a largest", "P3007 a is a text, which has no largest [a largest]"},
		{"param a: text = \"x\"\nsize it", "a smallest", "P3007 a is a text, which has no smallest [a smallest]"},
		{"param a: length in 9mm..5mm\nsize it: a = 2 * 3mm", "", "P3008 the range of a runs backwards: write the smaller end first [9mm..5mm]"},
		{"param a: length in 0mm..9mm\nsize it: a = 1mm / 0", "", "P2063 this divides by zero [1mm / 0] / left is 1mm, right is 0"},
		{"param a: length in 0mm..9mm = 1mm\nsize it", "a = 3deg", "P2012 a is a length, this is an angle [3deg]"},
	} {
		var settings []rules.Setting
		if c.setting != "" {
			settings = append(settings, set(t, c.setting))
		}
		sys, told := read(t, head+c.text+"\n", "it", settings...)
		if sys != nil || told != c.want {
			t.Errorf("%s, %s: %q, want %q", c.text, c.setting, told, c.want)
		}
	}
}
