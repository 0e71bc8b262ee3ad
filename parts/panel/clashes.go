package panel

import "slices"

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
			for m := range a.pieces {
				if close = b.close(&a.pieces[m].block, close[:0]); len(close) == 0 {
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

// clashes are those of a piece of a part with pieces of another, without those of two
// faces that are told already.
func (s *standing) clashes(m int, b *standing, close []int, already []PartClash) []Clash {
	var out []Clash
	told := func(f, g int) bool {
		return slices.ContainsFunc(already, func(c PartClash) bool { return c.FaceA == f && c.FaceB == g }) ||
			slices.ContainsFunc(out, func(c Clash) bool { return c.FaceA == f && c.FaceB == g })
	}
	f, ps := s.pieces[m].face, s.prisms(m)
	for i := range ps {
		for _, n := range close {
			g, qs := b.pieces[n].face, b.prisms(n)
			for j := range qs {
				if !ps[i].box.meets(qs[j].box) || told(f, g) {
					continue
				}
				if c, ok := clash(&ps[i], &qs[j]); ok {
					c.FaceA, c.FaceB = f, g
					out = append(out, c)
				}
			}
		}
	}
	return out
}

// standing is a part's faces, then its bends, in the world with the box around all.
type standing struct {
	flat   *Flat
	pieces []piece
	box    box
}

// piece is a face or a bend: a block that holds its metal, and that metal as flat prisms,
// which a bend has only once it is asked for them.
type piece struct {
	block
	face   int   // that it counts as
	bend   bands // of a bend
	prisms []placed
}

func stand(f *Flat) standing {
	s := standing{flat: f, pieces: make([]piece, 0, len(f.Faces)+len(f.Folds)), box: noBox()}
	faces := f.placed()
	for i := range faces {
		s.pieces = append(s.pieces, piece{block: faces[i].block, face: i, prisms: faces[i : i+1]})
	}
	for i := range f.Folds {
		if b, ok := f.bands(i); ok {
			s.pieces = append(s.pieces, piece{block: b.block(), face: f.Folds[i].B, bend: b})
		}
	}
	for i := range s.pieces {
		s.box = s.box.join(s.pieces[i].box)
	}
	return s
}

// close lists the pieces whose blocks meet another.
func (s *standing) close(b *block, out []int) []int {
	if !b.box.meets(s.box) {
		return out
	}
	for n := range s.pieces {
		if c := &s.pieces[n].block; b.box.meets(c.box) && !apart(b, c) {
			out = append(out, n)
		}
	}
	return out
}

// prisms are a piece's.
func (s *standing) prisms(m int) []placed {
	p := &s.pieces[m]
	if p.prisms == nil {
		p.prisms = p.bend.slabs()
	}
	return p.prisms
}
