// Package compare tells what changed between two states of one design: what its
// maker stated, the values that follow at every size, the parts that are cut and
// bent, and what the piece comes to. It compares meaning: white space, comments,
// the order of statements and brackets that change nothing are no difference, and
// a flat that lies otherwise but is the same piece of metal is the same part. It
// reads no files and decides nothing; its answer can be read as text, JSON, HTML
// or SVG.
package compare

import (
	"fmt"
	"slices"

	"perch/lang/build"
	"perch/lang/check"
	"perch/parts/measure"
	"perch/parts/panel"
)

// Change says what became of something.
type Change string

const (
	Added   Change = "added"
	Removed Change = "removed"
	Changed Change = "changed"
	Renamed Change = "renamed" // and is otherwise the same
	Moved   Change = "moved"   // it stands in another file now, as a copied library panel does
	// Restated says the same in other units, as far as the digits written go.
	Restated Change = "restated"
	Same     Change = "same"
)

// Difference is all that changed. In JSON, lengths are in mm, areas in mm²,
// angles in degrees and masses in kg; lists hold what changed only, in the order
// of the new design, then what was removed.
type Difference struct {
	Old        Named       `json:"old"`
	New        Named       `json:"new"`
	Same       bool        `json:"same"`       // nothing at all changed
	PartsSame  bool        `json:"parts_same"` // no part changed at any size that both have
	Statements []Statement `json:"statements"`
	Sizes      []Size      `json:"sizes"` // every size of either, also those that did not change

	in       measure.System // that it is told in
	blanks   int            // how many the new design has, by name, at the sizes that both have
	currency string
}

// Named is a side of the comparison.
type Named struct {
	Name     string `json:"name"` // the file or REV:path
	Design   string `json:"design"`
	Revision string `json:"revision"`
}

// Statement is a changed statement of the design or of a file that it uses. Name
// tells kind and name, and what it stands in: "param seat", "size bar / height",
// "panel hook / face arm". Old and New are the rest of the statement in canonical
// form; Was is its old name where that is another, From the file that a moved one was
// in. What follows from a new name alone, in the statements that use it, is not told.
type Statement struct {
	Change Change `json:"change"`
	Module string `json:"module,omitempty"` // the file used; "" for the design itself
	Name   string `json:"name"`
	Was    string `json:"was,omitempty"`
	Old    string `json:"old,omitempty"`
	New    string `json:"new,omitempty"`
	From   string `json:"from,omitempty"`

	was, is string // Old and New in the names of the new design
}

// Size is one size of the design: Added or Removed where only one side has it.
type Size struct {
	Name   string  `json:"name"`
	Was    string  `json:"was,omitempty"` // its old name, where that is another
	Change Change  `json:"change"`
	Values []Value `json:"values"`
	Parts  []Part  `json:"parts"`
	Joins  []Join  `json:"joins"`
	Old    *Total  `json:"old,omitempty"` // what the piece comes to; nil where the side has no such size
	New    *Total  `json:"new,omitempty"`
	Metals []Metal `json:"metals"` // what it takes that changed, where a part did; see Charge
}

// Value is a solved value that changed, with where each came from: default, size,
// setting, rule or choice. Old or New is nil where the side has no such value.
type Value struct {
	Name    string   `json:"name"`
	Was     string   `json:"was,omitempty"` // its old name, where that is another
	Unit    string   `json:"unit"`
	Old     *float64 `json:"old,omitempty"`
	OldFrom string   `json:"old_from,omitempty"`
	New     *float64 `json:"new,omitempty"`
	NewFrom string   `json:"new_from,omitempty"`
}

// Total is what one size of the piece comes to.
type Total struct {
	Blanks int     `json:"blanks"` // different ones
	Pieces int     `json:"pieces"`
	Bends  int     `json:"bends"`
	Mass   float64 `json:"mass_kg"`
	Area   float64 `json:"area_mm2"`
	Cut    float64 `json:"cut_mm"`
}

// Join is a join whose fasteners changed: Old and New tell them, as in
// "16 rivet 4.8"; "" where there are none.
type Join struct {
	Name string `json:"name"`
	Old  string `json:"old,omitempty"`
	New  string `json:"new,omitempty"`

	was, is string // for people
}

// NamesError says that the two sides are two designs.
type NamesError struct{ Old, New Named }

func (e *NamesError) Error() string {
	return fmt.Sprintf("these are two designs: %s is %q, %s is %q", e.Old.Name, e.Old.Design, e.New.Name, e.New.Design)
}

// Side is one state of a design, built.
type Side struct {
	Name    string // as the user named it
	Program *check.Program
	Results []*build.Result // without errors
}

// Compare tells what changed from old to new. Two designs of different names are
// a *NamesError beside the difference, which is told all the same.
func Compare(old, new Side) (*Difference, error) {
	d := &Difference{Old: old.named(), New: new.named(), Statements: []Statement{}, Sizes: []Size{}}
	d.in = new.Program.Shown
	names := readSides(old.Program, new.Program)
	d.Statements = append(d.Statements, names.statements()...)
	was := names.pairSizes(old, new)
	for i, n := range new.Results {
		if o := was[i]; o != nil {
			d.Sizes = append(d.Sizes, sizes(o, n, names))
		} else {
			d.Sizes = append(d.Sizes, Size{Name: n.Size, Change: Added, New: total(n.Assembly)}.filled())
		}
	}
	for _, o := range old.Results {
		if !slices.Contains(was, o) {
			d.Sizes = append(d.Sizes, Size{Name: o.Size, Change: Removed, Old: total(o.Assembly)}.filled())
		}
	}
	d.blanks = blanksOf(new.Results, d.common())
	d.Same = len(d.Statements) == 0 && d.Old.Design == d.New.Design && d.Old.Revision == d.New.Revision
	d.PartsSame = true
	for _, s := range d.Sizes {
		d.Same = d.Same && s.Change == Same
		for _, p := range s.Parts {
			d.PartsSame = d.PartsSame && p.Change == Renamed
		}
	}
	if d.Old.Design != d.New.Design {
		return d, &NamesError{d.Old, d.New}
	}
	return d, nil
}

func (s Side) named() Named {
	n := Named{Name: s.Name}
	if d := s.Program.Root.File.Design; d != nil {
		n.Design = d.Name.Value
		if d.Revision != nil {
			n.Revision = d.Revision.Value
		}
	}
	return n
}

func (s Side) result(size string) *build.Result {
	for _, r := range s.Results {
		if r.Size == size {
			return r
		}
	}
	return nil
}

// pairSizes finds each new size's old one, nil for none: by name, and where a side has no
// size lines by what is made, for the first sizes that a design gets are what it was.
func (s *sides) pairSizes(old, new Side) []*build.Result {
	out := make([]*build.Result, len(new.Results))
	for i, n := range new.Results {
		out[i] = old.result(s.oldSize(n.Size))
	}
	if !old.sizeless() && !new.sizeless() {
		return out
	}
	best, bo, bn := 0, -1, -1
	for i, n := range new.Results {
		for k, o := range old.Results {
			if out[i] != nil || slices.Contains(out, o) {
				continue
			}
			apart := len(values(o.Values, n.Values, s)) + len(parts(o.Assembly, n.Assembly, s))
			if bn < 0 || apart < best {
				best, bo, bn = apart, k, i
			}
		}
	}
	if bn >= 0 {
		out[bn] = old.Results[bo]
	}
	return out
}

// sizeless tells whether the design has no size lines.
func (s Side) sizeless() bool {
	return !slices.ContainsFunc(s.Program.Root.Order, func(d *check.Decl) bool { return d.Kind == check.Size })
}

// filled gives empty lists for JSON in place of none.
func (s Size) filled() Size {
	if s.Values == nil {
		s.Values = []Value{}
	}
	if s.Parts == nil {
		s.Parts = []Part{}
	}
	if s.Joins == nil {
		s.Joins = []Join{}
	}
	if s.Metals == nil {
		s.Metals = []Metal{}
	}
	return s
}

func sizes(old, new *build.Result, names *sides) Size {
	s := Size{
		Name: new.Size, Change: Same, Was: renamedFrom(old.Size, new.Size), Values: values(old.Values, new.Values, names),
		Parts: parts(old.Assembly, new.Assembly, names), Joins: joins(old.Assembly, new.Assembly, new.Program().Shown, names),
		Old: total(old.Assembly), New: total(new.Assembly),
	}
	if s.Was != "" {
		s.Change = Renamed
	}
	if len(s.Values) > 0 || len(s.Parts) > 0 || len(s.Joins) > 0 {
		s.Change = Changed
	}
	return s.filled()
}

// blanksOf counts the different names of blanks at some sizes.
func blanksOf(results []*build.Result, sizes []string) int {
	names := map[string]bool{}
	for _, r := range results {
		if slices.Contains(sizes, r.Size) {
			for _, b := range r.Assembly.Blanks {
				names[b.Name] = true
			}
		}
	}
	return len(names)
}

func renamedFrom(was, is string) string {
	if was == is {
		return ""
	}
	return was
}

func total(a *panel.Assembly) *Total {
	t := &Total{Blanks: len(a.Blanks)}
	for _, b := range a.Blanks {
		t.Pieces += b.Count
		t.Bends += b.Count * len(b.Flat.Folds)
		n := float64(b.Count)
		t.Mass += float64(n * b.Flat.Mass())
		t.Area += float64(n * b.Flat.Area())
		t.Cut += float64(n * b.Flat.CutLength())
	}
	t.Mass, t.Area, t.Cut = told(t.Mass), told(t.Area), told(t.Cut)
	return t
}
