package panel

import (
	"math"

	"perch/parts/plane"
)

// minReliefWidth is the least width of a relief's notch, mm; common practice.
const minReliefWidth = 1.5

// notchWidth is the width of a square relief: one sheet, and not under 1.5 mm.
func (u *unfolder) notchWidth() float64 { return max(u.p.Stock.Thickness, minReliefWidth) }

// relief is a region cut away, with the box around it.
type relief struct {
	region plane.Region
	box    plane.Box
}

// reliefs lists what is cut away at the ends of folds, in the flat: circles where two
// folds meet at a corner of a face, notches at other ends that are not at the edge of
// the blank.
func (u *unfolder) reliefs(f *Flat) []relief {
	done := make([][2]bool, len(f.Folds)) // ends that a corner's relief took
	var out []relief
	add := func(r plane.Region) { out = append(out, relief{r, r.Bounds()}) }
	for face := range f.Faces {
		folds := u.trims[face].folds
		for i := range folds {
			for j := i + 1; j < len(folds); j++ {
				if r := u.cornerRelief(f, face, folds[i], folds[j], done); r != nil {
					add(r)
				}
			}
		}
	}
	for i := range f.Folds {
		for end := range 2 {
			if !done[i][end] {
				for _, r := range u.endReliefs(f, i, end) {
					add(r)
					done[i][end] = true
				}
			}
		}
		f.Folds[i].Relieved = done[i]
	}
	return out
}

// flatHinge is the hinge of fold i on face, in flat coordinates.
func (u *unfolder) flatHinge(f *Flat, i, face int) hinge {
	h, m := *u.hingeOn(i, face), f.Faces[face].ToFlat
	h.p, h.e, h.in = m.Apply(h.p), m.Vec(h.e), m.Vec(h.in)
	return h
}

// cornerRelief is the relief where folds i and j of one face meet, nil where they don't:
// a circle where the strips' middle lines cross. With γ the face's inside angle its
// diameter is BA/min(sin γ/2, cos γ/2) + t, never under the least. Where an end stands off
// the corner the circle is drawn out to a slot that reaches it, so that no horn is left
// between the strips.
func (u *unfolder) cornerRelief(f *Flat, face, i, j int, done [][2]bool) plane.Region {
	a, b := &f.Folds[i], &f.Folds[j]
	fi, fj := u.p.Folds[i], u.p.Folds[j]
	if fi.Relief == ReliefNone && fj.Relief == ReliefNone {
		return nil
	}
	di, dj := a.To.Sub(a.From), b.To.Sub(b.From)
	ui, uj := di.Unit(), dj.Unit()
	cross := ui.Cross(uj)
	if math.Abs(cross) < 0.1 { // under 6° they run side by side
		return nil
	}
	s := b.From.Sub(a.From).Cross(uj) / cross
	x := plane.Point{X: a.From.X + float64(s*ui.X), Y: a.From.Y + float64(s*ui.Y)}
	ei, ej := nearEnd(a, x), nearEnd(b, x)
	hi, hj := u.hingeOn(i, face), u.hingeOn(j, face)
	apart := hi.at(u.spanEnd(i, ei), 0).Dist(hj.at(u.spanEnd(j, ej), 0))
	corners := [2][]plane.Point{u.endCorners(f, i, ei), u.endCorners(f, j, ej)}
	gap := hullGap(corners[0], corners[1])
	cut := u.runsOn(i, ei) || u.runsOn(j, ej)
	over := max(0, u.overhang(i, fi.A, ei), u.overhang(i, fi.B, ei), u.overhang(j, fj.A, ej), u.overhang(j, fj.B, ej))
	if apart > lineTol && !(cut && gap < float64(2*u.notchWidth())+over) {
		return nil
	}
	done[i][ei], done[j][ej] = true, true
	dot := hi.in.Dot(hj.in) // −cos γ
	narrow := math.Sqrt(max(min((1+dot)/2, (1-dot)/2), 0.01))
	t := u.p.Stock.Thickness
	d := max(u.creases[i].ba, u.creases[j].ba)/narrow + t
	reach := 0.0
	for k, away := range [2]plane.Point{inwards(a, ei), inwards(b, ej)} {
		for _, p := range corners[k] {
			q := p.Sub(x)
			if q.Dot(away) <= 0 { // an oblique end that reaches past the crossing
				d = max(d, 2*q.Len()+t)
			}
			reach = max(reach, math.Abs(q.Dot(ui)), math.Abs(q.Cross(ui)))
		}
	}
	d = max(d, u.opt.MinRelief)
	if size := max(fi.ReliefSize, fj.ReliefSize); size > 0 {
		d = size
	}
	if fi.Relief == ReliefSquare || fj.Relief == ReliefSquare {
		side := max(2*reach+t, u.opt.MinRelief, fi.ReliefSize, fj.ReliefSize)
		return plane.Region{plane.Rect(side, side).Transform(plane.RotateTo(ui).Then(plane.Translate(x)))}
	}
	// The circle's two arcs part on the corner's bisector, so that mirrored corners and
	// ones whose folds are named in another order come out alike.
	m := f.Faces[face].ToFlat
	bisector := m.Vec(hi.in.Add(hj.in))
	relief := plane.Region{plane.Circle(d).Transform(plane.RotateTo(bisector).Then(plane.Translate(x)))}
	if apart > lineTol {
		for k, s := range [2]*FlatFold{a, b} {
			if slot := slotTo(x, inwards(s, [2]int{ei, ej}[k]), corners[k], d); slot != nil {
				relief = plane.Union(relief, plane.Region{slot})
			}
		}
	}
	return relief
}

// slotTo draws the circle of diameter d about x out, along a strip's direction u, to a
// slot that covers the strip's end; nil where the circle does so already.
func slotTo(x, u plane.Point, end []plane.Point, d float64) plane.Loop {
	const margin = 0.1 // mm, so that no hair is left at a corner
	reach, d2 := 0.0, (d-margin)*(d-margin)
	for _, p := range end {
		q := p.Sub(x)
		h := q.Cross(u)
		reach = max(reach, q.Dot(u)-math.Sqrt(max(float64(d2/4)-float64(h*h), 0)))
	}
	if reach <= lineTol {
		return nil
	}
	centre := x.Add(u.Scale(reach / 2))
	return plane.Slot(reach+d, d).Transform(plane.RotateTo(u).Then(plane.Translate(centre)))
}

// endCorners are the corners of the metal at an end of fold i that a relief must take: of
// the strip, and of a face that runs on past it.
func (u *unfolder) endCorners(f *Flat, i, end int) []plane.Point {
	e := endOf(&f.Folds[i], end)
	out := e[:]
	for _, face := range [2]int{f.Folds[i].A, f.Folds[i].B} {
		if h := u.flatHinge(f, i, face); h.runs[end] {
			out = append(out, h.at(u.spanEnd(i, end), 0))
		}
	}
	return out
}

// inwards is the unit direction from an end of a strip along it.
func inwards(s *FlatFold, end int) plane.Point {
	u := s.To.Sub(s.From).Unit()
	if end == 1 {
		return u.Neg()
	}
	return u
}

// endOf is the end edge of a strip, from face A's tangent line to B's.
func endOf(s *FlatFold, end int) [2]plane.Point {
	return [2]plane.Point{s.TangentA[end], s.TangentB[end]}
}

func nearEnd(s *FlatFold, x plane.Point) int {
	if x.Dist(s.From) <= x.Dist(s.To) {
		return 0
	}
	return 1
}

func (u *unfolder) spanEnd(i, end int) float64 {
	if end == 0 {
		return u.creases[i].from
	}
	return u.creases[i].to
}

// runsOn tells whether the metal of either face runs on past an end of fold i.
func (u *unfolder) runsOn(i, end int) bool {
	return u.creases[i].a.runs[end] || u.creases[i].b.runs[end]
}

// hullGap is the least distance between two sets of points and all segments between
// points of one set.
func hullGap(a, b []plane.Point) float64 {
	return min(pointsGap(a, b), pointsGap(b, a))
}

func pointsGap(a, b []plane.Point) float64 {
	d := math.Inf(1)
	for _, p := range a {
		for i := range b {
			for j := range i {
				d = min(d, toSegment(p, [2]plane.Point{b[i], b[j]}))
			}
		}
	}
	return d
}

func toSegment(p plane.Point, s [2]plane.Point) float64 {
	d := s[1].Sub(s[0])
	k := 0.0
	if l := d.Dot(d); l > 0 {
		k = max(0, min(1, p.Sub(s[0]).Dot(d)/l))
	}
	return p.Dist(s[0].Lerp(s[1], k))
}

// endReliefs are the notches at one end of fold i: beside the strip, in each face whose
// metal runs on past it, from the face's edge to a sheet past its tangent line.
func (u *unfolder) endReliefs(f *Flat, i, end int) []plane.Region {
	fold, c := u.p.Folds[i], u.creases[i]
	if fold.Relief == ReliefNone {
		return nil
	}
	var out []plane.Region
	for _, face := range [2]int{fold.A, fold.B} {
		if h := u.flatHinge(f, i, face); h.runs[end] {
			other := fold.A + fold.B - face
			reach := extent(u.outlines[other], u.hingeOn(i, other)) - h.set
			over := max(0, u.overhang(i, other, end))
			out = append(out, plane.Region{u.notch(fold, c, h, end, reach, over)})
		}
	}
	return out
}

// notch is one end's relief in the flat, in the face with the hinge h; the face on the
// strip's other side reaches so far past its tangent line, and hangs over the span's end by
// over, where the notch goes on below it. In an inner corner the notch
// runs all along that face, which could not be cut free of this one otherwise.
func (u *unfolder) notch(fold Fold, c *crease, h hinge, end int, reach, over float64) plane.Loop {
	t := u.p.Stock.Thickness
	w := u.notchWidth()
	if fold.Relief == ReliefSlit {
		w = u.opt.Kerf
	}
	if fold.ReliefSize > 0 {
		w = fold.ReliefSize
	}
	w += over
	s, out, on := c.from, -1.0, c.from-h.lo
	if end == 1 {
		s, out, on = c.to, 1, h.hi-c.to
	}
	low, high := -2*lineTol, h.set+t
	if h.deep[end] {
		low = h.set - c.ba - reach - t
	} else if on < float64(2*w)-over { // what would stand beside the notch is a horn: it goes too
		w = on + high
	}
	at := func(x, depth float64) plane.Point { return h.at(s+float64(out*x), depth) }
	p := [4]plane.Point{at(0, low), at(w, low), at(w, high), at(0, high)}
	bulge := 0.0
	if fold.Relief == ReliefRound && high-float64(w/2) > low {
		p[2], p[3] = at(w, high-float64(w/2)), at(0, high-float64(w/2))
		bulge = 1
	}
	l := plane.Loop{{P: p[0]}, {P: p[1]}, {P: p[2], Bulge: bulge}, {P: p[3]}}
	if l.Area() < 0 {
		l[2].Bulge = -bulge
		l = l.Reversed()
	}
	return l
}
