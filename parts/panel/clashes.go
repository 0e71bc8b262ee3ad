package panel

import (
	"iter"
	"slices"
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
	all := make([]standing, len(flats))
	for i, f := range flats {
		all[i] = stand(f)
	}
	var out []PartClash
	var close []int
	for i := range all {
		a := &all[i]
		for j := i + 1; j < len(all); j++ {
			b := &all[j]
			if !a.box.meets(b.box) {
				continue
			}
			first := len(out)
			for m := range a.pieces() {
				if close = a.close(m, b, close[:0]); len(close) == 0 {
					continue
				}
				for _, c := range a.clashes(m, b, close, out[first:]) {
					out = append(out, PartClash{i, j, c})
				}
			}
		}
	}
	return out
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
