package reference_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/builtin"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/reference"
	"perch/lang/syntax"
	"perch/parts/dxf"
	"perch/parts/shop"
	"perch/stdlib"
)

const (
	root   = "../.."
	readme = "README.md"
	// update names the environment variable that has the generated parts of the
	// guides, what their console blocks print and the tutorial's pictures made anew.
	update = "PERCH_UPDATE"
)

func updating() bool { return os.Getenv(update) != "" }

// guides are the texts for people, as paths below the root: the two at the top
// and the README of every room that has one.
func guides(t testing.TB) []string {
	t.Helper()
	found := []string{"DEVELOPERS.md"}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && path != root && (strings.HasPrefix(name, ".") || name == "testdata" || name == "node_modules" || name == "out") {
			return fs.SkipDir
		}
		if name == readme {
			below, err := filepath.Rel(root, path)
			found = append(found, filepath.ToSlash(below))
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(found, readme) {
		t.Fatal("there is no README.md")
	}
	return found
}

// guide is the text of a guide.
func guide(t testing.TB, name string) string { return text(t, filepath.Join(root, name)) }

func text(t testing.TB, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestGenerated holds the generated parts of all guides to what the program says.
func TestGenerated(t *testing.T) {
	for _, name := range guides(t) {
		is := guide(t, name)
		want, err := reference.Fill(is, os.DirFS(root))
		if err != nil {
			t.Fatal(name, err)
		}
		switch {
		case is == want:
		case !updating():
			t.Errorf("the generated parts of %s are stale: %s\nrun %s=1 go test ./lang/reference", name, firstDifference(is, want), update)
		default:
			if err := os.WriteFile(filepath.Join(root, name), []byte(want), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func firstDifference(a, b string) string {
	la, lb := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(la), len(lb)) {
		if la[i] != lb[i] {
			return "\n  is   " + la[i] + "\n  want " + lb[i]
		}
	}
	return "one has more lines"
}

// TestExamples builds every block of perch in the guides at all its sizes.
func TestExamples(t *testing.T) {
	for _, name := range guides(t) {
		for _, b := range reference.Blocks(guide(t, name)) {
			if b.Lang != "perch" || len(b.Words) > 0 && b.Words[0] == "mistake" {
				continue
			}
			diags := built(t, whole(t, b))
			if diag.HasErrors(diags) {
				var s strings.Builder
				diag.Render(&s, diags, diag.Style{})
				t.Errorf("%s:%d: the example does not build:\n%s", name, b.Line, s.String())
			}
		}
	}
}

// built builds a design at all its sizes and returns what there is to say.
func built(t *testing.T, text string) []diag.Diagnostic {
	shop := shop.Default()
	prog, diags, err := load.Source(diag.NewSource("README.md", text), load.Library(), shop)
	if err != nil {
		t.Fatal(err)
	}
	if diag.HasErrors(diags) {
		return diags
	}
	for _, size := range build.Sizes(prog) {
		_, more := build.Size(prog, size, shop, nil)
		diags = append(diags, more...)
	}
	return diags
}

// whole is a block as a design: a fragment, whose fence names what it stands in,
// takes the place of the line that says here.
func whole(t *testing.T, b reference.Block) string {
	if len(b.Words) == 0 {
		return b.Text
	}
	frame := text(t, filepath.Join("testdata", b.Words[0]+".perch"))
	before, after, ok := strings.Cut(frame, "// here\n")
	if !ok {
		t.Fatalf("testdata/%s.perch has no place for a fragment", b.Words[0])
	}
	return before + b.Text + after
}

// code is the perch text of the guides' examples, of the library and of the
// shipped examples, without comments and quoted texts.
func code(t *testing.T) (inGuides, everywhere string) {
	quoted := regexp.MustCompile(`"[^"\n]*"|//[^\n]*`)
	for _, name := range guides(t) {
		for _, b := range reference.Blocks(guide(t, name)) {
			if b.Lang == "perch" && (len(b.Words) == 0 || b.Words[0] != "mistake") {
				inGuides += quoted.ReplaceAllString(b.Text, "") + "\n"
			}
		}
	}
	everywhere = inGuides
	for _, folder := range []string{"/examples/*", "/stdlib/shown"} {
		files, err := filepath.Glob(root + folder + "/*.perch")
		if err != nil || len(files) == 0 {
			t.Fatal("no designs found in", folder, err)
		}
		for _, f := range files {
			everywhere += quoted.ReplaceAllString(text(t, f), "") + "\n"
		}
	}
	return inGuides, everywhere
}

// TestEverythingShown asks that no function, member, type, word or library panel
// goes without an example that is compiled.
func TestEverythingShown(t *testing.T) {
	shown, everywhere := code(t)
	missing := func(kind, name, pattern, text string) {
		if !regexp.MustCompile(pattern).MatchString(text) {
			t.Errorf("no guide has an example of the %s %s", kind, name)
		}
	}
	for _, f := range builtin.Functions {
		missing("function", f.Name, `\b`+f.Name+`\(`, shown)
	}
	for _, m := range builtin.Members {
		missing("member", m.Name, `\.`+m.Name+`\b`, shown)
	}
	for _, w := range check.TypeWords {
		missing("type", w.Word, `:\s*\[?`+w.Word+`\b`, shown)
	}
	for _, w := range append(syntax.ReservedWords(), syntax.ClauseWords()...) {
		missing("word", w, `\b`+w+`\b`, shown)
	}
	for _, m := range stdlib.Modules() {
		_, src, err := stdlib.Module(m)
		if err != nil {
			t.Fatal(err)
		}
		file, _ := syntax.Parse(diag.NewSource(m, src))
		for _, s := range file.Stmts {
			if p, ok := s.(*syntax.Panel); ok {
				missing("panel", p.Name.Name, `= `+p.Name.Name+`\(`, everywhere)
			}
		}
	}
}

// TestLayers asks that the table of layers is of those that drawings have.
func TestLayers(t *testing.T) {
	all := guide(t, "parts/output/README.md")
	for _, l := range []string{dxf.LayerOutside, dxf.LayerInside, dxf.LayerFoldUp, dxf.LayerFoldDown, dxf.LayerMark, dxf.LayerLabel} {
		if !strings.Contains(all, "| `"+l+"` |") {
			t.Errorf("parts/output/README.md does not tell of layer %s", l)
		}
	}
}
