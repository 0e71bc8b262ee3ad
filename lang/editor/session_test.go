package editor_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

var update = flag.Bool("update", false, "write the recorded sessions anew")

// design is a design that uses the library and a file.
const design = `design "Rack 😀" in millimetres revision "A"

use seat_cap, corner_leg from std.stool
use pan from "parts/pan.perch"

stock shell = sheet(mild_steel, 1.5mm)

param seat: length in 240mm..420mm = 320mm "across the seat"
param height: length in 350mm..800mm = 610mm
param splay: angle in 0deg..15deg about 6deg "lean"
param foot: length in 240mm..650mm "across the floor"
let half = seat / 2

rule foot = seat + 2 * height * tan(splay)
rule half >= 100mm

size low: height = 400mm
size bar: height = 760mm, foot = 480mm

body frame = frustum(top: seat, bottom: foot, height: height)
body inner = frame.under(shell)

part cap of shell = seat_cap(frame, drop: 70mm)
part leg[c in inner.corners] of shell = corner_leg(c, toe: 40mm, head: 75mm)
part dish of shell = pan(60mm) loose
join head = cap.flap to leg.cheek by rivet(4.8mm, pitch: 40mm)
`

// libraryArgs are the arguments of the library's panels, which the record leaves out.
var libraryArgs = regexp.MustCompile(`(panel (?:seat_cap|corner_leg|cross_rung|corner_gusset))\([^"` + "`" + `\\)]*\)?`)

const module = `// A dish.
panel pan(
  depth: length in 10mm..90mm = 40mm "how deep",
) "A flat dish." {
  face base on level(300mm + depth) { outline rect(50mm, 50mm) }
}
`

// TestSession plays a session that asks for everything the service can do and
// compares each answer with the record in testdata/session.txt. go test
// -run Session -update writes the record anew.
func TestSession(t *testing.T) {
	dir := t.TempDir()
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	write(t, filepath.Join(dir, "parts", "pan.perch"), module)
	write(t, filepath.Join(dir, "rack.perch"), design)
	u, mod := uri.File(filepath.Join(dir, "rack.perch")), uri.File(filepath.Join(dir, "parts", "pan.perch"))
	c := start(t, editor.Options{Version: "test"})
	var out strings.Builder
	text, version := design, 1
	record := func(what string, answer string) {
		answer = strings.ReplaceAll(answer, string(uri.File(dir)), "file:///W")
		answer = libraryArgs.ReplaceAllString(answer, "$1(…)")
		fmt.Fprintf(&out, "## %s\n%s\n\n", what, strings.ReplaceAll(answer, dir, "/W"))
	}
	ask := func(method string, params map[string]any) {
		if params["textDocument"] == nil && !strings.HasPrefix(method, "workspace/") && !strings.HasPrefix(method, "perch/") {
			params["textDocument"] = map[string]any{"uri": u}
		}
		name := strings.TrimPrefix(method, "textDocument/")
		if n, ok := params["note"]; ok {
			name += " " + n.(string)
			delete(params, "note")
		}
		record(name, pretty(t, c.call(method, params)))
	}
	here := func(needle string) map[string]any {
		p := at(u, place(t, text, needle))
		p["note"] = needle
		return p
	}

	edit := func(old, fresh string) { // the first old becomes fresh
		from := place(t, text, "|"+old)
		to := place(t, text, old+"|")
		version++
		text = strings.Replace(text, old, fresh, 1)
		c.notify("textDocument/didChange", map[string]any{
			"textDocument":   map[string]any{"uri": u, "version": version},
			"contentChanges": []any{map[string]any{"range": protocol.Range{Start: from, End: to}, "text": fresh}}})
	}
	diagnostics := func(note string) {
		c.wait(u, version)
		c.published(u)
		c.mu.Lock()
		m := c.diags[string(u)]
		c.mu.Unlock()
		record("diagnostics "+note, pretty(t, m))
	}

	record("before initialize", pretty(t, c.call("textDocument/hover", at(u, protocol.Position{}))))
	record("initialize", pretty(t, c.initialize(dir)))
	c.open(u, text)
	diagnostics("of the design")
	for _, needle := range []string{"|foot: length", "he|ight: length", "half| =", "seat_|cap(frame", "frame.|under", "frust|um", "c| in inner", "drop|: 70mm", "1.5|mm", "|rule foot", "s|ize bar", "cap.fl|ap"} {
		ask("textDocument/hover", here(needle))
	}
	ask("textDocument/definition", here("= seat_|cap"))
	ask("textDocument/definition", here("std.|stool"))
	ask("textDocument/definition", here("pan|(60mm)"))
	ask("textDocument/definition", here("|height * tan"))
	ask("textDocument/typeDefinition", here("= cap|.flap"))
	ask("textDocument/references", with(here("param se|at"), "context", map[string]any{"includeDeclaration": true}))
	ask("textDocument/references", with(here("= pan|("), "context", map[string]any{"includeDeclaration": true}))
	ask("textDocument/documentHighlight", here("par|t cap")) // no name
	ask("textDocument/documentHighlight", here("part ca|p"))
	ask("textDocument/prepareRename", here("param he|ight"))
	ask("textDocument/rename", with(here("param he|ight"), "newName", "tall"))
	ask("textDocument/rename", with(here("param he|ight"), "newName", "seat"))
	ask("textDocument/rename", with(here("param he|ight"), "newName", "part"))
	ask("textDocument/rename", with(here("param he|ight"), "newName", "2x"))
	ask("textDocument/rename", with(here("= pan|("), "newName", "tray"))
	ask("textDocument/rename", with(here("= seat_|cap("), "newName", "lid"))
	ask("textDocument/documentSymbol", map[string]any{})
	ask("workspace/symbol", map[string]any{"query": "pan", "note": "pan"})
	ask("textDocument/foldingRange", map[string]any{})
	ask("textDocument/semanticTokens/full", map[string]any{})
	ask("textDocument/semanticTokens/range", map[string]any{"range": protocol.Range{End: protocol.Position{Line: 3}}})
	all := protocol.Range{End: protocol.Position{Line: 100}}
	ask("textDocument/inlayHint", map[string]any{"range": all})
	ask("textDocument/codeLens", map[string]any{})
	ask("workspace/executeCommand", map[string]any{"command": "perch.size", "arguments": []any{u, "bar"}, "note": "perch.size bar"})
	ask("textDocument/inlayHint", map[string]any{"range": all, "note": "at bar"})
	ask("workspace/executeCommand", map[string]any{"command": "perch.build", "arguments": []any{u, "none"}, "note": "perch.build none"})

	edit("param splay: angle", "param splay: angel")
	diagnostics("after a wrong type")
	line := place(t, text, "|param splay")
	ask("textDocument/codeAction", map[string]any{"range": protocol.Range{Start: line, End: line}, "context": map[string]any{"diagnostics": []any{}}, "note": "none here"})
	at := place(t, text, "ang|el")
	ask("textDocument/codeAction", map[string]any{"range": protocol.Range{Start: at, End: at}, "context": map[string]any{"diagnostics": []any{}}})
	edit("angel", "angle")
	edit("= 320mm", "= 3200mm")
	diagnostics("of a value out of range")
	edit("= 3200mm", "=   320mm")
	diagnostics("mended")
	ask("textDocument/formatting", map[string]any{"options": map[string]any{"tabSize": 2, "insertSpaces": true}})
	ask("textDocument/rangeFormatting", map[string]any{"options": map[string]any{"tabSize": 2, "insertSpaces": true}, "range": protocol.Range{End: protocol.Position{Line: 4}}, "note": "elsewhere"})

	complete := func(before, typed, needle string) {
		edit(before, typed)
		defer func() { edit(typed, before) }()
		p := here(needle)
		record("completion "+needle, labelsOf(t, c.call("textDocument/completion", p)))
		if strings.Contains(typed, "corner_leg") {
			return
		}
		p = here(needle)
		p["note"] = needle
		ask("textDocument/signatureHelp", p)
	}
	complete("part dish of shell = pan(60mm) loose", "part dish of shell = pan(", "= pan(|")
	complete("part dish of shell = pan(60mm) loose", "part dish of shell = ", "dish of shell = |")
	complete("part dish of shell = pan(60mm) loose", "part dish of ", "dish of |")
	complete("let half = seat / 2", "let half = frame.", "half = frame.|")
	complete("let half = seat / 2", "let half = 12", "half = 12|")
	complete("let half = seat / 2", "let half = frame.inset(", "frame.inset(|")
	complete("let half = seat / 2", "let half = ceil(seat, s", "ceil(seat, s|")
	complete("join head = cap.flap to leg.cheek by", "join head = dish.", "head = dish.|")
	complete("by rivet(4.8mm, pitch: 40mm)", "by rivet(4.8mm, along: ", "along: |")
	complete("size low: height = 400mm", "size low: ", "low: |")
	complete("param foot: length", "param foot: ", "foot: |")
	complete("corner_leg(c, toe: 40mm, head: 75mm)", "corner_leg(c, toe: c.", "toe: c.|")
	complete("size bar: height = 760mm, foot = 480mm", "size bar like ", "bar like |")
	complete("use pan from \"parts/pan.perch\"", "use  from std.plain", "use | from std.plain")
	complete("body inner = frame.under(shell)", "body inner = frame.under(shell)\npa", "frame.under(shell)\npa|")

	ask("workspace/textDocumentContent", map[string]any{"uri": "perch-lib:/std/none.perch", "note": "of no text"})
	for _, m := range []string{"workspace/textDocumentContent", "perch/libraryText"} {
		got := c.call(m, map[string]any{"uri": "perch-lib:/std/stool.perch"})
		record(m, fmt.Sprint(len(got) > 2000, strings.Contains(string(got), "panel seat_cap(")))
	}
	ask("perch/none", map[string]any{})
	record("hover in the library", pretty(t, c.call("textDocument/hover", atURI("perch-lib:/std/stool.perch", 4, 10))))

	c.open(mod, module)
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": mod, "version": 2},
		"contentChanges": []any{map[string]any{"text": strings.Replace(module, "panel pan", "panel tray", 1)}}})
	diagnostics("after an open module lost its panel")
	c.notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": mod}})
	diagnostics("after it was closed unsaved")
	ask("workspace/willRenameFiles", map[string]any{"files": []any{map[string]any{"oldUri": mod, "newUri": uri.File(filepath.Join(dir, "parts", "dish.perch"))}}})
	if err := os.Remove(filepath.Join(dir, "parts", "pan.perch")); err != nil {
		t.Fatal(err)
	}
	c.notify("workspace/didDeleteFiles", map[string]any{"files": []any{map[string]any{"uri": mod}}})
	diagnostics("after the module's file was deleted")
	ask("workspace/executeCommand", map[string]any{"command": "perch.build", "arguments": []any{u}, "note": "perch.build with mistakes"})
	write(t, filepath.Join(dir, "parts", "pan.perch"), module)
	c.notify("workspace/didChangeWatchedFiles", map[string]any{"changes": []any{map[string]any{"uri": mod, "type": 1}}})
	diagnostics("after it came back")
	ask("workspace/executeCommand", map[string]any{"command": "perch.build", "arguments": []any{u}, "note": "perch.build"})
	ask("workspace/executeCommand", map[string]any{"command": "perch.picture", "arguments": []any{u, "low"}, "note": "perch.picture low"})
	for _, f := range []string{"low/picture.svg", "bar/cap.dxf", "bar/cutlist.csv"} {
		if _, err := os.Stat(filepath.Join(dir, "out", "rack", f)); err != nil {
			t.Error(err)
		}
	}
	c.notify("workspace/didRenameFiles", map[string]any{"files": []any{map[string]any{"oldUri": u, "newUri": uri.File(filepath.Join(dir, "shelf.perch"))}}})
	ask("textDocument/documentSymbol", map[string]any{"note": "of the old name"})
	u = uri.File(filepath.Join(dir, "shelf.perch"))
	diagnostics("under the new name")
	c.mu.Lock()
	record("told", strings.Join(c.told, "\n"))
	c.mu.Unlock()
	c.finish()

	golden := filepath.Join("testdata", "session.txt")
	if *update {
		write(t, golden, out.String())
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), out.String()); d != "" {
		t.Errorf("the session differs from its record (-want +got):\n%s", d)
	}
}

func atURI(u string, line, char uint32) map[string]any {
	return at(uri.URI(u), protocol.Position{Line: line, Character: char})
}

func write(t testing.TB, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// elsewhere are panels of the library that the record leaves out: it is about the
// service, not about what the library holds.
var elsewhere = map[string]bool{"side_panel": true, "shelf": true, "bracket": true, "tray": true}

// labelsOf shortens proposals to a line each, with what they insert.
func labelsOf(t testing.TB, m []byte) string {
	var list protocol.CompletionList
	if err := protocol.Unmarshal(m, &list); err != nil {
		t.Fatalf("%v in %s", err, m)
	}
	var b strings.Builder
	for _, it := range list.Items {
		detail, _ := it.Detail.Get()
		if elsewhere[it.Label] {
			continue
		}
		e := it.TextEdit.(*protocol.TextEdit)
		fmt.Fprintf(&b, "%-14s %-40.40s %q %d-%d", it.Label, detail, e.NewText, e.Range.Start.Character, e.Range.End.Character)
		for _, a := range it.AdditionalTextEdits {
			fmt.Fprintf(&b, " and %q at line %d", a.NewText, a.Range.Start.Line)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
