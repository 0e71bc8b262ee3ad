package editor_test

import (
	"strings"
	"testing"

	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// Edges are not followed by rename, and a refusal says so: they are no words of the language.
func TestRenameTellsEdgesFromWords(t *testing.T) {
	const text = "design \"e\"\n\nstock s = sheet(mild_steel, 1mm)\n\npanel tab() {\n" +
		"  face web on level(10mm) { outline [(0mm, 0mm), (50mm, 0mm) edge rim, (50mm, 40mm), (0mm, 40mm)] }\n" +
		"  face lip off web.rim up 90deg { outline strip(20mm) }\n}\n\npart p of s = tab()\nlet a = sin(30deg)\n"
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:edge")
	c.open(u, text)
	for needle, want := range map[string]string{
		"edge ri|m,": "rim names an edge", "web.ri|m up": "rim names an edge",
		"= si|n(": "sin is a name of the language",
	} {
		got := string(c.call("textDocument/rename", with(at(u, place(t, text, needle)), "newName", "brim")))
		if !strings.Contains(got, want) {
			t.Errorf("%s: %s, want %q", needle, got, want)
		}
	}
	c.finish()
}
