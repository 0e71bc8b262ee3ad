package cutplan

import (
	"perch/parts/drawing"
	"perch/parts/measure"
	"perch/parts/plane"
)

// Caption is what a sheet's picture says beside what is in its plan.
type Caption struct {
	Title string        // such as sheet 1 of 2: mild_steel 1.5 mm, 2500 × 1250 mm
	Lines []string      // below it
	Paper measure.Paper // how sizes are written
	Left  plane.Region  // saved for the next job; may be nil
}

// Picture draws a sheet to hang at the table, on one A3 page: blanks with their
// numbers, torch lines with their direction, pierces with theirs, travel, the
// sheet's size, what is left over with its own, and the list of blanks. Blanks that
// the plan does not cut are shown by their outline alone.
func Picture(p *Plan, c Caption) *drawing.Page { return sketched(p, c).page }

func sketched(p *Plan, c Caption) *sketch {
	s := newSketch(p, c)
	s.caption(c)
	s.sheet(c.Left)
	s.cuts()
	s.numbers()
	s.sizes()
	s.pierces()
	s.legend()
	return s
}

// Sizes on the page, mm.
const (
	pageLong, pageShort = 420.0, 297.0 // A3
	pageEdge            = 10.0
	titleSize           = 6.5
	lineSize            = 3.6
	dimRoom             = 16.0 // beside and below the sheet
	dimSize             = 4.0
	legendSize          = 3.3
	legendStep          = 4.6
	legendWide          = 78.0
	legendMost          = 12 // lines of the list
	cutWide             = 0.28
	markWide            = 0.12
	travelWide          = 0.22
	pierceRadius        = 0.55
	chordOnPage         = 0.02
)

// The page's tones.
var (
	black      = drawing.Tone{Hue: drawing.Grey}
	dimTone    = drawing.Tone{Hue: drawing.Grey, Light: 0.4}
	metalTone  = drawing.Tone{Hue: drawing.Steel, Light: 1.55}
	edgeTone   = drawing.Tone{Hue: drawing.Steel, Light: 0.5}
	partTone   = drawing.Tone{Hue: drawing.Blue, Light: 1.6}
	idleTone   = drawing.Tone{Hue: drawing.Steel, Light: 0.75}
	leftTone   = drawing.Tone{Hue: drawing.Green, Light: 1.75}
	leftEdge   = drawing.Tone{Hue: drawing.Green, Light: 0.9}
	cutTone    = drawing.Tone{Hue: drawing.Red, Light: 1}
	foldTone   = drawing.Tone{Hue: drawing.Green, Light: 0.6}
	travelTone = drawing.Tone{Hue: drawing.Orange, Light: 1}
	paper      = drawing.Tone{Hue: drawing.Grey, Light: 2}
)

// sketch is a picture under way.
type sketch struct {
	p       *Plan
	paper   measure.Paper
	page    *drawing.Page
	scale   float64      // page mm to the sheet's mm
	origin  plane.Point  // of the sheet's box, on the page
	box     plane.Box    // of the sheet
	entries []string     // of the legend
	low     float64      // where the legend starts
	taken   []plane.Box  // by words, on the page
	lines   plane.Places // of cuts and travel, short pieces, on the page
	marks   []plane.Box  // of scribed lines and drill marks, on the page
	// Blanks and pierces that found no room for their numbers.
	unnumbered, unsaid int
}

func newSketch(p *Plan, c Caption) *sketch {
	s := &sketch{p: p, paper: c.Paper, box: p.Sheet.Metal.Bounds(), entries: entries(p)}
	size := s.box.Size()
	wide, high := pageLong, pageShort
	if size.Y > 1.1*size.X {
		wide, high = high, wide
	}
	s.page = &drawing.Page{Wide: wide, High: high}
	top := pageEdge + titleSize + float64(float64(len(c.Lines))*(lineSize+1.4)) + 4
	columns := max(1, int((wide-2*pageEdge)/legendWide))
	rows := min(legendMost, (len(s.entries)+columns-1)/columns)
	s.low = high - pageEdge - float64(float64(rows+2)*legendStep)
	room := plane.Point{X: wide - 2*pageEdge - dimRoom, Y: s.low - top - dimRoom}
	s.scale = min(room.X/size.X, room.Y/size.Y)
	s.origin = plane.Point{
		X: pageEdge + dimRoom + float64((room.X-float64(size.X*s.scale))/2),
		Y: top + float64(size.Y*s.scale),
	}
	return s
}

// at takes a place on the sheet to the page.
func (s *sketch) at(p plane.Point) plane.Point {
	return plane.Point{X: s.origin.X + float64((p.X-s.box.Min.X)*s.scale), Y: s.origin.Y - float64((p.Y-s.box.Min.Y)*s.scale)}
}

func (s *sketch) loops(r plane.Region) [][]plane.Point {
	out := make([][]plane.Point, len(r))
	for i, l := range r {
		for _, p := range plane.Flatten(l, chordOnPage/s.scale) {
			out[i] = append(out[i], s.at(p))
		}
	}
	return out
}

// path is a run of edges as a line on the page.
func (s *sketch) path(edges []plane.Edge) []plane.Point {
	out := []plane.Point{s.at(edges[0].From)}
	for _, e := range edges {
		pts := []plane.Point{e.From, e.To}
		if e.Bulge != 0 {
			pts = plane.Flatten(plane.Loop{{P: e.From, Bulge: e.Bulge}, {P: e.To}}, chordOnPage/s.scale)
		}
		for _, p := range pts[1:] {
			out = append(out, s.at(p))
		}
	}
	return out
}

// caption writes the title and what stands below it.
func (s *sketch) caption(c Caption) {
	y := pageEdge + titleSize
	s.page.Text(black, plane.Point{X: pageEdge, Y: y}, titleSize, false, true, c.Title)
	for _, l := range c.Lines {
		y += lineSize + 1.4
		s.page.Text(black, plane.Point{X: pageEdge, Y: y}, lineSize, false, false, l)
	}
}

// sheet draws the metal, what is saved of it, and the blanks.
func (s *sketch) sheet(left plane.Region) {
	s.page.Fill(metalTone, s.loops(s.p.Sheet.Metal)...)
	if len(left) > 0 {
		s.page.Fill(leftTone, s.loops(left)...)
		s.page.Stroke(leftEdge, 0.2, true, s.loops(left)...)
	}
	for i := range s.p.Sheet.Parts {
		loops := s.loops(s.p.Sheet.Parts[i].Region)
		if s.p.Holds(i) {
			s.page.Fill(partTone, loops...)
		} else {
			s.page.Stroke(idleTone, 0.15, true, loops...)
		}
		for _, m := range s.p.marks(i) {
			s.mark(&m)
		}
	}
	s.page.Stroke(edgeTone, 0.35, true, s.loops(s.p.Sheet.Metal)...)
}

// mark draws what is scribed as a thin line, text as its strokes, and folds dashed.
func (s *sketch) mark(m *Mark) {
	for _, edges := range m.Lines() {
		line := s.path(edges)
		s.marks = append(s.marks, pieces(line)...)
		if !m.fold() {
			s.page.Stroke(dimTone, markWide, false, line)
			continue
		}
		s.fold(line[0], line[len(line)-1], m.Kind == FoldDown)
	}
}

// fold draws a bend's middle: long strokes where it goes up, short ones down.
func (s *sketch) fold(a, b plane.Point, down bool) {
	on := 2.4
	if down {
		on = 1.2
	}
	s.page.Stroke(foldTone, markWide, false, dashes(a, b, on, 0.9)...)
}

// cuts draws travel, torch lines with arrows, and pierces.
func (s *sketch) cuts() {
	const between = 70.0 // from arrow to arrow along a cut
	at := s.p.Options.From
	var dots [][]plane.Point
	for i := range s.p.Cuts {
		for _, r := range s.p.Cuts[i].Runs {
			s.travel(s.at(at), s.at(r[0].From))
			line := s.path(r)
			s.page.Stroke(cutTone, cutWide, false, line)
			s.cross(line)
			long := lineLength(line)
			n := max(1, int(long/between))
			for k := range n {
				if p, u, ok := alongLine(line, long*(float64(k)+0.37)/float64(n)); ok && long > 4 {
					s.arrow(cutTone, p, u)
				}
			}
			dots = append(dots, dot(s.at(r[0].From), pierceRadius))
			at = lastOf(r).To
		}
	}
	s.page.Fill(cutTone, dots...)
	const cross = 1.0 // half of a drill mark
	for _, d := range s.p.Drills {
		c := s.at(d.At)
		s.page.Stroke(black, 0.2, false, []plane.Point{{X: c.X - cross, Y: c.Y}, {X: c.X + cross, Y: c.Y}}, []plane.Point{{X: c.X, Y: c.Y - cross}, {X: c.X, Y: c.Y + cross}})
	}
}

// travel is a dashed line with an arrow where it is long.
func (s *sketch) travel(a, b plane.Point) {
	const on, off = 1.8, 1.2
	d := b.Sub(a)
	long := d.Len()
	if long < 0.01 {
		return
	}
	u := d.Scale(1 / long)
	s.page.Stroke(travelTone, travelWide, false, dashes(a, b, on, off)...)
	s.cross([]plane.Point{a, b})
	if long > 10 {
		s.arrow(travelTone, a.Add(u.Scale(0.55*long)), u)
	}
}

// dashes are the strokes from a to b, each so long, so far apart.
func dashes(a, b plane.Point, on, off float64) [][]plane.Point {
	long := a.Dist(b)
	u := b.Sub(a).Scale(1 / long)
	var out [][]plane.Point
	for t := 0.0; t < long; t += on + off {
		out = append(out, []plane.Point{a.Add(u.Scale(t)), a.Add(u.Scale(min(long, t+on)))})
	}
	return out
}

// cross notes where a cut or travel runs.
func (s *sketch) cross(line []plane.Point) {
	for _, b := range pieces(line) {
		s.lines.Add(b)
	}
}

// pieces are where a line runs, in boxes short enough to say.
func pieces(line []plane.Point) []plane.Box {
	const piece = 1.5
	var out []plane.Box
	for i := 0; i+1 < len(line); i++ {
		d := line[i+1].Sub(line[i])
		n := int(d.Len()/piece) + 1
		for k := range n {
			a, b := line[i].Add(d.Scale(float64(k)/float64(n))), line[i].Add(d.Scale(float64(k+1)/float64(n)))
			out = append(out, plane.EmptyBox().With(a).With(b))
		}
	}
	return out
}

func (s *sketch) arrow(t drawing.Tone, tip, u plane.Point) {
	const long, slim = 2.2, 0.7
	n := u.Perp().Scale(slim)
	back := tip.Sub(u.Scale(long))
	s.page.Fill(t, []plane.Point{tip, back.Add(n), back.Sub(n)})
}

func dot(c plane.Point, r float64) []plane.Point {
	var out []plane.Point
	for _, p := range plane.Flatten(plane.Circle(2*r), 0.01) {
		out = append(out, c.Add(p))
	}
	return out
}

func lineLength(l []plane.Point) float64 {
	var s float64
	for i := 0; i+1 < len(l); i++ {
		s += l[i].Dist(l[i+1])
	}
	return s
}

// alongLine is the place so far along a line, and its direction there.
func alongLine(l []plane.Point, far float64) (p, u plane.Point, ok bool) {
	for i := 0; i+1 < len(l); i++ {
		d := l[i].Dist(l[i+1])
		if far <= d && d > 0 {
			u = l[i+1].Sub(l[i]).Scale(1 / d)
			return l[i].Add(u.Scale(far)), u, true
		}
		far -= d
	}
	return p, u, false
}

// sizes dimensions the sheet, and what is left of it.
func (s *sketch) sizes() {
	size := s.box.Size()
	a, b := s.at(s.box.Min), s.at(s.box.Max)
	y, x := a.Y+7, a.X-5
	s.dimension(plane.Point{X: a.X, Y: y}, plane.Point{X: b.X, Y: y})
	s.page.Stroke(dimTone, 0.15, false, []plane.Point{{X: a.X, Y: a.Y + 1.5}, {X: a.X, Y: y + 1.5}}, []plane.Point{{X: b.X, Y: a.Y + 1.5}, {X: b.X, Y: y + 1.5}})
	s.dimension(plane.Point{X: x, Y: a.Y}, plane.Point{X: x, Y: b.Y})
	s.page.Stroke(dimTone, 0.15, false, []plane.Point{{X: x - 1.5, Y: a.Y}, {X: a.X - 1.5, Y: a.Y}}, []plane.Point{{X: x - 1.5, Y: b.Y}, {X: a.X - 1.5, Y: b.Y}})
	s.label(s.paper.Rough(size.X), plane.Point{X: (a.X + b.X) / 2, Y: y}, dimSize, black, false)
	across := s.paper.Rough(size.Y)
	wide := drawing.TextWidth(across, dimSize, false)
	s.label(across, plane.Point{X: x - 1.5 - float64(wide/2), Y: (a.Y + b.Y) / 2}, dimSize, black, false)
	if r := s.p.Sheet.Remnant; !r.Empty() && r.Size() != (plane.Point{}) {
		s.remnant(r)
	}
}

func (s *sketch) dimension(a, b plane.Point) {
	s.page.Stroke(dimTone, 0.15, false, []plane.Point{a, b})
	u := b.Sub(a).Unit()
	s.arrow(dimTone, b, u)
	s.arrow(dimTone, a, u.Neg())
}

// remnant draws the largest rectangle left over, with its size in it.
func (s *sketch) remnant(r plane.Box) {
	a, b := s.at(r.Min), s.at(r.Max)
	corners := []plane.Point{a, {X: b.X, Y: a.Y}, b, {X: a.X, Y: b.Y}}
	s.page.Stroke(leftEdge, 0.35, true, corners)
	text := s.paper.Rough(r.Size().X) + " × " + s.paper.Rough(r.Size().Y) + " left over"
	for size := 7.0; size >= 2.5; size -= 0.5 {
		wide := drawing.TextWidth(text, size, true)
		if wide > b.X-a.X-2 || size > a.Y-b.Y-1 {
			continue
		}
		for _, k := range [...]float64{0.5, 0.25, 0.75, 0.1, 0.9} {
			c := plane.Point{X: float64((a.X + b.X) / 2), Y: a.Y + float64((b.Y-a.Y)*k)}
			if h := float64(size / 2); c.Y+h <= a.Y && c.Y-h >= b.Y && s.free(words(c, wide, size)) {
				s.label(text, c, size, leftEdge, true)
				return
			}
		}
	}
}
