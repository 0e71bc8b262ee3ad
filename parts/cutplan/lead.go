package cutplan

import (
	"math"

	"perch/parts/plane"
	"perch/solver/elementary"
)

// leader finds where a contour is led into.
type leader struct {
	opt   Options
	metal plane.Region // the sheet
	parts []plane.Region
	boxes *plane.Places   // of the parts
	loops []*plane.Places // of each part's loops
	names []string
	nicks [][]Nick // of each part
}

func newLeader(s *Sheet, opt Options) *leader {
	l := &leader{opt: opt, metal: s.Metal}
	var boxes []plane.Box
	for _, p := range s.Parts {
		l.parts = append(l.parts, p.Region)
		l.names = append(l.names, p.Name)
		l.nicks = append(l.nicks, p.Nicks)
		boxes = append(boxes, p.Region.Bounds())
		var loops []plane.Box
		for _, loop := range p.Region {
			loops = append(loops, loop.Bounds())
		}
		l.loops = append(l.loops, plane.NewPlaces(loops))
	}
	l.boxes = plane.NewPlaces(boxes)
	return l
}

const (
	// clearTol is how far, in mm, a lead may come nearer to metal than half a kerf.
	clearTol = 1e-4
	// cornerFar is how far from a corner, in lead lengths, a lead need not be farther.
	cornerFar = 2
	// leadHalvings is how often a lead that finds no room is halved.
	leadHalvings = 4
)

// lead chooses where to lead in: of the places on the kerf line those with room, as
// far from corners as needed, on the longest edge. Leads shorten where there is none.
func (l *leader) lead(c *Cut) error {
	in, out := l.opt.LeadIn, l.opt.LeadOut
	for range leadHalvings + 1 {
		best, score := -1, 0.0
		var at plane.Point
		for i := range c.Kerf {
			e := c.Kerf.Edge(i)
			n := min(max(1, int(e.Len()/max(in, 1))), 8)
			for k := range n {
				p := e.PointAt((float64(k) + 0.5) / float64(n))
				q := float64(min(cornerDistance(c.Kerf, i, p), cornerFar*max(in, 1))*1000) + e.Len()/float64(1+k)
				if e.Bulge != 0 {
					q /= 2 // a straight edge shows the mark less
				}
				if (best < 0 || q > score) && !l.tabOnNick(c, p) && l.clear(l.leads(e, p, in, out)) {
					best, score, at = i, q, p
				}
			}
		}
		if best >= 0 {
			c.Kerf = startAt(c.Kerf, best, at)
			if l.opt.Tab > 0 && !c.Inside {
				l.tabbed(c, in)
			} else {
				c.Runs = [][]plane.Edge{l.run(edgesOf(c.Kerf), in, out)}
			}
			return nil
		}
		in, out = in/2, out/2
	}
	return &LeadError{Part: l.names[c.Part], At: c.Contour[0].P}
}

// cornerDistance is how far along edge i the place p is from the nearer end, where
// that is a corner; an end that goes on smoothly does not count.
func cornerDistance(l plane.Loop, i int, p plane.Point) float64 {
	e := l.Edge(i)
	d := math.Inf(1)
	if smooth := l.Edge(i - 1).EndTangent().Dot(e.StartTangent()); smooth < 0.999 {
		d = min(d, p.Dist(e.From))
	}
	if smooth := e.EndTangent().Dot(l.Edge(i + 1).StartTangent()); smooth < 0.999 {
		d = min(d, p.Dist(e.To))
	}
	return d
}

// quarter is the bulge of a quarter turn: tan(π/8).
var quarter = math.Sqrt2 - 1

// leads are the ways in and out at p on edge e, on the left of travel, where the
// scrap is: quarter arcs tangent to the cut, or a line in at 45°.
func (l *leader) leads(e plane.Edge, p plane.Point, in, out float64) []plane.Edge {
	t := tangentAt(e, p)
	n := t.Perp()
	var ways []plane.Edge
	if l.opt.Line {
		from := p.Add(n.Sub(t).Unit().Scale(in))
		ways = append(ways, plane.Edge{From: from, To: p})
	} else {
		from := p.Add(n.Scale(in)).Sub(t.Scale(in))
		ways = append(ways, plane.Edge{From: from, To: p, Bulge: quarter})
	}
	if out > 0 && l.opt.Tab == 0 {
		to := p.Add(n.Scale(out)).Add(t.Scale(out))
		ways = append(ways, plane.Edge{From: p, To: to, Bulge: quarter})
	}
	return ways
}

func tangentAt(e plane.Edge, p plane.Point) plane.Point {
	if e.Bulge == 0 {
		return e.StartTangent()
	}
	t := p.Sub(e.Center()).Unit().Perp()
	if e.Bulge < 0 {
		return t.Neg()
	}
	return t
}

// clear tells whether leads keep half a kerf from every blank, outside of all, and
// the pierce lies on the sheet.
func (l *leader) clear(ways []plane.Edge) bool {
	if l.metal.Locate(ways[0].From) != plane.Inside {
		return false
	}
	half := float64(l.opt.Kerf / 2)
	box := plane.EmptyBox()
	for _, w := range ways {
		box = box.Union(w.Bounds())
	}
	box = box.Grow(half)
	for _, i := range l.boxes.Near(box, nil) {
		var near plane.Region // loops that the leads may meet, or that go round their pierce
		for _, k := range l.loops[i].Near(box, nil) {
			near = append(near, l.parts[i][k])
		}
		if near.Locate(ways[0].From) != plane.Outside {
			return false
		}
		for _, loop := range near {
			for k := range loop {
				e := loop.Edge(k)
				if !e.Bounds().Overlaps(box) {
					continue
				}
				for _, w := range ways {
					if d, _, _ := e.Distance(w); d < half-clearTol {
						return false
					}
				}
			}
		}
	}
	return true
}

// startAt is the loop that starts at p on edge i.
func startAt(l plane.Loop, i int, p plane.Point) plane.Loop {
	e := l.Edge(i)
	out := plane.Loop{}
	first, last := split(e, p)
	out = append(out, plane.Vertex{P: p, Bulge: last.Bulge})
	for k := 1; k < len(l); k++ {
		out = append(out, l[(i+k)%len(l)])
	}
	return append(out, plane.Vertex{P: e.From, Bulge: first.Bulge})
}

// split cuts an edge at a place on it.
func split(e plane.Edge, p plane.Point) (plane.Edge, plane.Edge) {
	if e.Bulge == 0 {
		return plane.Edge{From: e.From, To: p}, plane.Edge{From: p, To: e.To}
	}
	// Fractions of the sweep are fractions of the length.
	lo, hi := 0.0, 1.0
	for range 60 {
		m := (lo + hi) / 2
		if a, _ := e.Split(m); a.Len() < along(e, p) {
			lo = m
		} else {
			hi = m
		}
	}
	a, b := e.Split((lo + hi) / 2)
	a.To, b.From = p, p
	return a, b
}

// along is the length of the arc e up to the place p on it.
func along(e plane.Edge, p plane.Point) float64 {
	r := e.Radius()
	chord := e.From.Dist(p)
	half := min(1, chord/(2*r))
	angle := 2 * elementary.Asin(half)
	// |bulge| ≤ 1: an arc of up to half a turn, so the angle is known by its chord.
	return float64(r * angle)
}

// run is a path with its leads.
func (l *leader) run(path []plane.Edge, in, out float64) []plane.Edge {
	ways := l.leads(path[0], path[0].From, in, out)
	return append(append([]plane.Edge{ways[0]}, path...), ways[1:]...)
}
