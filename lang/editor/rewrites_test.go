package editor_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/diag"
	"perch/lang/editor"
	"perch/lang/format"
	"perch/lang/syntax"
	"perch/stdlib"
)

const rewritten = `design "r" in millimetres

use bracket from std.plain

stock steel = sheet(mild_steel, 2mm)

param wide: length in 40mm..90mm = 60mm  "across"
param high: length in 20mm..80mm

let half = wide / 2
let third = wide / 3

size low: high = 30mm
size bare

panel plate(w: length) {
  let edge_in = w / 4
  face web on level(0mm) { outline rect(w, 50mm) }
  face lip off web.top up 90deg {
    outline strip(edge_in + 25.4mm)
  }
}

part p of steel = plate(half * 2)
part q of steel = bracket(bed: level(60mm), width: 40mm) loose
rule half - third > 0.1mm + 3/8in
`

// actions are what is proposed for a stretch of a text: title to the text that it makes.
func (c *client) actions(u uri.URI, text string, from, to protocol.Position, only ...string) map[string]string {
	c.t.Helper()
	ctx := map[string]any{"diagnostics": []any{}}
	if len(only) > 0 {
		ctx["only"] = only
	}
	answer := c.call("textDocument/codeAction", map[string]any{"textDocument": map[string]any{"uri": u},
		"range": protocol.Range{Start: from, End: to}, "context": ctx})
	var list []struct {
		Title string
		Edit  protocol.WorkspaceEdit
	}
	if err := json.Unmarshal(answer, &list); err != nil {
		c.t.Fatalf("%v in %s", err, answer)
	}
	out := map[string]string{}
	for _, a := range list {
		if len(a.Edit.Changes) != 1 || out[a.Title] != "" {
			c.t.Errorf("%q changes %d texts, or is proposed twice", a.Title, len(a.Edit.Changes))
		}
		out[a.Title] = applied(c.t.(*testing.T), text, a.Edit.Changes[u])
	}
	return out
}

// TestRewrites asks for what is proposed at places and wants the lines that it makes.
func TestRewrites(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:r")
	c.open(u, rewritten)
	for _, x := range []struct {
		at, to, title string   // to: where the selection ends, "" at its start
		lines         []string // that the text has then, in order
		gone          string   // and has not
	}{
		{"rect(w, 50|mm)", "", "make 50mm a let: h", []string{"  let h = 50mm", "  face web on level(0mm) { outline rect(w, h) }"}, "50mm)"},
		{"rect(w, 50|mm)", "", "make 50mm a param: h", []string{"param high: length in 20mm..80mm", "param h: length = 50mm", "  face web on level(0mm) { outline rect(w, h) }"}, "50mm)"},
		{"edge_in + 25|.4mm", "", "make 25.4mm a let: length_1", []string{"    let length_1 = 25.4mm", "    outline strip(edge_in + length_1)"}, ""},
		{"width: 4|0mm", "", "make 40mm a param: width", []string{"param width: length = 40mm", "part q of steel = bracket(bed: level(60mm), width: width) loose"}, ""},
		{"plate(half * |2)", "", "make 2 a let: count_1", []string{"let count_1 = 2", "part p of steel = plate(half * count_1)"}, ""},
		{"let ha|lf", "", "put the value of half in its place", []string{"let third = wide / 3", "part p of steel = plate((wide / 2) * 2)", "rule (wide / 2) - third > 0.1mm + 3/8in"}, "half"},
		{"half - th|ird", "", "put the value of third in its place", []string{"rule half - (wide / 3) > 0.1mm + 3/8in"}, "third"},
		{"strip(ed|ge_in", "", "put the value of edge_in in its place", []string{"    outline strip((w / 4) + 25.4mm)"}, "edge_in"},
		{"edge_in + 25|.4mm", "", "write 25.4mm as 1in", []string{"    outline strip(edge_in + 1in)"}, ""},
		{"0.1mm + 3|/8in", "", "write 3/8in as 9.525mm", []string{"rule half - third > 0.1mm + 9.525mm"}, ""},
		{"level(60|mm)", "", "write 60mm as 2.3622in, rounded", []string{"part q of steel = bracket(bed: level(2.3622in), width: 40mm) loose"}, ""},
		{"|param wide", "= 60mm|  ", "write 3 lengths in inches, 3 of them rounded", []string{"param wide: length in 1.5748in..3.5433in = 2.3622in  \"across\""}, ""},
		{"size ba|re", "", "state high at size bare", []string{"size bare: high = 20mm"}, ""},
		{"use brac|ket", "", "copy the panel bracket here, to change it", []string{"panel bracket("}, "use bracket"},
	} {
		from := place(t, rewritten, x.at)
		to := from
		if x.to != "" {
			to = place(t, rewritten, x.to)
		}
		all := c.actions(u, rewritten, from, to)
		got, ok := all[x.title]
		if !ok {
			t.Errorf("at %s there is no %q, but %q", x.at, x.title, keys(all))
			continue
		}
		rest := got
		for _, line := range x.lines {
			i := strings.Index("\n"+rest, "\n"+line+"\n")
			if i < 0 && strings.HasSuffix(line, "(") {
				i = strings.Index("\n"+rest, "\n"+line)
			}
			if i < 0 {
				t.Errorf("%s: there is no line %q in\n%s", x.title, line, got)
				break
			}
			rest = rest[i:]
		}
		if x.gone != "" && strings.Contains(got, x.gone) {
			t.Errorf("%s leaves %q in\n%s", x.title, x.gone, got)
		}
	}
	// where nothing is to be proposed
	for at, never := range map[string]string{
		"= 6|0mm  \"across": "make", "in 40|mm": "make", "high = 3|0mm": "make", "param wi|de": "put", "size lo|w": "state", "= pl|ate(": "copy", "level(|0mm)": "write 0mm as 0mm",
	} {
		p := place(t, rewritten, at)
		for title := range c.actions(u, rewritten, p, p) {
			if strings.HasPrefix(title, never) {
				t.Errorf("at %s: %q", at, title)
			}
		}
	}
	// only what is asked for; the sum in two systems is a mistake that can be mended
	p := place(t, rewritten, "width: 4|0mm")
	for only, want := range map[string]int{"refactor": 3, "refactor.extract": 2, "refactor.rewrite": 1, "refactor.inline": 0, "quickfix": 0, "source": 1} {
		if got := c.actions(u, rewritten, p, p, only); len(got) != want {
			t.Errorf("only %s: %q", only, keys(got))
		}
	}
	c.finish()
}

func keys(m map[string]string) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// TestInlineKeepsMeaning: a let is not put where its names mean something else, nor where
// it is read of a part.
func TestInlineKeepsMeaning(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:i")
	const text = `design "i" in millimetres
stock steel = sheet(mild_steel, 2mm)
param wide: length = 60mm
let half = wide / 2
let whole = wide
panel plate(wide: length) {
  let rim = wide / 8
  face web on level(0mm) { outline rect(wide, half + whole + rim) }
}
part p of steel = plate(90mm)
let outer = p.rim
`
	c.open(u, text)
	for _, needle := range []string{"let ha|lf", "let wh|ole", "let r|im"} {
		p := place(t, text, needle)
		for title := range c.actions(u, text, p, p, "refactor.inline") {
			t.Errorf("at %s: %q", needle, title)
		}
	}
	c.finish()
}

// TestMissingArgumentsAreAdded takes the arguments out of calls and wants them back as
// far as they can be made up, so that the call is complete.
func TestMissingArgumentsAreAdded(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:m")
	const head = "design \"m\" in millimetres\nuse seat_cap, corner_leg from std.stool\nstock steel = sheet(mild_steel, 2mm)\nparam height: length = 400mm\nbody frame = box(300mm, 300mm, 400mm)\n" +
		"panel p(s: side, w: length, deep: length = 3mm) {\n  face f on s { outline rect(w, w + deep) }\n}\n"
	version := 1
	c.open(u, head)
	for line, want := range map[string]string{
		"part a of steel = p()":                        "part a of steel = p(s: frame.front, w: 10mm)",
		"part a of steel = p(frame.back)":              "part a of steel = p(frame.back, w: 10mm)",
		"part a of steel = p(w: 3mm)":                  "part a of steel = p(w: 3mm, s: frame.front)",
		"part a of steel = corner_leg()":               "part a of steel = corner_leg(c: frame.front.left)",
		"part a of steel = seat_cap()":                 "part a of steel = seat_cap(over: frame)",
		"body b = frustum(top: 30mm, bottom: 40mm)":    "body b = frustum(top: 30mm, bottom: 40mm, height: height)",
		"let x = sin()":                                "let x = sin(x: 90deg)",
		"stock tin = sheet(mild_steel)":                "stock tin = sheet(mild_steel, thickness: 10mm)",
		"part a of steel = p(\n  w: 3mm,\n)":           "part a of steel = p(\n  w: 3mm, s: frame.front,\n)",
		"part a of steel = p(frame.front, w: 3mm)":     "",
		"part a of steel = p(frame.front, w: f(2), 3)": "",
	} {
		text := head + line + "\n"
		version++
		c.change(u, version, text)
		p := lines(text).at(len(head) + strings.LastIndexByte(line, '('))
		got := ""
		for title, made := range c.actions(u, text, p, p, "quickfix") {
			if strings.HasPrefix(title, "add ") {
				got = strings.TrimSuffix(strings.TrimPrefix(made, head), "\n")
			}
		}
		if got != want {
			t.Errorf("%s becomes %q, want %q", line, got, want)
		}
	}
	c.finish()
}

// TestEveryLibraryPanelIsCopied copies each panel of the library into the design that
// shows it. The design is then in canonical form but for what it used, is built without a
// word more, and to the same parts.
func TestEveryLibraryPanelIsCopied(t *testing.T) {
	dir := t.TempDir()
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	copied := 0
	for _, m := range stdlib.Modules() {
		name, text, err := stdlib.Module(m)
		if err != nil {
			t.Fatal(err)
		}
		file, _ := syntax.Parse(diag.NewSource(name, text))
		for i, st := range file.Stmts {
			p, ok := st.(*syntax.Panel)
			if !ok || testing.Short() && i%2 == 1 {
				continue
			}
			panel := p.Name.Name
			b, err := os.ReadFile(filepath.Join("../../stdlib/shown", panel+".perch"))
			if err != nil {
				t.Fatal(err)
			}
			for _, as := range []string{"", "_mine"} {
				shown := string(b)
				if as != "" { // taken by another name
					shown = strings.ReplaceAll(shown, panel+"(", panel+as+"(")
					shown = strings.Replace(shown, "use "+panel, "use "+panel+" as "+panel+as, 1)
					if !strings.Contains(shown, " as ") {
						continue
					}
				}
				was, is := filepath.Join(dir, panel+as+".perch"), filepath.Join(dir, panel+as+"_is.perch")
				u := uri.File(was)
				write(t, was, shown)
				c.open(u, shown)
				at := place(t, shown, "= |"+panel+as+"(")
				made, ok := c.actions(u, shown, at, at, "refactor.rewrite")[fmt.Sprintf("copy the panel %s here, to change it", panel)]
				if !ok {
					t.Errorf("%s is not copied", panel+as)
					continue
				}
				copied++
				if !strings.Contains(made, "\npanel "+panel+as+"(") || strings.Contains(made, "use "+panel) {
					t.Errorf("%s: copied as\n%s", panel+as, made)
				}
				if got, bad := format.Source(diag.NewSource(is, made)); len(bad) > 0 || strings.TrimSpace(got) != strings.TrimSpace(strings.ReplaceAll(made, "\n\n\n", "\n\n")) {
					t.Errorf("%s: not in its form: %v\n%s", panel+as, bad, format.Diff(is, made, got))
				}
				write(t, is, made)
				sameParts(t, was, is)
			}
		}
	}
	if copied < 15 {
		t.Errorf("only %d panels were copied", copied)
	}
	c.finish()
}
