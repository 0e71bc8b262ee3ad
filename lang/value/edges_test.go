package value

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"perch/lang/diag"
	"perch/lang/quantity"
	"perch/parts/plane"
)

// polygon is a list of points, each with the name of the edge that leaves it.
func polygon(points []plane.Point, names []string) *List {
	l := &List{}
	for i, p := range points {
		it := Item{V: Pair{Number{V: p.X, Dim: quantity.Length}, Number{V: p.Y, Dim: quantity.Length}}}
		if names[i] != "" {
			it.Edges = []EdgeName{{Name: names[i]}}
		}
		l.Items = append(l.Items, it)
	}
	return l
}

// rectangle is a rectangle about the origin with the language's names.
func rectangle(w, h float64) *Shape {
	return &Shape{By: func(c *Canvas) Drawn {
		p := [4]plane.Point{{X: -w / 2, Y: -h / 2}, {X: w / 2, Y: -h / 2}, {X: w / 2, Y: h / 2}, {X: -w / 2, Y: h / 2}}
		return c.Solid(plane.Region{LoopOf(p[:])}, Quad(p))
	}}
}

func (s *Shape) at(p plane.Point) *Shape {
	return &Shape{By: func(c *Canvas) Drawn { return s.Draw(c.At(p)) }}
}

// traced is the line of an edge as it was drawn, followed through what is done to its
// shape by this test's own reckoning: a point on it, the way it faces, what it is called.
type traced struct {
	p, n plane.Point
	name string
	own  bool
	cut  bool // a cut's line, which has no name of its own
}

// chain is a shape made by random steps, with the lines of its edges.
type chain struct {
	*Shape
	lines []traced
	does  []string
}

// random makes the shape that a chain starts with or takes in.
func random(r *rand.Rand, tag string) chain {
	if r.IntN(2) == 0 {
		w, h := 40+60*r.Float64(), 40+60*r.Float64()
		return chain{rectangle(w, h), []traced{
			{plane.Point{X: w / 2}, plane.Point{X: 1}, "right", true, false}, {plane.Point{X: -w / 2}, plane.Point{X: -1}, "left", true, false},
			{plane.Point{Y: h / 2}, plane.Point{Y: 1}, "top", true, false}, {plane.Point{Y: -h / 2}, plane.Point{Y: -1}, "bottom", true, false},
		}, []string{"rect"}}
	}
	n := 3 + r.IntN(5)
	points, names := make([]plane.Point, n), make([]string, n)
	for i := range points {
		points[i] = plane.Polar(25+30*r.Float64(), 2*math.Pi*(float64(i)+0.6*r.Float64())/float64(n))
		names[i] = fmt.Sprintf("%s%d", tag, i)
		if i == 0 {
			names[i] = "left" + tag // a written name is never turned round
		}
	}
	c := chain{Shape: Polygon(polygon(points, names), diag.Span{}), does: []string{"polygon"}}
	for i, p := range points {
		q := points[(i+1)%n]
		d := q.Sub(p).Unit()
		c.lines = append(c.lines, traced{p, plane.Point{X: d.Y, Y: -d.X}, names[i], false, false})
	}
	return c
}

func (c chain) motion(m func(plane.Point) plane.Point, turn func(plane.Point) plane.Point, mirror bool) []traced {
	out := slices.Clone(c.lines)
	for i, l := range out {
		out[i].p, out[i].n = m(l.p), turn(l.n)
		if mirror && l.own && (l.name == "left" || l.name == "right") {
			out[i].name = map[string]string{"left": "right", "right": "left"}[l.name]
		}
	}
	return out
}

func (c chain) shift(d float64) []traced {
	out := slices.Clone(c.lines)
	for i, l := range out {
		out[i].p = plane.Point{X: l.p.X + d*l.n.X, Y: l.p.Y + d*l.n.Y}
	}
	return out
}

// step does one random thing to the shape.
func (c chain) step(r *rand.Rand, k int) chain {
	at := diag.Span{}
	same := func(p plane.Point) plane.Point { return p }
	next := chain{does: append(slices.Clone(c.does), "")}
	does := func(format string, a ...any) { next.does[len(next.does)-1] = fmt.Sprintf(format, a...) }
	switch r.IntN(9) {
	case 0:
		a := 7*r.Float64() - 3.5
		sin, cos := math.Sincos(a)
		turn := func(p plane.Point) plane.Point {
			return plane.Point{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}
		}
		next.Shape, next.lines = c.Turned(at, a), c.motion(turn, turn, false)
		does("turned(%.3f)", a)
	case 1:
		mirror := func(p plane.Point) plane.Point { return plane.Point{X: -p.X, Y: p.Y} }
		next.Shape, next.lines = c.Mirrored(at), c.motion(mirror, mirror, true)
		does("mirrored")
	case 2:
		v := plane.Point{X: 20 * r.NormFloat64(), Y: 20 * r.NormFloat64()}
		next.Shape, next.lines = c.at(v), c.motion(func(p plane.Point) plane.Point { return p.Add(v) }, same, false)
		does("at %v", v)
	case 3, 4:
		d := 3*r.Float64() - 1.5
		next.Shape, next.lines = c.Grown(at, "grown", d), c.shift(d)
		does("outset(%.3f)", d)
	case 5:
		size := 0.2 + r.Float64()
		next.Shape, next.lines = c.Dressed(at, "rounded", func(g plane.Region) (plane.Region, error) { return plane.Round(g, size) }), c.lines
		does("rounded(%.3f)", size)
	case 6:
		angle, clear := 2*math.Pi*r.Float64(), 15+25*r.Float64()
		n := plane.Polar(1, angle)
		half := &Shape{By: func(on *Canvas) Drawn {
			h := plane.HalfPlane{N: on.Point.Vec(n)}
			h.D = h.N.Dot(on.Point.Apply(n.Scale(clear)))
			return Drawn{Endless: true, Clips: []plane.HalfPlane{h}}
		}}
		next.Shape, next.lines = Meet(c.Shape, half, at), append(slices.Clone(c.lines), traced{n.Scale(clear), n, "", false, true})
		does("behind(%.3f, %.3f)", angle, clear)
	default:
		b := random(r, string(rune('a'+k)))
		v := plane.Point{X: 30 * r.NormFloat64(), Y: 30 * r.NormFloat64()}
		moved := b.at(v)
		lines := b.motion(func(p plane.Point) plane.Point { return p.Add(v) }, same, false)
		switch r.IntN(3) {
		case 0:
			next.Shape, next.lines = Plus(c.Shape, moved, at), append(slices.Clone(c.lines), lines...)
			does("+ %s", b.does[0])
		case 1:
			next.Shape, next.lines = Meet(c.Shape, moved, at), append(slices.Clone(c.lines), lines...)
			does("& %s", b.does[0])
		default:
			for i := range lines { // what is taken away leaves lines without names
				lines[i].n, lines[i].name, lines[i].cut = lines[i].n.Neg(), "", true
			}
			next.Shape, next.lines = Without(c.Shape, moved, at), append(slices.Clone(c.lines), lines...)
			does("- %s", b.does[0])
		}
	}
	return next
}

// TestNamesGoWithTheMetal follows the line of every edge through random chains of
// what can be done to a shape, and wants every straight edge of what comes out to be
// called as the edge on whose line it lies, on a canvas for either hand. An edge on a
// cut's line has no name, or takes the place of one that was cut off whole.
func TestNamesGoWithTheMetal(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 30))
	seen, cuts, replaced, bevels := map[string]int{}, 0, 0, 0
	for n := range 4000 {
		c := random(r, "z")
		for k := range 1 + r.IntN(6) {
			c = c.step(r, k)
		}
		on := *Free
		if n%2 == 1 {
			on.Point.A, on.Point.E, on.Point.F = -1, 11, -7
		}
		var region plane.Region
		var names []Segment
		if !drawn(func() {
			d := c.Draw(&on)
			region, _ = d.Bounded()
			names = d.Edges()
		}) {
			continue // nothing is left, or a corner is too sharp to round
		}
		for _, l := range region {
			for _, s := range OutlineEdges(l, names) {
				if s.A.Dist(s.B) < 1e-3 {
					continue // a micrometre of edge has no direction to speak of
				}
				mid := s.A.Lerp(s.B, 0.5)
				way := s.B.Sub(s.A).Unit()
				got := strings.TrimRight(strings.SplitN(s.Name, ".", 2)[0], "")
				if s.Name[0] >= '0' && s.Name[0] <= '9' {
					got = ""
				}
				var want []string
				cut := false
				for _, line := range c.lines {
					p, w := on.Point.Apply(line.p), on.Point.Vec(line.n)
					if math.Abs(mid.Sub(p).Dot(w)) > 1e-7 || math.Abs(way.Dot(w)) > 1e-7 || way.Perp().Dot(w) > 0 {
						continue
					}
					cut = cut || line.cut
					want = append(want, line.name)
				}
				where := fmt.Sprintf("chain %d, %s: the edge %v to %v", n, strings.Join(c.does, " "), s.A, s.B)
				switch {
				case len(want) == 0 && got == "" && strings.Contains(where, "outset"): // a corner too sharp for a point is cut straight
					bevels++
				case len(want) == 0:
					t.Fatalf("%s is called %q and lies on no line that was drawn", where, got)
				case cut:
					cuts++
					if got == "" {
						continue
					}
					replaced++
					for _, line := range c.lines { // its own line has no metal left
						if line.name == got && line.name != "" && facesOutline(region, on.Point, line) && !several(c.lines, got) {
							t.Fatalf("%s is called %s, and the line of that edge still has metal", where, got)
						}
					}
				case !slices.Contains(want, got):
					t.Fatalf("%s is called %q, its line is %q", where, got, want)
				default:
					seen[got]++
				}
			}
		}
	}
	if len(seen) < 30 || seen["left"] < 200 || seen["right"] < 200 || cuts < 500 || replaced < 100 || bevels > 100 {
		t.Errorf("too little was seen: %d names, %d left, %d right, %d cut, %d cut back, %d bevels", len(seen), seen["left"], seen["right"], cuts, replaced, bevels)
	}
}

// several tells whether more than one edge was drawn under a name.
func several(lines []traced, name string) bool {
	n := 0
	for _, l := range lines {
		if l.name == name {
			n++
		}
	}
	return n > 1
}

// facesOutline tells whether an edge of the region lies on a line and faces its way.
func facesOutline(r plane.Region, m plane.Affine, line traced) bool {
	p, w := m.Apply(line.p), m.Vec(line.n)
	for _, l := range r {
		for i := range l {
			e := l.Edge(i)
			d := e.To.Sub(e.From).Unit()
			if e.Straight() && math.Abs(e.Mid().Sub(p).Dot(w)) < 1e-7 && d.Perp().Dot(w) < -1+1e-9 {
				return true
			}
		}
	}
	return false
}

// drawn tells whether do ends without a mistake of the design.
func drawn(do func()) (ok bool) {
	defer func() {
		if r := recover(); r != nil {
			if _, is := r.(Mistake); !is {
				panic(r)
			}
			ok = false
		}
	}()
	do()
	return true
}
