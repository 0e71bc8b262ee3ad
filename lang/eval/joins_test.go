package eval_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/parts/drawing/layout"
)

const twoPlates = `design "Row"
stock tin = sheet(mild_steel, 1.5mm)
panel plate(on_it: plane) {
  face web on on_it { outline rect(WIDE, DEEP) }
}
part a of tin = plate(level(0mm))
part b of tin = plate(a.web.over)
join x = a.web to b.web by FASTENER
`

// A row that finds no room one way, and would find it the other, says so with what to
// write; one that finds none either way proposes nothing.
func TestRowProposesTheOtherWay(t *testing.T) {
	for _, c := range []struct{ wide, deep, by, fix string }{
		{"100mm", "20mm", "rivet(3.2mm, count: 4, along: v)", "rivet(3.2mm, count: 4, along: u)"},
		{"20mm", "100mm", "rivet(3.2mm, along: u, count: 4)", "rivet(3.2mm, along: v, count: 4)"},
		{"100mm", "20mm", "rivet(3.2mm, count: 40)", ""},
		{"100mm", "20mm", "rivet(3.2mm, count: 4)", "sound"},
		{"20mm", "100mm", "rivet(3.2mm, count: 4)", "sound"},
	} {
		text := strings.NewReplacer("WIDE", c.wide, "DEEP", c.deep, "FASTENER", c.by).Replace(twoPlates)
		_, diags := made(t, text)
		if c.fix == "sound" {
			if diag.HasErrors(diags) {
				t.Errorf("%s on %s by %s: %v", c.by, c.wide, c.deep, diags)
			}
			continue
		}
		if len(diags) != 1 || diags[0].Code != "P5002" {
			t.Errorf("%s: %v", c.by, diags)
			continue
		}
		got := ""
		if f := diags[0].Fix; f != nil {
			got = text[:f.Edits[0].Span.Start] + f.Edits[0].Text + text[f.Edits[0].Span.End:]
			if _, again := made(t, got); diag.HasErrors(again) {
				t.Errorf("%s: mended, %v", c.by, again)
			}
			_, got, _ = strings.Cut(strings.TrimSpace(got), " by ")
		}
		if got != c.fix {
			t.Errorf("%s: the fix writes %q, want %q", c.by, got, c.fix)
		}
	}
}

const stack = `design "Stack"
stock tin = sheet(mild_steel, 2mm)
panel plate(on_it: plane, wide: length = 40mm) {
  face web on on_it { outline rect(wide, 40mm) }
}
part base of tin = plate(level(0mm))
part low of tin = plate(base.web.over)
PARTS
join hold = base.web to low.web by rivet(4.8mm, count: 1)
`

// What no join holds is told once for each statement; the largest group of parts that
// hold each other is the rest; loose parts, and what is fastened to them alone, are meant so.
func TestUnfastenedParts(t *testing.T) {
	for _, c := range []struct {
		parts string
		want  []string
	}{
		{"", nil},
		{"part lid of tin = plate(level(50mm))", []string{"nothing fastens lid to the rest"}},
		{"part lid of tin = plate(level(50mm)) loose", nil},
		{"part lid of tin = plate(level(50mm)) loose if 1 < 2", nil},
		{"part foot[i in 1..3] of tin = plate(level(-50mm * i))", []string{"nothing fastens foot.1, foot.2, foot.3 to the rest"}},
		{"part lid of tin = plate(level(50mm))\npart knob of tin = plate(lid.web.over)\njoin pull = knob.web to lid.web by rivet(4.8mm, count: 1)",
			[]string{"lid, knob hold each other, and nothing fastens them to the rest"}},
		{"part lid of tin = plate(level(50mm)) loose\npart knob of tin = plate(lid.web.over)\njoin pull = knob.web to lid.web by rivet(4.8mm, count: 1)", nil},
		{"part side[i in 1..2] of tin = plate(level(50mm * i - 52mm))\njoin more = base.web to side.web by rivet(4.8mm, count: 1)",
			[]string{"nothing fastens side.2.web, which this join names", "nothing fastens side.2 to the rest"}},
		{"part long of tin = plate(low.web.over, 90mm)\njoin twice = long.web to low.web by rivet(3.2mm, count: 1)",
			[]string{"a lone rivet holds long.web and low.web, which meet over 40 mm: more than ten diameters, 32 mm"}},
	} {
		text := strings.Replace(stack, "PARTS", c.parts, 1)
		r, diags := made(t, text)
		var got []string
		for _, d := range diags {
			if d.Severity != diag.Warning {
				t.Fatal(d)
			}
			got = append(got, d.Summary)
		}
		if r.Assembly == nil || !slices.Equal(got, c.want) {
			t.Errorf("%s:\n got %q\nwant %q", c.parts, got, c.want)
		}
		for _, d := range diags {
			if d.Fix == nil {
				continue
			}
			at := d.Fix.Edits[0]
			mended := text[:at.Span.Start] + at.Text + text[at.Span.End:]
			if _, again := made(t, mended); slices.ContainsFunc(again, func(e diag.Diagnostic) bool { return e.Code == d.Code }) {
				t.Errorf("the fix leaves %s: %s", d.Code, mended)
			}
		}
	}
}

const weldedPan = `design "Pan" in millimetres
stock tin = sheet(mild_steel, 1.5mm)
panel pan() {
  face base on level(0mm) { outline rect(200mm, 120mm) }
  face wall[e in base.edges] off e up 90deg { outline strip(60mm) }
  seam wall by SEAM
}
part tray of tin = pan() loose
join corner = tray.wall to tray.wall by FASTENER
`

// The corners of a pan are welded along the lines where its walls' edges meet: each pair
// once, inside, where the drawn side is, or outside. A gap of up to half a sheet is bridged.
func TestEdgesAreWelded(t *testing.T) {
	for _, c := range []struct {
		seam, by string
		beads    int // at each of four corners; 0: nothing touches
		inside   bool
	}{
		{"closed()", "tack(6mm, pitch: 30mm)", 3, true},
		{"closed()", "weld(20mm, pitch: 30mm)", 2, true},
		{"open(0.6mm)", "weld(20mm, count: 1)", 1, true},
		{"closed()", "tack(6mm, pitch: 30mm, side: back)", 3, false},
		{"open(1mm)", "tack(6mm, pitch: 40mm)", 0, true},
	} {
		text := strings.NewReplacer("SEAM", c.seam, "FASTENER", c.by).Replace(weldedPan)
		r, diags := made(t, text)
		if c.beads == 0 {
			if len(diags) != 1 || diags[0].Code != "P5001" || !slices.Contains(diags[0].Notes, "the nearest: tray.wall.bottom and tray.wall.right are 1 mm apart; an edge is welded to what lies within 0.75 mm, half of the thinner sheet") {
				t.Errorf("%s: %v", c.seam, diags)
			}
			continue
		}
		if diag.HasErrors(diags) {
			t.Fatal(c, diags)
		}
		a := r.Assembly
		if len(a.Joins) != 4*c.beads || !a.Copies[0].Loose {
			t.Errorf("%s by %s: %d beads, want %d", c.seam, c.by, len(a.Joins), 4*c.beads)
		}
		for _, j := range a.Joins {
			// the walls' drawn sides are 100 and 60 mm from the middle
			x, y := math.Abs(j.At.X), math.Abs(j.At.Y)
			if in := max(x-100, y-60) < 0.01; in != c.inside || j.Line == nil || j.Members[0].Point == j.Members[1].Point {
				t.Errorf("%s by %s: a bead at %v, %+v", c.seam, c.by, j.At, j)
			}
		}
		for _, p := range r.Flats[0].Points {
			if n := len(layout.Strokes(p)); n != 2 {
				t.Errorf("%s: %s is marked by %d strokes, want a tick at either end", c.by, p.Name, n)
			}
		}
	}
}

// A member may be a list of faces and families of them: it joins as so many statements
// would. A face that is named twice is joined once.
func TestJoinOfLists(t *testing.T) {
	const plates = `design "Two on one" in millimetres
stock tin = sheet(mild_steel, 1.5mm)
panel plate(on_it: plane, mid: length, wide: length) {
  face web on on_it { outline rect(wide, 60mm) at (mid, 0mm) }
}
part bed of tin = plate(level(0mm), 0mm, 300mm)
part end of tin = plate(bed.web.over, -120mm, 40mm)
part slip[i in 1..2] of tin = plate(bed.web.over, 50mm * i, 40mm)
`
	points := func(joins string) []string {
		r, diags := made(t, plates+joins)
		if diag.HasErrors(diags) {
			t.Fatalf("%s: %v", joins, diags)
		}
		var out []string
		for _, j := range r.Assembly.Joins {
			out = append(out, fmt.Sprintf("%.3f %.3f %d", j.At.X, j.At.Y, len(j.Members)))
		}
		slices.Sort(out)
		return out
	}
	apart := points("join a = end.web to bed.web by rivet(3.2mm, count: 2)\njoin b = slip.web to bed.web by rivet(3.2mm, count: 2)\n")
	if len(apart) != 6 {
		t.Fatalf("%d rivets", len(apart))
	}
	for _, list := range []string{
		"join a = [end.web, slip.web] to bed.web by rivet(3.2mm, count: 2)\n",
		"join a = bed.web to [slip.web, end.web] by rivet(3.2mm, count: 2)\n",
		"join a = [end.web, slip[2].web, slip[1].web, end.web] to bed.web by rivet(3.2mm, count: 2)\n",
		"let held = [slip[1].web, slip[2].web]\njoin a = [held, end.web] to ([bed.web]) by rivet(3.2mm, count: 2)\n",
	} {
		if got := points(list); !slices.Equal(got, apart) {
			t.Errorf("%s%v, want %v", list, got, apart)
		}
	}
	_, diags := made(t, plates+"join a = [end.web, slip] to bed.web by rivet(3.2mm, count: 2)\n")
	if len(diags) != 1 || diags[0].Code != "P2037" || diags[0].Span.Text() != "slip" {
		t.Errorf("a part in the list: %v", diags)
	}
}

// A wall between two bends stands on a plate with its long edge and with a scrap of edge at
// either bend's end: the beads are on the long one.
func TestWeldPassesOverScraps(t *testing.T) {
	text := `design "Post" in millimetres
stock skin = sheet(mild_steel, 2mm)
stock thick = sheet(mild_steel, 6mm)
body column = frustum(top: 180mm, bottom: 280mm, height: 708mm) at (0mm, 0mm, 6mm)
panel plate(bed: plane) { face flat on bed { outline rect(400mm, 400mm) } }
panel half(s: side) {
  face web on s { outline s.band(0.5mm, s.slant - 0.5mm) }
  face wing[c in [s.left, s.right]] off web on c.other(s) { outline strip(60mm) & behind(s.body.top, 0.5mm) & behind(s.body.bottom, 0.5mm) }
}
part top of thick = plate(level(720mm))
part shell of skin = half(column.front)
join on = top.flat to shell.web by weld(30mm, count: 2)
`
	r, diags := made(t, text)
	if diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	if n := len(r.Assembly.Joins); n != 2 {
		t.Fatalf("%d beads", n)
	}
	for _, j := range r.Assembly.Joins {
		if math.Abs(j.At.X) > 70 || math.Abs(j.At.Z-713.5) > 0.1 {
			t.Errorf("a bead at %v", j.At)
		}
	}
}

// Where some faces of a member touch and one does not, those that do are named.
func TestTouchingFacesAreNamed(t *testing.T) {
	text := `design "Cap" in millimetres
use seat_cap from std.stool
stock tin = sheet(mild_steel, 1.5mm)
body outer = box(200mm, 200mm, 200mm)
body inner = outer.under(tin)
panel wall(s: side) { face web on s { outline s.band(0mm, s.slant - 3mm) } }
part cap of tin = seat_cap(outer, bead_in: 0mm)
part end[s in [inner.left, inner.right]] of tin = wall(s)
join head = cap.flap to end.web by rivet(4.8mm, pitch: 40mm)
`
	_, diags := made(t, text)
	if len(diags) != 1 || diags[0].Code != "P5001" || !slices.Contains(diags[0].Notes, "of what stands there cap.flap.2, cap.flap.4 touch: name those alone") {
		t.Errorf("%v", diags)
	}
	_, diags = made(t, strings.Replace(text, "cap.flap to", "[cap.flap[outer.left], cap.flap[outer.right]] to", 1))
	if diag.HasErrors(diags) {
		t.Errorf("those alone: %v", diags)
	}
}
