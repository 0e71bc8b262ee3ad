package cutplan

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"strconv"

	"perch/parts/plane"
	"perch/parts/record/decimal"
)

// Picture draws the sheet as SVG, true to scale in mm: blanks with their numbers,
// torch lines with arrows, pierces, travel, and the remnant with its size.
func Picture(w io.Writer, p *Plan) error {
	box := p.Sheet.Metal.Bounds().Grow(10)
	size := box.Size()
	s := &sketch{bufio.NewWriter(w), box}
	fmt.Fprintf(s.w, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" font-family="sans-serif">`+"\n",
		num(size.X), num(size.Y), num(size.X), num(size.Y))
	fmt.Fprintln(s.w, `<rect width="100%" height="100%" fill="#ffffff"/>`)
	s.region(p.Sheet.Metal, `fill="#eef0f2" stroke="#555555" stroke-width="1"`)
	if r := p.Sheet.Remnant; !r.Empty() && r.Size() != (plane.Point{}) {
		s.region(plane.Region{plane.RectAt(r.Min, r.Max)}, `fill="#dcefdc" stroke="#3a7d3a" stroke-width="1" stroke-dasharray="8 4"`)
		s.text(r.Center(), min(30, r.Size().Y/3, r.Size().X/10), "#3a7d3a", fmt.Sprintf("%.0f × %.0f", r.Size().X, r.Size().Y))
	}
	for i := range p.Sheet.Parts {
		s.region(p.Sheet.Parts[i].Region, `fill="#c9d6e8" stroke="#27415f" stroke-width="0.6"`)
	}
	at := p.Options.From
	for i := range p.Cuts {
		c := &p.Cuts[i]
		for _, r := range c.Runs {
			a, b := s.at(at), s.at(r[0].From)
			fmt.Fprintf(s.w, `<path d="M%s %sL%s %s" stroke="#c06010" stroke-width="0.5" stroke-dasharray="4 3"/>`+"\n", num(a.X), num(a.Y), num(b.X), num(b.Y))
			fmt.Fprintf(s.w, `<path d="%s" fill="none" stroke="#b01030" stroke-width="0.5"/>`+"\n", s.path(r))
			fmt.Fprintf(s.w, `<circle cx="%s" cy="%s" r="1.5" fill="#b01030"/>`+"\n", num(b.X), num(b.Y))
			s.arrow(r[1+(len(r)-1)/3])
			at = lastOf(r).To
		}
	}
	for i := range p.Sheet.Parts {
		part := &p.Sheet.Parts[i]
		b := part.Region.Bounds().Size()
		s.text(part.Region.Centroid(), max(4, min(24, min(b.X, b.Y)/4)), "#10243c", strconv.Itoa(part.Number))
	}
	fmt.Fprintln(s.w, "</svg>")
	return s.w.Flush()
}

type sketch struct {
	w   *bufio.Writer
	box plane.Box
}

func num(v float64) string { return string(decimal.Append(nil, v, 3)) }

// at is a place on the page, y down.
func (s *sketch) at(p plane.Point) plane.Point {
	return plane.Point{X: p.X - s.box.Min.X, Y: s.box.Max.Y - p.Y}
}

func (s *sketch) path(edges []plane.Edge) string {
	if len(edges) == 0 {
		return ""
	}
	a := s.at(edges[0].From)
	d := "M" + num(a.X) + " " + num(a.Y)
	for _, e := range edges {
		b := s.at(e.To)
		if e.Bulge == 0 {
			d += "L" + num(b.X) + " " + num(b.Y)
			continue
		}
		sweep := "0"
		if e.Bulge < 0 {
			sweep = "1"
		}
		r := num(e.Radius())
		d += "A" + r + " " + r + " 0 0 " + sweep + " " + num(b.X) + " " + num(b.Y)
	}
	return d
}

func (s *sketch) region(r plane.Region, style string) {
	d := ""
	for _, l := range r {
		d += s.path(edgesOf(l)) + "Z"
	}
	fmt.Fprintf(s.w, `<path d="%s" fill-rule="evenodd" %s/>`+"\n", d, style)
}

// arrow shows the direction of cut in the middle of an edge.
func (s *sketch) arrow(e plane.Edge) {
	m, t := e.Mid(), e.To.Sub(e.From).Unit().Scale(3)
	n := t.Perp().Scale(0.5)
	p, q, r := s.at(m.Add(t)), s.at(m.Add(n)), s.at(m.Sub(n))
	fmt.Fprintf(s.w, `<path d="M%s %sL%s %sL%s %sZ" fill="#b01030"/>`+"\n", num(p.X), num(p.Y), num(q.X), num(q.Y), num(r.X), num(r.Y))
}

func (s *sketch) text(p plane.Point, h float64, color, text string) {
	at := s.at(p)
	fmt.Fprintf(s.w, `<text x="%s" y="%s" font-size="%s" fill="%s" text-anchor="middle" dominant-baseline="central">%s</text>`+"\n",
		num(at.X), num(at.Y), num(h), color, html.EscapeString(text))
}
