package editor_test

import (
	"strings"
	"testing"

	"go.lsp.dev/uri"

	"perch/lang/editor"
)

const weighed = `design "w" in millimetres

stock steel = sheet(mild_steel, 16ga)
stock other = sheet(galvanized, 2mm)

param wide: length = 200mm
param n: count = 2
let heavy = mass()
let half = wide / 2

size small
size large: wide = 300mm

panel tray(w: length, deep: length = 20mm) {
  face base on level(100mm) { outline rect(w, 60mm) }
  face lip off base.top up 90deg { outline strip(deep) }
}
panel pad(at: length) {
  face flat on level(at) { outline rect(50mm, 40mm) }
}

part bin of steel = tray(w: half + 10mm, deep: 30mm) loose
part post[i in 1..n] of other = pad(at: 200mm * i)
part foot[i in 1..n] of other = pad(200mm * i + 2mm)
join hold[i in 1..n] = post[i].flat to foot[i].flat by rivet(4mm, count: 2)
`

// TestHoverTellsWhatIsMade hovers over parts, joins, lets, labels and gauges.
func TestHoverTellsWhatIsMade(t *testing.T) {
	c := start(t, editor.Options{})
	c.initialize("")
	u := uri.URI("untitled:w")
	c.open(u, weighed)
	c.wait(u, 1)
	if _, ds := c.published(u); len(ds) != 2 { // nothing reads heavy; the shop has no such sheet
		t.Fatal(ds)
	}
	for needle, wants := range map[string][]string{
		"part b|in": {"size small:", "size large:", "- 1 piece of mild_steel 16 ga (1.519 mm); flat 110.00 × 90.12 mm", "kg", "mm: base ", " + bend ", " + lip "},
		// alike at both sizes: told once, without their names
		"part po|st":          {"- 2 pieces of galvanized 2 mm; flat 50.00 × 40.00", "each", "in all", "50.00 mm: flat"},
		"join ho|ld":          {"- 4 rivets 4 mm through 4.00 mm of metal: foot.1 2, post.1 2, foot.2 2, post.2 2"},
		"let he|avy":          {"| small | 0.", "kg | worked out |"},
		"let ha|lf":           {"| small | 100mm | worked out |", "| large | 150mm |"},
		"tray(w|: half":       {"w: length", "| small | 110mm |", "| large | 160mm |"},
		"10mm, de|ep: 30mm":   {"deep: length = 20mm"},
		"mild_steel, 16|ga":   {"mild_steel: 1.519 mm"},
		"stock oth|er":        {"- galvanized 2 mm, bent with", "- 4 pieces of 2 blanks, 8000 mm² and 0.1"},
		"count|: 2)":          {"count: count"},
		"pos|t[i].flat to fo": {"- 2 pieces of galvanized"},
	} {
		got := string(c.call("textDocument/hover", at(u, place(t, weighed, needle))))
		for _, want := range wants {
			if !strings.Contains(got, want) {
				t.Errorf("over %s there is no %q in %s", needle, want, got)
			}
		}
		if strings.Contains(needle, "post") && strings.Contains(got, "size small") || strings.Contains(needle, "deep: 30") && strings.Contains(got, "| size |") {
			t.Errorf("over %s: %s", needle, got)
		}
	}
	c.change(u, 2, strings.Replace(weighed, "mild_steel, 16ga", "16ga, mild_steel", 1))
	if got := string(c.call("textDocument/hover", at(u, place(t, strings.Replace(weighed, "mild_steel, 16ga", "16ga, mild_steel", 1), "16|ga")))); !strings.Contains(got, "stainless: 1.587 mm") || !strings.Contains(got, "galvanized: 1.613 mm") {
		t.Errorf("of no known material: %s", got)
	}
	c.finish()
	// before a build nothing is known of what is made
	c = start(t, editor.Options{Pause: 1 << 40})
	c.initialize("")
	c.open(u, weighed)
	if got := string(c.call("textDocument/hover", at(u, place(t, weighed, "part b|in")))); !strings.Contains(got, "known when the parts are built") {
		t.Errorf("before a build: %s", got)
	}
	c.finish()
}
