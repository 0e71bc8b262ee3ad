package check

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/stdlib"
)

// shelf is a loader over texts in memory.
type shelf struct{ modules, files map[string]string }

func (s shelf) Module(dotted string) (*diag.Source, error) { return s.find(s.modules, dotted) }

func (s shelf) File(_ *diag.Source, path string) (*diag.Source, error) { return s.find(s.files, path) }

func (s shelf) find(in map[string]string, name string) (*diag.Source, error) {
	if text, ok := in[name]; ok {
		return diag.NewSource(name, text), nil
	}
	return nil, fmt.Errorf("there is no %s on the shelf", name)
}

var shop = Builtins{Materials: []string{"mild_steel", "aluminium"}, Methods: []string{"din6935", "shop"}}

func read(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// expectation is an error named in a comment on the line where it must stand:
// //! P2001 "pattern of the summary" P2010 "another".
type expectation struct {
	source, code string
	line         int
	pattern      string
	met          bool
}

var expected = regexp.MustCompile(`(P\d{4}) "((?:[^"\\]|\\.)*)"`)

func expectations(src *diag.Source) []*expectation {
	var out []*expectation
	for i, line := range strings.Split(src.Text, "\n") {
		_, comment, ok := strings.Cut(line, "//!")
		if !ok {
			continue
		}
		for _, m := range expected.FindAllStringSubmatch(comment, -1) {
			out = append(out, &expectation{source: src.Name, code: m[1], line: i + 1, pattern: m[2]})
		}
	}
	return out
}

// chunks splits a file at lines of --- and keeps the line numbers of each chunk
// by what stands before it.
func chunks(text string) []string {
	var out []string
	start, line := 0, 0
	lines := strings.SplitAfter(text, "\n")
	for ; line <= len(lines); line++ {
		if line == len(lines) || strings.TrimSpace(lines[line]) == "---" {
			out = append(out, strings.Repeat("\n", start)+strings.Join(lines[start:line], ""))
			start = line + 1
		}
	}
	return out
}

// TestChunks checks every chunk of testdata: each mistake where its comment
// says, and no other. A chunk that begins with `// module NAME` or `// file PATH`
// is no design but can be used by the designs after it.
func TestChunks(t *testing.T) {
	seen := map[string]bool{}
	files, err := filepath.Glob("testdata/*.chunks")
	if err != nil || len(files) == 0 {
		t.Fatal("no chunks", err)
	}
	for _, file := range files {
		lib := shelf{map[string]string{}, map[string]string{}}
		for _, text := range chunks(read(t, filepath.Base(file))) {
			head, _, _ := strings.Cut(strings.TrimLeft(text, "\n"), "\n")
			if name, ok := strings.CutPrefix(head, "// module "); ok {
				lib.modules[name] = text
				continue
			}
			if name, ok := strings.CutPrefix(head, "// file "); ok {
				lib.files[name] = text
				continue
			}
			checkChunk(t, file, text, lib, seen)
		}
	}
	for _, c := range diag.Codes {
		if c.Code == "P2049" {
			continue // a note that is asked for: TestUnused
		}
		if strings.HasPrefix(c.Code, "P20") && c.Code < "P2060" && !seen[c.Code] && c.Code != "P2045" {
			t.Errorf("no chunk covers %s, %s", c.Code, c.Title)
		}
	}
}

func checkChunk(t *testing.T, file, text string, lib shelf, seen map[string]bool) {
	t.Helper()
	src := diag.NewSource(filepath.Base(file), text)
	root, syntaxErrors := syntax.Parse(src)
	for _, d := range syntaxErrors {
		t.Errorf("%s:%d: does not parse: %s", src.Name, d.Span.Position().Line, d.Summary)
	}
	prog, diags := Check(root, lib, shop)
	var want []*expectation
	for _, m := range prog.Modules {
		want = append(want, expectations(m.Source)...)
	}
	for _, d := range diags {
		seen[d.Code] = true
		if !meet(t, want, d) {
			t.Errorf("%s:%d: unexpected %s: %s %v", d.Span.Source.Name, d.Span.Position().Line, d.Code, d.Summary, d.Notes)
		}
	}
	for _, w := range want {
		if !w.met {
			t.Errorf("%s:%d: no %s %q", w.source, w.line, w.code, w.pattern)
		}
	}
}

func meet(t *testing.T, want []*expectation, d diag.Diagnostic) bool {
	t.Helper()
	for _, w := range want {
		if w.met || w.code != d.Code || w.source != d.Span.Source.Name || w.line != d.Span.Position().Line {
			continue
		}
		ok, err := regexp.MatchString(w.pattern, d.Summary)
		if err != nil {
			t.Fatal(err)
		}
		if ok {
			w.met = true
			return true
		}
	}
	return false
}

// TestStool checks the language's own example and the library it uses.
func TestStool(t *testing.T) {
	lib := shelf{modules: map[string]string{"std.stool": read(t, "std_stool.perch")}}
	root, diags := syntax.Parse(diag.NewSource("stool.perch", read(t, "stool.perch")))
	prog, more := Check(root, lib, shop)
	for _, d := range append(diags, more...) {
		t.Errorf("unexpected: %s", d)
	}
	if len(prog.Modules) != 2 || prog.Modules[1].Name != "std.stool" {
		t.Fatalf("modules: %v", prog.Modules)
	}
	types := map[string]string{
		"rung": "family of cross_rung parts", "core": "body", "tread": "function", "cap": "seat_cap",
		"shell": "stock", "rungs": "count", "splay": "angle",
	}
	for name, want := range types {
		if got := prog.Root.Named(name)[0].Type.String(); got != want {
			t.Errorf("%s is %s, want %s", name, got, want)
		}
	}
	if got := prog.Root.Find(Values, "gusset").Type; len(got.Index) != 2 || got.Index[0].Decl != prog.Root.Find(Calls, "cross_rung") || got.Index[1].Kind != CornerKind {
		t.Errorf("gusset is indexed by %v", got.Index)
	}
	if got := prog.Root.Find(Calls, "tread").Result.String(); got != "length" {
		t.Errorf("tread gives %s", got)
	}
	lib2, diags := syntax.Parse(diag.NewSource("std/stool.perch", read(t, "std_stool.perch")))
	if _, more := Check(lib2, lib, shop); len(diags)+len(more) > 0 {
		t.Errorf("the library by itself: %v %v", diags, more)
	}
}

// TestShipped checks every module of the library: nothing in it is taken for a mistake.
func TestShipped(t *testing.T) {
	var files []string
	lib := shelf{map[string]string{}, map[string]string{}}
	for _, dotted := range stdlib.Modules() {
		name, text, err := stdlib.Module(dotted)
		if err != nil {
			t.Fatal(err)
		}
		lib.modules[dotted] = text
		files = append(files, filepath.Join("../../stdlib", name))
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		root, diags := syntax.Parse(diag.NewSource(file, string(text)))
		_, more := Check(root, lib, shop)
		for _, d := range append(diags, more...) {
			t.Errorf("unexpected: %s", d)
		}
	}
}

// TestLost wants silence about names whose declaration, or use, did not parse:
// the syntax mistake is reported, what follows from it is not.
func TestLost(t *testing.T) {
	head := "design \"d\"\nuse one from std.m\n"
	lib := shelf{modules: map[string]string{"std.m": "let one = 1mm\nlet two = (3mm +\nlet three = one"}}
	for _, text := range []string{
		head + "param seat: = 3mm\nlet a = seat + one\nsize low: seat = 3mm",
		head + "let seat = (3mm +\nlet a = seat + one",
		head + "let seat = one + + 2",
		head + "panel p(a: length, b length) { face w on level(0mm) { outline rect(a, b) } }\nstock s = sheet(mild_steel, one)\npart x of s = p(1mm, b: 2mm)",
		head + "panel p(a: length) { face w on level(0mm) { outline } fold w to }\nstock s = sheet(mild_steel, one)\npart x of s = p(1mm)\nlet e = x.w.top.length",
		head + "size low like high\nsize high: = 3\nlet a = one",
		head + "use two from std.m\nlet a = one + two",
	} {
		root, syntaxErrors := syntax.Parse(diag.NewSource("lost.perch", text))
		_, diags := Check(root, lib, shop)
		if len(syntaxErrors) == 0 && !strings.Contains(text, "two") {
			t.Errorf("%q has no syntax mistake", text)
		}
		for _, d := range diags {
			if d.Code >= "P2" {
				t.Errorf("%q: %s", text, d)
			}
		}
	}
	_, diags := Check(must(t, "design \"d\"\n// let seat = 2mm\nlet a = seat\nlet 3\n"), lib, shop)
	if len(diags) != 1 || diags[0].Code != "P2001" {
		t.Errorf("a name in a comment is taken for a lost one: %v", diags)
	}
}

func must(t *testing.T, text string) *syntax.File {
	t.Helper()
	f, _ := syntax.Parse(diag.NewSource("lost.perch", text))
	return f
}
