package editor_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// TestWorkStopsWithItsText: a text whose sizes would be built for many minutes is given up when
// it is edited, closed, or the service shut down, so that what comes next is built at once.
func TestWorkStopsWithItsText(t *testing.T) {
	var s strings.Builder
	s.WriteString("design \"Deep\" in millimetres\nstock steel = sheet(mild_steel, 1mm)\nparam w: length in 1mm..9m = 2mm\nlet f0(x: length) = x\n")
	for i := 1; i < 25; i++ {
		fmt.Fprintf(&s, "let f%d(x: length) = f%d(x: x + 1mm) + f%d(x: x * 2)\n", i, i-1, i-1)
	}
	for i := range 500 {
		fmt.Fprintf(&s, "size s%d: w = %dmm\n", i, i+1)
	}
	s.WriteString("panel p() { face web on level(0mm) { outline rect(9mm, 9mm) } }\npart a of steel = p()\n")
	easy := s.String()
	deep := easy + "let q = f24(w)\n"
	c := start(t, editor.Options{})
	c.initialize("")
	u, v := uri.File("/w/deep.perch"), uri.File("/w/other.perch")
	c.open(u, deep)
	time.Sleep(200 * time.Millisecond) // let it begin
	c.notify("textDocument/didChange", map[string]any{"textDocument": map[string]any{"uri": u, "version": 2},
		"contentChanges": []any{map[string]any{"text": easy}}})
	c.wait(u, 2)
	c.open(v, deep)
	time.Sleep(200 * time.Millisecond)
	c.notify("textDocument/didClose", map[string]any{"textDocument": map[string]any{"uri": v}})
	c.wait(v, 1)
	c.open(v, deep)
	time.Sleep(200 * time.Millisecond)
	c.finish()
}
