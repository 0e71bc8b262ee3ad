package family_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
	"perch/parts/shopcheck"
)

// TestBuildWithoutAChangeOfName builds what a bicycle repair shop and its
// neighbours had made. The designs were written from the language's description
// before they were tried; their names are their makers' own, whatever the language
// calls so too. All sizes come out, with nothing to say.
func TestBuildWithoutAChangeOfName(t *testing.T) {
	files, err := filepath.Glob("../../testdata/designs/*.perch")
	shown := []string{ // the best are examples
		"bench_lamp", "fire_basket", "lamp_shade", "parts_bin", "slip_box", "spares_chest", "trestle", "truing_stand", "vice_stand",
	}
	for _, shown := range shown {
		files = append(files, filepath.Join("../../examples", shown, shown+".perch"))
	}
	if err != nil || len(files) < 30 {
		t.Fatalf("%d designs: %v", len(files), err)
	}
	shared := map[string]bool{} // names that the language has too
	for _, f := range files {
		prog, diags, err := load.Design(f, shop.Default())
		if err != nil {
			t.Fatal(err)
		}
		if !diag.HasErrors(diags) {
			diags = append(diags, family.Job{Program: prog, Shop: shop.Default()}.Check()...)
		}
		diags = slices.DeleteFunc(diags, func(d diag.Diagnostic) bool {
			return d.Code == "P6004" || d.Code == shopcheck.Unbendable.Code // what there is to buy, and how its brake is built
		})
		if len(diags) > 0 {
			var s strings.Builder
			diag.Render(&s, diags, diag.Style{})
			t.Errorf("%s:\n%s", filepath.Base(f), s.String())
			continue
		}
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(text), "\nsize "); n < 2 {
			t.Errorf("%s has %d sizes: it is no family", filepath.Base(f), n)
		}
		for _, n := range declared(prog.Root) {
			if builtin.IsFunction(n) {
				shared[n] = true
			}
		}
	}
	for _, n := range []string{"floor", "box", "strip", "round", "sheet", "min"} {
		if !shared[n] {
			t.Errorf("no design has a thing of its own named %s", n)
		}
	}
}

// declared lists what a text declares, and what its panels do.
func declared(m *check.Module) []string {
	var names []string
	for _, d := range m.Order {
		names = append(names, d.Name)
		for _, in := range d.Members {
			names = append(names, in.Name)
			for _, deep := range in.Members {
				names = append(names, deep.Name)
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}
