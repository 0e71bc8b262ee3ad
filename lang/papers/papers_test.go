package papers_test

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/load"
	"perch/lang/papers"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/paper"
	"perch/parts/plane"
	"perch/parts/shop"
)

const examples = "../../examples"

// opened is a design's job.
func opened(t testing.TB, file string) papers.Job {
	t.Helper()
	facts := shop.Default()
	p, ds, err := load.Design(file, facts)
	if err != nil || diag.HasErrors(ds) {
		t.Fatal(file, err, ds)
	}
	return papers.Job{Job: family.Job{Program: p, File: file, Shop: facts}, Options: papers.Options{Sheet: paper.A4}}
}

// packets are the pages of a design's sizes.
func packets(t testing.TB, j papers.Job) []*paper.Document {
	t.Helper()
	results, ds := j.Results()
	if diag.HasErrors(ds) {
		t.Fatal(j.File, ds)
	}
	var out []*paper.Document
	for _, r := range results {
		out = append(out, packetOf(t, j, r))
	}
	return out
}

func packetOf(t testing.TB, j papers.Job, r *build.Result) *paper.Document {
	t.Helper()
	doc, err := j.Packet(context.Background(), r)
	if err != nil {
		t.Fatal(j.File, r.Size, err)
	}
	return doc
}

// designs are all examples' files.
func designs(t testing.TB) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(examples, func(path string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ".perch") && !strings.HasPrefix(filepath.Base(path), "starter") {
			out = append(out, path)
		}
		return err
	})
	if err != nil || len(out) < 15 {
		t.Fatal(err, out)
	}
	return out
}

// codeName is how the language writes names: of two words, of a copy by its number, of a face by its
// part.
var codeName = regexp.MustCompile(`[A-Za-z0-9]+_[A-Za-z0-9]+|[a-z]\w*\.\d+|[a-z]\w*[a-z]\.[a-z]{4,}`)

// On no page of any example lies text on anything, none lacks a letter, and none calls a thing as
// the design's text does: of one size here, of all where other readers are asked.
func TestPagesOfEveryExample(t *testing.T) {
	for _, file := range designs(t) {
		if testing.Short() && !strings.Contains(file, "stool") {
			continue
		}
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			j := opened(t, file)
			j.Sizes = build.Sizes(j.Program)[:1]
			for _, doc := range packets(t, j) {
				doc.Finish()
				readable(t, doc)
			}
		})
	}
}

// readable looks at a finished document's pages.
func readable(t *testing.T, doc *paper.Document) {
	t.Helper()
	for i, p := range doc.Pages {
		for _, c := range p.Clashes() {
			t.Errorf("%s, page %d, %s: %q lies on %q at %.1f", doc.Name, i+1, p.Title.Blank, c.Text, c.Over, c.At)
		}
		for _, text := range p.Written() {
			if name := codeName.FindString(text); name != "" {
				t.Errorf("%s, page %d, %s: %q calls something %q, which nobody at a bench does", doc.Name, i+1, p.Title.Blank, text, name)
			}
		}
	}
	if l := doc.Lacking(); len(l) > 0 {
		t.Errorf("%s: no letter for %q", doc.Name, string(l))
	}
}

// The packet of the mid stool is small, and the same bytes each time.
func TestPacketOfTheStool(t *testing.T) {
	var first []byte
	for range 2 {
		j := opened(t, filepath.Join(examples, "stool", "stool.perch"))
		j.Sizes = []string{"mid"}
		var b bytes.Buffer
		if err := packets(t, j)[0].PDF(&b); err != nil {
			t.Fatal(err)
		}
		if first != nil && !bytes.Equal(first, b.Bytes()) {
			t.Error("the packet has other bytes the second time")
		}
		first = b.Bytes()
	}
	if len(first) > 3<<20 {
		t.Errorf("it has %d bytes", len(first))
	}
}

func BenchmarkPacket(b *testing.B) {
	for b.Loop() {
		j := opened(b, filepath.Join(examples, "stool", "stool.perch"))
		j.Sizes = []string{"mid"}
		if err := packets(b, j)[0].PDF(new(bytes.Buffer)); err != nil {
			b.Fatal(err)
		}
	}
}

func Example() {
	file := filepath.Join(examples, "wall_hook", "wall_hook.perch")
	facts := shop.Default()
	program, _, _ := load.Design(file, facts)
	j := papers.Job{Job: family.Job{Program: program, File: file, Shop: facts}, Options: papers.Options{Sheet: paper.A4}}
	results, _ := j.Results()
	doc, err := j.Packet(context.Background(), results[0])
	if err != nil {
		fmt.Println(err)
	}
	for _, p := range doc.Pages[:3] {
		fmt.Println(p.Bookmark)
	}
	// Output:
	// cover
	// to buy and to fetch
	// sheet 1 of 1
}

// A flat that lies aslant is turned on its page: the locker's foot is as large there as the least
// rectangle around it, found here along each of its edges in turn.
func TestAslantFlatsAreTurned(t *testing.T) {
	j := opened(t, filepath.Join(examples, "locker", "locker.perch"))
	results, _ := j.Results()
	r := results[0]
	i := slices.IndexFunc(r.Assembly.Blanks, func(b *panel.Blank) bool { return b.Name == "foot" })
	b := r.Assembly.Blanks[i]
	least := plane.Point{X: math.Inf(1), Y: 1}
	for _, e := range b.Flat.Outer.Edges() {
		u := e.To.Sub(e.From).Unit()
		box := plane.EmptyBox()
		for _, v := range b.Flat.Outer {
			box = box.With(plane.Point{X: v.P.Dot(u), Y: v.P.Cross(u)})
		}
		if s := box.Size(); s.X*s.Y < least.X*least.Y {
			least = s
		}
	}
	doc, err := j.Drawing(r, r.Assembly.Blanks[i:i+1])
	if err != nil {
		t.Fatal(err)
	}
	var svg bytes.Buffer
	if err := doc.SVG(&svg); err != nil {
		t.Fatal(err)
	}
	for _, mm := range []float64{least.X, least.Y} {
		if text := (measure.Paper{}).Overall(mm); !strings.Contains(svg.String(), ">"+text+"</text>") {
			t.Errorf("%s is not on the page", text)
		}
	}
	if !strings.Contains(svg.String(), "from the drawing for cutting") {
		t.Error("it is not said that the flat is turned")
	}
}

// The cover tells what a piece costs as far as the shop's file does: two sheets of the mid stool at
// 100 each, 88 rivets at 0.1, and no hour of a table.
func TestCosts(t *testing.T) {
	j := opened(t, filepath.Join(examples, "stool", "stool.perch"))
	j.Sizes = []string{"mid"}
	cover := func() string {
		text := strings.Join(packets(t, j)[0].Pages[0].Written(), " ")
		return text[max(0, strings.Index(text, "together.")):]
	}
	if text := cover(); !strings.Contains(text, "together. What it costs is not known") {
		t.Errorf("without prices: %.120q", text)
	}
	facts := *j.Shop
	facts.Currency = "crowns"
	facts.Sheets, facts.Rivets = slices.Clone(facts.Sheets), slices.Clone(facts.Rivets)
	for i := range facts.Sheets {
		facts.Sheets[i].Price = 100
	}
	for i := range facts.Rivets {
		facts.Rivets[i].Price = 0.1
	}
	j.Shop = &facts
	if text := cover(); !strings.Contains(text, "sheets 200.00, fasteners 8.80, in all 208.80 crowns") || !strings.Contains(text, "the table (no price)") {
		t.Errorf("with prices: %.200q", text)
	}
}

// A shop that stocks no rivets gets pages all the same, which say what is to be fetched and that
// the shop has none.
func TestShopWithoutRivets(t *testing.T) {
	j := opened(t, filepath.Join(examples, "stool", "stool.perch"))
	j.Sizes = []string{"mid"}
	facts := *j.Shop
	facts.Rivets, facts.Solid, facts.Bolts = nil, nil, nil
	j.Shop = &facts
	doc := packets(t, j)[0]
	doc.Finish()
	readable(t, doc)
	text := strings.Join(doc.Pages[1].Written(), " ")
	if !strings.Contains(text, "blind rivet") || !strings.Contains(text, "the shop lists none") {
		t.Errorf("it does not say that there are no rivets: %s", text)
	}
}

// A press's bending pages speak of punch and die, never of a leaf brake's clamp, leaf and fingers.
func TestPressPages(t *testing.T) {
	j := opened(t, filepath.Join(examples, "stool", "stool.perch"))
	j.Sizes = []string{"mid"}
	facts, err := shop.Load("[brake]\nkind = \"v_die\"\n")
	if err != nil {
		t.Fatal(err)
	}
	j.Shop = facts
	doc := packets(t, j)[0]
	doc.Finish()
	readable(t, doc)
	pages := 0
	for _, page := range doc.Pages {
		text := strings.Join(page.Written(), " ")
		if !strings.HasPrefix(text, "Bending ") {
			continue
		}
		pages++
		if !strings.Contains(text, "press to") || !strings.Contains(text, "straight") && !strings.Contains(text, "gooseneck") {
			t.Errorf("it does not tell how to press: %.300q", text)
		}
		for _, leaf := range []string{"clamp", "leaf", "fingers", "pull to"} {
			if strings.Contains(text, leaf) {
				t.Errorf("it speaks of a leaf brake's %s: %.300q", leaf, text)
			}
		}
	}
	if pages == 0 {
		t.Error("there are no bending pages")
	}
}
