package grammar

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/quantity"
	"perch/lang/syntax"
)

var update = flag.Bool("update", false, "write the grammar files anew")

// TestFilesAreCurrent: the files that users copy are those that the language's
// word lists give; nothing else lies beside them.
func TestFilesAreCurrent(t *testing.T) {
	for path, want := range Files() {
		if *update {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(path)
		if err != nil || string(got) != want {
			t.Errorf("%s is not what the word lists give (%v); run go test ./lang/editor/grammar -update", path, err)
		}
		if strings.HasSuffix(path, ".json") && !json.Valid([]byte(want)) {
			t.Errorf("%s is no JSON", path)
		}
	}
	for _, dir := range []string{"vscode", "vim"} {
		filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
			switch {
			case err == nil && d.Name() == "node_modules":
				return filepath.SkipDir
			case err != nil || d.IsDir() || d.Name() == "package-lock.json" || d.Name() == "perch.vsix":
				return err
			}
			if _, ok := Files()[filepath.ToSlash(path)]; !ok {
				t.Errorf("%s is made by nothing", path)
			}
			return nil
		})
	}
}

// TestEveryWordHasItsColour: a word is in exactly the list that its use asks
// for, and no list holds a word that the language does not.
func TestEveryWordHasItsColour(t *testing.T) {
	l := words()
	grammarWords := slices.Concat(l.naming, l.stating, l.choosing, l.logical, l.clauses)
	language := slices.Concat(syntax.ReservedWords(), syntax.ClauseWords())
	slices.Sort(grammarWords)
	slices.Sort(language)
	if !slices.Equal(grammarWords, language) {
		t.Errorf("the grammar's words\n%v\nare not the language's\n%v", grammarWords, language)
	}
	for _, w := range slices.Concat(plainStarters, logical, choosing) {
		if !slices.Contains(language, w) {
			t.Errorf("%s is no word of the language", w)
		}
	}
	e := newEngine(t)
	scopeOf := func(line, word string) string {
		t.Helper()
		scopes := e.line(line)
		return scopes[strings.LastIndex(line, word)]
	}
	for _, f := range builtin.Functions {
		if got := scopeOf("let a = "+f.Name+"(1)", f.Name); got != "support.function.perch" {
			t.Errorf("the function %s is coloured %q", f.Name, got)
		}
	}
	for _, w := range check.TypeWords {
		for _, line := range []string{"param a: " + w.Word, "  a: " + w.Word + " = 1", "let f(a: [" + w.Word + "]) = 1"} {
			if got := scopeOf(line, w.Word); got != "support.type.perch" {
				t.Errorf("in %q the type is coloured %q", line, got)
			}
		}
	}
	for _, u := range append(quantity.Units(), quantity.UnitDef{Name: "ga"}, quantity.UnitDef{Name: "%"}, quantity.UnitDef{Name: `"`}) {
		if got := scopeOf("let a = 12"+u.Name, u.Name); got != "keyword.other.unit.perch" {
			t.Errorf("the unit %s is coloured %q", u.Name, got)
		}
	}
	for _, w := range syntax.ClauseWords() {
		if got := scopeOf("x "+w+" y", w); !strings.HasPrefix(got, "keyword.") {
			t.Errorf("the clause word %s is coloured %q", w, got)
		}
	}
}

// engine runs the grammar as an editor does, a line at a time; no pattern here
// reaches over a line's end.
type engine struct {
	rules []rule
	re    map[string]*regexp.Regexp
}

// newEngine reads the grammar from its file, as an editor would.
func newEngine(t *testing.T) *engine {
	t.Helper()
	b, err := os.ReadFile("vscode/syntaxes/perch.tmLanguage.json")
	if err != nil {
		t.Fatal(err)
	}
	var g textMate
	if err := json.Unmarshal(b, &g); err != nil {
		t.Fatal(err)
	}
	return &engine{g.Patterns, map[string]*regexp.Regexp{}}
}

func (e *engine) find(pattern, line string, at int) []int {
	re := e.re[pattern]
	if re == nil {
		re = regexp.MustCompile(pattern)
		e.re[pattern] = re
	}
	// Matching a line's rest would lose what stands before; \b must see it.
	for _, m := range re.FindAllStringSubmatchIndex(line, -1) {
		if m[0] >= at {
			return m
		}
	}
	if m := re.FindStringSubmatchIndex(line[at:]); m != nil { // one that an earlier match overlapped
		for i := range m {
			if m[i] >= 0 {
				m[i] += at
			}
		}
		return m
	}
	return nil
}

// line is the innermost scope of every byte.
func (e *engine) line(line string) []string {
	scopes := make([]string, len(line))
	fill := func(from, to int, scope string) {
		for ; scope != "" && from < to; from++ {
			scopes[from] = scope
		}
	}
	for at := 0; at < len(line); {
		var best *rule
		var m []int
		for i := range e.rules {
			r := &e.rules[i]
			if k := e.find(r.Match+r.Begin, line, at); k != nil && (best == nil || k[0] < m[0]) {
				best, m = r, k
			}
		}
		if best == nil || m[1] == m[0] {
			break
		}
		end := m[1]
		if best.Begin != "" {
			end = e.region(best, line, end, fill)
			fill(m[0], end, best.Name)
		} else {
			fill(m[0], end, best.Name)
			for n, c := range best.Captures {
				var i int
				fmt.Sscan(n, &i)
				if m[2*i] >= 0 {
					fill(m[2*i], m[2*i+1], c.Name)
				}
			}
		}
		at = end
	}
	return scopes
}

// region finds the end of a begin-end rule, over the patterns inside.
func (e *engine) region(r *rule, line string, at int, fill func(int, int, string)) int {
	for {
		end := e.find(r.End, line, at)
		inner := []int(nil)
		for _, p := range r.Patterns {
			if k := e.find(p.Match, line, at); k != nil && (inner == nil || k[0] < inner[0]) {
				inner = k
			}
		}
		if inner == nil || inner[0] >= end[0] {
			return end[1]
		}
		at = inner[1]
	}
}

// piece is a token of an example with what it must be coloured as.
type piece struct {
	line, column int // from 0, in bytes
	text         string
	want         string // start of the TextMate scope
	vim          string // the Vim group, without "perch"; several parted by |
}

// pieces are the tokens of a text whose colour does not depend on meaning.
func pieces(text string) []piece {
	var out []piece
	prev := ""
	for t := range syntax.Tokens(text) {
		before := text[:t.Start]
		p := piece{line: strings.Count(before, "\n"), column: int(t.Start) - strings.LastIndex(before, "\n") - 1, text: t.Value}
		behind := strings.TrimLeft(text[t.End:], " ")
		switch {
		case t.Type == syntax.CommentToken:
			p.want, p.vim = "comment.|punctuation.definition.comment", "Comment"
		case t.Type == syntax.NumberToken:
			p.want, p.vim = "constant.numeric.|keyword.other.unit", "Number"
		case t.Type == syntax.TextToken:
			p.want, p.vim = "string.", "Text"
		case t.Type == syntax.StartToken:
			p.want, p.vim = "storage.type.|keyword.other.statement", "Statement"
		case t.Type == syntax.KeyToken:
			p.want, p.vim = "keyword.", "Conditional|Logical"
		case t.Type == syntax.WordToken && prev == ".":
			p.want, p.vim = "variable.other.member|entity.name.function.member", "Member"
		case t.Type == syntax.WordToken && strings.HasPrefix(behind, ":"):
			p.want, p.vim = "variable.parameter|variable.other.declaration", "Label|Declared"
		case t.Type == syntax.WordToken && (prev == "panel" || prev == "let") && strings.HasPrefix(behind, "("):
			p.want, p.vim = "variable.other.declaration|entity.name.function", "Declared"
		case t.Type == syntax.WordToken && builtin.IsFunction(t.Value) && strings.HasPrefix(behind, "("):
			p.want, p.vim = "support.function", "Function"
		case prev == "use" || t.Type == syntax.PunctToken:
			p.want = ""
		}
		prev = t.Value
		if p.want != "" {
			out = append(out, p)
		}
	}
	return out
}

// examples are the texts that colours are tried on.
func examples(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{"numbers": `let a = 2'6-1/2" + 2'6" - 2'-6" + 1' + 1-1/2in * 3/4" / 18ga + 40% - 1e-6mm + 0.5rad + x1.y2` + "\n",
		"plain": "let a = b.part.cut(use: 3, size: c).face // rest\nparam d: [face]\nlet e = \"a \\\" // b\" // c\n"}
	for _, g := range []string{"../../../examples/*/*.perch", "../../../stdlib/std/*.perch"} {
		files, err := filepath.Glob(g)
		if err != nil || len(files) == 0 {
			t.Fatalf("no files %s", g)
		}
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			out[f] = string(b)
		}
	}
	return out
}

func hasPrefix(got, wants string) bool {
	return slices.ContainsFunc(strings.Split(wants, "|"), func(w string) bool { return strings.HasPrefix(got, w) })
}

// TestTextMateOnExamples holds the grammar to the scanner: every byte of a
// token has the colour of what it is.
func TestTextMateOnExamples(t *testing.T) {
	e := newEngine(t)
	for name, text := range examples(t) {
		var scopes [][]string
		for line := range strings.SplitSeq(text, "\n") {
			scopes = append(scopes, e.line(line))
		}
		for _, p := range pieces(text) {
			for k := range len(p.text) {
				if got := scopes[p.line][p.column+k]; !hasPrefix(got, p.want) {
					t.Errorf("%s:%d:%d: %q is coloured %q, not %s", name, p.line+1, p.column+k+1, p.text, got, p.want)
					break
				}
			}
		}
	}
}
