package eval_test

import (
	"math"
	"strings"
	"testing"
)

// trestle is a table of a deck with two legs bent down, and a strut that nothing holds.
const trestle = `design "Trestle" in millimetres
stock steel = sheet(mild_steel, THICK, radius: 2mm)
panel bent(on: plane) {
  face deck on on { outline rect(300mm, 120mm) }
  face leg[e in [deck.left, deck.right]] off e down 90deg { outline strip(90mm) }
}
part table of steel = bent(level(90mm)) loose
`

// TestCarriedByLaws: beyond what its own weight does, an estimate goes by the laws that a
// plate goes by: movement and stress with the load while movements are small (Hooke), and
// movement with the cube of the thickness against it (plate theory).
func TestCarriedByLaws(t *testing.T) {
	r := sizeOf(t, strings.Replace(trestle, "THICK", "2mm", 1))
	thick := sizeOf(t, strings.Replace(trestle, "THICK", "3mm", 1))
	of := func(what, n string) float64 { return asked(t, r, what+"(load("+n+", on: table.deck))") }
	if one, two := of("sag", "10N")-of("sag", "5N"), of("sag", "15N")-of("sag", "10N"); !(one > 0) || math.Abs(two/one-1) > 0.03 {
		t.Errorf("5 N more sag %v, 5 more %v", one, two)
	}
	if one, two := of("used", "10N")-of("used", "5N"), of("used", "15N")-of("used", "10N"); !(one > 0) || math.Abs(two/one-1) > 0.03 {
		t.Errorf("5 N more use %v of the yield stress, 5 more %v", one, two)
	}
	more := func(n string) float64 { return asked(t, thick, "sag(load("+n+", on: table.deck))") }
	if by := (of("sag", "15N") - of("sag", "5N")) / (more("15N") - more("5N")); math.Abs(by/math.Pow(1.5, 3)-1) > 0.1 {
		t.Errorf("a deck of 2 mm sags %v times one of 3 mm, the cubes have %v", by, math.Pow(1.5, 3))
	}
	if u := of("rivet_used", "5N"); u != 0 {
		t.Errorf("no rivet is used to %v", u)
	}
	if s := of("sway", "5N"); !(s < of("sag", "5N")) {
		t.Errorf("pushed down it sways %v", s)
	}
}

// TestUncarried: what no estimate can be made of is told by what is wrong with it.
func TestUncarried(t *testing.T) {
	text := strings.Replace(trestle, "THICK", "2mm", 1)
	for more, want := range map[string]string{
		"let s = sag(load(5N, on: table.deck))": "",
		"part none[i in 1..0] of steel = bent(level(290mm)) loose\nlet s = sag(load(5N, on: table.deck, at: (400mm, 0mm)))": "P9002 (400mm, 0mm) is not on the face",
	} {
		got := toldOf(t, text+more+"\n")
		if want == "" && got != "" || !strings.HasPrefix(got, want) {
			t.Errorf("%s: %s, want %s", more, got, want)
		}
	}
}
