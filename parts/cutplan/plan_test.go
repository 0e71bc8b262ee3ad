package cutplan_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"perch/parts/cutplan"
	"perch/parts/measure"
	"perch/parts/nest"
	"perch/parts/outline"
	"perch/parts/plane"
)

func pt(x, y float64) plane.Point { return plane.Point{X: x, Y: y} }

func rect(x, y float64) plane.Loop { return plane.RectAt(pt(0, 0), pt(x, y)) }

func hole(d, x, y float64) plane.Loop {
	return plane.Circle(d).Transform(plane.Translate(pt(x, y))).Reversed()
}

// nested is a sheet as nesting leaves it: frames with blanks in their openings,
// rounded plates with holes and a slot, ells.
func nested(t testing.TB) *cutplan.Sheet {
	t.Helper()
	if sheet == nil {
		sheet = nest1(t)
	}
	return sheet
}

// sheet is nested once for all tests; none changes it.
var sheet *cutplan.Sheet

func nest1(t testing.TB) *cutplan.Sheet {
	t.Helper()
	round, _, err := plane.Polygon([]plane.Corner{{P: pt(0, 0), Round: 20}, {P: pt(180, 0), Round: 5}, {P: pt(180, 90), Round: 20}, {P: pt(0, 90)}})
	if err != nil {
		t.Fatal(err)
	}
	slot := plane.Slot(60, 12).Transform(plane.Translate(pt(90, 60))).Reversed()
	ell := plane.Loop{{P: pt(0, 0)}, {P: pt(200, 0)}, {P: pt(200, 50)}, {P: pt(50, 50)}, {P: pt(50, 160)}, {P: pt(0, 160)}}
	j := nest.Job{
		Blanks: []nest.Blank{
			{Name: "frame", Region: plane.Region{rect(500, 360), plane.RectAt(pt(50, 50), pt(450, 310)).Reversed(), hole(9, 25, 25), hole(9, 475, 335)}, Count: 1},
			{Name: "plate", Region: plane.Region{round, hole(10, 30, 30), hole(25, 150, 40), slot}, Count: 4},
			{Name: "ell", Region: plane.Region{ell}, Count: 4},
		},
		Sheets:  []nest.Sheet{{Name: "s", Length: 1000, Width: 500}},
		Margin:  8,
		Spacing: 6,
		Kerf:    1.5,
	}
	r, err := nest.Sheets(context.Background(), j, nest.Options{Effort: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	u := r.Sheets[0]
	s := &cutplan.Sheet{Name: "s", Material: "mild_steel", Thickness: 2, Metal: plane.Region{rect(1000, 500)}, Remnant: u.Remnant}
	for i, p := range u.Placed {
		s.Parts = append(s.Parts, cutplan.Part{Number: i + 1, Name: j.Blanks[p.Piece].Name, Region: j.Blanks[p.Piece].Region.Transform(p.Transform())})
	}
	return s
}

const profileText = `
name = "test table"
torch_on = "M3"
torch_off = "M5"
line_numbers = 10
rapid = 6000
hour = 40
header = ["M8"]
footer = ["M2"]
[[feed]]
thickness = 2
feed = 3000
delay = 0.4
`

func profile(t testing.TB, text string) *cutplan.Profile {
	t.Helper()
	p, err := cutplan.ReadProfile(text)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

var options = cutplan.Options{Kerf: 1.5, LeadIn: 4, LeadOut: 2, SmallHole: 12, Drill: 4}

// Every mode is set once: by the program's own head, or by the profile's header. The
// way of RS-274 to say that corners may be rounded, and how far, is asked for.
func TestEveryModeIsSetOnce(t *testing.T) {
	p, err := cutplan.New(nested(t), options)
	if err != nil {
		t.Fatal(err)
	}
	plain := strings.Replace(profileText, `header = ["M8"]`, "", 1)
	for _, c := range []struct{ text, path string }{
		{plain, "G64"},
		{"blend = 0.05\n" + plain, "G64 P0.05"},
		{"unit = \"in\"\nblend = 0.0508\n" + plain, "G64 P0.002"},
		{"header = [\"G17 G40 G49 G90\", \"g64 P0.1\"]\n" + plain, "g64 P0.1"},
		{"header = [\"G61\"]\n" + plain, "G64"},
	} {
		prof := profile(t, c.text)
		var b bytes.Buffer
		if err := cutplan.Program(&b, p, prof); err != nil {
			t.Fatal(err)
		}
		unit := map[string]string{"mm": "G21", "in": "G20"}[prof.Unit]
		for _, mode := range []string{unit, "G17", "G40", "G90", "G64"} {
			if n := len(regexp.MustCompile(`(?i)\b`+mode+`\b`).FindAllString(b.String(), -1)); n != 1 {
				t.Errorf("%q: %s is set %d times", c.text, mode, n)
			}
		}
		if !regexp.MustCompile(`(?m)\b` + c.path + `$`).MatchString(b.String()) {
			t.Errorf("%q: no %s", c.text, c.path)
		}
		if _, err := cutplan.ProveProgram(b.String(), p, prof); err != nil {
			t.Error(err)
		}
	}
}

func TestProgramReplayed(t *testing.T) {
	s := nested(t)
	for name, c := range map[string]struct {
		text string
		opt  func(o *cutplan.Options)
	}{
		"arcs":     {profileText, func(o *cutplan.Options) {}},
		"segments": {"arcs = false\n" + profileText, func(o *cutplan.Options) {}},
		"inches":   {"unit = \"in\"\n" + profileText, func(o *cutplan.Options) {}},
		"line":     {profileText, func(o *cutplan.Options) { o.Line = true; o.LeadOut = 0 }},
		"tab":      {profileText, func(o *cutplan.Options) { o.Tab = 0.5 }},
		"tabs":     {profileText, func(o *cutplan.Options) { o.Tab, o.Tabs = 0.8, 4 }},
	} {
		t.Run(name, func(t *testing.T) {
			opt := options
			c.opt(&opt)
			p, err := cutplan.New(s, opt)
			if err != nil {
				t.Fatal(err)
			}
			prof := profile(t, c.text)
			var b bytes.Buffer
			if err := cutplan.Program(&b, p, prof); err != nil {
				t.Fatal(err)
			}
			tally, err := cutplan.ProveProgram(b.String(), p, prof)
			if err != nil {
				t.Fatal(err)
			}
			// 1 frame with 3 openings, 4 plates with 3.
			if got := tally.String(); got != "9 of 9 blanks, 15 of 15 inside cuts, each once" {
				t.Error(got)
			}
			if !strings.Contains(b.String(), "Never leave the table unattended") {
				t.Error("no cautions at the head")
			}
			if opt.Tabs > 1 && p.Pierces < len(p.Cuts)+9 {
				t.Errorf("%d pierces for %d cuts: hardly a blank has tabs", p.Pierces, len(p.Cuts))
			}
			replay(t, b.String(), s, opt)
		})
	}
}

// The sheets of the examples, replayed: arcs, many blanks, holes with slow feeds.
func TestRealProgramsReplayed(t *testing.T) {
	for _, name := range []string{"stools.dxf", "hooks.dxf"} {
		s := cutplan.SheetOf(t, name)
		opt := cutplan.Options{Kerf: 1.5, LeadIn: 2.6, SmallHole: 12, Drill: 6}
		p, err := cutplan.New(s, opt)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Drills) > 0 {
			t.Fatalf("%d holes to drill would not be replayed", len(p.Drills))
		}
		prof := profile(t, strings.Replace(profileText, "thickness = 2", "thickness = 1.5", 1))
		var b bytes.Buffer
		if err := cutplan.Program(&b, p, prof); err != nil {
			t.Fatal(err)
		}
		tally, err := cutplan.ProveProgram(b.String(), p, prof)
		if err != nil {
			t.Fatal(err)
		}
		t.Log(name, tally)
		replay(t, b.String(), s, opt)
	}
}

func TestProofsRefuse(t *testing.T) {
	s := nested(t)
	p, err := cutplan.New(s, options)
	if err != nil {
		t.Fatal(err)
	}
	prof := profile(t, strings.Replace(profileText, "line_numbers = 10", "", 1))
	var b bytes.Buffer
	if err := cutplan.Program(&b, p, prof); err != nil {
		t.Fatal(err)
	}
	cuts := strings.SplitAfter(b.String(), "M5\n")
	last := len(cuts) - 1
	bad := map[string]string{
		"left out":  strings.Join(cuts[1:], ""),
		"twice":     strings.Join(append([]string{cuts[0]}, cuts...), ""),
		"freed":     cuts[last-1] + strings.Join(cuts[:last-1], "") + cuts[last],
		"moved":     strings.Replace(b.String(), "G1 X", "G1 X1", 1),
		"torch on":  strings.TrimSuffix(strings.Join(cuts[:last], ""), "M5\n"),
		"torch off": strings.Replace(b.String(), "M3\n", "", 1),
	}
	for name, text := range bad {
		var e *cutplan.ProofError
		if _, err := cutplan.ProveProgram(text, p, prof); !errors.As(err, &e) {
			t.Errorf("%s: the proof passes: %v", name, err)
		}
	}
	var d bytes.Buffer
	if err := cutplan.Drawing(&d, p, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	i := strings.Index(d.String(), "0\nCIRCLE\n8\nINSIDE")
	j := i + 1 + strings.Index(d.String()[i+1:], "0\nCIRCLE")
	for name, text := range map[string]string{
		"left out": d.String()[:i] + d.String()[j:],
		"twice":    d.String()[:i] + d.String()[i:j] + d.String()[i:],
		"cut off":  d.String()[:j],
	} {
		var e *cutplan.ProofError
		if _, err := cutplan.ProveDrawing(text, p, measure.Millimetres); !errors.As(err, &e) {
			t.Errorf("drawing %s: the proof passes: %v", name, err)
		}
	}
}

const referee = `
import json, math, sys
import ezdxf
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
out = {}
for e in doc.modelspace():
    l = out.setdefault(e.dxf.layer, [0, 0.0])
    l[0] += 1
    if e.dxftype() == "CIRCLE":
        l[1] += math.pi * e.dxf.radius ** 2
    elif e.dxftype() == "POLYLINE":
        assert e.is_closed
        pts = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in e.vertices]
        a = 0.0
        for (x, y, b), (u, v, _) in zip(pts, pts[1:] + pts[:1]):
            a += (x * v - u * y) / 2
            if b:
                t = 4 * math.atan(b)
                r = math.hypot(u - x, v - y) / 2 / abs(math.sin(t / 2))
                a += r * r * (t - math.sin(t)) / 2
        l[1] += abs(a)
print(json.dumps(dict(errors=[x.message for x in audit.errors], fixes=[x.message for x in audit.fixes], layers=out)))
`

// found is what another DXF reader finds: by layer the number and area of outlines.
type found struct {
	Errors, Fixes []string
	Layers        map[string][2]float64
}

func refereed(t *testing.T, dxf []byte) found {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("an outside referee, python3-ezdxf: PERCH_REFEREES=require asks for it")
	}
	name := filepath.Join(t.TempDir(), "sheet.dxf")
	if err := os.WriteFile(name, dxf, 0o666); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command("/usr/bin/python3", "-c", referee, name).Output()
	if err != nil {
		t.Fatal(err)
	}
	var got found
	if err := json.Unmarshal(said, &got); err != nil {
		t.Fatal(err)
	}
	return got
}

func TestDrawingIsReadByAnother(t *testing.T) {
	p, err := cutplan.New(nested(t), options)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := cutplan.Drawing(&b, p, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	tally, err := cutplan.ProveDrawing(b.String(), p, measure.Millimetres)
	if err != nil {
		t.Fatal(tally, err)
	}
	got := refereed(t, b.Bytes())
	if len(got.Errors)+len(got.Fixes) > 0 {
		t.Errorf("the auditor found %v and mended %v", got.Errors, got.Fixes)
	}
	var out, in float64
	for i := range p.Cuts {
		if a := p.Cuts[i].Contour.Area(); a > 0 {
			out += a
		} else {
			in -= a
		}
	}
	for layer, want := range map[string][2]float64{"OUTSIDE": {9, out}, "INSIDE": {15, in}, "SHEET": {1, 500000}} {
		if g := got.Layers[layer]; g[0] != want[0] || g[1] < want[1]-0.01 || g[1] > want[1]+0.01 {
			t.Errorf("layer %s has %v, want %v", layer, g, want)
		}
	}
}

// What is saved of a sheet comes back as it was, lies on the sheet, and keeps the
// seam from every blank; another DXF reader finds nothing to mend in it.
func TestRemnantComesBack(t *testing.T) {
	s := nested(t)
	p, err := cutplan.New(s, options)
	if err != nil {
		t.Fatal(err)
	}
	const seam = 6
	left := p.Left(seam)
	if left == nil {
		t.Fatal("nothing is left")
	}
	if r := s.Remnant.Size(); left.Area() < 0.95*r.X*r.Y {
		t.Errorf("%.0f mm² are saved; a rectangle of %.0f × %.0f is free", left.Area(), r.X, r.Y)
	}
	for i := range s.Parts {
		if d, _, _ := plane.Distance(left, s.Parts[i].Region); d < seam-1e-6 {
			t.Errorf("blank %d is %.3f mm from the remnant", i+1, d)
		}
	}
	if out := plane.Subtract(left, s.Metal).Area(); out > 1e-3 {
		t.Errorf("%.3f mm² of the remnant lie off the sheet", out)
	}
	var b bytes.Buffer
	if err := cutplan.WriteRemnant(&b, s, left, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	back, err := outline.ReadDXF("rest", b.String())
	if err != nil {
		t.Fatal(err)
	}
	if d := plane.Subtract(left, back).Area() + plane.Subtract(back, left).Area(); d > 0.1 {
		t.Errorf("the remnant that is read differs by %g mm²", d)
	}
	var inches bytes.Buffer
	if err := cutplan.WriteRemnant(&inches, s, left, measure.Inches); err != nil {
		t.Fatal(err)
	}
	again, err := outline.ReadDXF("rest in inches", inches.String())
	if err != nil {
		t.Fatal(err)
	}
	if d := plane.Subtract(left, again).Area() + plane.Subtract(again, left).Area(); d > 0.1 || inches.String() == b.String() {
		t.Errorf("the remnant that is read from inches differs by %g mm²", d)
	}
	if m, thick, ok := cutplan.RemnantStock(b.String()); !ok || m != "mild_steel" || thick != 2 {
		t.Errorf("its metal is read as %s %g, %v", m, thick, ok)
	}
	if m, _, ok := cutplan.RemnantStock("0\nTEXT\n8\nSTOCK\n1\nsteel\n0\nEOF\n"); ok {
		t.Errorf("a text that is no metal is read as %s", m)
	}
	got := refereed(t, b.Bytes())
	if g := got.Layers["REMNANT"]; len(got.Errors)+len(got.Fixes) > 0 || math.Abs(g[1]-left.Area()) > 0.1 || g[0] != float64(len(left)) {
		t.Errorf("another reader finds %+v, want %d outlines of %.1f mm²", got, len(left), left.Area())
	}
}

func TestErrors(t *testing.T) {
	s := &cutplan.Sheet{Name: "s", Material: "m", Thickness: 3, Metal: plane.Region{rect(200, 200)},
		Parts: []cutplan.Part{{Number: 1, Name: "p", Region: plane.Region{plane.RectAt(pt(20, 20), pt(120, 120)), hole(1.2, 60, 60)}}}}
	var kerf *cutplan.KerfError
	if _, err := cutplan.New(s, cutplan.Options{Kerf: 1.5, LeadIn: 3}); !errors.As(err, &kerf) {
		t.Errorf("a hole narrower than the kerf: %v", err)
	}
	p, err := cutplan.New(s, cutplan.Options{Kerf: 1.5, LeadIn: 3, Drill: 3})
	if err != nil || len(p.Drills) != 1 || len(p.Cuts) != 1 {
		t.Fatalf("a drill mark in its place: %v", err)
	}
	var feed *cutplan.FeedError
	if err := cutplan.Program(&bytes.Buffer{}, p, profile(t, profileText)); !errors.As(err, &feed) {
		t.Errorf("no feed for 3 mm: %v", err)
	}
	if _, err := cutplan.ReadProfile("torch_on = \"M3\"\ntorch_off = \"M5\"\nfede = 3"); err == nil {
		t.Error("an unknown word in a profile passes")
	}
}

func ExampleNew() {
	s := &cutplan.Sheet{Name: "sheet 1", Material: "mild_steel", Thickness: 2, Metal: plane.Region{rect(200, 200)},
		Parts: []cutplan.Part{{Number: 1, Name: "plate", Region: plane.Region{plane.RectAt(pt(20, 20), pt(120, 120)), hole(20, 60, 60)}}}}
	p, err := cutplan.New(s, cutplan.Options{Kerf: 1.5, LeadIn: 4, LeadOut: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range p.Cuts {
		fmt.Printf("inside %v, %.1f mm\n", c.Inside, c.Length())
	}
	// Output:
	// inside true, 67.5 mm
	// inside false, 414.1 mm
}
