package diag

import (
	"fmt"
	"strings"
	"testing"
)

// TestAtOnce tells a name that is misspelt where it is declared once, with every line, and
// its fix mends all; what differs in anything is told apart.
func TestAtOnce(t *testing.T) {
	src := NewSource("x", strings.Repeat("let a = wide\n", 12))
	at := func(line int) Span {
		start := int32((line-1)*13 + 8)
		return Span{src, start, start + 4}
	}
	unknown := func(line int) Diagnostic {
		return Diagnostic{Code: "P2001", Span: at(line), Summary: "nothing here is named wide",
			Fix: &Fix{"write long", []Edit{{at(line), "long"}}}}
	}
	var ds []Diagnostic
	for line := 1; line <= 12; line++ {
		ds = append(ds, unknown(line))
	}
	ds[3].Summary = "something else"
	ds[4].Severity = Warning
	ds[5].Related = []Related{{Span: at(1)}}
	got := AtOnce(ds)
	if len(got) != 4 || got[0].Notes[0] != "also in lines 2, 3, 7, 8, 9, 10, 11, 12" {
		t.Fatalf("told %d: %v", len(got), got)
	}
	if n := strings.Count(got[0].Fix.Apply(src.Text), "long"); n != 9 {
		t.Errorf("%d places are mended", n)
	}
	if ds[0].Notes != nil || len(ds[0].Fix.Edits) != 1 {
		t.Error("what was given is changed")
	}
	if two := AtOnce(ds[:2]); len(two) != 1 || fmt.Sprint(two[0].Notes) != "[also in line 2]" {
		t.Errorf("of two: %v", two)
	}
}
