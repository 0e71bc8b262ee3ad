package rules_test

import (
	"math"
	"slices"
	"testing"

	"perch/lang/eval"
	"perch/lang/rules"
	"perch/lang/syntax"
	"perch/parts/shop"
	"perch/solver"
)

// plate is a design of one plate, wide × high, with rules on its area in mm² over 1 mm.
func plate(rule string) string {
	return head + `param wide: length in 50mm..500mm
param high: length in 50mm..500mm
stock tin = sheet(mild_steel, 1mm)
panel plate(w: length, h: length) { face base on level(0mm) { outline rect(w, h) } }
part one of tin = plate(wide, high)
let metal = area(one) / 1mm
let low = high < 100mm
rule ` + rule + `
size it
`
}

// at is a plate of a size, made.
func at(t *testing.T, rule string, wide, high float64) (*rules.System, *eval.Evaluator) {
	t.Helper()
	sys, told := read(t, plate(rule), "it")
	if sys == nil {
		t.Fatal(told)
	}
	ev := eval.New(sys.Program, shop.Default(), sys.Size)
	sys.Give(ev, []float64{wide, high})
	if ev.Make() == nil {
		t.Fatal(ev.Faults())
	}
	return sys, ev
}

// TestResiduals are by how much conditions do not hold on a plate of 200 mm × 100 mm, its
// area being 20000 mm²: over the larger of the two sides where it is first seen.
func TestResiduals(t *testing.T) {
	for _, c := range []struct {
		rule     string
		want     []float64
		equality bool
	}{
		{"metal <= 16000mm", []float64{0.2}, false},     // (20000 − 16000) / 20000
		{"metal < 25000mm", []float64{-0.2}, false},     // (20000 − 25000) / 25000
		{"metal >= 25000mm", []float64{0.2}, false},     // (25000 − 20000) / 25000
		{"metal > 16000mm", []float64{-0.2}, false},     // (16000 − 20000) / 20000
		{"16000mm >= metal", []float64{0.2}, false},     // the same turned round
		{"metal = 25000mm", []float64{-0.2}, true},      // to either side
		{"metal = 20000mm", []float64{0}, true},         //
		{"not metal != 25000mm", []float64{-0.2}, true}, // an equality in other words
		{"metal = 20000.00001mm", []float64{0}, true},   // equal is within one part in 10⁹
		{"metal <= 19999.99999mm", []float64{0}, false},
		{"metal <= 19999.9mm", []float64{5e-6}, false},                                        // 0.1 / 20000
		{"metal != 20000mm", []float64{1e-8}, false},                                          // ten times what counts as equal
		{"metal != 25000mm", []float64{1e-8 - 0.2}, false},                                    //
		{"not metal = 25000mm", []float64{1e-8 - 0.2}, false},                                 //
		{"not metal <= 16000mm", []float64{-0.2}, false},                                      //
		{"not (metal < 25000mm)", []float64{0.2}, false},                                      //
		{"metal in 16000mm..18000mm", []float64{0.1}, false},                                  // (20000 − 18000) / 20000
		{"metal in 25000mm..30000mm", []float64{0.2}, false},                                  //
		{"not metal in 10000mm..30000mm", []float64{1.0 / 3}, false},                          // (20000 − 30000) / 30000 is the nearer end
		{"metal <= 16000mm and metal >= 25000mm", []float64{0.2, 0.2}, false},                 // each a rule of its own
		{"metal <= 16000mm or metal >= 21000mm", []float64{1000.0 / 21000}, false},            // the nearer
		{"not (metal > 16000mm or metal > 18000mm)", []float64{0.2, 0.1}, false},              // both
		{"not (metal > 16000mm and metal > 18000mm)", []float64{0.1}, false},                  // either
		{"metal <= 16000mm or low", []float64{0}, false},                                      // high is 100 mm: lets are spelled out
		{"(metal <= 16000mm or metal <= 18000mm) and metal > 0mm", []float64{0.1, -1}, false}, //
	} {
		sys, ev := at(t, c.rule, 200, 100)
		all := sys.Residuals()
		if len(all) != len(c.want) {
			t.Errorf("%s: %d residuals, want %d", c.rule, len(all), len(c.want))
			continue
		}
		for k, r := range all {
			if got := r.At(ev); math.Abs(got-c.want[k]) > 1e-12 || r.Equality() != c.equality || r.Counts {
				t.Errorf("%s: %v, equality %v, want %v, %v", c.rule, got, r.Equality(), c.want[k], c.equality)
			}
		}
	}
}

// TestResidualsKeepTheirSize: a residual is told in parts of the size that its sides had
// where they were first seen, so that it stays smooth.
func TestResidualsKeepTheirSize(t *testing.T) {
	sys, ev := at(t, "metal <= 16000mm", 200, 100)
	r := sys.Residuals()[0]
	r.At(ev)
	other := eval.New(sys.Program, shop.Default(), sys.Size)
	sys.Give(other, []float64{400, 100})
	if got := r.At(other); math.Abs(got-24000.0/20000) > 1e-12 {
		t.Errorf("%v, by hand 1.2", got)
	}
	none := eval.New(sys.Program, shop.Default(), sys.Size) // nothing is known
	if got := r.At(none); !math.IsNaN(got) {
		t.Errorf("%v of nothing", got)
	}
}

// TestSides looks at one side alone of what either side may hold of.
func TestSides(t *testing.T) {
	sys, ev := at(t, "metal <= 16000mm or (metal >= 21000mm or metal <= 19000mm)", 200, 100)
	r := sys.Residuals()[0]
	if len(r.Eithers) != 2 {
		t.Fatalf("%d choices", len(r.Eithers))
	}
	for _, c := range []struct {
		outer, inner int
		want         float64
	}{{0, 0, 0.2}, {0, 1, 0.2}, {1, 0, 1000.0 / 21000}, {1, 1, 0.05}} {
		r.Sides[r.Eithers[0]], r.Sides[r.Eithers[1]] = c.outer, c.inner
		if got := r.At(ev); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("sides %d, %d: %v, want %v", c.outer, c.inner, got, c.want)
		}
	}
	clear(r.Sides)
	if got := r.At(ev); math.Abs(got-1000.0/21000) > 1e-12 {
		t.Errorf("either: %v", got)
	}
}

// TestEquations are the equalities between numbers that only what is made tells.
func TestEquations(t *testing.T) {
	for rule, want := range map[string]string{
		"metal = 9000mm":                    "metal = 9000mm",
		"9000mm = metal and wide > 60mm":    "9000mm = metal",
		"(metal = 9000mm) and mass() = 1kg": "metal = 9000mm; mass() = 1kg",
		"wide = 2 * high":                   "",
		"metal <= 9000mm":                   "",
		"metal = 9000mm or wide = 60mm":     "",
		"not metal != 9000mm":               "metal = 9000mm",
	} {
		sys, told := read(t, plate(rule), "it")
		if sys == nil {
			t.Fatal(told)
		}
		got := ""
		for _, e := range sys.Equations() {
			if got != "" {
				got += "; "
			}
			got += e.X.Span().Text() + " = " + e.Y.Span().Text()
		}
		if got != want {
			t.Errorf("%s: %q, want %q", rule, got, want)
		}
		if later := len(sys.Later) > 0; later != (rule != "wide = 2 * high") {
			t.Errorf("%s: later is %v", rule, later)
		}
	}
}

// TestImplicit follows names by equations alone and tells by how much what else is stated
// is passed: d = a + b with a = 30 mm and b = 90 mm.
func TestImplicit(t *testing.T) {
	sys, told := read(t, head+`param a: length in 0mm..100mm
param b: length in 0mm..100mm
param d: length in 10mm..110mm
param n: count in 1..9 = 2
rule d = a + b
rule b <= 2 * a
rule a >= 50mm
rule d != 7mm
size it
`, "it")
	if sys == nil {
		t.Fatal(told)
	}
	pins := []rules.Pin{{Param: 0, V: 30}, {Param: 1, V: 90}}
	implicit := sys.Implicits(func(i int) bool { return i < 2 })
	res, by, ok := sys.Follow(pins, nil, implicit)
	if !ok || !near(res.Values[2], 120) || len(res.Values) != 4 {
		t.Fatalf("%v %v", res.Values, ok)
	}
	want := map[string]float64{"rule b <= 2 * a": 30, "rule a >= 50mm": 20}
	ends := []float64{10 - 120, 120 - 110}
	if len(implicit) != 4 {
		t.Fatalf("%d implicit constraints", len(implicit))
	}
	for k, c := range implicit {
		st := sys.ImplicitStatement(c)
		w, is := want[st.Text]
		if !is {
			if w, ends = ends[0], ends[1:]; st.Text != "d in 10mm..110mm" || c.Size != 100 {
				t.Errorf("%+v of size %v", st, c.Size)
			}
		}
		if !near(by[k], w) {
			t.Errorf("%s is passed by %v, want %v", st.Text, by[k], w)
		}
	}
	if _, some, ok := sys.Follow(pins, nil, implicit[1:2]); !ok || len(some) != 1 || !near(some[0], by[1]) {
		t.Errorf("%v, and among all %v", some, by)
	}
	if _, _, ok := sys.Follow(pins[:1], nil, implicit); ok {
		t.Error("b has a value with nothing to give it one")
	}
}

// TestRules states pins and narrows a range; how far a name goes is by the rules alone.
func TestRules(t *testing.T) {
	sys, told := read(t, head+`param a: length in 0mm..100mm
param b: length in 0mm..100mm about 20mm
param d: length in 10mm..110mm
rule d = a + b
size it
`, "it")
	if sys == nil {
		t.Fatal(told)
	}
	ends := func(free []solver.ID, pins ...rules.Pin) [2]float64 {
		s, ids := sys.Rules(pins, free, 0, nil)
		if len(ids) != len(sys.Constraints)+len(pins) || slices.Contains(ids[:len(sys.Constraints)], -1) || len(pins) > 0 && ids[len(ids)-1] != -1 {
			t.Errorf("ids are %v", ids)
		}
		lo, hi, ok := sys.Ends(s, 2)
		if !ok {
			return [2]float64{math.NaN(), math.NaN()}
		}
		return [2]float64{lo, hi}
	}
	about := slices.IndexFunc(sys.Constraints, func(c solver.Constraint) bool { return c.Strength == solver.About })
	free := []solver.ID{solver.ID(about)}
	for _, c := range []struct {
		got, want [2]float64
	}{
		{ends(nil), [2]float64{20, 110}},                                                        // b holds at 20 mm
		{ends(nil, rules.Pin{Param: 0, V: 30}), [2]float64{50, 50}},                             // and a at 30
		{ends(free, rules.Pin{Param: 0, V: 30}), [2]float64{50, 50}},                            // b may give way, and need not
		{ends(free, rules.Pin{Param: 0, V: 30}, rules.Pin{Param: 1, V: 5}), [2]float64{35, 35}}, //
	} {
		if math.Abs(c.got[0]-c.want[0]) > 1e-6 || math.Abs(c.got[1]-c.want[1]) > 1e-6 {
			t.Errorf("d goes from %v to %v, by hand %v", c.got[0], c.got[1], c.want)
		}
	}
	s, _ := sys.Rules(nil, nil, sys.Vars[0], &rules.Limits{Lo: 40, Hi: 41})
	if lo, hi, ok := sys.Ends(s, 2); !ok || math.Abs(lo-60) > 1e-6 || math.Abs(hi-61) > 1e-6 {
		t.Errorf("with a in 40..41 d goes from %v to %v", lo, hi)
	}
	if _, _, ok := sys.Ends(s, 0); !ok {
		t.Error("a has no ends")
	}
	s, _ = sys.Rules([]rules.Pin{{Param: 0, V: 100}, {Param: 1, V: 50}}, nil, 0, nil)
	if _, _, ok := sys.Ends(s, 2); ok {
		t.Error("d has ends where it can't be")
	}
	if texts := sys.Inequalities(9); len(texts) > 0 {
		t.Errorf("%v", texts)
	}
}

// TestMentions follows names through lets.
func TestMentions(t *testing.T) {
	sys, _ := read(t, plate("metal <= 16000mm and low"), "it")
	for _, st := range sys.Program.Root.File.Stmts {
		if r, is := st.(*syntax.Rule); is {
			if got := sys.RuleStatement(r).Names; !slices.Equal(got, []string{"wide", "high"}) && !slices.Equal(got, []string{"high"}) {
				t.Errorf("it speaks of %v", got)
			}
		}
	}
}
