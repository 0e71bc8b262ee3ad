package panel

import (
	"perch/parts/measure"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// Blank is one flat shape to be cut, with the number of copies it makes.
type Blank struct {
	Name      string
	Flat      *Flat
	Count     int // copies in all, mirrored ones included
	Mirrored  int // of these, bent the other way
	Like      []Likeness
	Order     []int      // its folds in the order that they are bent in, as far as it is planned
	FoldMarks []FoldMark // how its folds are told on the metal, fold by fold
	Notched   plane.Loop // the flat's outline with its nicks; nil where it has none
}

// Contour is the outline that is cut: the flat's own with the nicks that tell its folds.
func (b *Blank) Contour() plane.Loop {
	if b.Notched != nil {
		return b.Notched
	}
	return b.Flat.Outer
}

// Scribed are the lines that tell folds on the metal and are no middle of a strip, which
// drawings have anyway.
func (b *Blank) Scribed() [][2]plane.Point {
	var out [][2]plane.Point
	for _, m := range b.FoldMarks {
		if m.Kind != Scribe {
			continue
		}
		f := &b.Flat.Folds[m.Fold]
		if off := m.At.Sub(f.From).Cross(m.In); off > plane.Tol || off < -plane.Tol {
			out = append(out, [2]plane.Point{m.At, m.To})
		}
	}
	return out
}

// PunchMark is the radius, mm, of the circle by which drawings show a centre-punch mark.
const PunchMark = 0.5

// Punched are the places of the centre-punch marks that tell folds.
func (b *Blank) Punched() []plane.Point {
	var out []plane.Point
	for _, m := range b.FoldMarks {
		if m.Kind == Punch {
			out = append(out, m.At)
		}
	}
	return out
}

// FoldMarkKind says how a fold is told on the metal.
type FoldMarkKind uint8

const (
	Nick     FoldMarkKind = iota // a V in the outline
	Punch                        // a centre-punch mark
	Scribe                       // a line from end to end
	Unmarked                     // nothing: there is no room for either
)

var foldMarkKinds = [...]string{"nick", "punch", "scribe", "none"}

func (k FoldMarkKind) String() string { return foldMarkKinds[k] }

// FoldMark tells, at one end of a fold or all along it, the line that the brake works to.
type FoldMark struct {
	Kind  FoldMarkKind
	Fold  int            // index of Flat.Folds
	At    plane.Point    // on that line: at the blank's edge, or where a punch mark is set
	To    plane.Point    // of a scribed line: its other end
	In    plane.Point    // unit, along the line into the metal
	Depth float64        // of a nick: how deep it is in the metal when it is cut, from At along In
	Vee   [3]plane.Point // of a nick: its mouth, tip and mouth as they are drawn, along the outline
	Why   measure.Text   // why a punch mark stands where a nick was asked for, or nothing does
}

// Likeness is another blank of the build that this one is easily taken for.
type Likeness struct {
	Blank   string         // the other's name
	Over    bool           // it is turned over, laid on this one
	Differs []measure.Text // what is different on this one: what, where, by how much
	At      []plane.Point  // of each of these, where in this one's flat; none where it is all over
}

// Matrix is a 4×4 transform, row major, the last row 0 0 0 1.
type Matrix [16]float64

// Copy is one placed part.
type Copy struct {
	Name     string
	Blank    int // index of Assembly.Blanks
	Mirrored bool
	Loose    bool   // it is meant to lie free: no join has to hold it
	Matrix   Matrix // part space of the blank to the world; determinant −1 when mirrored
}

// JoinMember is one sheet of a fastened stack, by copy and point name.
type JoinMember struct {
	Copy  int    // index of Assembly.Copies
	Point string // name of a Point of the copy's blank
}

// JoinPoint is one fastener.
type JoinPoint struct {
	Name     string // head.1
	Join     string // head: the statement that made it
	Kind     string // rivet, bolt, plug, tack, weld
	Matched  string // which of its holes are made when: a shop.Matched
	Located  string // what puts its parts in their places: a shop.Located
	Diameter float64
	At       solid.Vec // on the outermost member's outside: where a head lies
	Axis     solid.Vec // unit, inward
	Grip     float64
	Line     *[2]solid.Vec // of a tack or weld, from end to end; nil for the others
	Members  []JoinMember  // outermost first
	Hardware
}

// Hardware is what is taken from the drawer for a rivet or bolt, and what room setting it
// takes; the zero Hardware of other fasteners has their room alone.
type Hardware struct {
	Closing     shop.Closing // of a rivet
	Countersunk bool         // the tail of a solid rivet
	Inner       bool         // its head lies inside: members run from there
	Head        float64      // diameter of the head, mm; 0 where the shop does not tell
	Shank       shop.Shank
	Reach       shop.Reach
}

// Value is a solved value of a size, for the record and `show`.
type Value struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"` // in Unit
	Unit  string  `json:"unit"`  // mm, deg, kg, … or "" for numbers and counts
	From  string  `json:"from"`  // default, size, setting, rule or choice
	Where string  `json:"where"` // file:line:column of the statement that gave it
}

// Assembly is everything that one size of a design came to.
type Assembly struct {
	Design, Revision, Size string
	Values                 []Value
	Blanks                 []*Blank
	Copies                 []Copy
	Joins                  []JoinPoint
}
