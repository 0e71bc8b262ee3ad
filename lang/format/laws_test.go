package format

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"perch/lang/diag"
	"perch/lang/syntax"
)

var mutants = flag.Int("mutants", 4000, "how many mutated programs the laws are held to")

// corpus is every example, the library, and a text that uses what they do not.
func corpus(t testing.TB) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, g := range []string{"../../examples/*/*.perch", "../../stdlib/std/*.perch", "../syntax/testdata/*stool.perch", "testdata/*.perch"} {
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

// hold checks the laws on a text that parses: formatting does not fail, keeps
// tokens, comments and tree, and changes nothing the second time. It returns
// the broken law, "" for none.
func hold(text string) string {
	file, diags := syntax.Parse(diag.NewSource("a.perch", text))
	if len(diags) > 0 {
		return "the text has syntax errors"
	}
	once, diags := Source(file.Source)
	if len(diags) > 0 {
		return "refused: " + diags[0].String()
	}
	again, diags := syntax.Parse(diag.NewSource("a.perch", once))
	if len(diags) > 0 {
		return "the result does not parse: " + diags[0].String() + "\n" + once
	}
	if a, b := words(text), words(once); a != b {
		return "tokens: " + cmp.Diff(strings.Split(a, "\n"), strings.Split(b, "\n"))
	}
	if a, b := comments(text), comments(once); a != b {
		return "comments: " + cmp.Diff(a, b)
	}
	if a, b := tree(file), tree(again); a != b {
		return "trees differ: " + cmp.Diff(a, b)
	}
	if twice := File(again); twice != once {
		return "twice is not once:\n" + Diff("a", once, twice)
	}
	return ""
}

// words are the tokens, a line each, without comments and without the commas
// before closing brackets. It reads the scanner's tokens, not this package's.
func words(text string) string {
	var out []string
	for t := range syntax.Tokens(text) {
		if t.Type == syntax.CommentToken {
			continue
		}
		if n := len(out); n > 0 && out[n-1] == "," && (t.Value == ")" || t.Value == "]") && t.Type == syntax.PunctToken {
			out = out[:n-1]
		}
		out = append(out, t.Value)
	}
	return strings.Join(out, "\n")
}

func comments(text string) string {
	file, _ := syntax.Parse(diag.NewSource("", text))
	var out []string
	for _, c := range file.Comments {
		out = append(out, strings.TrimRight(c.Text, " \t"))
	}
	return strings.Join(out, "\n")
}

// tree is all of a file's tree but places and comments.
func tree(f *syntax.File) string {
	var b strings.Builder
	if f.Design != nil {
		dump(&b, reflect.ValueOf(f.Design))
	}
	dump(&b, reflect.ValueOf(f.Stmts))
	return b.String()
}

var spanType = reflect.TypeFor[diag.Span]()

func dump(b *strings.Builder, v reflect.Value) {
	switch v.Kind() {
	case reflect.Interface, reflect.Pointer:
		if v.IsNil() {
			b.WriteString("-")
			return
		}
		dump(b, v.Elem())
	case reflect.Slice:
		b.WriteString("[")
		for i := range v.Len() {
			dump(b, v.Index(i))
			b.WriteString("\n")
		}
		b.WriteString("]")
	case reflect.Struct:
		if v.Type() == spanType {
			return
		}
		b.WriteString(v.Type().Name() + "{")
		for i := range v.NumField() {
			dump(b, v.Field(i))
			b.WriteString(" ")
		}
		b.WriteString("}")
	default:
		fmt.Fprintf(b, "%v", v)
	}
}

func TestLaws(t *testing.T) {
	for name, text := range corpus(t) {
		if law := hold(text); law != "" {
			t.Errorf("%s: %s", name, law)
		}
		crlf := "\ufeff" + strings.ReplaceAll(text, "\n", "\r\n")
		if law := hold(crlf); law != "" {
			t.Errorf("%s with CRLF: %s", name, law)
		}
		a, _ := Source(diag.NewSource("", text))
		b, _ := Source(diag.NewSource("", crlf))
		if a != b {
			t.Errorf("%s: CRLF and a byte order mark change the form", name)
		}
	}
}

// gaps are put between tokens.
var gaps = []string{" ", "", "", "  ", "\t", "\n", "\n", "\n\n", "\n\n\n\n", "\r\n", " // remark\n", "\n// own line\n", "\n\n  // apart \n\n", "//\n", " // one\n// two\n", ",\n", ", // comma\n", "// before a comma\n,"}

// remarks are gaps with a comment in each.
var remarks = []string{" // remark\n", "\n// own line\n", "\n\n  // apart \n\n", "//\n", " // one\n// two\n", " // last\r\n\n"}

// mutate puts other gaps between some tokens of text, in every fourth a comment into
// every gap and in another fourth makes words long, and sometimes takes out, doubles
// or swaps tokens: what comes out may or may not parse.
func mutate(r *rand.Rand, text string) string {
	ts := tokensOf(text)
	rate := []float64{0.02, 0.1, 0.5, 1}[r.IntN(4)]
	structure := r.IntN(3) == 0
	gaps := gaps
	if r.IntN(4) == 0 {
		gaps, rate = remarks, 1
	}
	long := r.IntN(4) == 0
	var b strings.Builder
	end := int32(0)
	for i := 0; i < len(ts); i++ {
		t := ts[i]
		if end <= t.start && r.Float64() >= rate {
			b.WriteString(text[end:t.start])
		} else {
			b.WriteString(gaps[r.IntN(len(gaps))])
		}
		end = max(end, t.end)
		word := text[t.start:t.end]
		if structure && r.IntN(80) == 0 {
			switch r.IntN(3) {
			case 0:
				continue
			case 1:
				word += " " + word
			case 2:
				o := ts[r.IntN(len(ts))]
				word = text[o.start:o.end]
			}
		}
		if long && t.kind == other && len(word) > 3 && word[0] >= 'a' && word[0] <= 'z' && r.IntN(8) == 0 {
			word = strings.Repeat(word, 1+r.IntN(8))
		}
		b.WriteString(word)
		if t.kind == comment {
			b.WriteString("\n")
		}
	}
	b.WriteString(gaps[r.IntN(len(gaps))])
	return b.String()
}

// pieces are runs of top-level statements, small enough to mutate many.
func pieces(t testing.TB) []string {
	var out []string
	for _, text := range corpus(t) {
		file, _ := syntax.Parse(diag.NewSource("", text))
		start := int32(0)
		for i, s := range file.Stmts {
			if i%4 == 3 || i == len(file.Stmts)-1 || s.Span().End-start > 400 {
				out = append(out, text[start:s.Span().End])
				start = s.Span().End
			}
		}
	}
	return out
}

func TestLawsOnMutants(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	base := pieces(t)
	held, want := 0, *mutants
	if testing.Short() {
		want /= 4
	}
	for tries := 0; held < want && tries < 20*want; tries++ {
		text := mutate(r, base[r.IntN(len(base))])
		law := hold(text)
		if strings.HasPrefix(law, "the text") {
			continue
		}
		held++
		if law != "" {
			t.Fatalf("mutant %d: %s\n--- text\n%s", tries, law, text)
		}
	}
	if held < want {
		t.Fatalf("only %d mutants parse", held)
	}
}

// FuzzLaws holds any text to the laws; what does not parse must be refused as
// it is.
func FuzzLaws(f *testing.F) {
	for _, p := range pieces(f) {
		f.Add(p)
	}
	f.Fuzz(func(t *testing.T, text string) {
		src := diag.NewSource("a.perch", text)
		if _, diags := syntax.Parse(src); len(diags) > 0 {
			got, refused := Source(src)
			if got != src.Text || len(refused) == 0 {
				t.Fatal("a text with syntax errors was not refused as it is")
			}
			return
		}
		if law := hold(text); law != "" {
			t.Fatal(law)
		}
	})
}

// TestOwnTextsAreCanonical: what perch ships stands in the form it asks for.
func TestOwnTextsAreCanonical(t *testing.T) {
	for name, text := range corpus(t) {
		if strings.Contains(name, "testdata") {
			continue
		}
		if got, _ := Source(diag.NewSource(name, text)); got != text {
			t.Errorf("%s\n%s", name, Diff(name, text, got))
		}
	}
}
