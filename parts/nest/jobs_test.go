package nest_test

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"reflect"
	"testing"

	"perch/parts/nest"
	"perch/parts/plane"
)

// run nests a job and holds the result to what any must keep: every blank as often
// as it was asked for, and what the independent referee says.
func run(t testing.TB, j nest.Job, opt nest.Options) *nest.Result {
	t.Helper()
	r, err := nest.Sheets(context.Background(), j, opt)
	if err != nil {
		t.Fatal(err)
	}
	complete(t, &j, r)
	for i := range r.Sheets {
		// A sheet cut several times is looked at once.
		if i == 0 || !reflect.DeepEqual(r.Sheets[i].Placed, r.Sheets[i-1].Placed) {
			referee(t, &j, &r.Sheets[i])
		}
	}
	return r
}

func complete(t testing.TB, j *nest.Job, r *nest.Result) {
	t.Helper()
	counts := make([]int, len(j.Blanks))
	for _, u := range r.Sheets {
		if err := nest.Check(j, &j.Sheets[u.Sheet], u.Placed); err != nil {
			t.Error(err)
		}
		for _, p := range u.Placed {
			counts[p.Piece]++
		}
	}
	for i, b := range j.Blanks {
		if counts[i] != b.Count {
			t.Errorf("%s: %d of %d placed", b.Name, counts[i], b.Count)
		}
	}
}

// refereeScript lays blanks out with an independent geometry library and tells the
// largest shared area, the least gap and the least distance from the sheet's edge,
// negative outside.
const refereeScript = `
import json, sys
from shapely.geometry import Polygon
d = json.load(sys.stdin)
solid = lambda loops: Polygon(loops[0], loops[1:])
sheet, parts = solid(d["sheet"]), [solid(p) for p in d["parts"]]
shared, gap, edge = 0.0, 1e9, 1e9
for i, a in enumerate(parts):
    assert a.is_valid
    edge = min(edge, a.distance(sheet.boundary) if sheet.contains(a) else -1.0)
    for b in parts[:i]:
        gap = min(gap, a.distance(b))
        if a.intersects(b):
            shared = max(shared, a.intersection(b).area)
print(json.dumps([shared, gap, edge]))
`

// refereeTol is what chords in place of arcs may take of a gap, mm.
const refereeTol = 2e-4

func referee(t testing.TB, j *nest.Job, u *nest.Used) {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		return // what it is asked beside is tested all the same
	}
	flat := func(r plane.Region) (out [][][2]float64) {
		for _, l := range r {
			var loop [][2]float64
			for _, p := range plane.Flatten(l, refereeTol/2) {
				loop = append(loop, [2]float64{p.X, p.Y})
			}
			out = append(out, loop)
		}
		return out
	}
	in := struct {
		Sheet [][][2]float64   `json:"sheet"`
		Parts [][][][2]float64 `json:"parts"`
	}{}
	s := &j.Sheets[u.Sheet]
	if in.Sheet = flat(s.Outline); len(s.Outline) == 0 {
		in.Sheet = flat(rect(s.Length, s.Width))
	}
	for _, p := range u.Placed {
		in.Parts = append(in.Parts, flat(j.Blanks[p.Piece].Region.Transform(p.Transform())))
	}
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("/usr/bin/python3", "-c", refereeScript)
	cmd.Stdin = bytes.NewReader(b)
	said, err := cmd.Output()
	if err != nil {
		t.Errorf("the referee: %v", err)
		return
	}
	var got [3]float64
	if err := json.Unmarshal(said, &got); err != nil {
		t.Fatal(err)
	}
	if got[0] > 1e-6 || got[1] < j.Spacing-refereeTol-1e-6 || got[2] < j.Margin-refereeTol-1e-6 {
		t.Errorf("%d blanks share %g mm², lie %g mm apart and %g mm from the edge; want 0, %g, %g", len(u.Placed), got[0], got[1], got[2], j.Spacing, j.Margin)
	}
}

// of keeps the blanks of one thickness.
func of(thickness float64, blanks ...[]nest.Blank) []nest.Blank {
	var out []nest.Blank
	for _, bs := range blanks {
		for _, b := range bs {
			if b.Thickness == thickness {
				out = append(out, b)
			}
		}
	}
	return out
}

func remnantArea(u nest.Used) float64 {
	s := u.Remnant.Size()
	return s.X * s.Y
}

// A stool comes out of a sheet 1250 mm square, its gussets of 2 mm out of another.
func TestStoolOnOneSheet(t *testing.T) {
	r := run(t, job(flats(t, "stool", "mid", 1), 1250, 1250), nest.Options{Effort: 0.2})
	if len(r.Sheets) != 2 {
		t.Fatalf("%d sheets, want one of each thickness", len(r.Sheets))
	}
	for _, u := range r.Sheets {
		t.Logf("%d blanks, %.1f %% of the sheet, %.0f × %.0f mm left", len(u.Placed), 100*u.Density, u.Remnant.Size().X, u.Remnant.Size().Y)
	}
	// Half of the sheet is left.
	if a := remnantArea(r.Sheets[0]); a < 0.5*1250*1250 {
		t.Errorf("%.0f mm² left", a)
	}
}

// Four stools take 73.7 % of a sheet of 1250 × 2500 mm.
func TestFourStoolsOnOneSheet(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	blanks := of(1.5, flats(t, "stool", "mid", 4))
	r := run(t, job(blanks, 2500, 1250), nest.Options{Effort: 0.2})
	if len(r.Sheets) != 1 || len(r.Sheets[0].Placed) != 36 {
		t.Fatalf("%d sheets", len(r.Sheets))
	}
	want := area(blanks) / 2500 / 1250
	if d := r.Sheets[0].Density; d < want-1e-9 || d > want+1e-9 || d < 0.737 {
		t.Errorf("density %.4f, the blanks have %.4f", d, want)
	}
	t.Logf("%.1f %% of the sheet, %.0f × %.0f mm left", 100*want, r.Sheets[0].Remnant.Size().X, r.Sheets[0].Remnant.Size().Y)
}

// Twelve stools are on three sheets then, and sixty on no more than fifteen.
func TestManyStools(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	for _, c := range []struct {
		stools, sheets int
		effort         float64
	}{{12, 3, 0.2}, {60, 15, 0.2}} {
		r := run(t, job(of(1.5, flats(t, "stool", "mid", c.stools)), 2500, 1250), nest.Options{Effort: c.effort})
		if len(r.Sheets) > c.sheets {
			t.Errorf("%d stools on %d sheets, want %d", c.stools, len(r.Sheets), c.sheets)
		}
		last := 0.0
		for _, u := range r.Sheets {
			last = max(last, remnantArea(u))
		}
		t.Logf("%d stools on %d sheets, %.2f m² left on one", c.stools, len(r.Sheets), last/1e6)
	}
}

// sixty is a mixed job: stools of three sizes and benches of two, 63 blanks.
func sixty(t testing.TB) nest.Job {
	return job(of(1.5, flats(t, "stool", "low", 2), flats(t, "stool", "mid", 2), flats(t, "stool", "bar", 1), flats(t, "bench", "child", 1), flats(t, "bench", "door", 1)), 2500, 1250)
}

// A job of sixty blanks ends within the work that two cores do in well under 30 s:
// a unit of work takes some two nanoseconds.
func TestSixtyBlanks(t *testing.T) {
	if testing.Short() {
		t.Skip("long: four stools on a sheet show the same with -short")
	}
	j := sixty(t)
	n := 0
	for _, b := range j.Blanks {
		n += b.Count
	}
	const effort = 0.15
	r := run(t, j, nest.Options{Effort: effort})
	t.Logf("%d blanks on %d sheets, work %.2g", n, len(r.Sheets), float64(r.Work))
	if n < 60 || len(r.Sheets) != 2 || float64(r.Work) > 1e10*effort {
		t.Errorf("%d blanks on %d sheets, work %g", n, len(r.Sheets), float64(r.Work))
	}
}

// BenchmarkSixtyBlanks is to stay under 30 s an operation on two cores.
func BenchmarkSixtyBlanks(b *testing.B) {
	j := sixty(b)
	for b.Loop() {
		if _, err := nest.Sheets(context.Background(), j, nest.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
