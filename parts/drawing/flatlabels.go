package drawing

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"perch/parts/decimal"
	"perch/parts/drawing/layout"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

// labels places the folds' texts first, as they matter most, then the holes', then
// the faces' names, and writes those that found a place.
func (d *flatDrawing) labels() {
	d.ways()
	d.group("label", func() {
		for _, s := range d.shown {
			p, size := s.at.centre, s.size
			u := s.at.along
			// The baseline runs a third of the letters' size below the middle.
			drop := 0.35 * size
			p = plane.Point{X: p.X - float64(u.Y*drop), Y: p.Y + float64(u.X*drop)}
			d.text(s.class, "middle", s.content, p, size, degrees(u))
		}
	})
}

// placeLabels fills d.shown and d.unsaid.
func (d *flatDrawing) placeLabels() {
	for i := range d.f.Folds {
		d.placeFold(&d.f.Folds[i])
	}
	for _, h := range d.holes() {
		d.placeHole(h)
	}
	d.placeWays()
	for _, f := range d.f.Faces {
		d.placeFace(f)
	}
}

// place puts the text into the first free candidate.
func (d *flatDrawing) place(class, content string, size float64, candidates []block) bool {
	at, ok := d.page.try(candidates)
	if ok {
		d.shown = append(d.shown, placed{class, content, at, size})
	}
	return ok
}

func foldWords(s *panel.FlatFold, p measure.Paper) (class, content string) {
	class = "up"
	if s.Down {
		class = "down"
	}
	angle := string(decimal.Append(nil, s.Bend.Angle*180/math.Pi, 2))
	return class, class + " " + angle + "° R" + p.Fine(s.Bend.Radius)
}

// placeFold looks along the fold, on both sides, from the middle outwards.
func (d *flatDrawing) placeFold(s *panel.FlatFold) {
	class, content := foldWords(s, d.opt.Paper)
	from, to := d.at(s.From), d.at(s.To)
	u, long := unit(from, to)
	if u.X < -1e-9 || (math.Abs(u.X) <= 1e-9 && u.Y > 0) {
		from, u = to, plane.Point{X: -u.X, Y: -u.Y} // reads from below or from the right
	}
	across := plane.Point{X: -u.Y, Y: u.X}
	half, rise := textWidth(content, d.sized(foldText))/2, d.sized(foldText*0.6)
	gap := d.sized(lineGap)
	var candidates []block
	for _, off := range []float64{rise + gap, float64(2*(rise+gap)) + d.sized(1), float64(3*rise) + float64(4*gap) + d.sized(2)} {
		for _, part := range []float64{0.5, 0.3, 0.7, 0.15, 0.85} {
			for _, side := range []float64{-1, 1} {
				a, o := part*long, side*off
				c := plane.Point{X: from.X + float64(u.X*a) + float64(across.X*o), Y: from.Y + float64(u.Y*a) + float64(across.Y*o)}
				candidates = append(candidates, block{c, u, half, rise})
			}
		}
	}
	if !d.place(class, content, d.sized(foldText), candidates) {
		d.unsaid = append(d.unsaid, s.Name+": "+content)
	}
}

// hole is a round opening or a place to drill.
type hole struct {
	centre   plane.Point
	diameter float64
	drill    bool
	inPlace  bool
}

func (d *flatDrawing) holes() []hole {
	var hs []hole
	for _, l := range d.inner {
		if c, r, ok := layout.Circle(l); ok {
			hs = append(hs, hole{centre: c, diameter: 2 * r})
		}
	}
	for _, p := range d.f.Points {
		if p.Kind == panel.Drill {
			hs = append(hs, hole{p.At, p.Diameter, true, p.Made() == panel.InPlace})
		}
	}
	return hs
}

func (h hole) words(p measure.Paper) string {
	s := "Ø" + p.Fine(h.diameter)
	switch {
	case h.inPlace:
		return s + " in place"
	case h.drill:
		return "drill " + s
	}
	return s
}

// placeHole looks at eight places around the hole.
func (d *flatDrawing) placeHole(h hole) {
	content := h.words(d.opt.Paper)
	half, rise := float64(textWidth(content, d.sized(holeText))/2), d.sized(holeText*0.6)
	c, r := d.at(h.centre), float64(h.diameter/2)+d.sized(lineGap)
	if h.drill {
		r = math.Max(r, 1.5+d.sized(lineGap))
	}
	const slant = 0.7
	var candidates []block
	for _, k := range [][2]float64{{1, 0}, {-1, 0}, {0, -1}, {0, 1}, {1, -1}, {1, 1}, {-1, -1}, {-1, 1}} {
		reach := r
		if k[0] != 0 && k[1] != 0 {
			reach = float64(r * slant)
		}
		candidates = append(candidates, block{
			plane.Point{X: c.X + float64(k[0]*(reach+half)), Y: c.Y + float64(k[1]*(reach+rise))},
			plane.Point{X: 1}, half, rise})
	}
	d.place("hole", content, d.sized(holeText), candidates)
}

// placeFace looks over a lattice on the face's bounds, ring by ring from its middle.
func (d *flatDrawing) placeFace(f panel.FlatFace) {
	outline := layout.Polyline(f.Loop, flatSag)
	if len(outline) < 3 {
		return
	}
	box := f.Loop.Bounds()
	mid, size := box.Center(), box.Size()
	half, rise := textWidth(f.Name, d.sized(faceText))/2, d.sized(faceText*0.6)
	const steps = 6 // each way from the middle
	for ring := range 2*steps + 1 {
		for i := -min(ring, steps); i <= min(ring, steps); i++ {
			j := ring - max(i, -i)
			if j > steps {
				continue
			}
			for _, j := range []int{j, -j} {
				p := plane.Point{X: mid.X + size.X*float64(j)/(2*steps+1), Y: mid.Y + size.Y*float64(i)/(2*steps+1)}
				level, upright := block{d.at(p), plane.Point{X: 1}, half, rise}, block{d.at(p), plane.Point{Y: -1}, half, rise}
				if d.onMetal(outline, p) && d.place("face", f.Name, d.sized(faceText), []block{level, upright}) {
					return
				}
			}
		}
	}
}

// onMetal reports whether p lies in the face and in no opening.
func (d *flatDrawing) onMetal(face []plane.Point, p plane.Point) bool {
	if !inside(face, p) {
		return false
	}
	for _, l := range d.inner {
		if l.Bounds().Holds(p) && inside(layout.Polyline(l, flatSag), p) {
			return false
		}
	}
	return true
}

// inside reports whether p lies in the closed polygon, by crossing parity.
func inside(pts []plane.Point, p plane.Point) bool {
	in := false
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+float64((p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X)) {
			in = !in
		}
	}
	return in
}

// title gives the lines below the drawing; it places the labels first, to know
// which folds are still to be told.
func (d *flatDrawing) title() []string {
	d.placeLabels()
	b, paper := d.b, d.opt.Paper
	pieces := strconv.Itoa(b.Count) + " pieces"
	if b.Count == 1 {
		pieces = "1 piece"
	}
	if b.Mirrored > 0 {
		pieces += ", " + strconv.Itoa(b.Mirrored) + " of them mirrored"
	}
	lines := []string{b.Name + " – " + pieces}
	sheet := paper.Size(d.size().X) + " × " + paper.Size(d.size().Y) + paper.Unit()
	if p := d.f.Panel; p != nil {
		sheet = p.Stock.Told().In(paper.System) + " – blank " + sheet
	}
	lines = append(lines, sheet)
	if s := d.holeCount(); s != "" {
		lines = append(lines, s)
	}
	for _, l := range b.Like {
		text := "looks like " + l.Blank
		if l.Over {
			text += " turned over"
		}
		var what []string
		for _, w := range l.Differs {
			what = append(what, w.In(paper.System))
		}
		lines = append(lines, text+": "+strings.Join(what, "; "))
	}
	lines = append(lines, d.unsaid...)
	var of []string
	if d.opt.Design != "" {
		of = append(of, d.opt.Design)
		if d.opt.Size != "" {
			of = append(of, "size "+d.opt.Size)
		}
	}
	if d.opt.Revision != "" {
		of = append(of, "revision "+d.opt.Revision)
	}
	if len(of) > 0 {
		lines = append(lines, strings.Join(of, ", "))
	}
	return lines
}

// holeCount lists the diameters with their numbers, smallest first.
func (d *flatDrawing) holeCount() string {
	count := map[string]int{}
	first := map[string]hole{}
	for _, h := range d.holes() {
		w := h.words(d.opt.Paper)
		if count[w]++; count[w] == 1 {
			first[w] = h
		}
	}
	words := make([]string, 0, len(count))
	for w := range count {
		words = append(words, w)
	}
	sort.Slice(words, func(i, j int) bool {
		if a, b := first[words[i]].diameter, first[words[j]].diameter; a != b {
			return a < b
		}
		return words[i] < words[j]
	})
	s := ""
	for i, w := range words {
		if i > 0 {
			s += ", "
		}
		s += strconv.Itoa(count[w]) + " × " + w
	}
	return s
}

func (d *flatDrawing) titleBlock(lines []string) {
	y := d.size().Y + d.sized(marginTop+marginBottom)
	d.raw("<g id=\"title\" class=\"title\">\n")
	for i, s := range lines {
		class := "note"
		if i == 0 {
			class = "strong"
		}
		d.text(class, "start", s, plane.Point{X: d.sized(marginTop), Y: y + d.sized((float64(i)+0.7)*titleLine)}, d.sized(titleText), 0)
	}
	d.raw("</g>\n")
}
