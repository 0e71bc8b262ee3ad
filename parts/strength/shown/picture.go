package shown

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/parts/strength"
)

const (
	wide, high = 800.0, 860.0 // the picture's size
	margin     = 40.0
	footer     = 90.0
	drawn      = 0.06 // the part of the piece's size that the largest movement is drawn as
)

// view looks at a piece from the front, the right and above; up is up.
var view = struct{ right, up, toward solid.Vec }{
	right:  solid.Vec{X: 0.866025403784, Y: 0.5},
	up:     solid.Vec{X: -0.171010071663, Y: 0.296198132726, Z: 0.939692620786},
	toward: solid.Vec{X: 0.469846310393, Y: -0.813797681349, Z: 0.342020143326},
}

// lamp is where light comes from, and dark how light a sheet is that none falls on.
var lamp = solid.Vec{X: 0.36, Y: -0.48, Z: 0.8}

const dark = 0.72

// Facet is a triangle of a picture, y down, and its colour.
type Facet struct {
	P      [3]plane.Point
	Colour [3]uint8
	depth  float64
}

// Facets are a piece as a case moves it, much enlarged, each triangle coloured by its share
// of the yield stress, those behind first, with the box around them; scale is how many times
// movements are drawn.
func Facets(e *strength.Estimate) (facets []Facet, box plane.Box, scale float64) {
	m := e.Answer.Shape()
	scale = enlarged(m)
	box = plane.Box{Min: plane.Point{X: math.Inf(1), Y: math.Inf(1)}, Max: plane.Point{X: math.Inf(-1), Y: math.Inf(-1)}}
	for i, t := range m.Triangles {
		var f Facet
		var at [3]solid.Vec
		for k, n := range t {
			v := m.Nodes[n].Add(m.Moved[n].Scale(scale))
			f.P[k] = plane.Point{X: v.Dot(view.right), Y: -v.Dot(view.up)}
			f.depth += v.Dot(view.toward)
			at[k] = v
			box.Min = plane.Point{X: math.Min(box.Min.X, f.P[k].X), Y: math.Min(box.Min.Y, f.P[k].Y)}
			box.Max = plane.Point{X: math.Max(box.Max.X, f.P[k].X), Y: math.Max(box.Max.Y, f.P[k].Y)}
		}
		n := at[1].Sub(at[0]).Cross(at[2].Sub(at[0])).Unit()
		f.Colour = Shade(m.Share[i], dark+float64((1-dark)*math.Abs(n.Dot(lamp))))
		facets = append(facets, f)
	}
	slices.SortStableFunc(facets, func(x, y Facet) int {
		switch {
		case x.depth < y.depth:
			return -1
		case x.depth > y.depth:
			return 1
		}
		return 0
	})
	return facets, box, scale
}

// Picture draws a piece as a case moves it, as SVG.
func Picture(w io.Writer, a *panel.Assembly, e *strength.Estimate) error {
	facets, box, scale := Facets(e)
	zoom := math.Min((wide-2*margin)/(box.Max.X-box.Min.X), (high-2*margin-footer)/(box.Max.Y-box.Min.Y))
	left := float64((wide - float64((box.Max.X-box.Min.X)*zoom)) / 2)
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\" font-family=\"sans-serif\">\n<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n<g stroke-width=\"0.4\">\n", wide, high)
	for _, q := range facets {
		colour := hex(q.Colour)
		fmt.Fprintf(b, "<path d=\"M")
		for k := range 3 {
			fmt.Fprintf(b, "%.1f %.1f ", left+float64((q.P[k].X-box.Min.X)*zoom), margin+float64((q.P[k].Y-box.Min.Y)*zoom))
		}
		fmt.Fprintf(b, "z\" fill=\"%s\" stroke=\"%s\"/>\n", colour, colour)
	}
	fmt.Fprintf(b, "</g>\n")
	legend(b, a, e, scale)
	fmt.Fprintf(b, "</svg>\n")
	return b.Flush()
}

func legend(w io.Writer, a *panel.Assembly, e *strength.Estimate, scale float64) {
	y := high - footer + 20
	fmt.Fprintf(w, "<text x=\"%.0f\" y=\"%.0f\" font-size=\"17\">%s: %s, movements drawn %.0f times</text>\n", margin, y, html.EscapeString(a.Design+" "+a.Size), html.EscapeString(e.Case.Name), scale)
	for i := range 11 {
		fmt.Fprintf(w, "<rect x=\"%.0f\" y=\"%.0f\" width=\"24\" height=\"14\" fill=\"%s\"/>\n", margin+float64(24*float64(i)), y+12, hex(Shade(float64(i)/10, 1)))
	}
	fmt.Fprintf(w, "<text x=\"%.0f\" y=\"%.0f\" font-size=\"13\">0 to 100 %% of the yield stress, darkest beyond it</text>\n", margin+276, y+24)
	fmt.Fprintf(w, "<text x=\"%.0f\" y=\"%.0f\" font-size=\"12\">an estimate: elastic and static; it says of nothing that it is safe; prove the piece by a test load</text>\n", margin, y+50)
}

// enlarged is a round factor that draws the largest movement as a small part of the piece.
func enlarged(m *strength.Shape) float64 {
	lo, hi := m.Nodes[0], m.Nodes[0]
	most := 0.0
	for i, v := range m.Nodes {
		lo = solid.Vec{X: math.Min(lo.X, v.X), Y: math.Min(lo.Y, v.Y), Z: math.Min(lo.Z, v.Z)}
		hi = solid.Vec{X: math.Max(hi.X, v.X), Y: math.Max(hi.Y, v.Y), Z: math.Max(hi.Z, v.Z)}
		most = math.Max(most, m.Moved[i].Len())
	}
	if most == 0 {
		return 1
	}
	want := drawn * hi.Sub(lo).Len() / most
	for power := 1.0; power < 1e6; power *= 10 {
		for _, k := range []float64{5, 2, 1} {
			if k*power <= want && want < 10*power {
				return k * power
			}
		}
	}
	return 1
}

// stops are the colours of shares of the yield stress, 0, a half, all of it and beyond.
var stops = [...][3]float64{{222, 230, 233}, {240, 190, 90}, {196, 60, 40}, {80, 10, 30}}

// Shade is the colour of a share of the yield stress, in a light of 0 to 1.
func Shade(share, light float64) (c [3]uint8) {
	at := math.Min(2*share, 2.999)
	if share > 1 {
		at = math.Min(2+(share-1), 3)
	}
	i := min(int(at), 2)
	k := at - float64(i)
	for n := range c {
		c[n] = uint8(math.Round(light * (stops[i][n] + float64(k*(stops[i+1][n]-stops[i][n])))))
	}
	return c
}

func hex(c [3]uint8) string { return fmt.Sprintf("#%02x%02x%02x", c[0], c[1], c[2]) }
