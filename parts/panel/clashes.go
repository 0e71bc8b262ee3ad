package panel

import (
	"iter"
	"math"
	"slices"

	"perch/parts/plane"
	"perch/parts/solid"
)

// PartClash is metal that two parts claim both: parts A and B of those asked about.
type PartClash struct {
	A, B int
	Clash
}

// Clashes is Interfere for every two of many parts, in order, and looks at their bends
// as well: a bend counts as the face that it hangs, and for two faces one clash is told.
// Boxes around the metal keep what is far apart from being compared.
func Clashes(flats []*Flat) []PartClash {
	found, _ := FirstClashes(flats, math.MaxInt)
	return found
}

// FirstClashes are those of Clashes that come first, as far as so many corners of metal
// are compared; left is for how many pairs of parts, whose boxes meet, that was not
// enough.
func FirstClashes(flats []*Flat, corners int) (found []PartClash, left int) {
	all := make([]standing, len(flats))
	for i, f := range flats {
		all[i] = stand(f)
	}
	near := placesOf(all)
	var beside, close []int
	for i := range all {
		a := &all[i]
		beside = near(i, beside[:0])
		for _, j := range beside {
			b := &all[j]
			if j <= i || !a.box.meets(b.box) {
				continue
			}
			if corners <= 0 {
				if left++; left >= mostLeft {
					return found, left
				}
				continue
			}
			first := len(found)
			corners -= pairCorners
			for m := range a.pieces() {
				if close = a.close(m, b, close[:0]); len(close) == 0 {
					continue
				}
				corners -= a.corners(m)
				for _, n := range close {
					corners -= b.corners(n)
				}
				for _, c := range a.clashes(m, b, close, found[first:]) {
					found = append(found, PartClash{i, j, c})
				}
			}
		}
	}
	return found, left
}

const (
	// pairCorners is what a look at two parts whose boxes meet counts for.
	pairCorners = 8
	// mostLeft is how many pairs are counted that are not compared.
	mostLeft = 1_000_000
)

// corners is how many corners the metal of a piece has.
func (s *standing) corners(m int) int {
	if m >= len(s.faces) {
		return pairCorners * s.bends[m-len(s.faces)].count
	}
	n := 0
	for _, l := range s.faces[m].Region {
		n += len(l)
	}
	return n
}

// placesOf finds the parts whose boxes are near that of part i, in their order: seen along
// the axis in which all together are the lowest for the size of one.
func placesOf(all []standing) func(i int, found []int) []int {
	whole, sum := noBox(), solid.Vec{}
	for i := range all {
		if b := all[i].box; b.lo.X <= b.hi.X {
			whole, sum = whole.join(b), sum.Add(b.hi.Sub(b.lo))
		}
	}
	size := whole.hi.Sub(whole.lo)
	low := func(a, b, c, d float64) bool { return float64(a*d) < float64(c*b) } // a/b < c/d
	flat := func(v solid.Vec) plane.Point { return plane.Point{X: v.X, Y: v.Y} }
	switch {
	case low(size.X, sum.X, size.Y, sum.Y) && low(size.X, sum.X, size.Z, sum.Z):
		flat = func(v solid.Vec) plane.Point { return plane.Point{X: v.Y, Y: v.Z} }
	case low(size.Y, sum.Y, size.Z, sum.Z):
		flat = func(v solid.Vec) plane.Point { return plane.Point{X: v.X, Y: v.Z} }
	}
	boxes := make([]plane.Box, len(all))
	for i := range all {
		boxes[i] = plane.Box{Min: flat(all[i].box.lo), Max: flat(all[i].box.hi)}
	}
	places := plane.NewPlaces(boxes)
	return func(i int, found []int) []int { return places.Near(boxes[i], found) }
}

// standing is a part's pieces, the faces and then the bends, in the world with the box
// around all.
type standing struct {
	faces []placed
	bends []sector
	box   box
}

// sector is a bend with the box around it.
type sector struct {
	bands
	box box
}

func stand(f *Flat) standing {
	s := standing{faces: f.placed(), bends: make([]sector, 0, len(f.Folds)), box: noBox()}
	for i := range s.faces {
		s.box = s.box.join(s.faces[i].box)
	}
	for i := range f.Folds {
		if b, ok := f.bands(i); ok {
			s.bends = append(s.bends, sector{bands: b})
			last := &s.bends[len(s.bends)-1]
			last.box = boxOf(&last.bands)
			s.box = s.box.join(last.box)
		}
	}
	return s
}

func (s *standing) pieces() int { return len(s.faces) + len(s.bends) }

// piece is the solid around a piece's metal, and the box around that.
func (s *standing) piece(m int) (convex, *box) {
	if m < len(s.faces) {
		return &s.faces[m].block, &s.faces[m].box
	}
	b := &s.bends[m-len(s.faces)]
	return &b.bands, &b.box
}

// face is the one that a piece counts as.
func (s *standing) face(m int) int {
	if m < len(s.faces) {
		return m
	}
	return s.bends[m-len(s.faces)].fold.B
}

// slabs yields a piece's metal: each is the caller's until it asks for the next.
func (s *standing) slabs(m int) iter.Seq[*placed] {
	return func(yield func(*placed) bool) {
		if m < len(s.faces) {
			yield(&s.faces[m])
			return
		}
		b := &s.bends[m-len(s.faces)]
		var p placed
		for k := range b.count {
			if p.place(b.slab(k)); !yield(&p) {
				return
			}
		}
	}
}

// close lists the pieces of b that may reach into piece m.
func (s *standing) close(m int, b *standing, out []int) []int {
	p, box := s.piece(m)
	if !box.meets(b.box) {
		return out
	}
	for n := range b.pieces() {
		if q, other := b.piece(n); box.meets(*other) && !apart(p, q) {
			out = append(out, n)
		}
	}
	return out
}

// clashes are those of a piece of a part with pieces of another, without those of two
// faces that are told already.
func (s *standing) clashes(m int, b *standing, close []int, already []PartClash) []Clash {
	var out []Clash
	told := func(f, g int) bool {
		return slices.ContainsFunc(already, func(c PartClash) bool { return c.FaceA == f && c.FaceB == g }) ||
			slices.ContainsFunc(out, func(c Clash) bool { return c.FaceA == f && c.FaceB == g })
	}
	f := s.face(m)
	for p := range s.slabs(m) {
		for _, n := range close {
			g := b.face(n)
			if other, box := b.piece(n); !p.box.meets(*box) || apart(&p.block, other) || told(f, g) {
				continue
			}
			for q := range b.slabs(n) {
				if !p.box.meets(q.box) {
					continue
				}
				if c, ok := clash(p, q); ok {
					c.FaceA, c.FaceB = f, g
					out = append(out, c)
					break
				}
			}
		}
	}
	return out
}
