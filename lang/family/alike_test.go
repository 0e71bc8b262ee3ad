package family_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/parts/shop"
)

// The line that is proposed for blanks that look alike tells them apart: for a part that
// stands alone, for one of a family by counts and for one by corners. What is told has
// what differs, where and by how much, in the design's units.
func TestAProposedNameTellsBlanksApart(t *testing.T) {
	const plate = `
stock tin = sheet(mild_steel, 2mm)

panel plate(on_it: plane, bolt: length) {
  face base on on_it {
    outline [(0mm, 0mm), (80mm, 0mm), (80mm, 30mm), (0mm, 60mm)]
    cut bolt = circle(9mm) at (bolt, 20mm)
  }
}
`
	for name, c := range map[string]struct{ head, parts, told, fix string }{
		"alone": {"design \"Pair\" in millimetres\n", "part near of tin = plate(level(0mm), 20mm) loose\npart far of tin = plate(level(90mm), 21.3mm) loose",
			"far looks like near: cut bolt lies 1.3 mm elsewhere, at (21.3, 20.0) from its lower left", "mark name_far in far.base = text(\"far\", height: "},
		"inches": {"design \"Pair\" in inches\n", "part near of tin = plate(level(0mm), 20mm) loose\npart far of tin = plate(level(90mm), 21.3mm) loose",
			"far looks like near: cut bolt lies 0.051 in elsewhere, at (0.839, 0.787) from its lower left", "mark name_far in far.base = text(\"far\", height: 0."},
		"counts": {"design \"Pair\" in millimetres\n", "part slip[i in 1..4, k in 1..2] of tin = plate(level(90mm * i + 900mm * k), if i > 2 then 21.3mm else 20mm) loose",
			"slip.3.1 looks like slip.1.1: cut bolt lies 1.3 mm", "mark name_slip_3_1[i in [3, 4], j in [1, 2]] in slip[i, j].base = text(\"slip.3.1\", "},
		"lengths": {"design \"Pair\" in millimetres\n", "part slip[z in [90mm, 180.5mm, 2 * 135mm]] of tin = plate(level(z), if z > 200mm then 21.3mm else 20mm) loose",
			"slip.3 looks like slip.1: cut bolt lies 1.3 mm", "mark name_slip_3 in slip[2 * 135mm].base = text(\"slip.3\", "},
		"several lengths": {"design \"Pair\" in millimetres\n", "part slip[z in [90mm, 180.5mm, 2 * 135mm]] of tin = plate(level(z), if z > 100mm then 21.3mm else 20mm) loose",
			"slip.2 looks like slip.1: cut bolt lies 1.3 mm", "mark name_slip_2[i in [180.5mm, 2 * 135mm]] in slip[i].base = text(\"slip.2\", "},
		"sides": {"design \"Pair\" in millimetres\n\nbody frame = box(200mm, 200mm, 100mm)\n", "part slip[s in [frame.front, frame.left]] of tin = plate(level(90mm * s.number), if s = frame.left then 21.3mm else 20mm) loose",
			"slip.4 looks like slip.1: cut bolt lies 1.3 mm", "mark name_slip_4 in slip[frame.left].base = text(\"slip.4\", "},
		"corners": {"design \"Pair\" in millimetres\n\nbody frame = box(200mm, 200mm, 100mm)\n", "part slip[c in frame.corners] of tin = plate(level(90mm * c.number), if c.number = 3 then 21.3mm else 20mm) loose",
			"slip.3 looks like slip.1: cut bolt lies 1.3 mm", "mark name_slip_3 in slip[frame.corners[3]].base = text(\"slip.3\", "},
	} {
		file := filepath.Join(t.TempDir(), "pair.perch")
		check := func(text string) []diag.Diagnostic {
			if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
			prog, diags, err := load.Design(file, shop.Default())
			if err != nil || diag.HasErrors(diags) {
				t.Fatal(name, err, diags)
			}
			return family.Job{Program: prog, Shop: shop.Default()}.Check()
		}
		text := c.head + plate + c.parts
		diags := check(text)
		if len(diags) != 1 || diags[0].Code != "P6039" || !strings.HasPrefix(diags[0].Summary, c.told) || diags[0].Fix == nil {
			t.Errorf("%s: %v", name, diags)
			continue
		}
		edit := diags[0].Fix.Edits[0]
		if !strings.HasPrefix(strings.TrimSpace(edit.Text), c.fix) {
			t.Errorf("%s: proposed is %s", name, edit.Text)
		}
		if after := check(text[:edit.Span.Start] + edit.Text + text[edit.Span.End:]); len(after) > 0 {
			t.Errorf("%s: with %s there is %v", name, edit.Text, after)
		}
	}
}
