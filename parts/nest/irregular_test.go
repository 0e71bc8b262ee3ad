package nest

import (
	"context"
	"encoding/json"
	"os"
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

// TestIrregular packs the open instances of PERCH_IRREGULAR at PERCH_IRREGULAR_EFFORT
// (default 1) and holds them to the density that is asked for at default effort.
func TestIrregular(t *testing.T) {
	dir := os.Getenv("PERCH_IRREGULAR")
	if dir == "" {
		t.Skip("PERCH_IRREGULAR names no folder of instances")
	}
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
