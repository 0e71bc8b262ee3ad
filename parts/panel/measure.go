package panel

import (
	"math"

	"perch/parts/plane"
)

// Area is the blank's area less its inner loops, mm². Holes that joins make
// (Points) are not taken off.
func (f *Flat) Area() float64 {
	a := f.Outer.Area()
	for _, l := range f.Inner {
		a -= math.Abs(l.Area())
	}
	return a
}

// CutLength is the length of all that is cut, mm: outline, inner loops and the round
// holes of joins (kinds hole and plug; drilled ones are not cut).
func (f *Flat) CutLength() float64 {
	length := f.Outer.Length()
	for _, l := range f.Inner {
		length += l.Length()
	}
	for _, p := range f.Points {
		if (p.Kind == Hole || p.Kind == Plug) && !f.Open(p) {
			length += float64(math.Pi * p.Diameter)
		}
	}
	return length
}

// Mass is the blank's mass in kg: Area × thickness × density.
func (f *Flat) Mass() float64 {
	return f.Area() * f.Panel.Stock.Thickness * f.Panel.Stock.Density * 1e-9
}

// Size is the width and height of the outline's bounds as it lies, mm.
func (f *Flat) Size() (w, h float64) {
	s := f.Outer.Bounds().Size()
	return s.X, s.Y
}

// Holes counts the openings of the blank: inner loops and the holes of joins, drilled
// ones included.
func (f *Flat) Holes() int {
	n := len(f.Inner)
	for _, p := range f.Points {
		if !p.Marked() && !f.Open(p) {
			n++
		}
	}
	return n
}

// BendRow is a line of the bend table.
type BendRow struct {
	Name      string
	A, B      string  // face names, A held
	Angle     float64 // radians
	Down      bool
	Radius, K float64
	Allowance float64 // mm
	Deduction float64 // mm
	SetBack   float64 // mm, the same on both faces
	Length    float64 // of the middle line, mm
	Deviation float64 // mm
}

// Bends is the bend table, in the order of the panel's folds.
func (f *Flat) Bends() []BendRow {
	rows := make([]BendRow, len(f.Folds))
	for i, s := range f.Folds {
		rows[i] = BendRow{
			Name: s.Name, A: f.Faces[s.A].Name, B: f.Faces[s.B].Name,
			Angle: s.Bend.Angle, Down: s.Down, Radius: s.Bend.Radius, K: s.Bend.K,
			Allowance: s.Bend.Allowance(), Deduction: s.Bend.Deduction(),
			SetBack: s.SetBackA, Length: s.From.Dist(s.To), Deviation: s.Deviation,
		}
	}
	return rows
}

// Marked tells that nothing is cut or drilled at the point: it is a tack's or a weld's.
func (p Point) Marked() bool { return p.Kind == Tack || p.Kind == Weld }

// Open tells whether a point lies in an opening that the blank has anyway: a join whose
// places are a cut of the part's own fastens there and cuts nothing more.
func (f *Flat) Open(p Point) bool {
	for _, l := range f.Inner {
		if l.Bounds().Holds(p.At) && l.Locate(p.At) != plane.Outside {
			return true
		}
	}
	return false
}

// Hole returns the outline of a point's hole in the flat; a tack has none.
func (p Point) Hole() plane.Loop {
	if p.Marked() {
		return nil
	}
	return plane.Circle(p.Diameter).Transform(plane.Translate(p.At))
}
