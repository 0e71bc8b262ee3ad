package editor_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.lsp.dev/uri"

	"perch/lang/diag"
	"perch/lang/editor"
	"perch/lang/syntax"
)

// TestRewritesKeepTheParts draws numbers and lets of the examples, has each rewritten in
// every way that keeps its value, and wants the same parts at every size.
func TestRewritesKeepTheParts(t *testing.T) {
	draws := 6
	if testing.Short() {
		draws = 1
	}
	rnd := rand.New(rand.NewPCG(7, 8))
	dir := t.TempDir()
	c := start(t, editor.Options{Pause: 1 << 40})
	c.initialize(dir)
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	done := map[string]int{}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		text := string(b)
		was := filepath.Join(dir, filepath.Base(f))
		write(t, was, text)
		u := uri.File(was)
		c.open(u, text)
		var places []int
		file, _ := syntax.Parse(diag.NewSource(f, text))
		syntax.InspectFile(file, func(n syntax.Node) bool {
			switch x := n.(type) {
			case *syntax.Literal:
				places = append(places, int(x.At.Start))
			case *syntax.Let:
				places = append(places, int(x.Name.At.Start))
			}
			return true
		})
		rnd.Shuffle(len(places), func(i, k int) { places[i], places[k] = places[k], places[i] })
		for i, at := range places[:min(draws, len(places))] {
			p := lines(text).at(at)
			for title, made := range c.actions(u, text, p, p, "refactor") {
				kind, _, _ := strings.Cut(title, " ")
				if strings.HasSuffix(title, ", rounded") || strings.Contains(title, " a param: ") {
					continue // another value, or one that rules may move
				}
				done[kind]++
				is := filepath.Join(dir, fmt.Sprintf("%d_%s", i, filepath.Base(f)))
				write(t, is, made)
				sameParts(t, was, is)
				if t.Failed() {
					t.Fatalf("%s: %s at line %d makes\n%s", f, title, p.Line+1, made)
				}
			}
		}
	}
	if done["make"] < 8 || !testing.Short() && (done["put"] < 3 || done["write"] < 5) {
		t.Errorf("too little was rewritten: %v", done)
	}
	t.Log(done)
	c.finish()
}
