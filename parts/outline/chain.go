package outline

import (
	"fmt"

	"perch/parts/measure"
	"perch/parts/plane"
)

// meets is how far apart, in mm, two ends may lie and still be one: drawings are written
// with three decimals of a mm and more, or four of an inch.
const meets = 0.01

// looseEnd is an end at which lines do not go on.
type looseEnd struct {
	at    plane.Point
	next  plane.Point // the nearest other end
	gap   float64     // to it, mm; below 0 where there is none
	ends  int         // that meet here: 1, or more than 2
	lines int         // in all
}

// told says why an outline is not closed.
func (o *looseEnd) told() error {
	switch {
	case o.ends > 2:
		return measure.Errorf("its lines do not close: %d of them meet at %.3f", o.ends, measure.Place(o.at))
	case o.gap >= 0:
		return measure.Errorf("its lines do not close: one ends at %.3f, %.3f from the next end, at %.3f", measure.Place(o.at), measure.Length(o.gap), measure.Place(o.next))
	}
	return fmt.Errorf("its %s do not close", measure.Counted(o.lines, "line"))
}

// closed are the closed paths among the pieces and those that open ones chain to, and
// the first loose end of what is left.
func (ps *pieces) closed() (loops plane.Region, loose *looseEnd, err error) {
	var open []plane.Loop
	points := 0
	for _, p := range ps.list {
		if points += len(p.path); points > mostPoints {
			return nil, nil, errManyPoints
		}
		switch {
		case p.closed:
			loops = append(loops, p.path)
		case len(p.path) > 2 && p.path[0].P.Near(p.path[len(p.path)-1].P, meets):
			loops = append(loops, p.path[:len(p.path)-1])
		case len(p.path) == 2 && p.path[0].P.Near(p.path[1].P, meets): // a dot
		default:
			open = append(open, p.path)
		}
	}
	c := &chainer{paths: open, used: make([]bool, len(open))}
	for i := range open {
		if c.used[i] {
			continue
		}
		if l := c.from(i); l != nil {
			loops = append(loops, l)
		} else if loose == nil {
			loose = c.loose
		}
	}
	return loops, loose, nil
}

// chainer puts open paths end to end.
type chainer struct {
	paths []plane.Loop
	used  []bool
	loose *looseEnd
}

// from is the loop that path i begins, nil where its lines lead to a loose end.
func (c *chainer) from(i int) plane.Loop {
	chain := c.paths[i].Clone()
	c.used[i] = true
	for {
		end := chain[len(chain)-1].P
		k, back, others := c.next(end)
		home := chain[0].P.Near(end, meets) && len(chain) > 2
		switch {
		case home && others == 0:
			return chain[:len(chain)-1]
		case !home && others == 1:
		case home || others > 1:
			c.loose = &looseEnd{at: end, ends: others + 1, lines: len(c.paths)}
			if home {
				c.loose.ends++
			}
			return nil
		default:
			c.loose = c.alone(end)
			return nil
		}
		c.used[k] = true
		path := c.paths[k].Clone()
		if back {
			path = turnedRound(path)
		}
		chain = append(chain[:len(chain)-1], plane.Vertex{P: end, Bulge: path[0].Bulge})
		chain = append(chain, path[1:]...)
	}
}

// next is a path not used yet that has an end there, whether that is its last, and how
// many such ends there are.
func (c *chainer) next(at plane.Point) (k int, back bool, n int) {
	for i, p := range c.paths {
		if c.used[i] {
			continue
		}
		if p[0].P.Near(at, meets) {
			k, back, n = i, false, n+1
		}
		if p[len(p)-1].P.Near(at, meets) {
			k, back, n = i, true, n+1
		}
	}
	return k, back, n
}

// alone is an end at which nothing goes on, with the nearest other end.
func (c *chainer) alone(at plane.Point) *looseEnd {
	o := &looseEnd{at: at, gap: -1, ends: 1, lines: len(c.paths)}
	for _, p := range c.paths {
		for _, q := range [2]plane.Point{p[0].P, p[len(p)-1].P} {
			if d := q.Dist(at); d > meets && (o.gap < 0 || d < o.gap) {
				o.gap, o.next = d, q
			}
		}
	}
	return o
}

// turnedRound is an open path run the other way.
func turnedRound(l plane.Loop) plane.Loop {
	n := len(l)
	out := make(plane.Loop, n)
	for i := range l {
		out[i].P = l[n-1-i].P
		if i+1 < n {
			out[i].Bulge = -l[n-2-i].Bulge
		}
	}
	return out
}
