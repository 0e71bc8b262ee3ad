package joining

import (
	"math"
	"slices"

	"perch/parts/shop"
	"perch/parts/solid"
)

// tool is a cylinder that has to be free of metal: from At along Dir.
type tool struct {
	at, dir solid.Vec // dir is a unit vector
	u, v    solid.Vec // square to it and to each other
	shop.Room
}

// offSheet is how far, in mm, a tool's room begins off the sheet that it stands on, so that
// what lies in that sheet's plane is not in its way.
const offSheet = 0.3

func newTool(at, dir solid.Vec, r shop.Room) tool {
	t := tool{at: at, dir: dir, Room: r}
	t.From = max(t.From, offSheet)
	across := solid.Vec{X: 1}
	if math.Abs(dir.X) > 0.6 {
		across = solid.Vec{Y: 1}
	}
	t.u = dir.Cross(across).Unit()
	t.v = dir.Cross(t.u)
	return t
}

// needed tells whether there is anything to keep free.
func (t tool) needed() bool { return t.Length > t.From && t.Radius > 0 }

// box is an upright box around the cylinder.
func (t tool) box() box {
	a, b := t.at.Add(t.dir.Scale(t.From)), t.at.Add(t.dir.Scale(t.Length))
	side := func(d float64) float64 { return float64(t.Radius * math.Sqrt(max(0, 1-float64(d*d)))) }
	reach := solid.Vec{X: side(t.dir.X), Y: side(t.dir.Y), Z: side(t.dir.Z)}
	return emptyBox().with(a.Sub(reach)).with(a.Add(reach)).with(b.Sub(reach)).with(b.Add(reach))
}

// local is a point in the tool's own coordinates, z along it.
func (t tool) local(p solid.Vec) solid.Vec {
	d := p.Sub(t.at)
	return solid.Vec{X: d.Dot(t.u), Y: d.Dot(t.v), Z: d.Dot(t.dir)}
}

// meets tells whether a flat facet of a part's surface reaches into the cylinder. Of the
// facet's part between the cylinder's ends the point nearest to the axis lies where the
// axis goes through it, or on its border: a stretch of an edge, or of a line in which it
// crosses the plane of an end.
func (t tool) meets(f facet) bool {
	loops := make([][]solid.Vec, len(f.loops))
	for i, l := range f.loops {
		loops[i] = make([]solid.Vec, len(l))
		for k, p := range l {
			loops[i][k] = t.local(p)
		}
	}
	near := float64(t.Radius * t.Radius)
	for _, l := range loops {
		for k, p := range l {
			a, b, ok := between(p, l[(k+1)%len(l)], t.From, t.Length)
			if ok && toAxis(a, b) < near {
				return true
			}
		}
	}
	return crossing(loops, t.From) < near || crossing(loops, t.Length) < near || t.pierced(loops)
}

// between is the stretch of a segment whose z lies from lo to hi.
func between(a, b solid.Vec, lo, hi float64) (solid.Vec, solid.Vec, bool) {
	if max(a.Z, b.Z) < lo || min(a.Z, b.Z) > hi {
		return a, b, false
	}
	at := func(z float64) solid.Vec {
		s := (z - a.Z) / (b.Z - a.Z)
		return a.Add(b.Sub(a).Scale(s))
	}
	p, q := a, b
	for _, end := range [2]*solid.Vec{&p, &q} {
		switch {
		case end.Z < lo:
			*end = at(lo)
		case end.Z > hi:
			*end = at(hi)
		}
	}
	return p, q, true
}

// toAxis is the square of how near a segment comes to the z axis.
func toAxis(a, b solid.Vec) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	l := float64(dx*dx) + float64(dy*dy)
	s := 0.0
	if l > 0 {
		s = min(1, max(0, -(float64(a.X*dx)+float64(a.Y*dy))/l))
	}
	x, y := a.X+float64(s*dx), a.Y+float64(s*dy)
	return float64(x*x) + float64(y*y)
}

// crossing is the square of how near a facet comes to the axis in the plane z = level.
func crossing(loops [][]solid.Vec, level float64) float64 {
	var at []solid.Vec
	for _, l := range loops {
		for k, a := range l {
			b := l[(k+1)%len(l)]
			if (a.Z < level) != (b.Z < level) {
				s := (level - a.Z) / (b.Z - a.Z)
				at = append(at, a.Add(b.Sub(a).Scale(s)))
			}
		}
	}
	best := math.Inf(1)
	if len(at) < 2 {
		return best
	}
	way := at[1].Sub(at[0])
	for _, p := range at[2:] {
		if d := p.Sub(at[0]); d.Len() > way.Len() {
			way = d
		}
	}
	slices.SortFunc(at, func(a, b solid.Vec) int {
		switch d := a.Sub(b).Dot(way); {
		case d < 0:
			return -1
		case d > 0:
			return 1
		}
		return 0
	})
	for k := 0; k+1 < len(at); k += 2 {
		best = min(best, toAxis(at[k], at[k+1]))
	}
	return best
}

// pierced tells whether the axis goes through a facet between the tool's ends.
func (t tool) pierced(loops [][]solid.Vec) bool {
	var n solid.Vec // of the facet, by its outer loop (Newell)
	outer := loops[0]
	for k, a := range outer {
		b := outer[(k+1)%len(outer)]
		n.X += float64((a.Y - b.Y) * (a.Z + b.Z))
		n.Y += float64((a.Z - b.Z) * (a.X + b.X))
		n.Z += float64((a.X - b.X) * (a.Y + b.Y))
	}
	if math.Abs(n.Z) < 1e-9*n.Len() {
		return false // the facet stands along the axis: its border is as near
	}
	if z := n.Dot(outer[0]) / n.Z; z < t.From || z > t.Length {
		return false
	}
	inside := false
	for _, l := range loops {
		for k, a := range l {
			b := l[(k+1)%len(l)]
			if (a.Y < 0) != (b.Y < 0) && a.X-float64(a.Y*(b.X-a.X)/(b.Y-a.Y)) > 0 {
				inside = !inside
			}
		}
	}
	return inside
}
