package rules_test

import (
	"slices"
	"strings"
	"testing"

	"perch/lang/check"
	"perch/lang/syntax"
	"perch/solver"
)

// TestWhatIsAskedOfRules: which params an expression stands on, which statements give a param
// its value, which rules are inequalities, and what is not proved.
func TestWhatIsAskedOfRules(t *testing.T) {
	sys, told := read(t, head+`param tag: text = "x"
param a: length in 0mm..100mm = 30mm
param b: length in 0mm..100mm
param c: length in 0mm..100mm
let l = 2 * c
let twice(x: length) = 2 * x
rule a + l = b + a + twice(c) * 0
rule a <= b "less"
rule c >= 1mm
size it: c = 20mm
`, "it")
	if sys == nil {
		t.Fatal(told)
	}
	var eq *syntax.Binary
	for _, st := range sys.Program.Root.File.Stmts {
		if r, is := st.(*syntax.Rule); is && eq == nil {
			eq = r.Cond.(*syntax.Binary)
		}
	}
	if got := sys.Mentions([]syntax.Expr{eq.X}); !slices.Equal(got, []string{"a", "c"}) {
		t.Errorf("the left side stands on %v", got)
	}
	if got := sys.Mentions([]syntax.Expr{eq.Y, eq.X}); !slices.Equal(got, []string{"b", "a", "c"}) {
		t.Errorf("both sides stand on %v", got)
	}
	var stated []string
	for id := solver.ID(-1); int(id) < len(sys.Constraints); id++ {
		for i, d := range sys.Params {
			if sys.States(id, i) {
				stated = append(stated, d.Name)
			}
		}
	}
	if slices.Sort(stated); !slices.Equal(stated, []string{"a", "c"}) {
		t.Errorf("stated are %v", stated)
	}
	for most, want := range []int{0, 1, 2, 2} {
		if got := sys.Inequalities(most); len(got) != want {
			t.Errorf("of two inequalities at most %d are %v", most, got)
		}
	}
	res := sys.Solver.Solve()
	if !sys.Judge(res) || !near(res.Values[sys.Vars[slices.IndexFunc(sys.Params, named("b"))]], 40) {
		t.Errorf("b is twice 20mm: %v", res.Values)
	}
	open := res
	open.Proof.Open = []solver.Var{sys.Vars[slices.IndexFunc(sys.Params, named("b"))]}
	for _, c := range []struct {
		complete, exist bool
		want            string
	}{{true, true, ""}, {true, false, "b"}, {false, true, "b"}, {false, false, "b"}} {
		open.Proof.Complete, open.Proof.Exist = c.complete, c.exist
		if got := strings.Join(sys.Unproved(open), " "); got != c.want {
			t.Errorf("complete %v, exist %v: %q is not proved", c.complete, c.exist, got)
		}
	}
}

// TestPartsFunctionsAreLater: a rule that calls a function of a part waits for the part.
func TestPartsFunctionsAreLater(t *testing.T) {
	sys, told := read(t, head+`param a: length in 0mm..100mm = 30mm
stock tin = sheet(mild_steel, 1mm)
panel plate(w: length) {
  let grown(by: length) = w + by
  face base on level(0mm) { outline rect(w, 100mm) }
}
part one of tin = plate(a)
rule one.grown(5mm) = 35mm
rule one.grown(a) <= 60mm
size it
`, "it")
	if sys == nil {
		t.Fatal(told)
	}
	if len(sys.Later) != 2 {
		t.Errorf("%d rules are looked at later, want 2", len(sys.Later))
	}
}

func named(name string) func(d *check.Decl) bool {
	return func(d *check.Decl) bool { return d.Name == name }
}
