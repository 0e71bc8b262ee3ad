package packet_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"perch/parts/blankpage"
	"perch/parts/brake"
	"perch/parts/joining"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/packet"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/record/bracket"
	"perch/parts/record/stool"
	"perch/parts/shop"
	"perch/parts/solid"
	"perch/parts/tolerance"
)

func of(a *panel.Assembly) *packet.Packet {
	return &packet.Packet{Job: &blankpage.Job{Assembly: a, Names: naming.Of(a), Sheet: paper.A4, Shop: shop.Default()}}
}

func Example() {
	doc := &paper.Document{Name: "brackets"}
	if err := of(bracket.Assembly()).Add(doc); err != nil {
		fmt.Println(err)
	}
	for _, p := range doc.Pages {
		if p.Bookmark != "" {
			fmt.Println(p.Bookmark)
		}
	}
	// Output:
	// cover
	// to buy and to fetch
	// angle
	// plate
	// finish and check
}

// Two hundred different blanks make a packet that reads: a page for each, none over another.
func TestManyBlanks(t *testing.T) {
	a := bracket.Assembly()
	first := a.Blanks[0]
	for i := range 200 {
		b := *first
		b.Name = fmt.Sprintf("%s_%d", strings.Repeat("long", i%40), i)
		a.Blanks = append(a.Blanks, &b)
		a.Copies = append(a.Copies, panel.Copy{Name: b.Name, Blank: len(a.Blanks) - 1, Matrix: a.Copies[0].Matrix})
	}
	doc := &paper.Document{}
	if err := of(a).Add(doc); err != nil {
		t.Fatal(err)
	}
	doc.Finish()
	if len(doc.Pages) < 203 {
		t.Errorf("%d pages", len(doc.Pages))
	}
	for i, p := range doc.Pages {
		for _, c := range p.Clashes() {
			t.Errorf("page %d: %q lies on %q", i+1, c.Text, c.Over)
		}
	}
	var b bytes.Buffer
	if err := doc.PDF(&b); err != nil || b.Len() > 20<<20 {
		t.Errorf("%d bytes, %v", b.Len(), err)
	}
}

// What is to be bought adds up to the assembly's own fasteners and areas: counted here from its
// joins, and by hand: an angle of 2 mm and a plate, see parts/record/bracket.
func TestToBuy(t *testing.T) {
	a := bracket.Assembly()
	rivets := 0
	for _, j := range a.Joins {
		if j.Kind == "rivet" {
			rivets++
		}
	}
	p := of(a)
	p.Paper.System = measure.Millimetres
	doc := &paper.Document{}
	if err := p.Add(doc); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(doc.Pages, func(q *paper.Page) bool { return q.Bookmark == "to buy and to fetch" })
	var svg bytes.Buffer
	if err := doc.Pages[i].SVG(&svg); err != nil {
		t.Fatal(err)
	}
	if rivets == 0 || !strings.Contains(svg.String(), fmt.Sprintf(">%d</text>", rivets)) || !strings.Contains(svg.String(), "blind rivet") {
		t.Errorf("%d rivets are not on the list", rivets)
	}
}

// The page on holes tells of every join what parts/tolerance found, of which blanks it is, and how
// four feet come to stand.
func TestHolesThatMeet(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	v := tolerance.View{
		PlusMinus: tolerance.PlusMinus{Angle: 1.5, Line: 0.5, Drilled: 0.3, Cut: 0.5},
		Joins:     []tolerance.JoinView{{Join: a.Joins[0].Join, Kind: "rivet", Locate: 2, InPlace: 14, Misfit: 0.7, Room: 0.1, Force: 123, Lands: 1.25}},
		Feet:      &tolerance.Feet{Count: 4, Rock: 2.5, Levelled: 0.5, Holes: true}, Together: 0.97,
	}
	p := of(a)
	p.Fits = &v
	doc := &paper.Document{}
	if err := p.Add(doc); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(doc.Pages, func(q *paper.Page) bool { return q.Bookmark == "holes that meet" })
	if i < 0 {
		t.Fatal("there is no page on holes that meet")
	}
	text := strings.Join(doc.Pages[i].Written(), " ")
	for _, want := range []string{"Bends are off by ± 1.5°", "cap, leg", "14", "123 N", "1.25", "may be 2.5 mm off the floor", "it is 0.5 mm", "at least 97 of 100"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on it:\n%s", want, text)
		}
	}

	v.PlusMinus = tolerance.PlusMinus{} // a shop that says nothing is ever off
	doc = &paper.Document{}
	if err := p.Add(doc); err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(doc.Pages[i].Written(), " "); !strings.Contains(text, "no real shop's is") || strings.Contains(text, "± 0") {
		t.Errorf("nothing is said of metal that is never off:\n%s", text)
	}
}

// A step that welds numbers its tacks in a picture, and its words call them by these numbers, in the
// order that parts/joining gives.
func TestNumberedTacks(t *testing.T) {
	a := bracket.Assembly()
	a.Joins = slices.Clone(a.Joins)
	for i := range a.Joins {
		j := &a.Joins[i]
		j.Kind, j.Name = "tack", fmt.Sprintf("seam.%d", i+1)
		j.Line = &[2]solid.Vec{j.At, j.At.Add(solid.Vec{X: 6})}
	}
	p := of(a)
	plan := joining.New(a, p.Shop)
	p.Together = &plan
	doc := &paper.Document{}
	if err := p.Add(doc); err != nil {
		t.Fatal(err)
	}
	var text []string
	for _, q := range doc.Pages {
		if q.Bookmark == "joining" || q.Title.Blank == "Joining" {
			text = append(text, q.Written()...)
		}
	}
	tacks := 0
	for _, s := range plan.Steps {
		tacks = max(tacks, len(s.Tacks))
	}
	all := strings.Join(text, "\n")
	if tacks == 0 || strings.Contains(all, "seam") {
		t.Errorf("%d tacks, called as in the design:\n%s", tacks, all)
	}
	for n := 1; n <= tacks; n++ {
		if !slices.Contains(text, fmt.Sprint(n)) {
			t.Errorf("tack %d is not in the picture", n)
		}
	}
}

// Names that go into no box leave pages that read, those on bending, joining and sheets too.
func TestNamesLongerThanTheirBox(t *testing.T) {
	a, err := stool.Assembly()
	if err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("a name that has no end ", 12)
	a.Design, a.Size, a.Revision = long, long, long
	for i := range a.Blanks {
		a.Blanks[i].Name = long + a.Blanks[i].Name
		for k := range a.Blanks[i].Flat.Faces {
			a.Blanks[i].Flat.Faces[k].Name = long + a.Blanks[i].Flat.Faces[k].Name
		}
	}
	for i := range a.Copies {
		a.Copies[i].Name = long + a.Copies[i].Name
	}
	for i := range a.Joins {
		a.Joins[i].Join = long
	}
	p := of(a)
	plan := joining.New(a, p.Shop)
	p.Together, p.Plans = &plan, brake.All(a, p.Shop)
	v := tolerance.NewView(a, p.Shop)
	p.Fits, p.Why, p.Costs = &v, long, []string{long}
	doc := &paper.Document{Name: long}
	if err := p.Add(doc); err != nil {
		t.Fatal(err)
	}
	doc.Finish()
	for i, q := range doc.Pages {
		for _, c := range q.Clashes() {
			t.Errorf("page %d, %.20s: %.40q lies on %.40q at %.0f", i+1, q.Title.Blank, c.Text, c.Over, c.At)
		}
	}
}
