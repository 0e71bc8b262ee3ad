package syntax

import (
	"maps"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"perch/lang/diag"
)

// slips are what a hand does to one token while typing: how the text becomes
// wrong there, "" where the slip does not apply.
var slips = map[string]func(token string) string{
	"dropped":          func(string) string { return " " },
	"twice":            func(t string) string { return t + " " + t },
	"a { before":       func(t string) string { return "{ " + t },
	"a } before":       func(t string) string { return "} " + t },
	"a ( before":       func(t string) string { return "( " + t },
	"a ) before":       func(t string) string { return ") " + t },
	"a [ before":       func(t string) string { return "[ " + t },
	"a , before":       func(t string) string { return ", " + t },
	"a = before":       func(t string) string { return "= " + t },
	"a word before":    func(t string) string { return "x " + t },
	"a number before":  func(t string) string { return "3mm " + t },
	"a ; before":       func(t string) string { return "; " + t },
	"quote never shut": func(t string) string { return text(t, t[:len(t)-1]) },
	"quote never open": func(t string) string { return text(t, t[1:]) },
	"broken over lines": func(t string) string {
		if len(t) < 6 {
			return ""
		}
		return text(t, t[:4]+"\n"+t[4:])
	},
}

// text is as where t is a text.
func text(t, as string) string {
	if t[0] != '"' {
		return ""
	}
	return as
}

// TestOneMistakeOneReport slips once in a design, at every kind of token, and
// wants one report of it, and what stands before and far behind kept.
func TestOneMistakeOneReport(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	files = append(files, "testdata/std_stool.perch")
	rnd := rand.New(rand.NewSource(1))
	slipped, cascades, lost := 0, 0, 0
	every := 24
	if testing.Short() {
		every = 72
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		source := string(b)
		whole, _ := Parse(diag.NewSource(name, source))
		for _, tok := range tokensOf(source) {
			for _, slip := range sortedKeys(slips) {
				if rnd.Intn(every) > 0 {
					continue
				}
				a, z := int(tok.Start), int(tok.End)
				wrong := slips[slip](source[a:z])
				if wrong == "" {
					continue
				}
				f, got := Parse(diag.NewSource(name, source[:a]+wrong+source[z:]))
				if len(got) == 0 {
					continue // it can be read, as something else
				}
				slipped++
				if len(f.Stmts) < len(whole.Stmts)-1 {
					lost++
				}
				if len(got) > 1 {
					cascades++
				}
				if len(got) > 4 {
					t.Errorf("%s: `%s` %s gives %d reports:\n%s", name, tok.Value, slip, len(got), got)
				}
			}
		}
	}
	t.Logf("%d slips: %d reported more than once, %d cost more than one statement", slipped, cascades, lost)
	if cascades*100 > slipped || lost*100 > slipped {
		t.Errorf("of %d slips %d are reported more than once and %d cost more than one statement: want at most 1 in 100", slipped, cascades, lost)
	}
}

// TestMistakesApart slips in two statements of one design and wants both told.
func TestMistakesApart(t *testing.T) {
	source := read(t, "stool.perch")
	whole, _ := Parse(diag.NewSource("x", source))
	slip := func(text string, s Stmt) string {
		at := int(s.Span().End)
		return text[:at] + " ) " + text[at:]
	}
	told := 0
	for i, a := range whole.Stmts {
		for _, b := range whole.Stmts[i+1:] {
			_, got := Parse(diag.NewSource("x", slip(slip(source, b), a)))
			if len(got) != 2 {
				t.Errorf("`)` behind %q and behind %q: %d reports\n%s", a.Span().Text(), b.Span().Text(), len(got), got)
			}
			told++
		}
	}
	if told == 0 {
		t.Error("nothing was tried")
	}
}

func tokensOf(text string) []Token {
	all := newScanner(diag.NewSource("x", text)).grammatical()
	return all[:len(all)-1]
}

func sortedKeys(m map[string]func(string) string) []string {
	return slices.Sorted(maps.Keys(m))
}

// TestOpenQuote wants one report of a quote left open, whatever it swallowed.
func TestOpenQuote(t *testing.T) {
	for _, text := range []string{
		"param a: length = 3mm \"ab\ncd\"\nparam b: length = 1mm\n",
		"param a: length = 3mm \"ab\n\nparam b: length = 1mm\n",
		"panel p(a: length \"doc, b: length) {\n  face f on s { outline b }\n}\nparam b: length = 1mm\n",
		"panel p(a: length \"doc,\n  b: length = 3mm \"other\") {\n  face f on s { outline b }\n}\nparam b: length = 1mm\n",
		"panel p(a: length = 2mm) {\n  face f on s { mark m = text(\"ab) }\n}\nparam b: length = 1mm\n",
		"param a: length = 3mm what's over\"\nparam b: length = 1mm\n",
	} {
		f, got := Parse(diag.NewSource("x", text))
		if len(got) != 1 || got[0].Code != "P1005" {
			t.Errorf("%q: %d reports:\n%s", text, len(got), got)
		}
		if n := len(f.Stmts); n == 0 || f.Stmts[n-1].Span().Text() != "param b: length = 1mm" {
			t.Errorf("%q: the last statement is lost", text)
		}
	}
}

// TestForeignBraces wants one report of a choice written with braces.
func TestForeignBraces(t *testing.T) {
	for _, text := range []string{
		"let x = if a > 2mm { 3mm } else { 4mm }\nparam b: length = 1mm\n",
		"let x = if (a > 2mm) {\n  3mm\n} else if (a > 1mm) {\n  2mm\n} else {\n  4mm\n}\nparam b: length = 1mm\n",
		"if a > 2mm {\n  let x = 3mm\n} else {\n  let x = 4mm\n}\nparam b: length = 1mm\n",
		"param a: length = { 3mm }\nparam b: length = 1mm\n",
	} {
		f, got := Parse(diag.NewSource("x", text))
		if len(got) != 1 {
			t.Errorf("%q: %d reports:\n%s", text, len(got), got)
		}
		if n := len(f.Stmts); n == 0 || f.Stmts[n-1].Span().Text() != "param b: length = 1mm" {
			t.Errorf("%q: the last statement is lost", text)
		}
	}
}

// TestBrokenTextMended applies the fix of a text that was broken over lines.
func TestBrokenTextMended(t *testing.T) {
	src := diag.NewSource("x", "param a: length = 3mm \"ab \r\n  cd\n\tef\"\nparam b: length = 1mm\n")
	_, got := Parse(src)
	if len(got) != 1 || got[0].Fix == nil {
		t.Fatal(got)
	}
	mended := src.Text
	for _, e := range slices.Backward(got[0].Fix.Edits) {
		mended = mended[:e.Span.Start] + e.Text + mended[e.Span.End:]
	}
	f, got := Parse(diag.NewSource("x", mended))
	if len(got) > 0 || f.Stmts[0].(*Param).Decl.Doc.Value != "ab cd ef" {
		t.Errorf("mended to %q: %s", mended, got)
	}
}
