package paper_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"perch/parts/measure"
	"perch/parts/paper"
	"perch/parts/plane"
)

func Example() {
	doc := &paper.Document{Name: "Key shelf"}
	page := doc.Add(&paper.Page{Sheet: paper.A4, Bookmark: "plate", Title: paper.Title{Design: "Key shelf", Blank: "plate", Scale: "1:2"}})
	at := page.Area().Min.Add(plane.Point{X: 20, Y: 20})
	page.Outline(paper.Visible, true, plane.Circle(30).Transform(plane.Affine{A: 1, D: 1, E: at.X, F: at.Y}))
	label := paper.Label{Text: "Ø60"}
	fmt.Println(page.Place(label.On(at.Add(plane.Point{X: 15})), label.On(at))) // the first lies on the circle
	var out bytes.Buffer
	fmt.Println(doc.PDF(&out), len(page.Clashes()))
	// Output:
	// 1
	// <nil> 0
}

func TestCapitalsAreLegible(t *testing.T) {
	// ISO 3098 has 2.5 mm as its least height of capitals; the fonts' own is 1480 of 2048.
	if high := paper.Body * 1480 / 2048; high < 2.5 {
		t.Errorf("a capital is %.3f mm high", high)
	}
}

// Scales are those of ISO 5455, and the least reduction that goes in.
func TestScaleFor(t *testing.T) {
	room := plane.Point{X: 250, Y: 150}
	for _, c := range []struct {
		w, h, want float64
	}{{250, 150, 1}, {251, 10, 2}, {10, 301, 5}, {1250, 750, 5}, {1251, 10, 10}, {2501, 1, 20}, {1e9, 1, 1000}} {
		if got := paper.ScaleFor(plane.Point{X: c.w, Y: c.h}, room); got != c.want {
			t.Errorf("%v × %v at 1:%v, want 1:%v", c.w, c.h, got, c.want)
		}
	}
	if got := paper.EnlargedFor(plane.Point{X: 10, Y: 10}, room); paper.ScaleName(got) != "10:1" {
		t.Errorf("a detail of 10 mm is drawn at %s", paper.ScaleName(got))
	}
}

func TestParseSheet(t *testing.T) {
	if s, err := paper.ParseSheet("letter"); err != nil || s != paper.Letter {
		t.Errorf("letter is %v, %v", s, err)
	}
	if _, err := paper.ParseSheet("A5"); err == nil || !strings.Contains(err.Error(), "A4, Letter, A3") {
		t.Errorf("A5: %v", err)
	}
}

func TestWrap(t *testing.T) {
	s := paper.Style{}
	for _, text := range []string{"", "one", "a row of words that goes on and on", "oneverylongwordthatnothingbreaks and more"} {
		var words []string
		for _, l := range paper.Wrap(text, s, 30) {
			if s.Width(l) > 30 {
				t.Errorf("%q is %.1f wide", l, s.Width(l))
			}
			words = append(words, l)
		}
		if got := strings.ReplaceAll(strings.Join(words, ""), " ", ""); got != strings.ReplaceAll(text, " ", "") {
			t.Errorf("%q became %q", text, words)
		}
	}
	if short := paper.Shorten("a name much longer than its box", s, 30); s.Width(short) > 30 || !strings.HasPrefix(short, "a name") || !strings.HasSuffix(short, "box") {
		t.Errorf("shortened to %q", short)
	}
}

// A sign without a letter is drawn as its number, and told.
func TestLackingSigns(t *testing.T) {
	doc := &paper.Document{Name: "x"}
	p := doc.Add(&paper.Page{Sheet: paper.A4, Title: paper.Title{Design: "椅子 Ø"}})
	p.Text(paper.Label{Text: "leg 椅", At: plane.Point{X: 50, Y: 50}})
	if err := doc.PDF(new(bytes.Buffer)); err != nil {
		t.Fatal(err)
	}
	if got := string(doc.Lacking()); got != "椅子" {
		t.Errorf("lacking %q", got)
	}
	var svg bytes.Buffer
	if err := p.SVG(&svg); err != nil || !strings.Contains(svg.String(), "leg [U+6905]<") {
		t.Errorf("the picture does not tell the sign's number: %v", err)
	}
}

// A table goes on over pages, each with its head, no row lost and nothing over anything;
// a row that is higher than a page goes on too.
func TestTableGoesOn(t *testing.T) {
	doc := &paper.Document{Name: "table"}
	f := &paper.Flow{Doc: doc, Title: "List", New: func() *paper.Page { return &paper.Page{Sheet: paper.A4} }}
	table := paper.Table{Columns: []paper.Column{{Head: "n", Right: true}, {Head: "what"}, {Head: "done", Tick: true}}}
	for i := range 120 {
		table.Rows = append(table.Rows, []string{fmt.Sprint(i), strings.Repeat(fmt.Sprintf("word%d ", i), 1+i%30), ""})
	}
	table.Rows = append(table.Rows, []string{"120", strings.Repeat("endless ", 2000), ""})
	f.Table(table)
	doc.Finish()
	if len(doc.Pages) < 5 {
		t.Fatalf("%d pages", len(doc.Pages))
	}
	all := ""
	for i, p := range doc.Pages {
		for _, c := range p.Clashes() {
			t.Errorf("page %d: %q over %q at %v", i+1, c.Text, c.Over, c.At)
		}
		var svg bytes.Buffer
		if err := p.SVG(&svg); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(svg.String(), ">what</text>") {
			t.Errorf("page %d has no head", i+1)
		}
		all += svg.String()
	}
	for i := range 120 {
		if n := strings.Count(all, fmt.Sprintf("word%d<", i)) + strings.Count(all, fmt.Sprintf("word%d ", i)); n != 1+i%30 {
			t.Errorf("row %d is there with %d of %d words", i, n, 1+i%30)
		}
	}
	if n := strings.Count(all, "endless"); n != 2000 {
		t.Errorf("of the long row %d of 2000 words are there", n)
	}
}

// Names longer than their boxes leave a title block that reads, on every sheet.
func TestTitleBlockHoldsLongNames(t *testing.T) {
	long := strings.Repeat("a very long name ", 20)
	for _, s := range append(paper.Sheets(), paper.A4.Turned(), paper.Letter.Turned(), paper.A3.Turned()) {
		doc := &paper.Document{}
		p := doc.Add(&paper.Page{Sheet: s, Title: paper.Title{Design: long, Revision: long, Size: long, Blank: long, Count: long, Material: long, Mass: long,
			Tolerance: long, Units: long, Scale: long, Projection: paper.FirstAngle, Shop: long, Source: long, Date: long}})
		doc.Finish()
		if a := p.Area().Size(); a.X < 150 || a.Y < 100 {
			t.Errorf("%s %v: there is left %v", s.Name, s, a)
		}
		for _, c := range p.Clashes() {
			t.Errorf("%s %v: %q over %q", s.Name, s, c.Text, c.Over)
		}
	}
}

// A label that is placed meets no line, arc, text or reserved place; one set by force is told.
func TestPlaceAndClashes(t *testing.T) {
	p := &paper.Page{Sheet: paper.A4}
	centre := plane.Point{X: 100, Y: 100}
	p.Outline(paper.Thin, true, plane.Circle(40).Transform(plane.Affine{A: 1, D: 1, E: 100, F: 100}))
	at := func(x, y float64) paper.Label { return paper.Label{Text: "edge"}.On(plane.Point{X: x, Y: y}) }
	for deg := 0; deg < 360; deg += 15 {
		a := float64(deg) * math.Pi / 180
		if p.Fits(at(100+20*math.Cos(a), 100+20*math.Sin(a))) {
			t.Errorf("a label fits on the circle at %d°", deg)
		}
	}
	if p.Place(at(120, 100), at(100, 100)) != 1 || p.Place(at(100, 100)) != -1 {
		t.Error("the second place is free once")
	}
	p.Reserve(plane.Box{Min: plane.Point{X: 20, Y: 20}, Max: plane.Point{X: 60, Y: 60}})
	if p.Fits(at(40, 40)) || p.Fits(at(11, 150)) {
		t.Error("a label fits in a reserved place or over the margin")
	}
	if len(p.Clashes()) != 0 {
		t.Error(p.Clashes())
	}
	p.Text(at(centre.X, centre.Y+1))
	rising := at(120, 100)
	rising.Rising = true
	p.Text(rising.On(plane.Point{X: 120, Y: 100}))
	if got := p.Clashes(); len(got) != 2 {
		t.Errorf("clashes: %v", got)
	}
}

func TestPDFRefuses(t *testing.T) {
	if err := (&paper.Document{}).PDF(new(bytes.Buffer)); err == nil {
		t.Error("a document without a page was written")
	}
	doc := &paper.Document{}
	doc.Add(&paper.Page{Sheet: paper.A4}).Line(paper.Thin, plane.Point{}, plane.Point{X: math.Inf(1)})
	if err := doc.PDF(new(bytes.Buffer)); err == nil {
		t.Error("an endless line was written")
	}
}

func TestSameBytesAndDate(t *testing.T) {
	make := func(date time.Time) []byte {
		doc := &paper.Document{Name: "Stool", Date: date}
		for range 3 {
			sample(doc)
		}
		var out bytes.Buffer
		if err := doc.PDF(&out); err != nil {
			t.Fatal(err)
		}
		return out.Bytes()
	}
	a := make(time.Time{})
	if !bytes.Equal(a, make(time.Time{})) {
		t.Error("the same document twice has other bytes")
	}
	if !bytes.Contains(a, []byte("D:19700101")) || !bytes.Contains(make(time.Date(2031, 5, 4, 0, 0, 0, 0, time.UTC)), []byte("D:20310504")) {
		t.Error("the file does not say its date")
	}
}

// sample draws a page with something of everything.
func sample(doc *paper.Document) *paper.Page {
	p := doc.Add(&paper.Page{Sheet: paper.A4.Landscape(), Bookmark: "sample", Title: paper.Title{Design: "Workshop stool", Revision: "C", Size: "mid", Blank: "leg",
		Count: "2 as drawn, 2 mirrored", Material: "mild steel 1.5 mm", Mass: "0.61 kg", Tolerance: "± 0.5 mm", Units: "mm", Scale: "1:5",
		Projection: paper.FirstAngle, Shop: "Sample shop", Source: "0123abcd"}})
	p.Outline(paper.Visible, true, plane.RectAt(plane.Point{X: 50, Y: 40}, plane.Point{X: 150, Y: 100}))
	for i, pen := range []paper.Pen{paper.Thin, paper.Hidden, paper.Chain, paper.Double} {
		p.Line(pen, plane.Point{X: 50, Y: 50 + float64(i)*5}, plane.Point{X: 150, Y: 50 + float64(i)*5})
	}
	p.Outline(paper.Thin, true, plane.Slot(40, 12).Transform(plane.Affine{A: 1, D: 1, E: 100, F: 85}))
	p.Arrow(paper.Thin, plane.Point{X: 170, Y: 100}, plane.Point{X: 170, Y: 40}, 3)
	rising := paper.Label{Text: "60", Rising: true}
	p.Text(rising.On(plane.Point{X: 167, Y: 70}))
	p.Text(paper.Label{Text: "⌀ 4.9 × 3, ± ½, → ok (front left)", At: plane.Point{X: 50, Y: 120}})
	p.Title.Ruler = measure.Millimetres
	return p
}
