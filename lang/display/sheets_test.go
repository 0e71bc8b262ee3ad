package display_test

import (
	"slices"
	"testing"

	"perch/lang/display"
	"perch/parts/page"
	"perch/parts/shop"
)

// facts are those of the page of the stool's middle size, made at a shop.
func facts(t *testing.T, at *shop.Shop) map[string]string {
	t.Helper()
	j := job(t, example(t, "stool"))
	j.Shop, j.Sizes = at, []string{"mid"}
	doc, diags, err := display.Page(t.Context(), j, display.Options{Sheets: true})
	if err != nil || doc == nil {
		t.Fatal(err, diags)
	}
	out := map[string]string{}
	for _, f := range doc.Sizes[0].Facts {
		out[f.Name] = f.Text
	}
	return out
}

// The page tells what a piece costs as far as the shop's file does, and names what has no price:
// two sheets at 100 each and 88 rivets at 0.1 are 208.80.
func TestCost(t *testing.T) {
	if got, want := facts(t, shop.Default())["cost"], "not known: the shop file tells no prices of sheets, the table, fasteners"; got != want {
		t.Errorf("without prices: %q, not %q", got, want)
	}
	priced := *shop.Default()
	priced.Currency = "crowns"
	priced.Sheets, priced.Rivets = slices.Clone(priced.Sheets), slices.Clone(priced.Rivets)
	for i := range priced.Sheets {
		priced.Sheets[i].Price = 100
	}
	for i := range priced.Rivets {
		priced.Rivets[i].Price = 0.1
	}
	got := facts(t, &priced)
	if want := "sheets 200.00, fasteners 8.80, in all 208.80 crowns"; got["cost, an estimate"] != want {
		t.Errorf("with prices: %q, not %q", got["cost, an estimate"], want)
	}
	if want := "bending, joining, coating, your hours, the table (no price)"; got["left out of it"] != want {
		t.Errorf("left out: %q, not %q", got["left out of it"], want)
	}
}

// Lengths of flats are written as on paper, by the shop's ruler or to 0.01 mm.
func TestFlatsAreWrittenAsOnPaper(t *testing.T) {
	doc := document(t, example(t, "stool"), display.Options{})
	j := job(t, example(t, "stool"))
	paper := j.Output(false).Paper
	results, _ := j.Results()
	for i, b := range results[0].Assembly.Blanks {
		w, h := b.Flat.Size()
		of := page.Blank{}
		for _, x := range doc.Sizes[0].Blanks {
			if x.Name == b.Name {
				of = x
			}
		}
		if want := paper.Size(w) + " × " + paper.Size(h) + " mm"; of.Size != want {
			t.Errorf("blank %d: %q, not %q", i, of.Size, want)
		}
	}
}
