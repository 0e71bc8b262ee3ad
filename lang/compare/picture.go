package compare

import (
	"fmt"
	"html"
	"math"
	"slices"
	"strings"

	"perch/parts/panel"
	"perch/parts/plane"
)

// picture is the old flat of some parts over their new one, on a sheet of paper.
type picture struct {
	title         string
	width, height float64 // of the metal drawn, margin and all, mm
	body          string  // SVG in mm of metal
	spots         string  // SVG of what shows where the details are
	details       []detail
}

// detail is a place of a picture enlarged.
type detail struct {
	letter string
	title  string
	at     plane.Point // its middle, in the picture
	side   float64     // of the square that it shows, mm of metal
}

// paper and detail sizes, mm.
const (
	paperWide  = 180.0
	paperHigh  = 185.0
	detailSide = 42.0
	seen       = 1.5 // less than this on paper is enlarged
	mostSpots  = 4   // details of a picture
)

// scales are those that drawings are made to: 1 : n.
var scales = []float64{1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 30, 50, 100, 200}

// pictures draws the parts that changed, those that did so alike once, all to one scale.
func (d *Difference) pictures() (out []picture, scale float64) {
	var drawn []*tale
	var box plane.Point
	for _, t := range d.tales() {
		p := t.part
		if p.Change == Renamed || p.old != nil && p.new != nil && p.Flat == nil {
			continue
		}
		drawn = append(drawn, t)
		size := extentOf(p).Size()
		box = plane.Point{X: max(box.X, size.X), Y: max(box.Y, size.Y)}
	}
	scale = scales[len(scales)-1]
	for _, n := range slices.Backward(scales) {
		if box.X/n+2*marginOf <= paperWide && box.Y/n+2*marginOf <= paperHigh {
			scale = n
		}
	}
	for _, t := range drawn {
		out = append(out, d.picture(t, scale))
	}
	return out, scale
}

// marginOf a picture, mm of paper.
const marginOf = 3.0

// onto lays the old flat on the new one.
func (p *Part) onto() plane.Affine {
	if p.Flat != nil {
		return p.Flat.onto
	}
	return plane.Identity()
}

// extentOf is the box around both flats.
func extentOf(p *Part) plane.Box {
	var loops []plane.Loop
	if p.old != nil {
		loops = append(loops, p.old.Flat.Outer.Transform(p.onto()))
	}
	if p.new != nil {
		loops = append(loops, p.new.Flat.Outer)
	}
	box := loops[0].Bounds()
	for _, l := range loops[1:] {
		b := l.Bounds()
		box = box.With(b.Min).With(b.Max)
	}
	return box
}

// picture draws the first of the parts of a tale.
func (d *Difference) picture(t *tale, scale float64) picture {
	p := t.part
	box := extentOf(p)
	margin := float64(marginOf * scale)
	s := &sketch{scale: scale, at: func(q plane.Point) plane.Point {
		return plane.Point{X: q.X - box.Min.X + margin, Y: box.Max.Y - q.Y + margin}
	}}
	var old, new *lines
	if p.old != nil {
		old = linesOf(p.old.Flat, p.onto())
	}
	if p.new != nil {
		new = linesOf(p.new.Flat, plane.Identity())
		s.filled("sheet", p.new.Flat.Outer)
	}
	if old != nil {
		s.flat("old", old, new, false)
	}
	if new != nil { // over the old one, which shows where it lies elsewhere
		s.flat("new", new, old, true)
	}
	out := picture{width: box.Size().X + 2*margin, height: box.Size().Y + 2*margin, title: d.pictureTitle(t)}
	if p.Flat != nil {
		s.moves(p.Flat)
		over := &sketch{scale: scale, at: s.at}
		out.details = d.details(p, over)
		out.spots = over.String()
	}
	out.body = s.String()
	return out
}

// pictureTitle names the parts and sizes, and which of them is drawn.
func (d *Difference) pictureTitle(t *tale) string {
	title := strings.Join(compressed(t.names), ", ")
	if t.part.Was != "" {
		title += " (was " + t.part.Was + ")"
	}
	title += d.where(t.sizes)
	if len(t.names) > 1 || len(t.sizes) > 1 {
		title += fmt.Sprintf("; drawn is %s at %s", t.names[0], t.sizes[0])
	}
	switch t.part.Change {
	case Added:
		title += ": new"
	case Removed:
		title += ": gone"
	}
	return title
}

// moves draws a line from each moved hole's old place to its new one, where that shows.
func (s *sketch) moves(f *Flat) {
	for _, h := range f.Holes {
		if h.Change == Changed && h.from.Dist(h.to) >= float64(seen*s.scale) {
			fmt.Fprintf(s, `<path class="move" d="M%sL%s"/>`+"\n", s.pair(h.from), s.pair(h.to))
		}
	}
}

// spot is a place where something lies elsewhere, too little to be seen.
type spot struct {
	title string
	at    plane.Point // in the new flat
	by    float64     // how far
	size  float64     // of what moved
}

// details enlarges what moved less than shows: of each kind the place where it moved
// most, the outline first.
func (d *Difference) details(p *Part, s *sketch) []detail {
	var out []detail
	for _, x := range d.spots(p) {
		if x.by >= float64(seen*s.scale) || x.by <= drawTol || len(out) == mostSpots {
			continue
		}
		side := detailSide / enlargement(min(max(float64(8*x.by), float64(2.2*x.size)), float64(40*x.by)))
		letter := string(rune('A' + len(out)))
		at := s.at(x.at)
		out = append(out, detail{letter: letter, title: x.title, at: at, side: side})
		r := max(side/2, float64(1.2*s.scale))
		fmt.Fprintf(s, `<circle class="spot" cx="%s" cy="%s" r="%s"/>`+"\n", num(at.X), num(at.Y), num(r))
		fmt.Fprintf(s, `<text class="letter" x="%s" y="%s" font-size="%s">%s</text>`+"\n",
			num(at.X+r), num(at.Y-r), num(3.4*s.scale), html.EscapeString(letter))
	}
	return out
}

// enlargements are those that details are drawn in, n : 1.
var enlargements = []float64{1, 2, 3, 4, 5, 8, 10, 15, 20, 30, 40, 50, 80, 100, 200, 500}

// enlargement is the largest in which a detail shows a square of a side, mm.
func enlargement(side float64) float64 {
	out := enlargements[0]
	for _, n := range enlargements {
		if detailSide/n >= side {
			out = n
		}
	}
	return out
}

// spots are the places that may be enlarged.
func (d *Difference) spots(p *Part) []spot {
	f := p.Flat
	var out []spot
	if f.Outline > 0 {
		at, by := farthest(p.new.Flat.Outer, p.old.Flat.Outer.Transform(f.onto))
		out = append(out, spot{"outline, " + d.moved(f.Outline), at, by, 0})
	}
	best := map[string]int{} // by join or cut, without its index: the one in out that moved most
	add := func(stem string, x spot) {
		i, known := best[stem]
		switch {
		case !known:
			best[stem] = len(out)
			out = append(out, x)
		case x.by > out[i].by:
			out[i] = x
		}
	}
	for _, h := range f.Holes {
		if h.Change == Changed && h.Moved > 0 {
			add("hole "+base(h.Name), spot{"hole " + h.Name + ", " + d.moved(h.Moved), h.to, h.from.Dist(h.to), h.NewDiameter})
		}
	}
	olds, news := cutsByName(p.old.Flat), cutsByName(p.new.Flat)
	for _, c := range f.Cuts {
		was, is := olds[c.Name], news[c.Name]
		if c.Change == Changed && c.Moved+c.Edge > 0 && was != nil && is != nil {
			at, by := farthest(is, was.Transform(f.onto))
			add("cut "+stemOf(c.Name), spot{"cut " + c.Name + ", " + d.moved(max(c.Moved, c.Edge)), at, by, 0})
		}
	}
	return out
}

// cutsByName are the cuts of a flat by the face's name and their own.
func cutsByName(f *panel.Flat) map[string]plane.Loop {
	out := map[string]plane.Loop{}
	for _, c := range f.Cuts {
		out[f.Faces[c.Face].Name+"."+c.Name] = c.Loop
	}
	return out
}

// farthest is the place of loop a that lies farthest from b, and how far that is.
func farthest(a, b plane.Loop) (at plane.Point, by float64) {
	by = math.Inf(-1)
	for _, e := range a.Edges() {
		for _, p := range [2]plane.Point{e.From, e.Mid()} {
			if far, _ := (plane.Region{b}).DistanceTo(p); far > by {
				at, by = p, far
			}
		}
	}
	return at, by
}

// svg writes the picture, id as the name under which its details show it again. Place is
// where it stands in a drawing, in that drawing's mm; "" in a page.
func (p *picture) svg(id string, scale float64, place string) string {
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" class="overlay" role="img" aria-label="%s" %s viewBox="0 0 %s %s"><g id="%s">`+"\n%s</g>\n%s</svg>\n",
		html.EscapeString(p.title+": old and new flat"), sized(place, p.width/scale, p.height/scale), num(p.width), num(p.height), id, p.body, p.spots)
}

// sized writes the size of a picture, mm: with its unit in a page, without in a drawing,
// whose own units are mm.
func sized(place string, wide, high float64) string {
	if place == "" {
		return fmt.Sprintf(`width="%smm" height="%smm"`, num(wide), num(high))
	}
	return fmt.Sprintf(`%s width="%s" height="%s"`, place, num(wide), num(high))
}

// svg writes the detail of the picture of that id.
func (x *detail) svg(id, place string) string {
	h := float64(x.side / 2)
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" class="overlay detail" role="img" aria-label="%s" %s viewBox="%s %s %s %s"><use href="#%s"/></svg>`+"\n",
		html.EscapeString(x.letter+": "+x.title), sized(place, detailSide, detailSide), num(x.at.X-h), num(x.at.Y-h), num(x.side), num(x.side), id)
}

// ratio tells how much a detail is enlarged: 5 : 1.
func (x *detail) ratio() string { return ratio(x.side / detailSide) }

// ratio writes a scale, n mm of metal on one of paper, so that no line breaks in it.
func ratio(n float64) string {
	if n >= 1 {
		return "1\u00a0:\u00a0" + num(math.Round(n))
	}
	return num(math.Round(1/n)) + "\u00a0:\u00a01"
}
