package nest_test

import (
	"encoding/json"
	"os"
	"testing"

	"perch/parts/nest"
	"perch/parts/plane"
)

// flat is a blank of an example as testdata/flats.json holds it; the tests of
// lang/family write that file from the examples and hold it to them.
type flat struct {
	Design    string         `json:"design"`
	Size      string         `json:"size"`
	Blank     string         `json:"blank"`
	Count     int            `json:"count"`
	Material  string         `json:"material"`
	Thickness float64        `json:"thickness"`
	Loops     [][][3]float64 `json:"loops"`
}

// flats are the blanks of a design's size, so many of it.
func flats(t testing.TB, design, size string, count int) []nest.Blank {
	t.Helper()
	b, err := os.ReadFile("testdata/flats.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []flat
	if err := json.Unmarshal(b, &all); err != nil {
		t.Fatal(err)
	}
	var out []nest.Blank
	for _, f := range all {
		if f.Design != design || f.Size != size {
			continue
		}
		blank := nest.Blank{Name: f.Blank, Count: f.Count * count, Material: f.Material, Thickness: f.Thickness}
		for _, l := range f.Loops {
			var loop plane.Loop
			for _, v := range l {
				loop = append(loop, plane.Vertex{P: plane.Point{X: v[0], Y: v[1]}, Bulge: v[2]})
			}
			blank.Region = append(blank.Region, loop)
		}
		out = append(out, blank)
	}
	if len(out) == 0 {
		t.Fatalf("no blanks of %s:%s", design, size)
	}
	return out
}

// job is blanks on sheets of one size for every thickness, 6 mm between blanks and 8 mm
// along the edges.
func job(blanks []nest.Blank, length, width float64) nest.Job {
	j := nest.Job{Blanks: blanks, Margin: 8, Spacing: 6, Kerf: 1.5}
	seen := map[float64]bool{}
	for _, b := range blanks {
		if !seen[b.Thickness] {
			seen[b.Thickness] = true
			j.Sheets = append(j.Sheets, nest.Sheet{Name: "sheet", Material: b.Material, Thickness: b.Thickness, Length: length, Width: width})
		}
	}
	return j
}

func area(blanks []nest.Blank) float64 {
	var a float64
	for _, b := range blanks {
		a += float64(b.Count) * b.Region.Area()
	}
	return a
}
