package family_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/drawing/layout"
	"perch/parts/plane"
	"perch/parts/shop"
)

// flatFile is one blank's outline and openings for the tests of parts/nest, which
// know no designs: each loop a list of [x, y, bulge] in mm.
type flatFile struct {
	Design    string         `json:"design"`
	Size      string         `json:"size"`
	Blank     string         `json:"blank"`
	Count     int            `json:"count"`
	Material  string         `json:"material"`
	Thickness float64        `json:"thickness"`
	Loops     [][][3]float64 `json:"loops"`
}

const flatsFile = "../../parts/nest/testdata/flats.json"

// TestFlatsForNesting holds the outlines that the tests of parts/nest read to the
// designs they were made from: four examples, and a stool that is kept for them; PERCH_UPDATE=1 writes them anew.
func TestFlatsForNesting(t *testing.T) {
	var flats []flatFile
	files := []string{"../../testdata/nested-stool.perch"}
	for _, d := range []string{"bench", "plant_stand", "tote", "wall_hook"} {
		files = append(files, "../../examples/"+d+"/"+d+".perch")
	}
	for _, file := range files {
		d := strings.TrimPrefix(strings.TrimSuffix(filepath.Base(file), ".perch"), "nested-")
		shop := shop.Default()
		prog, diags, err := load.Design(file, shop)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(d, err, diags)
		}
		results, diags := family.Job{Program: prog, Shop: shop, Sizes: build.Sizes(prog)}.Results()
		if diag.HasErrors(diags) {
			t.Fatal(d, diags)
		}
		for i, r := range results {
			for _, b := range r.Assembly.Blanks {
				st := b.Flat.Panel.Stock
				f := flatFile{Design: d, Size: build.Sizes(prog)[i], Blank: b.Name, Count: b.Count, Material: st.Material, Thickness: st.Thickness}
				for _, l := range append(plane.Region{b.Flat.Outer}, layout.Openings(b.Flat)...) {
					f.Loops = append(f.Loops, rounded(l))
				}
				flats = append(flats, f)
			}
		}
	}
	got := flatsText(t, flats)
	if os.Getenv("PERCH_UPDATE") == "1" {
		if err := os.WriteFile(flatsFile, got, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(flatsFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the designs unfold to; PERCH_UPDATE=1 writes it anew", flatsFile)
	}
}

func rounded(l plane.Loop) [][3]float64 {
	var out [][3]float64
	for _, v := range l {
		round := func(x, k float64) float64 { return math.Round(x*k)/k + 0 }
		out = append(out, [3]float64{round(v.P.X, 1e4), round(v.P.Y, 1e4), round(v.Bulge, 1e7)})
	}
	return out
}

// flatsText is one line a blank.
func flatsText(t *testing.T, flats []flatFile) []byte {
	var w bytes.Buffer
	for i, f := range flats {
		b, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&w, "%s%s", map[bool]string{true: "[\n", false: ",\n"}[i == 0], b)
	}
	w.WriteString("\n]\n")
	return w.Bytes()
}
