package compare

import (
	"fmt"
	"html"
	"io"
	"math"
	"slices"
	"strings"

	"perch/parts/decimal"
	"perch/parts/panel"
	"perch/parts/plane"
)

// overlayStyle: old is orange and dashed, new is blue and solid, told apart in
// print and by any eye. Lines keep their width at any zoom.
const overlayStyle = `
.overlay path,.overlay circle,.overlay line{fill:none;vector-effect:non-scaling-stroke;stroke-linejoin:round}
.overlay .sheet{fill:#eef3fa;stroke:none}
.overlay .new{stroke:#1b4f9c;stroke-width:1.4}
.overlay .new.fold{stroke-width:.9}
.overlay .old{stroke:#d2560a;stroke-width:1.4;stroke-dasharray:6 4}
.overlay .old.fold{stroke-width:.9;stroke-dasharray:2 3}
.overlay .move{stroke:#4a4a4a;stroke-width:1}
.overlay text{font-family:sans-serif;fill:#222}
.overlay .was{fill:#b34705}
.overlay .is{fill:#1b4f9c}
`

// drawn is one part's overlay, ready to be placed.
type drawn struct {
	title         string
	width, height float64 // mm
	body          string
}

// overlays draws every changed part of every size; sizes at which it changed in
// the same way share a drawing.
func (d *Difference) overlays() []drawn {
	var out []drawn
	var g grouped
	for _, s := range d.Sizes {
		for i := range s.Parts {
			p := &s.Parts[i]
			if p.old == nil && p.new == nil || p.Change == Renamed {
				continue
			}
			o := overlay(p)
			key := p.Name + "\x00" + o.body
			known := len(g.texts)
			g.add(key, s.Name)
			if len(g.texts) > known {
				out = append(out, o)
			}
		}
	}
	for i := range out {
		if at := d.at(g.sizes[i]); at != "" {
			out[i].title += " at " + at
		}
	}
	return out
}

// overlay draws the old flat over the new one.
func overlay(p *Part) drawn {
	onto := plane.Identity()
	if p.Flat != nil {
		onto = p.Flat.onto
	} else if p.old != nil && p.new != nil {
		onto, _ = align(p.old.Flat, p.new.Flat)
	}
	var box plane.Box
	first := true
	grow := func(l plane.Loop) {
		if b := l.Bounds(); first {
			box, first = b, false
		} else {
			box.Min = plane.Point{X: min(box.Min.X, b.Min.X), Y: min(box.Min.Y, b.Min.Y)}
			box.Max = plane.Point{X: max(box.Max.X, b.Max.X), Y: max(box.Max.Y, b.Max.Y)}
		}
	}
	if p.old != nil {
		grow(p.old.Flat.Outer.Transform(onto))
	}
	if p.new != nil {
		grow(p.new.Flat.Outer)
	}
	size := box.Size()
	margin := float64(0.04*max(size.X, size.Y)) + 4
	s := sketch{at: func(q plane.Point) plane.Point {
		return plane.Point{X: q.X - box.Min.X + margin, Y: box.Max.Y - q.Y + margin}
	}}
	if p.new != nil {
		s.path("sheet", p.new.Flat.Outer)
		s.flat("new", p.new.Flat, plane.Identity())
	}
	if p.old != nil {
		s.flat("old", p.old.Flat, onto)
	}
	if p.Flat != nil {
		s.moves(p.Flat, size.X+2*margin, max(size.X, size.Y))
	}
	title := p.Name
	if p.Was != "" {
		title += " (was " + p.Was + ")"
	}
	return drawn{title: title, width: size.X + 2*margin, height: size.Y + 2*margin, body: s.String()}
}

// sketch writes SVG with y down.
type sketch struct {
	strings.Builder
	at func(plane.Point) plane.Point
}

func num(x float64) string { return string(decimal.Append(nil, x, 3)) }

func (s *sketch) pair(p plane.Point) string {
	q := s.at(p)
	return num(q.X) + " " + num(q.Y)
}

// flat draws outline, openings, holes and folds.
func (s *sketch) flat(class string, f *panel.Flat, m plane.Affine) {
	s.path(class, f.Outer.Transform(m))
	for _, l := range f.Inner {
		s.path(class, l.Transform(m))
	}
	for _, p := range f.Points {
		c, r := s.at(m.Apply(p.At)), p.Diameter/2
		fmt.Fprintf(s, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`+"\n", class, num(c.X), num(c.Y), num(r))
	}
	for _, x := range f.Folds {
		fmt.Fprintf(s, `<path class="%s fold" d="M%sL%s"/>`+"\n", class, s.pair(m.Apply(x.From)), s.pair(m.Apply(x.To)))
	}
}

// path writes a closed loop, arcs as arcs.
func (s *sketch) path(class string, l plane.Loop) {
	fmt.Fprintf(s, `<path class="%s" d="M%s`, class, s.pair(l[0].P))
	for _, e := range l.Edges() {
		if e.Straight() {
			s.WriteString("L" + s.pair(e.To))
			continue
		}
		sweep := "0" // counter-clockwise, on a page with y down
		if e.Bulge < 0 {
			sweep = "1"
		}
		large := "0"
		if math.Abs(e.Bulge) > 1 {
			large = "1"
		}
		r := num(e.Radius())
		s.WriteString("A" + r + " " + r + " 0 " + large + " " + sweep + " " + s.pair(e.To))
	}
	s.WriteString("Z\"/>\n")
}

// moves draws a line from each moved hole's old place to its new one and, where
// there is room, its name; the text tells how far.
func (s *sketch) moves(f *Flat, width, extent float64) {
	high := max(2.5, extent/70)
	var taken []plane.Box
	for _, h := range f.Holes {
		if h.Change != Changed || h.Moved <= metalTol {
			continue
		}
		fmt.Fprintf(s, `<path class="move" d="M%sL%s"/>`+"\n", s.pair(h.from), s.pair(h.to))
		p := s.at(h.to)
		long := float64(0.62 * high * float64(len(h.Name)))
		x, anchor := p.X+float64(h.NewDiameter/2)+float64(high/4), "start"
		box := plane.Box{Min: plane.Point{X: x, Y: p.Y - high}, Max: plane.Point{X: x + long, Y: p.Y + high}}
		if box.Max.X > width {
			x, anchor = p.X-float64(h.NewDiameter/2)-float64(high/4), "end"
			box.Min.X, box.Max.X = x-long, x
		}
		if slices.ContainsFunc(taken, box.Overlaps) {
			continue
		}
		taken = append(taken, box)
		fmt.Fprintf(s, `<text x="%s" y="%s" font-size="%s" text-anchor="%s">%s</text>`+"\n", num(x), num(p.Y+float64(0.35*high)), num(high), anchor, html.EscapeString(h.Name))
	}
}

// SVG writes the overlays one below the other, each as wide as the widest, with a
// key. A difference without a changed part is a drawing that says so.
func (d *Difference) SVG(w io.Writer) error {
	const wide, top, title, gap = 900.0, 52.0, 26.0, 18.0
	var b strings.Builder
	y := top
	for _, o := range d.overlays() {
		k := min(wide/o.width, 700/o.height)
		fmt.Fprintf(&b, `<text x="0" y="%s" font-size="15" font-weight="bold">%s</text>`+"\n", num(y+16), html.EscapeString(o.title))
		y += title
		fmt.Fprintf(&b, `<svg x="0" y="%s" width="%s" height="%s" viewBox="0 0 %s %s">`+"\n%s</svg>\n",
			num(y), num(o.width*k), num(o.height*k), num(o.width), num(o.height), o.body)
		y += float64(o.height*k) + gap
	}
	if y == top {
		fmt.Fprintf(&b, `<text x="0" y="%s" font-size="15">no part changed</text>`+"\n", num(y+16))
		y += title + gap
	}
	_, err := fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" class="overlay" width="940" height="%s" viewBox="-20 -10 940 %s">
<title>%s</title>
<style>%s</style>
<rect x="-20" y="-10" width="940" height="%s" fill="#fff"/>
%s%s</svg>
`, num(y+20), num(y+20), html.EscapeString(d.New.Design), overlayStyle, num(y+20), d.key(), b.String())
	return err
}

// key says which line is which.
func (d *Difference) key() string {
	return fmt.Sprintf(`<line class="old" x1="0" y1="10" x2="44" y2="10"/><text class="was" x="54" y="15" font-size="14">old: %s</text>
<line class="new" x1="0" y1="34" x2="44" y2="34"/><text class="is" x="54" y="39" font-size="14">new: %s</text>
`, html.EscapeString(d.Old.title()), html.EscapeString(d.New.title()))
}

func (n Named) title() string {
	if n.Revision == "" {
		return n.Name
	}
	return n.Name + ", revision " + n.Revision
}
