package panel

import (
	"math"

	"perch/parts/plane"
	"perch/parts/solid"
)

// sameTol is how far, in mm, the flats of one blank may differ from each other.
const sameTol = 1e-5

// Part is one placed part to be grouped.
type Part struct {
	Name   string // of the copy, such as leg.1
	Family string // of its part statement, such as leg; parts of different families share no blank
	Flat   *Flat
}

// Alias is what a copy calls a point, and what its blank calls it.
type Alias struct{ Own, Blank string }

// GroupedCopy is a Copy with its points' names on the blank, in the order of the
// part's own points.
type GroupedCopy struct {
	Copy
	Points []Alias
}

// Point returns the blank's name for the copy's own point name.
func (g GroupedCopy) Point(own string) (string, bool) {
	for _, a := range g.Points {
		if a.Own == own {
			return a.Blank, true
		}
	}
	return "", false
}

// Group recognises equal blanks: equal up to a rigid motion, or to a mirror image, the
// same blank then being bent the other way. Outline, openings, folds (angle, direction,
// radius, K), points (kind, diameter, place) and marks must all agree. A family with one
// blank gives it its name, else each blank is named for its first copy. Copies come in
// the order of parts; the first part of a blank is never mirrored.
func Group(parts []Part) ([]*Blank, []GroupedCopy) {
	var blanks []*Blank
	var family []string // by blank
	copies := make([]GroupedCopy, len(parts))
	var sizes plane.Places // of the blanks
	var near []int
	for i, p := range parts {
		match, at := matching{}, -1
		size := sizeOf(p.Flat.Outer)
		near = sizes.Near(size, near[:0])
		for _, b := range near {
			if family[b] != p.Family {
				continue
			}
			if m, ok := matchFlats(blanks[b].Flat, p.Flat); ok && (at < 0 || match.mirrored && !m.mirrored) {
				match, at = m, b
			}
		}
		if at < 0 {
			at = len(blanks)
			blanks = append(blanks, &Blank{Name: p.Name, Flat: p.Flat})
			family = append(family, p.Family)
			sizes.Add(size)
			match = identity(p.Flat)
		}
		blanks[at].Count++
		if match.mirrored {
			blanks[at].Mirrored++
		}
		copies[i] = GroupedCopy{
			Copy:   Copy{Name: p.Name, Blank: at, Mirrored: match.mirrored, Matrix: match.matrix(blanks[at].Flat, p.Flat)},
			Points: match.aliases(blanks[at].Flat, p.Flat),
		}
	}
	count := map[string]int{}
	for _, name := range family {
		count[name]++
	}
	for b, name := range family {
		if name != "" && count[name] == 1 {
			blanks[b].Name = name
		}
	}
	return blanks, copies
}

// sizeOf is a box of length and of area over length around those of an outline, so large
// that outlines which are equal within sameTol have boxes that overlap: a vertex moves
// its edges' ends by no more, and an area changes by less than length times that.
func sizeOf(l plane.Loop) plane.Box {
	length := l.Length()
	if !(length > 0) {
		return plane.Box{}
	}
	p := plane.Point{X: length, Y: l.Area() / length}
	return plane.Box{Min: p, Max: p}.Grow(4 * sameTol * float64(len(l)+1))
}

// matching is a rigid map of a blank's flat onto a part's, and what meets what.
type matching struct {
	m        plane.Affine
	mirrored bool
	root     int   // the part's face that the blank's root face lies on
	points   []int // by the part's point: the blank's
}

func identity(f *Flat) matching {
	m := matching{m: plane.Identity(), root: f.Root}
	for i := range f.Points {
		m.points = append(m.points, i)
	}
	return m
}

// matchFlats finds a map of flat a onto flat b, without mirror where there is one.
func matchFlats(a, b *Flat) (matching, bool) {
	s, t := a.Panel.Stock, b.Panel.Stock
	if s.Material != t.Material || s.Thickness != t.Thickness || s.Name != t.Name ||
		len(a.Outer) != len(b.Outer) || len(a.Inner) != len(b.Inner) || len(a.Faces) != len(b.Faces) ||
		len(a.Folds) != len(b.Folds) || len(a.Points) != len(b.Points) || len(a.Marks) != len(b.Marks) {
		return matching{}, false
	}
	for _, mirrored := range [2]bool{false, true} {
		for m := range plane.Congruent(a.Outer, b.Outer, sameTol, mirrored) {
			if found, ok := matchUnder(a, b, m, mirrored); ok {
				return found, true
			}
		}
	}
	return matching{}, false
}

// matchUnder tells whether the map takes everything of a onto b.
func matchUnder(a, b *Flat, m plane.Affine, mirrored bool) (matching, bool) {
	out := matching{m: m, mirrored: mirrored, root: -1}
	if !sameOpenings(a, b, m) ||
		!assign(len(a.Folds), func(i, j int) bool { return sameFold(&a.Folds[i], &b.Folds[j], m) }, nil) ||
		!assign(len(a.Marks), func(i, j int) bool { return sameMark(&a.Marks[i], &b.Marks[j], m) }, nil) {
		return out, false
	}
	for j := range b.Faces {
		if sameLoops(a.Faces[a.Root].Loop.Transform(m), b.Faces[j].Loop) {
			out.root = j
			break
		}
	}
	out.points = make([]int, len(b.Points))
	ok := assign(len(a.Points), func(i, j int) bool { return samePoint(&a.Points[i], &b.Points[j], m) }, func(i, j int) { out.points[j] = i })
	return out, ok && out.root >= 0
}

// sameOpenings pairs the openings of flats, each with the first free one that it falls on.
func sameOpenings(a, b *Flat, m plane.Affine) bool {
	taken := make([]bool, len(b.Inner))
	for _, l := range a.Inner {
		l = l.Transform(m)
		found := false
		for _, j := range b.innerNear(l[0].P, sameTol) {
			if !taken[j] && sameLoops(l, b.Inner[j]) {
				taken[j], found = true, true
				break
			}
		}
		if !found {
			return false
		}
	}
	return true
}

// assign pairs n things with n others, each with the first free one that fits; note,
// where not nil, is told of each pair.
func assign(n int, fits func(i, j int) bool, note func(i, j int)) bool {
	taken := make([]bool, n)
	for i := range n {
		found := false
		for j := 0; j < n && !found; j++ {
			if !taken[j] && fits(i, j) {
				taken[j], found = true, true
				if note != nil {
					note(i, j)
				}
			}
		}
		if !found {
			return false
		}
	}
	return true
}

// sameLoops compares closed loops up to their first vertex.
func sameLoops(a, b plane.Loop) bool {
	n := len(a)
	if n != len(b) {
		return false
	}
	for k := range n {
		same := true
		for i := 0; i < n && same; i++ {
			same = a[i].P.Near(b[(i+k)%n].P, sameTol) && math.Abs(a[i].Bulge-b[(i+k)%n].Bulge) <= 1e-6
		}
		if same {
			return true
		}
	}
	return false
}

// sameFold compares folds; which face is held may differ.
func sameFold(a, b *FlatFold, m plane.Affine) bool {
	if a.Down != b.Down || math.Abs(a.Bend.Angle-b.Bend.Angle) > 1e-8 ||
		math.Abs(a.Bend.Radius-b.Bend.Radius) > 1e-9 || math.Abs(a.Bend.K-b.Bend.K) > 1e-9 {
		return false
	}
	p, q := m.Apply(a.From), m.Apply(a.To)
	return p.Near(b.From, sameTol) && q.Near(b.To, sameTol) || p.Near(b.To, sameTol) && q.Near(b.From, sameTol)
}

func samePoint(a, b *Point, m plane.Affine) bool {
	if a.Kind != b.Kind || a.Made() != b.Made() || a.Bare != b.Bare || math.Abs(a.Diameter-b.Diameter) > 1e-6 || !m.Apply(a.At).Near(b.At, sameTol) {
		return false
	}
	return math.Abs(m.Vec(a.Dir).Cross(b.Dir)) <= 1e-6 && m.Vec(a.In).Near(b.In, 1e-6)
}

// sameMark compares marks by kind and place. A mirrored text reads from its other end,
// so of texts only the words, height and line count.
func sameMark(a, b *FlatMark, m plane.Affine) bool {
	if a.Kind != b.Kind || a.Text != b.Text || math.Abs(a.Width-b.Width) > 1e-6 || math.Abs(a.Height-b.Height) > 1e-6 ||
		a.Closed != b.Closed || len(a.Path) != len(b.Path) {
		return false
	}
	if a.Kind == MarkText {
		return m.Apply(a.At).Near(b.At, sameTol) && m.Vec(a.Dir).Near(b.Dir, 1e-6)
	}
	if a.Closed {
		p := a.Path.Transform(m)
		return sameLoops(p, b.Path) || sameLoops(p.Reversed(), b.Path)
	}
	n := len(a.Path)
	forward, backward := true, true
	for i := range a.Path {
		p := m.Apply(a.Path[i].P)
		forward = forward && p.Near(b.Path[i].P, sameTol)
		backward = backward && p.Near(b.Path[n-1-i].P, sameTol)
	}
	return forward || backward
}

// matrix takes the part space of blank a to the world where part b stands: the blank's
// root face lies there on the part's face root, by way of the map between the flats.
func (g matching) matrix(a, b *Flat) Matrix {
	// a's root frame is the identity: its flat coordinates are part space
	w := b.World(g.root)
	m := g.m
	x := w.Dir(plane.Point{X: m.A, Y: m.C})
	y := w.Dir(plane.Point{X: m.B, Y: m.D})
	z := w.Normal() // the drawn side stays the drawn side, mirrored or not
	o := w.At(plane.Point{X: m.E, Y: m.F})
	return Matrix{
		x.X, y.X, z.X, o.X,
		x.Y, y.Y, z.Y, o.Y,
		x.Z, y.Z, z.Z, o.Z,
		0, 0, 0, 1,
	}
}

func (g matching) aliases(a, b *Flat) []Alias {
	out := make([]Alias, len(g.points))
	for j, i := range g.points {
		out[j] = Alias{Own: b.Points[j].Name, Blank: a.Points[i].Name}
	}
	return out
}

// Apply maps a point of space.
func (m Matrix) Apply(v solid.Vec) solid.Vec {
	row := func(i int) float64 {
		return float64(m[i]*v.X) + float64(m[i+1]*v.Y) + float64(m[i+2]*v.Z) + m[i+3]
	}
	return solid.Vec{X: row(0), Y: row(4), Z: row(8)}
}

// Det is the determinant of the matrix's turning part: 1, or −1 when it mirrors.
func (m Matrix) Det() float64 {
	x, y, z := solid.Vec{X: m[0], Y: m[4], Z: m[8]}, solid.Vec{X: m[1], Y: m[5], Z: m[9]}, solid.Vec{X: m[2], Y: m[6], Z: m[10]}
	return x.Cross(y).Dot(z)
}
