package rules_test

import (
	"strings"
	"testing"

	"perch/lang/diag"
)

// TestConflictsApart tells of every conflict that shares no statement with another, each
// with what would mend it as if it were the only one.
func TestConflictsApart(t *testing.T) {
	const design = `design "Two"
param a: length in 0mm..100mm = 50mm
param b: length in 0mm..100mm
param c: length in 0mm..100mm = 20mm
param d: length in 0mm..100mm
param e: length in 0mm..10mm
param f: length in 0mm..10mm
rule b = 2 * a
rule b <= 80mm
rule d = c + 90mm
`
	for _, c := range []struct {
		more string
		want []string // summaries
	}{
		{"size it", []string{"a can be at most 40mm", "c can be at most 10mm while d stays within 0mm..100mm"}},
		{"rule e + f >= 25mm\nsize it", []string{"a can be at most 40mm", "c can be at most 10mm while d stays within 0mm..100mm",
			"e + f is at most 20mm while e stays within 0mm..10mm and f stays within 0mm..10mm"}},
		{"rule -5mm = e * 2 and f <= 3mm\nsize it: a = 40mm, c = 5mm", []string{"e * 2 is at least 0mm while e stays within 0mm..10mm"}},
		{"size it: a = 30mm", []string{"c can be at most 10mm while d stays within 0mm..100mm"}},
		{"size it: c = 5mm", []string{"a can be at most 40mm"}},
		// what both need is told once
		{"rule b >= 90mm\nsize it: a = 45mm, c = 5mm", []string{"these cannot all hold"}},
	} {
		_, diags := solved(t, design+c.more+"\n")
		var got []string
		for _, d := range diags {
			if d.Severity == diag.Error {
				got = append(got, d.Summary)
			}
		}
		if strings.Join(got, "; ") != strings.Join(c.want, "; ") {
			t.Errorf("%s: %q, want %q", c.more, got, c.want)
		}
		seen := map[diag.Span]bool{}
		for _, d := range diags {
			for _, at := range append([]diag.Related{{Span: d.Span}}, d.Related...) {
				if seen[at.Span] {
					t.Errorf("%s: %q is told twice", c.more, at.Span.Text())
				}
				seen[at.Span] = true
			}
		}
	}
}
