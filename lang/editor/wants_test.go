package editor_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"go.lsp.dev/uri"

	"perch/lang/builtin"
	"perch/lang/editor"
)

// TestProposalsFit types the beginnings of statements and wants what fits there first,
// and nothing that cannot stand there.
func TestProposalsFit(t *testing.T) {
	const head = "design \"d\"\n\nuse corner_leg from std.stool\n\nstock shell = sheet(mild_steel, 1.5mm)\nparam wide: length = 300mm\nparam n: count = 2\n" +
		"param lean: angle = 5deg\nbody frame = box(300mm, 300mm, 400mm)\npart leg[c in frame.corners] of shell = corner_leg(c)\nsize one: wide = 3mm\n"
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:d")
	c.open(u, head)
	version := 1
	for _, x := range []struct {
		typed string
		first string // the proposals begin with these
		never string // and hold none of these
	}{
		{"join j = leg.cheek to leg.cheek by |", "rivet bolt plug tack", "to by"},
		{"join j = leg.cheek |", "to at by if", "shell rivet"},
		{"join j = leg.cheek to |", "", "to by"},
		{"panel q(s: side) { face f |", "on off from up down if", "s sin"},
		{"panel q(s: side) { face f on |", "s level upright", ""},
		{"panel q(s: side) { face f on s { outline |", "rect circle slot", ""},
		{"panel q(s: side) { face f on s { outline [(0mm, 0mm) |", "round chamfer arc edge", "s frame"},
		{"panel q(s: side) { face f on s { outline [(0mm, 0mm) edge |", "", "s frame round"},
		{"panel q(s: side) { face f on s { outline rect(1mm, 1mm) } fold f by |", "bend", ""},
		{"panel q(s: side) { face f on s { outline rect(1mm, 1mm) } seam f by |", "open closed lapped", ""},
		{"body b = |", "frame frustum box", ""},
		{"stock b = |", "shell sheet", ""},
		{"size two: wide |", "about free largest smallest", "like wide"},
		{"size two |", "like", "about"},
		{"size two like |", "one", "two wide"},
		{"size two: wide = |", "wide", ""},
		{"size two: lean = |", "lean asin acos atan", ""},
		{"let a = sin(|", "x: lean asin acos atan", ""},
		{"param perch_probe: angle = 1deg\nlet a = sin(|", "x: lean perch_probe asin", ""}, // no name is kept back
		{"let a = frustum(sides: |", "n", ""},
		{"panel q(s: side, t: |) {\nlet within = 3mm\nface f on s { outline rect(1mm, 1mm) }\n}", "length angle", "q"},
		{"panel q(s: side, t: length = |\n) {\nlet within = 3mm\nface f on s { outline rect(1mm, 1mm) }\n}", "within wide", "q"},
		{"panel q(s: side) {\nlet within = 3mm\nface f on s {\nlet within = within |\noutline rect(1mm, 1mm) }\n}", "then", ""},
		{"panel q(s: side) {\nlet wide = 3deg\nface f on s {\nlet wide = sin(|\noutline rect(1mm, 1mm) }\n}", "x: wide lean", ""}, // its own name is that around it
		{"let a = wide |", "then else and or in", "wide sin"},
		{"let a = if n > 1 |", "then else and or in", "wide sin"},
		{"let |", "", "wide sin let"},
		{"join j = |", "leg", ""},
		{"join j = leg.|", "cheek c", ""},
		{"join j = leg.cheek to leg.|", "cheek c", ""},
		{"stock b = sheet(|", "mild_steel", ""},
		{"stock b = sheet(mild_steel, 2|", "mm cm m ga in", ""},
		{"param p: angle = 5|", "deg rad mm", ""},
		{"param p: angle in 5|", "deg rad", ""},
		{"param p: length in 5mm..7|", "mm cm m in ft", ""},
		{"panel q(s: side, t: angle = 5|) {\n}", "deg", ""},
		{"size two: lean = 4|", "deg", ""},
		{"size two: lean about 4|", "deg", ""},
		{"let a = lean + 4|", "deg", ""},
		{"rule lean >= 4|", "deg", ""},
		{"let a = frustum(top: 4|", "mm", ""},
		{"let a = sin(4|", "deg", ""},
		{"part p of shell = corner_leg(|", "frame leg c: toe:", ""},
		{"part p of shell = corner_leg(frame.|", "corners", ""},
		{"panel q(s: side) { face a on s { outline rect(1mm, 1mm) } face f off a.|", "left", ""},
		{"panel q(b: body) { face f on b.|", "top bottom sides", ""},
		{"cut c in leg.|", "cheek", ""},
		{"cut c in |", "", "through at"},
		{"cut c in leg.cheek |", "in through at if", ""},
		{"cut c in leg.cheek = |", "rect circle slot", ""},
	} {
		version++
		text := head + strings.Replace(x.typed, "|", "", 1) + "\n"
		c.change(u, version, text)
		var got struct {
			Items []struct{ Label, SortText string }
		}
		if err := json.Unmarshal(c.call("textDocument/completion", at(u, lines(text).at(len(head)+strings.IndexByte(x.typed, '|')))), &got); err != nil {
			t.Fatal(err)
		}
		var labels []string
		for i, it := range got.Items {
			if i > 0 && it.SortText <= got.Items[i-1].SortText {
				t.Errorf("%s: %v is not in order", x.typed, it)
			}
			labels = append(labels, it.Label)
		}
		if want := strings.Fields(x.first); len(labels) < len(want) || !slices.Equal(labels[:len(want)], want) {
			t.Errorf("%s: proposed are %v, want first %v", x.typed, labels, want)
		}
		for _, w := range strings.Fields(x.never) {
			if slices.Contains(labels, w) {
				t.Errorf("%s: %s is proposed", x.typed, w)
			}
		}
	}
	// the parameters of a declaration are no call
	text := head + "panel more(\n"
	c.change(u, version+1, text)
	if got := string(c.call("textDocument/signatureHelp", at(u, lines(text).at(len(text)-1)))); got != "null" {
		t.Errorf("in a declaration: %s", got)
	}
	c.finish()
}

// TestEveryRowIsKnownToTheEditor hovers over the example of every function and over its
// labels, and asks for its signature: a row of the table is all that they need.
func TestEveryRowIsKnownToTheEditor(t *testing.T) {
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	u := uri.URI("untitled:d")
	c.open(u, "design \"d\"\n")
	for i, f := range builtin.Functions {
		text := "design \"d\"\nlet it = " + f.Example + "\n"
		c.change(u, i+2, text)
		name := strings.Index(text, f.Name+"(")
		if got := string(c.call("textDocument/hover", at(u, lines(text).at(name)))); !strings.Contains(got, f.Name+"(") || !strings.Contains(got, f.Doc) {
			t.Errorf("hover on %s: %s", f.Name, got)
		}
		if got := string(c.call("textDocument/signatureHelp", at(u, lines(text).at(name+len(f.Name)+1)))); !strings.Contains(got, f.Name+"(") {
			t.Errorf("signature of %s: %s", f.Name, got)
		}
		for _, p := range f.Params {
			label := strings.Index(text, p.Name+": ")
			if label < 0 || !strings.ContainsRune("( ", rune(text[label-1])) {
				continue
			}
			if got := string(c.call("textDocument/hover", at(u, lines(text).at(label)))); !strings.Contains(got, p.Name+": ") || !strings.Contains(got, p.Doc) {
				t.Errorf("hover on %s of %s: %s", p.Name, f.Name, got)
			}
		}
	}
	c.finish()
}
