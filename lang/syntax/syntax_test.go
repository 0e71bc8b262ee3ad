package syntax

import (
	"fmt"
	goparser "go/parser"
	gotoken "go/token"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"perch/lang/diag"
)

func read(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// clean parses text that must have no mistake.
func clean(t testing.TB, text string) *File {
	t.Helper()
	f, ds := Parse(diag.NewSource("test.perch", text))
	for _, d := range ds {
		t.Error(d.String())
	}
	return f
}

func value(t testing.TB, expr string) Expr {
	t.Helper()
	f := clean(t, "let x = "+expr)
	if len(f.Stmts) != 1 {
		t.Fatalf("%s: %d statements", expr, len(f.Stmts))
	}
	return f.Stmts[0].(*Let).Value
}

// TestExamples parses the design and the library of the language's page. Each
// node's text must parse again to what it was.
func TestExamples(t *testing.T) {
	for name, stmts := range map[string]int{"stool.perch": 28, "std_stool.perch": 4} {
		f := clean(t, read(t, name))
		if len(f.Stmts) != stmts {
			t.Errorf("%s: %d statements, want %d", name, len(f.Stmts), stmts)
		}
		nodes := 0
		InspectFile(f, func(n Node) bool {
			nodes++
			text := n.Span().Text()
			if text == "" || strings.TrimSpace(text) != text {
				t.Errorf("%T spans %q", n, text)
			}
			switch x := n.(type) {
			case Expr:
				if got, want := Print(value(t, text)), Print(x); got != want {
					t.Errorf("%T %q parses again to %s, was %s", n, text, got, want)
				}
			case *Param, *Panel, *Part, *Join, *Size:
				if again := clean(t, text); len(again.Stmts) != 1 {
					t.Errorf("%T %q parses to %d statements", n, text, len(again.Stmts))
				}
			}
			return true
		})
		if nodes < 100 {
			t.Errorf("%s: only %d nodes were seen", name, nodes)
		}
	}
	if n := len(clean(t, read(t, "stool.perch")).Comments); n != 3 {
		t.Errorf("%d comments, want 3", n)
	}
}

// TestDesignUnits wants the units of a design read before its revision or behind it, and
// their words left free as names.
func TestDesignUnits(t *testing.T) {
	for text, units := range map[string]string{
		`design "A"`:                             "",
		`design "A" in inches`:                   "inches",
		`design "A" in millimetres revision "B"`: "millimetres",
		`design "A" revision "B" in inches`:      "inches",
	} {
		f := clean(t, text+"\nparam inches: length = 1in\nlet millimetres = inches\n")
		got := ""
		if f.Design.Units != nil {
			got = f.Design.Units.Name
		}
		if got != units || len(f.Stmts) != 2 {
			t.Errorf("%s: in %q, %d statements", text, got, len(f.Stmts))
		}
	}
	for _, bad := range []string{`design "A" in inches revision "B" in inches`, `design "A" in`, `design "A" in 3`, `design "A" in furlongs`} {
		if _, ds := Parse(diag.NewSource("x", bad)); len(ds) != 1 || ds[0].Code != "P1102" {
			t.Errorf("%s: %s", bad, ds)
		}
	}
}

func TestStatements(t *testing.T) {
	f := clean(t, `design "Stool" revision "A"
use a, b as c from std.stool
use d from "parts/pan.perch"
param x: length in 1mm..2mm about 1.5mm "doc"
param lids: [face]
size tall like bar: height = 8mm, foot about 3mm, seat largest, low smallest, splay free
part leg[c in f.corners, i in 1..3] of shell = leg(c, toe: 4mm) if i > 1
join pin[r in rung] = a.web to b.end to c.x at a.web.holes by bolt(6mm) if r.ok
panel p(s: side, t: length = 4mm "thick",) of tray "doc" {
  let f(a: length) = a * 2
  rule t > 1mm "why"
  face lip off web.bottom down 90deg if t > 1mm { outline strip(t) }
  face tab[c in ends] off web on c.other(s) { cut h[i in 1..2] = slot(i) if i > 1 mark m = line(t) }
  face web on s from s.left {}
  fold web to lip by bend(relief: round)
  seam web to lip by open(t)
  seam web by closed()
}`)
	if f.Design.Name.Value != "Stool" || f.Design.Revision.Value != "A" {
		t.Errorf("design %+v", f.Design)
	}
	u, v := f.Stmts[0].(*Use), f.Stmts[1].(*Use)
	if u.Module != "std.stool" || u.FromAt.Text() != "std.stool" || u.Names[1].As.Name != "c" || u.Names[0].As != nil || v.Path != "parts/pan.perch" || v.FromAt.Text() != `"parts/pan.perch"` {
		t.Errorf("use %+v %+v", u, v)
	}
	x := f.Stmts[2].(*Param).Decl
	if !x.About || x.Doc.Value != "doc" || x.Type.Name != "length" || Print(x.Domain.Hi) != "2mm" || x.At.Text() != `x: length in 1mm..2mm about 1.5mm "doc"` {
		t.Errorf("param %+v", x)
	}
	if lids := f.Stmts[3].(*Param).Decl; !lids.List || lids.Type.Name != "face" {
		t.Errorf("param %+v", lids)
	}
	var states []string
	for _, s := range f.Stmts[4].(*Size).States {
		states = append(states, fmt.Sprint(s.How, " ", s.At.Text()))
	}
	if d := cmp.Diff([]string{"0 height = 8mm", "1 foot about 3mm", "2 seat largest", "3 low smallest", "4 splay free"}, states); d != "" {
		t.Error(d)
	}
	part := f.Stmts[5].(*Part)
	if len(part.Index) != 2 || part.Index[1].At.Text() != "i in 1..3" || Print(part.Of) != "shell" || Print(part.Guard) != "i > 1" {
		t.Errorf("part %+v", part)
	}
	j := f.Stmts[6].(*Join)
	if len(j.Members) != 3 || Print(j.Places) != "a.web.holes" || Print(j.By) != "bolt(6mm)" || Print(j.Guard) != "r.ok" {
		t.Errorf("join %+v", j)
	}
	panel := f.Stmts[7].(*Panel)
	if panel.Of.Name != "tray" || len(panel.Params) != 2 || len(panel.Body) != 8 || !strings.HasSuffix(panel.At.Text(), "closed()\n}") {
		t.Errorf("panel %+v", panel)
	}
	lip, tab, web := panel.Body[2].(*Face), panel.Body[3].(*Face), panel.Body[4].(*Face)
	if lip.Turn != TurnDown || Print(lip.Angle) != "90deg" || Print(lip.Off) != "web.bottom" || lip.On != nil || lip.Guard == nil || len(lip.Body) != 1 {
		t.Errorf("lip %+v", lip)
	}
	if Print(tab.On) != "c.other(s)" || tab.Off == nil || len(tab.Body) != 2 || Print(web.From) != "s.left" || web.At.Text() != "face web on s from s.left {}" {
		t.Errorf("tab %+v, web %+v", tab, web)
	}
	if s := panel.Body[7].(*Seam); s.B != nil || Print(s.By) != "closed()" {
		t.Errorf("seam %+v", s)
	}
	if let := panel.Body[0].(*Let); !let.IsFunc || len(let.Params) != 1 {
		t.Errorf("let %+v", let)
	}
}

func TestExpressions(t *testing.T) {
	for in, want := range map[string]string{
		"1+2*3":                               "1 + 2 * 3",
		"(1+2)*3":                             "(1 + 2) * 3",
		"-x^2":                                "-x^2",
		"2^3^4":                               "2^3^4",
		"a - b - c":                           "a - b - c",
		"if a then b else if c then d else e": "if a then b else if c then d else e",
		"not a = b and c or d":                "not a = b and c or d",
		"x in 1..n + 1":                       "x in 1..n + 1",
		"slot(1mm,2mm) at (3mm,4mm) & b":      "slot(1mm, 2mm) at (3mm, 4mm) & b",
		"f(a: 1, face: 2,).part[i,j].cut":     "f(a: 1, face: 2).part[i, j].cut",
		"[(0mm,0mm) round 3mm arc -r edge front, (1mm,1mm) arc (u, v),]": "[(0mm, 0mm) round 3mm arc -r edge front, (1mm, 1mm) arc (u, v)]",
		"round(x, 5mm) + at + then":                                      "round(x, 5mm) + at + then",
		`"a \"b\" \u{e9}\n"`:                                             `"a \"b\" é\n"`,
		"1-1/2in - 2'6-1/2\" / 1e-6":                                     "1-1/2in - 2'6-1/2\" / 1e-6",
		"[]":                                                             "[]",
		"a.size.if.not":                                                  "a.size.if.not",
	} {
		if got := Print(value(t, in)); got != want {
			t.Errorf("%s: got %s, want %s", in, got, want)
		}
	}
	b := value(t, "a - b - c").(*Binary)
	if Print(b.X) != "a - b" || b.OpAt.Start != 14 {
		t.Errorf("a - b - c groups as (%s) - %s, operator at %d", Print(b.X), Print(b.Y), b.OpAt.Start)
	}
	if u, ok := value(t, "-x^2").(*Unary); !ok || Print(u.X) != "x^2" {
		t.Error("-x^2 is not -(x^2)")
	}
}

// TestWords checks the lists against the language's page.
func TestWords(t *testing.T) {
	if r, c := ReservedWords(), ClauseWords(); len(r) != 19 || len(c) != 29 {
		t.Errorf("%d reserved, %d clause words; want 19 and 29", len(r), len(c))
	}
	for _, w := range ReservedWords() {
		if !IsReserved(w) {
			t.Errorf("%s is not reserved", w)
		}
	}
	for _, w := range ClauseWords() { // names everywhere else
		f := clean(t, fmt.Sprintf("let %s = 1\npart %s of %s = %s(%s: %s)\nlet y = [%s + %s, x.%s]", w, w, w, w, w, w, w, w, w))
		if len(f.Stmts) != 3 {
			t.Errorf("%s: %d statements", w, len(f.Stmts))
		}
	}
}

// TestHostile gives texts that must be refused in few words; what takes more than
// time in proportion hangs the test.
func TestHostile(t *testing.T) {
	for name, c := range map[string]struct{ text, code string }{
		"brackets":  {"let a = " + strings.Repeat("(", 100_000), "P1203"},
		"lists":     {"let a = " + strings.Repeat("[", 100_000) + strings.Repeat("]", 100_000), "P1203"},
		"choices":   {"let a = " + strings.Repeat("if x then ", 100_000), "P1203"},
		"powers":    {"let a = 2" + strings.Repeat("^2", 100_000), "P1203"},
		"sum":       {"let a = 1" + strings.Repeat(" + 1", 100_000), "P1204"},
		"members":   {"let a = b" + strings.Repeat(".c", 100_000), "P1204"},
		"large":     {strings.Repeat("// ten byte\n", 1_000_000), "P1001"},
		"braces":    {strings.Repeat("} x", 500_000), "P1106"},
		"panels":    {strings.Repeat("panel p() {", 20_000), "P1105"},
		"misplaced": {"panel p() {" + strings.Repeat(" cut x = 3", 20_000), "P1104"},
		"bytes":     {strings.Repeat("\xff\x00", 50_000), "P1002"},
		"digits":    {"let a = " + strings.Repeat("9", 1_000_000), "P1007"},
		"words":     {"let size " + strings.Repeat("size // c\n", 50_000), "P1102"},
	} {
		f, ds := Parse(diag.NewSource(name, c.text))
		if f == nil || len(ds) > maxMistakes || !slices.ContainsFunc(ds, func(d diag.Diagnostic) bool { return d.Code == c.code }) {
			t.Errorf("%s: no %s among %d", name, c.code, len(ds))
		}
	}
}

// TestBorrowedSpans: the place of an operator of another language is that of
// what is written, not of what is meant.
func TestBorrowedSpans(t *testing.T) {
	for _, text := range []string{"let a = b &&", "let a = !", "let a = b ≤", "let a = b – c"} {
		checkAny(t, text)
	}
	f, _ := Parse(diag.NewSource("a", "let a = b – c"))
	if b := f.Stmts[0].(*Let).Value.(*Binary); b.OpAt.Text() != "–" || b.Op != OpSub {
		t.Errorf("operator %v at %q", b.Op, b.OpAt.Text())
	}
}

func TestMarks(t *testing.T) {
	f := clean(t, "\ufefflet höhe = 3mm\r\nlet b = h\u006f\u0308he // c\r\n")
	if a, b := f.Stmts[0].(*Let).Name, f.Stmts[1].(*Let).Value.(*Name); a.Name != b.Name || a.At.Position() != (diag.Position{Line: 1, Column: 5}) {
		t.Errorf("%+v %+v", a, b)
	}
	if f.Comments[0].Text != " c" {
		t.Errorf("comment %q", f.Comments[0].Text)
	}
}

// TestMutated drops or doubles pieces of a sound file: the parser must not
// panic, spans must lie in the file, and text without mistakes must print.
func TestMutated(t *testing.T) {
	text := read(t, "std_stool.perch")
	rapid.Check(t, func(t *rapid.T) {
		i := rapid.IntRange(0, len(text)).Draw(t, "from")
		j := min(len(text), i+rapid.IntRange(0, 40).Draw(t, "length"))
		put := rapid.SampledFrom([]string{"", "(", ")", "{", "}", "[", "]", ",", " part ", " 12 in ", "\"", "..", "=", text[i:j] + text[i:j]}).Draw(t, "put")
		checkAny(t, text[:i]+put+text[j:])
	})
}

type failer interface{ Errorf(string, ...any) }

// checkAny parses any text and checks what always holds.
func checkAny(t failer, text string) {
	f, ds := Parse(diag.NewSource("any.perch", text))
	inside := func(what any, sp diag.Span) {
		if sp.Start < 0 || sp.End < sp.Start || int(sp.End) > len(text) {
			t.Errorf("%T spans %d..%d of %d", what, sp.Start, sp.End, len(text))
		}
	}
	for _, d := range ds {
		inside(d, d.Span)
		if _, ok := diag.Title(d.Code); !ok || d.Summary == "" {
			t.Errorf("diagnostic %q %q", d.Code, d.Summary)
		}
		_ = d.String()
	}
	InspectFile(f, func(n Node) bool {
		inside(n, n.Span())
		return true
	})
	for _, s := range f.Stmts {
		let, ok := s.(*Let)
		if !ok || len(ds) > 0 {
			continue
		}
		printed := Print(let.Value)
		again, more := Parse(diag.NewSource("again.perch", "let x = "+printed))
		if len(more) > 0 || Print(again.Stmts[0].(*Let).Value) != printed {
			t.Errorf("%s prints as %s, which does not parse to itself: %v", let.Value.Span().Text(), printed, more)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add(read(f, "stool.perch"))
	f.Add(read(f, "std_stool.perch"))
	for _, chunk := range strings.Split(read(f, "errors.perch"), "---\n") {
		f.Add(chunk)
	}
	f.Fuzz(func(t *testing.T, text string) { checkAny(t, text) })
}

func ExampleParse() {
	src := diag.NewSource("stool.perch", "param seat: length = 12 in\nlet half = seat / 2\n")
	file, mistakes := Parse(src)
	for _, d := range mistakes {
		fmt.Print(d)
	}
	fmt.Println(Print(file.Stmts[1].(*Let).Value))
	// Output:
	// error[P1009]: a unit is glued to its number
	//  --> stool.perch:1:22
	//   |
	// 1 | param seat: length = 12 in
	//   |                      ^^^^^ write 12in
	//   = fix: write `12in`
	// seat / 2
}

// BenchmarkParse parses the library many times over; BenchmarkGo has go/parser
// read like text, for a ratio.
func BenchmarkParse(b *testing.B) {
	text := strings.Repeat(read(b, "std_stool.perch"), 100)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if _, ds := Parse(diag.NewSource("bench", text)); len(ds) > 0 {
			b.Fatal(ds[0])
		}
	}
}

func BenchmarkGo(b *testing.B) {
	one := "func f%d(over body, drop length) {\n\ttop := s.up(c.height - clear)\n\toutline(point{0, 0}, point{toe, 0},\n\t\tround(point{waist, top - deep}, flare),\n\t\tround(point{head, top - grip}, 12))\n\tcut := slot(100, 32) // a slot to carry it by\n\tfold(cheek[c.left], cheek[c.right])\n}\n"
	var s strings.Builder
	s.WriteString("package p\n")
	for i := range 1000 {
		fmt.Fprintf(&s, one, i)
	}
	b.SetBytes(int64(s.Len()))
	for b.Loop() {
		if _, err := goparser.ParseFile(gotoken.NewFileSet(), "x.go", s.String(), goparser.ParseComments); err != nil {
			b.Fatal(err)
		}
	}
}

// TestLookAlikes: digits and signs of another alphabet are told once, named, and read on as what
// they look like.
func TestLookAlikes(t *testing.T) {
	src := diag.NewSource("a.perch", "design \"d\"\nlet a = １０.5mm ＋ 2mm\nlet b = （a）\n")
	_, ds := Parse(src)
	var told []string
	for _, d := range ds {
		mend := ""
		if d.Fix != nil {
			mend = d.Fix.Edits[0].Text
		}
		told = append(told, d.Summary+" -> "+mend)
	}
	want := []string{
		"the `１` in `１０.5mm` is U+FF11, a full-width character; it only looks like a plain 1 -> 10.5mm",
		"`＋` is U+FF0B, a full-width character; it only looks like a plain + -> +",
		"`（` is U+FF08, a full-width character; it only looks like a plain ( -> (",
		"`）` is U+FF09, a full-width character; it only looks like a plain ) -> )",
	}
	if !slices.Equal(told, want) {
		t.Errorf("told:\n%s", strings.Join(told, "\n"))
	}
}
