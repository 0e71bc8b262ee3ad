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

	"perch/lang/editor"
)

// edgy has edges of every kind: stated in an outline and in a let, shared by two
// shapes, of the language, and known only when a face is drawn.
const edgy = `design "e"

use own_clip, profile from "clips.perch"

stock s = sheet(mild_steel, 1mm)
body b = box(200mm, 200mm, 200mm)

let low = [(0mm, 0mm), (50mm, 0mm) edge rim, (50mm, 40mm) edge side]
let high = [(0mm, 0mm), (60mm, 0mm) edge rim, (60mm, 40mm)]

panel tab(tall: flag = false, drawn: shape = rect(5mm, 5mm)) {
  face web on level(10mm) {
    outline if tall then high else low
    cut hole = circle(3mm) at (40mm, 10mm)
    let deep = 3mm
  }
  face lip off web.rim up 90deg { outline strip(20mm) }
  face tip off lip.outer up 90deg { outline strip(9mm) }
  face fin off lip.left up 90deg { outline if tall then rect(2mm, 9mm) else [(0mm, 0mm), (9mm, 0mm) edge left, (9mm, 9mm) edge free_end] }
  face blind off lip.right up 90deg { outline drawn }
  let a = fin.left
  let z = blind.mystery
}

part p of s = tab()
part q of s = own_clip()
let e = q.flat.lead.length
let n = 3 * sin(30deg)
let own = profile
`

// clips is a module whose edges are named across files.
const clips = `let profile = [(0mm, 0mm), (30mm, 0mm) edge lead, (30mm, 30mm), (0mm, 30mm)]

panel own_clip() "a clip" {
  face flat on level(0mm) { outline profile.rounded(2mm) }
  face ear off flat.lead up 90deg { outline strip(20mm) }
}
`

// other is a design that is not open and names an edge of clips.
const other = `design "other"
use own_clip from "clips.perch"
stock s = sheet(mild_steel, 1mm)
part only of s = own_clip()
let far = only.flat.lead.length
`

// edgyFolder writes them to a folder.
func edgyFolder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range map[string]string{"edgy.perch": edgy, "clips.perch": clips, "other.perch": other} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// places lists where locations or highlights stand, as file:line:character.
func places(t *testing.T, answer json.RawMessage) []string {
	t.Helper()
	var many []struct {
		URI   uri.URI
		Range protocol.Range
	}
	if json.Unmarshal(answer, &many) != nil {
		many = append(many, struct {
			URI   uri.URI
			Range protocol.Range
		}{})
		if err := json.Unmarshal(answer, &many[0]); err != nil {
			t.Fatalf("%v in %s", err, answer)
		}
	}
	var out []string
	for _, l := range many {
		name := ""
		if l.URI != "" {
			name = filepath.Base(l.URI.FsPath())
		}
		out = append(out, fmt.Sprintf("%s:%d:%d", name, l.Range.Start.Line+1, l.Range.Start.Character+1))
	}
	slices.Sort(out)
	return out
}

// TestEdges asks everything there is to ask of edges.
func TestEdges(t *testing.T) {
	dir := edgyFolder(t)
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	u := uri.File(filepath.Join(dir, "edgy.perch"))
	c.open(u, edgy)
	ask := func(method, needle string, declared bool) json.RawMessage {
		t.Helper()
		return c.call("textDocument/"+method, with(at(u, place(t, edgy, needle)), "context", map[string]any{"includeDeclaration": declared}))
	}
	files := map[string]string{"edgy.perch": edgy, "clips.perch": clips, "other.perch": other}
	rims := []string{"edgy.perch (50mm, 0mm) edge |rim", "edgy.perch (60mm, 0mm) edge |rim", "edgy.perch web.|rim up"}
	leads := []string{"clips.perch edge |lead", "clips.perch flat.|lead", "edgy.perch q.flat.|lead", "other.perch only.flat.|lead"}
	for _, x := range []struct {
		method, needle string
		want           []string
	}{
		{"definition", "web.ri|m up", rims[:2]},
		{"definition", "edge s|ide]", []string{"edgy.perch edge |side"}},
		{"definition", "flat.lea|d", leads[:1]},
		{"definition", "lip.out|er", nil},
		{"definition", "fin.lef|t", []string{"edgy.perch edge |left"}},
		{"definition", "blind.myst|ery", nil},
		{"references", "web.ri|m up", rims},
		{"references", "(60mm, 0mm) edge |rim", rims[1:]},
		{"references", "flat.lea|d", leads},
		{"references", "lip.out|er", nil},
		{"documentHighlight", "web.|rim", rims},
		{"documentHighlight", "edge free|_end", []string{"edgy.perch edge |free_end"}},
	} {
		var want []string
		for _, w := range x.want {
			file, needle, _ := strings.Cut(w, " ")
			p := place(t, files[file], needle)
			if x.method == "documentHighlight" {
				file = ""
			}
			want = append(want, fmt.Sprintf("%s:%d:%d", file, p.Line+1, p.Character+1))
		}
		slices.Sort(want)
		if got := places(t, ask(x.method, x.needle, true)); !slices.Equal(got, want) {
			t.Errorf("%s at %s: %q, want %q", x.method, x.needle, got, want)
		}
	}
	if got := places(t, ask("references", "flat.lea|d", false)); len(got) != 3 {
		t.Errorf("references without the declaration: %q", got)
	}
	for _, x := range []struct {
		needle string
		want   []string
	}{
		{"web.ri|m up", []string{"(50mm, 0mm) edge rim", "(60mm, 0mm) edge rim", "`web` of the panel `tab`"}},
		{"edge si|de", []string{"(50mm, 40mm) edge side", "`web` of the panel `tab`"}},
		{"flat.lea|d", []string{"(30mm, 0mm) edge lead", "from `clips.perch`", "`flat` of the panel `own_clip`"}},
		{"lip.out|er", []string{"outer: edge", "the language names"}},
		{"blind.myst|ery", []string{"mystery: edge", "known when that is drawn"}},
	} {
		got := string(ask("hover", x.needle, true))
		for _, want := range x.want {
			if !strings.Contains(got, want) {
				t.Errorf("hover at %s: %s lacks %q", x.needle, got, want)
			}
		}
	}
	if _, ds := c.published(u); len(ds) > 0 {
		t.Errorf("the design has mistakes: %v", ds)
	}
	// completion after a point has each name once
	typing := strings.Replace(edgy, "off web.rim up", "off web.", 1)
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": u, "version": 2},
		"contentChanges": []any{map[string]any{"text": typing}}})
	var items struct{ Items []protocol.CompletionItem }
	answer := c.call("textDocument/completion", at(u, place(t, typing, "off web.|")))
	if json.Unmarshal(answer, &items) != nil || len(items.Items) == 0 {
		json.Unmarshal(answer, &items.Items)
	}
	had := map[string]int{}
	for _, it := range items.Items {
		had[it.Label]++
	}
	if had["rim"] != 1 || had["side"] != 1 || had["hole"] != 1 || had["over"] != 1 {
		t.Errorf("after web. there is %v", had)
	}
	c.finish()
}

// copied has edges of which there are copies, that are found by their side or measured
// from, and one that goes through a function.
const copied = `design "c" in millimetres
stock s = sheet(mild_steel, 1mm)
body b = frustum(top: 200mm, bottom: 260mm, height: 200mm).turned(20deg) at (0mm, 0mm, 10mm)
let half = [(40mm, 0mm) edge rim, (40mm, 30mm), (20mm, 50mm) edge crown]
panel wing() {
  face web on upright(y: 0mm) at (0mm, 40mm) { outline symmetric(half).rounded(2mm) }
  face ear[e in web.rim] off e down 90deg { outline strip(10mm) }
  face crest off web.crown down 90deg { outline strip(10mm) }
  let l = web.rim[2].length
}
panel patch(f: face, b: body) {
  face flat on f.over from f.crown { outline rect(9mm, 9mm) }
  face lip off flat.left down 90deg { outline strip(9mm) }
}
panel deck(b: body) {
  face top on level(50mm) { outline inside(b) }
  face lip off top.edge(b.left) down 90deg { outline strip(9mm) }
}
part w of s = wing() loose
part p of s = patch(w.web, b) loose
part d of s = deck(b) loose
`

// TestEdgesOfCopies asks of edges that are there more than once what there is to ask.
func TestEdgesOfCopies(t *testing.T) {
	dir := t.TempDir()
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	u := uri.File(filepath.Join(dir, "copied.perch"))
	c.open(u, copied)
	if _, ds := c.published(u); len(ds) > 0 {
		t.Fatalf("the design has mistakes: %v", ds)
	}
	ask := func(method, needle string) json.RawMessage {
		return c.call("textDocument/"+method, with(at(u, place(t, copied, needle)), "context", map[string]any{"includeDeclaration": true}))
	}
	rims := []string{"edge |rim", "web.|rim]", "web.|rim[2]"}
	for _, x := range []struct {
		method, needle string
		want           []string
	}{
		{"definition", "web.ri|m]", rims[:1]}, {"definition", "web.ri|m[2]", rims[:1]}, {"references", "edge r|im", rims},
		{"documentHighlight", "web.ri|m[2]", rims}, {"references", "edge cro|wn", []string{"edge |crown", "web.|crown down"}},
		{"definition", "web.cro|wn down", []string{"edge |crown"}}, {"definition", "flat.le|ft", nil}, {"definition", "top.ed|ge(", nil},
	} {
		var want []string
		for _, needle := range x.want {
			p := place(t, copied, needle)
			file := "copied.perch"
			if x.method == "documentHighlight" {
				file = ""
			}
			want = append(want, fmt.Sprintf("%s:%d:%d", file, p.Line+1, p.Character+1))
		}
		slices.Sort(want)
		if got := places(t, ask(x.method, x.needle)); !slices.Equal(got, want) {
			t.Errorf("%s at %s: %q, want %q", x.method, x.needle, got, want)
		}
	}
	for needle, want := range map[string]string{
		"web.ri|m]": "the name is the list of them, `rim[1]` the first", "web.cro|wn down": "(20mm, 50mm) edge crown",
		"flat.le|ft": "the language names", "top.ed|ge(": "the one that lies in a plane", "f.cro|wn": "known when that is drawn",
		".turn|ed(": "about its own plumb line",
	} {
		if got := string(ask("hover", needle)); !strings.Contains(got, want) {
			t.Errorf("hover at %s: %s lacks %q", needle, got, want)
		}
	}
	if got := string(ask("hover", "web.cro|wn down")); strings.Contains(got, "list of them") {
		t.Errorf("an edge that crosses the axis is there once: %s", got)
	}
	var edit protocol.WorkspaceEdit
	answer := c.call("textDocument/rename", with(at(u, place(t, copied, "web.ri|m[2]")), "newName", "wing_edge"))
	if err := json.Unmarshal(answer, &edit); err != nil {
		t.Fatalf("%v in %s", err, answer)
	}
	if got, want := applied(t, copied, edit.Changes[u]), regexp.MustCompile(`\brim\b`).ReplaceAllString(copied, "wing_edge"); got != want {
		t.Errorf("it becomes\n%s", got)
	}
	if got := string(c.call("textDocument/rename", with(at(u, place(t, copied, "edge cr|own")), "newName", "peak"))); !strings.Contains(got, "can't be told") {
		t.Errorf("an edge that a face known by its drawing may have: %s", got)
	}
	c.finish()
}

// TestCutsFromOutside asks of a cut that the file makes in a part's face what there is to ask.
func TestCutsFromOutside(t *testing.T) {
	const text = `design "c" in millimetres
stock s = sheet(mild_steel, 1mm)
panel lid() {
  face web on level(0mm) { outline rect(90mm, 60mm) }
}
part top of s = lid()
cut cable in top.web = circle(9mm)
cut other in top.web = top.web.cable at (20mm, 0mm)
`
	dir := t.TempDir()
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	u := uri.File(filepath.Join(dir, "outside.perch"))
	c.open(u, text)
	if _, ds := c.published(u); len(ds) > 0 {
		t.Fatalf("the design has mistakes: %v", ds)
	}
	ask := func(method, needle string) string {
		return string(c.call("textDocument/"+method, with(at(u, place(t, text, needle)), "context", map[string]any{"includeDeclaration": true})))
	}
	if got, want := places(t, json.RawMessage(ask("definition", "web.ca|ble"))), []string{"outside.perch:7:5"}; !slices.Equal(got, want) {
		t.Errorf("defined at %q, want %q", got, want)
	}
	if got, want := places(t, json.RawMessage(ask("references", "cut ca|ble"))), []string{"outside.perch:7:5", "outside.perch:8:32"}; !slices.Equal(got, want) {
		t.Errorf("referred to at %q, want %q", got, want)
	}
	if got := ask("hover", "web.ca|ble"); !strings.Contains(got, "cable") || !strings.Contains(got, "cut") {
		t.Errorf("hover: %s", got)
	}
	var edit protocol.WorkspaceEdit
	answer := c.call("textDocument/rename", with(at(u, place(t, text, "web.ca|ble")), "newName", "duct"))
	if err := json.Unmarshal(answer, &edit); err != nil {
		t.Fatalf("%v in %s", err, answer)
	}
	if got, want := applied(t, text, edit.Changes[u]), strings.ReplaceAll(text, "cable", "duct"); got != want {
		t.Errorf("renamed it becomes\n%s", got)
	}
	c.finish()
}

// TestRenameEdgeRefused wants each reason against renaming an edge to be told.
func TestRenameEdgeRefused(t *testing.T) {
	dir := edgyFolder(t)
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	u := uri.File(filepath.Join(dir, "edgy.perch"))
	c.open(u, edgy)
	for _, x := range []struct{ needle, name, want string }{
		{"web.ri|m up", "side", "side is an edge of the face web already"},
		{"web.ri|m up", "hole", "hole is a cut of the face web already"},
		{"web.ri|m up", "deep", "deep is a let of the face web already"},
		{"edge si|de", "over", "over is a member of every face"},
		{"web.ri|m up", "face", "face is a reserved word"},
		{"web.ri|m up", "2nd", "can't be a name"},
		{"lip.out|er", "far", "outer is an edge that the language names"},
		{"fin.lef|t", "far", "left is an edge that the language names"},
		{"edge lef|t", "far", "left is an edge that the language names"},
		{"blind.myst|ery", "far", "which edge mystery is can't be told"},
		{"web.ri|m up", "mystery", "mystery in line 22 of "},
		{"cut ho|le", "rim", "rim is an edge of the face web already"},
		{"= 3 * si|n(", "brim", "sin is a name of the language"},
	} {
		got := string(c.call("textDocument/rename", with(at(u, place(t, edgy, x.needle)), "newName", x.name)))
		if !strings.HasPrefix(got, `"error`) || !strings.Contains(got, x.want) {
			t.Errorf("%s to %s: %s, want %q", x.needle, x.name, got, x.want)
		}
	}
	// an edge of the library
	lib := uri.URI("untitled:lib")
	const text = "design \"l\"\nuse bracket from std.plain\nstock s = sheet(mild_steel, 1mm)\npart p of s = bracket()\nlet l = p.base.bend_line.length\n"
	c.open(lib, text)
	got := string(c.call("textDocument/rename", with(at(lib, place(t, text, "bend_l|ine")), "newName", "far")))
	if !strings.Contains(got, "the library is read only") {
		t.Errorf("an edge of the library: %s", got)
	}
	if got := places(t, c.call("textDocument/definition", at(lib, place(t, text, "bend_l|ine")))); len(got) != 1 || !strings.HasPrefix(got[0], "plain.perch:") {
		t.Errorf("an edge of the library is defined at %q", got)
	}
	// behind a mistake
	wrong := uri.URI("untitled:wrong")
	const bad = "design \"w\"\nlet a = nothing.rim\n"
	c.open(wrong, bad)
	if got := string(c.call("textDocument/rename", with(at(wrong, place(t, bad, "nothing.r|im")), "newName", "far"))); !strings.Contains(got, "what stands before it has a mistake") {
		t.Errorf("behind a mistake: %s", got)
	}
	// named twice
	twice := uri.URI("untitled:twice")
	const two = "design \"t\"\nlet a = [(0mm, 0mm) edge rim, (9mm, 0mm) edge rim, (9mm, 9mm)]\n"
	c.open(twice, two)
	if got := string(c.call("textDocument/rename", with(at(twice, place(t, two, "(9mm, 0mm) edge r|im")), "newName", "far"))); !strings.Contains(got, "rim is named twice") {
		t.Errorf("an edge named twice: %s", got)
	}
	c.finish()
}
