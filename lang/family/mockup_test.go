package family_test

import (
	"path/filepath"
	"testing"

	"perch/examples"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/mockup"
	"perch/parts/mockup/folding"
	"perch/parts/shop"
)

// The paper model of every example and kept design, at 1:4, folds up to where its metal stands, letters meet, and
// no pattern lies on itself.
func TestExamplesInPaper(t *testing.T) {
	var files []string
	mirrored := 0
	for _, name := range examples.Names() {
		files = append(files, "../../examples/"+name+"/"+name+".perch")
	}
	more, _ := filepath.Glob("../../testdata/designs/*.perch")
	for _, name := range append(files, more...) {
		program, diags, err := load.Design(name, shop.Default())
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(name, err, diags)
		}
		job := family.Job{Program: program, Shop: shop.Default()}
		results, diags := job.Results()
		if diag.HasErrors(diags) {
			t.Fatal(name, diags)
		}
		for _, r := range results {
			m, err := mockup.Make(r.Assembly, mockup.Scale{Paper: 1, Metal: 4})
			if err != nil {
				t.Errorf("%s, %s: %v", name, r.Size, err)
				continue
			}
			for _, c := range r.Assembly.Copies {
				if c.Mirrored {
					mirrored++
				}
			}
			for _, fault := range folding.Faults(m) {
				t.Errorf("%s, %s: %s", name, r.Size, fault)
			}
			for _, g := range m.Gaps {
				if filepath.Base(name) == "key_cabinet.perch" && g.Seam {
					continue // its door's edging is 8 mm deep: 2 mm in paper
				}
				t.Errorf("%s, %s: no tab finds room between %s and %s", name, r.Size, m.FaceName(g.A), m.FaceName(g.B))
			}
			for b, p := range m.Patterns {
				if p.Overlap > 0.5 {
					t.Errorf("%s, %s: the pattern of %s lies on itself by %.2f mm²", name, r.Size, r.Assembly.Blanks[b].Name, p.Overlap)
				}
			}
		}
	}
	if mirrored == 0 {
		t.Error("no design has a mirrored copy: nothing is known of theirs")
	}
}
