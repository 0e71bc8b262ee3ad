package plane

import "math"

// Nearest is the point of the edge nearest to p; of several, From's side first.
func (e Edge) Nearest(p Point) Point {
	d := e.To.Sub(e.From)
	if e.Bulge == 0 {
		l2 := d.Dot(d)
		if l2 == 0 {
			return e.From
		}
		return e.From.Lerp(e.To, max(0, min(1, d.Dot(p.Sub(e.From))/l2)))
	}
	c, r := e.Center(), e.Radius()
	if v := p.Sub(c); v != (Point{}) {
		on := c.Add(v.Unit().Scale(r))
		if side := d.Cross(on.Sub(e.From)); side != 0 && (side < 0) == (e.Bulge > 0) {
			return on
		}
	} else {
		return e.Mid()
	}
	if p.Dist(e.To) < p.Dist(e.From) {
		return e.To
	}
	return e.From
}

// DistanceTo is the least distance from p to an edge of r, and the nearest point.
// It is +Inf for an empty region.
func (r Region) DistanceTo(p Point) (d float64, on Point) {
	least := math.Inf(1)
	for _, l := range r {
		for i := range l {
			e := l.Edge(i)
			if e.Bulge != 0 { // an arc may be too far off to be worth its centre
				if gap := (Box{e.From, e.From}).With(e.To).Grow(e.bow()).gap(Box{p, p}); float64(gap*gap) > least {
					continue
				}
			}
			q := e.Nearest(p)
			if v := q.Sub(p); v.Dot(v) < least {
				least, on = v.Dot(v), q
			}
		}
	}
	return math.Sqrt(least), on
}
