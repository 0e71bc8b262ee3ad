package syntax

import (
	"fmt"
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

// TestAdvice applies the fix of what other languages, or a slip, make of a
// statement; what is mended reads without a mistake.
func TestAdvice(t *testing.T) {
	for wrong, right := range map[string]string{
		"param a = 300mm":                          "param a: length = 300mm",
		"param a = 3":                              "param a: count = 3",
		"param a = 3.5":                            "param a: number = 3.5",
		"param a = 18ga":                           "param a: gauge = 18ga",
		"param a = true":                           "param a: flag = true",
		"param a = 6deg":                           "param a: angle = 6deg",
		"param a = \"x\"":                          "param a: text = \"x\"",
		"let a: length = 3mm":                      "let a = 3mm",
		"let a: [side] = b":                        "let a = b",
		"a: length = 3mm":                          "param a: length = 3mm",
		"a = 3mm":                                  "let a = 3mm",
		"rule a > 2mm, \"why\"":                    "rule a > 2mm \"why\"",
		"size tall: a = 3mm b = 4mm":               "size tall: a = 3mm, b = 4mm",
		"size tall: a = 3mm b about 4mm":           "size tall: a = 3mm, b about 4mm",
		"join j = p.f to q.g rivet(4mm)":           "join j = p.f to q.g by rivet(4mm)",
		"param a: length = 1 1/2in":                "param a: length = 1-1/2in",
		"param a: length = 3,5mm":                  "param a: length = 3.5mm",
		"let a = [(1mm, 2mm) rim, b]":              "let a = [(1mm, 2mm) edge rim, b]",
		"import seat_cap from std.stool":           "use seat_cap from std.stool",
		"design \"A\" in inch":                     "design \"A\" in inches",
		"design \"A\" in mm revision \"B\"":        "design \"A\" in millimetres revision \"B\"",
		"design \"A\" in millimeters":              "design \"A\" in millimetres",
		"pannel p() { face f on s { } }":           "panel p() { face f on s { } }",
		"let a = if b 3mm else 4mm":                "let a = if b then 3mm else 4mm",
		"let a = 3mm\nlet b = if a > 2mm 1 else 2": "let a = 3mm\nlet b = if a > 2mm then 1 else 2",
	} {
		src := diag.NewSource("x", wrong)
		_, got := Parse(src)
		if len(got) != 1 || got[0].Fix == nil {
			t.Errorf("%s: %s", wrong, got)
			continue
		}
		e := got[0].Fix.Edits[0]
		mended := wrong[:e.Span.Start] + e.Text + wrong[e.Span.End:]
		if _, more := Parse(diag.NewSource("x", mended)); mended != right || len(more) > 0 {
			t.Errorf("%s: mended to %s, want %s %s", wrong, mended, right, more)
		}
	}
}

// What is put somewhere twice is told to be taken into brackets, which reads.
func TestSecondAt(t *testing.T) {
	const face = "panel p() { face f on s { cut a = %s } }"
	_, got := Parse(diag.NewSource("x", fmt.Sprintf(face, "circle(1mm) + slot(4mm, 2mm) at (1mm, 2mm) at (3mm, 4mm)")))
	if len(got) != 1 || got[0].Code != "P1101" || len(got[0].Notes) != 1 || !strings.Contains(got[0].Notes[0], "(SHAPE at A) at B") {
		t.Errorf("%v", got)
	}
	if _, got := Parse(diag.NewSource("x", fmt.Sprintf(face, "(circle(1mm) + slot(4mm, 2mm) at (1mm, 2mm)) at (3mm, 4mm)"))); len(got) > 0 {
		t.Errorf("in brackets: %v", got)
	}
}
