package editor_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/editor"
	"perch/lang/load"
	"perch/parts/shop"
)

// TestRenameCapturesNothing renames what the examples and the library declare to
// names that stand further out, further in, or in the language: each is refused, or
// the designs come to the same parts.
func TestRenameCapturesNothing(t *testing.T) {
	files := local(t)
	dir := t.TempDir()
	for name, text := range files {
		write(t, filepath.Join(dir, name), text)
	}
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	names := slices.Sorted(maps.Keys(files))
	for _, name := range names {
		c.open(uri.File(filepath.Join(dir, name)), files[name])
	}
	was := map[string]string{}
	for _, name := range designs(names) {
		was[name] = geometry(t, filepath.Join(dir, name))
	}
	tried, refused, built := 0, 0, 0
	often := 15 // of so many that are allowed one is built
	if testing.Short() {
		often = 30
	}
	for _, name := range names {
		all := declared(t, filepath.Join(dir, name))
		for i, d := range all {
			if testing.Short() && i%8 > 0 {
				continue
			}
			for k := range 4 {
				to := []string{all[(i+1+k*k)%len(all)].Name, all[(i+k*len(all)/4+2)%len(all)].Name, "min", "strip"}[k]
				if to == d.Name {
					continue
				}
				line, column := position(files[name], int(d.At.Start))
				answer := c.call("textDocument/rename", with(at(uri.File(filepath.Join(dir, name)), protocol.Position{Line: line, Character: column}), "newName", to))
				tried++
				var edit protocol.WorkspaceEdit
				if err := json.Unmarshal(answer, &edit); err != nil || len(edit.Changes) == 0 {
					refused++
					continue
				}
				if (tried-refused)%often > 0 {
					continue
				}
				built++
				after := t.TempDir()
				for _, other := range names {
					write(t, filepath.Join(after, other), applied(t, files[other], edit.Changes[uri.File(filepath.Join(dir, other))]))
				}
				for _, design := range designs(names) {
					if design != name && strings.HasPrefix(name, "d_") {
						continue
					}
					if is := geometry(t, filepath.Join(after, design)); is != was[design] {
						t.Errorf("%s: %s line %d to %s: %s comes to\n%.400s\nnot\n%.400s", name, d.Name, line+1, to, design, is, was[design])
					}
				}
			}
		}
	}
	c.finish()
	t.Logf("%d renames, %d refused, %d built", tried, refused, built)
	if refused < tried/10 || refused > tried*9/10 || built < 10 {
		t.Errorf("%d renames, %d refused, %d built are too few to tell", tried, refused, built)
	}
}

// designs are the files that are no modules, those that take long to build left out.
func designs(names []string) []string {
	return slices.DeleteFunc(slices.Clone(names), func(n string) bool {
		return !strings.HasPrefix(n, "d_") || strings.Contains(n, "inch_stool") || strings.Contains(n, "bench")
	})
}

// declared lists what a text declares at any depth.
func declared(t *testing.T, path string) []*check.Decl {
	t.Helper()
	p, diags, err := load.Design(path, shop.Default())
	if err != nil || diag.HasErrors(diags) && strings.HasPrefix(filepath.Base(path), "d_") {
		t.Fatal(path, err, diags)
	}
	var out []*check.Decl
	var list func(ds []*check.Decl)
	list = func(ds []*check.Decl) {
		for _, d := range ds {
			out = append(out, d)
			list(d.Indices)
			list(d.Members)
		}
	}
	list(p.Root.Order)
	return out
}

// geometry writes down what the first size of a design comes to, without names.
func geometry(t *testing.T, path string) string {
	t.Helper()
	facts := shop.Default()
	p, diags, err := load.Design(path, facts)
	if err != nil {
		t.Fatal(err)
	}
	if diag.HasErrors(diags) {
		return fmt.Sprint(diags)
	}
	r, diags := build.Size(p, build.Sizes(p)[0], facts, nil)
	if diag.HasErrors(diags) {
		return fmt.Sprint(diags)
	}
	var b strings.Builder
	for _, v := range r.Values {
		fmt.Fprintf(&b, "%g%s\n", v.Value, v.Unit)
	}
	for _, f := range r.Flats {
		fmt.Fprintf(&b, "%.4f %.4f\n", f.Outer, f.Panel.Faces[0].Frame)
		fmt.Fprintf(&b, "  %.4f\n", f.Inner)
		for _, c := range f.Cuts {
			fmt.Fprintf(&b, "  %.4f\n", c.Loop)
		}
		for _, p := range f.Points {
			fmt.Fprintf(&b, "  %.4f %.4f\n", p.At, p.Diameter)
		}
	}
	return b.String()
}
