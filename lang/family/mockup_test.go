package family_test

import (
	"context"
	"path/filepath"
	"slices"
	"testing"

	"perch/examples"
	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/measure"
	"perch/parts/mockup"
	"perch/parts/mockup/folding"
	"perch/parts/paper"
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

// The pages of every example at 1:4 and at full size have no text over text or lines, and
// all letters find room.
func TestMockupPagesOfExamples(t *testing.T) {
	for i, name := range examples.Names() {
		if testing.Short() && i%6 != 0 {
			continue
		}
		program, _, err := load.Design("../../examples/"+name+"/"+name+".perch", shop.Default())
		if err != nil {
			t.Fatal(err)
		}
		job := family.Job{Program: program, Shop: shop.Default(), Sizes: build.Sizes(program)[:1]}
		results, _ := job.Results()
		a := results[0].Assembly
		opt := mockup.Options{Sheet: paper.A4, Title: paper.Title{Design: a.Design, Size: a.Size}, Paper: measure.Paper{System: program.Shown}}
		model, err := mockup.Pages(context.Background(), a, mockup.Scale{Paper: 1, Metal: 4}, opt)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		patterns, err := mockup.Patterns(context.Background(), a, opt)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, doc := range []*paper.Document{model, patterns} {
			doc.Finish()
			for i, p := range doc.Pages {
				for _, c := range p.Clashes() {
					t.Errorf("%s, page %d: %q lies over %q at %v", doc.Name, i+1, c.Text, c.Over, c.At)
				}
				if slices.Contains(p.Written(), "No room where they belong") {
					t.Errorf("%s, page %d: letters found no room", doc.Name, i+1)
				}
			}
		}
	}
}

// A scale that does not suit is a mistake with its code, and nothing is written.
func TestMockupAtAScaleThatDoesNotSuit(t *testing.T) {
	program, _, err := load.Design("../../examples/tote/tote.perch", shop.Default())
	if err != nil {
		t.Fatal(err)
	}
	job := family.Job{Program: program, File: "tote.perch", Shop: shop.Default()}
	for _, scale := range []mockup.Scale{{Paper: 1, Metal: 400}, {Paper: 10, Metal: 1}} {
		out := t.TempDir()
		diags, err := job.Mockup(context.Background(), out, scale, "A4", job.Output(false))
		if err != nil || len(diags) == 0 || diags[0].Code != "P7010" {
			t.Errorf("%v: %v, %v", scale, diags, err)
		}
		if left, _ := filepath.Glob(out + "/*/*/*"); len(left) > 0 {
			t.Errorf("%v: written all the same: %q", scale, left)
		}
	}
}
