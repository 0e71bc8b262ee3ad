package compare

import (
	"slices"
	"strings"

	"perch/lang/check"
	"perch/parts/panel"
)

// name is what a name of the old design is called in the new one.
func (s *sides) name(in check.Space, old string) string {
	if d := s.old.prog.Root.Find(in, old); d != nil {
		return s.old.name(d, old)
	}
	return old
}

// oldSize is what a size of the new design was called in the old one.
func (s *sides) oldSize(is string) string {
	for d, name := range s.old.named { // one at most: names of sizes differ
		if d.Kind == check.Size && name == is {
			return d.Name
		}
	}
	return is
}

// partName is what a part, blank or copy of the old design is called in the new one:
// leg.2 is support.2 where leg is called support.
func (s *sides) partName(old string) string {
	return stemmed(old, func(stem string) string { return s.name(check.Values, stem) })
}

// stemmed renames what stands before the first dot of a name.
func stemmed(name string, rename func(string) string) string {
	stem, index, copied := strings.Cut(name, ".")
	if stem = rename(stem); copied {
		return stem + "." + index
	}
	return stem
}

// blank is one of the old design with its faces, folds, cuts, marks and the places of its
// joins called as in the new one.
func (s *sides) blank(b *panel.Blank) *panel.Blank {
	c, f := *b, *b.Flat
	of := s.panelOf(b.Name)
	face := func(name string) string {
		return stemmed(name, func(stem string) string { return s.memberName(of, stem) })
	}
	inFace := func(i int, name string) string {
		return stemmed(name, func(stem string) string { return s.memberName(s.member(of, f.Faces[i].Name), stem) })
	}
	f.Points, f.Cuts, f.Marks = slices.Clone(f.Points), slices.Clone(f.Cuts), slices.Clone(f.Marks)
	for i := range f.Points {
		p := &f.Points[i]
		if stem := base(p.Name); stem != p.Name {
			p.Name = s.name(check.Joins, stem) + p.Name[len(stem):]
		}
	}
	for i := range f.Cuts {
		f.Cuts[i].Name = inFace(f.Cuts[i].Face, f.Cuts[i].Name)
	}
	for i := range f.Marks {
		f.Marks[i].Name = inFace(f.Marks[i].Face, f.Marks[i].Name)
	}
	f.Folds = slices.Clone(f.Folds)
	for i := range f.Folds {
		a, b, _ := strings.Cut(f.Folds[i].Name, "/")
		f.Folds[i].Name = face(a) + "/" + face(b)
	}
	f.Faces = slices.Clone(f.Faces) // last: cuts and marks are found by the old names
	for i := range f.Faces {
		f.Faces[i].Name = face(f.Faces[i].Name)
	}
	c.Flat = &f
	return &c
}

// panelOf is the panel that a blank of the old design is made by, or nil.
func (s *sides) panelOf(blank string) *check.Decl {
	stem, _, _ := strings.Cut(blank, ".")
	d := s.old.prog.Root.Find(check.Values, stem)
	if d == nil {
		return nil
	}
	t := &d.Type
	for t.Elem != nil {
		t = t.Elem
	}
	return t.Decl
}

// member is the face of a panel by the name of one of its copies, or nil.
func (s *sides) member(of *check.Decl, name string) *check.Decl {
	stem, _, _ := strings.Cut(name, ".")
	if of == nil {
		return nil
	}
	return of.Member(stem)
}

// memberName is what a member of a panel or face of the old design is called in the new one.
func (s *sides) memberName(of *check.Decl, old string) string {
	if m := s.member(of, old); m != nil {
		return s.old.name(m, old)
	}
	return old
}
