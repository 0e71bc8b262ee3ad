package eval_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/shop"
)

const pans = `design "Pans" in millimetres
stock steel = sheet(mild_steel, 1.5mm, radius: 2mm)
panel pan(wide: length, on: plane) {
  face base on on {
    outline rect(wide, 120mm)
    cut drain = circle(10mm)
  }
  face lip[e in [base.top, base.bottom]] off e up 90deg { outline strip(30mm) }
}
part low of steel = pan(160mm, level(0mm))
part high of steel = pan(160mm, low.base.over) loose
part pair[i in 1..2] of steel = pan(90mm, level(100mm * i)) loose
`

// cutsOf lists the cuts and marks of a copy's faces, by face, as they are named.
func cutsOf(r *build.Result, part string) map[string]string {
	out := map[string]string{}
	for i, c := range r.Assembly.Copies {
		if c.Name != part {
			continue
		}
		for _, f := range r.Flats[i].Panel.Faces {
			var names []string
			for _, c := range f.Cuts {
				names = append(names, c.Name)
			}
			for _, m := range f.Marks {
				names = append(names, "mark "+m.Name)
			}
			out[f.Name] = strings.Join(names, " ")
		}
	}
	return out
}

// TestWorkFromOutside: what a file cuts and marks in faces of its parts is theirs.
func TestWorkFromOutside(t *testing.T) {
	r := sizeOf(t, pans+`
cut cable in low.base through high = circle(22mm) at (50mm, 20mm)
cut hole[i in 1..3] in pair[2].base = circle(6mm) at (15mm * i - 30mm, 20mm) if i != 2
cut slit in pair.base = slot(20mm, 6mm) at (0mm, -30mm)
mark name in low.base = text("LOW") at (-60mm, -40mm)
cut side in low.lip = circle(8mm) at (0mm, 15mm)
cut follow in high.base = circle(6mm) at (-50mm, 20mm)
let cut_away = area(low.base) - (area(low.base.outline) - area(low.base.cable) - area(low.base.drain))
`)
	for part, want := range map[string]map[string]string{
		"low":    {"base": "drain cable mark name", "lip.top": "side", "lip.bottom": "side"},
		"high":   {"base": "drain cable follow", "lip.top": "", "lip.bottom": ""},
		"pair.1": {"base": "drain slit", "lip.top": "", "lip.bottom": ""},
		"pair.2": {"base": "drain hole.1 hole.3 slit", "lip.top": "", "lip.bottom": ""},
	} {
		if got := cutsOf(r, part); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s has %v, want %v", part, got, want)
		}
	}
	edge := sizeOf(t, pans+"cut left in low.base = circle(22mm)\nlet hole = area(low.base.left)\ncut row[i in 1..3] in low.base = circle(6mm * i) at (30mm * i - 60mm, 40mm)\nlet third = area(low.base.row[3])\nlet long = high.base.left.length")
	if got := asked(t, edge, "hole"); math.Abs(got-math.Pi*121) > 1e-9 {
		t.Errorf("a cut of an edge's name is of %g mm²", got)
	}
	if got := asked(t, edge, "third"); math.Abs(got-math.Pi*81) > 1e-9 {
		t.Errorf("the third of a row is of %g mm²", got)
	}
	if len(r.Assembly.Blanks) != 4 {
		t.Errorf("%d blanks, want 4: the pair is cut differently", len(r.Assembly.Blanks))
	}
	if got := asked(t, r, "cut_away"); math.Abs(got) > 1e-6 {
		t.Errorf("the metal of low.base is off by %g mm² from its outline less its two holes", got)
	}
	// the hole through both lies in one line, and `over` keeps u and v
	at := func(part string) panel.Face {
		for i, c := range r.Assembly.Copies {
			if c.Name == part {
				return r.Flats[i].Panel.Faces[0]
			}
		}
		t.Fatal(part)
		return panel.Face{}
	}
	centre := func(f panel.Face, cut string) (x, y float64) {
		i := slices.IndexFunc(f.Cuts, func(c panel.Cut) bool { return c.Name == cut })
		v := f.Frame.At(f.Cuts[i].Region[0].Centroid())
		return v.X, v.Y
	}
	lx, ly := centre(at("low"), "cable")
	hx, hy := centre(at("high"), "cable")
	if math.Hypot(lx-hx, ly-hy) > 1e-9 || math.Hypot(lx-50, ly-20) > 1e-9 {
		t.Errorf("the cable's hole is at %g, %g in one and at %g, %g in the other, want 50, 20", lx, ly, hx, hy)
	}
	fx, fy := centre(at("high"), "follow")
	if math.Hypot(fx+50, fy-20) > 1e-9 {
		t.Errorf("u = -50mm of the upper face is at %g, %g, want -50, 20", fx, fy)
	}
}

// TestWorkFromOutsideFollows: a cut goes by another part's cut, and a join by a cut made
// from outside.
func TestWorkFromOutsideFollows(t *testing.T) {
	r := sizeOf(t, pans+`
cut first in low.base = circle(4.9mm) at [(50mm, 20mm), (-50mm, 20mm)]
join both = low.base to high.base at low.base.first by rivet(4.8mm)
cut big in pair.base = circle(flat_long(low) / 10)
`)
	if n := len(r.Assembly.Joins); n != 2 {
		t.Errorf("%d rivets in the two holes", n)
	}
	for i, c := range r.Assembly.Copies {
		if c.Name == "pair.1" {
			f := r.Flats[i].Panel.Faces[0]
			want := math.Pi * math.Pow(asked(t, r, "flat_long(low)")/20, 2)
			if got := f.Cuts[1].Region.Area(); math.Abs(got-want) > 1e-6 {
				t.Errorf("the cut is of %g mm², by hand %g", got, want)
			}
		}
	}
}

// TestWorkFromOutsideMirrors: on a face measured from a corner, u and v mirror with the
// hand, so that a hole is as far from every corner.
func TestWorkFromOutsideMirrors(t *testing.T) {
	r := sizeOf(t, `design "Tabs" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
body core = box(200mm, 150mm, 80mm)
panel tab(c: corner, s: side) {
  face web on s from c { outline [(0mm, 0mm), (50mm, 0mm), (50mm, 60mm), (0mm, 60mm)] }
}
part first[c in core.corners] of steel = tab(c, c.left) loose
part second[c in core.corners] of steel = tab(c, c.right) loose
cut peg in first.web = circle(8mm) at (30mm, 20mm)
cut peg in second.web = circle(8mm) at (30mm, 20mm)
`)
	seen := 0
	for _, f := range r.Flats {
		web := f.Panel.Faces[0]
		p := web.Frame.At(web.Cuts[0].Region[0].Centroid())
		x, y := 100-math.Abs(p.X), 75-math.Abs(p.Y)
		if math.Abs(math.Hypot(x, y)-30) > 1e-9 || math.Abs(p.Z-20) > 1e-9 {
			t.Errorf("%s: the hole at %v is not 30mm from its corner and 20mm up", f.Panel.Name, p)
		}
		seen++
	}
	if seen != 8 {
		t.Errorf("%d parts, want 8", seen)
	}
}

// TestWorkFromOutsideRefused: what can't be cut is told, with its place.
func TestWorkFromOutsideRefused(t *testing.T) {
	for text, want := range map[string]string{
		"cut a in low.bsae = circle(6mm)":                                       "P2030 bsae",
		"cut a in low = circle(6mm)":                                            "P2048 low",
		"cut a in pair[3].base = circle(6mm)":                                   "P2062 pair[3]",
		"cut drain in low.base = circle(6mm)":                                   "P2002 drain",
		"cut a in pair.base = circle(6mm)\ncut a in pair[1].base = circle(8mm)": "P2002 a",
		"cut a in low.base = circle(mass(low) / 1kg * 10mm)":                    "P2060 mass(low)",
		"cut a in low.base = circle(mass(high) / 1kg * 10mm)\ncut b in high.base = circle(mass(low) / 1kg * 10mm)": "P2060 mass(low)",
		"cut a in low.base = circle(6mm) at (200mm, 0mm)":                                                          "P4022",
		"cut a in low.base through pair[1] = circle(6mm) at (70mm, 20mm)":                                          "P4014 pair[1]",
		"cut a in low.base = low.base.b\ncut b in low.base = low.base.a":                                           "P2004",
		"cut a in low.base = 3mm": "P2010 3mm",
		"cut a = circle(3mm)":     "P1104 cut",
		"panel p() { face f on level(0mm) { outline rect(9mm, 9mm) cut a in f = circle(3mm) } }": "P1104 cut",
	} {
		facts := shop.Default()
		prog, diags, err := load.Source(diag.NewSource("refused.perch", pans+text), load.Library(), facts)
		if err != nil {
			t.Fatal(err)
		}
		if len(diags) == 0 {
			_, diags = build.Size(prog, build.Sizes(prog)[0], facts, nil)
		}
		var got []string
		for _, d := range diags {
			if d.Severity == diag.Error {
				at, _, _ := strings.Cut(d.Span.Text(), "\n")
				got = append(got, d.Code+" "+at)
			}
		}
		if len(got) == 0 || !strings.HasPrefix(got[0], want) {
			t.Errorf("%s: told %q, want %q", text, got, want)
		}
		for _, d := range diags {
			if d.Code == "P2060" && !strings.Contains(strings.Join(d.Notes, " "), "low needs a in low.base needs") {
				t.Errorf("%s: the circle is not printed: %v", text, d.Notes)
			}
		}
	}
}

// TestCircleThroughALetIsTold: where a let or an argument lies on the way from a cut to
// its own part's metal, the whole way is told, and why it can't be.
func TestCircleThroughALetIsTold(t *testing.T) {
	facts := shop.Default()
	for text, way := range map[string]string{
		"let half = mass(low) / 1kg\ncut a in low.base = circle(10mm * half)":                "half needs low needs a in low.base needs half",
		"let half = mass(low)\nlet one = half / 1kg\ncut a in low.base = circle(10mm * one)": "half needs low needs a in low.base needs one needs half",
	} {
		prog, diags, err := load.Source(diag.NewSource("circle.perch", pans+text), load.Library(), facts)
		if err != nil {
			t.Fatal(err)
		}
		if len(diags) == 0 {
			_, diags = build.Size(prog, build.Sizes(prog)[0], facts, nil)
		}
		var notes []string
		for _, d := range diags {
			if d.Code == "P2060" {
				notes = append(notes, d.Notes...)
			}
		}
		all := strings.Join(notes, "; ")
		if !strings.Contains(all, way) || !strings.Contains(all, "a cut is made before its part is measured") {
			t.Errorf("%s: told %q, want %q", text, all, way)
		}
	}
}

// TestCutInABendPointsOut: a cut that the file makes and that reaches into a bend is
// shown where it is made.
func TestCutInABendPointsOut(t *testing.T) {
	facts := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("bend.perch", `design "d" in millimetres
stock steel = sheet(mild_steel, 2mm)
panel angle() {
  face base on level(0mm) { outline rect(80mm, 60mm) }
  face leaf off base.top up 90deg { outline strip(40mm) }
}
part angle of steel = angle()
cut cable in angle.base = circle(20mm) at (0mm, 24mm)
`), load.Library(), facts)
	if err != nil || len(diags) > 0 {
		t.Fatal(err, diags)
	}
	_, diags = build.Size(prog, build.Sizes(prog)[0], facts, nil)
	if len(diags) != 1 || diags[0].Code != "P4021" {
		t.Fatalf("told %v, want one P4021", diags)
	}
	if at := diags[0].Span.Text(); at != "circle(20mm) at (0mm, 24mm)" {
		t.Errorf("%q is pointed to", at)
	}
}

// TestWorkFromOutsideSurvives takes every byte out of such statements, and ends the text
// at every byte: whatever is told, nothing panics, and a design without a mistake builds.
func TestWorkFromOutsideSurvives(t *testing.T) {
	const said = `cut hole[i in 1..2] in pair[i].base through low = circle(6mm) at (9mm, 2mm) if i > 1
mark name in low.lip[low.base.top] = text("A") at (1mm, 9mm)
cut next in pair.base = pair[2].base.hole
`
	facts := shop.Default()
	told, silent := 0, 0
	try := func(text string) {
		prog, diags, err := load.Source(diag.NewSource("said.perch", pans+text), load.Library(), facts)
		if err != nil {
			t.Fatal(err)
		}
		if !diag.HasErrors(diags) {
			silent++
			_, diags = build.Size(prog, build.Sizes(prog)[0], facts, nil)
		}
		if diag.HasErrors(diags) {
			told++
		}
	}
	for i := range said {
		try(said[:i])
		try(said[:i] + said[i+1:])
	}
	if told < 100 || silent < 10 {
		t.Errorf("only %d mistakes were told, %d texts were without", told, silent)
	}
}
