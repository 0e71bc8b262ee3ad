package panel

import (
	"math"
	"slices"

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
		if (p.Kind == Hole || p.Kind == Plug) && p.Made() != InPlace && !f.Open(p) {
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

// Holes counts the openings of the blank: inner loops and the holes of joins, those that are
// marked and drilled included, but none that is drilled in place.
func (f *Flat) Holes() int {
	n := len(f.Inner)
	for _, p := range f.Points {
		if !p.Marked() && p.Made() != InPlace && !f.Open(p) {
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

// Made is when the hole of a point is made; "" where nothing is cut or drilled.
func (p Point) Made() When {
	switch {
	case p.Marked():
		return ""
	case p.When == "":
		return Before
	}
	return p.When
}

// Open tells whether a point lies in an opening that the blank has anyway: a join whose
// places are a cut of the part's own fastens there and cuts nothing more.
func (f *Flat) Open(p Point) bool {
	return slices.ContainsFunc(f.innerNear(p.At, 0), func(i int) bool { return f.Inner[i].Locate(p.At) != plane.Outside })
}

// innerNear are the openings whose boxes come within far mm of a point, by number.
func (f *Flat) innerNear(p plane.Point, far float64) []int {
	places := f.inner
	if places == nil || places.Len() != len(f.Inner) {
		places = f.innerPlaces()
	}
	return places.Near(plane.Box{Min: p, Max: p}.Grow(far), nil)
}

func (f *Flat) innerPlaces() *plane.Places {
	boxes := make([]plane.Box, len(f.Inner))
	for i, l := range f.Inner {
		boxes[i] = l.Bounds()
	}
	return plane.NewPlaces(boxes)
}

// ToEdge is how far a point lies from the nearest edge of the blank, mm; an opening that it
// lies in has no edge for it.
func (f *Flat) ToEdge(p plane.Point) float64 {
	d, _ := plane.Region{f.Outer}.DistanceTo(p)
	for far := min(d, firstLook); ; far *= 4 {
		far = min(far, d)
		for _, i := range f.innerNear(p, far) {
			if l := f.Inner[i]; l.Locate(p) == plane.Outside {
				to, _ := plane.Region{l}.DistanceTo(p)
				d = min(d, to)
			}
		}
		if d <= far {
			return d
		}
	}
}

// firstLook is how far, in mm, the edges of openings are looked for first.
const firstLook = 20.0

// Hole returns the outline of a point's hole in the flat; a tack has none.
func (p Point) Hole() plane.Loop {
	if p.Marked() {
		return nil
	}
	return plane.Circle(p.Diameter).Transform(plane.Translate(p.At))
}
