package mockup_test

import (
	"bytes"
	"context"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"perch/parts/measure"
	"perch/parts/mockup"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/record/stool"
)

var quarter = mockup.Scale{Paper: 1, Metal: 4}

func options() mockup.Options {
	return mockup.Options{Sheet: paper.A4, Title: paper.Title{Design: "Stool", Size: "mid"}, Paper: measure.Paper{System: measure.Millimetres}}
}

func stoolAssembly(t *testing.T) *panel.Assembly {
	t.Helper()
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// checkPages holds a document to what every page must be: no text over text or lines, every
// sign in the fonts.
func checkPages(t *testing.T, what string, doc *paper.Document) {
	t.Helper()
	doc.Finish()
	for i, p := range doc.Pages {
		for _, c := range p.Clashes() {
			t.Errorf("%s, page %d: %q lies over %q at %v", what, i+1, c.Text, c.Over, c.At)
		}
	}
	if l := doc.Lacking(); len(l) > 0 {
		t.Errorf("%s: the fonts lack %q", what, l)
	}
}

func TestPagesReadAndAreTheSameAgain(t *testing.T) {
	var first bytes.Buffer
	for range 2 {
		doc, err := mockup.Pages(context.Background(), stoolAssembly(t), quarter, options())
		if err != nil {
			t.Fatal(err)
		}
		checkPages(t, "model", doc)
		var b bytes.Buffer
		if err := doc.PDF(&b); err != nil {
			t.Fatal(err)
		}
		if first.Len() > 0 && !bytes.Equal(first.Bytes(), b.Bytes()) {
			t.Error("the same model has other bytes")
		}
		first = b
	}
	doc, err := mockup.Patterns(context.Background(), stoolAssembly(t), options())
	if err != nil {
		t.Fatal(err)
	}
	checkPages(t, "patterns", doc)
	// 320 and two flaps of 70 are 3 × 3 pages of A4 for the cap; a leg is 610 high.
	if len(doc.Pages) < 1+9+3 {
		t.Errorf("the stool's patterns are on %d pages", len(doc.Pages))
	}
}

func TestPieceOnTooManyPages(t *testing.T) {
	_, err := mockup.Pages(context.Background(), stoolAssembly(t), mockup.Scale{Paper: 10, Metal: 1}, options())
	e, ok := err.(*mockup.TilesError)
	if !ok || e.Across*e.Down <= 100 {
		t.Fatalf("a cap of 4.6 m on A4 is answered by %v", err)
	}
	if _, err := mockup.Pages(context.Background(), stoolAssembly(t), e.Enough, options()); err != nil {
		t.Errorf("at %v, which was advised: %v", e.Enough, err)
	}
}

func TestStoppedPages(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := mockup.Pages(ctx, stoolAssembly(t), quarter, options()); err == nil {
		t.Error("a model that nobody wants any more is made")
	}
}

// referee runs a program that others wrote, or skips.
func referee(t *testing.T, name string, args ...string) string {
	t.Helper()
	if os.Getenv("PERCH_REFEREES") != "require" {
		t.Skip("PERCH_REFEREES=require asks " + name)
	}
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func written(t *testing.T, doc *paper.Document) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "mockup.pdf")
	var b bytes.Buffer
	if err := doc.PDF(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	return file
}

// Poppler reads every letter twice on the pages with pieces, and every piece's name.
func TestLettersAreRead(t *testing.T) {
	a := stoolAssembly(t)
	doc, err := mockup.Pages(context.Background(), a, quarter, options())
	if err != nil {
		t.Fatal(err)
	}
	text := referee(t, "pdftotext", "-layout", written(t, doc), "-")
	pieces := ""
	for _, p := range strings.Split(text, "\f") {
		if strings.Contains(p, "glue behind") {
			pieces += p
		}
	}
	words := map[string]int{}
	for _, w := range strings.Fields(pieces) {
		words[w]++
	}
	m, err := mockup.Make(a, quarter)
	if err != nil {
		t.Fatal(err)
	}
	legend := 2 * strings.Count(pieces, "glue behind")
	for _, g := range m.Glues {
		want := 2
		if g.Letter == "A" {
			want += legend // its discs, one of each kind a page
		}
		if g.Letter == "M" {
			continue // a mountain's letter too
		}
		if words[g.Letter] != want {
			t.Errorf("%s stands %d times on the pages, want %d", g.Letter, words[g.Letter], want)
		}
	}
	names := map[string]int{} // by words: some stand upright, a word a line for the reader
	for i := range a.Copies {
		for _, w := range strings.Fields(naming.Of(a).Copy(i)) {
			names[w]++
		}
	}
	for w, n := range names {
		if words[w] != n {
			t.Errorf("%q stands %d times on the pages, the pieces' names have it %d times", w, words[w], n)
		}
	}
	if !regexp.MustCompile(`M 84°`).MatchString(text) {
		t.Error("the flaps' angle is not told")
	}
}

// On paper the cap's folds lie as far apart as its middle's planes meet, a quarter of
// 320 − 2·0.75·tan(A/2), and the edges of its flaps 70 mm and the way round beyond the
// outside corner. Derived from planes; measured at 300 dpi, within 0.2 mm.
func TestDistancesOnPaper(t *testing.T) {
	a := stoolAssembly(t)
	a.Blanks, a.Copies, a.Joins = a.Blanks[:1], a.Copies[:1], nil
	a.Blanks[0].Flat.Panel.Seams = nil // no tabs, no letters
	doc, err := mockup.Pages(context.Background(), a, quarter, options())
	if err != nil {
		t.Fatal(err)
	}
	file := written(t, doc)
	page := len(doc.Pages)
	png := strings.TrimSuffix(file, ".pdf")
	referee(t, "pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", "-f", itoa(page), "-l", itoa(page), file, png)
	lines := longLines(t, png+".png")
	lean := math.Atan((448.0 - 320) / 2 / 610)
	half := math.Tan((math.Pi/2 - lean) / 2)
	folds := (320 - 1.5*half) / 4
	edges := folds + 2*(70-0.75*half)/4
	for _, want := range []float64{folds, edges} {
		found := false
		for i := range lines {
			for k := range i {
				found = found || math.Abs(lines[i]-lines[k]-want) < 0.2
			}
		}
		if !found {
			t.Errorf("no two level lines lie %.2f mm apart; they lie at %.2f", want, lines)
		}
	}
}

func itoa(n int) string { return string(rune('0' + n)) }

// longLines are the heights, in mm, of level lines of which at least 45 mm are dark in
// a window of the page without its title block.
func longLines(t *testing.T, file string) []float64 {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	const perMM = 300 / 25.4
	px := func(mm float64) int { return int(mm * perMM) }
	b := img.Bounds()
	from, to := px(11.5), b.Max.X-px(11.5) // inside the frame
	var out []float64
	run, weight := 0.0, 0.0
	for y := px(11.5); y < b.Max.Y-px(50); y++ {
		dark := 0
		for x := from; x < to; x++ {
			if color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y < 160 {
				dark++
			}
		}
		if dark >= px(45) {
			run += float64(y)
			weight++
		} else if weight > 0 {
			out = append(out, (run/weight+0.5)/perMM)
			run, weight = 0, 0
		}
	}
	return out
}
