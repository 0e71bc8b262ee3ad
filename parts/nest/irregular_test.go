package nest

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"perch/parts/plane"
)

// bestKnown are densities in %, from memory of Elkeran, European Journal of
// Operational Research 231 (2013) 757–769; dighe1 is a jigsaw, so certain.
var bestKnown = map[string]float64{
	"albano": 89.58, "dagli": 89.51, "dighe1": 100, "fu": 92.41, "shapes0": 68.79, "swim": 75.94,
}

// instance is an open strip-packing instance as the JSON file holds it.
type instance struct {
	Name   string  `json:"name"`
	Width  float64 `json:"strip_width"`
	Area   float64 `json:"total_area"`
	Pieces []struct {
		ID        string       `json:"id"`
		Demand    int          `json:"demand"`
		Rotations []float64    `json:"rotations"`
		Outline   [][2]float64 `json:"outline"`
	} `json:"pieces"`
}

// layoutFile is what is written per instance, for anyone to check.
type layoutFile struct {
	Name   string       `json:"name"`
	Length float64      `json:"length"`
	Placed []placedFile `json:"placed"`
}

type placedFile struct {
	ID       string  `json:"id"`
	Rotation float64 `json:"rotation"`
	X        float64 `json:"x"`
	Y        float64 `json:"y"`
}

// refereeScript lays the outlines out with an independent geometry library and
// tells the largest shared area and how far any sticks out of the strip.
const refereeScript = `
import json, sys
from shapely.geometry import Polygon
from shapely import affinity
ins, lay = json.load(open(sys.argv[1])), json.load(sys.stdin)
pieces = {p["id"]: p for p in ins["pieces"]}
count, polys, shared, out = {}, [], 0.0, 0.0
for q in lay["placed"]:
    p = pieces[q["id"]]
    assert q["rotation"] in p["rotations"]
    count[q["id"]] = count.get(q["id"], 0) + 1
    polys.append(affinity.translate(affinity.rotate(Polygon(p["outline"]), q["rotation"], origin=(0, 0)), q["x"], q["y"]))
assert all(count.get(k, 0) == p["demand"] for k, p in pieces.items())
for i, a in enumerate(polys):
    x0, y0, x1, y1 = a.bounds
    out = max(out, -x0, -y0, x1 - lay["length"], y1 - ins["strip_width"])
    for b in polys[:i]:
        if a.intersects(b):
            shared = max(shared, a.intersection(b).area)
print(json.dumps([shared, out]))
`

func referee(t testing.TB, name string, l layoutFile) {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		return // what it is asked beside is tested all the same
	}
	b, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("/usr/bin/python3", "-c", refereeScript, name)
	cmd.Stdin = bytes.NewReader(b)
	said, err := cmd.Output()
	if err != nil {
		t.Errorf("%s: the referee: %v", l.Name, err)
		return
	}
	var got [2]float64
	if err := json.Unmarshal(said, &got); err != nil {
		t.Fatal(err)
	}
	if got[0] > 1e-6 || got[1] > 1e-6 {
		t.Errorf("%s: pieces share %g, stick out by %g", l.Name, got[0], got[1])
	}
}

func readInstance(t testing.TB, name string) (instance, Strip) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var in instance
	if err := json.Unmarshal(b, &in); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	s := Strip{Width: in.Width}
	for _, p := range in.Pieces {
		q := Piece{Count: p.Demand, Rotations: p.Rotations}
		for _, v := range p.Outline {
			q.Outline = append(q.Outline, plane.Point{X: v[0], Y: v[1]})
		}
		s.Pieces = append(s.Pieces, q)
	}
	return in, s
}

func (in instance) layout(p *Packing) layoutFile {
	out := layoutFile{Name: in.Name, Length: p.Length}
	for _, q := range p.Placed {
		out.Placed = append(out.Placed, placedFile{in.Pieces[q.Piece].ID, q.Rotation, q.At.X, q.At.Y})
	}
	return out
}

// TestIrregular holds the open instances of PERCH_IRREGULAR to the density that is asked
// for at default effort. Where it is not set, BenchmarkIrregular does.
func TestIrregular(t *testing.T) {
	dir := os.Getenv("PERCH_IRREGULAR")
	if dir == "" {
		t.Skip("PERCH_IRREGULAR names no folder of instances")
	}
	packIrregular(t, dir)
}

// BenchmarkIrregular is TestIrregular on the folder that stands beside the project where
// PERCH_IRREGULAR names no other.
func BenchmarkIrregular(b *testing.B) {
	dir := os.Getenv("PERCH_IRREGULAR")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "data", "irregular")
	}
	if _, err := os.Stat(dir); err != nil {
		b.Skip("no instances are at hand; PERCH_IRREGULAR names their folder")
	}
	for b.Loop() {
		packIrregular(b, dir)
	}
}

// packIrregular packs a folder's instances at PERCH_IRREGULAR_EFFORT (default 1), has the
// layouts checked for overlaps, and where PERCH_IRREGULAR_OUT names a folder writes them.
func packIrregular(t testing.TB, dir string) {
	files, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no instances in %s", dir)
	}
	effort := 1.0
	if e := os.Getenv("PERCH_IRREGULAR_EFFORT"); e != "" {
		if effort, err = strconv.ParseFloat(e, 64); err != nil {
			t.Fatal(err)
		}
	}
	var sum float64
	var known int
	for _, name := range files {
		in, strip := readInstance(t, name)
		began := time.Now()
		p, err := PackStrip(context.Background(), strip, Options{Effort: effort})
		if err != nil {
			t.Errorf("%s: %v", in.Name, err)
			continue
		}
		took := time.Since(began)
		referee(t, name, in.layout(p))
		key := filepath.Base(name)
		best := bestKnown[key[:len(key)-len(".json")]]
		density := 100 * in.Area / (in.Width * p.Length)
		t.Logf("%-8s length %10.3f density %6.2f %% of best known %6.2f: %6.2f %% in %.1f s, work %.2g", in.Name, p.Length, density, best, 100*density/best, took.Seconds(), float64(p.Work))
		if out := os.Getenv("PERCH_IRREGULAR_OUT"); out != "" {
			b, err := json.MarshalIndent(in.layout(p), "", " ")
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(out, key), append(b, '\n'), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if best == 0 {
			continue
		}
		sum += density / best
		known++
		if effort >= 1 && density < 0.94*best {
			t.Errorf("%s: density %.2f %% is below 94 %% of the best known %.2f %%", in.Name, density, best)
		}
	}
	if known > 0 {
		t.Logf("average %.2f %% of best known", 100*sum/float64(known))
		if effort >= 1 && sum/float64(known) < 0.97 {
			t.Errorf("average %.2f %% of best known is below 97 %%", 100*sum/float64(known))
		}
	}
}
