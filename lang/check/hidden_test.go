package check

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/syntax"
)

// TestHiddenCallablesAreTold gives wrong arguments to panels and functions that hide one
// of the language, of the library or of the file: both are named, with where they stand;
// where nothing is hidden, or an argument is wrong by itself, nothing is added.
func TestHiddenCallablesAreTold(t *testing.T) {
	const head = "design \"d\" in millimetres\nstock steel = sheet(mild_steel, 1mm)\n"
	for _, c := range []struct {
		text string
		note string // "" for none
		at   []int  // lines that are pointed to
	}{
		{"let min(x: length) = x\nlet a = min(1mm, 2mm)", "the language's own min(x, …) is hidden by it: give yours another name to call that one", []int{3}},
		{"panel strip(w: length) { face web on level(0mm) { outline rect(w, w) } face lip off web.top up 90deg { outline strip(w, ends: 2mm) } }",
			"the language's own strip(d, [ends:]) is hidden by it: give yours another name to call that one", []int{3}},
		{"panel bracket() { face web on level(0mm) { outline rect(9mm, 9mm) } }\npart b of steel = bracket(angle: 80deg)",
			"the panel bracket of std.plain is hidden by it: give yours another name to call that one", []int{3}},
		{"let grow(x: length, by: length) = x + by\npanel q(w: length) {\n  let grow(x: length) = 2 * x\n  face web on level(0mm) { outline rect(grow(w, 3mm), w) }\n}",
			"the function grow is hidden by it: give yours another name to call that one", []int{3, 5}},
		{"let twice(x: length) = 2 * x\nlet a = twice(1mm, 2mm)", "", nil},
		{"let min(x: length) = x\nlet a = min(nope)", "", nil},
		{"let min = 3mm\nlet a = min(1mm, 2deg)", "", nil},
		{"use tray from std.plain\npart b of steel = tray(nope: 3mm)", "", nil},
	} {
		root, _ := syntax.Parse(diag.NewSource("design.perch", head+c.text+"\n"))
		_, diags := Check(root, lister{newDesk(t)}, shop)
		diags = slices.DeleteFunc(diags, func(d diag.Diagnostic) bool { return d.Code == "P2004" }) // a panel that calls itself
		if len(diags) == 0 {
			t.Errorf("%s: no mistake", c.text)
			continue
		}
		var lines []int
		note := ""
		for _, d := range diags {
			for _, n := range d.Notes {
				if strings.Contains(n, "is hidden by it") {
					note = n
					for _, r := range d.Related {
						lines = append(lines, r.Span.Position().Line)
					}
				}
			}
		}
		slices.Sort(lines)
		if note != c.note || fmt.Sprint(lines) != fmt.Sprint(c.at) {
			t.Errorf("%s: told %q at lines %v, want %q at %v: %v", c.text, note, lines, c.note, c.at, diags)
		}
	}
}
