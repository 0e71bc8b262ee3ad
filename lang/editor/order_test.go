package editor_test

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/diag"
	"perch/lang/editor"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/parts/shop"
)

// TestSameAsCommandLine edits a design at random and wants, after every edit,
// the diagnostics that opening the text anew gives.
func TestSameAsCommandLine(t *testing.T) {
	s := newSession(t, 60)
	shop := shop.Default()
	for i := range 150 {
		s.edit(t)
		_, got := s.c.published(s.u)
		_, want, err := load.Source(diag.NewSource(string(s.u), s.y.text), load.Library(), shop)
		if err != nil {
			t.Fatal(err)
		}
		want = diag.Sorted(want)
		if len(got) != len(want) {
			t.Fatalf("edit %d: %d diagnostics, want %d: %v", i, len(got), len(want), want)
		}
		for k, d := range want {
			from := lines(s.y.text).at(int(d.Span.Start))
			if string(got[k].Code.(protocol.String)) != d.Code || got[k].Range.Start != from || !strings.HasPrefix(string(got[k].Message.(protocol.String)), d.Summary) {
				t.Fatalf("edit %d: diagnostic %d is %v, want %v", i, k, got[k], d)
			}
		}
	}
}

// TestNeverOld sends changes and questions without waiting: every answer must be
// about the newest text at the time of the question, or say that it has changed.
func TestNeverOld(t *testing.T) {
	c := start(t, editor.Options{})
	c.initialize("")
	u := uri.URI("untitled:a")
	c.open(u, "design \"x\"\nlet n0 = 1mm\n")
	type answer struct {
		n   int
		got string
	}
	answers := make(chan answer, 100)
	line := protocol.Range{Start: protocol.Position{Line: 1}, End: protocol.Position{Line: 1, Character: 100}}
	for n := 1; n <= 100; n++ {
		c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": u, "version": n + 1},
			"contentChanges": []any{map[string]any{"range": line, "text": fmt.Sprintf("let n%d = 1mm", n)}}})
		go func() {
			answers <- answer{n, string(c.call("textDocument/hover", at(u, protocol.Position{Line: 1, Character: 4})))}
		}()
	}
	changed := 0
	for range 100 {
		a := <-answers
		var of int
		if strings.Contains(a.got, "content modified") {
			changed++
			continue
		}
		if _, err := fmt.Sscanf(a.got[strings.Index(a.got, "let n"):], "let n%d", &of); err != nil || of < a.n {
			t.Errorf("asked after change %d, the answer was %s", a.n, a.got)
		}
	}
	t.Logf("%d of 100 answers said that the text had changed", changed)
	c.finish()
}

// TestCancel cancels a question that takes long and wants it refused at once,
// the service alive.
func TestCancel(t *testing.T) {
	dir := t.TempDir()
	for i := range 300 {
		write(t, filepath.Join(dir, fmt.Sprintf("d%d.perch", i)), long(400))
	}
	c := start(t, editor.Options{})
	c.initialize(dir)
	u := uri.File(filepath.Join(dir, "d0.perch"))
	c.open(u, long(400))
	done := make(chan string, 1)
	go func() {
		done <- string(c.call("workspace/symbol", map[string]any{"query": "leg"}))
	}()
	time.Sleep(20 * time.Millisecond)
	for id := range 20 { // the one at work is among them
		c.notify("$/cancelRequest", map[string]any{"id": id})
	}
	if got := <-done; !strings.Contains(got, "cancelled") {
		t.Errorf("the cancelled question was answered: %.200s", got)
	}
	if got := c.call("textDocument/hover", at(u, protocol.Position{Line: 2, Character: 6})); !strings.Contains(string(got), "corner_leg") {
		t.Errorf("after a cancellation: %s", got)
	}
	c.finish()
}

// TestBadInput sends what no editor should.
func TestBadInput(t *testing.T) {
	c := start(t, editor.Options{})
	c.initialize("")
	u := uri.URI("untitled:a")
	for _, p := range []any{nil, 3, "x", []any{}, map[string]any{}, map[string]any{"textDocument": 3}} {
		c.notify("textDocument/didOpen", p)
		c.notify("textDocument/didChange", p)
		c.notify("textDocument/didClose", p)
		c.notify("$/cancelRequest", p)
		c.notify("no/such", p)
		if got := string(c.call("textDocument/hover", p)); !strings.Contains(got, "error") {
			t.Errorf("hover of %v: %s", p, got)
		}
		c.call("workspace/executeCommand", p)
		c.call("perch/libraryText", p)
	}
	c.open(u, "design \"x\"\n\x00\u202e\"\n")
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": u, "version": 2},
		"contentChanges": []any{map[string]any{"range": protocol.Range{Start: protocol.Position{Line: 900}, End: protocol.Position{Line: 1}}, "text": strings.Repeat("(", 5000)}}})
	for _, m := range []string{"hover", "completion", "signatureHelp", "definition", "prepareRename", "documentHighlight"} {
		c.call("textDocument/"+m, at(u, protocol.Position{Line: 1 << 31, Character: 1 << 31}))
	}
	if version, diags := c.published(u); version != 2 || len(diags) == 0 {
		t.Errorf("version %d, %d diagnostics", version, len(diags))
	}
	c.finish()
}

// TestForms wants a form for every word that starts a statement.
func TestForms(t *testing.T) {
	c := start(t, editor.Options{})
	c.initialize("")
	u := uri.URI("untitled:a")
	c.open(u, "design \"x\"\n\npanel p(s: side) {\n  face f on s {\n    outline rect(1mm, 1mm)\n\n  }\n\n}\n\n")
	all := ""
	for _, line := range []uint32{1, 5, 7} {
		all += string(c.call("textDocument/completion", at(u, protocol.Position{Line: line})))
	}
	for _, w := range syntax.ReservedWords() {
		if w != "if" && w != "not" && !strings.Contains(all, fmt.Sprintf("{\"label\":%q", w)) {
			t.Errorf("nothing starts a %s", w)
		}
	}
}

func ExampleServe() {
	in := strings.NewReader("Content-Length: 59\r\n\r\n" + `{"jsonrpc":"2.0","id":1,"method":"shutdown","params":null} ` +
		"Content-Length: 33\r\n\r\n" + `{"jsonrpc":"2.0","method":"exit"}`)
	var out strings.Builder
	err := editor.Serve(context.Background(), in, &out, editor.Options{})
	fmt.Println(strings.ReplaceAll(out.String(), "\r", ""))
	fmt.Println(err)
	// Output:
	// Content-Length: 38
	//
	// {"jsonrpc":"2.0","id":1,"result":null}
	// <nil>
}
