package syntax

import (
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"perch/lang/diag"
)

// TestReparse edits texts at random, many times each without starting anew, and
// wants after every edit what parsing the whole text gives: tree, comments and
// mistakes.
func TestReparse(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	files = append(files, "testdata/std_stool.perch", "testdata/errors.perch")
	rnd := rand.New(rand.NewSource(1))
	pieces := []string{"a", "0", " ", "\n", "(", ")", "{", "}", "[", "]", ",", ".", ":", "=", "\"", "/", "*", "/*", "*/", "//",
		"param q: length = 3mm\n", "let ", "panel p(", "face f on s {", "design \"x\"\n", "if ", "+", "-", "12 in", "cut", "é", "use a from b\n", ";", "size"}
	edits, short, each := 0, 0, 40
	if testing.Short() {
		each = 4
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Repeat(string(b)+"\n", 1+2000/len(b))
		file, mistakes := Parse(diag.NewSource("x", text))
		for range each {
			ch := Change{Start: rnd.Intn(len(text) + 1)}
			ch.End = min(len(text), ch.Start+rnd.Intn(4)*rnd.Intn(12))
			put := ""
			if rnd.Intn(4) > 0 {
				put = pieces[rnd.Intn(len(pieces))]
			}
			was := text
			text = text[:ch.Start] + put + text[ch.End:]
			ch.Fresh = len(put)
			src := diag.NewSource("x", text)
			got, gotDiags := Reparse(file, mistakes, src, ch)
			want, wantDiags := Parse(src)
			opts := cmp.Options{cmp.Comparer(func(a, b *diag.Source) bool { return a == b }), cmpopts.EquateEmpty()}
			if d := cmp.Diff(want, got, opts); d != "" {
				t.Fatalf("%s: after %q became %q, the trees differ:\n%s", name, was[ch.Start:ch.End], put, d)
			}
			if d := cmp.Diff(wantDiags, gotDiags, opts); d != "" {
				t.Fatalf("%s: after %q at %d became %q, the mistakes differ:\n%s", name, was[ch.Start:ch.End], ch.Start, put, d)
			}
			edits++
			if len(gotDiags) < 15 {
				file, mistakes = got, gotDiags
				continue
			}
			short++
			text = was // too broken to go on with
		}
	}
	t.Logf("%d edits, %d taken back", edits, short)
}

// BenchmarkReparse changes one literal in the middle of a text of BenchmarkParse's
// kind, of some 2,000 lines; BenchmarkParse2000 parses all of it.
func BenchmarkReparse(b *testing.B) {
	text, ch := longText(b)
	file, mistakes := Parse(diag.NewSource("bench", text))
	src := diag.NewSource("bench", text[:ch.Start]+"41"+text[ch.End:])
	b.ReportAllocs()
	for b.Loop() {
		if _, ds := Reparse(file, mistakes, src, ch); len(ds) > 0 {
			b.Fatal(ds[0])
		}
	}
}

func BenchmarkParse2000(b *testing.B) {
	text, _ := longText(b)
	b.ReportAllocs()
	for b.Loop() {
		Parse(diag.NewSource("bench", text))
	}
}

func longText(b *testing.B) (string, Change) {
	one := read(b, "std_stool.perch")
	text := strings.Repeat(one, 1+2000/strings.Count(one, "\n"))
	at := len(text) / 2
	at += strings.Index(text[at:], "40mm")
	return text, Change{Start: at, End: at + 2, Fresh: 2}
}
