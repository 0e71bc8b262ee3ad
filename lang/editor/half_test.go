package editor_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/diag"
	"perch/lang/editor"
	"perch/lang/load"
	"perch/parts/shop"
)

// change gives the service a text as a whole.
func (c *client) change(u uri.URI, version int, text string) {
	c.notify("textDocument/didChange", map[string]any{
		"textDocument":   map[string]any{"uri": u, "version": version},
		"contentChanges": []any{map[string]any{"text": text}}})
}

// TestHalfAStatement breaks a line of every example off at one byte after the other, the
// rest of the file staying as it is. The diagnostics must be those of that text, and the
// service must answer what is asked at the break.
func TestHalfAStatement(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) < 6 {
		t.Fatal("no examples", err)
	}
	step := 7
	if testing.Short() {
		step = 61
	}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(filepath.Base(file), func(t *testing.T) { t.Parallel(); halved(t, string(b), step) })
	}
}

func halved(t *testing.T, text string, step int) {
	log := &failures{t: t}
	c := start(t, editor.Options{Log: log.logger(), Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:half")
	c.open(u, text)
	shop := shop.Default()
	version := 1
	for i := 0; i < len(text); i += step {
		end := strings.IndexByte(text[i:], '\n')
		if end <= 0 || text[i]&0xc0 == 0x80 {
			continue
		}
		half := text[:i] + text[i+end:]
		version++
		c.change(u, version, half)
		if got := c.call("textDocument/completion", at(u, lines(half).at(i))); strings.Contains(string(got), "failed") {
			t.Fatalf("completion at byte %d: %s", i, got)
		}
		of, got := c.published(u)
		if of != version {
			t.Fatalf("byte %d: diagnostics of version %d, not %d", i, of, version)
		}
		_, want, err := load.Source(diag.NewSource(string(u), half), load.Library(), shop)
		if err != nil {
			t.Fatal(err)
		}
		want = diag.Sorted(want)
		if len(got) != len(want) {
			t.Fatalf("byte %d: %d diagnostics, want %d: %v", i, len(got), len(want), want)
		}
		for k, d := range want {
			if string(got[k].Code.(protocol.String)) != d.Code || got[k].Range.Start != lines(half).at(int(d.Span.Start)) {
				t.Fatalf("byte %d: diagnostic %d is %v, want %v", i, k, got[k], d)
			}
		}
	}
	c.finish()
}

// TestFileTakenAway takes a design's file away while it is open: what is typed stays what
// it is about, until it is saved and closed again.
func TestFileTakenAway(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "d.perch")
	const good, bad = "design \"d\" in millimetres\n\nlet a = 3mm\nrule a > 1mm\n", "design \"d\" in millimetres\n\nlet a = 3mm + 2kg\n"
	write(t, path, good)
	u := uri.File(path)
	c := start(t, editor.Options{})
	c.initialize(dir)
	c.open(u, good)
	holds := func(what string, version, mistakes int) {
		t.Helper()
		c.wait(u, version)
		if v, got := c.published(u); v != version || len(got) != mistakes {
			t.Fatalf("%s: version %d with %v; want version %d with %d", what, v, got, version, mistakes)
		}
	}
	holds("opened", 1, 0)
	if err := os.Rename(path, filepath.Join(dir, "elsewhere.perch")); err != nil {
		t.Fatal(err)
	}
	c.change(u, 2, bad)
	holds("typed on", 2, 1)
	c.change(u, 3, good)
	holds("mended", 3, 0)
	write(t, path, good)
	c.notify("textDocument/didSave", map[string]any{"textDocument": map[string]any{"uri": u}})
	c.change(u, 4, bad)
	holds("saved again", 4, 1)
	c.finish()
}
