package diag

import (
	"fmt"
	"slices"
	"testing"
)

// What several sizes say is said once, with those that say it; errors with other numbers,
// places or parts are told apart, warnings with other numbers are not.
func TestGathered(t *testing.T) {
	src := NewSource("a.perch", "abc")
	d := func(code string, s Severity, at int32, part, summary string) Diagnostic {
		return Diagnostic{Code: code, Severity: s, Span: Span{src, at, at + 1}, Part: part, Summary: summary}
	}
	g := Gathered{Sizes: []string{"low", "mid", "bar"}}
	for _, size := range g.Sizes {
		g.Add(d("P1", Warning, 0, "", "thin by "+size), size)
		g.Add(d("P2", Error, 0, "", "short by "+size), size)
		g.Add(d("P3", Error, 0, "", "gone"), size)
		if size != "mid" {
			g.Add(d("P4", Warning, 1, "leg", "bent"), size)
			g.Add(d("P4", Warning, 1, "arm", "bent"), size)
			g.Add(d("P4", Warning, 1, "arm", "bent"), size)
		}
	}
	var got []string
	for _, x := range g.Diagnostics() {
		got = append(got, fmt.Sprint(x.Code, " ", x.Part, " ", x.Summary, " ", x.Notes))
	}
	want := []string{
		"P1  thin by low []", "P2  short by low [at size low]", "P3  gone [at size low, mid, bar]",
		"P4 leg bent [at size low, bar]", "P4 arm bent [at size low, bar]",
		"P2  short by mid [at size mid]", "P2  short by bar [at size bar]",
	}
	if !slices.Equal(got, want) {
		t.Errorf("told is %q", got)
	}
	if again := g.Diagnostics(); len(again[1].Notes) != 1 {
		t.Errorf("asked twice, the sizes are told twice: %v", again[1].Notes)
	}
}
