package editor_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// TestTyped types every example, the library and a design that uses all the
// protocol's awkward characters, byte by byte, and asks at the end of what is
// typed. The service must answer every time, without failing inside.
func TestTyped(t *testing.T) {
	texts := map[string]string{"awkward": "\ufeff" + strings.ReplaceAll(design, "\n", "\r\n")}
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		texts[strings.TrimSuffix(filepath.Base(f), ".perch")] = string(b)
	}
	step := 1
	if testing.Short() {
		step = 17
	}
	for name, text := range texts {
		t.Run(name, func(t *testing.T) { t.Parallel(); typed(t, name, text, step) })
	}
}

// typed types one text, step bytes at a time.
func typed(t *testing.T, name, text string, step int) {
	log := &failures{t: t}
	c := start(t, editor.Options{Log: log.logger(), Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:" + name)
	c.open(u, "")
	end := protocol.Position{}
	for i := 0; i < len(text); i += step {
		j := min(i+step, len(text))
		for j < len(text) && text[j]&0xc0 == 0x80 {
			j++
		}
		piece := text[i:j]
		i = j - step
		c.notify("textDocument/didChange", map[string]any{
			"textDocument":   map[string]any{"uri": u, "version": j + 1},
			"contentChanges": []any{map[string]any{"range": protocol.Range{Start: end, End: end}, "text": piece}}})
		end = after(end, piece)
		if j%3 > 0 && step == 1 || strings.HasSuffix(text[:j], "\r") {
			continue // half a line end, or not asked everywhere
		}
		methods := []string{"completion", "hover", "signatureHelp", "definition"}
		if j%50 == 0 {
			methods = append(methods, "semanticTokens/full", "documentSymbol", "foldingRange", "prepareRename", "formatting")
		}
		m := "textDocument/" + methods[j%len(methods)]
		if got := c.call(m, with(at(u, end), "options", map[string]any{"tabSize": 2, "insertSpaces": true})); strings.Contains(string(got), "failed") || !json.Valid(got) {
			t.Fatalf("%s of the first %d bytes of %s: %s", m, j, name, got)
		}
	}
	version, diags := c.published(u)
	if version != len(text)+1 {
		t.Errorf("%s: the newest diagnostics are of version %d, not %d", name, version, len(text)+1)
	}
	for _, d := range diags {
		if s := string(d.Message.(protocol.String)); d.Severity == protocol.DiagnosticSeverityError && !strings.Contains(s, "parts/pan.perch") && name != "awkward" {
			t.Errorf("%s, typed to its end, has the mistake %s", name, s)
		}
	}
	c.finish()
}

func with(p map[string]any, key string, v any) map[string]any { p[key] = v; return p }

// after is the place behind piece typed at p.
func after(p protocol.Position, piece string) protocol.Position {
	for _, r := range piece {
		switch {
		case r == '\n':
			p = protocol.Position{Line: p.Line + 1}
		case r == '\r': // the line feed follows
		case r >= 0x10000:
			p.Character += 2
		default:
			p.Character++
		}
	}
	return p
}
