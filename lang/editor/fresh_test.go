package editor_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// versioned is a text whose version can be told from where things stand: everything
// that is asked about comes after that many empty lines.
func versioned(n int) string {
	return "design \"v\"\n" + strings.Repeat("\n", n) + "param p: length = 2mm // n\nparam q: length\nrule q = p * 2\nlet f = [\n  p,\n  q,\n]\nsize s: p = 3mm\nlet bad = 1mm + 5\n"
}

// solved is such a text without a mistake, so that it has values.
func solved(n int) string { return strings.Replace(versioned(n), "1mm + 5", "1mm + p", 1) }

var lineIn = regexp.MustCompile(`"line":(\d+)`)

// firstLine is the smallest line that an answer names, past that of the design.
func firstLine(answer string) (int, bool) {
	least, ok := 0, false
	for _, m := range lineIn.FindAllStringSubmatch(answer, -1) {
		if n, _ := strconv.Atoi(m[1]); n > 0 && (!ok || n < least) {
			least, ok = n, true
		}
	}
	return least, ok
}

// TestEveryAnswerIsFresh sends a question of each kind right behind each of many edits,
// without waiting: an answer is about a text no older than the question, as a whole, or
// says that the text has changed.
func TestEveryAnswerIsFresh(t *testing.T) {
	// what is asked, of which text, about which line after the empty ones, and which line
	// the answer names first
	type question struct {
		method string
		text   func(int) string
		line   int
		column int
		params map[string]any
		first  func(answer string) (int, bool)
		at     int
	}
	whole := map[string]any{"range": protocol.Range{End: protocol.Position{Line: 1 << 20}}}
	tokens := func(answer string) (int, bool) { // the line of the first past the design's
		var p struct{ Data []uint32 }
		json.Unmarshal([]byte(answer), &p)
		for i := 0; i+4 < len(p.Data); i += 5 {
			if p.Data[i] > 0 {
				return int(p.Data[i]), true
			}
		}
		return 0, false
	}
	fold := func(answer string) (int, bool) {
		m := regexp.MustCompile(`"startLine":(\d+)`).FindStringSubmatch(answer)
		if m == nil {
			return 0, false
		}
		n, _ := strconv.Atoi(m[1])
		return n, true
	}
	for _, q := range []question{
		{method: "semanticTokens/full", text: solved, first: tokens, at: 0},
		{method: "semanticTokens/range", text: solved, params: whole, first: tokens, at: 0},
		{method: "foldingRange", text: solved, first: fold, at: 3},
		{method: "inlayHint", text: solved, params: whole, first: firstLine, at: 1},
		{method: "codeLens", text: solved, first: firstLine, at: 7},
		{method: "documentSymbol", text: solved, first: firstLine, at: 0},
		{method: "codeAction", text: versioned, params: map[string]any{"range": whole["range"], "context": map[string]any{"diagnostics": []any{}}}, first: firstLine, at: 8},
		{method: "formatting", text: func(n int) string { return strings.Replace(solved(n), "2mm //", "2mm   //", 1) },
			params: map[string]any{"options": map[string]any{"tabSize": 2, "insertSpaces": true}}, first: firstLine, at: 0},
		{method: "definition", text: solved, line: 5, column: 2, first: firstLine, at: 1},
		{method: "references", text: solved, line: 5, column: 2, params: map[string]any{"context": map[string]any{"includeDeclaration": true}}, first: firstLine, at: 1},
		{method: "documentHighlight", text: solved, line: 5, column: 2, first: firstLine, at: 1},
		{method: "prepareRename", text: solved, line: 1, column: 6, first: firstLine, at: 1},
		{method: "rename", text: solved, line: 1, column: 6, params: map[string]any{"newName": "quick"}, first: firstLine, at: 1},
		{method: "hover", text: solved, line: 1, column: 6, first: firstLine, at: 1},
	} {
		t.Run(strings.ReplaceAll(q.method, "/", "_"), func(t *testing.T) {
			log := &failures{t: t}
			c := start(t, editor.Options{Log: log.logger()})
			dir := t.TempDir()
			c.initialize(dir)
			u := uri.File(filepath.Join(dir, "v.perch")) // lenses are for files
			c.open(u, q.text(0))
			const edits = 60
			type answer struct {
				n   int
				got string
			}
			answers := make(chan answer, edits)
			for n := 1; n <= edits; n++ {
				c.change(u, n+1, q.text(n))
				params := map[string]any{"textDocument": map[string]any{"uri": u}}
				if q.column > 0 {
					params = at(u, protocol.Position{Line: uint32(n + 1 + q.line), Character: uint32(q.column)})
				}
				for k, v := range q.params {
					params[k] = v
				}
				ask := func() { answers <- answer{n, string(c.call("textDocument/"+q.method, params))} }
				if n == edits {
					ask() // nothing comes behind this one
				} else {
					go ask()
				}
			}
			answered := 0
			for range edits {
				a := <-answers
				if strings.Contains(a.got, "content modified") && a.n < edits {
					continue
				}
				if q.column > 0 && a.n < edits && !strings.Contains(a.got, `"line"`) {
					continue // that place is another one in a newer text
				}
				answered++
				line, ok := q.first(a.got)
				if !ok {
					t.Fatalf("edit %d: the answer names no line: %.300s", a.n, a.got)
				}
				if of := line - 1 - q.at; of < a.n || of > edits || q.column == 0 && !within(a.got, q.text(of)) {
					t.Errorf("asked after edit %d, the answer is about edit %d: %.300s", a.n, of, a.got)
				}
			}
			if answered == 0 {
				t.Error("nothing was answered")
			}
			c.wait(u, edits+1)
			c.finish()
		})
	}
}

// within says that no line that an answer names lies outside of a text.
func within(answer, text string) bool {
	for _, m := range lineIn.FindAllStringSubmatch(answer, -1) {
		if n, _ := strconv.Atoi(m[1]); n >= len(rowsOf(text)) {
			return false
		}
	}
	return true
}

// TestFolderTakenAway takes away the folder of a design and of the module that it uses,
// while both, or only the design, are open: edits, saving, questions and closing go on
// being answered from what is open, and closing forgets it.
func TestFolderTakenAway(t *testing.T) {
	const clip = "panel clip(w: length) {\n  face f on level(0mm) { outline rect(w, w) }\n}\n"
	const good = "design \"d\" in millimetres\n\nuse clip from \"parts/clip.perch\"\n\nstock s = sheet(mild_steel, 1mm)\n\npart p of s = clip(20mm)\n"
	bad := strings.Replace(good, "20mm", "20kg", 1)
	for _, open := range []bool{true, false} {
		t.Run(fmt.Sprint("module open ", open), func(t *testing.T) {
			log := &failures{t: t}
			folder := filepath.Join(t.TempDir(), "work")
			if err := os.MkdirAll(filepath.Join(folder, "parts"), 0o755); err != nil {
				t.Fatal(err)
			}
			path, module := filepath.Join(folder, "d.perch"), filepath.Join(folder, "parts", "clip.perch")
			write(t, path, good)
			write(t, module, clip)
			u, m := uri.File(path), uri.File(module)
			c := start(t, editor.Options{Log: log.logger()})
			c.initialize(folder)
			codes := func(what string, of uri.URI, version int, want ...string) {
				t.Helper()
				c.wait(of, version)
				v, ds := c.published(of)
				var got []string
				for _, d := range ds {
					got = append(got, string(d.Code.(protocol.String)))
				}
				if v != version || fmt.Sprint(got) != fmt.Sprint(want) {
					t.Fatalf("%s: version %d with %v; want version %d with %v", what, v, got, version, want)
				}
			}
			gone := []string{} // what is wrong once the files are away
			if open {
				c.open(m, clip)
			} else {
				gone = []string{"P2006"}
			}
			c.open(u, good)
			codes("opened", u, 1)
			if err := os.RemoveAll(folder); err != nil {
				t.Fatal(err)
			}
			c.change(u, 2, good+"\n")
			codes("typed on", u, 2, gone...)
			if open {
				c.change(u, 3, bad)
				codes("with a mistake", u, 3, "P2010")
				c.change(m, 2, "panel clip(w: mass) {\n  face f on level(0mm) { outline rect(9mm, 9mm) }\n}\n")
				codes("and a module to match", u, 3)
				c.change(m, 3, clip)
			}
			c.notify("textDocument/didSave", map[string]any{"textDocument": map[string]any{"uri": u}})
			c.notify("workspace/didDeleteFiles", map[string]any{"files": []any{map[string]any{"uri": uri.File(folder)}}})
			c.notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{map[string]any{"uri": u, "type": 3}}})
			c.change(u, 4, good)
			c.wait(u, 4)
			for _, method := range []string{"hover", "definition", "references", "rename", "documentHighlight", "completion"} {
				p := at(u, place(t, good, "= cl|ip("))
				p["newName"], p["context"] = "clap", map[string]any{"includeDeclaration": true}
				got := string(c.call("textDocument/"+method, p))
				if strings.Contains(got, "failed") || strings.Contains(got, "is not open") {
					t.Errorf("%s: %s", method, got)
				}
			}
			if got := string(c.call("workspace/executeCommand", map[string]any{"command": editor.CommandBuild, "arguments": []any{u}})); !open && !strings.Contains(got, "error") {
				t.Errorf("built from nothing: %s", got)
			}
			if open {
				c.notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": m}})
				codes("the module closed", u, 4, "P2006")
			}
			if err := os.MkdirAll(filepath.Dir(module), 0o755); err != nil { // and there again
				t.Fatal(err)
			}
			write(t, module, clip)
			c.change(u, 5, good)
			codes("the module is back", u, 5)
			c.notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": u}})
			if got := string(c.call("textDocument/hover", at(u, protocol.Position{}))); !strings.Contains(got, "is not open") {
				t.Errorf("closed: %s", got)
			}
			c.mu.Lock()
			last := string(c.diags[string(u)])
			c.mu.Unlock()
			if !strings.Contains(last, `"diagnostics":[]`) {
				t.Errorf("after closing there is still %s", last)
			}
			c.open(u, bad)
			codes("opened again", u, 1, "P2010")
			c.finish()
		})
	}
}
