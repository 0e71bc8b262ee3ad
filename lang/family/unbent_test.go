package family_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
	"perch/parts/shopcheck"
)

const trough = `design "Trough"
stock tin = sheet(mild_steel, 1mm)
param high: length = 80mm
size low
size deep: high = 180mm
panel trough() {
  face base on level(0mm) { outline rect(90mm, 300mm) }
  face wall[e in [base.left, base.right]] off e up 90deg { outline strip(high) }
}
part water of tin = trough() loose
`

// A blank that the brake bends in no order is one warning at the fold that stops it, with the
// flange, the tool, the angle and the number; where the shop has a taller brake there is none.
func TestUnbendableIsTold(t *testing.T) {
	told := func(facts *shop.Shop) []diag.Diagnostic {
		p, diags, err := load.Source(diag.NewSource("trough.perch", trough), load.Library(), facts)
		if err != nil || len(diags) > 0 {
			t.Fatal(err, diags)
		}
		return family.Job{Program: p, Shop: facts}.Check()
	}
	got := told(shop.Default())
	if len(got) != 1 || got[0].Code != shopcheck.Unbendable.Code || got[0].Severity != diag.Warning || got[0].Span.Text() != "[base.left, base.right]" && !strings.Contains(trough, got[0].Span.Text()) {
		t.Fatalf("%v", got)
	}
	for _, part := range []string{"water", "meets the clamp beam at ", "(finger_height)", "taller fingers"} {
		if !strings.Contains(got[0].Summary, part) {
			t.Errorf("it does not tell %q: %s", part, got[0].Summary)
		}
	}
	if len(got[0].Notes) == 0 || !strings.Contains(strings.Join(got[0].Notes, " "), "deep") {
		t.Errorf("it does not tell at which size: %q", got[0].Notes)
	}
	tall := shop.Default()
	tall.Brake.FingerHeight = 400
	if got := told(tall); len(got) > 0 {
		t.Errorf("under 400 high fingers: %v", got)
	}
}

// What the rule of a single fold tells already is not told again.
func TestUnbendableIsNotToldTwice(t *testing.T) {
	thick := strings.Replace(trough, "mild_steel, 1mm", "mild_steel, 3mm", 1)
	facts := shop.Default()
	p, _, err := load.Source(diag.NewSource("trough.perch", thick), load.Library(), facts)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, d := range (family.Job{Program: p, Shop: facts, Sizes: []string{"low"}}).Check() {
		seen[d.Code]++
	}
	if seen["P6031"] == 0 || seen[shopcheck.Unbendable.Code] != 0 {
		t.Errorf("told %v", seen)
	}
}
