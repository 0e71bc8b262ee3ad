package eval_test

import (
	"testing"

	"perch/parts/shopcheck"
)

// TestSitesOfHeadsAndTails: what is told of a rivet's tail or of the side that its head lies on
// is told at what says so, and mended by the other word; of a value that a size states, there.
func TestSitesOfHeadsAndTails(t *testing.T) {
	r := sizeOf(t, `design "Heads" in millimetres
stock plain = sheet(mild_steel, 3mm)
param d: length in 2mm..20mm = 4mm
param e: length in 2mm..20mm = 6mm
panel plate(z: length, hole: length) {
  face base on level(z) { outline rect(90mm, 60mm)
    cut a = circle(hole) at (0mm, 20mm)
  }
}
part low of plain = plate(100mm, d)
part high of plain = plate(103mm, e)
let flush = rivet(4mm, set: cold, tail: countersunk)
join a = low.base to high.base at [(-30mm, -5mm)] by rivet(4mm, set: cold, tail: countersunk)
join b = low.base to high.base at [(-10mm, -5mm)] by rivet(4mm)
join c = low.base to high.base at [(10mm, -5mm)] by rivet(4mm, head: inner)
join d = low.base to high.base at [(30mm, -5mm)] by rivet(4mm, head: outer, count: 1)
join f = low.base to high.base at [(30mm, -20mm)] by flush
size it: d = 5mm
`)
	point := func(name string, of shopcheck.Measure) shopcheck.Finding {
		return shopcheck.Finding{On: shopcheck.Subject{Kind: shopcheck.Point, Name: name}, Of: of}
	}
	hole := func(got, limit float64) shopcheck.Finding {
		return shopcheck.Finding{On: shopcheck.Subject{Kind: shopcheck.Cut, Name: "a", Face: "base"}, Of: shopcheck.Diameter, Got: got, Limit: limit}
	}
	for _, c := range []struct {
		copy int
		f    shopcheck.Finding
		want string
	}{
		{0, point("a.1", shopcheck.TailForm), "countersunk => write `tail: round` [countersunk to round]"},
		{0, point("b.1", shopcheck.TailForm), "rivet(4mm)"},
		{0, point("b.1", shopcheck.HeadSide), "rivet(4mm) => write `head: inner`: from the other side it is reached [ to , head: inner]"},
		{0, point("c.1", shopcheck.HeadSide), "rivet(4mm, head: inner) => write `head: outer`: from the other side it is reached [inner to outer]"},
		{0, point("d.1", shopcheck.HeadSide), "rivet(4mm, head: outer, count: 1) => write `head: inner`: from the other side it is reached [outer to inner]"},
		{0, point("f.1", shopcheck.HeadSide), "flush"},
		{0, point("b.1", shopcheck.Reached), "rivet(4mm)"},
		{0, point("a.1", shopcheck.Shank), "rivet(4mm, set: cold, tail: countersunk)"},
		{0, hole(5, 6), "5mm | used here: hole => write 6mm [5mm to 6mm]"},
		{1, hole(6, 7), "6mm | used here: hole => write 7mm [6mm to 7mm]"},
	} {
		if got := siteText(r.Made.Site(c.copy, c.f)); got != c.want {
			t.Errorf("%+v:\n got  %s\n want %s", c.f, got, c.want)
		}
	}
}
