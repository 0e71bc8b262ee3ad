package strength

import (
	"context"
	"math"

	"perch/parts/mesh"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// divided is a blank as triangles in its flat, with where each node comes to lie when the
// part is folded: on the middle of the sheet, in part space.
type divided struct {
	*mesh.Mesh
	at     []solid.Vec
	normal []solid.Vec    // by triangle, of the drawn side, folded
	center map[string]int // by point's name: its node
	heads  []head
}

// head is a fastener's head on a flat.
type head struct {
	at     plane.Point
	radius float64
}

// sharpest is the bend up to which its strip is taken as the sharp line on which the two
// sheets' middles meet; the strip of a closer one is folded in flats as the arc runs.
const sharpest = 100 * math.Pi / 180

// ringSides is how many triangles make the patch under a head.
const ringSides = 6

// divide makes the triangles of a blank. points are the names of those with a fastener,
// with their heads' radius. Where triangles are far larger than a head it gets no patch of
// its own: a node of such triangles is as hard to tilt as the head.
func divide(ctx context.Context, f *panel.Flat, points map[string]float64, side float64, most int) (*divided, error) {
	t := f.Panel.Stock.Thickness
	chord := math.Max(0.04*side, 0.2)
	r := mesh.Region{Apart: math.Max(0.2, math.Min(0.6*t, 0.06*side)), Most: most}
	r.Loops = append(r.Loops, plain(plane.Flatten(f.Outer, chord), chord))
	for _, l := range f.Inner {
		b := l.Bounds().Size()
		if math.Max(b.X, b.Y) > t && !filled(f, l, points) {
			r.Loops = append(r.Loops, plain(plane.Flatten(l, chord), chord))
		}
	}
	for i := range f.Folds {
		r.Lines = append(r.Lines, foldLines(&f.Folds[i])...)
	}
	d := &divided{center: map[string]int{}}
	var named []string
	for _, p := range f.Points {
		radius, ok := points[p.Name]
		if !ok || f.ToEdge(p.At) < r.Apart {
			continue
		}
		named = append(named, p.Name)
		r.Points = append(r.Points, p.At)
		if 3*radius >= side && d.room(f, p.At, radius) {
			d.heads = append(d.heads, head{p.At, radius})
			ring := around(p.At, radius)
			for k, q := range ring {
				r.Lines = append(r.Lines, [2]plane.Point{q, ring[(k+1)%len(ring)]})
			}
		}
	}
	r.Size = d.size(side)
	m, err := mesh.Divide(ctx, r)
	if err != nil {
		return nil, err
	}
	d.Mesh = m
	for i, name := range named {
		d.center[name] = int(m.Points[i])
	}
	for _, p := range f.Points {
		if _, ok := points[p.Name]; ok {
			if _, ok := d.center[p.Name]; !ok {
				d.center[p.Name] = nearest(m.Nodes, p.At)
			}
		}
	}
	d.fold(f)
	return d, nil
}

// size is the side asked for at a place: that of a head's patch beside one, growing away
// from it.
func (d *divided) size(side float64) func(plane.Point) float64 {
	const growth = 0.6
	return func(p plane.Point) float64 {
		s := side
		for _, h := range d.heads {
			s = math.Min(s, math.Max(h.radius, h.radius+float64(growth*(p.Dist(h.at)-h.radius))))
		}
		return s
	}
}

// room tells whether a head's patch lies whole on the metal and beside all others.
func (d *divided) room(f *panel.Flat, at plane.Point, radius float64) bool {
	if f.ToEdge(at) < 1.2*radius {
		return false
	}
	for i := range f.Folds {
		p, q := f.Folds[i].From, f.Folds[i].To
		u := q.Sub(p).Unit()
		v := at.Sub(p)
		if s := v.Dot(u); s > -radius && s < p.Dist(q)+radius && math.Abs(v.Cross(u)) < 1.2*radius {
			return false
		}
	}
	for _, h := range d.heads {
		if h.at.Dist(at) < h.radius+float64(1.2*radius) {
			return false
		}
	}
	return true
}

func around(at plane.Point, radius float64) (ring []plane.Point) {
	for k := range ringSides {
		ring = append(ring, at.Add(plane.Polar(radius, 2*math.Pi/ringSides*float64(k))))
	}
	return ring
}

// filled tells whether a fastener fills an opening.
func filled(f *panel.Flat, l plane.Loop, points map[string]float64) bool {
	for _, p := range f.Points {
		if _, ok := points[p.Name]; ok && l.Locate(p.At) != plane.Outside {
			return true
		}
	}
	return false
}

// plain leaves out corners of an outline that lie within tol of the line between others (U.
// Ramer, 1972; D. Douglas and T. Peucker, 1973), from the two that lie farthest apart.
func plain(l []plane.Point, tol float64) []plane.Point {
	if len(l) < 5 {
		return l
	}
	far := 0
	for i, p := range l {
		if p.Dist(l[0]) > l[far].Dist(l[0]) {
			far = i
		}
	}
	keep := make([]bool, len(l)+1)
	closed := append(append([]plane.Point(nil), l...), l[0])
	keep[0], keep[far], keep[len(l)] = true, true, true
	var split func(a, b int)
	split = func(a, b int) {
		worst, at := tol, -1
		for i := a + 1; i < b; i++ {
			if d := fromLine(closed[i], closed[a], closed[b]); d > worst {
				worst, at = d, i
			}
		}
		if at >= 0 {
			keep[at] = true
			split(a, at)
			split(at, b)
		}
	}
	split(0, far)
	split(far, len(l))
	var out []plane.Point
	for i, p := range l {
		if keep[i] {
			out = append(out, p)
		}
	}
	if len(out) < 3 {
		return l
	}
	return out
}

func fromLine(p, a, b plane.Point) float64 {
	d := b.Sub(a)
	l := d.Len()
	if l == 0 {
		return p.Dist(a)
	}
	t := math.Min(1, math.Max(0, p.Sub(a).Dot(d)/(l*l)))
	return p.Dist(a.Lerp(b, t))
}

func nearest(of []plane.Point, p plane.Point) int {
	best := 0
	for i, q := range of {
		if q.Dist(p) < of[best].Dist(p) {
			best = i
		}
	}
	return best
}

// flats is in how many a fold's strip is taken: none for the sharp line.
func flats(f *panel.FlatFold) int {
	if f.Bend.Angle <= sharpest {
		return 0
	}
	return int(math.Ceil(f.Bend.Angle / (math.Pi / 8)))
}

// foldLines are those of a flat that no triangle may cross, for a fold.
func foldLines(f *panel.FlatFold) (lines [][2]plane.Point) {
	n := flats(f)
	if n == 0 {
		return [][2]plane.Point{{f.From, f.To}}
	}
	across := across(f)
	half := f.Bend.Allowance() / 2
	for k := range n + 1 {
		off := across.Scale(half * (2*float64(k)/float64(n) - 1))
		lines = append(lines, [2]plane.Point{f.From.Add(off), f.To.Add(off)})
	}
	return lines
}

// across is the unit vector over a fold from face A, which lies left of From→To, to B.
func across(f *panel.FlatFold) plane.Point {
	u := f.To.Sub(f.From).Unit()
	return plane.Point{X: u.Y, Y: -u.X}
}

// fold finds where the nodes come to lie, and the triangles' normals.
func (d *divided) fold(f *panel.Flat) {
	d.at = make([]solid.Vec, len(d.Nodes))
	for i, p := range d.Nodes {
		d.at[i] = folded(f, p)
	}
	d.normal = make([]solid.Vec, len(d.Triangles))
	for i, t := range d.Triangles {
		a := d.at[t[0]]
		d.normal[i] = d.at[t[1]].Sub(a).Cross(d.at[t[2]].Sub(a)).Unit()
	}
}

// atEnds is how far beyond a strip's ends a node is still taken as the strip's, mm.
const atEnds = 0.3

// folded is where a point of a flat comes to lie, in part space, in the middle of the sheet.
func folded(f *panel.Flat, p plane.Point) solid.Vec {
	t := f.Panel.Stock.Thickness
	for i := range f.Folds {
		fold := &f.Folds[i]
		u := fold.To.Sub(fold.From).Unit()
		v := p.Sub(fold.From)
		along := v.Dot(u)
		half := float64(fold.Bend.Allowance() / 2)
		side := v.Dot(across(fold))
		if math.Abs(side) > half+1e-6 || along < -atEnds || along > fold.From.Dist(fold.To)+atEnds {
			continue
		}
		x, z := bent(fold, side+half)
		base := p.Sub(across(fold).Scale(side + half)) // on the tangent of face A
		frame := f.Faces[fold.A].Frame
		return frame.At(base).Add(frame.Dir(across(fold)).Scale(x)).Add(frame.Normal().Scale(z - float64(t/2)))
	}
	best, least := 0, math.Inf(1)
	for i := range f.Faces {
		r := plane.Region{f.Faces[i].Loop}
		if r.LocateWithin(p, 1e-6) != plane.Outside {
			best = i
			break
		}
		if d, _ := r.DistanceTo(p); d < least {
			best, least = i, d
		}
	}
	frame := f.Faces[best].Frame
	return frame.At(p).Sub(frame.Normal().Scale(t / 2))
}

// bent is where a strip's middle lies a way d over from face A's tangent: along A's plane,
// and out of it to the drawn side.
func bent(f *panel.FlatFold, d float64) (x, z float64) {
	b := f.Bend
	sign := 1.0
	if f.Down {
		sign = -1
	}
	radius := b.Radius + float64(b.Thickness/2)
	ba := b.Allowance()
	if flats(f) > 0 {
		s, c := sincos(b.Angle * d / ba)
		return radius * s, sign * radius * (1 - c)
	}
	s, c := sincos(b.Angle / 2)
	back := radius * s / c
	k := back / (ba / 2)
	if d <= ba/2 {
		return k * d, 0
	}
	s, c = sincos(b.Angle)
	rest := k * (d - float64(ba/2))
	return back + float64(rest*c), sign * rest * s
}
