package sheet_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"perch/lang/sheet"
)

// A blank longer than the sheet is wide, drawn upright, fits turned alone: kept along the
// grain it is refused, and free to turn it is not.
func TestLayAlongTheGrain(t *testing.T) {
	n := plateJob(t)
	tall := strings.Replace(plates, "plate(300mm, 200mm)", "plate(200mm, 700mm)", 1)
	if err := os.WriteFile(n.Orders[0].File, []byte(tall), 0o666); err != nil {
		t.Fatal(err)
	}
	nested(t, n, t.TempDir())
	n.Lays = []sheet.Lay{{Blank: "side", Steps: -1, Grain: true}}
	_, diags, err := n.Run(t.Context(), t.TempDir())
	if err != nil || len(diags) == 0 || diags[len(diags)-1].Code != "P8003" {
		t.Errorf("%v %v, want P8003", err, diags)
	}
}

func TestParseLays(t *testing.T) {
	got, diags := sheet.ParseLays([]string{"leg=180,grain", "cap=mirror", "a=b=0"})
	want := []sheet.Lay{{Blank: "leg", Steps: 180, Grain: true}, {Blank: "cap", Steps: -1, Mirror: true}, {Blank: "a=b"}}
	if len(diags) > 0 || !slices.Equal(got, want) {
		t.Errorf("%v %v, want %v", got, diags, want)
	}
	for _, bad := range []string{"leg", "=90", "leg=", "leg=0.5", "leg=400", "leg=NaN", "leg=flat"} {
		if got, diags := sheet.ParseLays([]string{bad}); len(diags) != 1 || len(got) > 0 {
			t.Errorf("%s: %v %v", bad, got, diags)
		}
	}
}

// A blank told to lie as it is drawn is not turned, in a job whose blanks may be; told
// to lie at steps of its own it keeps to them.
func TestLays(t *testing.T) {
	for _, c := range []struct {
		how  string
		turn func(deg float64) bool
	}{
		{"0", func(deg float64) bool { return deg == 0 }},
		{"360", func(deg float64) bool { return deg == 0 }},
	} {
		n := plateJob(t)
		n.Steps = 45
		free := nested(t, n, t.TempDir())
		name := free.Lines[0].Blank
		var bad int
		lays, diags := sheet.ParseLays([]string{name + "=" + c.how})
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
			Sheets []struct {
				Blanks []struct {
					Name   string
					Turned float64 `json:"turned_deg"`
				}
			}
		}
		if err := json.Unmarshal(text, &record); err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, s := range record.Sheets {
			for _, p := range s.Blanks {
				if p.Name != name {
					continue
				}
				seen++
				if !c.turn(p.Turned) {
					bad++
				}
			}
		}
		if seen != 3 || bad > 0 {
			t.Errorf("%s: %d of %d lie otherwise", c.how, bad, seen)
		}
	}
}
