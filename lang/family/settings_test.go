package family_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
)

// TestSettingsNameTheDesign states values that name lets of the design, and one that
// names nothing.
func TestSettingsNameTheDesign(t *testing.T) {
	facts := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("plate.perch", `design "Plate"
stock steel = sheet(mild_steel, 1mm)
param w: length = 10mm
let unit = 25mm
panel plate(long: length) { face web on level(0mm) { outline rect(long, 20mm) } }
part one of steel = plate(w)
`), load.Library(), facts)
	if err != nil || len(diags) > 0 {
		t.Fatal(err, diags)
	}
	settings, diags := family.Settings(prog, []string{"w = 3 * unit"})
	if len(diags) > 0 {
		t.Fatal(diags)
	}
	results, diags := family.Job{Program: prog, Shop: facts, Settings: settings}.Results()
	if len(diags) > 0 || results[0].Values[0].Value != 75 {
		t.Errorf("3 * 25 mm came to %v %v", results[0].Values, diags)
	}
	if _, diags = family.Settings(prog, []string{"w = 3 * unite"}); len(diags) != 1 || diags[0].Code != "P2001" || diags[0].Fix == nil {
		t.Errorf("a name that nothing has: %v", diags)
	}
}

// TestSettingsAreChecked states what can't be: each is told once, for all sizes, with what
// to write.
func TestSettingsAreChecked(t *testing.T) {
	prog, diags, err := load.Source(diag.NewSource("plate.perch", `design "Plate" in millimetres
stock steel = sheet(mild_steel, 1mm)
param height: length in 5mm..90mm = 10mm
let deep = 4mm
size small: height = 8mm
size large: height = 20mm
panel plate(long: length) { face web on level(0mm) { outline rect(long, 20mm) } }
part one of steel = plate(height)
`), load.Library(), shop.Default())
	if err != nil || len(diags) > 0 {
		t.Fatal(err, diags)
	}
	for _, c := range []struct {
		set        []string
		code, mend string
	}{
		{[]string{"hieght = 8mm"}, "P2041", "height = 8mm"},
		{[]string{"height = 30"}, "P2010", "height = 30mm"},
		{[]string{"height = 3kg"}, "P2010", ""},
		{[]string{"height = 300mm"}, "P2043", "height = 90mm"},
		{[]string{"deep = 3mm"}, "P2041", ""},
		{[]string{"height"}, "P1102", ""},
		{[]string{"height = 8mm", "height = 9mm"}, "P2042", ""},
	} {
		_, got := family.Settings(prog, c.set)
		if len(got) != 1 || got[0].Code != c.code {
			t.Errorf("%v: told %v, want %s", c.set, got, c.code)
			continue
		}
		mend := ""
		if got[0].Fix != nil && got[0].Fix.Edits[0].Span.Source.Name == "--set" {
			mend = strings.TrimPrefix(got[0].Fix.Apply(got[0].Span.Source.Text), "size set:\n")
		}
		if mend != c.mend {
			t.Errorf("%v: mended to %q, want %q", c.set, mend, c.mend)
		}
	}
	if got := (family.Job{Program: prog, Shop: shop.Default(), Sizes: []string{"smal"}}).Check(); len(got) != 1 || got[0].Code != "P3009" || got[0].Notes[0] != "did you mean small?" {
		t.Errorf("told %v", got)
	}
}
