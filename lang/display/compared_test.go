package display_test

import (
	"strings"
	"testing"

	"perch/lang/display"
	"perch/parts/page"
)

const two = `design "Two" in millimetres

stock steel = sheet(mild_steel, 1.5mm)

param wide: length in 100mm..300mm = 200mm

panel plate(w: length, h: length) "A plate." {
  face plate on upright(h) { outline rect(w, 90mm) }
}

part left of steel = plate(wide, 0mm)
part right of steel = plate(120mm, 50mm)
`

// Of two states what did not change is there once, what did as it was and as it is.
func TestCompared(t *testing.T) {
	was, is := job(t, two), job(t, strings.Replace(two, "= 200mm", "= 240mm", 1))
	before, _ := was.Results()
	after, _ := is.Results()
	doc, err := display.Compared(was, is, before, after, [2]string{"old.perch", "new.perch"})
	if err != nil {
		t.Fatal(err)
	}
	count := map[page.Revision]int{}
	for _, v := range doc.Sizes[0].Revisions {
		count[v]++
	}
	if count[page.Both] != 1 || count[page.After] != 1 || count[page.Before] != 1 {
		t.Errorf("%v", count)
	}
	if s := doc.Sizes[0].Scene; s.Hi.X-s.Lo.X < 239 || len(s.Copies) != 3 {
		t.Errorf("from %v to %v, %d copies", s.Lo, s.Hi, len(s.Copies))
	}
	if text := written(t, doc); !strings.Contains(text, "old.perch") {
		t.Error("the page does not say what it compares")
	}
}
