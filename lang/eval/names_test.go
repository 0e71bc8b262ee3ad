package eval_test

import (
	"fmt"
	"math"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/parts/panel"
	"perch/parts/shop"
)

// sizeOf builds the only size of a design and fails the test on any mistake.
func sizeOf(t *testing.T, text string) *build.Result {
	t.Helper()
	facts := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("names.perch", text), load.Library(), facts)
	if err != nil {
		t.Fatal(err)
	}
	if len(diags) == 0 {
		r, more := build.Size(prog, build.Sizes(prog)[0], facts, nil)
		if !diag.HasErrors(more) {
			return r
		}
		diags = more
	}
	for _, d := range diags {
		t.Errorf("%s %s %v", d.Code, d.Summary, d.Notes)
	}
	t.FailNow()
	return nil
}

// asked is what an expression comes to in a size that was built.
func asked(t *testing.T, r *build.Result, text string) float64 {
	t.Helper()
	x, diags := build.Expression(r.Program(), text)
	if len(diags) > 0 {
		t.Fatalf("%s: %s %s", text, diags[0].Code, diags[0].Summary)
	}
	q, diags := r.Eval(x)
	if len(diags) > 0 {
		t.Fatalf("%s: %s %s", text, diags[0].Code, diags[0].Summary)
	}
	return q.V
}

// TestFunctionsOfFacesAndParts calls functions that a panel and a face declare.
func TestFunctionsOfFacesAndParts(t *testing.T) {
	r := sizeOf(t, `design "Plate"
stock steel = sheet(mild_steel, 1mm)
panel plate(w: length) {
  let twice(x: length) = 2 * x + w
  face web on level(0mm) {
    let thrice(x: length) = 3 * x + w
    outline rect(w, 20mm)
  }
}
part plain of steel = plate(50mm)
`)
	for text, want := range map[string]float64{"plain.twice(4mm)": 58, "plain.web.thrice(4mm)": 62} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %g, not %g", text, got, want)
		}
	}
}

// TestNamesOfTheLanguageAreFree builds designs whose maker calls parts, faces, params,
// stocks and functions as the language calls its own.
func TestNamesOfTheLanguageAreFree(t *testing.T) {
	for _, name := range append(syntax.ClauseWords(), "floor", "box", "strip", "round", "load", "sheet", "min", "reach", "wide", "hem", "text", "length", "u", "middle", "places", "band", "true_round", "inches") {
		r := sizeOf(t, fmt.Sprintf(`design "Plate"
stock %[1]s = sheet(mild_steel, 1mm)
panel plate(w: length) { face web on level(0mm) { outline rect(w, 20mm) } }
part plain of %[1]s = plate(50mm)
`, name))
		if got := asked(t, r, "flat_long(plain)"); math.Abs(got-50) > 1e-9 {
			t.Errorf("stock %s: %g", name, got)
		}
		r = sizeOf(t, fmt.Sprintf(`design "Plate"
stock steel = sheet(mild_steel, 1mm)
param %[1]s: length = 50mm
panel plate(%[1]s: length) {
  let longer = %[1]s * 2
  face web on level(0mm) {
    let %[1]s = longer - %[1]s + 1mm
    outline strip_of(%[1]s)
  }
}
let strip_of(%[1]s: length) = rect(%[1]s, 20mm)
part plain of steel = plate(%[1]s: %[1]s)
`, name))
		if got := asked(t, r, "flat_long(plain)"); math.Abs(got-51) > 1e-9 {
			t.Errorf("param and face %s: %g", name, got)
		}
		r = sizeOf(t, fmt.Sprintf(`design "Plate"
stock steel = sheet(mild_steel, 1mm)
panel plate() {
  face %[1]s on level(0mm) { outline rect(50mm, 20mm) }
  face rim[%[1]s in %[1]s.edges] off %[1]s up 90deg if %[1]s.length > 30mm { outline strip(10mm, ends: floor(min(2.5mm, 3mm), 1mm)) }
}
part %[1]s of steel = plate()
`, name))
		if got := asked(t, r, "area("+name+"."+name+")"); math.Abs(got-1000) > 100 { // less the bends
			t.Errorf("part and face %s: %g", name, got)
		}
	}
}

// TestOwnFunctionsComeFirst calls functions of the file that have a function of the
// language around them, on its own right side too.
func TestOwnFunctionsComeFirst(t *testing.T) {
	r := sizeOf(t, `design "Plate"
stock steel = sheet(2mm)
let sheet(t: length) = sheet(mild_steel, t / 2)
let floor(x: length) = floor(x, 10mm)
param w: length = 57mm
let got = floor(w)
rule v = floor(w) + 1mm
param v: length
panel plate(w: length) { face web on level(0mm) { outline rect(w, 20mm) } }
part plain of steel = plate(got)
`)
	for text, want := range map[string]float64{"flat_long(plain)": 50, "v": 51, "steel.thickness": 1} {
		if got := asked(t, r, text); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %g, not %g", text, got, want)
		}
	}
}

// TestWordsAreReadFirst gives words to arguments while params, lets and faces are called
// the same: the row runs along v, the relief is none.
func TestWordsAreReadFirst(t *testing.T) {
	r := sizeOf(t, `design "Words"
stock steel = sheet(mild_steel, 1mm)
param v: length = 40mm
let u = 120mm
let none = 3mm
panel plate(u: length, v: length, on: plane) {
  face round on on { outline rect(u, v) }
  face lip off round.top up 90deg { outline strip(none + 7mm, ends: 10mm) }
  fold round to lip by bend(relief: none)
}
panel flat(u: length, v: length, on: plane) { face round on on { outline rect(u, v) } }
part low of steel = plate(u, v: v, on: level(0mm))
part high of steel = flat(u: u, v: v, on: low.round.over)
join both = low.round to high.round by rivet(3.2mm, count: 2, along: v)
`)
	if relief := r.Flats[0].Panel.Folds[0].Relief; relief != panel.ReliefNone {
		t.Errorf("the relief is %v", relief)
	}
	p := r.Flats[1].Points
	if len(p) != 2 || math.Abs(p[0].At.X-p[1].At.X) > 1e-6 {
		t.Errorf("the row of two does not run along v: %v", p)
	}
}
