package eval_test

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/parts/panel"
)

// toldOf are the codes and words of what was said of a text, joined.
func toldOf(t *testing.T, text string) string {
	t.Helper()
	_, diags := made(t, text)
	var out []string
	for _, d := range diags {
		if d.Severity == diag.Error {
			out = append(out, strings.Join(append([]string{d.Code + " " + d.Summary}, d.Notes...), " / "))
		}
	}
	return strings.Join(out, "; ")
}

const bench = `design "Bench" in millimetres
stock steel = sheet(mild_steel, 1.5mm, radius: 2mm)
param wide: length = 180mm
param deep: length = 120mm
body core = box(wide, deep, 80mm)
panel lid(x: length, y: length, on: plane) {
  rule x >= y "longer than wide"
  face top on on { outline rect(x, y) }
}
let double(l: length in 10mm..100mm) = 2 * l
let list = [3mm, 5mm, 8mm]
part plate of steel = lid(wide, deep, core.top) loose
`

// TestRefused: what a build refuses of a sound text's values, with its numbers.
func TestRefused(t *testing.T) {
	for text, want := range map[string]string{
		"": "",
		"let l = plate.top.edge(core.front).length":                                     "",
		"let l = plate.top.edge(level(20mm)).length":                                    "P4010 this plane is parallel to top: it holds no edge of it",
		"let l = plate.top.edge(core.front.in_by(3mm)).length":                          "?",
		"let a = list[1]\nlet b = list[3]":                                              "",
		"let a = list[0]":                                                               "P2062 the list has 3 items, counted from 1",
		"let a = list[4]":                                                               "P2062 the list has 3 items, counted from 1",
		"let n = count(plate.top.edges)\nlet a = list[n - 1]":                           "",
		"let n = count(plate.top.edges)\nlet a = list[n]":                               "P2062 the list has 3 items, counted from 1",
		"let a = double(10mm)\nlet b = double(100mm)":                                   "",
		"let a = double(wide / 20)":                                                     "P3010 l is 9mm, outside its range",
		"let a = double(wide - 79.9mm)":                                                 "P3010 l is 100.1mm, outside its range",
		"part odd of steel = lid(60mm, 90mm, level(200mm)) loose":                       "P3006 ?",
		"part odd of steel = lid(60mm, 60mm, level(200mm)) loose":                       "",
		"part odd of steel = lid(60mm, -90mm, level(200mm)) loose":                      "P4003 ?",
		"part odd of steel = lid(-90mm, -60mm, level(200mm)) loose":                     "P3006 ?", // no face is drawn where a rule is broken
		"part n[i in 1..1000] of steel = lid(60mm, 40mm, level(200mm + 3mm * i)) loose": "",
	} {
		got := toldOf(t, bench+text+"\n")
		if head, some := strings.CutSuffix(want, "?"); some && strings.HasPrefix(got, head) && !strings.Contains(got, "; ") && got != "" {
			continue
		}
		if got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// TestFoldsAreOnce: a fold statement about faces that hang is about the folds that they
// hang by.
func TestFoldsAreOnce(t *testing.T) {
	for _, c := range []struct {
		folds  string
		radii  []float64 // of the folds
		relief panel.Relief
	}{
		{"", []float64{2, 2}, panel.ReliefAuto},
		{"fold base to lip by bend(radius: 3mm)", []float64{3, 3}, panel.ReliefAuto},
		{"fold base to lip[base.top] by bend(radius: 3mm)", []float64{3, 2}, panel.ReliefAuto},
		{"fold base to lip[base.bottom] by bend(radius: 3mm)", []float64{2, 3}, panel.ReliefAuto},
		{"fold base to lip by bend(radius: 3mm) if deep > 100mm", []float64{3, 3}, panel.ReliefAuto},
		{"fold base to lip by bend(radius: 3mm) if deep < 100mm", []float64{2, 2}, panel.ReliefAuto},
		{"fold base to lip by bend(radius: 3mm) if deep < 100mm\n  fold base to lip by bend(radius: 4mm)", []float64{4, 4}, panel.ReliefAuto},
		{"fold base to lip[base.top] by bend(radius: 3mm)\n  fold base to lip by bend(radius: 4mm)", []float64{3, 4}, panel.ReliefAuto},
		{"fold base to lip by bend(relief: slit)", []float64{2, 2}, panel.ReliefSlit},
		{"fold base to lip by bend(radius: 0.5mm, relief: none)", []float64{0.5, 0.5}, panel.ReliefNone},
	} {
		r, diags := made(t, `design "Lips" in millimetres
stock steel = sheet(mild_steel, 1mm, radius: 2mm)
param deep: length = 120mm
panel pan() {
  face base on level(0mm) { outline rect(160mm, deep) }
  face lip[e in [base.top, base.bottom]] off e up 90deg { outline strip(30mm) }
  `+c.folds+`
}
part one of steel = pan() loose
`)
		if r == nil || diag.HasErrors(diags) {
			t.Errorf("%s: %v", c.folds, diags)
			continue
		}
		var radii []float64
		for _, f := range r.Flats[0].Panel.Folds {
			radii = append(radii, f.Radius)
			if f.Relief != c.relief || math.Abs(f.Angle-math.Pi/2) > 1e-12 || f.A != 0 {
				t.Errorf("%s: %+v", c.folds, f)
			}
		}
		if !slices.Equal(radii, c.radii) {
			t.Errorf("%s: folds of radii %v, want %v", c.folds, radii, c.radii)
		}
	}
}

// TestFoldsAreOfTheirPair: the bend(…) of a fold between two faces is not that of a fold by
// which one of them hangs on a third.
func TestFoldsAreOfTheirPair(t *testing.T) {
	for folds, want := range map[string]map[string]float64{
		"":                                      {"base/rim": 2, "rim/lip": 2},
		"fold base to rim by bend(radius: 3mm)": {"base/rim": 3, "rim/lip": 2},
		"fold rim to lip by bend(radius: 3mm)":  {"base/rim": 2, "rim/lip": 3},
	} {
		r, diags := made(t, `design "Rim" in millimetres
stock steel = sheet(mild_steel, 1mm, radius: 2mm)
panel pan() {
  face base on level(0mm) { outline rect(160mm, 120mm) }
  face rim off base.top up 90deg { outline strip(40mm) }
  face lip off rim.top up 90deg { outline strip(20mm) }
  `+folds+`
}
part one of steel = pan() loose
`)
		if r == nil || diag.HasErrors(diags) {
			t.Errorf("%s: %v", folds, diags)
			continue
		}
		got := map[string]float64{}
		for _, f := range r.Flats[0].Panel.Folds {
			got[f.Name] = f.Radius
		}
		if !maps.Equal(got, want) {
			t.Errorf("%s: %v, want %v", folds, got, want)
		}
	}
}

// TestFoldsBackwards: a family that hangs can't be what its own face hangs on.
func TestFoldsBackwards(t *testing.T) {
	got := toldOf(t, `design "Lips" in millimetres
stock steel = sheet(mild_steel, 1mm, radius: 2mm)
panel pan() {
  face base on level(0mm) { outline rect(160mm, 120mm) }
  face lip[e in [base.top, base.bottom]] off e up 90deg { outline strip(30mm) }
  fold lip to base by bend(radius: 3mm)
}
part one of steel = pan() loose
`)
	const want = "P2035 lip.top hangs on base: the fold would hang base back on it / a fold names the face that hangs second: fold base to lip"
	if got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
