package syntax

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"perch/lang/diag"
)

// TestErrors reads chunks of source, parted by ---; a line that must be in
// error carries `//! CODE words` (perhaps `@-1` for a line above), and no other
// mistake may be reported. The words stand in the summary or the label.
func TestErrors(t *testing.T) {
	text, err := os.ReadFile("testdata/errors.perch")
	if err != nil {
		t.Fatal(err)
	}
	line := 1
	for _, chunk := range strings.Split(string(text), "---\n") {
		checkChunk(t, chunk, line)
		line += strings.Count(chunk, "\n") + 1
	}
}

type expectation struct {
	line       int
	code, text string
}

func checkChunk(t *testing.T, chunk string, first int) {
	t.Helper()
	var want []expectation
	lines := strings.Split(chunk, "\n")
	for i, l := range lines {
		parts := strings.Split(l, "//!")
		for _, p := range parts[1:] {
			code, text, _ := strings.Cut(strings.TrimSpace(p), " ")
			e := expectation{i + 1, code, text}
			if rest, ok := strings.CutPrefix(text, "@"); ok {
				off, words, _ := strings.Cut(rest, " ")
				n, _ := strconv.Atoi(off)
				e.line, e.text = e.line+n, words
			}
			want = append(want, e)
		}
		lines[i] = strings.TrimRight(parts[0], " ")
	}
	_, got := Parse(diag.NewSource("chunk", strings.Join(lines, "\n")))
	for _, d := range got {
		found := false
		for i, e := range want {
			if e.line == d.Span.Position().Line && e.code == d.Code && strings.Contains(d.Summary+"\n"+d.Label, e.text) {
				want = append(want[:i], want[i+1:]...)
				found = true
				break
			}
		}
		if !found {
			t.Errorf("chunk at line %d: not expected:\n%s", first, d)
		}
	}
	for _, e := range want {
		t.Errorf("line %d: %s %q was not reported", first+e.line-1, e.code, e.text)
	}
}

// TestStrayBrace wants every statement behind a brace that opens nothing kept.
func TestStrayBrace(t *testing.T) {
	f, _ := Parse(diag.NewSource("x", "param a: length = 3mm {\nparam b: length = 1mm\npanel p() { face f on s { outline rect(1mm, 1mm) } }\nparam c: length = 1mm\n"))
	if len(f.Stmts) != 4 {
		t.Errorf("%d statements are kept, want 4", len(f.Stmts))
	}
}
