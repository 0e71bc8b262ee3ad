package make_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"perch/lang/make"
)

// A blank told to lie as it is drawn is not turned, in a job whose blanks may be; told
// to lie at steps of its own it keeps to them.
func TestLays(t *testing.T) {
	for _, c := range []struct {
		how  string
		turn func(deg float64) bool
	}{
		{"0", func(deg float64) bool { return deg == 0 }},
		{"360", func(deg float64) bool { return deg == 0 }},
		{"90,grain", func(deg float64) bool { return deg == 0 || deg == 180 }},
	} {
		n := plateJob(t)
		n.Steps = 45
		free := nested(t, n, t.TempDir())
		name := free.Lines[0].Blank
		var bad int
		lays, diags := make.ParseLays([]string{name + "=" + c.how})
		if len(diags) > 0 {
			t.Fatal(diags)
		}
		n.Lays = lays
		dir := t.TempDir()
		nested(t, n, dir)
		text, err := os.ReadFile(filepath.Join(dir, "job.json"))
		if err != nil {
			t.Fatal(err)
		}
		var record struct {
			Layout []struct {
				Placed []struct {
					Blank    string
					Rotation float64
				}
			}
		}
		if err := json.Unmarshal(text, &record); err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, s := range record.Layout {
			for _, p := range s.Placed {
				if p.Blank != name {
					continue
				}
				seen++
				if !c.turn(p.Rotation) {
					bad++
				}
			}
		}
		if seen != 3 || bad > 0 {
			t.Errorf("%s: %d of %d lie otherwise", c.how, bad, seen)
		}
	}
}
