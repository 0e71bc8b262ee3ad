package family_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
	"perch/parts/strength"
)

// bridge is a plate on two flanges, 200 mm long and 60 wide, of 2 mm.
const bridge = `design "Bridge"

stock tin = sheet(mild_steel, 2mm, radius: 2mm)

panel span() {
  face top on level(40mm) { outline rect(200mm, 60mm) }
  face near off top.left down 90deg { outline strip(40mm) }
  face far off top.right down 90deg { outline strip(40mm) }
}

part span of tin = span()
`

func strengthOf(t *testing.T, text string) ([]*strength.Report, []diag.Diagnostic, string) {
	t.Helper()
	sh := shop.Default()
	program, told, err := load.Source(diag.NewSource("bridge.perch", text), load.Library(), sh)
	if err != nil || diag.HasErrors(told) {
		t.Fatal(err, told)
	}
	job := family.Job{Program: program, File: "bridge.perch", Shop: sh}
	out := t.TempDir()
	var reports []*strength.Report
	told, err = job.Strength(t.Context(), out, job.Output(false), family.Estimating{Each: func(_ *build.Result, r *strength.Report) { reports = append(reports, r) }})
	if err != nil {
		t.Fatal(err)
	}
	return reports, told, out
}

// TestStrength: a load that the design names, between a beam on two edges and one that is
// clamped there (beam theory; its ends turn the flanges, which slide), and what is written.
func TestStrength(t *testing.T) {
	text := bridge + "let goods = load(5kg, on: span.top, spread: 20mm)\n"
	reports, told, out := strengthOf(t, text)
	if len(reports) != 1 || diag.HasErrors(told) {
		t.Fatal(reports, told)
	}
	e := reports[0].Estimates[0]
	if e.Case.Name != "goods" || e.Case.Assumed || e.Problem != nil {
		t.Fatalf("%+v", e)
	}
	ei := 205000.0 * 60 * 8 / 12
	free := 5 * 9.80665 * 200 * 200 * 200 / (48 * ei)
	if e.Sag[0] < free/4 || e.Sag[1] > 1.1*free {
		t.Errorf("it sags %v mm, a beam %v to %v", e.Sag, free/4, free)
	}
	if e.Rough > 0.05 || e.Used <= 0 || e.Used > 1 || e.Buckling < 1 || !math.IsInf(e.Tips, 1) {
		t.Errorf("%+v", e)
	}
	for _, name := range []string{"strength.json", "strength-goods.svg"} {
		found, err := filepath.Glob(filepath.Join(out, "*", "*", name))
		if err != nil || len(found) == 0 {
			found, _ = filepath.Glob(filepath.Join(out, "*", name))
		}
		if len(found) != 1 {
			t.Errorf("%s is not written: %v", name, found)
			continue
		}
		if b, err := os.ReadFile(found[0]); err != nil || !strings.Contains(string(b), "an estimate") {
			t.Errorf("%s says not that it is an estimate: %v", name, err)
		}
	}
}

// TestStrengthMistakes: what can't be reckoned with is a mistake, and nothing is written.
func TestStrengthMistakes(t *testing.T) {
	for name, c := range map[string]struct{ text, code string }{
		"no load": {bridge, "P9012"},
		"unheld": {bridge + `panel lid() { face web on level(200mm) { outline rect(50mm, 50mm) } }
part lid of tin = lid()
let goods = load(5kg, on: lid.web)
`, "P9010"},
		"on one edge": {"design \"Fin\"\nstock tin = sheet(mild_steel, 2mm)\npanel plate() { face web on upright(0mm) { outline rect(80mm, 60mm) } }\npart fin of tin = plate() loose\nlet goods = load(5kg, on: fin.web)\n", "P9001"},
	} {
		reports, told, _ := strengthOf(t, c.text)
		found := false
		for _, d := range told {
			found = found || d.Code == c.code && d.Severity == diag.Error
		}
		if !found || len(reports) > 0 {
			t.Errorf("%s: %v", name, told)
		}
	}
}

// TestMeasures: what rules measure of a load is what the estimate tells, on coarser triangles.
func TestMeasures(t *testing.T) {
	text := bridge + "let goods = load(5kg, on: span.top, spread: 20mm)\nrule %s \"it is firm\"\n"
	sh := shop.Default()
	for rule, holds := range map[string]bool{"sag(goods) <= 2mm": true, "sag(goods) <= 0.001mm": false, "used(goods) <= 1": true, "used(goods) >= 1": false,
		"sway(goods) <= 2mm": true, "rivet_used(goods) <= 0.5": true} {
		program, told, err := load.Source(diag.NewSource("bridge.perch", strings.Replace(text, "%s", rule, 1)), load.Library(), sh)
		if err != nil || diag.HasErrors(told) {
			t.Fatal(err, told)
		}
		told = family.Job{Program: program, File: "bridge.perch", Shop: sh}.Check()
		if diag.HasErrors(told) == holds {
			t.Errorf("%s: %v", rule, told)
		}
	}
}
