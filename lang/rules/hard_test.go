package rules_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

// TestHardRules reads designs whose rules are hard or wrong; the first line of
// each says which mistake is expected.
func TestHardRules(t *testing.T) {
	files, err := filepath.Glob("testdata/hard/*.perch")
	if err != nil || len(files) < 19 {
		t.Fatalf("%d designs: %v", len(files), err)
	}
	shop := shop.Default()
	for _, name := range files {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".perch"), func(t *testing.T) {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			first, _, _ := strings.Cut(string(text), "\n")
			want, _, ok := strings.Cut(strings.TrimPrefix(first, "// expect "), ":")
			if !ok {
				t.Fatalf("the first line expects nothing: %q", first)
			}
			prog, diags, err := load.Design(name, shop)
			if err != nil {
				t.Fatal(err)
			}
			var r *build.Result
			if !diag.HasErrors(diags) {
				r, diags = build.Size(prog, build.Sizes(prog)[0], shop, nil)
			}
			got := "none"
			for _, d := range diags {
				if d.Severity == diag.Error {
					got = d.Code
					if strings.Contains(d.Summary+strings.Join(d.Notes, ""), "NaN") {
						t.Errorf("NaN in %q %q", d.Summary, d.Notes)
					}
				}
			}
			if got != want {
				t.Errorf("%s instead of %s: %+v", got, want, diags)
			}
			for _, v := range r.Values {
				if math.IsNaN(v.Value) {
					t.Errorf("%s is NaN", v.Name)
				}
			}
		})
	}
}
