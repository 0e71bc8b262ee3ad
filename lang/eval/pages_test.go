package eval_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/explain"
	"perch/lang/load"
	"perch/parts/shop"
)

// pageLoader finds the library, and a page's own modules.
type pageLoader struct {
	check.Loader
	files map[string]string
}

func (l pageLoader) File(_ *diag.Source, p string) (*diag.Source, error) {
	text, ok := l.files[p]
	if !ok {
		return nil, fmt.Errorf("there is no file %s", p)
	}
	return diag.NewSource(p, text), nil
}

// figures are the numbers of a message.
var figures = regexp.MustCompile(`-?[0-9]+(\.[0-9]+)?`)

// TestPagesOfEvaluation builds both designs of every page on what evaluation refuses: the
// wrong one is refused by that code and no other, at the place, with the numbers and the mend
// written in testdata/refused.txt (anew with PERCH_UPDATE=1); the right one is built.
func TestPagesOfEvaluation(t *testing.T) {
	facts := shop.Default()
	var b strings.Builder
	tried := 0
	for _, code := range explain.Codes() {
		p, _ := explain.Get(code)
		if !strings.HasPrefix(code, "P206") && !strings.HasPrefix(code, "P4") && !strings.HasPrefix(code, "P5") || p.Wrong == nil {
			continue
		}
		var found []diag.Diagnostic
		for _, e := range []*explain.Example{p.Wrong, p.Right} {
			prog, diags, err := load.Source(diag.NewSource("page.perch", e.Text), pageLoader{load.Library(), e.Files}, facts)
			if err != nil {
				t.Fatal(err)
			}
			if !diag.HasErrors(diags) {
				for _, size := range build.Sizes(prog) {
					_, more := build.Size(prog, size, facts, nil)
					diags = append(diags, more...)
				}
			}
			if e == p.Wrong {
				found = diags
			} else if diag.HasErrors(diags) {
				t.Errorf("%s: the right design gives %v", code, diags)
			}
		}
		for _, d := range found {
			if d.Severity != diag.Error {
				continue
			}
			tried++
			if d.Code != code {
				t.Errorf("%s: the wrong design gives %v", code, d)
			}
			fmt.Fprintf(&b, "%s at %q by %s", d.Code, p.Wrong.Text[d.Span.Start:d.Span.End], strings.Join(figures.FindAllString(d.Summary+" "+strings.Join(d.Notes, " "), -1), " "))
			if d.Fix != nil {
				for _, e := range d.Fix.Edits {
					fmt.Fprintf(&b, "; mend %q", e.Text)
				}
			}
			b.WriteByte('\n')
		}
	}
	if tried < 15 {
		t.Errorf("only %d refusals", tried)
	}
	holdLines(t, "testdata/refused.txt", b.String())
}

// allMade is a design of all that evaluation makes, statement by statement.
const allMade = `design "Made" in millimetres
param wide: length = 180mm
param n: count = 3
param hole: flag = true
stock steel = sheet(mild_steel, 1.5mm, radius: 2mm)
stock thick = sheet(mild_steel, 3mm, radius: 3mm)
body core = box(wide, 120mm, 80mm)
body cone = frustum(sides: 5, top: 120mm, bottom: 180mm, height: 90mm) at (400mm, 0mm)
let spoke[i in 1..n] = polar(30mm, 120deg * i)
let small = rect(30mm, 20mm).rounded(3mm)
panel tray(b: body) {
  face floor on b.bottom { outline inside(b)
    cut vent[i in 1..n] = circle(6mm) at spoke[i]
    cut slit = slot(20mm, 4mm) at (0mm, -40mm) if hole
    mark ring = bead(circle(90mm), width: 6mm)
    mark word = text("A", height: 8mm)
    mark ticks = line([(0mm, 0mm), (4mm, 4mm)]) at [(10mm, 30mm), (-10mm, 30mm)]
  }
  face wall[s in b.sides] off floor on s { outline s.band(0mm, 40mm) }
  seam wall by open(1mm)
}
panel angle(on: plane, by: length) {
  face foot on on { outline rect(by, 40mm) }
  face web off foot.top up 90deg { outline strip(30mm, ends: 3mm) }
  fold foot to web by bend(radius: 3mm, relief: square)
}
part pan of steel = tray(core) loose
part bowl of steel = tray(cone) loose
part rib[i in 1..n] of thick = angle(core.bottom.moved(0mm - 10mm * i), 60mm) loose
`

// TestMadeByHand holds what comes of it to plane geometry: areas of what is cut, counts of
// copies, cuts and marks, what leans and hangs.
func TestMadeByHand(t *testing.T) {
	facts := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("made.perch", allMade), load.Library(), facts)
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	r, diags := build.Size(prog, build.Sizes(prog)[0], facts, nil)
	if r == nil || diag.HasErrors(diags) {
		t.Fatal(diags)
	}
	byName := map[string]int{}
	for i, f := range r.Flats {
		byName[f.Panel.Name] = i
	}
	if len(r.Flats) != 5 {
		t.Fatalf("%d parts", len(r.Flats))
	}
	pan := r.Flats[byName["pan"]]
	if len(pan.Cuts) != 4 || len(pan.Marks) != 4 || len(pan.Folds) != 4 || pan.Holes() != 4 {
		t.Errorf("the pan has %d cuts, %d marks, %d folds, %d holes", len(pan.Cuts), len(pan.Marks), len(pan.Folds), pan.Holes())
	}
	for _, c := range pan.Cuts {
		want := math.Pi * 9
		if strings.HasPrefix(c.Name, "slit") {
			want = 16*4 + math.Pi*4
		}
		if got := c.Loop.Area(); math.Abs(math.Abs(got)-want) > 1e-9 {
			t.Errorf("%s: %v mm², want %v", c.Name, got, want)
		}
	}
	bowl := r.Flats[byName["bowl"]]
	if len(bowl.Faces) != 6 || len(bowl.Folds) != 5 {
		t.Errorf("the bowl has %d faces, %d folds", len(bowl.Faces), len(bowl.Folds))
	}
	for _, name := range []string{"rib.1", "rib.2", "rib.3"} {
		i, ok := byName[name]
		if !ok {
			t.Fatalf("no %s among %v", name, byName)
		}
		// 40 and 30 along the web's middle, less what the bend takes, DIN 6935 at r = t
		f := r.Flats[i]
		w, h := f.Size()
		ba := f.Folds[0].Bend.Allowance()
		long := []float64{w, h}
		slices.Sort(long)
		// the foot is drawn inside: one set-back of the inner radius each
		if math.Abs(long[0]-60) > 1e-9 || math.Abs(long[1]-(40+30-2*3+ba)) > 1e-9 {
			t.Errorf("%s is %v × %v; the bend takes %v", name, w, h, ba)
		}
	}
}

// holdLines holds every line of a file to be among those that came out; new ones are written
// down with PERCH_UPDATE=1.
func holdLines(t *testing.T, file, got string) {
	t.Helper()
	if os.Getenv("PERCH_UPDATE") != "" {
		if err := os.WriteFile(file, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(got, "\n")
	for _, want := range strings.Split(string(text), "\n") {
		if !slices.Contains(lines, want) {
			t.Errorf("%s: %q did not come out; for its code there is %q", file, want, slices.DeleteFunc(slices.Clone(lines), func(l string) bool {
				return len(l) < 5 || len(want) < 5 || l[:5] != want[:5]
			}))
		}
	}
}
