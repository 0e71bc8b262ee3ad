package compare

import (
	"math"
	"slices"

	"perch/parts/panel"
	"perch/parts/plane"
)

const degree = math.Pi / 180

// folds pairs folds by line and bend, then by name.
func folds(old, new *panel.Flat, m plane.Affine) []Fold {
	a, b := old.Folds, new.Folds
	p := newPairing(len(a), len(b), func(o, n int) bool { return sameFold(&a[o], &b[n], m) })
	p.by(func(o, n int) bool { return a[o].Name == b[n].Name })
	var out []Fold
	for n := range b {
		f := Fold{Change: Changed, Name: b[n].Name, NewAngle: told(b[n].Bend.Angle / degree), NewDown: b[n].Down,
			NewRadius: told(b[n].Bend.Radius), NewK: told(b[n].Bend.K), NewLength: told(b[n].From.Dist(b[n].To))}
		switch o := p.new[n]; {
		case p.same[n]:
			continue
		case o < 0:
			f.Change = Added
		default:
			f.before(&a[o])
			f.Moved = told(aside(m.Apply(a[o].From), m.Apply(a[o].To), &b[n]))
		}
		out = append(out, f)
	}
	for o := range a {
		if p.old[o] < 0 {
			f := Fold{Change: Removed, Name: a[o].Name}
			f.before(&a[o])
			out = append(out, f)
		}
	}
	return out
}

func (f *Fold) before(o *panel.FlatFold) {
	f.OldAngle, f.OldDown, f.OldRadius, f.OldK = told(o.Bend.Angle/degree), o.Down, told(o.Bend.Radius), told(o.Bend.K)
	f.OldLength = told(o.From.Dist(o.To))
}

// aside is how far the new line's ends lie off the old line, prolonged; 0 within
// metalTol.
func aside(from, to plane.Point, n *panel.FlatFold) float64 {
	d := to.Sub(from).Unit()
	far := max(math.Abs(n.From.Sub(from).Cross(d)), math.Abs(n.To.Sub(from).Cross(d)))
	if far <= metalTol {
		return 0
	}
	return far
}

// opening is a cut, or a hole that an outline was drawn with.
type opening struct {
	name   string
	loop   plane.Loop // counter-clockwise, laid on the new flat
	onFace plane.Loop // the same, its face laid on the new one
	notch  bool
}

// openings of a flat, the old one's laid on the new by m, and face by face by on.
func openings(f *panel.Flat, m plane.Affine, on func(face int) plane.Affine) []opening {
	var out []opening
	for _, c := range f.Cuts {
		out = append(out, opening{f.Faces[c.Face].Name + "." + c.Name, c.Loop.Transform(m), c.Loop.Transform(on(c.Face)), c.Notch})
	}
	places, named := placesOf(corners(out)), out
	for _, l := range f.Inner {
		l = l.Transform(m)
		if l.Area() < 0 {
			l = l.Reversed()
		}
		if !slices.ContainsFunc(places.near(l.Bounds().Min, 2*metalTol), func(i int) bool { return sameOutline(named[i].loop, l) }) {
			out = append(out, opening{"opening", l, l, false})
		}
	}
	return out
}

// corners are those by which openings are found.
func corners(all []opening) []plane.Point {
	loops := make([]plane.Loop, len(all))
	for i := range all {
		loops[i] = all[i].loop
	}
	return cornersOf(loops)
}

func names(all []opening) []string {
	out := make([]string, len(all))
	for i := range all {
		out[i] = all[i].name
	}
	return out
}

func sameOutline(a, b plane.Loop) bool {
	return a.Bounds().Overlaps(b.Bounds()) && apart(a, b) <= metalTol
}

// cuts pairs openings by shape and place, in the flat and on their faces, then by name.
func cuts(old, new *panel.Flat, m plane.Affine) []Cut {
	a := openings(old, m, onFaces(old, new, m))
	b := openings(new, plane.Identity(), func(int) plane.Affine { return plane.Identity() })
	p := unpaired(len(a), len(b))
	p.where(corners(a), corners(b), func(o, n int) bool { return a[o].notch == b[n].notch && sameOutline(a[o].loop, b[n].loop) })
	ka, kb := names(a), names(b)
	p.named(ka, kb, func(o, n int) bool { return a[o].notch == b[n].notch && sameOutline(a[o].onFace, b[n].loop) })
	p.named(ka, kb, func(int, int) bool { return true })
	var out []Cut
	for n := range b {
		c := Cut{Change: Changed, Name: b[n].name, NewArea: told(b[n].loop.Area())}
		switch o := p.new[n]; {
		case p.same[n]:
			continue
		case o < 0:
			c.Change = Added
		default:
			c.moves(&a[o], b[n].loop)
		}
		out = append(out, c)
	}
	for o := range a {
		if p.old[o] < 0 {
			out = append(out, Cut{Change: Removed, Name: a[o].name, OldArea: told(a[o].loop.Area())})
		}
	}
	return out
}

// moves tells how far an opening moved, on its face unless it moved less in the flat, and
// how far its edge lies elsewhere beside that.
func (c *Cut) moves(o *opening, is plane.Loop) {
	c.OldArea = told(o.loop.Area())
	was, by := o.loop, is.Centroid().Sub(o.loop.Centroid())
	if by.Len() > metalTol {
		c.InFlat = told(by.Len())
	}
	if on := is.Centroid().Sub(o.onFace.Centroid()); on.Len() < by.Len() {
		was, by = o.onFace, on
	}
	if by.Len() > metalTol {
		c.Moved = told(by.Len())
	}
	if d := apart(was.Transform(plane.Translate(by)), is); d > metalTol {
		c.Edge = told(d)
	}
}

// marks pairs marks that are the same, in the flat or on their face, then by name.
func marks(old, new *panel.Flat, m plane.Affine) []Mark {
	a, b := old.Marks, new.Marks
	name := func(f *panel.Flat, k panel.FlatMark) string { return f.Faces[k.Face].Name + "." + k.Name }
	on := onFaces(old, new, m)
	p := newPairing(len(a), len(b), func(o, n int) bool {
		return sameMark(&a[o], &b[n], m) || name(old, a[o]) == name(new, b[n]) && sameMark(&a[o], &b[n], on(a[o].Face))
	})
	p.by(func(o, n int) bool { return name(old, a[o]) == name(new, b[n]) })
	var out []Mark
	for n := range b {
		switch {
		case p.same[n]:
		case p.new[n] < 0:
			out = append(out, Mark{Change: Added, Name: name(new, b[n]), New: b[n].Text})
		default:
			o := &a[p.new[n]]
			moved := min(markMoved(o, &b[n], m), markMoved(o, &b[n], on(o.Face)))
			out = append(out, Mark{Changed, name(new, b[n]), told(moved), o.Text, b[n].Text})
		}
	}
	for o := range a {
		if p.old[o] < 0 {
			out = append(out, Mark{Change: Removed, Name: name(old, a[o]), Old: a[o].Text})
		}
	}
	return out
}

// markMoved is how far a mark lies elsewhere, or by how much it is larger; 0 of marks of two
// kinds.
func markMoved(a, b *panel.FlatMark, m plane.Affine) float64 {
	if a.Kind != b.Kind || a.Closed != b.Closed {
		return 0
	}
	d := max(math.Abs(a.Width-b.Width), math.Abs(a.Height-b.Height))
	if a.Kind == panel.MarkText {
		return max(d, m.Apply(a.At).Dist(b.At))
	}
	return max(d, apart(a.Path.Transform(m), b.Path))
}

// sameMark compares marks by what they show and where.
func sameMark(a, b *panel.FlatMark, m plane.Affine) bool {
	if a.Kind != b.Kind || a.Text != b.Text || a.Closed != b.Closed ||
		math.Abs(a.Width-b.Width) > 1e-6 || math.Abs(a.Height-b.Height) > 1e-6 {
		return false
	}
	if a.Kind == panel.MarkText {
		return m.Apply(a.At).Near(b.At, metalTol) && m.Vec(a.Dir).Near(b.Dir, 1e-6)
	}
	p := a.Path.Transform(m)
	if a.Closed {
		return apart(p, b.Path) <= metalTol
	}
	return len(p) > 0 && len(b.Path) > 0 && apart(p, b.Path) <= metalTol // back along the chord: the same for both
}
