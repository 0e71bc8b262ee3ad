// Package foldmark tells the folds of a flat blank on the metal: at each end of a fold
// that lies on the blank's edge it cuts a nick into the outline, at the line that the
// shop's brake works to, or says where a centre-punch mark stands instead and why. It
// bends nothing, changes no measurement of the flat and writes no file.
package foldmark

import (
	"math"

	"perch/parts/drawing/layout"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/shop"
)

const (
	// hemAngle is the bend, in radians, above which a fold is a hem: 150°.
	hemAngle = 150 * math.Pi / 180
	// punchClear is how far from holes and edges, in mm, a punch mark stands, so that
	// its crater does not break out (common practice, no source).
	punchClear = 2.0
	// scribeClear is how far, in mm, a nick keeps off a scribed line, to be told from it (a choice of ours).
	scribeClear = 1.0
	// punchIn is how far in from the edge, in mm, a punch mark stands, and by how much
	// farther it is tried in turn where it would meet something. Choices of ours.
	punchIn = 5.0
	// runsOn is how far past a fold's end, in mm, beside the width of its strip, metal
	// may go on and the end still lie on the blank's edge.
	runsOn = 1.0
)

// Mark writes into a blank how its folds are told in the shop. held tells for each fold
// the index of the face that is clamped while it is bent; nil: the fold's first face.
func Mark(b *panel.Blank, s *shop.Shop, held []int) {
	b.FoldMarks, b.Notched = nil, nil
	if b.Flat == nil || b.Flat.Panel == nil || s.Brake.Marks == shop.MarksNone {
		return
	}
	m := newMarker(b.Flat, s)
	for i := range b.Flat.Folds {
		face := b.Flat.Folds[i].A
		if i < len(held) && held[i] == b.Flat.Folds[i].B {
			face = held[i]
		}
		m.fold(i, WorkingLine(&b.Flat.Folds[i], face, s.Brake.Kind))
	}
	b.FoldMarks = m.marks
	if m.nicked {
		b.Notched = m.outer
	}
}

// AsksHeld tells whether Mark is the better for knowing which faces are held: on a leaf
// brake, of a flat with folds that are marked at all.
func AsksHeld(f *panel.Flat, s *shop.Shop) bool {
	if f == nil || s.Brake.Kind == shop.BrakeVDie || s.Brake.Marks == shop.MarksNone {
		return false
	}
	for i := range f.Folds {
		if f.Folds[i].Relieved != [2]bool{true, true} || s.Brake.Marks == shop.MarksScribe {
			return true
		}
	}
	return false
}

// Line is a line of the flat: a point on it and its direction, a unit vector.
type Line struct{ P, Dir plane.Point }

// at is the point at so many mm along the line.
func (l Line) at(s float64) plane.Point { return l.P.Add(l.Dir.Scale(s)) }

// WorkingLine is the line that a brake works to, in the sense of the fold's From→To: a
// leaf brake's sight line lies the inside radius past the tangent of the face that is
// held (from memory); a V die's is the middle of the strip.
func WorkingLine(f *panel.FlatFold, held int, brake string) Line {
	dir := f.To.Sub(f.From).Unit()
	if brake == shop.BrakeVDie {
		return Line{f.From, dir}
	}
	across := dir.Perp().Neg() // from A, on the left, to B
	if held == f.B {
		return Line{f.TangentB[0].Sub(across.Scale(f.Bend.Radius)), dir}
	}
	return Line{f.TangentA[0].Add(across.Scale(f.Bend.Radius)), dir}
}

// marker gathers the marks of one flat.
type marker struct {
	flat     *panel.Flat
	shop     *shop.Shop
	vee      vee
	clear    float64      // metal to be left between a nick and what else is cut, mm
	blank    plane.Region // its outline without nicks
	metal    plane.Region // and with what is cut inside
	outer    plane.Loop   // with the nicks so far
	openings []plane.Edge
	nicked   bool
	marks    []panel.FoldMark
}

func newMarker(f *panel.Flat, s *shop.Shop) *marker {
	m := &marker{flat: f, shop: s, blank: plane.Region{f.Outer}, outer: f.Outer,
		vee: veeFor(s.Brake.NickWidth, s.Brake.NickDepth, s.Cutter.Kerf), clear: s.Cutter.Web(f.Panel.Stock.Thickness)}
	m.metal = plane.Region{f.Outer}
	for _, l := range layout.Openings(f) {
		m.metal = append(m.metal, l)
		for _, e := range l.Edges() {
			m.openings = append(m.openings, e)
		}
	}
	return m
}

// fold marks both ends of a fold. An end that a relief makes is shown by that.
func (m *marker) fold(i int, line Line) {
	f := &m.flat.Folds[i]
	span, ok := m.chord(f, line)
	if !ok {
		m.leave(i, line.P, measure.Plain("the line that the brake works to lies off the metal"))
		return
	}
	if m.shop.Brake.Marks == shop.MarksScribe {
		m.marks = append(m.marks, panel.FoldMark{Kind: panel.Scribe, Fold: i, At: line.at(span.From), To: line.at(span.To), In: line.Dir})
		return
	}
	for end := range 2 {
		if f.Relieved[end] {
			continue
		}
		from := endOf(line, span, end)
		why := measure.Text{}
		if m.shop.Brake.Marks == shop.MarksNicks {
			if why = m.nick(i, from); why.Empty() {
				continue
			}
		}
		m.punch(i, from, span.Len(), why)
	}
}

// chord is the stretch of the working line between a fold's ends: as far as the metal
// goes, but not on into metal that runs past the fold.
func (m *marker) chord(f *panel.FlatFold, line Line) (plane.Interval, bool) {
	along := func(p plane.Point) float64 { return p.Sub(line.P).Dot(line.Dir) }
	lo := min(along(f.TangentA[0]), along(f.TangentB[0]))
	hi := max(along(f.TangentA[1]), along(f.TangentB[1]))
	slack := f.Bend.Allowance() + f.Bend.Radius + runsOn
	middle := (lo + hi) / 2
	for _, c := range plane.Chords(m.blank, line.P, line.Dir) {
		if c.From <= middle && middle <= c.To {
			return plane.Interval{From: max(c.From, lo-slack), To: min(c.To, hi+slack)}, true
		}
	}
	return plane.Interval{}, false
}

// endOf is a working line from one of its ends on, 0 or 1, into the metal.
func endOf(line Line, span plane.Interval, end int) Line {
	if end == 1 {
		return Line{line.at(span.To), line.Dir.Neg()}
	}
	return Line{line.at(span.From), line.Dir}
}

// nick cuts a nick into the outline where a line enters the metal, or tells why not.
func (m *marker) nick(fold int, from Line) (why measure.Text) {
	c, why := m.cutAt(from)
	if !why.Empty() {
		return why
	}
	if why = m.meets(c); !why.Empty() {
		return why
	}
	m.outer = c.outline(m.outer)
	m.nicked = true
	m.marks = append(m.marks, panel.FoldMark{Kind: panel.Nick, Fold: fold, At: from.P, In: from.Dir, Depth: m.shop.Brake.NickDepth,
		Vee: [3]plane.Point{c.before.at, c.tip, c.after.at}})
	return measure.Text{}
}

// meets tells what a nick would meet, but for the outline beside it.
func (m *marker) meets(c *cut) measure.Text {
	flanks := c.flanks()
	if d := plane.EdgeDistance(flanks, m.openings); d < m.clear {
		return measure.Say("a nick would come within %.1f of a hole", measure.Length(max(d, 0)))
	}
	for _, p := range m.flat.Points {
		if (p.Kind == panel.Tack || p.Kind == panel.Weld) && plane.EdgeDistance(flanks, []plane.Edge{run(p)}) < m.clear {
			return measure.Say("a nick would lie in weld %s", p.Name)
		}
		if p.Kind == panel.Drill && c.distance(p.At) < float64(p.Diameter/2)+m.clear {
			return measure.Plain("a nick would meet a hole to be drilled")
		}
	}
	for i := range m.flat.Marks {
		k := &m.flat.Marks[i]
		if k.Kind == panel.MarkLine && plane.EdgeDistance(flanks, pathEdges(k.Path, k.Closed)) < scribeClear {
			return measure.Say("a nick would cut scribed line %s", k.Name)
		}
		if k.Kind == panel.MarkBead && plane.EdgeDistance(flanks, pathEdges(k.Path, k.Closed)) < float64(k.Width/2)+m.clear {
			return measure.Plain("a nick would meet a bead")
		}
	}
	for i := range m.flat.Folds {
		h := &m.flat.Folds[i]
		if h.Bend.Angle > hemAngle && c.touches(h.Loop) {
			return measure.Say("a nick would show at the edge of hem %s", h.Name)
		}
	}
	if d := plane.EdgeDistance(flanks, c.beside(m.outer)); d < m.clear {
		return measure.Say("a nick would leave only %.1f of metal to another edge or nick", measure.Length(max(d, 0)))
	}
	return measure.Text{}
}

// run is where a tack or weld lies.
func run(p panel.Point) plane.Edge {
	half := p.Dir.Scale(p.Diameter / 2)
	return plane.Edge{From: p.At.Sub(half), To: p.At.Add(half)}
}

// punch sets a punch mark on a line, in from where it enters the metal by the first
// distance at which it stands clear, and no farther than the line's middle.
func (m *marker) punch(fold int, from Line, length float64, why measure.Text) {
	if p, ok := m.punchAt(from, length); ok {
		m.marks = append(m.marks, panel.FoldMark{Kind: panel.Punch, Fold: fold, At: p, In: from.Dir, Why: why})
		return
	}
	if why.Empty() {
		why = measure.Plain("there is no room for a punch mark")
	} else {
		why = measure.Say("%s, and there is no room for a punch mark", why)
	}
	m.leave(fold, from.P, why)
}

// punchAt is where punch sets it; false where nothing is clear.
func (m *marker) punchAt(from Line, length float64) (p plane.Point, ok bool) {
	for s := min(punchIn, length/2); s <= length/2; s += punchIn {
		if p := from.at(s); m.standsClear(p) {
			return p, true
		}
	}
	return p, false
}

func (m *marker) leave(fold int, at plane.Point, why measure.Text) {
	m.marks = append(m.marks, panel.FoldMark{Kind: panel.Unmarked, Fold: fold, At: at, Why: why})
}

// standsClear tells whether a punch mark at p keeps off edges, holes and beads.
func (m *marker) standsClear(p plane.Point) bool {
	dot := []plane.Edge{{From: p, To: p}}
	if d, _ := m.metal.DistanceTo(p); d < punchClear || m.metal.Locate(p) != plane.Inside {
		return false
	}
	for _, q := range m.flat.Points {
		if q.Kind == panel.Drill && q.At.Dist(p) < float64(q.Diameter/2)+punchClear {
			return false
		}
	}
	for i := range m.flat.Marks {
		k := &m.flat.Marks[i]
		if k.Kind == panel.MarkBead && plane.EdgeDistance(dot, pathEdges(k.Path, k.Closed)) < float64(k.Width/2)+punchClear {
			return false
		}
	}
	return true
}

// pathEdges are the edges of a path, which may close on itself.
func pathEdges(l plane.Loop, closed bool) []plane.Edge {
	var out []plane.Edge
	for i, e := range l.Edges() {
		if closed || i+1 < len(l) {
			out = append(out, e)
		}
	}
	return out
}
