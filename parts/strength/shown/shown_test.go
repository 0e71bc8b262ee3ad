package shown

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/record/stool"
	"perch/parts/strength"
	"perch/parts/tipping"

	"perch/parts/shell"
	"perch/parts/shop"
	"perch/parts/solid"
)

func report() (*panel.Assembly, *strength.Report) {
	return &panel.Assembly{Design: "Step", Copies: []panel.Copy{{Name: "plate"}}}, &strength.Report{Side: 20, Nodes: 900, Bytes: 5e6, Estimates: []strength.Estimate{
		{Case: strength.Case{Name: "tread", Loads: []tipping.Load{{Force: solid.Vec{Z: -800}}}, On: []int{0}}, Tips: 2.5,
			Sag: strength.Band{1.21, 1.38}, Sway: strength.Band{0.31, 0.33}, Racking: strength.Band{310, 420}, Used: 0.4, UsedBy: "plate",
			Fastener: 0.2, Weakest: "head.1", Buckling: 6, Rough: 0.015, Feet: []strength.Foot{{Copy: "plate", Force: 820}}},
		{Case: strength.Case{Name: "kick", Loads: []tipping.Load{{Force: solid.Vec{X: 300}}}, On: []int{0}}, Tips: 0.4,
			Problem: &strength.Error{Reason: strength.Tips}},
	}}
}

// TestInInches: an inch design's loads and stiffnesses are in pounds-force, by the
// definitions of 1959: 800 N are 179.8 lbf, 310 N/mm 1770 lbf/in.
func TestInInches(t *testing.T) {
	a, r := report()
	text := strings.Join(Lines(a, r, measure.Inches), "\n")
	for _, want := range []string{"tread: 179.8 lbf down", "stands with 1800 to 2400 lbf/in", "sags 0.048 to 0.054 in", "plate 184.3 lbf"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}

// TestHelps: what a change is worth is told with both ends, what is less than the triangles
// do is told as no plain change, and what came to nothing says why.
func TestHelps(t *testing.T) {
	a, r := report()
	two := func(rigid, loose float64) strength.Shift {
		return strength.Shift{From: [2]float64{1, 1}, To: [2]float64{1 + rigid, 1 + loose}, Part: strength.Band{min(rigid, loose) - 0.02, max(rigid, loose) + 0.02}}
	}
	r.Tried = true
	r.Helps = []strength.Help{
		{Change: "shell of 2mm for 1.5mm", Mass: 1.5, Worth: []strength.Worth{{Case: "tread", Sag: two(-0.4, -0.45), Racking: two(0.3, 0.2)}}},
		{Change: "without brace", Mass: -0.25, Worth: []strength.Worth{{Case: "tread", Sag: two(0.01, -0.01), Sway: two(0.1, 0.1)}}},
		{Change: "row count: 4 for 2", Why: "they have no room"},
		{Change: "without post", Mass: -1, Worth: []strength.Worth{{Case: "tread", Sag: two(0, 0), Folds: true}}},
		{Change: "stays 2 for 1", Mass: 1, Worth: []strength.Worth{{Case: "tread", Sag: two(0, 0), Racking: two(3, 4)}}},
	}
	text := strings.Join(Lines(a, r, measure.Millimetres), "\n")
	for _, want := range []string{
		"shell of 2mm for 1.5mm  tread: sag −47 % to −38 %, stiffness sideways +18 % to +32 %; + 1.50 kg",
		"without brace           tread: sag no plain change (−3 % to +3 %), sway +8 % to +12 %; − 0.25 kg",
		"row count: 4 for 2 comes to nothing: they have no room",
		"without post            tread: it does not stand: the least push sideways folds it under the load; − 1.00 kg",
		"stiffness sideways 4.0 times as much to 5.0 times as much",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	var b bytes.Buffer
	if err := WriteJSON(&b, a, r); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"helps": [`, `"change": "without brace"`, `"problem": "they have no room"`, `"mass_kg": -0.25`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in %s", want, b.String())
		}
	}
}

func Example() {
	a, r := report()
	for _, line := range Lines(a, r, measure.Millimetres) {
		fmt.Println(line)
	}
	// Output:
	// Step
	//   tread: 800 N down on plate
	//     tips: at 2.50 times the load
	//     sags 1.2 to 1.4 mm, sways 0.31 to 0.33 mm; against a push sideways there it stands with 310 to 420 N/mm
	//     40 % of the yield stress, on plate at (0, 0, 0) mm
	//     20 % of a fastener's strength, at head.1
	//     buckles at 6.0 times the load
	//     the floor carries plate 820 N
	//     finer triangles moved sag and sway by 2 % last
	//   kick: 300 N right on plate
	//     tips: at 0.40 times the load: it falls over
	//     no more can be told: the piece falls over
	//   900 nodes, sides of 20 mm, 5 MB
}

// TestRecord: what never happens is null or left out, and a case that came to nothing says why.
func TestRecord(t *testing.T) {
	a, r := report()
	r.Estimates[0].Tips, r.Estimates[0].Buckling = math.Inf(1), math.Inf(1)
	var b bytes.Buffer
	if err := WriteJSON(&b, a, r); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"tips": null`, `"sag_mm"`, `"problem": "the piece falls over"`, "an estimate"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in %s", want, b.String())
		}
	}
	if strings.Contains(b.String(), "buckling") {
		t.Error("a piece that never buckles has a factor")
	}
}

// TestPicture: the picture is well formed, has a triangle for each of the mesh, and says
// what it is.
func TestPicture(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	steel := strength.Metal{Material: shell.Material{E: 205000, Nu: 0.3}, Yield: 235, Density: 7850}
	p, err := strength.New(t.Context(), a, strength.Options{Side: 60, Friction: 0.3, Metal: func(shop.Stock) (strength.Metal, bool) { return steel, true }})
	if err != nil {
		t.Fatal(err)
	}
	got, err := p.Linear(t.Context(), strength.Load{Force: solid.Vec{Z: -300}, At: solid.Vec{Y: 80, Z: 610}, Spread: 120})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := Picture(&b, a, &strength.Estimate{Case: strength.Case{Name: "<sit>"}, Answer: got}); err != nil {
		t.Fatal(err)
	}
	paths := 0
	for d := xml.NewDecoder(bytes.NewReader(b.Bytes())); ; {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := tok.(xml.StartElement); ok && e.Name.Local == "path" {
			paths++
		}
	}
	if paths != p.Triangles() || !strings.Contains(b.String(), "prove the piece") {
		t.Errorf("%d triangles drawn of %d", paths, p.Triangles())
	}
}
