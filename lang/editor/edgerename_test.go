package editor_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/build"
	"perch/lang/compare"
	"perch/lang/diag"
	"perch/lang/editor"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/parts/shop"
	"perch/stdlib"
)

// TestRenameEdgeAcrossFiles wants an edge to be renamed in every text that names it,
// open or not, and two edges that one place may mean together.
func TestRenameEdgeAcrossFiles(t *testing.T) {
	dir := edgyFolder(t)
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	u := uri.File(filepath.Join(dir, "edgy.perch"))
	c.open(u, edgy)
	var edit protocol.WorkspaceEdit
	for _, x := range []struct {
		needle, old string
		files       map[string]string
	}{
		{"q.flat.le|ad", "lead", map[string]string{"edgy.perch": edgy, "clips.perch": clips, "other.perch": other}},
		{"(50mm, 0mm) edge r|im", "rim", map[string]string{"edgy.perch": edgy}},
		{"edge free|_end", "free_end", map[string]string{"edgy.perch": edgy}},
	} {
		for _, name := range []string{"far_end", "line"} { // an edge may have the name of a function
			answer := c.call("textDocument/rename", with(at(u, place(t, edgy, x.needle)), "newName", name))
			edit = protocol.WorkspaceEdit{}
			if err := json.Unmarshal(answer, &edit); err != nil || len(edit.Changes) != len(x.files) {
				t.Fatalf("%s: %v in %s", x.needle, err, answer)
			}
			word := regexp.MustCompile(`\b` + x.old + `\b`)
			for file, text := range x.files {
				got := applied(t, text, edit.Changes[uri.File(filepath.Join(dir, file))])
				if want := word.ReplaceAllString(text, name); got != want {
					t.Errorf("%s to %s: %s becomes\n%s", x.needle, name, file, got)
				}
			}
		}
	}
	c.finish()
}

// applied is a text with edits made, which do not overlap.
func applied(t *testing.T, text string, edits []protocol.TextEdit) string {
	t.Helper()
	lines := strings.SplitAfter(text, "\n")
	offset := func(p protocol.Position) int {
		n := 0
		for _, l := range lines[:p.Line] {
			n += len(l)
		}
		return n + int(p.Character) // the texts are ASCII where they are edited
	}
	slices.SortFunc(edits, func(a, b protocol.TextEdit) int { return offset(b.Range.Start) - offset(a.Range.Start) })
	for _, e := range edits {
		text = text[:offset(e.Range.Start)] + e.NewText + text[offset(e.Range.End):]
	}
	return text
}

// local are the examples and the library as files of one folder, so that all of
// them can be edited: name to text.
func local(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	module := regexp.MustCompile(`from std\.([a-z_]+)`)
	for _, dotted := range stdlib.Modules() {
		_, text, err := stdlib.Module(dotted)
		if err != nil {
			t.Fatal(err)
		}
		files[strings.TrimPrefix(dotted, "std.")+".perch"] = module.ReplaceAllString(text, `from "$1.perch"`)
	}
	for _, pattern := range []string{"../../examples/*/*.perch", "../../examples/*.perch"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			t.Fatal(pattern, err)
		}
		for _, name := range names {
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			files["d_"+filepath.Base(name)] = module.ReplaceAllString(string(b), `from "$1.perch"`)
		}
	}
	return files
}

// TestRenameEveryEdge gives every corner of every outline of the examples and the
// library a named edge, and most of them a use; renames each; and wants the edits to
// be those of a plain search for the name, and the same parts of every design.
func TestRenameEveryEdge(t *testing.T) {
	files := local(t)
	dir := t.TempDir()
	before := t.TempDir()
	var all []string
	for name, text := range files {
		named, edges := withEdges(t, name, text)
		files[name] = named
		all = append(all, edges...)
		for _, d := range []string{dir, before} {
			if err := os.WriteFile(filepath.Join(d, name), []byte(named), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	slices.Sort(all)
	all = append([]string{"bend_line", "foot"}, all...)
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	version := 1
	for name, text := range files {
		c.open(uri.File(filepath.Join(dir, name)), text)
	}
	uses := 0
	for _, edge := range all {
		word := regexp.MustCompile(`(\bedge |\.)` + edge + `\b`)
		if edge == "foot" { // a face has that name too
			word = regexp.MustCompile(`(\bedge |plate\.)foot\b`)
		}
		var u uri.URI
		var where protocol.Position
		want, found := map[string]string{}, 0
		for name, text := range files {
			n := len(word.FindAllString(text, -1))
			if n == 0 {
				continue
			}
			found += n
			want[name] = word.ReplaceAllString(text, "${1}"+edge+"_too")
			at := word.FindAllStringIndex(text, -1)[n-1] // any will do
			u = uri.File(filepath.Join(dir, name))
			where.Line, where.Character = position(text, at[1]-1)
		}
		if found == 0 {
			t.Fatalf("%s is nowhere", edge)
		}
		uses += found - 1
		if got := len(places(t, c.call("textDocument/references", with(at(u, where), "context", map[string]any{"includeDeclaration": true})))); got != found {
			t.Errorf("%s: %d references, want %d", edge, got, found)
		}
		var edit protocol.WorkspaceEdit
		answer := c.call("textDocument/rename", with(at(u, where), "newName", edge+"_too"))
		if err := json.Unmarshal(answer, &edit); err != nil || len(edit.Changes) != len(want) {
			t.Fatalf("%s: %v in %s", edge, err, answer)
		}
		version++
		for name, text := range want {
			at := uri.File(filepath.Join(dir, name))
			if got := applied(t, files[name], edit.Changes[at]); got != text {
				t.Fatalf("%s: %s becomes\n%s", edge, name, got)
			}
			files[name] = text
			c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": at, "version": version},
				"contentChanges": []any{map[string]any{"text": text}}})
		}
	}
	c.finish()
	if len(all) < 25 || uses < len(all)/2 {
		t.Errorf("%d edges with %d uses are too few to tell", len(all), uses)
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name := range files {
		if strings.HasPrefix(name, "d_") {
			sameParts(t, filepath.Join(before, name), filepath.Join(dir, name))
		}
	}
}

// position is line and character of a byte of a text.
func position(text string, at int) (line, character uint32) {
	line = uint32(strings.Count(text[:at], "\n"))
	for _, r := range text[strings.LastIndexByte(text[:at], '\n')+1 : at] {
		character++
		if r >= 0x10000 {
			character++
		}
	}
	return line, character
}

// withEdges names the edges of every list of points that has none, and adds to
// panels the length of each edge of a face that stands once. It returns the names.
func withEdges(t *testing.T, name, text string) (string, []string) {
	t.Helper()
	file, diags := syntax.Parse(diag.NewSource(name, text))
	if len(diags) > 0 {
		t.Fatal(name, diags)
	}
	type insert struct {
		at   int32
		text string
	}
	var inserts []insert
	var names []string
	for _, st := range file.Stmts {
		p, ok := st.(*syntax.Panel)
		if !ok {
			continue
		}
		for _, b := range p.Body {
			f, ok := b.(*syntax.Face)
			if !ok {
				continue
			}
			lets := ""
			for _, o := range f.Body {
				o, ok := o.(*syntax.Outline)
				if !ok {
					continue
				}
				var taken syntax.Node // what is taken away leaves no names
				syntax.Inspect(o.Value, func(n syntax.Node) bool {
					if b, ok := n.(*syntax.Binary); ok && b.Op == syntax.OpSub {
						taken = b.Y
					}
					if n == taken {
						return false
					}
					l, ok := n.(*syntax.List)
					if !ok || len(l.Items) < 3 {
						return true
					}
					for i := range l.Items {
						it := &l.Items[i]
						if _, point := it.Value.(*syntax.Pair); !point || it.Edge != nil || it.Arc != nil {
							continue
						}
						e := fmt.Sprintf("%s_%s_%s_%d", strings.TrimSuffix(strings.TrimPrefix(name, "d_"), ".perch"), p.Name.Name, f.Name.Name, i)
						if e[0] >= '0' && e[0] <= '9' {
							e = "x" + e
						}
						names = append(names, e)
						inserts = append(inserts, insert{it.At.End, " edge " + e})
						if len(f.Index) == 0 && f.Guard == nil {
							lets += fmt.Sprintf("  let l_%s = %s.%s.length\n", e, f.Name.Name, e)
						}
					}
					return true
				})
			}
			if lets != "" {
				inserts = append(inserts, insert{f.At.End, "\n" + lets})
			}
		}
	}
	slices.SortStableFunc(inserts, func(a, b insert) int { return int(b.at - a.at) })
	for _, in := range inserts {
		text = text[:in.at] + in.text + text[in.at:]
	}
	return text, names
}

// sameParts wants two states of a design to build, to the same parts.
func sameParts(t *testing.T, was, is string) {
	t.Helper()
	var sides [2]compare.Side
	for i, path := range []string{was, is} {
		p, diags, err := load.Design(path, shop.Default())
		if err != nil || diag.HasErrors(diags) {
			t.Fatal(path, err, diags)
		}
		sides[i] = compare.Side{Name: path, Program: p}
	}
	old, fresh, _, err := compare.Build(sides[0], sides[1], shop.Default(), nil)
	if err != nil {
		t.Fatal(err)
	}
	d, err := compare.Compare(old, fresh)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(old.Results); n == 0 || n != len(fresh.Results) || n != len(build.Sizes(old.Program)) {
		t.Errorf("%s: %d of %d sizes are built", is, n, len(build.Sizes(old.Program)))
	}
	if !d.PartsSame {
		var b strings.Builder
		d.Brief().Text(&b)
		t.Errorf("%s: a part changed:\n%s", is, b.String())
	}
}
