package family_test

import (
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
)

const mats = `design "Mats" in millimetres

stock thin = sheet(mild_steel, 2.6mm)
stock bought = sheet(mild_steel, 2.6mm, size: (800mm, 600mm))
stock gauged = sheet(galvanized, 18ga)
stock unread = sheet(mild_steel, 4mm)
param thick: length = 4mm
stock named = sheet(mild_steel, thick)

panel mat(high: length) "A mat." { face flat on level(high) { outline rect(100mm, 80mm) } }

part a[i in 1..2] of thin = mat(100mm * i) loose
part b of bought = mat(300mm) loose
part c of gauged = mat(400mm) loose
part d of named = mat(500mm) loose
`

// What there is no sheet of is noted once for each stock that is made use of, where its
// thickness stands, with the nearest thickness to write where it is written there.
func TestSheetsThatTheShopHasNot(t *testing.T) {
	told := func(s *shop.Shop) []string {
		p, diags, err := load.Source(diag.NewSource("mats.perch", mats), load.Library(), s)
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(err, diags)
		}
		var out []string
		for _, d := range (family.Job{Program: p, Shop: s}).Check() {
			if d.Code != "P6004" {
				continue
			}
			line := d.Severity.String() + " " + d.Span.Text() + ": " + d.Summary
			if d.Fix != nil {
				line += ", " + d.Fix.Message
			}
			out = append(out, line)
		}
		return out
	}
	if got, want := told(shop.Default()), []string{
		"note 2.6mm: the shop has no sheet of mild_steel 2.6 mm, write 3mm",
		"note 18ga: the shop has no sheet of galvanized 18 ga (1.311 mm), write 1.2mm",
		"note thick: the shop has no sheet of mild_steel 4 mm",
	}; !slices.Equal(got, want) {
		t.Errorf("told\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	s := shop.Default()
	s.Sheets = append(s.Sheets, shop.Sheet{Material: "mild_steel", Thickness: 2.6, Width: 1000, Length: 2000},
		shop.Sheet{Material: "mild_steel", Thickness: 4, Width: 1000, Length: 2000}, shop.Sheet{Material: "galvanized", Thickness: 1.311, Width: 1000, Length: 2000})
	if got := told(s); len(got) > 0 {
		t.Errorf("of what it has: %q", got)
	}
}
