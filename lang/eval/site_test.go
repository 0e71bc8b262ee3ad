package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"perch/lang/eval"
	"perch/parts/shopcheck"
)

const fittings = `design "Fittings" in %s
stock steel = sheet(mild_steel, 1.5mm, radius: 2mm)
stock plain = sheet(mild_steel, 1.2mm)
param d: length = 5mm
let hole_d = 6mm
let half_d = hole_d / 2
let r = 3mm
let rd = 4mm
panel lid(x: length, hole: length, z: length) {
  face top on level(z) {
    outline rect(x, 60mm)
    cut a = circle(hole) at (10mm, 0mm)
    cut b = circle(4mm) at (-10mm, 0mm)
    cut c = rect(8mm, 8mm) at (30mm, 0mm)
    cut e = (rect(8mm, 6mm) at (0mm, 1mm)) at (-30mm, 0mm)
    mark m = bead(rect(80mm, 50mm).rounded(7mm), width: 6mm)
    mark t = text("up", height: 8mm) at (0mm, 15mm)
  }
  face lip off top.top up 90deg { outline strip(15mm) }
  fold top to lip by bend(radius: r, relief_size: 4mm)
}
panel plate(z: length) {
  face base on level(z) { outline rect(40mm, 40mm) }
  face ear off base.top up 90deg { outline strip(12mm) & strip(11mm) }
}
part one of steel = lid(120mm, d, 0mm) loose
part two of steel = lid(120mm, hole_d, 200mm) loose
part three of steel = lid(120mm, half_d + 5mm, 400mm) loose
part low of plain = plate(100mm)
part high of plain = plate(101.2mm)
join pair = low.base to high.base at [(-9mm, -5mm), (9mm, -5mm)] by rivet(rd)
join row = low.base to high.base by rivet(3.2mm, pitch: 20mm)
`

// TestSites: where the shop's findings are told, the narrowest text that the maker can change,
// and what a fix writes there: rounded to what satisfies the rule.
func TestSites(t *testing.T) {
	on := func(kind shopcheck.Kind, name, face string) shopcheck.Subject {
		return shopcheck.Subject{Kind: kind, Name: name, Face: face}
	}
	r := sizeOf(t, fmt.Sprintf(fittings, "millimetres"))
	copies := map[string]int{}
	for i, c := range r.Assembly.Copies {
		copies[c.Name] = i
	}
	for _, c := range []struct {
		part string
		f    shopcheck.Finding
		want string
	}{
		{"one", shopcheck.Finding{On: on(shopcheck.Cut, "a", "top"), Of: shopcheck.Diameter, Got: 5, Limit: 6}, "5mm | used here: hole => write 6mm [5mm to 6mm]"},
		{"two", shopcheck.Finding{On: on(shopcheck.Cut, "a", "top"), Of: shopcheck.Diameter, Got: 6, Limit: 6.43}, "6mm | used here: hole => write 6.5mm [6mm to 6.5mm]"},
		{"three", shopcheck.Finding{On: on(shopcheck.Cut, "a", "top"), Of: shopcheck.Diameter, Got: 8, Limit: 9}, "hole"},
		{"one", shopcheck.Finding{On: on(shopcheck.Cut, "b", "top"), Of: shopcheck.Diameter, Got: 4, Limit: 3.19}, "4mm => write 3.1mm [4mm to 3.1mm]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Cut, "c", "top"), Of: shopcheck.Corner, Got: 0, Limit: 0.75}, "rect(8mm, 8mm) at (30mm, 0mm) => write .rounded(0.8mm) behind it [ to .rounded(0.8mm)]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Cut, "e", "top"), Of: shopcheck.Corner, Got: 0, Limit: 0.75}, "(rect(8mm, 6mm) at (0mm, 1mm)) at (-30mm, 0mm) => write .rounded(0.8mm) behind it [ to .rounded(0.8mm)]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Cut, "c", "top"), Of: shopcheck.Corner, Got: 0.5, Limit: 0.75}, "rect(8mm, 8mm) at (30mm, 0mm)"},
		{"one", shopcheck.Finding{On: on(shopcheck.Cut, "a", "top"), Of: shopcheck.Placement, Got: 3, Limit: 4}, "circle(hole) at (10mm, 0mm)"},
		{"one", shopcheck.Finding{On: on(shopcheck.Cut, "none", "top"), Of: shopcheck.Diameter, Got: 3, Limit: 4}, "one"},
		{"one", shopcheck.Finding{On: on(shopcheck.Fold, "top/lip", "top"), Of: shopcheck.Radius, Got: 3, Limit: 4.5}, "3mm | used here: r => write 4.5mm [3mm to 4.5mm]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Fold, "top/lip", "top"), Of: shopcheck.Radius, Got: 2, Limit: 4.5}, "r"},
		{"one", shopcheck.Finding{On: on(shopcheck.Fold, "top/lip", "top"), Of: shopcheck.Thickness, Got: 1.5, Limit: 2}, "1.5mm"},
		{"one", shopcheck.Finding{On: on(shopcheck.Fold, "top/lip", "lip"), Of: shopcheck.ReliefSize, Got: 4, Limit: 4.96}, "4mm => write 5mm [4mm to 5mm]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Fold, "top/lip", "lip"), Of: shopcheck.Depth, Got: 15, Limit: 20}, "15mm => write 20mm [15mm to 20mm]"},
		{"high", shopcheck.Finding{On: on(shopcheck.Fold, "base/ear", "ear"), Of: shopcheck.Depth, Got: 11, Limit: 13}, "12mm => write 14mm [12mm to 14mm]"},
		{"high", shopcheck.Finding{On: on(shopcheck.Fold, "base/ear", "ear"), Of: shopcheck.ReliefSize, Got: 1, Limit: 2}, "base.top"},
		{"high", shopcheck.Finding{On: on(shopcheck.Fold, "base/ear", "base"), Of: shopcheck.Radius, Got: 1.2, Limit: 2}, "sheet(mild_steel, 1.2mm)"},
		{"high", shopcheck.Finding{On: on(shopcheck.Fold, "base/ear", "base"), Of: shopcheck.Thickness, Got: 1.2, Limit: 2}, "1.2mm"},
		{"one", shopcheck.Finding{On: on(shopcheck.Fold, "nowhere", "lip"), Of: shopcheck.Placement, Got: 4, Limit: 5}, "one"},
		{"one", shopcheck.Finding{On: on(shopcheck.Fold, "top/lip", "lip"), Of: shopcheck.Placement, Got: 4, Limit: 5}, "top.top"},
		{"one", shopcheck.Finding{On: on(shopcheck.Face, "lip", ""), Of: shopcheck.Depth, Got: 4, Limit: 5}, "strip(15mm)"},
		{"one", shopcheck.Finding{On: on(shopcheck.Face, "nowhere", ""), Of: shopcheck.Depth, Got: 4, Limit: 5}, "one"},
		{"one", shopcheck.Finding{On: on(shopcheck.Bead, "m", "top"), Of: shopcheck.Turn, Got: 7, Limit: 9}, "7mm => write 9mm [7mm to 9mm]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Bead, "m", "top"), Of: shopcheck.Turn, Got: 6, Limit: 8}, "6mm => write 8mm [6mm to 8mm]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Bead, "m", "top"), Of: shopcheck.Placement, Got: 6, Limit: 8}, "bead(rect(80mm, 50mm).rounded(7mm), width: 6mm)"},
		{"one", shopcheck.Finding{On: on(shopcheck.Bead, "m.2", "top"), Of: shopcheck.Turn, Got: 6, Limit: 8, Want: 10}, "6mm => write 10mm [6mm to 10mm]"},
		{"one", shopcheck.Finding{On: on(shopcheck.Text, "t", "top"), Of: shopcheck.Placement, Got: 8, Limit: 10}, `text("up", height: 8mm) at (0mm, 15mm)`},
		{"one", shopcheck.Finding{On: on(shopcheck.Text, "none", "top"), Of: shopcheck.Placement, Got: 8, Limit: 10}, "one"},
		{"one", shopcheck.Finding{On: on(shopcheck.Blank, "", ""), Of: shopcheck.Thickness, Got: 1.5, Limit: 2}, "1.5mm"},
		{"low", shopcheck.Finding{On: on(shopcheck.Blank, "", ""), Of: shopcheck.Thickness, Got: 1.2, Limit: 2}, "1.2mm"},
		{"one", shopcheck.Finding{On: on(shopcheck.Blank, "", ""), Of: shopcheck.Placement, Got: 1.5, Limit: 2}, "one"},
		{"low", shopcheck.Finding{On: on(shopcheck.Hole, "pair.1", ""), Of: shopcheck.Fastener, Got: 4, Limit: 4.8}, "4mm | used here: rd => write 4.8mm [4mm to 4.8mm]"},
		{"low", shopcheck.Finding{On: on(shopcheck.Hole, "pair.1", ""), Of: shopcheck.Placement, Got: 5, Limit: 6}, "[(-9mm, -5mm), (9mm, -5mm)]"},
		{"low", shopcheck.Finding{On: on(shopcheck.Hole, "row.1", ""), Of: shopcheck.Pitch, Got: 20, Limit: 24.01}, "20mm => write 24.1mm [20mm to 24.1mm]"},
		{"low", shopcheck.Finding{On: on(shopcheck.Hole, "row.1", ""), Of: shopcheck.Placement, Got: 20, Limit: 24}, "rivet(3.2mm, pitch: 20mm)"},
		{"low", shopcheck.Finding{On: on(shopcheck.Point, "row.2", ""), Of: shopcheck.Fastener, Got: 3.2, Limit: 4}, "3.2mm => write 4mm [3.2mm to 4mm]"},
		{"low", shopcheck.Finding{On: on(shopcheck.Point, "row.2", ""), Of: shopcheck.Shank, Got: 3.2, Limit: 4}, "rivet(3.2mm, pitch: 20mm)"},
		{"low", shopcheck.Finding{On: on(shopcheck.Hole, "gone.2", ""), Of: shopcheck.Fastener, Got: 3.2, Limit: 4}, "low"},
	} {
		if got := siteText(r.Made.Site(copies[c.part], c.f)); got != c.want {
			t.Errorf("%s %+v:\n got  %s\n want %s", c.part, c.f, got, c.want)
		}
	}
}

// TestSitesInInches: what is written follows the units that the design is read in.
func TestSitesInInches(t *testing.T) {
	r := sizeOf(t, `design "Plate" in inches
stock steel = sheet(mild_steel, 1/16in)
panel plate(hole: length) {
  face base on level(0in) {
    outline rect(4in, 4in)
    cut a = circle(hole)
    cut b = rect(1/2in, 1/2in) at (1in, 0in)
  }
}
part one of steel = plate(0.25in) loose
`)
	for _, c := range []struct {
		f    shopcheck.Finding
		want string
	}{
		{shopcheck.Finding{On: shopcheck.Subject{Kind: shopcheck.Cut, Name: "a", Face: "base"}, Of: shopcheck.Diameter, Got: 6.35, Limit: 7.6205}, "0.25in | used here: hole => write 0.301in [0.25in to 0.301in]"},
		{shopcheck.Finding{On: shopcheck.Subject{Kind: shopcheck.Cut, Name: "a", Face: "base"}, Of: shopcheck.Diameter, Got: 6.35, Limit: 5.0805}, "0.25in | used here: hole => write 0.2in [0.25in to 0.2in]"},
		{shopcheck.Finding{On: shopcheck.Subject{Kind: shopcheck.Cut, Name: "b", Face: "base"}, Of: shopcheck.Corner, Limit: 0.75}, "rect(1/2in, 1/2in) at (1in, 0in) => write .rounded(0.03in) behind it [ to .rounded(0.03in)]"},
	} {
		if got := siteText(r.Made.Site(0, c.f)); got != c.want {
			t.Errorf("%+v:\n got  %s\n want %s", c.f, got, c.want)
		}
	}
	if got := siteText(r.Made.SiteOfFace(0, 0)); got != "base" {
		t.Errorf("the face is %s", got)
	}
	for _, face := range []int{-1, 1} {
		if got := siteText(r.Made.SiteOfFace(0, face)); got != "one" {
			t.Errorf("a face that there is not is %s", got)
		}
	}
}

// siteText is the text of a site with what stands beside it and what would be written.
func siteText(s eval.Site) string {
	out := s.At.Text()
	for _, r := range s.Related {
		out += " | " + r.Message + ": " + r.Span.Text()
	}
	if s.Fix != nil {
		out += " => " + s.Fix.Message
		for _, e := range s.Fix.Edits {
			out += fmt.Sprintf(" [%s to %s]", e.Span.Text(), e.Text)
		}
	}
	return strings.Join(strings.Fields(out), " ")
}
