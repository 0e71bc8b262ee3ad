package check_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/load"
	"perch/parts/shop"
)

const unusedDesign = `design "d" in millimetres
use bracket from std.plain

stock steel = sheet(mild_steel, 2mm)
stock tin = sheet(mild_steel, 1mm)  // for later
param wide: length = 60mm
param deep: length = 60mm
param tall: length
let half = wide / 2
let third = wide / 3
let twice(x: length) = 2 * x
let more(x: length, y: length) = x
rule tall = half
size low: deep = 40mm
body frame = box(wide, wide, wide)
body other = box(wide, wide, wide)
panel plate(w: length, unread: length = 3mm) {
  let a = w
  let b = w
  face web on frame.top {
    let c = a
    let d = a
    outline rect(c, twice(w))
  }
}
part p of steel = plate(wide)
part q of steel = bracket(width: 40mm)
let stand = load(400N, on: p.web)
let goods = [load(20N, on: p.web), load(30N, on: p.web)]
`

// unusedIn are the notes on a text, in order, behind their lines.
func unusedIn(t *testing.T, name, text string) ([]string, []diag.Diagnostic) {
	t.Helper()
	prog, diags, err := load.Source(diag.NewSource(name, text), load.Library(), shop.Default())
	if err != nil || diag.HasErrors(diags) {
		t.Fatal(err, diags)
	}
	var out []string
	ds := prog.Unused()
	for _, d := range ds {
		out = append(out, fmt.Sprint(d.Span.Position().Line, " ", d.Summary))
		if d.Severity != diag.Note || d.Mark != diag.Unused || d.Code != "P2049" {
			t.Errorf("%v is no hint", d)
		}
	}
	return out, ds
}

// TestUnused wants each name that nothing reads to be told, once and where it stands,
// and no other; with each fix the rest stays, and with all of them nothing is left but
// what has none.
func TestUnused(t *testing.T) {
	got, ds := unusedIn(t, "d.perch", unusedDesign)
	want := `5 nothing reads the stock tin
7 nothing reads the param deep
10 nothing reads the let third
12 nothing reads the function more
16 nothing reads the body other
17 nothing reads the parameter unread
19 nothing reads the let b
22 nothing reads the let d`
	if strings.Join(got, "\n") != want {
		t.Errorf("told\n%s\nnot\n%s", strings.Join(got, "\n"), want)
	}
	var all diag.Fix
	for _, d := range ds {
		if d.Fix == nil {
			continue
		}
		all.Edits = append(all.Edits, d.Fix.Edits...)
		if left, _ := unusedIn(t, "d.perch", d.Fix.Apply(unusedDesign)); len(left) != len(got)-1 {
			t.Errorf("with the fix of %q there are %q", d.Summary, left)
		}
	}
	text := all.Apply(unusedDesign)
	if left, _ := unusedIn(t, "d.perch", text); len(left) != 2 || strings.Contains(text, "for later") || strings.Contains(text, "\n\n\n") {
		t.Errorf("all fixes leave %q of\n%s", left, text)
	}
}

// TestUnusedInModules: what a module declares is for other texts, but its panels'
// parameters are for itself.
func TestUnusedInModules(t *testing.T) {
	got, _ := unusedIn(t, "m.perch", "let a = 3mm\nstock s = sheet(mild_steel, 2mm)\npanel p(w: length, u: length) {\n  let b = w\n  face f on level(0mm) { outline rect(w, w) }\n}\n")
	if strings.Join(got, "\n") != "3 nothing reads the parameter u" {
		t.Errorf("told %q", got)
	}
}

// TestShippedNamesAreRead: the library and the examples hold nothing that is left over.
func TestShippedNamesAreRead(t *testing.T) {
	for _, g := range []string{"../../examples/*/*.perch", "../../stdlib/std/*.perch", "../../stdlib/shown/*.perch"} {
		files, err := filepath.Glob(g)
		if err != nil || len(files) == 0 {
			t.Fatal(g, err)
		}
		for _, f := range files {
			var prog *check.Program
			if strings.Contains(g, "std/*") {
				b, err := os.ReadFile(f)
				if err != nil {
					t.Fatal(err)
				}
				prog, _, err = load.Source(diag.NewSource(f, string(b)), load.Library(), shop.Default())
				if err != nil {
					t.Fatal(err)
				}
			} else if prog, _, err = load.Design(f, shop.Default()); err != nil {
				t.Fatal(err)
			}
			for _, d := range prog.Unused() {
				t.Errorf("%s: %s", f, d.Summary)
			}
		}
	}
}
