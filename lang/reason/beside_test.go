package reason_test

import (
	"bytes"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/reason"
	"perch/parts/shop"
)

// TestWhyBeside asks for the value of a name that was open beside a largest one: a
// plate of 20 000 mm² is 400 mm wide where it is as low as it may be.
func TestWhyBeside(t *testing.T) {
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("plate.perch", `design "Plate"
stock tin = sheet(mild_steel, 1mm)
param wide: length in 50mm..500mm = 100mm
param high: length in 50mm..500mm = 100mm
panel plate(w: length, h: length) { face base on level(0mm) { outline rect(w, h) } }
part one of tin = plate(wide, high)
rule area(one) <= 20000mm * 1mm
size it: wide largest, high free
`), load.Library(), shop)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	r, diags := build.Size(prog, "it", shop, nil)
	if diag.HasErrors(diags) || r.Choice == nil {
		t.Fatal(diags)
	}
	l, ok := reason.Why(r, "high")
	if !ok {
		t.Fatal("no reason for high")
	}
	var out bytes.Buffer
	if err := l.Write(&out, prog.Shown); err != nil {
		t.Fatal(err)
	}
	got := strings.Join(strings.Fields(out.String()), " ")
	for _, want := range []string{"high = 50mm size it: wide largest", "wide = 400mm size it: wide largest", "stopped by rule area(one) <= 20000mm * 1mm"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, out.String())
		}
	}
	if told := reason.DescribeChoice(r.Choice, prog.Shown); !strings.Contains(told, "with values of high chosen for it") {
		t.Error(told)
	}
	if v := reason.ViewChoice(r.Choice); v.Proved || len(v.Beside) != 1 || v.Beside[0] != "high" {
		t.Errorf("%+v", v)
	}
}

// TestDescribeNothingToChoose says of a name that the rules fix, and of one that is free
// beside it, what there was to choose.
func TestDescribeNothingToChoose(t *testing.T) {
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("plate.perch", `design "Plate"
param wide: length in 50mm..500mm
param high: length in 50mm..500mm
rule 2 * wide = 400mm
size it: wide largest, high free
`), load.Library(), shop)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	r, diags := build.Solve(prog, "it", shop, nil)
	if diag.HasErrors(diags) || r.Choice == nil {
		t.Fatal(diags)
	}
	const want = "wide largest is 200mm by rule 2 * wide = 400mm, which leave nothing to choose; values of high were taken with which the rules hold, not the only ones"
	if told := reason.DescribeChoice(r.Choice, prog.Shown); told != want {
		t.Error(told)
	}
	if v := reason.ViewChoice(r.Choice); !v.Fixed || !v.Proved {
		t.Errorf("%+v", v)
	}
}

// Why a rule is there is said once, whether its text ends with it or not.
func TestWhyOfARuleOnce(t *testing.T) {
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("plate.perch", `design "Plate" in millimetres
stock tin = sheet(mild_steel, 1mm)
param wide: length in 50mm..500mm = 100mm
panel plate(w: length) { face base on level(0mm) { outline rect(w, 100mm) } }
part one of tin = plate(wide)
rule mass() <= 200g "it goes by post"
size it: wide largest
`), load.Library(), shop)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	r, diags := build.Size(prog, "it", shop, nil)
	if diag.HasErrors(diags) || r.Choice == nil {
		t.Fatal(diags)
	}
	l, ok := reason.Why(r, "wide")
	if !ok {
		t.Fatal("no reason for wide")
	}
	var out bytes.Buffer
	if err := l.Write(&out, prog.Shown); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(out.String(), "it goes by post"); n != 1 {
		t.Errorf("said %d times in\n%s", n, out.String())
	}
}
