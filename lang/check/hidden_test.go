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
		{"panel rect(w: length, h: length) { face web on level(0mm) { outline rect(w, h) } }",
			"the language's own rect(w, h) is hidden by it: give yours another name to call that one", []int{3}},
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

// TestHintsWhereAFaceOrAnIndexIsWanted: where a parameter of a part stands for one of its
// faces, the faces are listed, and where an index is of another kind, how it is written.
func TestHintsWhereAFaceOrAnIndexIsWanted(t *testing.T) {
	const head = "design \"d\" in millimetres\nstock steel = sheet(mild_steel, 1mm)\nuse bracket, tray from std.plain\n" +
		"part arm of steel = bracket()\npart pair[i in 1..2] of steel = bracket()\npart pan of steel = tray()\npart pans[i in 1..2] of steel = tray()\n"
	for text, want := range map[string]string{
		"join j = arm.foot to pan.base by rivet(4mm, count: 2)": "P2037 name one of its faces: base, leaf",
		"cut a in pair[1].rise = circle(6mm)":                   "P2048 name one of its faces: base, leaf",
		"cut a in pair.rise = circle(6mm)":                      "P2048 name one of its faces: base, leaf",
		"cut a in pan.wall[2] = circle(6mm)":                    "P2010 an edge is picked from its face, by its name or its place, as in FACE.left or FACE.edges[1]",
		"cut a in pans.wall[pan.base.left] = circle(6mm)":       "P2010 it is indexed by a count, an edge, in this order",
		"cut a in pans.wall[pan.base.left, 1] = circle(6mm)":    "P2010 it is indexed by a count, an edge, in this order",
	} {
		root, _ := syntax.Parse(diag.NewSource("design.perch", head+text+"\n"))
		_, diags := Check(root, lister{newDesk(t)}, shop)
		if len(diags) == 0 || !strings.HasPrefix(diags[0].Code+" "+strings.Join(diags[0].Notes, "; "), want) {
			t.Errorf("%s: told %v, want %q", text, diags, want)
		}
	}
}
