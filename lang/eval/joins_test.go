package eval_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
)

const twoPlates = `design "Row"
stock tin = sheet(mild_steel, 1.5mm)
panel plate(on_it: plane) {
  face web on on_it { outline rect(WIDE, DEEP) }
}
part a of tin = plate(level(0mm))
part b of tin = plate(a.web.over)
join x = a.web to b.web by FASTENER
`

// A row that finds no room one way, and would find it the other, says so with what to
// write; one that finds none either way proposes nothing.
func TestRowProposesTheOtherWay(t *testing.T) {
	for _, c := range []struct{ wide, deep, by, fix string }{
		{"100mm", "20mm", "rivet(3.2mm, count: 4, along: v)", "rivet(3.2mm, count: 4, along: u)"},
		{"20mm", "100mm", "rivet(3.2mm, along: u, count: 4)", "rivet(3.2mm, along: v, count: 4)"},
		{"100mm", "20mm", "rivet(3.2mm, count: 40)", ""},
		{"100mm", "20mm", "rivet(3.2mm, count: 4)", "sound"},
		{"20mm", "100mm", "rivet(3.2mm, count: 4)", "sound"},
	} {
		text := strings.NewReplacer("WIDE", c.wide, "DEEP", c.deep, "FASTENER", c.by).Replace(twoPlates)
		_, diags := made(t, text)
		if c.fix == "sound" {
			if diag.HasErrors(diags) {
				t.Errorf("%s on %s by %s: %v", c.by, c.wide, c.deep, diags)
			}
			continue
		}
		if len(diags) != 1 || diags[0].Code != "P5002" {
			t.Errorf("%s: %v", c.by, diags)
			continue
		}
		got := ""
		if f := diags[0].Fix; f != nil {
			got = text[:f.Edits[0].Span.Start] + f.Edits[0].Text + text[f.Edits[0].Span.End:]
			if _, again := made(t, got); diag.HasErrors(again) {
				t.Errorf("%s: mended, %v", c.by, again)
			}
			_, got, _ = strings.Cut(strings.TrimSpace(got), " by ")
		}
		if got != c.fix {
			t.Errorf("%s: the fix writes %q, want %q", c.by, got, c.fix)
		}
	}
}
