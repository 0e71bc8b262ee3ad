package family_test

import (
	"math"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/parts/strength"
)

// shelf is a bracket on a wall: a plate of 100 mm with two screws side by side, 80 mm up, and a tray of 60.
const shelf = `design "Rail" in millimetres

stock steel = sheet(mild_steel, 3mm)

panel rail() {
  face back on upright(0mm) {
    outline rect(120mm, 100mm)
    cut screw[x in [-40mm, 40mm]] = circle(6mm) at (x, 30mm)
  }
  face tray off back.bottom up 90deg { outline strip(60mm) }
}

part rail of steel = rail()

let wall = support(rail.back.screw)
let goods = load(100N, on: rail.tray, spread: 20mm)
`

// TestHanging: of a bracket the screws carry the load across, half each, and out of the wall
// what its lever asks of them about the lower edge, which presses on the wall: 100 N on
// an arm of half the tray over 80 mm; more by what the bowed plate presses above
// the screws, which no hand can reckon. It tips nowhere, stands on no floor, and nobody sits on it.
func TestHanging(t *testing.T) {
	reports, told, _ := strengthOf(t, shelf)
	if len(reports) != 1 || diag.HasErrors(told) {
		t.Fatal(reports, told)
	}
	e := reports[0].Estimates[0]
	if e.Problem != nil || len(e.Held) != 2 || len(e.Feet) != 0 || !math.IsInf(e.Tips, 1) {
		t.Fatalf("%+v", e)
	}
	weight := (100*120 + 60*120) * 3 * 7850e-9 * 9.80665
	out, across := 0.0, 0.0
	for _, h := range e.Held {
		out, across = out+h.Out, across+h.Across
		if !h.Leans || h.Name != "wall" || math.Abs(h.Out-e.Held[0].Out) > 0.05*h.Out {
			t.Errorf("%+v", h)
		}
	}
	if lever := (100*31.5 + weight/3*30) / 80; out < 0.95*lever || out > 4*lever {
		t.Errorf("out of the wall the screws carry %.1f N, the lever asks %.1f at least", out, lever)
	}
	if math.Abs(across-100-weight) > 0.03*across {
		t.Errorf("across they carry %.1f N of %.1f", across, 100+weight)
	}
	_, told, _ = strengthOf(t, strings.Replace(shelf, "let goods = load(100N, on: rail.tray, spread: 20mm)", "", 1))
	if len(told) != 2 || told[1].Code != "P9012" {
		t.Errorf("of what hangs and carries nothing it says %v", told)
	}
}

// TestFeet: a plate on two flanges, pressed in the middle, spreads its feet; against stops
// it does not, and it sags less.
func TestFeet(t *testing.T) {
	text := bridge + "let slides = load(40kg, on: span.top, spread: 20mm)\nlet stands = load(40kg, on: span.top, spread: 20mm, feet: held)\n"
	reports, told, _ := strengthOf(t, text)
	if len(reports) != 1 || diag.HasErrors(told) {
		t.Fatal(reports, told)
	}
	of := map[string]strength.Estimate{}
	for _, e := range reports[0].Estimates {
		of[e.Case.Name] = e
	}
	free, held := of["slides"], of["stands"]
	if free.Case.Stops || !held.Case.Stops || held.Sag[0] > 0.9*free.Sag[0] || held.Sag[0] < 0.1*free.Sag[0] {
		t.Errorf("it sags %v mm free, %v against stops", free.Sag, held.Sag)
	}
	if free.Stuck {
		t.Error("how the feet slide was not found")
	}
}

// TestFolds: a plate on two upright strips, 100 wide, of 1 mm, 200 mm high and free to turn at
// the floor: swaying, each buckles under π²EI/(4L²) at most (Euler, the top held straight),
// 105 N. Under 400 N on both it does not stand, whatever balance is found; under 40 it does.
func TestFolds(t *testing.T) {
	text := strings.NewReplacer("2mm, radius: 2mm", "1mm, radius: 1mm", "level(40mm)", "level(200mm)", "rect(200mm, 60mm)", "rect(120mm, 100mm)", "strip(40mm)", "strip(200mm)").Replace(bridge) +
		"let light = load(40N, on: span.top, spread: 60mm, feet: held)\nlet heavy = load(400N, on: span.top, spread: 60mm, feet: held)\n"
	reports, told, _ := strengthOf(t, text)
	if len(reports) != 1 || diag.HasErrors(told) {
		t.Fatal(reports, told)
	}
	light, heavy := reports[0].Estimates[0], reports[0].Estimates[1]
	if light.Problem != nil || light.Folds || light.Racking[0] <= 0 {
		t.Errorf("under 40 N it does not stand: %+v", light)
	}
	if heavy.Problem == nil && (!heavy.Folds || heavy.Racking != strength.Band{}) {
		t.Errorf("under 400 N it stands with %v N/mm", heavy.Racking)
	}
}
