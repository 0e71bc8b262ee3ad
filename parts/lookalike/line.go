package lookalike

import (
	"iter"
	"math"

	"perch/parts/drawing/layout"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/plane"
)

// kind is a kind of line on a blank.
type kind uint8

const (
	opening kind = iota
	fold
	mark
	spot // to drill, tack or weld
	kinds
)

// line is one thing on a blank: an opening, a fold, a mark or a spot.
type line struct {
	kind   kind
	name   string
	path   plane.Loop
	closed bool
	round  float64 // diameter of a round opening, or what a spot is drilled to; else 0
	angle  float64 // of a fold, degrees
	radius float64
	down   bool
}

// looksOf is a flat's outline; look sees the rest.
func looksOf(f *panel.Flat) *looks {
	return &looks{flat: f, area: math.Abs(f.Outer.Area()), round: f.Outer.Length()}
}

// look reads the lines of the flat and tells how many there are.
func (a *looks) look() int {
	if a.read {
		return len(a.lines)
	}
	f := a.flat
	a.read, a.texts = true, map[string]int{}
	for _, l := range layout.Openings(f) {
		o := line{kind: opening, name: openingName(f, l), path: l, closed: true}
		if _, r, ok := layout.Circle(l); ok {
			o.round = 2 * r
		}
		a.lines = append(a.lines, o)
	}
	for _, s := range f.Folds {
		a.lines = append(a.lines, line{kind: fold, name: "fold " + s.Name, path: plane.Loop{{P: s.From}, {P: s.To}},
			angle: s.Bend.Angle * 180 / math.Pi, radius: s.Bend.Radius, down: s.Down})
	}
	for _, m := range f.Marks {
		if m.Kind == panel.MarkText {
			a.texts[m.Text]++
			continue
		}
		a.lines = append(a.lines, line{kind: mark, name: "mark " + m.Name, path: m.Path, closed: m.Closed})
	}
	for _, p := range f.Points {
		if (p.Kind == panel.Drill || p.Marked()) && !p.Bare {
			a.lines = append(a.lines, line{kind: spot, name: string(p.Kind) + " " + p.Name, path: plane.Loop{{P: p.At}}, round: p.Diameter})
		}
	}
	return len(a.lines)
}

// openingName is what an opening is called: by its fastener, or by its cut.
func openingName(f *panel.Flat, l plane.Loop) string {
	c := l.Bounds().Center()
	const same = 1e-3 // mm
	for _, p := range f.Points {
		if p.At.Near(c, same) {
			return "hole " + p.Name
		}
	}
	for _, cut := range f.Cuts {
		if cut.Loop.Bounds().Center().Near(c, same) {
			return "cut " + cut.Name
		}
	}
	return "an opening"
}

// moved is the line where m takes it; turned over, a fold goes the other way.
func (l *line) moved(m plane.Affine, over bool) line {
	out := *l
	out.path = moved(l.path, m)
	out.down = l.down != over
	return out
}

// off is how far two lines of a kind lie apart where they are farthest.
func (l *line) off(o *line) float64 {
	if l.kind == opening && l.round > 0 && o.round > 0 {
		return l.middle().Dist(o.middle()) + float64(math.Abs(l.round-o.round)/2)
	}
	d, _ := apart(l.path, o.path, l.closed && o.closed)
	return d
}

func (l *line) middle() plane.Point { return l.path.Bounds().Center() }

// told is what differs of l from what lies d from it, as far as it matters, its place from
// the blank's corner, and how much more it differs in what cannot be seen: such a
// difference counts as one Eye.
func (l *line) told(from *line, d, least float64, corner plane.Point) (out []measure.Text, more float64) {
	at := measure.Place(l.middle().Sub(corner))
	switch {
	case l.kind == opening && l.round > 0 && from.round > 0:
		if far := l.middle().Dist(from.middle()); far > least {
			out = append(out, measure.Say("%s lies %.1f elsewhere, at %.1f from its lower left", l.name, measure.Length(far), at))
		}
	case l.kind == opening && d > least:
		out = append(out, measure.Say("%s differs by up to %.1f, at %.1f from its lower left", l.name, measure.Length(d), at))
	case d > least:
		out = append(out, measure.Say("%s lies up to %.1f elsewhere, at %.1f from its lower left", l.name, measure.Length(d), at))
	}
	if math.Abs(l.round-from.round) > least {
		out = append(out, measure.Say("%s is %.1f across, not %.1f", l.name, measure.Length(l.round), measure.Length(from.round)))
	}
	unseen := func(format string, args ...any) {
		out = append(out, measure.Say(format, args...))
		more += Eye
	}
	if l.kind == fold {
		if l.down != from.down {
			words := map[bool]string{true: "down", false: "up"}
			unseen("%s is bent %s, not %s", l.name, words[l.down], words[from.down])
		}
		if math.Abs(l.angle-from.angle) >= leastTurn {
			unseen("%s is bent by %.1f°, not %.1f°", l.name, l.angle, from.angle)
		}
		if math.Abs(l.radius-from.radius) > least {
			unseen("%s has a radius of %.1f, not %.1f", l.name, measure.Length(l.radius), measure.Length(from.radius))
		}
	}
	return out, more
}

// moved maps a path, open or closed, corner by corner.
func moved(l plane.Loop, m plane.Affine) plane.Loop {
	out := make(plane.Loop, len(l))
	for i, v := range l {
		out[i] = plane.Vertex{P: m.Apply(v.P), Bulge: v.Bulge}
		if m.Det() < 0 {
			out[i].Bulge = -v.Bulge
		}
	}
	return out
}

// apart is how far two paths lie from each other where they are farthest, and where.
func apart(a, b plane.Loop, closed bool) (far float64, at plane.Point) {
	for _, pair := range [2][2]plane.Loop{{a, b}, {b, a}} {
		for p := range stations(pair[0], closed) {
			if d := toPath(p, pair[1], closed); d > far {
				far, at = d, p
			}
		}
	}
	return far, at
}

// stations are a path's corners and the middles between them.
func stations(l plane.Loop, closed bool) iter.Seq[plane.Point] {
	return func(yield func(plane.Point) bool) {
		for i, v := range l {
			if !yield(v.P) {
				return
			}
			if (closed || i+1 < len(l)) && len(l) > 1 && !yield(l.Edge(i).Mid()) {
				return
			}
		}
	}
}

func toPath(p plane.Point, l plane.Loop, closed bool) float64 {
	d := math.Inf(1)
	for i, v := range l {
		if !closed && i+1 == len(l) || len(l) == 1 {
			return min(d, v.P.Dist(p))
		}
		d = min(d, l.Edge(i).Nearest(p).Dist(p))
	}
	return d
}
