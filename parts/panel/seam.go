package panel

import (
	"math"

	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/solid"
	"perch/solver/elementary"
)

// treatSeams sets the outlines: cornered are the drawn ones, grown or shrunk at seams
// to the line where the two planes meet; outlines are cut back from there by the
// seam's treatment. The cornered ones tell where faces meet at folds: a flap's fold
// runs to the corner though the flap itself ends before it.
func (u *unfolder) treatSeams() {
	u.outlines = make([]plane.Loop, len(u.p.Faces))
	for i, f := range u.p.Faces {
		u.outlines[i] = f.Outline[0]
	}
	u.cornered = append([]plane.Loop(nil), u.outlines...)
	for _, s := range u.p.Seams {
		if s.Kind == SeamLapped {
			u.lapSeam(s)
		} else {
			u.treatSeam(s)
		}
	}
}

func (u *unfolder) treatSeam(s Seam) {
	fa, fb := u.p.Faces[s.A], u.p.Faces[s.B]
	fail := func(r Reason, got float64, why string) {
		u.fail(&SeamError{u.p.Name, s.Name, fa.Name, fb.Name, r, got, measure.Plain(why)})
	}
	c, err := newCornerLine(fa, fb)
	if err != "" {
		reason := BadSides
		if c.angle < flatest {
			reason = NoCorner
		}
		fail(reason, c.angle, err)
		return
	}
	back := cutBack(s, c.angle, c.outside, u.p.Stock.Thickness)
	for _, face := range [2]int{s.A, s.B} {
		other := s.A + s.B - face
		line := cornerIn(u.p.Faces[face].Frame, u.p.Faces[other].Frame, c.outside)
		full, why := growTo(u.cornered[face], line, 0)
		ends, whyCut := growTo(u.outlines[face], line, back)
		if why == "" {
			why = whyCut
		}
		if why != "" {
			fail(BadSeam, 0, u.p.Faces[face].Name+" "+why)
			return
		}
		u.cornered[face], u.outlines[face] = full, ends
	}
}

// cutBack is how far a seam's faces end from the line where their drawn planes meet,
// square to it. With the drawn surface outside, the back edges are the nearest and lie
// t·tan(A/2) off their own corner: c = t·tan(A/2) + g/(2·cos(A/2)). With it inside (walls
// folded up) the drawn edges are the nearest: c = g/(2·cos(A/2)). Derived from planes.
func cutBack(s Seam, angle float64, outside bool, t float64) float64 {
	gap := s.Gap
	if s.Kind != SeamOpen {
		gap = 0
	}
	c := gap / (2 * elementary.Cos(angle/2))
	if outside {
		c += float64(t * elementary.Tan(angle/2))
	}
	return c
}

// cornerLine is where the drawn planes of two faces meet.
type cornerLine struct {
	angle   float64 // between the normals
	outside bool    // the drawn surfaces are the outside of the corner
}

// newCornerLine tells how two faces lie to each other; why says what forbids a seam.
func newCornerLine(a, b Face) (c cornerLine, why string) {
	na, nb := a.Frame.Normal(), b.Frame.Normal()
	c.angle = elementary.Atan2(na.Cross(nb).Len(), na.Dot(nb))
	if c.angle < flatest || c.angle > hemAngle {
		return c, "the planes meet in no corner line"
	}
	ha := b.Frame.Plane().Height(a.Frame.At(a.Outline[0].Centroid()))
	hb := a.Frame.Plane().Height(b.Frame.At(b.Outline[0].Centroid()))
	if (ha < 0) != (hb < 0) {
		return c, "one face lies before, the other behind the other's plane; use .back"
	}
	c.outside = ha < 0
	return c, ""
}

// cornerIn is the corner line on face a, as the half-plane of a that its metal may
// take: behind b's plane (outside) or before it.
func cornerIn(a, b solid.Frame, outside bool) plane.HalfPlane {
	n := b.Normal()
	g := a.LocalDir(n)
	l := g.Len()
	h := plane.HalfPlane{N: g.Scale(1 / l), D: n.Dot(b.O.Sub(a.O)) / l}
	if !outside {
		h.N, h.D = h.N.Neg(), -h.D
	}
	return h
}

// growTo moves the loop's edge that faces the half-plane's border to the line back
// before it, along the lines of its two neighbours, and clips what else reaches over.
func growTo(l plane.Loop, h plane.HalfPlane, back float64) (plane.Loop, string) {
	h.D -= back
	i := facing(l, h)
	if i < 0 {
		return nil, "has no straight edge along the corner"
	}
	out := l.Clone()
	n := len(l)
	prev, next := l.Edge((i+n-1)%n), l.Edge((i+1)%n)
	p, okP := slide(prev.From, l[i].P, h, prev.Straight())
	q, okQ := slide(next.To, next.From, h, next.Straight())
	if okP && okQ {
		out[i].P, out[(i+1)%n].P = p, q
	} else if short := h.D - h.N.Dot(l[i].P); short > lineTol {
		return nil, "can't grow to the corner: its neighbour edges don't lead there"
	}
	for k := range out {
		e := out.Edge(k)
		if h.N.Dot(e.From)-h.D > lineTol || !e.Straight() && h.N.Dot(e.Mid())-h.D > lineTol {
			r := substantial(plane.Clip(plane.Region{out}, h))
			if len(r) != 1 {
				return nil, "has nothing left of it, or pieces, after the seam"
			}
			return r[0], ""
		}
	}
	return out, ""
}

// facing picks the straight edge whose outside faces the border, nearest to it.
func facing(l plane.Loop, h plane.HalfPlane) int {
	best, at := math.Inf(-1), -1
	for i := range l {
		e := l.Edge(i)
		if !e.Straight() || e.Chord() <= lineTol {
			continue
		}
		d := e.To.Sub(e.From).Unit()
		out := -d.Perp().Dot(h.N) // the outside lies right of the edge
		if out < 0.5 {
			continue
		}
		if score := h.N.Dot(e.Mid()) - h.D; score > best+lineTol {
			best, at = score, i
		}
	}
	return at
}

// slide moves the corner to along the line from–to until the border; ok is false
// where that turns the edge round or the line doesn't lead there.
func slide(from, to plane.Point, h plane.HalfPlane, straight bool) (plane.Point, bool) {
	d := to.Sub(from)
	rise := h.N.Dot(d)
	if !straight || rise < 0.1*d.Len() {
		return to, false
	}
	k := (h.D - h.N.Dot(from)) / rise
	if k <= 0 {
		return to, false
	}
	return plane.Point{X: from.X + float64(k*d.X), Y: from.Y + float64(k*d.Y)}, true
}
