package family_test

import (
	"bytes"
	"encoding/json"
	"math"
	"path/filepath"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/panel"
	"perch/parts/record"
	"perch/parts/shop"
	"perch/parts/solid"
)

// writtenFaces is what this test reads of a record.
type writtenFaces struct {
	Blanks []struct {
		Faces []struct {
			Loop  [][3]float64
			Frame struct{ Origin, X, Y [3]float64 }
		}
	}
	Copies []struct{ Matrix [16]float64 }
}

// Frame and matrix as they are written, to six and twelve decimals, carry the corners of
// every face of every copy of every example to within 1e-6 mm of the plane that the
// same numbers gave before they were written.
func TestWrittenFacesKeepTheirPlanes(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) < 6 {
		t.Fatal(err, files)
	}
	shop := shop.Default()
	worst, corners := 0.0, 0
	for _, file := range files {
		prog, diags, err := load.Design(file, shop)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(file, err, diags)
		}
		results, diags := family.Job{Program: prog, Shop: shop}.Results()
		if diag.HasErrors(diags) {
			t.Fatal(file, diags)
		}
		for _, r := range results {
			var text bytes.Buffer
			if err := record.Write(&text, r.Assembly, record.Options{}); err != nil {
				t.Fatal(err)
			}
			var w writtenFaces
			if err := json.Unmarshal(text.Bytes(), &w); err != nil {
				t.Fatal(err)
			}
			for i, c := range r.Assembly.Copies {
				flat := r.Assembly.Blanks[c.Blank].Flat
				for k := range flat.Faces {
					f := flat.Faces[k].Frame
					exact := solid.Frame{O: c.Matrix.Apply(f.O), X: turned(c.Matrix, f.X), Y: turned(c.Matrix, f.Y)}
					written := w.Blanks[c.Blank].Faces[k]
					for _, v := range written.Loop {
						p := solid.Vec{}
						for axis, out := range []*float64{&p.X, &p.Y, &p.Z} {
							g := written.Frame
							*out = g.Origin[axis] + v[0]*g.X[axis] + v[1]*g.Y[axis]
						}
						off := math.Abs(exact.Plane().Height(panel.Matrix(w.Copies[i].Matrix).Apply(p)))
						worst = max(worst, off)
						corners++
						if !(off <= 1e-6) {
							t.Errorf("%s, %s, %s of %s: (%g, %g) lies %g mm off its plane", file, r.Assembly.Size, flat.Faces[k].Name, c.Name, v[0], v[1], off)
						}
					}
				}
			}
		}
	}
	if corners < 1000 {
		t.Fatalf("only %d corners were looked at", corners)
	}
	t.Logf("%d corners, at most %.2g mm off", corners, worst)
}

func turned(m panel.Matrix, v solid.Vec) solid.Vec {
	return m.Apply(v).Sub(m.Apply(solid.Vec{}))
}
