package build_test

import (
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// TestLargestOnOneSheetWithAnotherOpen has the plates' height open as well: longer than
// 184 mm they lie along the sheet, where only three of 45 mm go; else four rows of
// plates of at most 184 mm leave 284 − 3 · 6 mm for their heights.
func TestLargestOnOneSheetWithAnotherOpen(t *testing.T) {
	if testing.Short() {
		t.Skip("nests some hundred times")
	}
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("plates.perch", `design "Plates"
stock steel = sheet(mild_steel, 1mm, size: (300mm, 200mm))
param long: length in 100mm..280mm
param tall: length in 45mm..90mm
panel plate(z: length) { face flat on level(z) { outline rect(long, tall) } }
part shelf[i in 1..4] of steel = plate(100mm * i) loose
rule sheets(steel) <= 1
rule area(shelf) >= 40000mm * 1mm
size wide: long largest
`), load.Library(), shop)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	r, diags := build.Size(prog, "wide", shop, nil)
	if diag.HasErrors(diags) || r.Choice == nil {
		t.Fatal(diags)
	}
	tall := 0.0
	for _, v := range r.Values {
		if v.Name == "tall" {
			tall = v.Value
		}
	}
	if got := r.Choice.V; !(got > 183 && got <= 184) || !(tall > 40000.0/4/184-1e-6 && tall <= 66.5) || r.Choice.Proved || r.Choice.Tried > 400 {
		t.Errorf("%v × %v, %s, stopped by %v", got, tall, r.Choice.Certainty(), r.Choice.Stops)
	}
	t.Log(r.Choice.V, tall, r.Choice.Certainty(), r.Choice.Stops)
}

// TestLargestOnOneSheet makes four plates 60 mm high as long as one sheet of 300 ×
// 200 mm allows. By hand: 8 mm stay free along its edges and 6 mm between plates, so
// side by side across the sheet they may be 184 mm long; along it only two rows of
// one would go.
func TestLargestOnOneSheet(t *testing.T) {
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("plates.perch", `design "Plates"
stock steel = sheet(mild_steel, 1mm, size: (300mm, 200mm))
param long: length in 100mm..280mm = 120mm
panel plate(z: length) { face flat on level(z) { outline rect(long, 60mm) } }
part shelf[i in 1..4] of steel = plate(100mm * i) loose
rule sheets(steel) <= 1
rule count(shelf) = 4 and 1 >= sheets(steel)
size wide: long largest
size narrow: long smallest
`), load.Library(), shop)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	r, diags := build.Size(prog, "wide", shop, nil)
	if diag.HasErrors(diags) || r.Choice == nil {
		t.Fatal(diags)
	}
	if got := r.Choice.V; !(got > 183.5 && got <= 184) || r.Choice.Proved || r.Choice.Stops[0].Text != "rule sheets(steel) <= 1" {
		t.Errorf("long is %v, %s, stopped by %v", got, r.Choice.Certainty(), r.Choice.Stops)
	}
	if r, diags = build.Size(prog, "narrow", shop, nil); diag.HasErrors(diags) || r.Choice.V != 100 || !r.Choice.Proved {
		t.Errorf("the smallest is %+v: %v", r.Choice, diags)
	}
	_, diags = build.Size(prog, "narrow", shop, []build.Setting{build.Pinned(build.Params(prog)[0], 200)})
	if len(diags) != 2 || diags[0].Code != "P3006" || diags[0].Notes[0] != "left is 2, right is 1" {
		t.Errorf("200 mm long: %v", diags)
	}
}
