package compare

import (
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
)

// metalTol is how far, in mm, metal may lie elsewhere and still be the same: as
// far as the flats of one blank may differ from each other.
const metalTol = 1e-5

// align finds the rigid map of the old flat onto the new one in which the two are
// compared. It lays root face on root face, as both are drawn: what keeps its place
// there has not moved, whatever the bends around it do. Where that leaves less than
// half of what the root face has on its like, the face may be measured from elsewhere
// now, and of all maps the one is taken that lays most of it there; where none lays any,
// the one that moves things of one name the least.
func align(old, new *panel.Flat) (m plane.Affine, mirrored bool) {
	r := rootsOf(old, new)
	drawn := faceMaps(old, new, r.i, r.k)
	best := r.best(drawn)
	if 2*best.meets < best.all {
		if other := r.best(append(r.middles(drawn), r.otherMaps()...)); other.betters(best) {
			best = other
		}
	}
	return best.by, best.by.Det() < 0
}

// roots are two flats with the face of each that the other is laid on, and what is needed
// to weigh many maps.
type roots struct {
	old, new    *panel.Flat
	i, k        int // of the old flat's faces, and of the new one's
	a, b        placed
	cuts        byPlace  // of the new root face, by their corners
	points      byPlace  // of the new flat
	oneName     [][2]int // points of the old flat and the new one that have one name
	outer, over byPlace  // corners of the new flat's outline, and of its root face's as drawn
}

// rootsOf takes the new flat's root face, and the old face of that name, else the old root.
func rootsOf(old, new *panel.Flat) roots {
	r := roots{old: old, new: new, k: new.Root}
	r.i = slices.IndexFunc(old.Faces, func(f panel.FlatFace) bool { return f.Name == new.Faces[new.Root].Name })
	if r.i < 0 {
		r.i = old.Root
	}
	r.a, r.b = onFace(old, r.i), onFace(new, r.k)
	r.cuts = placesOf(cornersOf(r.b.cuts))
	named := map[string][]int{}
	at := make([]plane.Point, len(new.Points))
	for k, p := range new.Points {
		at[k] = p.At
		named[p.Name] = append(named[p.Name], k)
	}
	r.points = placesOf(at)
	for i, p := range old.Points {
		for _, k := range named[p.Name] {
			r.oneName = append(r.oneName, [2]int{i, k})
		}
	}
	r.outer, r.over = placesOf(vertices(new.Outer)), placesOf(vertices(r.b.outline))
	return r
}

func vertices(l plane.Loop) []plane.Point {
	out := make([]plane.Point, len(l))
	for i, v := range l {
		out[i] = v.P
	}
	return out
}

// faceMaps are the two, one for either hand, that lay a face of the old flat on one of
// the new as they are drawn.
func faceMaps(old, new *panel.Flat, i, k int) []plane.Affine {
	back, err := old.Faces[i].ToFlat.Inverse()
	if err != nil {
		return []plane.Affine{plane.Identity(), plane.MirrorX()}
	}
	there := new.Faces[k].ToFlat
	return []plane.Affine{back.Then(there), back.Then(plane.MirrorX()).Then(there)}
}

// otherMaps lay the flats on each other as they lie, each face that both have on itself,
// and one outline on the other.
func (r roots) otherMaps() []plane.Affine {
	out := []plane.Affine{plane.Identity(), plane.MirrorX()}
	for i := range r.old.Faces {
		for k := range r.new.Faces {
			if r.old.Faces[i].Name == r.new.Faces[k].Name {
				out = append(out, faceMaps(r.old, r.new, i, k)...)
			}
		}
	}
	for _, hand := range [2]bool{false, true} {
		out = slices.AppendSeq(out, plane.Congruent(r.old.Outer, r.new.Outer, metalTol, hand))
	}
	return out
}

// middles are maps moved so that the middle of the old face's outline comes onto that of
// the new one's.
func (r roots) middles(maps []plane.Affine) []plane.Affine {
	a, b := r.a.outline, r.b.outline
	if len(a) == 0 || len(b) == 0 {
		return nil
	}
	var out []plane.Affine
	for _, m := range maps {
		out = append(out, m.Then(plane.Translate(b.Centroid().Sub(m.Apply(a.Centroid())))))
	}
	return out
}

// laid is how well a map lays one flat on the other: how much of what the root faces
// have falls on its like, of how much; how much of the flats does; and how far in all
// what does not lies apart.
type laid struct {
	by         plane.Affine
	meets, all int
	hits       int
	drift      float64
}

// betters compares two maps: by the root faces, and where nothing there meets by how far
// things lie apart.
func (l laid) betters(o laid) bool {
	if l.meets == 0 && o.meets == 0 {
		return l.drift < o.drift-metalTol
	}
	return l.meets > o.meets
}

// best is the map that lays most of the root faces on their like, of those the one that
// does most of the flats, and of those the one that moves things of one name the least.
// Where none lays anything of the root faces on its like, it is the last alone.
func (r roots) best(maps []plane.Affine) laid {
	var out laid
	for i, m := range maps {
		l := laid{by: m, hits: r.meets(m), drift: r.drifts(m)}
		l.meets, l.all = r.onRoot(m)
		even := l.meets > 0 && l.meets == out.meets
		if i == 0 || l.betters(out) || even && (l.hits > out.hits || l.hits == out.hits && l.drift < out.drift-metalTol) {
			out = l
		}
	}
	return out
}

// faceMap lays a face of the old flat on the new one's of that name, as both are drawn
// and with the hand of m; ok is false where there is none. What keeps its place under it
// has not moved on its face, though bends may have carried it elsewhere in the flat.
func faceMap(old, new *panel.Flat, face int, m plane.Affine) (by plane.Affine, ok bool) {
	k := slices.IndexFunc(new.Faces, func(f panel.FlatFace) bool { return f.Name == old.Faces[face].Name })
	if k < 0 {
		return m, false
	}
	for _, by := range faceMaps(old, new, face, k) {
		if (by.Det() < 0) == (m.Det() < 0) {
			return by, true
		}
	}
	return m, false
}

// onRoot counts what of the root face falls on its like under the map: corners of the
// outline as it is drawn, its cuts, and the places of joins on it. All is as much as
// the richer of the two faces has.
func (r roots) onRoot(m plane.Affine) (meets, all int) {
	meets = r.over.has(r.a.outline, m)
	for _, i := range r.a.points {
		if r.pointMeets(i, m, func(k int) bool { return r.new.Points[k].Face == r.k }) {
			meets++
		}
	}
	for _, x := range r.a.cuts {
		x = x.Transform(m)
		if slices.ContainsFunc(r.cuts.near(x.Bounds().Min, 2*metalTol), func(k int) bool { return sameOutline(x, r.b.cuts[k]) }) {
			meets++
		}
	}
	return meets, max(len(r.a.outline), len(r.b.outline)) + max(len(r.a.points), len(r.b.points)) + max(len(r.a.cuts), len(r.b.cuts))
}

// has counts the corners of an outline that are corners here too.
func (b byPlace) has(l plane.Loop, m plane.Affine) int {
	n := 0
	for _, v := range l {
		if len(b.near(m.Apply(v.P), metalTol)) > 0 {
			n++
		}
	}
	return n
}

// pointMeets tells whether a point of the old flat falls on its like of the new one.
func (r roots) pointMeets(i int, m plane.Affine, of func(k int) bool) bool {
	p := &r.old.Points[i]
	return slices.ContainsFunc(r.points.near(m.Apply(p.At), 2*metalTol), func(k int) bool { return of(k) && samePoint(p, &r.new.Points[k], m) })
}

// rootOutline is a face's outline as it is drawn, in the flat; it may have none.
func rootOutline(f *panel.Flat, i int) plane.Loop {
	if o := f.Panel.Faces[i].Outline; len(o) > 0 {
		return o[0].Transform(f.Faces[i].ToFlat)
	}
	return nil
}

// placed is what a face is in the flat: its outline as it is drawn, and what is cut and
// fastened in it, points by their index.
type placed struct {
	outline plane.Loop
	points  []int
	cuts    []plane.Loop
}

func onFace(f *panel.Flat, face int) placed {
	p := placed{outline: rootOutline(f, face)}
	for i := range f.Points {
		if f.Points[i].Face == face {
			p.points = append(p.points, i)
		}
	}
	for _, c := range f.Cuts {
		if c.Face == face {
			p.cuts = append(p.cuts, c.Loop)
		}
	}
	return p
}

// meets counts what falls on its like under the map: corners, holes and folds,
// which must turn the same way: a mirrored flat is bent the other way.
func (r roots) meets(m plane.Affine) int {
	n := r.outer.has(r.old.Outer, m)
	for i := range r.old.Points {
		if r.pointMeets(i, m, func(int) bool { return true }) {
			n++
		}
	}
	for i := range r.old.Folds {
		for k := range r.new.Folds {
			if sameFold(&r.old.Folds[i], &r.new.Folds[k], m) {
				n++
				break
			}
		}
	}
	return n
}

// drifts is how far in all holes, folds and outlines of one name lie apart.
func (r roots) drifts(m plane.Affine) float64 {
	d := 0.0
	for _, x := range r.oneName {
		d += m.Apply(r.old.Points[x[0]].At).Dist(r.new.Points[x[1]].At)
	}
	for _, a := range r.old.Folds {
		for _, b := range r.new.Folds {
			if a.Name == b.Name {
				d += m.Apply(a.From.Lerp(a.To, 0.5)).Dist(b.From.Lerp(b.To, 0.5))
			}
		}
	}
	return d + m.Apply(r.old.Outer.Centroid()).Dist(r.new.Outer.Centroid())
}

func samePoint(a, b *panel.Point, m plane.Affine) bool {
	return a.Kind == b.Kind && a.Made() == b.Made() && math.Abs(a.Diameter-b.Diameter) <= 1e-6 && m.Apply(a.At).Near(b.At, metalTol) &&
		math.Abs(m.Vec(a.Dir).Cross(b.Dir)) <= 1e-6
}

func sameFold(a, b *panel.FlatFold, m plane.Affine) bool {
	if a.Down != b.Down || !sameBend(a, b) {
		return false
	}
	p, q := m.Apply(a.From), m.Apply(a.To)
	return p.Near(b.From, metalTol) && q.Near(b.To, metalTol) || p.Near(b.To, metalTol) && q.Near(b.From, metalTol)
}

func sameBend(a, b *panel.FlatFold) bool {
	return math.Abs(a.Bend.Angle-b.Bend.Angle) <= 1e-8 && math.Abs(a.Bend.Radius-b.Bend.Radius) <= 1e-9 && math.Abs(a.Bend.K-b.Bend.K) <= 1e-9
}

// apart is how far two outlines lie from each other: the largest distance from a
// corner or an edge's middle of one to the other.
func apart(a, b plane.Loop) float64 {
	d := 0.0
	for _, pair := range [2][2]plane.Loop{{a, b}, {b, a}} {
		other := plane.Region{pair[1]}
		for _, e := range pair[0].Edges() {
			for _, p := range [2]plane.Point{e.From, e.Mid()} {
				far, _ := other.DistanceTo(p)
				d = max(d, far)
			}
		}
	}
	return d
}
