package eval_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/lang/syntax"
	"perch/parts/shop"
)

// another is a number written otherwise: half, three times, one more, none, in turn.
func another(number string, turn int) string {
	digits := strings.TrimRight(number, "abcdefghijklmnopqrstuvwxyz%\"'")
	unit := number[len(digits):]
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		return number
	}
	switch turn % 4 {
	case 0:
		v *= 3
	case 1:
		v /= 2
		if unit == "" {
			v = float64(int(v))
		}
	case 2:
		v++
	default:
		v = 0
	}
	return places(6, v) + unit
}

// TestAnotherNumber changes one number of every kept design, here and there, and holds what is
// told of it, and what the piece then comes to, to what it was when people looked at it
// (testdata/another.txt; anew with PERCH_UPDATE=1).
func TestAnotherNumber(t *testing.T) {
	kept, err := filepath.Glob("../../testdata/designs/*.perch")
	if err != nil || len(kept) < 20 {
		t.Fatalf("%d kept designs, %v", len(kept), err)
	}
	const most = 8 // numbers of a design
	facts := shop.Default()
	var b strings.Builder
	turn := 0
	for _, name := range kept {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var numbers []syntax.Token
		for tok := range syntax.Tokens(string(text)) {
			if tok.Type == syntax.NumberToken {
				numbers = append(numbers, tok)
			}
		}
		for k := range min(most, len(numbers)) {
			n := numbers[k*len(numbers)/min(most, len(numbers))]
			turn++
			changed := string(text[:n.Start]) + another(n.Value, turn) + string(text[n.End:])
			src := diag.NewSource(filepath.Base(name), changed)
			prog, told, err := load.Source(src, load.Library(), facts)
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&b, "# %s, byte %d: %s for %s\n", filepath.Base(name), n.Start, another(n.Value, turn), n.Value)
			if !diag.HasErrors(told) {
				r, more := build.Size(prog, build.Sizes(prog)[0], facts, nil)
				told = append(told, more...)
				faces, folds, points, mass := 0, 0, 0, 0.0
				for _, f := range r.Flats {
					faces, folds, points, mass = faces+len(f.Faces), folds+len(f.Folds), points+len(f.Points), mass+f.Mass()
				}
				fmt.Fprintf(&b, "%d parts, %d faces, %d folds, %d points, %s kg\n", len(r.Flats), faces, folds, points, places(5, mass))
			}
			if len(told) > 0 {
				b.WriteString(everythingTold(told) + "\n")
			}
		}
	}
	const file = "testdata/another.txt"
	if os.Getenv("PERCH_UPDATE") != "" {
		if err := os.WriteFile(file, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")); d != "" {
		t.Errorf("what is told of another number has changed:\n%s", d)
	}
}
