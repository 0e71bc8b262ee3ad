package panel

import (
	"perch/parts/plane"
	"perch/parts/solid"
)

// TouchTol is how deep, in mm, two faces may lie in each other and only touch.
const TouchTol = 0.02

// Clash is metal that two faces claim both.
type Clash struct {
	FaceA, FaceB int
	Depth        float64   // mm, the least extent of the shared metal, estimated
	Volume       float64   // mm³, estimated
	At           solid.Vec // a point of the shared metal
}

// levels is into how many layers a sheet is sampled through its thickness.
const levels = 5

// Interfere lists the faces of two parts, where they stand, whose metal overlaps by
// more than TouchTol. Faces only, as open solids: bends are not looked at (Clashes does) and touching
// is not interference. Depth and Volume are estimates: of layers through both sheets.
func Interfere(a, b *Flat) []Clash {
	var out []Clash
	pa := a.placed()
	pb := pa
	if b != a {
		pb = b.placed()
	}
	for i := range pa {
		for j := range pb {
			if a == b && i >= j {
				continue
			}
			if c, ok := clash(&pa[i], &pb[j]); ok {
				c.FaceA, c.FaceB = i, j
				out = append(out, c)
			}
		}
	}
	return out
}

// clash tells whether two prisms overlap.
func clash(p, q *placed) (Clash, bool) {
	if len(p.Region) == 0 || len(q.Region) == 0 || apart(&p.block, &q.block) {
		return Clash{}, false
	}
	if sin := p.axes[2].Cross(q.axes[2]).Len(); sin > 0.02 { // about 1°
		return crossing(&p.Prism, &q.Prism, sin)
	}
	return stacked(&p.Prism, &q.Prism)
}

// layer is the depth of layer k: the first and last lie TouchTol inside the surfaces.
func layer(k int, t float64) float64 {
	return -(TouchTol + float64(float64(k)*(t-float64(2*TouchTol))/(levels-1)))
}

// crossing samples two sheets that stand at an angle: layers of both meet in lines, and
// on each line both sheets' metal is a set of intervals.
func crossing(p, q *Prism, sin float64) (Clash, bool) {
	var c Clash
	longest, inP, inQ := 0.0, [levels]bool{}, [levels]bool{}
	pb, qb := p.Bounds.Grow(TouchTol), q.Bounds.Grow(TouchTol)
	var fs, gs [levels]solid.Frame
	var ps, qs [levels]solid.Plane
	for k := range levels {
		fs[k], gs[k] = p.Frame.Shifted(layer(k, p.Thickness)), q.Frame.Shifted(layer(k, q.Thickness))
		ps[k], qs[k] = fs[k].Plane(), gs[k].Plane()
	}
	line, ok := solid.Meet(ps[0], qs[0])
	if !ok {
		return c, false
	}
	pd, qd := p.Frame.LocalDir(line.D), q.Frame.LocalDir(line.D)
	pr, qr := p.Region.Reach(pd), q.Region.Reach(qd)
	misses := func(r plane.Interval, across float64) bool { return across < r.From-TouchTol || across > r.To+TouchTol }
	for i := range levels {
		for j := range levels {
			line, _ := solid.Meet(ps[i], qs[j])
			pp, qp := fs[i].Local(line.P), gs[j].Local(line.P)
			if misses(pr, pd.Cross(pp)) || misses(qr, qd.Cross(qp)) {
				continue
			}
			if pc, ok := pb.Chord(pp, pd); !ok {
				continue
			} else if qc, ok := qb.Chord(qp, qd); !ok || min(pc.To, qc.To) <= max(pc.From, qc.From) {
				continue
			}
			a := plane.Chords(p.Region, pp, pd)
			if len(a) == 0 {
				continue
			}
			b := plane.Chords(q.Region, qp, qd)
			for _, x := range a {
				for _, y := range b {
					lo, hi := max(x.From, y.From), min(x.To, y.To)
					if hi-lo <= TouchTol {
						continue
					}
					inP[i], inQ[j] = true, true
					c.Volume += (hi - lo) * p.Thickness * q.Thickness / float64(levels*levels*sin)
					if hi-lo > longest {
						longest, c.At = hi-lo, shift(line.P, (lo+hi)/2, line.D)
					}
				}
			}
		}
	}
	count := func(in [levels]bool) (n float64) {
		for _, x := range in {
			if x {
				n++
			}
		}
		return n / levels
	}
	c.Depth = min(longest, p.Thickness*count(inP), q.Thickness*count(inQ))
	return c, longest > 0
}

// stacked compares two sheets that lie flat on each other.
func stacked(p, q *Prism) (Clash, bool) {
	n := p.Frame.Normal()
	face := p.Frame.Plane().Height(q.Frame.At(q.Region[0][0].P))
	back := face - q.Thickness
	if n.Dot(q.Frame.Normal()) < 0 {
		back = face + q.Thickness
	}
	top, bottom := min(0, max(face, back)), max(-p.Thickness, min(face, back))
	depth := top - bottom
	if depth <= TouchTol {
		return Clash{}, false
	}
	shared := plane.Intersect(p.Region, q.On(p.Frame))
	area := shared.Area()
	if area <= TouchTol*shared.Length()/2 || area <= areaTol {
		return Clash{}, false
	}
	c := Clash{Depth: depth, Volume: depth * area, At: shift(p.Frame.At(shared.Centroid()), (top+bottom)/2, n)}
	if len(plane.Offset(shared, -depth/2)) == 0 { // it is narrower than it is deep
		c.Depth = min(depth, shared.Across())
	}
	return c, true
}

// Onto takes the prism's coordinates to those of the parallel frame f.
func (p Prism) Onto(f solid.Frame) plane.Affine {
	g := p.Frame
	x := f.LocalDir(g.X).Unit()
	y := x.Perp()
	if f.Normal().Dot(g.Normal()) < 0 {
		y = y.Neg()
	}
	o := f.Local(g.O)
	return plane.Affine{A: x.X, B: y.X, C: x.Y, D: y.Y, E: o.X, F: o.Y}
}

// On draws the prism's region in the coordinates of the parallel frame f.
func (p Prism) On(f solid.Frame) plane.Region { return p.Region.Transform(p.Onto(f)) }
