package format

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"sort"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/syntax"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestGolden(t *testing.T) {
	in, err := os.ReadFile("testdata/everything.perch")
	if err != nil {
		t.Fatal(err)
	}
	got, diags := Source(diag.NewSource("everything.perch", string(in)))
	if len(diags) > 0 {
		t.Fatal(diags)
	}
	const golden = "testdata/everything.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the form changed:\n%s", Diff("everything", string(want), got))
	}
}

// TestForms: what each rule makes of a text.
func TestForms(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"nothing", " \n\n", ""},
		{"only a comment", "\n\n// a\n\n\n\n// b", "// a\n\n// b\n"},
		{"spelling stays", `let a=1-1/2in+2'6"`, "let a = 1-1/2in + 2'6\"\n"},
		{"a comma is added", "let a = [\n1mm]", "let a = [\n  1mm,\n]\n"},
		{"a comma is dropped", "let a = [1mm,]", "let a = [1mm]\n"},
		{"a point takes none", "let a = (\n1mm,\n2mm)", "let a = (\n  1mm,\n  2mm\n)\n"},
		{"an index takes none", "part a[\nc in cs] of s = p()", "part a[\n  c in cs\n] of s = p()\n"},
		{"a list's type takes none", "panel p(\na: [\nside]){}", "panel p(\n  a: [side],\n) {}\n"},
		{"a newline further on joins", "let a = [1mm,\n2mm]", "let a = [1mm, 2mm]\n"},
		{"a comment spreads", "let a = [1mm, // one\n2mm]", "let a = [\n  1mm,  // one\n  2mm,\n]\n"},
		{"an operator may lead a line", "let a = b\n+ c +\nd", "let a = b\n    + c +\n    d\n"},
		{"a word may lead a line", "let a =\nif b then c\nelse d", "let a =\n    if b then c\n    else d\n"},
		{"a name may not", "let\na = b", "let a = b\n"},
		{"nor a doc", "param a: length\n\"doc\"", "param a: length  \"doc\"\n"},
		{"signs", "let a = - b - -c^-2", "let a = -b - -c^-2\n"},
		{"what does not parse", "let a = b +", ""},
		{"signs in brackets", "let a = - b - ( -c )^-2", "let a = -b - (-c)^-2\n"},
		{"columns", "param a: length \"x\"\nparam long: length \"y\" // c\nrule a<b \"z\" // d", "param a: length     \"x\"\nparam long: length  \"y\"  // c\nrule a < b          \"z\"  // d\n"},
		{"a blank line parts columns", "param a: length \"x\"\n\nparam long: length \"y\"", "param a: length  \"x\"\n\nparam long: length  \"y\"\n"},
		{"a wide call", "let a = " + strings.Repeat("w", 40) + ".shape(" + strings.Repeat("x", 30) + ", side: " + strings.Repeat("y", 16) + ").turned(3deg)", "let a = " + strings.Repeat("w", 40) + ".shape(\n  " + strings.Repeat("x", 30) + ",\n  side: " + strings.Repeat("y", 16) + ",\n).turned(3deg)\n"},
		{"exactly full", "let a = f(" + strings.Repeat("x", 89) + ")", "let a = f(" + strings.Repeat("x", 89) + ")\n"},
		{"one more", "let a = f(" + strings.Repeat("x", 90) + ")", "let a = f(\n  " + strings.Repeat("x", 90) + ",\n)\n"},
		{"letters, not bytes", "let a = f(\"" + strings.Repeat("é", 87) + "\")", "let a = f(\"" + strings.Repeat("é", 87) + "\")\n"},
		{"a wide text behind it counts not", "rule a < max(b, c) \"" + strings.Repeat("x", 90) + "\"", "rule a < max(b, c)  \"" + strings.Repeat("x", 90) + "\"\n"},
		{"the widest", "let a = [bbbb, cccc] + [" + strings.Repeat("x", 40) + ", " + strings.Repeat("y", 40) + "]", "let a = [bbbb, cccc] + [\n  " + strings.Repeat("x", 40) + ",\n  " + strings.Repeat("y", 40) + ",\n]\n"},
		{"one inside the other", "let a = f(g(" + strings.Repeat("x", 99) + ", y), z)", "let a = f(\n  g(\n    " + strings.Repeat("x", 99) + ",\n    y,\n  ),\n  z,\n)\n"},
		{"an index comes last", "part a[" + strings.Repeat("x", 38) + " in " + strings.Repeat("y", 38) + "] of s = p(qqqq)", "part a[" + strings.Repeat("x", 38) + " in " + strings.Repeat("y", 38) + "] of s = p(\n  qqqq,\n)\n"},
		{"but comes", "part a[" + strings.Repeat("x", 38) + " in " + strings.Repeat("y", 38) + "] of s = t.u", "part a[" + strings.Repeat("x", 38) + " in " + strings.Repeat("y", 38) + "] of s = t.u\n"},
		{"and helps", "part a[" + strings.Repeat("x", 38) + " in " + strings.Repeat("y", 38) + "] of s = t.uvwxyzuvw", "part a[\n  " + strings.Repeat("x", 38) + " in " + strings.Repeat("y", 38) + "\n] of s = t.uvwxyzuvw\n"},
		{"nothing helps", "let a = " + strings.Repeat("w", 100) + " + f(x)", "let a = " + strings.Repeat("w", 100) + " + f(x)\n"},
		{"a wide face", "panel p(){face a on b {outline rect(" + strings.Repeat("x", 40) + ", " + strings.Repeat("y", 40) + ")}}", "panel p() {\n  face a on b {\n    outline rect(" + strings.Repeat("x", 40) + ", " + strings.Repeat("y", 40) + ")\n  }\n}\n"},
		{"a face on a line", "panel p(){face a on b {outline c}}", "panel p() {\n  face a on b { outline c }\n}\n"},
		{"a face on lines", "panel p(){face a on b {outline c\n}}", "panel p() {\n  face a on b {\n    outline c\n  }\n}\n"},
		{"two statements", "panel p(){face a on b {let x = y outline c}}", "panel p() {\n  face a on b {\n    let x = y\n    outline c\n  }\n}\n"},
	} {
		got, diags := Source(diag.NewSource("a.perch", c.in))
		if c.want == "" && strings.TrimSpace(c.in) != "" {
			if len(diags) == 0 || got != c.in {
				t.Errorf("%s: not refused as it is", c.name)
			}
			continue
		}
		if len(diags) > 0 || got != c.want {
			t.Errorf("%s: %q gives %v\n%s\nnot\n%s", c.name, c.in, diags, got, c.want)
		}
	}
}

func apply(text string, edits []diag.Edit) string {
	sort.Slice(edits, func(i, k int) bool { return edits[i].Span.Start > edits[k].Span.Start })
	for _, e := range edits {
		text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
	}
	return text
}

// TestEdits: all edits together give the canonical form, and any of them alone
// keep the tree and the comments.
func TestEdits(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	base := pieces(t)
	for range 400 {
		text := mutate(r, base[r.IntN(len(base))])
		src := diag.NewSource("a.perch", text)
		file, diags := syntax.Parse(src)
		if len(diags) > 0 {
			continue
		}
		want, _ := Source(src)
		if lineEnd(text) == crlf {
			want = strings.ReplaceAll(want, "\n", crlf)
		}
		edits, _ := Edits(src)
		if got := apply(text, edits); got != want {
			t.Fatalf("the edits of\n%s\ngive\n%s", text, Diff("a", want, got))
		}
		first := 1 + r.IntN(src.LineCount())
		last := first + r.IntN(3)
		some, _ := Range(src, first, last)
		part, diags := syntax.Parse(diag.NewSource("a.perch", apply(text, some)))
		if len(diags) > 0 {
			t.Fatalf("lines %d to %d of\n%s\nno longer parse: %v", first, last, text, diags)
		}
		if a, b := tree(file), tree(part); a != b {
			t.Fatalf("lines %d to %d of\n%s\nchange the tree", first, last, text)
		}
		if a, b := comments(text), comments(part.Source.Text); a != b {
			t.Fatalf("lines %d to %d of\n%s\nchange the comments", first, last, text)
		}
	}
}

func TestRangeLeavesTheRest(t *testing.T) {
	src := diag.NewSource("a.perch", "let a=1mm\nlet b=2mm\nlet c=3mm\n")
	edits, diags := Range(src, 2, 2)
	if got, want := apply(src.Text, edits), "let a=1mm\nlet b = 2mm\nlet c=3mm\n"; got != want || len(diags) > 0 {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestEditsKeepLineEnds: a text whose lines end in CRLF, with a byte order mark, keeps
// both, and an edit stands only where the form asks for one.
func TestEditsKeepLineEnds(t *testing.T) {
	for _, c := range []struct {
		text, want string
		edits      int
	}{
		{"let a = 1mm\r\n\r\n// b\r\nlet c = 2mm\r\n", "let a = 1mm\r\n\r\n// b\r\nlet c = 2mm\r\n", 0},
		{"\ufefflet a = 1mm\r\n", "\ufefflet a = 1mm\r\n", 0},
		{"\ufefflet a=1mm\r\n\r\nlet c = [\r\n  1mm]\r\n", "\ufefflet a = 1mm\r\n\r\nlet c = [\r\n  1mm,\r\n]\r\n", 3},
		{"let a = 1mm\r\nlet c = 2mm\r\nlet d = 2mm\n", "let a = 1mm\r\nlet c = 2mm\r\nlet d = 2mm\r\n", 1},
		{"let a = 1mm\r\nlet c = 2mm\n", "let a = 1mm\nlet c = 2mm\n", 1},
	} {
		edits, diags := Edits(diag.NewSource("a.perch", c.text))
		if got := apply(c.text, slices.Clone(edits)); got != c.want || len(edits) != c.edits || len(diags) > 0 {
			t.Errorf("%q: %d edits make %q, not %d and %q", c.text, len(edits), got, c.edits, c.want)
		}
	}
}

func TestDiff(t *testing.T) {
	if d := Diff("a.perch", "x\n", "x\n"); d != "" {
		t.Errorf("equal texts differ: %s", d)
	}
	want := "--- a.perch\n+++ a.perch\n@@ -1,1 +1,1 @@\n-let a=1mm\n+let a = 1mm\n"
	if d := Diff("a.perch", "let a=1mm\n", "let a = 1mm\n"); d != want {
		t.Errorf("got\n%s", d)
	}
}

func ExampleSource() {
	text, _ := Source(diag.NewSource("a.perch", `
param seat:length=320mm "across the seat"
param height: length in 350mm..800mm = 610mm "floor to top"


part leg[c in inner.corners] of shell=corner_leg(
c,toe:40mm)`))
	fmt.Print(text)
	// Output:
	// param seat: length = 320mm                    "across the seat"
	// param height: length in 350mm..800mm = 610mm  "floor to top"
	//
	// part leg[c in inner.corners] of shell = corner_leg(
	//   c,
	//   toe: 40mm,
	// )
}

// A list that is all there is between brackets is spread in their place.
func TestOnlyListIsSpread(t *testing.T) {
	point := "(width / 2 - 30mm, height + 5mm)"
	list := strings.Repeat(point+", ", 3) + point
	want := "let a = symmetric([\n" + strings.Repeat("  "+point+",\n", 4) + "])\n"
	for _, text := range []string{"let a = symmetric([" + list + "])\n", want} {
		if got, diags := Source(diag.NewSource("a.perch", text)); got != want || len(diags) > 0 {
			t.Errorf("got\n%s", got)
		}
	}
	two := "let a = read_off(width, [" + list + "])\n"
	if got, _ := Source(diag.NewSource("a.perch", two)); strings.HasPrefix(got, "let a = read_off(width, [\n") {
		t.Errorf("beside another value:\n%s", got)
	}
}
