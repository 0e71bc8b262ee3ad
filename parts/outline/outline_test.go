package outline

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"perch/parts/plane"
)

func picture(inside string) string {
	return `<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 400 200">` + inside + `</svg>`
}

// The expected areas are worked out by hand; one unit is half a millimetre.
func TestReadSVG(t *testing.T) {
	for _, c := range []struct {
		name, text string
		area       float64
		loops      int
		arcs       int
		box        plane.Box
	}{
		{"rect", picture(`<rect x="20" y="20" width="200" height="100"/>`), 100 * 50, 1, 0,
			plane.Box{Min: point{X: 10, Y: 40}, Max: point{X: 110, Y: 90}}},
		{"polygon and hole", picture(`<polygon points="0,0 200,0 200,100 0,100"/><circle cx="100" cy="50" r="20"/>`), 100*50 - 100*math.Pi, 2, 4,
			plane.Box{Min: point{X: 0, Y: 50}, Max: point{X: 100, Y: 100}}},
		{"path with arc", picture(`<path d="M0 200h200v-100a50 50 0 00-100 0H0z"/>`), 100*50 + math.Pi*25*25/2, 1, 1,
			plane.Box{Min: point{X: 0, Y: 0}, Max: point{X: 100, Y: 75}}},
		{"path with arc into it", picture(`<path d="M0 200h200v-100a50 50 0 01-100 0H0z"/>`), 100*50 - math.Pi*25*25/2, 1, 1,
			plane.Box{Min: point{X: 0, Y: 0}, Max: point{X: 100, Y: 50}}},
		{"large arc", picture(`<path d="M 100 100 A 50 50 0 1 1 150 50 L 100 50 Z"/>`), 25 * 25 * 3 * math.Pi / 4, 1, 2,
			plane.Box{Min: point{X: 25, Y: 50}, Max: point{X: 75, Y: 100}}},
		{"rounded rect", picture(`<rect width="200" height="100" rx="20"/>`), 100*50 - (4-math.Pi)*100, 1, 4,
			plane.Box{Min: point{X: 0, Y: 50}, Max: point{X: 100, Y: 100}}},
		{"marked", picture(`<rect width="400" height="200"/><g id="remnant"><path d="M10,10 l20,0 l0,20 z"/></g>`), 50, 1, 0,
			plane.Box{Min: point{X: 5, Y: 85}, Max: point{X: 15, Y: 95}}},
		{"turned and moved", picture(`<g transform="translate(100 50) rotate(90)"><rect width="40" height="20" transform="scale(2)"/></g>`), 40 * 20, 1, 0,
			plane.Box{Min: point{X: 30, Y: 35}, Max: point{X: 50, Y: 75}}},
		{"closed by its end", picture(`<polyline points="0 0 20 0 20 20 0 0"/><line x1="1" y1="2" x2="3" y2="4"/><path d="M0 0L9 9"/>`), 50, 1, 0,
			plane.Box{Min: point{X: 0, Y: 90}, Max: point{X: 10, Y: 100}}},
		{"hidden and page", picture(`<rect width="100%" height="100%"/><defs><rect width="300" height="99"/></defs><rect style="display: none" width="400" height="200"/><rect width="20" height="20"/>`), 100, 1, 0,
			plane.Box{Min: point{X: 0, Y: 90}, Max: point{X: 10, Y: 100}}},
		{"inch without viewBox", `<svg width="1in" height="1in"><rect width="96" height="48"/></svg>`, 25.4 * 12.7, 1, 0,
			plane.Box{Min: point{X: 0, Y: 12.7}, Max: point{X: 25.4, Y: 25.4}}},
	} {
		r, err := ReadSVG(c.name, c.text)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		arcs := 0
		for _, l := range r {
			for _, v := range l {
				if v.Bulge != 0 {
					arcs++
				}
			}
		}
		b := r.Bounds()
		if math.Abs(r.Area()-c.area) > 1e-6 || len(r) != c.loops || arcs != c.arcs || b.Min.Dist(c.box.Min) > 1e-6 || b.Max.Dist(c.box.Max) > 1e-6 {
			t.Errorf("%s: area %.6f, %d outlines, %d arcs, %v; want %.6f, %d, %d, %v", c.name, r.Area(), len(r), arcs, b, c.area, c.loops, c.arcs, c.box)
		}
	}
}

// An ellipse and a Bézier curve become chords; their areas are known: π·a·b, and
// 3/5 of the control polygon's box for a cubic with its two controls above its ends.
func TestSVGCurvesBecomeChords(t *testing.T) {
	for _, c := range []struct {
		text string
		area float64
	}{
		{picture(`<ellipse cx="100" cy="100" rx="80" ry="40"/>`), math.Pi * 40 * 20},
		{picture(`<circle r="40" transform="translate(100 100) scale(2 1)"/>`), math.Pi * 40 * 20},
		{picture(`<path d="M0 100 A 80 40 30 0 1 100 100 A 80 40 30 0 1 0 100 Z"/>`), 0},
		{picture(`<path d="M0 100 C 0 0 100 0 100 100 Z"/>`), 0.6 * 50 * 50},
		{picture(`<path d="M0 100 Q 50 0 100 100 T 200 100 L 200 200 0 200 Z"/>`), 100 * 50},
	} {
		r, err := ReadSVG("curves", c.text)
		if err != nil {
			t.Error(c.text, err)
			continue
		}
		if d := math.Abs(r.Area() - c.area); c.area > 0 && d > svgTol*r.Length() {
			t.Errorf("%s: area %g, want %g", c.text, r.Area(), c.area)
		}
		if len(r[0]) < 10 || len(r[0]) > 300 {
			t.Errorf("%s: %d chords", c.text, len(r[0]))
		}
	}
}

func TestReadSVGErrors(t *testing.T) {
	for name, text := range map[string]string{
		"no picture":    "hello",
		"empty":         "",
		"cut off":       `<svg width="1mm" height="1mm"><rect`,
		"other":         `<html></html>`,
		"no unit":       `<svg width="100" height="100"><rect width="9" height="9"/></svg>`,
		"no size":       `<svg viewBox="0 0 9 9"><rect width="9" height="9"/></svg>`,
		"skewed":        `<svg width="100mm" height="50mm" viewBox="0 0 9 9"><rect width="9" height="9"/></svg>`,
		"crossed":       picture(`<path d="M0 0L90 90L90 0L0 90Z"/>`),
		"apart":         picture(`<rect width="9" height="9"/><rect x="10" width="9" height="9"/>`),
		"in a hole":     picture(`<rect width="90" height="90"/><rect x="10" y="10" width="50" height="50"/><rect x="20" y="20" width="9" height="9"/>`),
		"touching hole": picture(`<rect width="90" height="90"/><rect x="0" y="10" width="9" height="9"/>`),
		"open":          picture(`<path d="M0 0L90 90L90 0"/>`),
		"bad command":   picture(`<path d="M0 0L90 90X90 0Z"/>`),
		"bad number":    picture(`<path d="M0 0L90 nan L90 0Z"/>`),
		"bad flag":      picture(`<path d="M0 0A9 9 0 2 0 9 9Z"/>`),
		"far":           picture(`<rect width="1e8" height="9"/>`),
		"bad transform": picture(`<rect transform="turn(3)" width="9" height="9"/>`),
		"two":           `<svg width="1mm" height="1mm"/><svg width="1mm" height="1mm"/>`,
		"many":          picture(`<path d="M0 0` + strings.Repeat("c9 9 90 -90 0 90", 3000) + `Z"/>`),
		"deep":          picture(strings.Repeat("<g>", 300) + strings.Repeat("</g>", 300)),
	} {
		_, err := ReadSVG(name, text)
		var bad *Error
		if !errors.As(err, &bad) {
			t.Errorf("%s: got %v", name, err)
			continue
		}
		t.Log(err)
	}
}

// Outlines as large as they may be are checked in a bearable time.
func TestLargestRemnant(t *testing.T) {
	var many, one strings.Builder
	many.WriteString(`<rect width="390" height="190"/>`)
	for i := range 1600 {
		fmt.Fprintf(&many, `<path d="M%d %dh2v2z"/>`, 5+i%80*4, 5+i/80*4)
	}
	one.WriteString(`<path d="M0 0`)
	for i := range 2400 {
		fmt.Fprintf(&one, "L%g 50 %g 60", 0.1*float64(i)+1, 0.1*float64(i)+1.05)
	}
	one.WriteString(`V100H0Z"/>`)
	for _, s := range []string{many.String(), one.String()} {
		if _, err := ReadSVG("large", picture(s)); err != nil {
			t.Error(err)
		}
	}
}

// sound holds what a reader takes for a remnant to what the search needs.
func sound(t *testing.T, r plane.Region, err error) {
	if err != nil {
		var bad *Error
		if !errors.As(err, &bad) || bad.Name != "fuzz" || len(err.Error()) > 1000 {
			t.Fatalf("%T %v", err, err)
		}
		return
	}
	if err := Check("fuzz", r); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, l := range r {
		n += len(l)
	}
	if n > mostPoints || !(r[0].Area() > 0) || !(r.Area() > 0) {
		t.Fatalf("%d points, areas %g and %g", n, r[0].Area(), r.Area())
	}
}

func FuzzReadDXF(f *testing.F) {
	f.Add("0\nLWPOLYLINE\n8\nREMNANT\n70\n1\n10\n0\n20\n0\n10\n100\n20\n0\n42\n0.5\n10\n100\n20\n50\n0\nEOF\n")
	f.Add("0\nPOLYLINE\n70\n1\n0\nVERTEX\n10\n0\n20\n0\n0\nVERTEX\n10\n9\n20\n0\n0\nVERTEX\n10\n9\n20\n9\n0\nSEQEND\n0\nCIRCLE\n10\n7\n20\n2\n40\n1\n0\nEOF\n")
	f.Add(dxfText("70\n1\n", map[string]string{"A": "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n9\n21\n0\n0\nARC\n10\n0\n20\n0\n40\n9\n50\n0\n51\n90\n0\nLINE\n10\n0\n20\n9\n11\n0\n21\n0\n"},
		"0\nINSERT\n8\nREMNANT\n2\nA\n10\n5\n20\n5\n41\n2\n42\n2\n50\n30\n"))
	f.Fuzz(func(t *testing.T, text string) {
		r, err := ReadDXF("fuzz", text)
		sound(t, r, err)
	})
}

func FuzzReadSVG(f *testing.F) {
	for _, s := range []string{
		`<rect width="90" height="50" rx="3"/><circle cx="30" cy="20" r="5"/>`,
		`<g transform="translate(3,4) scale(2 -1) rotate(30 1 1) skewX(5)"><path d="m0 0h90v50a9 5 20 01-30 0zM5 5c1 2 3 4 5 6s1-2 3 4q1 1 2 0t3 3z"/></g>`,
		`<g id="remnant"><polygon points="0,0 9,0 9,9"/></g><ellipse rx="4" ry="2"/>`,
		`<path d="M0 0L9 9A1e-9 1e9 1 1 1 3 4Z" display="none"/><svg/>`,
	} {
		f.Add(picture(s))
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := ReadSVG("fuzz", text)
		sound(t, r, err)
	})
}
