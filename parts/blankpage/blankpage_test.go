package blankpage_test

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/parts/blankpage"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
	"perch/parts/shop"
)

func job(a *panel.Assembly, sheet paper.Sheet) *blankpage.Job {
	return &blankpage.Job{Assembly: a, Names: naming.Of(a), Sheet: sheet, Shop: shop.Default(), Projection: paper.FirstAngle}
}

func Example() {
	a := bracket.Assembly()
	doc := &paper.Document{Name: a.Design}
	for i := range a.Blanks {
		if err := job(a, paper.A4).Add(doc, i); err != nil {
			fmt.Println(err)
		}
	}
	for _, p := range doc.Pages {
		fmt.Println(p.Bookmark, "–", p.Title.Count, "–", p.Title.Material, "–", p.Title.Scale)
	}
	// Output:
	// angle – 2: 1 as drawn, 1 mirrored – mild steel 2 mm – 1:1
	// plate – 2: 1 as drawn, 1 mirrored – mild steel 2 mm – 2:1
}

// drawn gives the pages of all blanks of an assembly.
func drawn(t *testing.T, j *blankpage.Job) *paper.Document {
	t.Helper()
	doc := &paper.Document{Name: "x"}
	for i := range j.Assembly.Blanks {
		if err := j.Add(doc, i); err != nil {
			t.Fatal(err)
		}
	}
	doc.Finish()
	return doc
}

// clear reports every text that lies on something.
func clear(t *testing.T, doc *paper.Document) {
	t.Helper()
	for i, p := range doc.Pages {
		for _, c := range p.Clashes() {
			t.Errorf("page %d, %s: %q lies on %q at %.1f", i+1, p.Title.Blank, c.Text, c.Over, c.At)
		}
	}
}

func assembled(t *testing.T) *panel.Assembly {
	t.Helper()
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// On every paper, in both systems and projections, no text lies on anything.
func TestNothingLiesOnText(t *testing.T) {
	for _, sheet := range paper.Sheets() {
		for _, system := range []measure.System{measure.Millimetres, measure.Inches} {
			for _, a := range []*panel.Assembly{assembled(t), bracket.Assembly()} {
				j := job(a, sheet)
				j.Paper.System = system
				if system == measure.Inches {
					j.Projection = paper.ThirdAngle
				}
				clear(t, drawn(t, j))
			}
		}
	}
}

// A ruler that is coarser than the part is not used for it, and that is said.
func TestCoarseRuler(t *testing.T) {
	j := job(bracket.Assembly(), paper.A4)
	j.Paper.Ruler = measure.Ruler{Division: 50}
	text := said(t, drawn(t, j))
	if !strings.Contains(text, "is too coarse for this part") {
		t.Error("nothing is said of the ruler")
	}
}

func said(t *testing.T, doc *paper.Document) string {
	t.Helper()
	var b bytes.Buffer
	for _, p := range doc.Pages {
		if err := p.SVG(&b); err != nil {
			t.Fatal(err)
		}
	}
	return b.String()
}

// A name that is longer than the page is wide leaves pages that read.
func TestLongNames(t *testing.T) {
	a := bracket.Assembly()
	long := strings.Repeat("a_name_without_an_end_", 20)
	a.Design = long
	for _, b := range a.Blanks {
		b.Name = long + b.Name
		for i := range b.Flat.Faces {
			b.Flat.Faces[i].Name = long + b.Flat.Faces[i].Name
		}
		b.Like = []panel.Likeness{{Blank: long, Differs: []measure.Text{measure.Plain(long)}}}
	}
	clear(t, drawn(t, job(a, paper.A4)))
}

func TestNoOutline(t *testing.T) {
	a := bracket.Assembly()
	j := job(a, paper.A4)
	a.Blanks[0].Flat = &panel.Flat{}
	if err := j.Add(&paper.Document{}, 0); err == nil || !strings.Contains(err.Error(), a.Blanks[0].Name) {
		t.Errorf("a blank without outline: %v", err)
	}
}

// Each bend is told by its number, way and angle on the drawing or by a note, and stands in
// the table; each face that hangs has its u; marked text is scribed and said.
func TestWhatIsTold(t *testing.T) {
	a := assembled(t)
	b := a.Blanks[0]
	root := b.Flat.Root
	b.Flat.Marks = append(b.Flat.Marks, panel.FlatMark{Face: root, Mark: panel.Mark{Kind: panel.MarkText, Text: "L<4", At: b.Flat.Faces[root].Loop.Centroid(), Dir: plane.Point{Y: 1}, Height: 6}})
	b.Order = []int{2, 0, 1, 3}
	doc := &paper.Document{}
	if err := job(a, paper.A4).Add(doc, 0); err != nil {
		t.Fatal(err)
	}
	text := said(t, doc)
	for n, i := range b.Order {
		f := b.Flat.Folds[i]
		way := map[bool]string{true: "down", false: "up"}[f.Down]
		if !strings.Contains(text, fmt.Sprintf(">%d %s", n+1, way)) && !strings.Contains(text, fmt.Sprintf("Bend %d is not written", n+1)) {
			t.Errorf("bend %d is not told", n+1)
		}
	}
	if !strings.Contains(text, "scribe “L&lt;4”") {
		t.Error("the marked text is not said")
	}
	hung := 0
	for _, f := range b.Flat.Folds {
		if _, ok := b.Flat.Along(f.B); ok {
			hung++
		}
	}
	if n := strings.Count(text, ">u</text>"); n != hung {
		t.Errorf("%d of %d faces show their u", n, hung)
	}
}

// plate is the bracket's plate with an outline, openings and points of a test's own.
func plate(outer plane.Loop, inner plane.Region, points []panel.Point) (*panel.Assembly, int) {
	a := bracket.Assembly()
	i := slices.IndexFunc(a.Blanks, func(b *panel.Blank) bool { return b.Name == "plate" })
	b, f := *a.Blanks[i], *a.Blanks[i].Flat
	f.Outer, f.Inner, f.Points = outer, inner, points
	f.Faces = slices.Clone(f.Faces)
	f.Faces[f.Root].Loop = outer
	b.Flat, a.Blanks[i] = &f, &b
	return a, i
}

// Of what is crowded on the drawing there is a detail with a letter, which stands at a frame on the
// drawing too, and nothing is listed that it tells. The sizes in a detail are those from the
// corner of the whole flat: a long plate with two nests of holes 3 mm and 4 mm apart.
func TestDetails(t *testing.T) {
	var points []panel.Point
	for i := range 8 {
		for _, at := range []plane.Point{{X: 20, Y: 20}, {X: 1400, Y: 60}} {
			at = at.Add(plane.Point{X: float64(3 * i), Y: float64(4 * i)})
			points = append(points, panel.Point{Name: fmt.Sprintf("p.%d.%.0f", i, at.X), At: at, Diameter: 2, Kind: panel.Drill})
		}
	}
	a, i := plate(plane.RectAt(plane.Point{}, plane.Point{X: 1500, Y: 120}), nil, points)
	doc := &paper.Document{}
	if err := job(a, paper.A4).Add(doc, i); err != nil {
		t.Fatal(err)
	}
	clear(t, doc)
	detail := regexp.MustCompile(`^Detail ([A-D]), 1:[125]$`)
	letters := map[string]int{}
	var rest []string
	for i, p := range doc.Pages {
		for _, text := range p.Written() {
			if m := detail.FindStringSubmatch(text); m != nil {
				letters[m[1]]++
			} else if i == 0 {
				rest = append(rest, text)
			}
		}
	}
	if len(letters) != 2 {
		t.Errorf("there are the details %v", letters)
	}
	for l, n := range letters {
		if n != 1 || !slices.Contains(rest, l) {
			t.Errorf("detail %s is there %d times, and on the drawing: %v", l, n, slices.Contains(rest, l))
		}
	}
	text := said(t, doc)
	if strings.Contains(text, "Places that the drawing has no room for") {
		t.Error("places are listed that details tell")
	}
	for _, p := range points {
		for _, mm := range []float64{p.At.X, p.At.Y} {
			if s := fmt.Sprintf(">%.0f</text>", mm); !strings.Contains(text, s) {
				t.Errorf("%s of %s is on no page", s, p.Name)
			}
		}
	}
}

// Every radius of the outline and of openings is told once, with how many there are of it: a
// rectangle with rounded corners of 8 and a slot of 12, drawn here.
func TestRadii(t *testing.T) {
	const quarter = 0.41421356237309503 // tan of a quarter of 90°
	outer := plane.Loop{{P: plane.Point{X: 8}}, {P: plane.Point{X: 192}, Bulge: quarter}, {P: plane.Point{X: 200, Y: 8}}, {P: plane.Point{X: 200, Y: 92}, Bulge: quarter},
		{P: plane.Point{X: 192, Y: 100}}, {P: plane.Point{X: 8, Y: 100}, Bulge: quarter}, {P: plane.Point{Y: 92}}, {P: plane.Point{Y: 8}, Bulge: quarter}}
	slot := plane.Region{{{P: plane.Point{X: 60, Y: 44}, Bulge: -1}, {P: plane.Point{X: 60, Y: 56}}, {P: plane.Point{X: 140, Y: 56}, Bulge: -1}, {P: plane.Point{X: 140, Y: 44}}}}
	a, i := plate(outer, slot, nil)
	doc := &paper.Document{}
	if err := job(a, paper.A4).Add(doc, i); err != nil {
		t.Fatal(err)
	}
	text := said(t, doc)
	for _, want := range []string{"4 × R 8", "2 × R 6"} {
		if strings.Count(text, ">"+want+"</text>") != 1 {
			t.Errorf("%q is not told once", want)
		}
	}
}

// What differs from a blank that looks alike is ringed on the drawing with a number, and said
// beside that number in words of people.
func TestDifferencesAreDrawn(t *testing.T) {
	a, i := plate(plane.RectAt(plane.Point{}, plane.Point{X: 200, Y: 100}), nil, nil)
	a.Blanks[i].Like = []panel.Likeness{{Blank: "gusset.2", At: []plane.Point{{X: 150, Y: 30}, {X: 40, Y: 60}},
		Differs: []measure.Text{measure.Plain("hole rivet_row.3 lies 1.3 mm elsewhere"), measure.Plain("drill brace.1.2 is 4.9 across")}}}
	doc := &paper.Document{}
	if err := job(a, paper.A4).Add(doc, i); err != nil {
		t.Fatal(err)
	}
	clear(t, doc)
	if l := doc.Lacking(); len(l) > 0 {
		t.Errorf("no letter for %q", string(l))
	}
	text := said(t, doc)
	for _, want := range []string{">≠1</text>", ">≠2</text>", "≠1 hole rivet row (3) lies 1.3 mm", "≠2 drill brace (1.2) is"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
}
