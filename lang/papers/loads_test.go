package papers_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestPageOfLoads: where a design names loads its packet has a page on what they do, which
// says first that it is an estimate and last that a test load proves; where it names none
// there is no such page.
func TestPageOfLoads(t *testing.T) {
	const rail = `design "Rail" in millimetres
stock steel = sheet(mild_steel, 2mm)
panel rail() {
  face back on upright(0mm) {
    outline rect(120mm, 60mm)
    cut screw[x in [-40mm, 40mm]] = circle(8mm) at (x, 0mm)
  }
  face tray off back.bottom up 90deg { outline strip(50mm) }
}
part rail of steel = rail()
`
	pages := func(text string) (all [][]string) {
		file := filepath.Join(t.TempDir(), "rail.perch")
		if err := os.WriteFile(file, []byte(rail+text), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, p := range packets(t, opened(t, file))[0].Pages {
			if text := strings.Join(p.Written(), " "); strings.Contains(text, "What it carries") {
				all = append(all, p.Written())
			}
		}
		return all
	}
	if got := pages(""); len(got) != 0 {
		t.Errorf("of no load it has a page: %q", got)
	}
	got := pages("let wall = support(rail.back.screw)\nlet coats = load(4kg, on: rail.tray, spread: 40mm)\n")
	if len(got) != 1 {
		t.Fatalf("of a load it has %d pages", len(got))
	}
	text := strings.Join(got[0], " ")
	for _, want := range []string{"an estimate: elastic and static", "coats: 39.2 N down on rail", "hangs", "under coats, movements drawn", "Prove the piece by a test load"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q on it: %s", want, text)
		}
	}
	if strings.Index(text, "an estimate") > strings.Index(text, "39.2 N") {
		t.Errorf("a number comes before it is said to be an estimate: %s", text)
	}
}
