package packet_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"perch/parts/blankpage"
	"perch/parts/measure"
	"perch/parts/naming"
	"perch/parts/packet"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/record/bracket"
	"perch/parts/shop"
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
