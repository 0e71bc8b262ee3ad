package load_test

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/parts/shop"
	"perch/stdlib"
)

// shelved is a panel of the library as a maker copies it.
type shelved struct {
	name, text string
	calls      []string // what it calls by name
	words      []string // all names in it
}

// library lists every panel of the library.
func library(t *testing.T) []shelved {
	t.Helper()
	var out []shelved
	for _, dotted := range stdlib.Modules() {
		name, text, err := stdlib.Module(dotted)
		if err != nil {
			t.Fatal(err)
		}
		file, _ := syntax.Parse(diag.NewSource(name, text))
		for _, s := range file.Stmts {
			p, ok := s.(*syntax.Panel)
			if !ok {
				continue
			}
			one := shelved{name: p.Name.Name, text: p.At.Text()}
			for _, d := range p.Params {
				one.words = append(one.words, d.Name.Name)
			}
			syntax.Inspect(p, func(n syntax.Node) bool {
				switch x := n.(type) {
				case *syntax.Call:
					if f, ok := x.Fun.(*syntax.Name); ok {
						one.calls = append(one.calls, f.Name)
					}
				case *syntax.Face:
					one.words = append(one.words, x.Name.Name)
				case *syntax.Let:
					one.words = append(one.words, x.Name.Name)
				case *syntax.Name:
					one.words = append(one.words, x.Name)
				case *syntax.Member:
					one.words = append(one.words, x.Name.Name)
				}
				return true
			})
			out = append(out, one)
		}
	}
	if len(out) < 8 {
		t.Fatalf("the library has %d panels", len(out))
	}
	return out
}

// mistakes are the errors of a design's text.
func mistakes(t *testing.T, text string) []diag.Diagnostic {
	t.Helper()
	_, diags, err := load.Source(diag.NewSource("design.perch", text), load.Library(), shop.Default())
	if err != nil {
		t.Fatal(err)
	}
	return slices.DeleteFunc(diags, func(d diag.Diagnostic) bool { return d.Severity != diag.Error })
}

// TestPanelsCanBeCopied puts every panel of the library into every example, in the
// place of an import of it.
func TestPanelsCanBeCopied(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) < 6 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range library(t) {
			text := without(string(b), p.name) + "\n" + p.text + "\n"
			if ds := mistakes(t, text); len(ds) > 0 {
				t.Errorf("%s with %s: %s", file, p.name, ds[0])
			}
		}
	}
}

// without is a design that imports a name no more.
func without(text, name string) string {
	file, _ := syntax.Parse(diag.NewSource("design.perch", text))
	for _, s := range file.Stmts {
		u, ok := s.(*syntax.Use)
		if !ok {
			continue
		}
		var keep []string
		for _, im := range u.Names {
			if im.Name.Name != name {
				keep = append(keep, im.Name.Name)
			}
		}
		use := ""
		if len(keep) > 0 {
			use = "use " + strings.Join(keep, ", ") + " from " + u.FromAt.Text()
		}
		return text[:u.At.Start] + use + without(text[u.At.End:], name)
	}
	return text
}

// TestPanelsCanBeCopiedAnywhere puts every panel of the library into designs whose
// names are drawn from the panel's own and the language's, and that define no panel
// or function which it calls.
func TestPanelsCanBeCopiedAnywhere(t *testing.T) {
	var language []string
	for _, f := range builtin.Functions {
		language = append(language, f.Name)
	}
	for _, w := range check.TypeWords {
		language = append(language, w.Word)
	}
	language = append(language, "aluminium", "u", "v")
	for _, p := range library(t) {
		for seed := range 100 {
			r := rand.New(rand.NewSource(int64(seed)))
			text := random(r, append(slices.Clone(language), p.words...), p)
			if ds := mistakes(t, text); len(ds) > 0 {
				t.Fatalf("%s: %s\n%s", p.name, ds[0], text)
			}
		}
	}
}

// random writes a design of statements with names drawn from words, and the panel.
// What it says itself goes by names that no statement has.
func random(r *rand.Rand, words []string, p shelved) string {
	var b strings.Builder
	b.WriteString("design \"Drawn\"\n\n")
	used := map[string]bool{"the_sheet": true}
	calls := map[string]bool{p.name: true}
	for _, c := range p.calls {
		calls[c] = true
	}
	one := func(of ...string) string { return of[r.Intn(len(of))] }
	b.WriteString("stock the_sheet = sheet(mild_steel, 1mm)\n")
	for range 12 {
		name := words[r.Intn(len(words))]
		if syntax.IsReserved(name) || name == "mild_steel" {
			continue
		}
		switch k := r.Intn(7); {
		case k == 6 && !calls[name]:
			calls[name] = true
			if slices.Contains([]string{"sheet", "box", "frustum", "rect", "level"}, name) { // called in this text
				continue
			}
			fmt.Fprintf(&b, "let %s(x: length) = 2 * x\n", name)
		case used[name] || name == "true" || name == "false": // which panels read
		case k == 0:
			used[name] = true
			fmt.Fprintf(&b, "param %s: length in 1mm..9mm = 3mm\n", name)
		case k == 1:
			used[name] = true
			fmt.Fprintf(&b, "let %s = %s\n", name, one("3", "(1mm, 2mm)", "4deg", "\"text\"", "[1mm, 2mm]", "1mm < 2mm"))
		case k == 2:
			used[name] = true
			fmt.Fprintf(&b, "stock %s = sheet(mild_steel, 2mm)\n", name)
		case k == 3:
			used[name] = true
			fmt.Fprintf(&b, "body %s = %s\n", name, one("box(200mm, 300mm, 400mm)", "frustum(top: 200mm, bottom: 300mm, height: 400mm)"))
		case k == 4 && !used["plate "+name]:
			used["plate "+name] = true
			fmt.Fprintf(&b, "size %s\n", name)
		case k == 5 && !calls["plain"]:
			calls["plain"], used[name] = true, true
			fmt.Fprintf(&b, "panel plain() { face web on the_plane { outline rect(40mm, 40mm) } }\nlet the_plane = level(0mm)\npart %s of the_sheet = plain()\n", name)
		}
	}
	return b.String() + "\n" + p.text + "\n"
}
