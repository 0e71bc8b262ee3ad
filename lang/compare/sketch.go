package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"perch/parts/decimal"
	"perch/parts/lettering"
	"perch/parts/panel"
	"perch/parts/plane"
)

// drawTol is how far, in mm, a line may lie elsewhere and be drawn as unchanged: less than
// a cutter holds.
const drawTol = 0.05

// sketch writes SVG in mm with y down.
type sketch struct {
	strings.Builder
	at    func(plane.Point) plane.Point
	scale float64 // mm of metal on a mm of paper
}

func num(x float64) string { return string(decimal.Append(nil, x, 3)) }

func (s *sketch) pair(p plane.Point) string {
	q := s.at(p)
	return num(q.X) + " " + num(q.Y)
}

// lines are the loops of a flat laid on the new one, what is made of them, and which
// lines the other flat has too.
type lines struct {
	flat  *panel.Flat
	onto  plane.Affine
	loops []plane.Loop // the outline first
	boxes []plane.Box  // around them, by drawTol larger
	holes byPlace      // the places of joins
}

func linesOf(f *panel.Flat, onto plane.Affine) *lines {
	l := &lines{flat: f, onto: onto, loops: []plane.Loop{f.Outer.Transform(onto)}}
	for _, x := range f.Inner {
		l.loops = append(l.loops, x.Transform(onto))
	}
	for _, x := range l.loops {
		l.boxes = append(l.boxes, x.Bounds().Grow(drawTol))
	}
	at := make([]plane.Point, len(f.Points))
	for i, p := range f.Points {
		at[i] = onto.Apply(p.At)
	}
	l.holes = placesOf(at)
	return l
}

// piece is a stretch of an edge that lies on the other flat's lines, or does not.
type piece struct {
	plane.Edge
	same bool
}

// pieces takes an edge apart where it leaves the lines of l and comes back to them; an arc
// stays whole.
func (l *lines) pieces(e plane.Edge) []piece {
	if l == nil || !e.Straight() {
		return []piece{{e, l.has(e)}}
	}
	var straight []plane.Edge
	box := plane.Box{Min: e.From, Max: e.From}.With(e.To)
	for i, loop := range l.loops {
		if !l.boxes[i].Overlaps(box) {
			continue
		}
		for _, f := range loop.Edges() {
			if f.Straight() {
				straight = append(straight, f)
			}
		}
	}
	return apartAlong(e, straight)
}

// foldPieces takes a fold line apart in the same way, by the fold lines of l.
func (l *lines) foldPieces(e plane.Edge) []piece {
	var folds []plane.Edge
	if l != nil {
		for _, x := range l.flat.Folds {
			folds = append(folds, plane.Edge{From: l.onto.Apply(x.From), To: l.onto.Apply(x.To)})
		}
	}
	return apartAlong(e, folds)
}

// apartAlong takes a straight edge apart where others that lie on it begin and end.
func apartAlong(e plane.Edge, others []plane.Edge) []piece {
	long := e.Chord()
	if long == 0 {
		return nil
	}
	var out []piece
	put := func(lo, hi float64, same bool) {
		if hi-lo > drawTol {
			out = append(out, piece{plane.Edge{From: e.From.Lerp(e.To, lo/long), To: e.From.Lerp(e.To, hi/long)}, same})
		}
	}
	done := 0.0
	for _, s := range along(e, others) {
		lo, hi := max(s.lo, done), min(s.hi, long)
		if hi > lo+drawTol {
			put(done, lo, false)
			put(lo, hi, true)
			done = hi
		}
	}
	put(done, long, false)
	if len(out) == 0 {
		out = []piece{{e, true}}
	}
	out[0].From, out[len(out)-1].To = e.From, e.To
	return out
}

// along are the stretches of a straight edge, from its start, on which others lie, in order.
func along(e plane.Edge, others []plane.Edge) []span {
	var out []span
	dir := e.To.Sub(e.From).Unit()
	for _, f := range others {
		a, b := f.From.Sub(e.From), f.To.Sub(e.From)
		if math.Abs(a.Cross(dir)) <= drawTol && math.Abs(b.Cross(dir)) <= drawTol {
			out = append(out, span{min(a.Dot(dir), b.Dot(dir)), max(a.Dot(dir), b.Dot(dir))})
		}
	}
	slices.SortFunc(out, func(a, b span) int { return cmp.Compare(a.lo, b.lo) })
	return out
}

// has tells whether an edge lies on one of the loops.
func (l *lines) has(e plane.Edge) bool {
	if l == nil {
		return false
	}
	for i, loop := range l.loops {
		all := l.boxes[i].Holds(e.From) && l.boxes[i].Holds(e.To)
		if !all {
			continue
		}
		for _, p := range [3]plane.Point{e.From, e.Mid(), e.To} {
			far, _ := plane.Region{loop}.DistanceTo(p)
			all = all && far <= drawTol
		}
		if all {
			return true
		}
	}
	return false
}

func (l *lines) hasHole(at plane.Point, diameter float64) bool {
	return l != nil && slices.ContainsFunc(l.holes.near(at, drawTol), func(i int) bool {
		return math.Abs(l.flat.Points[i].Diameter-diameter) <= drawTol
	})
}

// hasMark tells whether the flat has a mark of another one laid on it by onto.
func (l *lines) hasMark(m *panel.FlatMark, onto plane.Affine) bool {
	if l == nil {
		return false
	}
	back, err := l.onto.Inverse() // one of the two maps is the identity
	if err != nil {
		return false
	}
	for i := range l.flat.Marks {
		if sameMark(m, &l.flat.Marks[i], onto.Then(back)) {
			return true
		}
	}
	return false
}

// overwrites tells whether a text of the old flat, laid on the new one by onto, would be
// drawn under another one that stands in its place.
func (l *lines) overwrites(old *panel.FlatMark, onto plane.Affine) bool {
	if l == nil || old.Kind != panel.MarkText {
		return false
	}
	for i := range l.flat.Marks {
		m := &l.flat.Marks[i]
		if m.Kind == panel.MarkText && m.Name == old.Name && m.At.Dist(onto.Apply(old.At)) < m.Height {
			return true
		}
	}
	return false
}

// flat draws outline, openings, holes, folds and marks of one side: what the other has
// too only where the side is the new one, so that it recedes and is drawn once.
func (s *sketch) flat(class string, l, other *lines, both bool) {
	name := func(same bool) (string, bool) {
		if same {
			return "both", both
		}
		return class, true
	}
	for _, loop := range l.loops {
		s.loop(loop, other, name)
	}
	for _, p := range l.flat.Points {
		at := l.onto.Apply(p.At)
		if c, draw := name(other.hasHole(at, p.Diameter)); draw {
			q := s.at(at)
			fmt.Fprintf(s, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`+"\n", c, num(q.X), num(q.Y), num(p.Diameter/2))
		}
	}
	for _, x := range l.flat.Folds {
		for _, p := range other.foldPieces(plane.Edge{From: l.onto.Apply(x.From), To: l.onto.Apply(x.To)}) {
			if c, draw := name(p.same); draw {
				fmt.Fprintf(s, `<path class="%s fold" d="M%sL%s"/>`+"\n", c, s.pair(p.From), s.pair(p.To))
			}
		}
	}
	for i := range l.flat.Marks {
		m := &l.flat.Marks[i]
		if c, draw := name(other.hasMark(m, l.onto)); draw && (both || !other.overwrites(m, l.onto)) {
			s.mark(c, m, l.onto)
		}
	}
}

// loop writes a closed loop as paths of pieces that are alike changed or not.
func (s *sketch) loop(l plane.Loop, other *lines, name func(same bool) (string, bool)) {
	var all []piece
	for _, e := range l.Edges() {
		all = append(all, other.pieces(e)...)
	}
	n := len(all)
	start := 0 // where what is changed begins or ends, so that no path is torn at the loop's first corner
	for i := 1; i < n && start == 0; i++ {
		if all[i].same != all[i-1].same {
			start = i
		}
	}
	for done := 0; done < n; {
		first := all[(start+done)%n]
		var b strings.Builder
		b.WriteString("M" + s.pair(first.From))
		k := 0
		for ; done+k < n && all[(start+done+k)%n].same == first.same; k++ {
			s.edge(&b, all[(start+done+k)%n].Edge)
		}
		if k == n {
			b.WriteString("Z")
		}
		if class, draw := name(first.same); draw {
			fmt.Fprintf(s, `<path class="%s" d="%s"/>`+"\n", class, b.String())
		}
		done += k
	}
}

// filled writes a closed loop as one path.
func (s *sketch) filled(class string, l plane.Loop) {
	var b strings.Builder
	b.WriteString("M" + s.pair(l[0].P))
	for _, e := range l.Edges() {
		s.edge(&b, e)
	}
	fmt.Fprintf(s, `<path class="%s" d="%sZ"/>`+"\n", class, b.String())
}

// edge continues a path, an arc as an arc.
func (s *sketch) edge(b *strings.Builder, e plane.Edge) {
	if e.Straight() {
		b.WriteString("L" + s.pair(e.To))
		return
	}
	sweep, large := "0", "0" // counter-clockwise, on a page with y down
	if e.Bulge < 0 {
		sweep = "1"
	}
	if math.Abs(e.Bulge) > 1 {
		large = "1"
	}
	r := num(e.Radius())
	b.WriteString("A" + r + " " + r + " 0 " + large + " " + sweep + " " + s.pair(e.To))
}

// mark writes a scribed line, a bead, or a text in the strokes that it is scribed in.
func (s *sketch) mark(class string, m *panel.FlatMark, onto plane.Affine) {
	var b strings.Builder
	if m.Kind == panel.MarkText {
		for _, stroke := range lettering.Strokes(m.Text, m.Height, m.At, m.Dir) {
			to := "M"
			for _, p := range stroke {
				b.WriteString(to + s.pair(onto.Apply(p)))
				to = "L"
			}
		}
	} else if p := m.Path.Transform(onto); len(p) > 1 {
		b.WriteString("M" + s.pair(p[0].P))
		for i, e := range p.Edges() {
			if m.Closed || i+1 < len(p) {
				s.edge(&b, e)
			}
		}
	}
	if b.Len() > 0 {
		fmt.Fprintf(s, `<path class="%s mark" d="%s"/>`+"\n", class, b.String())
	}
}
