package editor_test

import (
	"path/filepath"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// TestModuleDiagnostics wants mistakes in a module shown in the module, open or
// not, once, with the place that uses it; and gone with their cause.
func TestModuleDiagnostics(t *testing.T) {
	dir := t.TempDir()
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	const top = "design \"d\" in millimetres revision \"A\"\n\nuse pan from \"pan.perch\"\n\nstock s = sheet(mild_steel, 2mm)\npart p of s = pan(60mm)\n"
	const good = "panel pan(depth: length = 40mm) {\n  face base on level(300mm) { outline rect(50mm, depth - 60mm) }\n}\n"
	path := filepath.Join(dir, "pan.perch")
	write(t, path, strings.Replace(good, "300mm", "300kg", 1))
	d, mod := uri.File(filepath.Join(dir, "d.perch")), uri.File(path)
	c := start(t, editor.Options{})
	c.initialize(dir)
	c.open(d, top)
	c.wait(d, 1)
	shown := func(u uri.URI) []protocol.Diagnostic {
		t.Helper()
		c.call("textDocument/foldingRange", map[string]any{"textDocument": map[string]any{"uri": d}})
		c.mu.Lock()
		defer c.mu.Unlock()
		var p protocol.PublishDiagnosticsParams
		if err := protocol.Unmarshal(c.diags[string(u)], &p); err != nil {
			t.Fatalf("of %s: %v", u, err)
		}
		return p.Diagnostics
	}
	one := func(what string, u uri.URI, code, at, text string) protocol.Diagnostic {
		t.Helper()
		got := shown(u)
		if len(got) != 1 || string(got[0].Code.(protocol.String)) != code || got[0].Range.Start != place(t, text, at) {
			t.Fatalf("%s: got %v, want one %s at %s", what, got, code, at)
		}
		return got[0]
	}
	none := func(what string, u uri.URI) {
		t.Helper()
		if got := shown(u); len(got) > 0 {
			t.Fatalf("%s: got %v", what, got)
		}
	}
	bad := strings.Replace(good, "300mm", "300kg", 1)
	x := one("in a file", mod, "P2010", "|300kg", bad)
	if r := x.RelatedInformation; len(r) != 1 || r[0].Message != "used here" || r[0].Location.URI != d || r[0].Location.Range.Start != place(t, top, "|\"pan.perch\"") {
		t.Errorf("used at %v", r)
	}
	one("in the design", d, "P2010", "|\"pan.perch\"", top)

	c.open(mod, bad)
	c.wait(mod, 1)
	one("in an open text", mod, "P2010", "|300kg", bad)
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": mod, "version": 2},
		"contentChanges": []any{map[string]any{"text": good}}})
	c.wait(d, 1)
	// what is wrong now is known from the sizes alone
	for len(shown(mod)) == 0 {
		c.wait(d, 1)
	}
	x = shown(mod)[0]
	if x.Range.Start.Line != 1 || len(x.RelatedInformation) == 0 {
		t.Errorf("the geometry's mistake is shown as %v", x)
	}
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": mod, "version": 3},
		"contentChanges": []any{map[string]any{"text": "// new\n" + strings.Replace(good, "- 60mm", "", 1)}}})
	none("mended, in the module", mod)
	none("mended, in the design", d)
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": mod, "version": 4},
		"contentChanges": []any{map[string]any{"text": bad}}})
	one("broken again", mod, "P2010", "|300kg", bad)
	c.notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": mod}})
	x = one("closed", mod, "P2010", "|300kg", bad)
	c.notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": d}})
	none("no design uses it", mod)
	c.finish()
}
