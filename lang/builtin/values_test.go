package builtin_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// around is a design with what the expressions below speak of: a box of 180 × 120 × 80, a
// square frustum that leans by 3 in 4, a plate, a sheet of 1.5 and places for more.
const around = `design "Values" in millimetres
stock steel = sheet(mild_steel, 1.5mm, radius: 2mm)
param wide: length = 180mm
param deep: length = 120mm
body core = box(wide, deep, 80mm)
body cone = frustum(top: 100mm, bottom: 220mm, height: 80mm)
panel lid(x: length, y: length, on: plane) {
  face top on on { outline rect(x, y) }
}
part plate of steel = lid(wide, deep, core.top) loose
part shelf of steel = lid(60mm, 40mm, level(20mm)) loose
`

// built builds a text at its only size and gives what was said of it.
func built(t *testing.T, text string) (*build.Result, []diag.Diagnostic) {
	t.Helper()
	facts := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("values.perch", text), load.Library(), facts)
	if err != nil {
		t.Fatal(err)
	}
	if diag.HasErrors(diags) {
		return nil, diags
	}
	return build.Size(prog, build.Sizes(prog)[0], facts, nil)
}

// worth is what an expression comes to at a result, in mm, radians, kg.
func worth(t *testing.T, r *build.Result, text string) float64 {
	t.Helper()
	x, diags := build.Expression(r.Program(), text)
	if len(diags) > 0 {
		t.Errorf("%s: %v", text, diags)
		return math.NaN()
	}
	q, diags := r.Eval(x)
	if diag.HasErrors(diags) {
		t.Errorf("%s: %v", text, diags)
		return math.NaN()
	}
	return q.V
}

// Numbers by hand: plane trigonometry, and a frustum's sides from its planes.
func TestNumbersByHand(t *testing.T) {
	r, diags := built(t, around)
	if r == nil || diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	deg := math.Pi / 180
	slant := 100.0 // of a side that goes 60 out and 80 down
	for text, want := range map[string]float64{
		"sin(30deg)": 0.5, "cos(60deg)": 0.5, "tan(45deg)": 1,
		"asin(0.5)": 30 * deg, "acos(0.5)": 60 * deg, "atan(1)": 45 * deg,
		"sqrt(wide * wide)": 180, "hypot(30mm, 40mm)": 50, "hypot(-30mm, 40mm)": 50,
		"count(ring(5, 40mm))": 5,
		"wide ^ 2":             32400, "wide ^ 2 / deep ^ 2": 2.25, "2 ^ 10": 1024, "4 ^ 0.5": 2, "4 ^ (0 - 1)": 0.25, "wide * deep": 21600, "wide / deep": 1.5, "wide - deep": 60, "-wide + deep": -60,
		"mass()": (180*120 + 60*40) * 1.5 * 7850e-9, "mass(plate)": 180 * 120 * 1.5 * 7850e-9,
		"exp(0)": 1, "ln(exp(1.5))": 1.5, "abs(deep - wide)": 60, "abs(wide - deep)": 60,
		"min(wide, deep, 150mm)": 120, "max(wide, deep, 190mm)": 190,
		"round(wide, 25mm)": 175, "round(187.5mm, 25mm)": 200, "round(2.4)": 2, "round(-2.5)": -3,
		"floor(0.3mm, 0.1mm)": 0.3, "floor(30000000.6, 0.3)": 30000000.6, "ceil(30000000.6, 0.3)": 30000000.6, "floor(10000000.1, 0.1)": 10000000.1, // a step already, but for the last bits
		"floor(2.99999)": 2, "ceil(2.00001)": 3, "floor(0mm, 25mm)": 0, "floor(-1mm, 25mm)": -25, "ceil(-26mm, 25mm)": -25,
		"count(ring(round(5.6), 40mm))": 6, "count(ring(round(5.2, 2), 40mm))": 6, "count(ring(ceil(5.2, 4), 40mm))": 8,
		"floor(wide, 25mm)": 175, "floor(2.9)": 2, "ceil(wide, 25mm)": 200, "ceil(x: wide, step: 64mm)": 192, "ceil(2.1)": 3, "ceil(wide, 60mm)": 180,
		"if even(4) then 1 else 2": 1, "if even(3) then 1 else 2": 2, "if odd(3) then 1 else 2": 1, "if odd(4) then 1 else 2": 2,
		"read_off(5mm, [(0mm, 0mm), (10mm, 20mm)])": 10, "read_off(3, [(1, 2), (5, 6)])": 4, "hypot(3, 4)": 5,
		"read_off(85kg, [(60kg, 50mm), (110kg, 40mm)])": 45, "read_off(60kg, [(60kg, 50mm), (110kg, 40mm)])": 50, "read_off(110kg, [(60kg, 50mm), (110kg, 40mm)])": 40,
		"area(plate)": 180 * 120, "flat_long(plate)": 180, "flat_wide(plate)": 120, "mass(shelf)": 60 * 40 * 1.5 * 7850e-9,
		"clearance(plate, shelf)": 80 - 20 - 1.5, "count(core.sides)": 4, "count(core.corners)": 4,
		"core.height": 80, "core.under(steel).height": 80 - 1.5, "core.over(steel).height": 80 + 1.5, "core.room(steel).height": 80 - 3,
		"core.inset(sides: 4mm, top: 1mm).height": 79, "core.outset(sides: 4mm, top: 1mm).height": 81,
		"core.front.lean": 0, "cone.front.lean": math.Atan2(60, 80), "cone.front.slant": slant, "core.front.slant": 80,
		"core.front.half(10mm)": 90, "core.right.half(10mm)": 60, "cone.front.half(0mm)": 110, "cone.front.half(100mm)": 50, "cone.front.up(40mm)": 50,
		"core.right.number - core.front.number": 1, "core.corners[2].number": 2, "core.corners[1].height": 80, "cone.corners[1].height": 80,
		"count(core.front.neighbours)": 2, "count(plate.top.edges)": 4, "plate.top.left.length": 120, "plate.top.edge(core.front).length": 180,
		"steel.thickness": 1.5, "steel.radius": 2, "steel.density": 7850e-9, "floor(steel.density * 1000mm * 1000mm * 1000mm, 1kg)": 7850, "round(plate.top.left.length * 2 + steel.radius, 1mm)": 242,
		"core.front.right.other(core.front).number - core.right.number": 0,
	} {
		if got := worth(t, r, text); !(math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want))) {
			t.Errorf("%s = %v, by hand %v", text, got, want)
		}
	}
}

// Areas of shapes by hand: what is cut of them is what geometry says.
func TestShapesByHand(t *testing.T) {
	for outline, want := range map[string]float64{
		"rect(60mm, 40mm)": 2400, "rect(40mm, 60mm)": 2400, "circle(24mm)": math.Pi * 144, "slot(40mm, 8mm)": 32*8 + math.Pi*16,
		"ngon(6, across: 30mm)": 2 * math.Sqrt(3) * 15 * 15, "ngon(4, across: 30mm)": 900,
		"ngon(3, across: 30mm)": 3 * math.Sqrt(3) * 225, "ngon(64, across: 60mm)": 64 * 900 * math.Tan(math.Pi/64), "slot(40mm, 40mm)": math.Pi * 400,
		"inside(core)": 180 * 80, "ring(6, 40mm)": 1.5 * math.Sqrt(3) * 1600, "[(0mm, 0mm), polar(60mm, 0deg), polar(60mm, 90deg)]": 1800, "core.front.band(10mm, 60mm) & inside(core)": 180 * 50,
		"symmetric([(30mm, -10mm), (20mm, 15mm), (0mm, 20mm)])": (60+40)/2*25 + 40*5/2.0,
		"rect(60mm, 40mm).inset(3mm)":                           54 * 34, "rect(60mm, 40mm).outset(3mm)": 66 * 46, "circle(20mm).outset(3mm)": math.Pi * 169,
		"rect(60mm, 40mm).turned(15deg)": 2400, "slot(40mm, 8mm).mirrored()": 32*8 + math.Pi*16,
		"rect(60mm, 40mm).rounded(6mm)": 2400 - (4-math.Pi)*36, "rect(60mm, 40mm).chamfered(6mm)": 2400 - 4*18,
		"rect(60mm, 40mm) - circle(10mm) at (30mm, 0mm)": 2400 - math.Pi*25/2, "rect(60mm, 40mm) + rect(20mm, 80mm)": 2400 + 1600 - 800,
	} {
		text := around + "panel try() {\n  face it on core.front { outline " + outline + " }\n}\npart one of steel = try() loose\n"
		r, diags := built(t, text)
		if r == nil || diag.HasErrors(diags) {
			t.Errorf("%s: %v", outline, diags)
			continue
		}
		if got := worth(t, r, "area(one)"); math.Abs(got-want) > 1e-6*want {
			t.Errorf("%s has %v mm², by hand %v", outline, got, want)
		}
	}
}

// What a function refuses it refuses by a code.
func TestRefusals(t *testing.T) {
	for text, want := range map[string]string{
		"asin(2)": "P2063", "acos(-2)": "P2063", "sqrt(-4)": "P2063", "ln(0)": "P2063", "wide / 0": "P2063",
		"count(ring(hypot(3, 4), 40mm))": "P2010", "count(ring(read_off(3, [(1, 2), (5, 6)]), 40mm))": "P2010", "count(ring(read_off(3, [(1, 2), (3, 6)]), 40mm))": "P2010",
		"read_off(3kg, [1mm, 2mm])": "P2010", "read_off(3kg, [(1mm, 3mm), (2mm, 4mm)])": "P2010", "sqrt(wide)": "P2010",
		"count(ring(round(5.2, 2.5), 40mm))": "P2010", "count(ring(5.2, 40mm))": "P2010", "round(wide)": "P2023", "wide ^ 0.5": "P2013", "wide ^ 10": "P2013", "2 ^ wide": "P2013", "wide + 2": "P2011", "wide + 2deg": "P2011", "round(wide, 2)": "P2010", "round(wide, 0mm)": "P2012", "floor(wide, -1mm)": "P2012", "count(ring(0, 40mm))": "P4003",
		"read_off(50kg, [(60kg, 50mm), (110kg, 40mm)])": "P2063", "read_off(120kg, [(60kg, 50mm), (110kg, 40mm)])": "P2063",
	} {
		r, diags := built(t, around)
		if r == nil {
			t.Fatal(diags)
		}
		x, said := build.Expression(r.Program(), text)
		if len(said) == 0 {
			_, said = r.Eval(x)
		}
		holdCode(t, text, said, want)
	}
	fastened := func(by string) string {
		return around + "part lower of steel = lid(160mm, 60mm, level(-100mm))\npart upper of steel = lid(160mm, 60mm, lower.top.over)\njoin it = lower.top to upper.top by " + by + "\n"
	}
	shaped := func(outline string) string {
		return around + "panel try() {\n  face it on core.front { outline " + outline + " }\n}\npart one of steel = try() loose\n"
	}
	stocked := func(sheet string) string {
		return around + "stock other = " + sheet + "\npart more of other = lid(60mm, 40mm, level(300mm)) loose\n"
	}
	tray := func(statement string) string {
		return around + "panel try() {\n  face floor on core.bottom { outline inside(core) }\n  face wall[s in core.sides] off floor on s { outline s.band(0mm, 40mm) }\n  " + statement + "\n}\npart one of steel = try() loose\n"
	}
	for text, want := range map[string]string{
		stocked("sheet(mild_steel, 0.1mm)"): "P4003", stocked("sheet(mild_steel, 26mm)"): "P4003", stocked("sheet(mild_steel, 1mm, radius: 501mm)"): "P4003",
		stocked("sheet(mild_steel, 0.2mm)"): "", stocked("sheet(mild_steel, 0.199mm)"): "P4003", stocked("sheet(mild_steel, 25mm)"): "", stocked("sheet(mild_steel, 25.1mm)"): "P4003",
		stocked("sheet(mild_steel, 1mm, radius: 0mm)"): "", stocked("sheet(mild_steel, 1mm, radius: 500mm)"): "", stocked("sheet(mild_steel, 1mm, radius: -0.1mm)"): "P4003",
		stocked("sheet(mild_steel, 1mm, k: 1)"): "", stocked("sheet(mild_steel, 1mm, k: 1.01)"): "P4003", stocked("sheet(mild_steel, 1mm, k: 0)"): "P4003", stocked("sheet(mild_steel, 1mm, k: -0.4)"): "P4003",
		stocked("sheet(mild_steel, 1mm, size: (0mm, 500mm))"): "P4003", stocked("sheet(mild_steel, 1mm, size: (500mm, 0mm))"): "P4003",
		stocked("sheet(mild_steel, 1mm, size: (500mm, 100001mm))"): "P4003", stocked("sheet(mild_steel, 1mm, size: (100001mm, 500mm))"): "P4003", stocked("sheet(mild_steel, 1mm, size: (99999mm, 500mm))"): "", stocked("sheet(mild_steel, 1mm, size: (500mm, 99999mm))"): "",
		stocked("sheet(mild_steel, 60ga)"): "P6002", stocked("sheet(mild_steel, 1mm)"): "", stocked("sheet(mild_steel, 18ga)"): "",
		fastened("rivet(4mm, count: 0)"): "P4003", fastened("rivet(4mm, count: 1001)"): "P4003", fastened("rivet(4mm, pitch: 0mm)"): "P4003",
		fastened("rivet(4mm, pitch: -9mm)"): "P4003", fastened("rivet(4mm, edge: -1mm)"): "P4003", fastened("rivet(0mm)"): "P4003",
		fastened("rivet(4mm, set: pulled, tail: countersunk)"): "P4003", fastened("rivet(4mm, tail: countersunk)"): "P4003", fastened("rivet(4mm, set: welded, tail: countersunk)"): "P4003",
		fastened("rivet(4mm, set: cold, tail: countersunk)"): "", fastened("rivet(4mm, set: hot, tail: countersunk)"): "", fastened("rivet(4mm, set: pulled, tail: round)"): "",
		fastened("rivet(4mm, count: 1)"): "", fastened("rivet(4mm, count: 3, edge: 0mm)"): "",
		shaped("core.front.band(30mm, 10mm)"): "P4001", shaped("core.front.band(30mm, 30mm)"): "P4001", shaped("rect(60mm, 40mm) & band(3mm, 3mm)"): "P4001",
		shaped("line([(0mm, 0mm), (9mm, 9mm)])"): "P2010",
		fastened("rivet(4mm, count: 2)"):         "", fastened("bolt(6mm, pitch: 40mm)"): "",
		shaped("rect(0mm, 40mm)"): "P4003", shaped("circle(-1mm)"): "P4003", shaped("slot(8mm, 40mm)"): "P4001", shaped("ngon(2, across: 30mm)"): "P4003",
		shaped("ngon(65, across: 30mm)"): "P4003", shaped("ngon(64, across: 30mm)"): "", shaped("ngon(3, across: 0mm)"): "P4003",
		tray("seam wall by open(-1mm)"): "P4003", tray("seam wall by open(0mm)"): "", tray("seam wall by open(2mm)"): "", tray("seam wall by closed()"): "",
		tray("seam wall by lapped(0mm)"): "P4003", tray("seam wall by lapped(-3mm)"): "P4003", tray("seam wall by lapped(9mm)"): "",
		tray("fold floor to wall by bend(radius: -1mm)"): "P4003", tray("fold floor to wall by bend(radius: 3mm)"): "",
		shaped("ngon(3, across: 30mm)"): "", shaped("rect(60mm, 40mm).rounded(30mm)"): "P4001",
	} {
		_, diags := built(t, text)
		holdCode(t, text[len(around):], slices.DeleteFunc(diags, func(d diag.Diagnostic) bool { return d.Severity != diag.Error }), want)
	}
}

func holdCode(t *testing.T, what string, got []diag.Diagnostic, want string) {
	t.Helper()
	codes := []string{}
	for _, d := range got {
		codes = append(codes, d.Code)
	}
	if want == "" && len(codes) > 0 || want != "" && !slices.Contains(codes, want) {
		t.Errorf("%s: %s, want %q", what, fmt.Sprint(got), want)
	}
}

// Marked text stands on its baseline's start, or with its middle half a capital up there.
func TestTextStandsWhereItIsAnchored(t *testing.T) {
	at := map[string]float64{}
	for _, anchor := range []string{"start", "middle"} {
		r, diags := built(t, around+"panel try() {\n  face it on level(0mm) { outline rect(160mm, 80mm)\n mark word = text(\"A1\", height: 10mm, anchor: "+anchor+") }\n}\npart one of steel = try() loose\n")
		if r == nil || diag.HasErrors(diags) {
			t.Fatal(diags)
		}
		for _, f := range r.Flats {
			for _, m := range f.Marks {
				if m.Text != "A1" || m.Height != 10 {
					t.Errorf("%+v", m)
				}
				at[anchor] = m.At.Y
			}
		}
	}
	if len(at) != 2 || math.Abs(at["start"]-at["middle"]-5) > 1e-9 {
		t.Errorf("baselines at %v: the middle is half a capital of 10 mm up", at)
	}
}

// Text of no height is no mark.
func TestTextHasAHeight(t *testing.T) {
	for height, want := range map[string]string{"0mm": "P4003", "-2mm": "P4003", "0.5mm": ""} {
		r, diags := built(t, around+"panel try() {\n  face it on level(0mm) { outline rect(160mm, 80mm)\n mark word = text(\"A1\", height: "+height+") }\n}\npart one of steel = try() loose\n")
		got := ""
		for _, d := range diags {
			if d.Severity == diag.Error {
				got = d.Code
			}
		}
		if got != want || r == nil {
			t.Errorf("text of height %s: %s, want %s: %v", height, got, want, diags)
		}
	}
}

// A quantity is stepped by a unit of its own; where it has none, none is told.
func TestStepsTheirUnits(t *testing.T) {
	r, diags := built(t, around)
	if r == nil {
		t.Fatal(diags)
	}
	for text, want := range map[string][]string{
		"round(wide)":       {"such as round(x, 1mm)"},
		"floor(30deg)":      {"such as floor(x, 1deg)"},
		"ceil(wide * 30kg)": nil,
	} {
		_, said := build.Expression(r.Program(), text)
		if len(said) != 1 || said[0].Code != "P2023" || !slices.Equal(said[0].Notes, want) {
			t.Errorf("%s: %v, want %q", text, said, want)
		}
	}
}

// What is refused of a number is told with the ends of what is not.
func TestRefusalsTellTheEnds(t *testing.T) {
	for sheet, want := range map[string]string{
		"sheet(mild_steel, 26mm)":               "perch bends sheet from 0.2 mm to 25 mm thick",
		"sheet(mild_steel, 0.1mm)":              "perch bends sheet from 0.2 mm to 25 mm thick",
		"sheet(mild_steel, 1mm, radius: 501mm)": "an inside radius lies between 0 and 500 mm",
	} {
		_, diags := built(t, around+"stock other = "+sheet+"\npart more of other = lid(60mm, 40mm, level(300mm)) loose\n")
		if !slices.ContainsFunc(diags, func(d diag.Diagnostic) bool { return d.Code == "P4003" && d.Summary == want }) {
			t.Errorf("%s: %v, want %q", sheet, diags, want)
		}
	}
}

// Lines have two points or more; a bead runs along one, or along an outline.
func TestMarksAlongLines(t *testing.T) {
	marked := func(mark string) string {
		return around + "panel try() {\n  face it on level(0mm) { outline rect(160mm, 80mm)\n mark word = " + mark + " }\n}\npart one of steel = try() loose\n"
	}
	for mark, want := range map[string]string{
		"line([(-20mm, 0mm), (20mm, 0mm)])":                      "",
		"line([(-20mm, 0mm), (0mm, 9mm), (20mm, 0mm)])":          "",
		"line([(-20mm, 0mm)])":                                   "P2010",
		"bead(line([(-20mm, 0mm), (20mm, 0mm)]), width: 8mm)":    "",
		"bead(line([(-20mm, 0mm)]), width: 8mm)":                 "P2010",
		"bead(rect(70mm, 50mm).rounded(20mm), width: 8mm)":       "",
		"bead(line([(-20mm, 0mm), (20mm, 0mm)]), width: 0mm)":    "P4003",
		"bead(rect(70mm, 50mm).rounded(20mm), width: 0mm - 1mm)": "P4003",
	} {
		r, diags := built(t, marked(mark))
		errors := slices.DeleteFunc(diags, func(d diag.Diagnostic) bool { return d.Severity != diag.Error })
		holdCode(t, mark, errors, want)
		if want != "" || r == nil {
			continue
		}
		marks := 0
		for _, f := range r.Flats {
			marks += len(f.Marks)
		}
		if marks != 1 {
			t.Errorf("%s: %d marks", mark, marks)
		}
	}
}
