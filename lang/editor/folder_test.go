package editor_test

import (
	"path/filepath"
	"slices"
	"testing"

	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// TestOneFolder wants files that are not open to be looked through for a client that
// names its folder as those before workspace folders do.
func TestOneFolder(t *testing.T) {
	dir := edgyFolder(t)
	c := start(t, editor.Options{Pause: 1 << 40})
	c.call("initialize", map[string]any{"processId": nil, "rootUri": uri.File(dir), "capabilities": map[string]any{}})
	c.notify("initialized", map[string]any{})
	u := uri.File(filepath.Join(dir, "clips.perch"))
	c.open(u, clips)
	got := places(t, c.call("textDocument/references", with(at(u, place(t, clips, "edge le|ad")), "context", map[string]any{"includeDeclaration": true})))
	var files []string
	for _, p := range got {
		files = append(files, p[:len("clips")])
	}
	slices.Sort(files)
	if want := []string{"clips", "clips", "edgy.", "other"}; !slices.Equal(files, want) {
		t.Errorf("references in %q", got)
	}
	c.finish()
}
