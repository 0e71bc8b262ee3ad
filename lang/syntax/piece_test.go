package syntax

import (
	"math/rand"
	"os"
	"path/filepath"
	"testing"

	"perch/lang/diag"
)

// TestPieces parses every expression of the examples by itself: it is the same, at the
// same place. Stretches that begin and end anywhere are parsed or refused.
func TestPieces(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/*.perch")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	rnd := rand.New(rand.NewSource(1))
	whole, none := 0, 0
	for _, name := range append(files, "testdata/errors.perch") {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		src := diag.NewSource(name, string(b))
		file, _ := Parse(src)
		InspectFile(file, func(n Node) bool {
			if f, ok := n.(*Fold); ok && len(f.Index) > 0 {
				return false // its first face is no expression as it is written
			}
			e, ok := n.(Expr)
			if !ok {
				return true
			}
			sp := e.Span()
			got := ParseExpr(src, int(sp.Start), int(sp.End))
			if got == nil || got.Span() != sp || Print(got) != Print(e) {
				t.Errorf("%s: %q by itself is %v", name, sp.Text(), got)
			}
			whole++
			return true
		})
		for range 300 {
			start := rnd.Intn(len(b) + 1)
			end := start + rnd.Intn(min(60, len(b)-start+1))
			if ParseExpr(src, start, end) == nil {
				none++
			}
			ParseIndex(src, start, end)
			ParseParams(src, start, end)
		}
	}
	if whole < 1000 || none < 100 {
		t.Errorf("%d expressions were parsed, %d stretches refused", whole, none)
	}
}

// TestPiecesOfDeclarations parses an index and parameters by themselves, and nothing else
// as one of them.
func TestPiecesOfDeclarations(t *testing.T) {
	for _, x := range []struct {
		text          string
		index, params int
	}{
		{"[i in 1..3]", 1, 0}, {"[i in xs, j in 1..i]", 2, 0}, {"[i]", 0, 0}, {"[i in xs", 0, 0}, {"[i in xs] j", 0, 0},
		{"(a: length)", 0, 1}, {"(a: length, b: [side] = xs)", 0, 2}, {"(a: )", 0, 0}, {"(a, b)", 0, 0}, {"", 0, 0},
	} {
		src := diag.NewSource("x", "let f"+x.text+" = 1")
		end := 5 + len(x.text)
		if got := ParseIndex(src, 5, end); len(got) != x.index {
			t.Errorf("%s has %d index names, want %d", x.text, len(got), x.index)
		}
		if got := ParseParams(src, 5, end); len(got) != x.params {
			t.Errorf("%s has %d parameters, want %d", x.text, len(got), x.params)
		}
	}
}
