package panel

import (
	"math"
	"slices"

	"perch/parts/measure"
	"perch/parts/plane"
)

const (
	// overlapTol is the shared area, in mm², above which a flat overlaps itself.
	overlapTol = 1e-3
	// cutTol is the area, in mm², up to which a cut may reach into a bend.
	cutTol = 1e-6
)

// cutOut takes reliefs and cuts off faces, strips and blank, and joins the blank.
func (u *unfolder) cutOut(f *Flat) {
	if len(u.errs) > 0 {
		return
	}
	reliefs := u.reliefs(f)
	blank := u.join(f, len(reliefs) > 0)
	u.cutFaces(f, reliefs)
	for i := range f.Folds {
		u.cutStrip(f, &f.Folds[i], reliefs)
	}
	if len(u.errs) > 0 {
		return
	}
	u.checkOverlap(f)
	if len(reliefs) > 0 {
		var hinges []*hinge
		for i := range u.trims {
			hinges = append(hinges, u.trims[i].hinges...)
		}
		blank = withoutScraps(plane.Subtract(blank, within(reliefs, f.bounds())), hinges)
	}
	blank = u.cutBlank(f, blank)
	blank = substantial(blank)
	outers := 0
	for _, l := range blank {
		if l.Area() > 0 {
			f.Outer = l
			outers++
		} else {
			f.Inner = append(f.Inner, l)
		}
	}
	if outers != 1 && len(u.errs) == 0 {
		u.fail(&FaceError{Panel: u.p.Name, Face: "the blank", Reason: Pieces, Got: float64(outers), Detail: measure.Plain("check cuts and reliefs")})
	}
	f.inner = f.innerPlaces()
	u.placeMarks(f)
}

// join is the union of faces and strips. Where no face runs on past a fold it is
// spliced together, vertex by vertex; else faces and strips touch along slits that
// reliefs open, and the general union sorts that out; so it does where pieces lie on
// each other, which is no fault as long as a relief takes all of it.
func (u *unfolder) join(f *Flat, relieved bool) plane.Region {
	for i := range f.Folds {
		for end := range 2 {
			if u.runsOn(i, end) {
				return u.unite(f)
			}
		}
	}
	l := u.splice(f, f.Root, -1, make(plane.Loop, 0, 16))
	if relieved && plane.Check(l) != nil {
		return u.unite(f)
	}
	return plane.Region{l}
}

func (u *unfolder) unite(f *Flat) plane.Region {
	parts := make([]plane.Region, 0, len(f.Faces)+len(f.Folds))
	for i := range f.Faces {
		parts = append(parts, plane.Region{f.Faces[i].Loop})
	}
	for i := range f.Folds {
		parts = append(parts, plane.Region{f.Folds[i].Loop})
	}
	return plane.UnionAll(parts...)
}

// splice appends the outline of a face and all that hangs on it, counter-clockwise,
// from where its parent's strip (fold in, −1 for the root) ends round to where it starts.
func (u *unfolder) splice(f *Flat, face, in int, out plane.Loop) plane.Loop {
	l, t := f.Faces[face].Loop, &u.trims[face]
	n, start := len(l), 0
	if in >= 0 {
		start = u.tangentVertices(in, face)[0]
		n-- // the edge along the parent's strip is inside the blank
		for k, fold := range t.folds {
			if fold == in { // it may have been split
				n = (t.tangent[k][1] - start + len(l)) % len(l)
			}
		}
	}
	for k := 0; k < n; {
		i := (start + k) % len(l)
		hung, span := -1, 1
		for h, fold := range t.folds {
			if fold != in && t.tangent[h][0] == i {
				hung, span = fold, (t.tangent[h][1]-i+len(l))%len(l)
			}
		}
		if hung < 0 {
			out = append(out, l[i])
			k++
			continue
		}
		out = append(out, plane.Vertex{P: l[i].P})
		out = u.splice(f, u.p.Folds[hung].B, hung, out)
		k += span
	}
	if in >= 0 {
		out = append(out, plane.Vertex{P: l[(start+n)%len(l)].P})
	}
	return out
}

// within is the union of the reliefs that reach into a box. Reliefs far apart are
// one region as they stand.
func within(reliefs []relief, box plane.Box) plane.Region {
	var near []relief
	apart := true
	for _, r := range reliefs {
		if !r.box.Overlaps(box) {
			continue
		}
		for _, o := range near {
			apart = apart && !r.box.Overlaps(o.box)
		}
		near = append(near, r)
	}
	all := make([]plane.Region, len(near))
	for i, r := range near {
		all[i] = r.region
	}
	if !apart {
		return plane.UnionAll(all...)
	}
	return slices.Concat(all...)
}

// bounds is the box of all faces and strips.
func (f *Flat) bounds() plane.Box {
	box := plane.EmptyBox()
	for i := range f.Faces {
		box = box.Union(f.Faces[i].Loop.Bounds())
	}
	for i := range f.Folds {
		box = box.Union(f.Folds[i].Loop.Bounds())
	}
	return box
}

// cutFaces takes reliefs and cuts off the faces and lists the cuts.
func (u *unfolder) cutFaces(f *Flat, reliefs []relief) {
	for i := range f.Faces {
		ff, face := &f.Faces[i], u.p.Faces[i]
		flat := plane.Region{ff.Loop}
		box := ff.Loop.Bounds()
		changed := false
		if r := within(reliefs, box); len(r) > 0 {
			flat, changed = withoutScraps(plane.Subtract(flat, r), u.trims[i].hinges), true
		}
		cuts := make([]plane.Region, len(face.Cuts))
		for k, c := range face.Cuts {
			u.checkCut(i, c)
			cuts[k] = c.Region.Transform(ff.ToFlat)
		}
		if len(cuts) > 0 {
			flat, changed = plane.SubtractAll(flat, cuts...), true
		}
		if !changed {
			ff.Trimmed = plane.Region{u.trims[i].left}
			ff.Bounds = ff.Trimmed.Bounds()
			continue
		}
		flat = substantial(flat)
		outer, pieces := -1, 0
		for k, l := range flat {
			if l.Area() > 0 {
				outer = k
				pieces++
			}
		}
		if pieces != 1 {
			u.fail(&FaceError{Panel: u.p.Name, Face: "face " + face.Name, Reason: Pieces, Got: float64(pieces), Detail: cutOff(flat, face, inverse(ff.ToFlat))})
			return
		}
		ff.Loop = flat[outer]
		ff.Trimmed = flat.Transform(inverse(ff.ToFlat))
		ff.Bounds = ff.Trimmed.Bounds()
	}
}

// cutOff tells where the smallest piece is that a face's cuts and reliefs take off it.
func cutOff(flat plane.Region, face Face, toFace plane.Affine) measure.Text {
	least := plane.Loop(nil)
	for _, l := range flat {
		if a := l.Area(); a > 0 && (least == nil || a < least.Area()) {
			least = l
		}
	}
	at := measure.Place(toFace.Apply(least.Centroid()))
	switch {
	case least == nil:
		return measure.Plain("by its cuts and reliefs")
	case len(face.Cuts) > 0:
		return measure.Say("by its cuts and reliefs: one of %.3g at %.1f", measure.Area(least.Area()), at)
	}
	return measure.Say("by the reliefs at the ends of its bends, which cut off %.3g at %.1f: end the strip there nearer to the corner, or farther from it", measure.Area(least.Area()), at)
}

// inverse undoes a rigid motion without mirror.
func inverse(m plane.Affine) plane.Affine {
	inv := plane.Affine{A: m.A, B: m.C, C: m.B, D: m.D}
	o := inv.Vec(plane.Point{X: m.E, Y: m.F})
	inv.E, inv.F = -o.X, -o.Y
	return inv
}

// checkCut refuses a cut that reaches into a bend of its face.
func (u *unfolder) checkCut(face int, c Cut) {
	t := &u.trims[face]
	for k, zone := range t.removed {
		if !c.Region.Bounds().Overlaps(zone.Bounds()) {
			continue
		}
		if a := plane.Intersect(c.Region, zone).Area(); a > cutTol {
			u.fail(u.foldError(t.folds[k], FoldError{Reason: CutInBend, Got: a, Face: u.p.Faces[face].Name, Other: c.Name}))
		}
	}
}

// cutBlank takes the cuts off the blank and lists them. A cut that reaches over its face's
// edge is a notch and takes nothing off other faces.
func (u *unfolder) cutBlank(f *Flat, blank plane.Region) plane.Region {
	var cuts []plane.Region
	for i, face := range u.p.Faces {
		if len(face.Cuts) == 0 {
			continue
		}
		on := plane.Region{u.trims[i].left.Transform(f.Faces[i].ToFlat)}
		for _, c := range face.Cuts {
			r := c.Region.Transform(f.Faces[i].ToFlat)
			notch := plane.Subtract(r, on).Area() > cutTol
			if notch {
				r = plane.Intersect(r, on)
			}
			if r.Area() <= cutTol {
				u.fail(&FaceError{Panel: u.p.Name, Face: face.Name, Reason: OffFace, Cut: c.Name})
				continue
			}
			for _, l := range r {
				if l.Area() > 0 {
					f.Cuts = append(f.Cuts, FlatCut{Name: c.Name, Face: i, Loop: l, Notch: notch})
				}
			}
			cuts = append(cuts, r)
		}
	}
	if len(cuts) == 0 {
		return blank
	}
	return plane.SubtractAll(blank, cuts...)
}

// cutStrip takes the reliefs off a strip and shortens its lines to what is left.
func (u *unfolder) cutStrip(f *Flat, s *FlatFold, reliefs []relief) {
	r := within(reliefs, s.Loop.Bounds())
	if len(r) == 0 {
		return
	}
	left := substantial(plane.Subtract(plane.Region{s.Loop}, r))
	if len(left) != 1 {
		u.fail(&FaceError{Panel: u.p.Name, Face: "fold " + s.Name, Reason: Pieces, Got: float64(len(left)), Detail: measure.Plain("by its reliefs")})
		return
	}
	s.Loop = left[0]
	inside := func(l [2]plane.Point, ends *[2]plane.Point) {
		d := l[1].Sub(l[0])
		length := d.Len()
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, c := range plane.Chords(left, l[0], d) {
			lo, hi = min(lo, max(c.From, 0)), max(hi, min(c.To, length))
		}
		if lo < hi {
			*ends = [2]plane.Point{l[0].Lerp(l[1], lo/length), l[0].Lerp(l[1], hi/length)}
		}
	}
	mid := [2]plane.Point{s.From, s.To}
	inside(mid, &mid)
	s.From, s.To = mid[0], mid[1]
	sight := s.Sight
	inside(sight, &s.Sight)
	inside(s.TangentA, &s.TangentA)
	inside(s.TangentB, &s.TangentB)
}

// checkOverlap refuses flats whose pieces lie on each other.
func (u *unfolder) checkOverlap(f *Flat) {
	type piece struct {
		name string
		loop plane.Loop
		box  plane.Box
	}
	var ps []piece
	for _, x := range f.Faces {
		ps = append(ps, piece{"face " + x.Name, x.Loop, x.Loop.Bounds()})
	}
	for _, x := range f.Folds {
		ps = append(ps, piece{"fold " + x.Name, x.Loop, x.Loop.Bounds()})
	}
	for i := range ps {
		for j := i + 1; j < len(ps); j++ {
			if !ps[i].box.Overlaps(ps[j].box) || parted(ps[i].loop, ps[j].loop) || parted(ps[j].loop, ps[i].loop) {
				continue
			}
			if a := plane.Intersect(plane.Region{ps[i].loop}, plane.Region{ps[j].loop}).Area(); a > overlapTol {
				u.fail(&FaceError{Panel: u.p.Name, Face: ps[i].name, Others: []string{ps[j].name}, Reason: Overlap, Got: a})
			}
		}
	}
}

// parted tells whether the line of one of a's straight edges has all of a on its inner
// side and all of b on the outer.
func parted(a, b plane.Loop) bool {
	for i := range a {
		e := a.Edge(i)
		if !e.Straight() {
			continue
		}
		n := e.To.Sub(e.From).Unit().Perp() // inwards
		if beyond(b, e.From, n.Neg()) && beyond(a, e.From, n) {
			return true
		}
	}
	return false
}

// beyond tells whether all of a loop lies on the side of the line through p that its
// normal n points to.
func beyond(l plane.Loop, p, n plane.Point) bool {
	for i, v := range l {
		if v.P.Sub(p).Dot(n) < -plane.Tol {
			return false
		}
		if v.Bulge == 0 {
			continue
		}
		e := l.Edge(i)
		// The arc's farthest point against n is a bow's end if it lies on the arc at all.
		if low := e.Center().Sub(n.Scale(e.Radius())); low.Sub(p).Dot(n) < -plane.Tol && e.Nearest(low).Near(low, plane.Tol) {
			return false
		}
	}
	return true
}

// placeMarks takes the faces' marks to the flat.
func (u *unfolder) placeMarks(f *Flat) {
	for i, face := range u.p.Faces {
		m := f.Faces[i].ToFlat
		for _, mark := range face.Marks {
			mark.Path = mark.Path.Transform(m)
			mark.At, mark.Dir = m.Apply(mark.At), m.Vec(mark.Dir)
			f.Marks = append(f.Marks, FlatMark{Mark: mark, Face: i})
		}
	}
}
