package mockup

import (
	"math"

	"perch/parts/plane"
	"perch/solver/elementary"
)

// Sizes of tabs on paper, mm (common practice of paper models, no source).
const (
	Pencil    = 0.5  // a pencil line: what is thinner can't be cut, folded or glued
	tabWide   = 8.0  // a tab's width where there is room
	tabAway   = 0.5  // of a tab from its own blank's paper and other tabs: a knife goes between
	tabInside = 0.4  // of a tab from the edges of what it is glued on
	tabSlant  = 0.6  // how much a tab's end slants in, for its width: about 30°
	samples   = 6    // across a tab's width, at which room for it is looked for
	mostTurn  = 2.79 // radians, 160°: no tab is folded farther back
)

// least is how small a tab may be, mm on paper.
type least struct{ wide, long float64 }

var (
	foldable = least{Pencil, 3}   // by hand
	imagined = least{0.02, 0.005} // at all
)

// Tab is paper beside an edge of a pattern that is folded and glued to another face.
// Places are in the pattern's coordinates, mm of metal.
type Tab struct {
	Outline plane.Loop     // from the edge on, the crease among it
	Crease  [2]plane.Point // where it is folded
	Turn    float64        // radians, 0: it goes on flat
	Down    bool           // away from who sees the printed side
	Wide    float64        // mm of metal, beyond the crease
	Printed bool           // it is glued with its printed side, else with its back
	On      plane.Loop     // where it comes to lie, in the other face's pattern
	OnFront bool           // on the other's printed side
}

// edge is a stretch of a face's cut edge that may carry a tab, in the world too.
type edge struct {
	from, to plane.Point // the paper left of from→to
}

// reach is how far from the other's middle plane an edge may lie, in mm of metal, to be
// glued to it: half of what it stands on, half of itself, a gap.
func reach(a, b *standing, gap float64) float64 { return a.thick + b.thick + gap + 0.5 }

// edges are the straight cut edges of face a that lie within reach of b's plane.
func edges(p *Pattern, a, b *standing, gap float64) []edge {
	var out []edge
	most := reach(a, b, gap)
	for _, l := range a.face.Metal {
		for _, e := range l.Edges() {
			if !e.Straight() || e.Chord() < 2 || p.bent(e) {
				continue
			}
			if math.Abs(b.height(a.frame.At(e.From))) <= most && math.Abs(b.height(a.frame.At(e.To))) <= most {
				out = append(out, edge{e.From, e.To})
			}
		}
	}
	return out
}

// bent tells whether an edge of a face lies along a strip.
func (p *Pattern) bent(e plane.Edge) bool {
	mid := e.Mid()
	for i := range p.Strips {
		if (plane.Region{polygon(p.Strips[i].Loop)}).Bounds().Grow(1e-3).Holds(mid) {
			for k, q := range p.Strips[i].Loop {
				s := plane.Edge{From: q, To: p.Strips[i].Loop[(k+1)%len(p.Strips[i].Loop)]}
				if s.Nearest(mid).Near(mid, 1e-3) {
					return true
				}
			}
		}
	}
	return false
}

// bench is where a tab is tried: the face that carries it and the face it is glued on, the
// paper it must keep clear of, and the scale.
type bench struct {
	pattern *Pattern
	a, b    *standing
	other   plane.Region // more paper beside a's pattern: its other tabs
	factor  float64
	least   least
}

// hinge is a line in both faces' patterns: x runs along it, y away from a's paper.
type hinge struct {
	onA, onB plane.Affine // from (x, y) to the patterns
	turn     float64
	down     bool
	side     float64    // on which side of b the tab lies, +1 the printed one: where a's paper is
	touches  bool       // with the tab's printed side
	from, to float64    // the edge's ends along the hinge
	start    float64    // from where on the other's paper is sure to lie
	root     [2]float64 // the edge's ends across it, 0 or below
}

// best tries every edge of a near b, to both sides, and returns the best tab.
func (w *bench) best(gap float64) (best Tab, score float64) {
	for _, e := range edges(w.pattern, w.a, w.b, gap) {
		for _, way := range [2]float64{1, -1} {
			h, ok := w.hinge(e, way, gap)
			if !ok {
				continue
			}
			if t, s := w.widest(h); s > score {
				best, score = t, s
			}
		}
	}
	return best, score
}

// hinge finds the line about which a tab at the edge turns into b's plane, to one side.
func (w *bench) hinge(e edge, way, gap float64) (h hinge, ok bool) {
	a, b := w.a, w.b
	u := e.to.Sub(e.from).Unit()
	out := u.Perp().Neg() // off the paper
	wu, wout := a.frame.Dir(u), a.frame.Dir(out)
	// How far out of the edge b's plane is met, at both ends.
	slope := b.drawn.Dot(wout)
	var root [2]float64
	inB := b.drawn.Cross(wu).Unit().Scale(way) // in b's plane, square to the edge
	if math.Abs(slope) > parallel {
		for i, q := range [2]plane.Point{e.from, e.to} {
			root[i] = math.Max(0, -b.height(a.frame.At(q))/slope)
		}
	} else if inB.Dot(wout) < 0 {
		return h, false // in one plane there is only straight on
	}
	line := math.Max(root[0], root[1])
	if line > 4*reach(a, b, gap) {
		return h, false
	}
	cos := inB.Dot(wout)
	h = hinge{turn: elementary.Acos(math.Max(-1, math.Min(1, cos))), down: inB.Dot(a.drawn) < 0, to: e.to.Sub(e.from).Len(), root: root}
	if h.turn > mostTurn {
		return h, false
	}
	if h.turn < 0.02 { // a lap that goes straight on
		h.turn = 0
	}
	h.start = line + 0.3 // of a corner both faces end so far from it
	if math.Abs(slope) <= parallel {
		h.start = reach(a, b, gap) // of a butt there is no telling
	}
	at := e.from.Add(out.Scale(line))
	h.onA = plane.Affine{A: u.X, B: out.X, C: u.Y, D: out.Y, E: at.X, F: at.Y}
	bu, bv := b.frame.LocalDir(wu), b.frame.LocalDir(inB)
	o := b.frame.Local(a.frame.At(at))
	h.onB = plane.Affine{A: bu.X, B: bv.X, C: bu.Y, D: bv.Y, E: o.X, F: o.Y}
	// The tab's printed side when it is folded: what turned the way out into b's plane
	// turns a's printed side too.
	printed := a.drawn.Scale(cos).Sub(wout.Scale(inB.Dot(a.drawn))).Dot(b.drawn)
	h.side = 1
	if h.turn == 0 && printed > 0 || h.turn > 0 && b.height(a.frame.At(middle(a.face.Metal))) < 0 {
		h.side = -1
	}
	h.touches = printed*h.side < 0
	h.root = [2]float64{root[0] - line, root[1] - line}
	return h, true
}

// widest is the best tab at a hinge, by length and width.
func (w *bench) widest(h hinge) (best Tab, score float64) {
	mm := 1 / w.factor
	for _, wide := range [...]float64{tabWide, 6, 5, 4, 3, 2, 1, Pencil, 0.25, 0.1, 0.05, 0.02} {
		t, s := w.tab(h, wide*mm)
		if h.touches {
			s *= 1.2 // its letter is on what is glued, and hidden when that is done
		}
		if s > score {
			best, score = t, s
		}
	}
	return best, score
}

// tab of a width at a hinge, and its worth: its area. It ends where there is room on both
// patterns at all depths.
func (w *bench) tab(h hinge, wide float64) (t Tab, worth float64) {
	mm := 1 / w.factor
	if wide-h.start < w.least.wide*mm {
		return t, 0
	}
	span := plane.Interval{From: h.from, To: h.to}
	away, inside := math.Min(tabAway*mm, wide/2), math.Min(tabInside*mm, wide/4)
	onB := plane.Region(w.b.face.Paper)
	dir := h.onB.Vec(plane.Point{X: 1})
	for k := 0; k <= samples && span.Len() > 0; k++ {
		y := h.start + float64((wide-h.start)*float64(k)/samples)
		span = longest(span, plane.Chords(onB, h.onB.Apply(plane.Point{Y: y}), dir), inside)
	}
	slant := math.Min(wide*tabSlant, 0.3*span.Len())
	for k := 0; k <= samples && span.Len() > 0; k++ {
		y := wide * (float64(k) + 0.01) / samples
		span = w.clear(span, h, y, away)
	}
	if span.Len() < math.Max(w.least.long*mm, wide/2) {
		return t, 0
	}
	t = h.cut(span, wide, slant)
	t.Printed, t.OnFront = h.touches, h.side > 0
	root := plane.Region{t.Outline}
	if plane.Intersect(root, w.pattern.Outline).Area() > 0.02*mm*mm || plane.Intersect(root, w.other).Area() > 0 {
		return Tab{}, 0
	}
	return t, (span.Len() - slant) * (wide - h.start)
}

// longest is the longest part of a span within chords, an amount off their ends.
func longest(span plane.Interval, chords []plane.Interval, off float64) plane.Interval {
	best := plane.Interval{}
	for _, c := range chords {
		x := plane.Interval{From: math.Max(span.From, c.From+off), To: math.Min(span.To, c.To-off)}
		if x.Len() > best.Len() {
			best = x
		}
	}
	return best
}

// clear is what is left of a span where paper of a's own pattern lies at a depth.
func (w *bench) clear(span plane.Interval, h hinge, y, away float64) plane.Interval {
	at, dir := h.onA.Apply(plane.Point{Y: y}), h.onA.Vec(plane.Point{X: 1})
	free := []plane.Interval{span}
	for _, r := range [2]plane.Region{w.pattern.Outline, w.other} {
		for _, c := range plane.Chords(r, at, dir) {
			var left []plane.Interval
			for _, f := range free {
				if c.From-away > f.From {
					left = append(left, plane.Interval{From: f.From, To: math.Min(f.To, c.From-away)})
				}
				if c.To+away < f.To {
					left = append(left, plane.Interval{From: math.Max(f.From, c.To+away), To: f.To})
				}
			}
			free = left
		}
	}
	return longest(span, free, 0)
}

// cut draws the tab over a span of the hinge.
func (h hinge) cut(span plane.Interval, wide, slant float64) Tab {
	rootAt := func(x float64) float64 {
		return h.root[0] + float64((h.root[1]-h.root[0])*(x-h.from)/(h.to-h.from))
	}
	var t Tab
	add := func(x, y float64) {
		t.Outline = append(t.Outline, plane.Vertex{P: h.onA.Apply(plane.Point{X: x, Y: y})})
	}
	on := func(x, y float64) { t.On = append(t.On, plane.Vertex{P: h.onB.Apply(plane.Point{X: x, Y: y})}) }
	t.Crease = [2]plane.Point{h.onA.Apply(plane.Point{X: span.From}), h.onA.Apply(plane.Point{X: span.To})}
	for _, x := range [2]float64{span.From, span.To} {
		if r := rootAt(x); r < -1e-9 {
			add(x, r)
		}
	}
	if len(t.Outline) == 2 { // from, to along the root; then back along the outside
		t.Outline[0], t.Outline[1] = t.Outline[1], t.Outline[0]
	}
	add(span.From, 0)
	on(span.From, 0)
	for _, q := range [2]plane.Point{{X: span.From + slant, Y: wide}, {X: span.To - slant, Y: wide}} {
		add(q.X, q.Y)
		on(q.X, q.Y)
	}
	add(span.To, 0)
	on(span.To, 0)
	t.Outline, t.On = positive(t.Outline), positive(t.On)
	t.Turn, t.Down, t.Wide = h.turn, h.down, wide
	return t
}

// positive is the loop counter-clockwise.
func positive(l plane.Loop) plane.Loop {
	if l.Area() < 0 {
		return l.Reversed()
	}
	return l
}
