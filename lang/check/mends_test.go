package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// TestToldOnceAndMended gives mistakes of one slip each: what is told of it, by code, and
// what its fix makes of the text, which is checked clean.
func TestToldOnceAndMended(t *testing.T) {
	const head = "design \"d\" in millimetres\nstock steel = sheet(mild_steel, 1mm)\n"
	for _, c := range []struct {
		text  string
		codes string
		notes string // all of them; "-" where they do not matter
		want  string // "": there is no fix
	}{
		{"panel p() { face web on level(0mm) { outline [(0mm, 0mm), (60mm, 0mm), (60mm, 40mm), (0mm, 40mm)] } face lip off web.top up 90deg { outline strip(9mm) } }\n",
			"P2030", "`edge top` behind a point names the edge that leaves it, to hang a face on",
			"panel p() { face web on level(0mm) { outline [(0mm, 0mm), (60mm, 0mm), (60mm, 40mm) edge top, (0mm, 40mm)] } face lip off web.top up 90deg { outline strip(9mm) } }\n"},
		{"panel p(w: length) { face web on level(0mm) { outline [(0mm, 0mm), (0mm, w), (-w / 2, w), (-w / 2, 0mm)] } face lip off web.left up 90deg { outline strip(9mm) } }\n",
			"P2030", "-",
			"panel p(w: length) { face web on level(0mm) { outline [(0mm, 0mm), (0mm, w), (-w / 2, w) edge left, (-w / 2, 0mm)] } face lip off web.left up 90deg { outline strip(9mm) } }\n"},
		{"panel p() { face web on level(0mm) { outline [(0mm, 0mm), (60mm, 0mm), (30mm, 40mm)] } face lip off web.top up 90deg { outline strip(9mm) } }\n",
			"P2030", "`edge top` behind a point names the edge that leaves it, to hang a face on", ""},
		{"let p = upright(z: 10mm)\n", "P2021", "it is written upright(y) or upright(x:)", ""},
		{"let p = upright(x: 10mm, y: 4mm)\n", "P2021", "it is written upright(y) or upright(x:)", ""},
		{"let p = upright(x: 10mm)\n", "", "", ""},
		{"panel p() { face web on level(0mm) { outline rect(9mm, 9mm) cut hole = circle(2mm) } face web on level(0mm) { outline rect(9mm, 9mm) cut slit = circle(2mm) } }\npart a of steel = p()\njoin j = a.web to a.web at a.web.slit by rivet(4mm)\n",
			"P2002", "-", ""},
		{"panel q() { face base on level(0mm) { outline rect(9mm, 9mm) } }\npanel p() { face web on level(0mm) { outline rect(9mm, 9mm) } }\npart lid of steel = p()\npart lid of steel = q()\nlet a = area(lid.base)\n",
			"P2002", "-", ""},
		{"panel rect(w: length) { face web on level(0mm) { outline rect(w, w) } }\n", "P2024", "-", ""},
		{"use tray from std.trays\npart a of steel = tray()\n", "P2006", "-", "use tray from std.plain\npart a of steel = tray()\n"},
		{"param deep: length in 20mm..60mm = 90mm\n", "P2043", "", "param deep: length in 20mm..60mm = 60mm\n"},
		{"param deep: length in 20mm..60mm = 9mm\n", "P2043", "", "param deep: length in 20mm..60mm = 20mm\n"},
		{"param deep: length in 1in..60mm = 9mm\n", "P2043", "", ""}, // the end is stated in inches
		{"let a = [1mm, 2deg]\n", "P2017", "", "let a = [1mm, 2mm]\n"},
		{"let a = box(1mm, 2mm, 3mm, 4mm)\n", "P2022", "it is written box(x, y, height)", "let a = box(1mm, 2mm, 3mm)\n"},
		{"let a = box((1mm, 2mm), 3mm)\n", "P2010", "", "let a = box(size: (1mm, 2mm), height: 3mm)\n"},
		{"let a = box((1mm, 2mm), height: 3mm)\n", "P2010", "", "let a = box(size: (1mm, 2mm), height: 3mm)\n"},
		{"let a = box((1mm, 2mm), 3mm, 4mm)\n", "P2010", "", ""},
		{"let a = box((1mm, 2mm))\n", "P2023 P2010", "-", ""},
		{"let f(a: length) = a\nlet b = f(2mm, a: 3mm)\n", "P2025", "", "let f(a: length) = a\nlet b = f(2mm)\n"},
		{"let deep = 4mm\nsize high: deep = 5mm\n", "P2041", "", "param deep: length = 4mm\nsize high: deep = 5mm\n"},
	} {
		root, _ := syntax.Parse(diag.NewSource("design.perch", head+c.text))
		_, diags := Check(root, lister{newDesk(t)}, shop)
		var codes []string
		for _, d := range diags {
			codes = append(codes, d.Code)
		}
		if got := strings.Join(codes, " "); got != c.codes {
			t.Errorf("%s: told are %q, want %q: %v", c.text, got, c.codes, diags)
			continue
		}
		if len(diags) == 0 {
			continue
		}
		if got := strings.Join(diags[0].Notes, "; "); c.notes != "-" && got != c.notes {
			t.Errorf("%s: notes are %q, want %q", c.text, got, c.notes)
		}
		if diags[0].Fix == nil {
			if c.want != "" {
				t.Errorf("%s: no fix", c.text)
			}
			continue
		}
		if c.want == "" && c.codes == "P2002" { // another name for the second, whatever that leaves of its uses
			continue
		}
		got := edited(head+c.text, diags[0].Fix)
		if got != head+c.want {
			t.Errorf("%s: mended to\n%s", c.text, got)
		}
		root, more := syntax.Parse(diag.NewSource("design.perch", got))
		if _, again := Check(root, lister{newDesk(t)}, shop); len(again)+len(more) > 0 {
			t.Errorf("%s\nis mended and not clean: %s", got, fmt.Sprint(again, more))
		}
	}
}

// edited is a text with a fix applied.
func edited(text string, fix *diag.Fix) string {
	edits := slices.Clone(fix.Edits)
	slices.SortStableFunc(edits, func(a, b diag.Edit) int { return int(b.Span.Start - a.Span.Start) })
	for _, e := range edits {
		text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
	}
	return text
}
