package editor_test

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// rack opens the session's design with its module beside it.
func rack(t *testing.T, c *client, capabilities map[string]any) (u, mod uri.URI) {
	t.Helper()
	dir := t.TempDir()
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	write(t, filepath.Join(dir, "parts", "pan.perch"), module)
	write(t, filepath.Join(dir, "rack.perch"), design)
	c.initializeAs(dir, capabilities)
	u, mod = uri.File(filepath.Join(dir, "rack.perch")), uri.File(filepath.Join(dir, "parts", "pan.perch"))
	c.open(u, design)
	return u, mod
}

// answer is the answer to a request, read.
func answer[T any](c *client, method string, params any) T {
	c.t.Helper()
	var out T
	got := c.call(method, params)
	if err := json.Unmarshal(got, &out); err != nil {
		c.t.Fatalf("%s: %v in %s", method, err, got)
	}
	return out
}

func of(u uri.URI) map[string]any {
	return map[string]any{"textDocument": map[string]any{"uri": u}}
}

// TestLinks wants a link at what each use statement takes names from, and none where
// there is no such text.
func TestLinks(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	u, mod := rack(t, c, map[string]any{})
	links := func() string {
		var out []string
		for _, l := range answer[[]struct {
			Range  protocol.Range
			Target string
		}](c, "textDocument/documentLink", of(u)) {
			out = append(out, fmt.Sprintf("%d:%d-%d %s", l.Range.Start.Line, l.Range.Start.Character, l.Range.End.Character, l.Target))
		}
		return strings.Join(out, "\n")
	}
	want := "2:30-39 perch-lib:///std/stool.perch\n3:13-30 " + string(mod)
	if got := links(); got != want {
		t.Errorf("links\n%s\nnot\n%s", got, want)
	}
	c.change(u, 2, strings.Replace(design, "parts/pan.perch", "parts/pot.perch", 1))
	if got := links(); got != "2:30-39 perch-lib:///std/stool.perch" {
		t.Errorf("with a file that is not there: links\n%s", got)
	}
	c.finish()
}

// TestSelectionGrows wants a selection to grow from the word outward, and every answer
// about every byte of the shipped texts to be ranges each inside the next.
func TestSelectionGrows(t *testing.T) {
	type ranges struct {
		Range  protocol.Range
		Parent *ranges
	}
	c := start(t, editor.Options{Pause: 1 << 40})
	u, _ := rack(t, c, map[string]any{})
	ask := func(u uri.URI, ps ...protocol.Position) []ranges {
		p := of(u)
		p["positions"] = ps
		return answer[[]ranges](c, "textDocument/selectionRange", p)
	}
	for needle, want := range map[string][]string{
		"frame, dr|op: 70mm": {"drop", "drop: 70mm", "frame, drop: 70mm", "(frame, drop: 70mm)", "seat_cap(frame, drop: 70mm)", "part cap of shell = seat_cap(frame, drop: 70mm)", design},
		"2 * hei|ght":        {"height", "2 * height", "2 * height * tan(splay)", "seat + 2 * height * tan(splay)", "foot = seat + 2 * height * tan(splay)", "rule foot = seat + 2 * height * tan(splay)", design},
		"240mm|..420mm":      {"240mm", "seat: length in 240mm..420mm = 320mm \"across the seat\"", "param seat: length in 240mm..420mm = 320mm \"across the seat\"", design},
	} {
		var got []string
		for r := &ask(u, place(t, design, needle))[0]; r != nil; r = r.Parent {
			got = append(got, design[byteAt(design, r.Range.Start):byteAt(design, r.Range.End)])
		}
		if strings.Join(got, "|") != strings.Join(want, "|") {
			t.Errorf("%s grows by\n%q\nnot\n%q", needle, got, want)
		}
	}
	for name, text := range shippedTexts(t) {
		if testing.Short() && len(name)%4 != 0 {
			continue
		}
		v := uri.URI("untitled:" + strings.ReplaceAll(name, " ", "_"))
		c.open(v, text)
		var places []protocol.Position
		for i := 0; i <= len(text); i += 7 {
			if i < len(text) && (!utf8.RuneStart(text[i]) || i > 0 && text[i-1:i+1] == "\r\n") {
				continue // no place that an editor can point to: within a letter, or a line's end
			}
			places = append(places, placeOf(text, i))
		}
		got := ask(v, places...)
		if len(got) != len(places) {
			t.Fatalf("%s: %d answers about %d places", name, len(got), len(places))
		}
		for i, r := range got {
			inner := protocol.Range{Start: places[i], End: places[i]}
			for at := &r; at != nil; at = at.Parent {
				if less(inner.Start, at.Range.Start) || less(at.Range.End, inner.End) || at.Range == inner && at != &r {
					t.Fatalf("%s: at %v, %v is around %v", name, places[i], at.Range, inner)
				}
				inner = at.Range
			}
		}
	}
	c.finish()
}

// byteAt is the byte of a text at a place.
func byteAt(text string, p protocol.Position) int {
	i := 0
	for range p.Line {
		i += strings.IndexByte(text[i:], '\n') + 1
	}
	for units := uint32(0); units < p.Character; units++ {
		r, n := utf8.DecodeRuneInString(text[i:])
		if r >= 0x10000 {
			units++
		}
		i += n
	}
	return i
}

// placeOf is the place of a byte of a text, at which a letter begins.
func placeOf(text string, i int) protocol.Position {
	start := strings.LastIndexByte(text[:i], '\n') + 1
	return protocol.Position{Line: uint32(strings.Count(text[:i], "\n")), Character: uint32(len(utf16.Encode([]rune(text[start:i]))))}
}

func less(a, b protocol.Position) bool {
	return a.Line < b.Line || a.Line == b.Line && a.Character < b.Character
}

// TestCallHierarchy goes from panels to what is made of them and on to what fastens
// that, and back, over texts.
func TestCallHierarchy(t *testing.T) {
	type item map[string]any
	c := start(t, editor.Options{Pause: 1 << 40})
	u, mod := rack(t, c, map[string]any{})
	prepare := func(u uri.URI, p protocol.Position) []item {
		return answer[[]item](c, "textDocument/prepareCallHierarchy", at(u, p))
	}
	around := func(direction string, it item) (names []string, items []item) {
		key := map[string]string{"incomingCalls": "from", "outgoingCalls": "to"}[direction]
		for _, one := range answer[[]struct {
			From, To   item
			FromRanges []protocol.Range
		}](c, "callHierarchy/"+direction, map[string]any{"item": it}) {
			next := one.From
			if key == "to" {
				next = one.To
			}
			names = append(names, fmt.Sprintf("%s %s %d", next["detail"], next["name"], len(one.FromRanges)))
			items = append(items, next)
		}
		return names, items
	}
	says := func(what string, got []string, want ...string) {
		t.Helper()
		if strings.Join(got, ", ") != strings.Join(want, ", ") {
			t.Errorf("%s: %q, want %q", what, got, want)
		}
	}
	cap := prepare(u, place(t, design, "= seat_|cap("))
	if len(cap) != 1 || cap[0]["name"] != "seat_cap" || cap[0]["uri"] != "perch-lib:///std/stool.perch" {
		t.Fatalf("prepared %v", cap)
	}
	names, parts := around("incomingCalls", cap[0])
	says("made of seat_cap", names, "part cap 1")
	names, joins := around("incomingCalls", parts[0])
	says("what fastens cap", names, "join head 1")
	names, back := around("outgoingCalls", joins[0])
	says("what head fastens", names, "part cap 1", "part leg 1")
	names, _ = around("outgoingCalls", back[1])
	says("what leg is made of", names, "panel corner_leg 1")
	names, _ = around("incomingCalls", joins[0])
	says("what names a join", names)

	// from the module, which is not open, to the design that is
	pan := prepare(u, place(t, design, "= p|an("))
	if len(pan) != 1 || pan[0]["uri"] != string(mod) {
		t.Fatalf("prepared %v", pan)
	}
	names, _ = around("incomingCalls", pan[0])
	says("made of pan", names, "part dish 1")
	if got := prepare(u, place(t, design, "param se|at")); len(got) != 0 {
		t.Errorf("a param stands in a hierarchy of calls: %v", got)
	}
	c.change(u, 2, strings.Replace(design, "cap of", "lid of", 1))
	if got := string(c.call("callHierarchy/incomingCalls", map[string]any{"item": parts[0]})); !strings.Contains(got, "error") {
		t.Errorf("of what was renamed: %s", got)
	}
	c.finish()
}
