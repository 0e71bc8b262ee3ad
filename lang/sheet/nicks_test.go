package sheet_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/sheet"
	"perch/parts/cutplan"
	"perch/parts/dxf"
	"perch/parts/nest"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

// vees asks an independent reader for every corner of an outside outline that turns in by as
// much as a nick's tip does, with its neighbours: x, y of mouth, tip and mouth. A nick 2 mm
// wide that a kerf of 1.5 mm is to leave 1.5 mm deep is drawn 24/7 mm deep: its tip is an
// angle of twice the one of a triangle with sides 7, 24 and 25.
const vees = `
import json, math, sys
import ezdxf
out = []
for name in sys.argv[1:]:
    doc = ezdxf.readfile(name)
    audit = doc.audit()
    f = dict(errors=[x.message for x in audit.errors], fixes=[x.message for x in audit.fixes], vees=[])
    for e in doc.modelspace():
        if e.dxf.layer != "OUTSIDE" or e.dxftype() == "CIRCLE":
            continue
        assert e.is_closed
        if e.dxftype() == "LWPOLYLINE":
            pts = [(p[0], p[1], p[2]) for p in e.get_points("xyb")]
        else:
            pts = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in e.vertices]
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(pts, pts[1:] + pts[:1]))
        if area < 0: # the other way round, a bulge with the edge that it was on
            pts = [(p[0], p[1], -q[2]) for p, q in zip(pts[::-1], pts[-2::-1] + pts[-1:])]
        n = len(pts)
        for i in range(n):
            a, b, c = pts[i - 1], pts[i], pts[(i + 1) % n]
            if a[2] or b[2]:
                continue
            u, v = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
            tip = math.pi - abs(math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]))
            if u[0] * v[1] - u[1] * v[0] < 0 and abs(tip - 2 * math.atan2(7, 24)) < 1e-3:
                f["vees"].append([*a[:2], *b[:2], *c[:2]])
    out.append(f)
print(json.dumps(out))
`

// read asks the independent reader about drawings.
func read(t *testing.T, files []string) (found []struct {
	Errors, Fixes []string
	Vees          [][6]float64
}) {
	t.Helper()
	out, err := exec.Command("/usr/bin/python3", append([]string{"-c", vees}, files...)...).Output()
	if err != nil {
		t.Fatalf("the referee: %v", err)
	}
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatal(err)
	}
	return found
}

// once tells whether of the drawn nicks exactly one is at every place that is wanted, and
// none elsewhere, within a micrometre or what the unit's writing keeps.
func once(t *testing.T, where string, want [][3]plane.Point, drawn [][6]float64) {
	t.Helper()
	if len(want) != len(drawn) {
		t.Errorf("%s: %d nicks are drawn, not %d", where, len(drawn), len(want))
		return
	}
	for _, w := range want {
		count := 0
		for _, d := range drawn {
			near := func(a, b int) bool {
				return w[a].Near(plane.Point{X: d[0], Y: d[1]}, 2e-6) && w[1].Near(plane.Point{X: d[2], Y: d[3]}, 2e-6) && w[b].Near(plane.Point{X: d[4], Y: d[5]}, 2e-6)
			}
			if near(0, 2) || near(2, 0) { // a blank that is turned over runs the other way
				count++
			}
		}
		if count != 1 {
			t.Errorf("%s: the nick at %.3f is there %d times", where, w[1], count)
		}
	}
}

// profileText is a table that cuts every sheet.
const profileText = `
torch_on = "M3"
torch_off = "M5"
rapid = 6000
[[feed]]
feed = 3000
delay = 0.5
`

// Every example is nested, its cuts planned and written as drawing and program; both are
// read back by us, which finds every nick once and as deep as it is to be, and the drawings,
// of sheets and of single blanks, by an independent reader. That one is asked about all sizes.
func TestEveryNickOfTheExamplesOnce(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*/*.perch")
	if len(files) < 20 {
		t.Fatalf("%d examples", len(files))
	}
	facts := shop.Default()
	gauge, err := facts.GaugeThickness("mild_steel", 14) // of one example; the shop buys none
	if err != nil {
		t.Fatal(err)
	}
	facts.Sheets = append(facts.Sheets, shop.Sheet{Material: "mild_steel", Thickness: gauge, Width: 1250, Length: 2500})
	profile := allFeeds(t, facts)
	total := 0
	var drawings []string
	var wanted [][][3]plane.Point
	for i, file := range files {
		if testing.Short() && i%6 > 0 {
			continue
		}
		prog, _, err := load.Design(file, facts)
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		job := family.Job{Program: prog, File: file, Shop: facts}
		results, _ := job.Marked()
		want := 0
		var blanks []*panel.Blank // as the job counts them
		var orders []sheet.Order
		for _, r := range results {
			if os.Getenv("PERCH_REFEREES") != "require" && len(orders) > 0 {
				break
			}
			o := sheet.Order{File: file, Count: 1}
			if len(results) > 1 {
				o.Size = r.Assembly.Size
			}
			orders = append(orders, o)
			for _, b := range r.Assembly.Blanks {
				want += b.Count * len(nicksOf(b))
				blanks = append(blanks, b)
				name := filepath.Join(dir, fmt.Sprintf("%d.dxf", len(blanks)))
				var text bytes.Buffer
				if err := errors.Join(dxf.Write(&text, b, dxf.Options{}), os.WriteFile(name, text.Bytes(), 0o600)); err != nil {
					t.Fatal(err)
				}
				drawings, wanted = append(drawings, name), append(wanted, nicksOf(b))
			}
		}
		report, diags, err := sheet.Nesting{Orders: orders, Shop: facts, Profile: profile,
			Spacing: 6, Margin: 8, Steps: 90, Mirror: true, Effort: 0.01}.Run(t.Context(), dir)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(file, err, diags)
		}
		got := 0
		for _, s := range report.Sheets {
			if s.Tally.Nicks != s.Tally.NicksWanted {
				t.Errorf("%s, %s: %s", file, s.Name, s.Said)
			}
			got += s.Tally.Nicks
		}
		if got != want {
			t.Errorf("%s: %d nicks are cut, not %d", file, got, want)
		}
		total += got
		for name, places := range placesOf(t, dir) {
			var on [][3]plane.Point
			for _, p := range places {
				for _, v := range nicksOf(blanks[p.blank]) {
					on = append(on, [3]plane.Point{p.to.Apply(v[0]), p.to.Apply(v[1]), p.to.Apply(v[2])})
				}
			}
			drawings, wanted = append(drawings, filepath.Join(dir, name, name+".dxf")), append(wanted, on)
		}
	}
	if total < 40 && !testing.Short() || total == 0 {
		t.Errorf("only %d nicks in all examples", total)
	}
	t.Log(total, "nicks")
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("PERCH_REFEREES=require asks an independent reader too")
	}
	for i, f := range read(t, drawings) {
		if len(f.Errors)+len(f.Fixes) > 0 {
			t.Errorf("%s: %v %v", drawings[i], f.Errors, f.Fixes)
		}
		once(t, drawings[i], wanted[i], f.Vees)
	}
}

// nicksOf are a blank's nicks as they are drawn.
func nicksOf(b *panel.Blank) (out [][3]plane.Point) {
	for _, m := range b.FoldMarks {
		if m.Kind == panel.Nick {
			out = append(out, m.Vee)
		}
	}
	return out
}

// laid is a blank on a sheet.
type laid struct {
	blank int // index among the job's
	to    plane.Affine
}

// placesOf reads from a job's record what lies where on each sheet.
func placesOf(t *testing.T, dir string) map[string][]laid {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, "job.json"))
	if err != nil {
		t.Fatal(err)
	}
	var rec struct {
		Sheets []struct {
			Name   string
			Blanks []struct {
				Blank  int
				Turned float64 `json:"turned_deg"`
				Over   bool    `json:"turned_over"`
				X      float64 `json:"x_mm"`
				Y      float64 `json:"y_mm"`
			}
		}
	}
	if err := json.Unmarshal(text, &rec); err != nil {
		t.Fatal(err)
	}
	out := map[string][]laid{}
	for _, s := range rec.Sheets {
		for _, b := range s.Blanks {
			p := nest.Placed{Rotation: b.Turned, Mirrored: b.Over, At: plane.Point{X: b.X, Y: b.Y}}
			out[s.Name] = append(out[s.Name], laid{b.Blank, p.Transform()})
		}
	}
	return out
}

// allFeeds is a table profile for whatever sheet the shop has.
func allFeeds(t *testing.T, s *shop.Shop) *cutplan.Profile {
	t.Helper()
	text, feed, _ := strings.Cut(profileText, "[[feed]]")
	seen := map[float64]bool{}
	for _, x := range s.Sheets {
		if !seen[x.Thickness] {
			seen[x.Thickness] = true
			text += "[[feed]]\nthickness = " + trim(x.Thickness) + feed
		}
	}
	p, err := cutplan.ReadProfile(text)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func trim(v float64) string {
	b, _ := json.Marshal(math.Round(v*1e6) / 1e6)
	return string(b)
}

// Blanks lie where they lie whether their folds are nicked or not: who counts sheets of blanks that are not
// marked, as a measure or a comparison does, comes to what is nested.
func TestNicksAskForNoRoom(t *testing.T) {
	places := func(marks string) (map[string][]laid, int) {
		dir := t.TempDir()
		facts := shop.Default()
		facts.Brake.Marks = marks
		report, diags, err := sheet.Nesting{Orders: []sheet.Order{{File: "../../examples/stool/stool.perch", Size: "mid", Count: 1}}, Shop: facts, Profile: allFeeds(t, facts),
			Spacing: 6, Margin: 8, Steps: 90, Mirror: true, Effort: 0.01}.Run(t.Context(), dir)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(err, diags)
		}
		nicks := 0
		for _, s := range report.Sheets {
			nicks += s.Tally.Nicks
		}
		return placesOf(t, dir), nicks
	}
	with, n := places(shop.MarksNicks)
	without, none := places(shop.MarksNone)
	if n == 0 || none != 0 || len(with) == 0 {
		t.Fatalf("%d nicks on %d sheets, %d where none are asked for", n, len(with), none)
	}
	if !reflect.DeepEqual(with, without) {
		t.Errorf("with nicks they lie at %v, without at %v", with, without)
	}
}
