package build_test

import (
	"math"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
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
		if len(more) == 0 {
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
	return q.Value
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
