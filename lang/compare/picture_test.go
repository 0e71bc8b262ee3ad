package compare

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func pageOf(t *testing.T, d *Difference) string {
	t.Helper()
	var b strings.Builder
	if err := d.Brief().HTML(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var drawnPath = regexp.MustCompile(`<(path|circle|text) class="([a-z ]+)"`)

// drawnAs counts what a picture draws by class.
func drawnAs(body string) map[string]int {
	out := map[string]int{}
	for _, m := range drawnPath.FindAllStringSubmatch(body, -1) {
		out[m[2]]++
	}
	return out
}

// What did not change recedes and is drawn once; what did is drawn old and new.
func TestUnchangedLinesRecede(t *testing.T) {
	d := changedText(t, plate, "40mm * i", "43mm * i")
	pictures, _ := d.pictures()
	if len(pictures) != 1 {
		t.Fatalf("%d pictures of one plate that changed alike at two sizes", len(pictures))
	}
	got := drawnAs(pictures[0].body)
	want := map[string]int{
		"sheet": 1, "both": 2, "both fold": 1, "both mark": 1, // outline and slot
		"new": 1, "old": 1, // the hole
	}
	if len(got) != len(want) {
		t.Errorf("drawn is %v", got)
	}
	for class, n := range want {
		if got[class] != n {
			t.Errorf("%d of %s, not %d: %v", got[class], class, n, got)
		}
	}
	// Of a plate made longer at one end only what is there on one side stands out.
	d = changedText(t, plate, "outline rect(w, 100mm)", "outline [(-w / 2, -50mm), (w / 2 + 7mm, -50mm), (w / 2 + 7mm, 50mm), (-w / 2, 50mm) edge left]")
	pictures, _ = d.pictures()
	got = drawnAs(pictures[0].body)
	if got["old"] != 1 || got["new"] != 1 || got["both"] < 3 {
		t.Errorf("a plate 7 mm longer at its right end: %v\n%s", got, pictures[0].body)
	}
}

var drawing = regexp.MustCompile(`<svg [^>]*class="overlay"[^>]* width="([0-9.]+)mm" height="[0-9.]+mm" viewBox="0 0 ([0-9.]+) `)

// All pictures of a page are to one scale, the one that it names, and fit a printed page.
func TestOneScale(t *testing.T) {
	d := changedText(t, shelf, "bar(500mm)", "bar(520mm)\npart wall of s = bar(90mm)", "rect(long, 40mm)", "rect(long + step, 40mm)", "off: length = 30mm", "off: length = 31mm")
	page := pageOf(t, d)
	pictures, scale := d.pictures()
	found := drawing.FindAllStringSubmatch(page, -1)
	if len(found) != len(pictures) || len(found) < 2 {
		t.Fatalf("%d drawings of %d pictures", len(found), len(pictures))
	}
	for _, m := range found {
		paper, _ := strconv.ParseFloat(m[1], 64)
		metal, _ := strconv.ParseFloat(m[2], 64)
		if math.Abs(metal/paper-scale) > 1e-3*scale || paper > paperWide+1e-9 {
			t.Errorf("%g mm of metal on %g mm of paper, at 1 : %g", metal, paper, scale)
		}
	}
	if !strings.Contains(page, "all to one scale, "+ratio(scale)) {
		t.Error("the page does not name its scale")
	}
}

// What moved too little to be seen is enlarged: both its places are in the detail, apart.
func TestSmallMovesAreEnlarged(t *testing.T) {
	const by = 0.4
	d := changedText(t, plate, "at (-30mm, 20mm)", "at (-30.4mm, 20mm)")
	pictures, scale := d.pictures()
	if len(pictures) != 1 || len(pictures[0].details) != 1 {
		t.Fatalf("%d pictures, %d details", len(pictures), len(pictures[0].details))
	}
	x := pictures[0].details[0]
	if x.title != "cut base.slot_1, 0.4mm" || by/scale >= seen {
		t.Errorf("the detail is %q at 1 : %g", x.title, scale)
	}
	if paper := by * detailSide / x.side; paper < 1 || x.side < 2*by {
		t.Errorf("0.4 mm are %g mm on paper, of %g mm that are shown", paper, x.side)
	}
	page := pageOf(t, d)
	if !strings.Contains(page, `class="overlay detail"`) || !strings.Contains(page, `href="#flat-1"`) || !strings.Contains(page, x.title) {
		t.Error("the page does not show it")
	}
	// What shows without is not.
	d = changedText(t, plate, "at (-30mm, 20mm)", "at (-40mm, 20mm)")
	if pictures, _ = d.pictures(); len(pictures[0].details) != 0 {
		t.Errorf("10 mm are enlarged: %+v", pictures[0].details)
	}
}

// On paper a picture is not torn, and the verdict stands on top.
func TestPageForPaper(t *testing.T) {
	page := pageOf(t, changedText(t, plate, "40mm * i", "43mm * i"))
	for _, want := range []string{"@media print", "figure,tr,.details div{break-inside:avoid}", "h2{break-after:avoid}", "print-color-adjust:exact"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page's style has no %s", want)
		}
	}
	verdict, parts := strings.Index(page, `<p class="verdict">its one part changed`), strings.Index(page, "<h2>parts</h2>")
	if verdict < 0 || parts < verdict {
		t.Error("the verdict is not first")
	}
}

// A text is drawn in the strokes that it is scribed in; one that stands in the place of
// another is drawn alone, or neither could be read.
func TestTextInPlaceOfAnother(t *testing.T) {
	count := func(pairs ...string) map[string]int {
		pictures, _ := changedText(t, plate, pairs...).pictures()
		return drawnAs(pictures[0].body)
	}
	if got := count(`"UP"`, `"TOP"`); got["new mark"] != 1 || got["old mark"] != 0 {
		t.Errorf("another text in its place: %v", got)
	}
	if got := count(`height: 5mm)`, `height: 5mm) at (0mm, -30mm)`); got["new mark"] != 1 || got["old mark"] != 1 {
		t.Errorf("a text elsewhere: %v", got)
	}
}

// A drawing's pictures are in its own mm: as wide as on the page, one below the other.
func TestDrawingIsToScale(t *testing.T) {
	d := changedText(t, shelf, "bar(500mm)", "bar(520mm)\npart wall of s = bar(90mm)", "rect(long, 40mm)", "rect(long + step, 40mm)")
	var b strings.Builder
	if err := d.SVG(&b); err != nil {
		t.Fatal(err)
	}
	pictures, scale := d.pictures()
	inner := regexp.MustCompile(`<svg [^>]* x="[0-9.]+" y="([0-9.]+)" width="([0-9.]+)" height="([0-9.]+)" viewBox="0 0 ([0-9.]+) `)
	found := inner.FindAllStringSubmatch(b.String(), -1)
	if len(found) != len(pictures) || len(found) < 2 {
		t.Fatalf("%d drawings of %d pictures:\n%s", len(found), len(pictures), b.String())
	}
	below := 0.0
	for _, m := range found {
		var n [4]float64
		for i := range n {
			n[i], _ = strconv.ParseFloat(m[i+1], 64)
		}
		if y, wide, high, metal := n[0], n[1], n[2], n[3]; y < below || math.Abs(metal/wide-scale) > 1e-3*scale {
			t.Errorf("at %g, the last ends at %g; %g mm of metal on %g", y, below, metal, wide)
		} else {
			below = y + high
		}
	}
	total, _ := strconv.ParseFloat(regexp.MustCompile(`^<svg [^>]* height="([0-9.]+)mm"`).FindStringSubmatch(b.String())[1], 64)
	if total < below {
		t.Errorf("the drawing is %g high, its pictures end at %g", total, below)
	}
}

// Of a fold that became shorter at one end the rest recedes.
func TestFoldsRecedeWhereTheyStay(t *testing.T) {
	pictures, _ := changedText(t, plate, "outline rect(w, 100mm)", "outline [(-w / 2, -50mm), (w / 2, -50mm), (w / 2, 50mm), (-w / 2, 50mm) edge left]",
		"strip(50mm)", "strip(50mm, ends: (0mm, 10mm))").pictures()
	if got := drawnAs(pictures[0].body); got["both fold"] != 1 || got["old fold"] != 1 || got["new fold"] != 0 {
		t.Errorf("a fold 10 mm shorter at one end: %v", got)
	}
}
