package reference_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/reference"
	"perch/lang/syntax"
	"perch/parts/bend"
	"perch/parts/dxf"
	"perch/stdlib"
)

const (
	root       = "../.."
	readme     = root + "/README.md"
	developers = root + "/DEVELOPERS.md"
	// update names the environment variable that has the generated parts of the
	// README, what its console blocks print and the tutorial's pictures made anew.
	update = "PERCH_UPDATE"
)

func updating() bool { return os.Getenv(update) != "" }

func text(t testing.TB, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestGenerated holds the generated parts of both guides to what the program says.
func TestGenerated(t *testing.T) {
	for _, guide := range []string{readme, developers} {
		is := text(t, guide)
		want, err := reference.Fill(is, os.DirFS(root))
		if err != nil {
			t.Fatal(guide, err)
		}
		switch {
		case is == want:
		case !updating():
			t.Errorf("the generated parts of %s are stale: %s\nrun %s=1 go test ./lang/reference", guide, firstDifference(is, want), update)
		default:
			if err := os.WriteFile(guide, []byte(want), 0o666); err != nil {
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

// TestExamples builds every block of perch in the README at all its sizes.
func TestExamples(t *testing.T) {
	for _, b := range reference.Blocks(text(t, readme)) {
		if b.Lang != "perch" || len(b.Words) > 0 && b.Words[0] == "mistake" {
			continue
		}
		diags := built(t, whole(t, b))
		if diag.HasErrors(diags) {
			var s strings.Builder
			diag.Render(&s, diags, diag.Style{})
			t.Errorf("README.md:%d: the example does not build:\n%s", b.Line, s.String())
		}
	}
}

// built builds a design at all its sizes and returns what there is to say.
func built(t *testing.T, text string) []diag.Diagnostic {
	shop := bend.Default()
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

// code is the perch text of the README's examples, of the library and of the
// shipped examples, without comments and quoted texts.
func code(t *testing.T) (inReadme, everywhere string) {
	quoted := regexp.MustCompile(`"[^"\n]*"|//[^\n]*`)
	for _, b := range reference.Blocks(text(t, readme)) {
		if b.Lang == "perch" && (len(b.Words) == 0 || b.Words[0] != "mistake") {
			inReadme += quoted.ReplaceAllString(b.Text, "") + "\n"
		}
	}
	everywhere = inReadme
	files, err := filepath.Glob(root + "/examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples found", err)
	}
	for _, f := range files {
		everywhere += quoted.ReplaceAllString(text(t, f), "") + "\n"
	}
	return inReadme, everywhere
}

// TestEverythingShown asks that no function, member, type, word or library panel
// goes without an example that is compiled.
func TestEverythingShown(t *testing.T) {
	shown, everywhere := code(t)
	missing := func(kind, name, pattern, text string) {
		if !regexp.MustCompile(pattern).MatchString(text) {
			t.Errorf("the README has no example of the %s %s", kind, name)
		}
	}
	for _, f := range check.Functions {
		missing("function", f.Name, `\b`+f.Name+`\(`, shown)
	}
	for _, m := range check.Members {
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

// TestLayers asks that the README's table of layers is of those that drawings have.
func TestLayers(t *testing.T) {
	all := text(t, readme)
	for _, l := range []string{dxf.LayerOutside, dxf.LayerInside, dxf.LayerFoldUp, dxf.LayerFoldDown, dxf.LayerMark, dxf.LayerLabel} {
		if !strings.Contains(all, "| `"+l+"` |") {
			t.Errorf("the README does not tell of layer %s", l)
		}
	}
}

// TestLinks asks that every link and picture within the project leads somewhere.
func TestLinks(t *testing.T) {
	all := text(t, readme) + text(t, developers)
	headings := map[string]bool{}
	for _, h := range regexp.MustCompile(`(?m)^#+ (.*)$`).FindAllStringSubmatch(all, -1) {
		a := strings.ToLower(strings.ReplaceAll(h[1], " ", "-"))
		headings[regexp.MustCompile(`[^\p{L}\p{N}_-]`).ReplaceAllString(a, "")] = true
	}
	links := regexp.MustCompile(`\]\(([^)\s]+)\)`).FindAllStringSubmatch(all, -1)
	if len(links) == 0 {
		t.Fatal("no links found")
	}
	for _, l := range links {
		to, anchor, _ := strings.Cut(l[1], "#")
		if strings.Contains(to, "://") {
			continue
		}
		if to != "" {
			if _, err := os.Stat(filepath.Join(root, to)); err != nil {
				t.Errorf("a link leads nowhere: %s", l[1])
			}
		}
		if anchor != "" && !headings[anchor] {
			t.Errorf("a link leads to no heading: %s", l[1])
		}
	}
}
