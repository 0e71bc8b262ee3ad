package eval_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"perch/lang/build"
	"perch/parts/panel"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/parts/plane"
	"perch/parts/solid"
)

// middle is the middle of a face's outline in the world.
func middle(t *testing.T, text, part, face string) solid.Vec {
	t.Helper()
	r, diags := made(t, text)
	if diag.HasErrors(diags) {
		t.Fatalf("%s\n%v", text, diags)
	}
	for _, f := range r.Flats {
		for _, pf := range f.Panel.Faces {
			if f.Panel.Name == part && pf.Name == face {
				return pf.Frame.At(pf.Outline.Centroid())
			}
		}
	}
	t.Fatalf("there is no %s.%s", part, face)
	return solid.Vec{}
}

func near(a, b solid.Vec) bool { return a.Sub(b).Len() < 1e-9 }

// TestPlanes wants planes to lie and face as language and README say: where a point
// (u, v) of each comes to in the world, and which way it faces.
func TestPlanes(t *testing.T) {
	for _, c := range []struct {
		plane  string
		at     solid.Vec // of (10mm, 4mm)
		normal solid.Vec
	}{
		{"level(30mm)", solid.Vec{X: 10, Y: 4, Z: 30}, solid.Vec{Z: 1}},
		{"level(30mm) at (100mm, 50mm)", solid.Vec{X: 110, Y: 54, Z: 30}, solid.Vec{Z: 1}},
		{"level(30mm).moved(5mm)", solid.Vec{X: 10, Y: 4, Z: 35}, solid.Vec{Z: 1}},
		{"level(30mm).back", solid.Vec{X: -10, Y: 4, Z: 30}, solid.Vec{Z: -1}},
		{"level(30mm).back.moved(5mm)", solid.Vec{X: -10, Y: 4, Z: 25}, solid.Vec{Z: -1}},
		{"upright(y: 30mm)", solid.Vec{X: 10, Y: 30, Z: 4}, solid.Vec{Y: -1}},
		{"upright(30mm)", solid.Vec{X: 10, Y: 30, Z: 4}, solid.Vec{Y: -1}},
		{"upright(y: 30mm) at (100mm, 50mm)", solid.Vec{X: 110, Y: 30, Z: 54}, solid.Vec{Y: -1}},
		{"upright(30mm).moved(5mm)", solid.Vec{X: 10, Y: 25, Z: 4}, solid.Vec{Y: -1}},
		{"upright(30mm).back", solid.Vec{X: -10, Y: 30, Z: 4}, solid.Vec{Y: 1}},
		{"upright(x: 30mm)", solid.Vec{X: 30, Y: 10, Z: 4}, solid.Vec{X: 1}},
		{"upright(x: 30mm).back", solid.Vec{X: 30, Y: -10, Z: 4}, solid.Vec{X: -1}},
		{"upright(x: 30mm).moved(5mm)", solid.Vec{X: 35, Y: 10, Z: 4}, solid.Vec{X: 1}},
		{"b.right", solid.Vec{X: 50, Y: 10, Z: 4}, solid.Vec{X: 1}},
		{"b.right.moved(5mm)", solid.Vec{X: 55, Y: 10, Z: 4}, solid.Vec{X: 1}},
		{"b.right at (1mm, 2mm)", solid.Vec{X: 50, Y: 11, Z: 6}, solid.Vec{X: 1}},
		{"b.top", solid.Vec{X: 10, Y: 4, Z: 80}, solid.Vec{Z: 1}},
		{"b.bottom", solid.Vec{X: -10, Y: 4}, solid.Vec{Z: -1}},
		{"turned.front", solid.Vec{X: 110, Y: 10, Z: 34}, solid.Vec{X: 1}}, // after 90° the front faces right
		{"turned.top", solid.Vec{X: 96, Y: 10, Z: 110}, solid.Vec{Z: 1}},
		{"turned.right.moved(1mm)", solid.Vec{X: 90, Y: 21, Z: 34}, solid.Vec{Y: 1}},
		// what another part's face gives: base is drawn upright, 3 mm thick, its u and v like x and z
		{"base.flat.over", solid.Vec{X: 10, Z: 4}, solid.Vec{Y: 1}},
		{"base.flat.under", solid.Vec{X: 10, Y: 3, Z: 4}, solid.Vec{Y: -1}},
		{"base.flat.back", solid.Vec{X: -10, Z: 4}, solid.Vec{Y: 1}},
		{"base.flat.over at (1mm, 2mm)", solid.Vec{X: 11, Z: 6}, solid.Vec{Y: 1}},
		{"base.flat.over.moved(2mm)", solid.Vec{X: 10, Y: 2, Z: 4}, solid.Vec{Y: 1}},
		{"base.flat.over.back", solid.Vec{X: -10, Z: 4}, solid.Vec{Y: -1}},
		// from an edge: v into the metal, u along it as on the face
		{"base.flat.over from base.flat.bottom", solid.Vec{X: 10, Z: -26}, solid.Vec{Y: 1}},
		{"base.flat from base.flat.bottom", solid.Vec{X: 10, Z: -26}, solid.Vec{Y: -1}},
		{"base.flat.over from base.flat.top", solid.Vec{X: -10, Z: 26}, solid.Vec{Y: 1}},
		{"base.flat.over from base.flat.left", solid.Vec{X: -46, Z: -10}, solid.Vec{Y: 1}},
		{"base.flat.under from base.flat.right", solid.Vec{X: 46, Y: 3, Z: 10}, solid.Vec{Y: -1}},
		// square on it: where a face hung there would stand
		{"level(0mm) from base.flat.bottom", solid.Vec{X: 10, Y: -4}, solid.Vec{Z: 1}},
		{"level(0mm).back from base.flat.bottom", solid.Vec{X: 10, Y: 4}, solid.Vec{Z: -1}},
	} {
		text := `design "d"
stock tin = sheet(mild_steel, 3mm)
body b = box(100mm, 60mm, 80mm)
body turned = box(40mm, 20mm, 80mm).turned(90deg) at (100mm, 0mm, 30mm)
panel sheet_piece(on_it: plane) { face flat on on_it { outline rect(100mm, 60mm) } }
panel patch() { face flat on PLANE { outline circle(2mm) at (10mm, 4mm) } }
part base of tin = sheet_piece(upright(0mm))
part it of tin = patch()
`
		if got := middle(t, strings.Replace(text, "PLANE", c.plane, 1), "it", "flat"); !near(got, c.at) {
			t.Errorf("(10mm, 4mm) of %s lies at %v, want %v", c.plane, got, c.at)
		}
		r, _ := made(t, strings.Replace(text, "PLANE", c.plane, 1))
		if n := r.Flats[1].Panel.Faces[0].Frame.Normal(); !near(n, c.normal) {
			t.Errorf("%s faces %v, want %v", c.plane, n, c.normal)
		}
	}
}

// TestOverKeepsHands wants metal laid on a cheek that is measured from its corner to
// lie where the cheek has the same u and v, for either hand, and its edges to be called
// as there.
func TestOverKeepsHands(t *testing.T) {
	text := `design "d"
stock tin = sheet(mild_steel, 1mm)
body b = frustum(top: 300mm, bottom: 360mm, height: 200mm)
panel cheeks(c: corner) {
  face cheek[s in c.sides] on s from c { outline [(0mm, 0mm), (90mm, 0mm), (90mm, 120mm), (0mm, 120mm)]
    let away = 30mm }
  fold cheek[c.left] to cheek[c.right]
}
panel patch(f: face) {
  face flat on f.over { outline rect(20mm, 10mm) at (50mm, 60mm) }
  face lip off flat.right down 90deg { outline strip(8mm) }
}
part leg of tin = cheeks(b.front.right)
part pad[s in b.front.right.sides] of tin = patch(leg.cheek[s])
`
	r, diags := made(t, text)
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	cheek, pads := r.Flats[0].Panel.Faces, r.Flats[1:]
	for i, p := range pads {
		f := cheek[i]
		corner := f.Frame.Local(solid.Vec{X: 180, Y: -180}) // the corner's foot
		sign := 1.0
		if f.Outline.Centroid().X < corner.X {
			sign = -1
		}
		head := f.Frame.Local(solid.Vec{X: 150, Y: -150, Z: 200})
		lean := (head.X - corner.X) / (head.Y - corner.Y)
		want := f.Frame.At(plane.Point{X: corner.X + sign*50 + lean*60, Y: corner.Y + 60})
		flat := p.Panel.Faces[0]
		if got := flat.Frame.At(flat.Outline.Centroid()); !near(got, want) {
			t.Errorf("pad %d lies at %v, want %v", i+1, got, want)
		}
		lip := p.Panel.Faces[1]
		if d := f.Frame.Local(lip.Frame.O).X - f.Frame.Local(want).X; math.Abs(d-sign*10) > 1e-9 {
			t.Errorf("the lip of pad %d hangs %g beside its middle, want %g", i+1, d, sign*10)
		}
	}
}

// TestFromEdgeRefused wants an edge that does not run along the plane to be told.
func TestFromEdgeRefused(t *testing.T) {
	for edge, want := range map[string]string{"web.left": "P4008", "web.top": ""} {
		_, diags := made(t, fmt.Sprintf(`design "d"
stock tin = sheet(mild_steel, 1mm)
panel any() {
  face web on upright(0mm) { outline rect(100mm, 60mm) }
  face lid on level(30mm) from %s { outline [(-50mm, 0mm), (50mm, 0mm), (50mm, 20mm), (-50mm, 20mm)] }
  fold web to lid
}
part it of tin = any()
`, edge))
		switch {
		case want == "" && diag.HasErrors(diags):
			t.Errorf("from %s: %v", edge, diags)
		case want != "" && (len(diags) != 1 || diags[0].Code != want || !strings.Contains(fmt.Sprint(diags[0].Notes), "90deg")):
			t.Errorf("from %s: %v", edge, diags)
		}
	}
}

// TestPlacedBodiesBuildAlike puts the body of whole designs somewhere else, turned,
// and wants all that is built on it to be what the design was, moved by that motion:
// the metal of every face, and every fastener, to 1e-9 mm.
func TestPlacedBodiesBuildAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 9))
	body := regexp.MustCompile(`(?m)^body (\w+) = (frustum\(.*\))$`)
	for _, name := range []string{"bench/bench", "inch_stool/inch_stool", "plant_stand/plant_stand", "stool/stool", "tutorial/5_stool"} {
		raw, err := os.ReadFile("../../examples/" + name + ".perch")
		if err != nil {
			t.Fatal(err)
		}
		text := string(raw)
		if !body.MatchString(text) {
			t.Fatalf("%s has no body", name)
		}
		was, diags := made(t, text)
		if diag.HasErrors(diags) {
			t.Fatal(name, diags)
		}
		for k := range 4 {
			angle, by := float64(r.IntN(720)-360), solid.Vec{X: float64(r.IntN(4000) - 2000), Y: float64(r.IntN(4000) - 2000)}
			if k == 0 {
				angle = 90
			}
			if name == "tutorial/5_stool" { // nothing in it counts from the floor by itself
				by.Z = float64(r.IntN(900))
			}
			where := fmt.Sprintf(".turned(%gdeg) at (%gmm, %gmm, %gmm)", angle, by.X, by.Y, by.Z)
			is, diags := made(t, body.ReplaceAllString(text, "body $1 = $2"+where))
			if diag.HasErrors(diags) {
				t.Fatal(name, where, diags)
			}
			s, c := math.Sincos(angle * math.Pi / 180)
			motion := func(v solid.Vec) solid.Vec {
				return solid.Vec{X: c*v.X - s*v.Y + by.X, Y: s*v.X + c*v.Y + by.Y, Z: v.Z + by.Z}
			}
			sameMetal(t, name+where, was, is, motion)
		}
	}
}

// TestPlacedDrawsBuildAlike is the same for designs drawn at random, of three to eight
// sides that lean, also lifted off the floor: what counts from it is lifted too.
func TestPlacedDrawsBuildAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 4))
	body := regexp.MustCompile(`(?m)^body frame = (frustum\(.*\))$`)
	level := regexp.MustCompile(`level\(([0-9.]+)mm\)`)
	compared := 0
	for seed := uint64(1); seed <= 40; seed++ {
		text := newDraw(seed)
		was, diags := made(t, text)
		if diag.HasErrors(diags) {
			continue // refused, and so is it elsewhere
		}
		angle, by := 360*r.Float64(), solid.Vec{X: 1000 * r.NormFloat64(), Y: 1000 * r.NormFloat64(), Z: float64(r.IntN(800))}
		where := fmt.Sprintf(".turned(%.15gdeg) at (%.15gmm, %.15gmm, %gmm)", angle, by.X, by.Y, by.Z)
		placed := level.ReplaceAllStringFunc(body.ReplaceAllString(text, "body frame = $1"+where), func(s string) string {
			var z float64
			if _, err := fmt.Sscanf(s, "level(%fmm)", &z); err != nil {
				t.Fatal(s, err)
			}
			return fmt.Sprintf("level(%.3fmm)", z+by.Z)
		})
		is, diags := made(t, placed)
		if diag.HasErrors(diags) || placed == text {
			t.Fatal(seed, where, diags)
		}
		s, c := math.Sincos(angle * math.Pi / 180)
		sameMetal(t, fmt.Sprintf("seed %d%s", seed, where), was, is, func(v solid.Vec) solid.Vec {
			return solid.Vec{X: c*v.X - s*v.Y + by.X, Y: s*v.X + c*v.Y + by.Y, Z: v.Z + by.Z}
		})
		compared++
	}
	if compared < 30 {
		t.Errorf("only %d draws were compared", compared)
	}
}

// sameMetal compares two builds of one design, the first moved.
func sameMetal(t *testing.T, where string, was, is *build.Result, motion func(solid.Vec) solid.Vec) {
	t.Helper()
	if len(was.Flats) == 0 || len(was.Flats) != len(is.Flats) || len(was.Assembly.Blanks) != len(is.Assembly.Blanks) || len(was.Assembly.Joins) != len(is.Assembly.Joins) {
		t.Fatalf("%s: %d parts, %d blanks, %d fasteners, not %d, %d, %d", where, len(is.Flats), len(is.Assembly.Blanks), len(is.Assembly.Joins),
			len(was.Flats), len(was.Assembly.Blanks), len(was.Assembly.Joins))
	}
	for i, f := range was.Flats {
		g := is.Flats[i]
		for k := range f.Faces {
			a, b := metalOf(f, k), metalOf(g, k)
			if len(a) == 0 || len(a) != len(b) {
				t.Fatalf("%s: %s.%s has %d corners, not %d", where, f.Panel.Name, f.Faces[k].Name, len(b), len(a))
			}
			for _, p := range a {
				if d := nearest(motion(p), b); d > 1e-9 {
					t.Fatalf("%s: a corner of %s.%s is off by %g", where, f.Panel.Name, f.Faces[k].Name, d)
				}
			}
		}
	}
	var at []solid.Vec
	for _, j := range is.Assembly.Joins {
		at = append(at, j.At)
	}
	for _, j := range was.Assembly.Joins {
		if d := nearest(motion(j.At), at); d > 1e-9 {
			t.Fatalf("%s: a fastener of %s is off by %g", where, j.Name, d)
		}
	}
}

// metalOf is where the corners of a face's metal are in the world, once the blank is
// bent up again.
func metalOf(f *panel.Flat, face int) []solid.Vec {
	frame := f.FaceFrame(face)
	var out []solid.Vec
	for _, l := range f.Faces[face].Trimmed {
		for _, v := range l {
			out = append(out, frame.At(v.P))
		}
	}
	return out
}

func nearest(p solid.Vec, to []solid.Vec) float64 {
	d := math.Inf(1)
	for _, q := range to {
		d = min(d, p.Sub(q).Len())
	}
	return d
}

// TestBodyMargins wants sides, top and bottom of a body to move as each way of making
// it larger or smaller says. (Derived: the box is 100 × 60 × 80 mm, the sheet 3 mm.)
func TestBodyMargins(t *testing.T) {
	for _, c := range []struct {
		body              string
		x, y, floor, roof float64 // across, and heights
		middleX, middleY  float64
		fails             string
	}{
		{"b", 100, 60, 0, 80, 0, 0, ""},
		{"b.under(tin)", 94, 54, 0, 77, 0, 0, ""},
		{"b.over(tin)", 106, 66, 0, 83, 0, 0, ""},
		{"b.room(tin)", 94, 54, 3, 77, 0, 0, ""},
		{"b.inset(sides: 5mm)", 90, 50, 0, 80, 0, 0, ""},
		{"b.outset(sides: 5mm, top: 2mm, bottom: 1mm)", 110, 70, -1, 82, 0, 0, ""},
		{"b.inset(front: 10mm)", 100, 50, 0, 80, 0, 5, ""},
		{"b.inset(sides: 1mm, left: 10mm)", 89, 58, 0, 80, 4.5, 0, ""},
		{"b.outset(sides: 1mm, right: 0mm, back: 7mm)", 101, 68, 0, 80, -0.5, 3, ""},
		{"b.inset(front: 1mm, back: 2mm, left: 3mm, right: 4mm, top: 5mm, bottom: 6mm)", 93, 57, 6, 75, -0.5, -0.5, ""},
		{"(b at (10mm, 20mm, 30mm)).room(tin)", 94, 54, 33, 107, 10, 20, ""},
		{"b at (10mm, 20mm, 30mm) at (1mm, 1mm)", 0, 0, 0, 0, 0, 0, "P1101"},
		{"(b at (10mm, 20mm, 30mm)) at (1mm, 1mm)", 100, 60, 30, 110, 11, 21, ""},
		{"b.turned(90deg).inset(front: 10mm)", 50, 100, 0, 80, -5, 0, ""},
		{"frustum(sides: 6, top: 90mm, bottom: 90mm, height: 80mm).inset(front: 2mm)", 0, 0, 0, 0, 0, 0, "P2030"},
		{"b.inset(sides: 5mm, depth: 3mm)", 0, 0, 0, 0, 0, 0, "P2021"},
		{"b.turned(90mm)", 0, 0, 0, 0, 0, 0, "P2010"},
		{"b at [(1mm, 1mm)]", 0, 0, 0, 0, 0, 0, "P2010"},
		{"b at (1mm, 2deg, 3mm)", 0, 0, 0, 0, 0, 0, "P2010"},
		{"b.inset(front: 40mm, back: 40mm)", 0, 0, 0, 0, 0, 0, "P4004"},
		{"b at (100001mm, 0mm)", 0, 0, 0, 0, 0, 0, "P4004"},
		{"b at (0mm, 0mm, 1e300mm)", 0, 0, 0, 0, 0, 0, "P4004"},
		{"b at (99m, -99m)", 100, 60, 0, 80, 99000, -99000, ""},
	} {
		r, diags := made(t, fmt.Sprintf(`design "d"
stock tin = sheet(mild_steel, 3mm)
body b = box(100mm, 60mm, 80mm)
body made_of = %s
panel lid(over: body) {
  face roof on over.top { outline inside(over) }
}
panel base(over: body) {
  face ground on over.bottom { outline inside(over) }
}
part a of tin = lid(made_of)
part c of tin = base(made_of)
rule made_of.height = %gmm
`, c.body, c.roof-c.floor))
		if c.fails != "" {
			if !diag.HasErrors(diags) || diags[0].Code != c.fails {
				t.Errorf("%s: %v, want %s", c.body, diags, c.fails)
			}
			continue
		}
		if diag.HasErrors(diags) {
			t.Errorf("%s: %v", c.body, diags)
			continue
		}
		roof, ground := r.Flats[0].Panel.Faces[0], r.Flats[1].Panel.Faces[0]
		lo, hi := solid.Vec{X: math.Inf(1), Y: math.Inf(1)}, solid.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
		for _, v := range roof.Outline[0] {
			p := roof.Frame.At(v.P)
			lo, hi = solid.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}, solid.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
		}
		got := []float64{hi.X - lo.X, hi.Y - lo.Y, ground.Frame.O.Z, roof.Frame.O.Z, (hi.X + lo.X) / 2, (hi.Y + lo.Y) / 2}
		for i, want := range []float64{c.x, c.y, c.floor, c.roof, c.middleX, c.middleY} {
			if math.Abs(got[i]-want) > 1e-9 {
				t.Errorf("%s: %g wide and %g deep, from %g to %g, about %g, %g", c.body, got[0], got[1], got[2], got[3], got[4], got[5])
				break
			}
		}
	}
}

// TestBelowTheFloor wants a body that takes parts below the floor to be told, with how
// deep and with a height at which they stand on it; and nothing else.
func TestBelowTheFloor(t *testing.T) {
	const text = `design "d"
stock tin = sheet(mild_steel, 2mm)
param sunk: length in 0mm..500mm = 30mm "how low"
body b = box(100mm, 60mm, 80mm)%s
body far = box(100mm, 60mm, 80mm) at (0mm, 500mm, -70mm)
body inner = b.under(tin)
let where = inner.front
panel wall(s: side, low: length = 0mm) { face flat on s { outline s.band(low, 20mm + low) } }
panel plate() { face flat on upright(0mm) { outline rect(10mm, 10mm) } }
part low of tin = wall(where)
part high of tin = wall(far.front, low: 75mm - 5mm)
part hung of tin = plate()
`
	for _, c := range []struct{ at, summary, mend string }{
		{"", "", ""},
		{" at (5mm, 5mm)", "", ""},
		{" at (5mm, 5mm, 30mm)", "", ""},
		{" at (0mm, 0mm, -0.04mm)", "", ""},
		{" at (0mm, 0mm, -30mm)", "low passes the floor by 30 mm", "write 0mm"},
		{".turned(20deg) at (0mm, 0mm, -0.25mm)", "low passes the floor by 0.25 mm", "write 0mm"},
		{" at (0mm, 0mm, -sunk)", "low passes the floor by 30 mm", "put it no lower than 0mm"},
		{".inset(bottom: 40mm) at (0mm, 0mm, -55mm)", "low passes the floor by 15 mm", "write -40mm"},
	} {
		_, diags := made(t, fmt.Sprintf(text, c.at))
		if c.summary == "" {
			if diag.HasErrors(diags) {
				t.Errorf("%q: %v", c.at, diags)
			}
			continue
		}
		if len(diags) != 1 || diags[0].Code != "P4013" || diags[0].Summary != c.summary {
			t.Errorf("%q: %v, want P4013 %q", c.at, diags, c.summary)
			continue
		}
		d := diags[0]
		if mend := d.Fix; mend == nil && !slices.Contains(d.Notes, c.mend) || mend != nil && mend.Message != c.mend {
			t.Errorf("%q: it offers %v and %q, want %q", c.at, mend, d.Notes, c.mend)
		}
	}
}

// TestStripEnds wants a strip to be short of either end of its fold by what is said of
// it: the first of a pair is the end that u starts from.
func TestStripEnds(t *testing.T) {
	for ends, want := range map[string][2]float64{"": {-50, 50}, ", ends: 5mm": {-45, 45}, ", ends: (5mm, 20mm)": {-45, 30}, ", ends: (-5mm, 0mm)": {-55, 50}} {
		r, diags := made(t, `design "d" in millimetres
stock tin = sheet(mild_steel, 1mm)
panel any() {
  face web on upright(0mm) { outline rect(100mm, 60mm) }
  face lip off web.top down 90deg { outline strip(20mm`+ends+`) }
}
part it of tin = any()
`)
		if diag.HasErrors(diags) {
			t.Fatal(diags)
		}
		b := r.Flats[0].Panel.Faces[1].Outline.Bounds()
		if math.Abs(b.Min.X-want[0]) > 1e-9 || math.Abs(b.Max.X-want[1]) > 1e-9 {
			t.Errorf("strip(20mm%s) runs from %g to %g, want %v", ends, b.Min.X, b.Max.X, want)
		}
	}
	_, diags := made(t, `design "d" in millimetres
stock tin = sheet(mild_steel, 1mm)
panel any() {
  face web on upright(0mm) { outline rect(100mm, 60mm) }
  face lip off web.top down 90deg { outline strip(20mm, ends: (60mm, 50mm)) }
}
part it of tin = any()
`)
	if len(diags) != 1 || diags[0].Code != "P4003" || !strings.Contains(fmt.Sprint(diags[0].Notes), "60mm and 50mm") {
		t.Errorf("a strip with nothing left: %v", diags)
	}
}
