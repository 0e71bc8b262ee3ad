package eval_test

import (
	"fmt"
	"strings"
	"testing"

	"perch/lang/diag"
)

const flats = `design "Flats" in millimetres
stock tin = sheet(mild_steel, 1.5mm)
stock thick = sheet(mild_steel, 4mm)
param few: count = 2
panel plate(on_it: plane, wide: length = 60mm) {
  face web on on_it {
    outline rect(wide, 40mm)
    cut slot = rect(4mm, 8mm) at (wide / 2 - 8mm, 0mm)
  }
}
panel tray(z: length) {
  face floor on level(z) { outline rect(100mm, 100mm) }
  face lip[e in floor.edges] off e up 90deg { outline strip(20mm) }
}
part a of tin = plate(level(0mm))
part b of tin = plate(a.web.over)
`

// everythingTold is every diagnostic in a line: its code, the text it stands at, its words
// with what stands elsewhere, notes, and what its fix writes.
func everythingTold(diags []diag.Diagnostic) string {
	var out []string
	for _, d := range diags {
		line := fmt.Sprintf("%s [%s] %s", d.Code, d.Span.Text(), d.Summary)
		for _, r := range d.Related {
			line += fmt.Sprintf(" | %s [%s]", r.Message, r.Span.Text())
		}
		for _, n := range d.Notes {
			line += " / " + n
		}
		if d.Fix != nil {
			line += " => " + d.Fix.Message
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}

// TestJoined: how many fasteners a join comes to, and what is told of it.
func TestJoined(t *testing.T) {
	for _, c := range []struct {
		text   string
		points int // on a
		want   string
	}{
		{"join j = a.web to b.web by rivet(3.2mm, count: 1) if few > 2", 0, "P5007 [b] nothing fastens b to the rest / join it, or say that it is meant to lie free => write `loose` behind it"},
		{"join j = a.web to b.web by rivet(3.2mm, count: 2) if few > 1", 2, ""},
		{"join j = a.web to b.web by rivet(3.2mm, count: few)", 2, ""},
		{"join j[i in 1..few] = a.web to b.web at (-20mm + 12mm * i, 8mm) by rivet(3.2mm)", 2, "P5008 [rivet(3.2mm)] a lone rivet holds a.web and b.web, which meet over 60 mm: more than ten diameters, 32 mm / the sheets can turn about it and gape: set two or more"},
		{"join j[i in 3..few] = a.web to b.web by rivet(3.2mm)", 0, "P5007 [b] nothing fastens b to the rest / join it, or say that it is meant to lie free => write `loose` behind it"},
		{"join j = a.web to b.web at [(-20mm, 0mm), (0mm, 0mm)] by rivet(3.2mm)", 2, ""},
		{"join j = a.web to b.web at [(-20mm, 0mm), (200mm, 0mm)] by rivet(3.2mm)", 0, "P5002 [rivet(3.2mm)] a rivet lies 170 mm off the contact / where a.web meets b.web"},
		{"join j = a.web to b.web at (-20mm, 0mm) by rivet(3.3mm)", 1, "P6003 [3.3mm] the shop stocks no 3.3mm rivet / its hole is taken 0.1 mm larger => write 3.2mm\nP5008 [rivet(3.3mm)] a lone rivet holds a.web and b.web, which meet over 60 mm: more than ten diameters, 33 mm / the sheets can turn about it and gape: set two or more"},
		{"let big = 3.3mm\njoin j = a.web to b.web at (-20mm, 0mm) by rivet(big)", 1, "P6003 [3.3mm] the shop stocks no 3.3mm rivet | used here [big] / its hole is taken 0.1 mm larger => write 3.2mm\nP5008 [rivet(big)] a lone rivet holds a.web and b.web, which meet over 60 mm: more than ten diameters, 33 mm / the sheets can turn about it and gape: set two or more"},
		{"join j = a.web to b.web at (0mm, 0mm) by rivet(few * 2.6mm)", 1, "P6003 [few * 2.6mm] the shop stocks no 5.2mm rivet / its hole is taken 0.1 mm larger\nP5008 [rivet(few * 2.6mm)] a lone rivet holds a.web and b.web, which meet over 60 mm: more than ten diameters, 52 mm / the sheets can turn about it and gape: set two or more"},
		{"join j = a.web to b.web at (0mm, 0mm) by bolt(7mm)", 1, "P6003 [7mm] the shop stocks no 7mm bolt / its hole is taken a tenth larger => write 6.35mm"},
		{"join j = a.web to b.web at (0mm, 0mm) by bolt(6mm)", 1, ""},
		{"join j = a.web to b.web at (-20mm, 0mm) by rivet(60mm)", 0, "P6003 [60mm] the shop stocks no 60mm rivet / its hole is taken 0.1 mm larger => write 6.4mm\nP5002 [rivet(60mm)] a rivet is 10 mm from an edge, at least 120 mm needed (short by 110 mm) / where a.web meets b.web"},
		{"join j = a.web to b.web by rivet(3.2mm, count: 30)", 0, "P5002 [rivet(3.2mm, count: 30)] rivets would stand 1.628 mm apart, at least 9.6 mm needed (short by 7.97 mm) / where a.web meets b.web"},
		{"join j = a.web to b.web by rivet(3.2mm, pitch: 1mm)", 0, "P5002 [rivet(3.2mm, pitch: 1mm)] rivets would stand 1 mm apart, at least 9.6 mm needed (short by 8.6 mm) / where a.web meets b.web"},
		{"part c of tin = plate(level(90mm))\njoin j = a.web to c.web by rivet(3.2mm, count: 1)", 0, "P5001 [a.web] a.web touches nothing that it is to be joined to / the nearest: c.web and a.web don't touch: a gap of 88.5 mm / move one of them by 88.5 mm square to its face, or draw it on the other: `on a.web.over` and `on a.web.under` touch that"},
		{"part c of tin = plate(upright(90mm))\njoin j = a.web to c.web by rivet(3.2mm, count: 1)", 0, "P5001 [a.web] a.web touches nothing that it is to be joined to / the nearest: a.web and c.web are not parallel: 90° between them / what is joined lies flat on each other: bend a tab off one of them, or turn it"},
		{"part c of tin = plate(upright(90mm))\njoin j = c.web to a.web by weld(10mm)", 0, "P5001 [c.web] c.web touches nothing that it is to be joined to / the nearest: c.web and a.web are 70 mm apart; an edge is welded to what lies within 0.75 mm, half of the thinner sheet"},
		{"part c of tin = plate(level(1mm))\njoin j = a.web to c.web by rivet(3.2mm, count: 1)", 0, "P5001 [a.web] a.web touches nothing that it is to be joined to / the nearest: c.web and a.web lie in each other by 0.5 mm / move one of them by 0.5 mm square to its face, or draw it on the other: `on a.web.over` and `on a.web.under` touch that"},
		{"part c of tin = plate(b.web.under)\njoin j = a.web to b.web to c.web by rivet(3.2mm, count: 2)", 2, ""},
		{"part c of tin = plate(b.web.under)\njoin j = a.web to c.web by rivet(3.2mm, count: 2)", 0, "P5001 [a.web] a.web touches nothing that it is to be joined to / the nearest: c.web and a.web don't touch: a gap of 1.5 mm / move one of them by 1.5 mm square to its face, or draw it on the other: `on a.web.over` and `on a.web.under` touch that"},
		{"part c[i in 1..8] of tin = plate(level(-30mm * i))\njoin j = a.web to b.web by rivet(3.2mm, count: 2)", 2, "P5007 [c] nothing fastens c.1, c.2, c.3, c.4, c.5 and 3 more to the rest / join it, or say that it is meant to lie free => write `loose` behind it"},
		{"part c[i in 1..8] of tin = plate(level(-30mm * i))\njoin j = a.web to [b.web, c.web] by rivet(3.2mm, count: 2)", 2, "P5006 [[b.web, c.web]] nothing fastens c.1.web, c.2.web, c.3.web, c.4.web, c.5.web and 3 more, which this join names / no other member of a join lies on it\nP5007 [c] nothing fastens c.1, c.2, c.3, c.4, c.5 and 3 more to the rest / join it, or say that it is meant to lie free => write `loose` behind it"},
		{"part c[i in 1..2] of tin = plate(level(-30mm * i))\npart d[i in 1..2] of tin = plate(c[i].web.over)\njoin j = a.web to b.web by rivet(3.2mm, count: 2)\njoin k[i in 1..2] = c[i].web to d[i].web by rivet(3.2mm, count: 2)", 2, "P5007 [c] c.1, d.1 hold each other, and nothing fastens them to the rest / join it, or say that it is meant to lie free => write `loose` behind it\nP5007 [c] c.2, d.2 hold each other, and nothing fastens them to the rest / join it, or say that it is meant to lie free => write `loose` behind it"},
		{"part t of tin = tray(200mm)\njoin j = a.web to b.web by rivet(3.2mm, count: 2)\njoin k = t.lip to t.lip by weld(5mm)", 2, "P5007 [t] nothing fastens t to the rest / join it, or say that it is meant to lie free => write `loose` behind it"},
		{"part t of tin = tray(200mm)\njoin j = a.web to b.web by rivet(3.2mm, count: 2)\njoin k = t.lip to t.lip by tack(5mm)", 2, "P5007 [t] nothing fastens t to the rest / join it, or say that it is meant to lie free => write `loose` behind it"},
		{"join j = a.web to b.web by weld(10mm)", 3, ""},
		{"join j = a.web to b.web by tack(10mm, count: 2)", 2, ""},
		{"part c of tin = plate(b.web.under, 20mm)\njoin j = b.web to c.web by weld(10mm)\njoin k = a.web to b.web by rivet(3.2mm, count: 2)", 2, ""},
	} {
		r, diags := made(t, flats+c.text+"\n")
		points := 0
		if r != nil && len(r.Flats) > 0 {
			points = len(r.Flats[0].Points)
		}
		if got := everythingTold(diags); got != c.want || points != c.points {
			t.Errorf("%s: %d points, want %d;\n got  %q\n want %q", c.text, points, c.points, got, c.want)
		}
	}
}
