package editor_test

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

const chained = `design "Chain" in millimetres
stock steel = sheet(mild_steel, 1mm)
body frame = box(200mm, 100mm, 60mm)
let step[k in 1..3] = 2mm * k
panel chain(n: count in 2..4) {
  face wall[i in 1..n] on frame.sides[i] { outline frame.sides[i].band(0mm, 60mm) }
  fold wall[i in 1..n - 1] to wall[i + 1] by bend(radius: step[i])
}
part chain of steel = chain(3) loose
`

// TestIndexOfAFold renames the index of a fold, which is declared left and used right
// and in its bend, and tells what it is; the panel and the part keep a name of their own.
func TestIndexOfAFold(t *testing.T) {
	dir := t.TempDir()
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	u := uri.File(filepath.Join(dir, "chain.perch"))
	c.open(u, chained)
	for _, x := range []struct{ needle, old, name, want string }{
		{"fold wall[|i in", "i", "pair", strings.Replace(chained, "fold wall[i in 1..n - 1] to wall[i + 1] by bend(radius: step[i])", "fold wall[pair in 1..n - 1] to wall[pair + 1] by bend(radius: step[pair])", 1)},
		// its range stands around it: the n there is the panel's
		{"to wall[|i + 1]", "i", "n", strings.Replace(chained, "fold wall[i in 1..n - 1] to wall[i + 1] by bend(radius: step[i])", "fold wall[n in 1..n - 1] to wall[n + 1] by bend(radius: step[n])", 1)},
		{"on frame.sides[|i]", "i", "frame", ""}, // the side's body would be the index
		{"let step[|k in", "k", "n", strings.Replace(chained, "[k in 1..3] = 2mm * k", "[n in 1..3] = 2mm * n", 1)},
		{"part |chain of", "chain", "link", strings.Replace(chained, "part chain of", "part link of", 1)},
		{"= |chain(3)", "chain", "link", strings.NewReplacer("panel chain(", "panel link(", "= chain(3)", "= link(3)").Replace(chained)},
	} {
		answer := c.call("textDocument/rename", with(at(u, place(t, chained, x.needle)), "newName", x.name))
		var edit protocol.WorkspaceEdit
		err := json.Unmarshal(answer, &edit)
		got := ""
		if err == nil && len(edit.Changes) > 0 {
			got = applied(t, chained, edit.Changes[u])
		}
		if got != x.want {
			t.Errorf("%s to %s: %s\n%s", x.needle, x.name, answer, got)
		}
	}
	if got := string(c.call("textDocument/hover", at(u, place(t, chained, "wall[|i + 1]")))); !strings.Contains(got, "i in 1..n - 1 : count") || !strings.Contains(got, "line 7") {
		t.Errorf("hover tells %s", got)
	}
	if got := string(c.call("textDocument/hover", at(u, place(t, chained, "radius: |step[")))); !strings.Contains(got, "family of lengths") {
		t.Errorf("hover tells %s", got)
	}
	c.finish()
}
