package diag

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestCodes(t *testing.T) {
	seen := map[string]bool{}
	form := regexp.MustCompile(`^P[1-9]\d{3}$`)
	for _, c := range Codes {
		if !form.MatchString(c.Code) || seen[c.Code] || c.Title == "" || strings.HasSuffix(c.Title, ".") {
			t.Errorf("code %q %q: twice, or not as codes are", c.Code, c.Title)
		}
		seen[c.Code] = true
		if got, ok := Title(c.Code); !ok || got != c.Title {
			t.Errorf("%s: title %q", c.Code, got)
		}
	}
}

func TestPosition(t *testing.T) {
	src := NewSource("a", "\ufeffab\r\nçd\n\n世x")
	for _, c := range []struct {
		off       int32
		line, col int
	}{
		{0, 1, 1}, {3, 1, 1}, {4, 1, 2}, {5, 1, 3}, {6, 1, 3}, {7, 2, 1}, {8, 2, 1}, {9, 2, 2}, {10, 2, 3}, {11, 3, 1}, {12, 4, 1}, {15, 4, 2}, {16, 4, 3}, {99, 4, 3}, {-5, 1, 1},
	} {
		if got := src.Position(c.off); got != (Position{c.line, c.col}) {
			t.Errorf("offset %d: got %v, want %d:%d", c.off, got, c.line, c.col)
		}
	}
	if src.LineCount() != 4 || src.Line(1) != "ab" || src.Line(2) != "çd" || src.Line(3) != "" || src.Line(9) != "" {
		t.Error("lines")
	}
	if got := (&Source{Text: "a\nb"}).Position(2); got != (Position{2, 1}) {
		t.Errorf("without NewSource: %v", got)
	}
}

func TestOffsetInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := NewSource("a", rapid.StringOf(rapid.SampledFrom([]rune("ab\n\r\tç世\ufeff"))).Draw(t, "text"))
		off := int32(rapid.IntRange(0, len(src.Text)).Draw(t, "offset"))
		p := src.Position(off)
		if again := src.Position(src.Offset(p)); again != p {
			t.Fatalf("%d is at %v, which is at %v", off, p, again)
		}
	})
}

func TestCover(t *testing.T) {
	src := NewSource("a", "hello")
	a, b := Span{src, 3, 4}, Span{src, 1, 2}
	if got := Cover(a, b); got != (Span{src, 1, 4}) || got.Text() != "ell" {
		t.Errorf("%v", got)
	}
	if Cover(Span{}, a) != a || Cover(a, Span{}) != a || Cover(a, Span{Source: NewSource("b", "x")}) != a {
		t.Error("no place, or another source, adds something")
	}
}

func at(src *Source, text string) Span {
	i := strings.Index(src.Text, text)
	return Span{src, int32(i), int32(i + len(text))}
}

func sample() []Diagnostic {
	src := NewSource("stool.perch", "let a = 1\n\tlet 世界 = bad\x1b + 2\npanel p(\n  x,\n) {\n}")
	return []Diagnostic{
		{
			Code: "P1201", Span: at(src, "bad\x1b"), Summary: "a value is\x1b[31m expected", Label: "here",
			Related: []Related{{at(src, "a = 1"), "declared here"}}, Notes: []string{"a note\nof two lines"}, Part: "leg",
			Fix: &Fix{"write 3", []Edit{{at(src, "bad\x1b"), "3"}}},
		},
		{Code: "P1101", Severity: Warning, Span: Span{src, 35, int32(len(src.Text))}, Summary: "many lines", Label: "to here"},
		{Code: "P1102", Severity: Note, Span: Span{src, int32(len(src.Text)), int32(len(src.Text))}, Summary: "at the end", Label: "end"},
		{Summary: "no place"},
	}
}

// TestRender compares with testdata/render.txt; PERCH_UPDATE=1 rewrites it.
func TestRender(t *testing.T) {
	var b bytes.Buffer
	for _, color := range []bool{false, true} {
		if err := Render(&b, sample(), Style{Color: color}); err != nil {
			t.Fatal(err)
		}
		b.WriteString("=====\n")
	}
	if err := WriteJSON(&b, sample()); err != nil {
		t.Fatal(err)
	}
	const golden = "testdata/render.txt"
	if os.Getenv("PERCH_UPDATE") == "1" {
		if err := os.WriteFile(golden, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(b.Bytes(), want) {
		t.Errorf("got\n%s\nwant\n%s", b.Bytes(), want)
	}
}

func TestJSONFields(t *testing.T) {
	var b bytes.Buffer
	if err := WriteJSON(&b, sample()); err != nil {
		t.Fatal(err)
	}
	var got []map[string]any
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"code", "severity", "summary", "file", "line", "column", "endLine", "endColumn", "label", "notes", "related", "fix", "part"} {
		if _, ok := got[3][f]; !ok {
			t.Errorf("no field %s", f)
		}
	}
	if d := got[0]; d["line"] != 2.0 || d["column"] != 11.0 || d["endColumn"] != 15.0 || d["severity"] != "error" {
		t.Errorf("%v", d)
	}
}

func TestSorted(t *testing.T) {
	ds := sample()
	mixed := []Diagnostic{ds[3], ds[2], ds[0], ds[1], ds[0], ds[3]}
	got := Sorted(mixed)
	if len(got) != 4 || got[0].Code != "P1201" || got[1].Code != "P1101" || got[2].Code != "P1102" || got[3].Summary != "no place" {
		t.Errorf("%v", got)
	}
	if mixed[0].Summary != "no place" || !HasErrors(mixed) || HasErrors(ds[1:3]) {
		t.Error("the argument was changed, or errors miscounted")
	}
}

// TestHostile: any span in any text renders, without control characters, in
// lines of bounded length.
func TestHostile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := string(rapid.SliceOf(rapid.Byte()).Draw(t, "bytes"))
		if rapid.Bool().Draw(t, "long") {
			text = strings.Repeat("x世\t", 300) + text + strings.Repeat("y", 300)
		}
		var src *Source
		if rapid.Bool().Draw(t, "source") {
			src = NewSource(text[:min(3, len(text))], text)
		}
		sp := Span{src, rapid.Int32().Draw(t, "start"), int32(rapid.IntRange(-5, len(text)+5).Draw(t, "end"))}
		if rapid.Bool().Draw(t, "near") {
			sp.Start = int32(rapid.IntRange(-5, len(text)+5).Draw(t, "start"))
		}
		d := Diagnostic{Span: sp, Summary: text[:min(20, len(text))], Label: "l", Related: []Related{{sp, "r"}}}
		out := d.String()
		for _, r := range strings.ReplaceAll(out, "\n", "") {
			if r < ' ' || r == 0x7f || r == utf8.RuneError && !strings.ContainsRune(text, utf8.RuneError) {
				t.Fatalf("%q holds %q", out, r)
			}
		}
		for _, line := range strings.Split(out, "\n") {
			if n := utf8.RuneCountInString(line); n > 2*lineWindow+120 {
				t.Fatalf("a line of %d characters", n)
			}
		}
		if _, err := json.Marshal(d); err != nil {
			t.Fatal(err)
		}
	})
}

func TestList(t *testing.T) {
	names := strings.Split(strings.Repeat("a ", 21), " ")[:21]
	if got, want := List(names[:20]), strings.Repeat("a, ", 19)+"a"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := List(names), strings.Repeat("a, ", 20)+"… (21 in all)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func ExampleRender() {
	src := NewSource("stool.perch", "param seat: length = 12 in\n")
	d := Diagnostic{
		Code: "P1009", Span: at(src, "12 in"), Summary: "a unit is glued to its number", Label: "write 12in",
		Notes: []string{"every number with a unit is one word"},
	}
	fmt.Print(d)
	// Output:
	// error[P1009]: a unit is glued to its number
	//  --> stool.perch:1:22
	//   |
	// 1 | param seat: length = 12 in
	//   |                      ^^^^^ write 12in
	//   = note: every number with a unit is one word
}

// TestLimited: of many diagnostics errors are kept before warnings and those before notes, in
// their order, and the rest is counted by code, the most first.
func TestLimited(t *testing.T) {
	var all []Diagnostic
	for i := range 40 {
		d := Diagnostic{Code: "P6001", Severity: Warning, Summary: fmt.Sprint(i)}
		switch {
		case i%10 == 0:
			d.Code, d.Severity = "P5001", Error
		case i%4 == 1:
			d.Code = "P6002"
		case i%10 == 9:
			d.Code, d.Severity = "", Note
		}
		all = append(all, d)
	}
	if got := Limited(all, 40); len(got) != 40 {
		t.Errorf("all of them may be told: %d were", len(got))
	}
	got := Limited(all, 6)
	var said []string
	for _, d := range got[:6] {
		said = append(said, d.Severity.String()+" "+d.Summary)
	}
	if s := strings.Join(said, ", "); s != "error 0, warning 1, warning 2, error 10, error 20, error 30" {
		t.Errorf("kept: %s", s)
	}
	last := got[6]
	if last.Summary != "and 34 more: 23 P6001, 9 P6002, 2 without a code" || last.LeftOut != 34 || last.Severity != Note || !last.Span.IsZero() {
		t.Errorf("the rest: %+v", last)
	}
	text, err := last.MarshalJSON()
	if err != nil || !strings.Contains(string(text), `"leftOut":34`) {
		t.Errorf("%s %v", text, err)
	}
}
