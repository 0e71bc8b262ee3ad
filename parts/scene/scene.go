// Package scene gives a piece as data to look at, to turn and to fold: for each blank a net of
// triangles of its metal with the folds that bend it, and where its copies stand, what fastens
// them, what everything is called and how the piece comes apart. It draws nothing and decides
// nothing about the part, and knows no screen and no file.
package scene

import (
	"fmt"
	"math"

	"perch/parts/joining"
	"perch/parts/naming"
	"perch/parts/panel"
	"perch/parts/plane"
	"perch/parts/solid"
)

// Scene is one size of a piece. Lengths are mm, angles radians.
type Scene struct {
	Design, Size, Revision string
	Shapes                 []*Shape // by blank
	Copies                 []Copy
	Fasteners              []Fastener // by join
	Steps                  []Step     // how it is put together, the first first
	Lo, Hi                 solid.Vec  // the box of the finished piece's metal

	boxes [][2]solid.Vec // by copy
}

// Copy is a placed part. Matrix takes the part space of its shape to the world.
type Copy struct {
	Name     string // as the design has it
	Called   string // in words
	Shape    int
	Mirrored bool // the same blank, bent the other way: Matrix mirrors it
	Matrix   panel.Matrix
}

// Fastener is one rivet, bolt or weld.
type Fastener struct {
	Name, Join string // head.1, and head, which made it
	Kind       string
	Diameter   float64
	At         solid.Vec // on the outermost sheet's outside
	Axis       solid.Vec // unit, inward
	Grip       float64
	Head       float64       // its diameter; 0 of a weld
	Line       *[2]solid.Vec // of a tack or weld
	Copies     []int         // outermost first
}

// Shape is the metal of one blank. Its triangles lie in the flat; Solid says where they are
// when it is bent.
type Shape struct {
	Name, Called    string
	Stock, Material string
	Thickness       float64
	Mass            float64 // kg of one
	Count           int
	Root            int // the face that lies still
	Faces           []Face
	Folds           []Fold
	Order           []int // the folds in the order they are bent, as far as that is planned
	Holes           []Hole
	Lines           []Line // scribed, and the beads' middle lines
	Outline         []plane.Point
	Openings        [][]plane.Point

	Nodes     []Node
	Triangles []Triangle
	Border    []Edge
}

// Face is a flat face of a shape.
type Face struct {
	Name, Called string
	Loop         []plane.Point // in the flat, arcs as chords
}

// Fold is a bend: a strip of the flat, from Start across to the width of its allowance.
type Fold struct {
	Name, Called string
	A, B         int           // faces: A is nearer the root, and left of Along
	Start        plane.Point   // on A's tangent line
	Along        plane.Point   // unit, along the fold
	Loop         []plane.Point // the strip in the flat
	Angle        float64
	Radius       float64 // inside
	K            float64 // the neutral axis, in thicknesses from the inside
	Allowance    float64
	Down         bool // B goes away from who looks at the drawn side
	Facets       int  // flats that stand for the bend

	ends [][2]plane.Point // the strip's straight ends
}

// Hole is an opening of a blank: what a cut made, or a place of a join.
type Hole struct {
	Name     string
	For      string // the join; "" of a cut
	Kind     string // cut, notch, or of a join's places: hole, drill, tack, plug, weld
	When     string // a join's hole is made before, locate or in_place; "" otherwise
	Face     int
	At       plane.Point
	Diameter float64
	Loop     []plane.Point // of what is open in the flat; nil where nothing is
}

// Line is what is drawn on a face.
type Line struct {
	Name, Kind string // line, bead or text
	Face       int
	Points     []plane.Point
}

// Node is a corner of triangles in the flat, and one region that it is bent with: a face, or
// a fold's strip as len(Faces) + fold. On a line between two regions both put it in one place.
type Node struct {
	P      plane.Point
	Region int
}

// Triangle is one of the drawn side, counter-clockwise there.
type Triangle struct {
	Nodes  [3]int32
	Region int
	Facet  int // of a fold's strip: which of its flats, from face A
}

// Edge is a stretch of the blank's outline or of an opening, with the metal on its left.
type Edge struct {
	From, To int32
	Region   int
	Sharp    bool // the outline turns a corner at From
}

// TooFineError tells that a blank can't be divided into triangles.
type TooFineError struct {
	Blank string
	Why   error
}

func (e *TooFineError) Error() string {
	return fmt.Sprintf("blank %s can't be shown in space: %v", e.Blank, e.Why)
}

func (e *TooFineError) Unwrap() error { return e.Why }

// New makes the scene of an assembly; a plan of how it is put together may be nil. It
// returns an error for a copy of no blank, a flat without sheet, or *TooFineError.
func New(a *panel.Assembly, plan *joining.Plan) (*Scene, error) {
	for _, b := range a.Blanks {
		if b.Flat == nil || b.Flat.Panel == nil {
			return nil, fmt.Errorf("scene: blank %q has no flat", b.Name)
		}
	}
	for _, c := range a.Copies {
		if c.Blank < 0 || c.Blank >= len(a.Blanks) {
			return nil, fmt.Errorf("scene: copy %q is of blank %d of %d", c.Name, c.Blank, len(a.Blanks))
		}
	}
	names := naming.Of(a)
	s := &Scene{Design: a.Design, Size: a.Size, Revision: a.Revision}
	for i, b := range a.Blanks {
		shape, err := newShape(b, i, names)
		if err != nil {
			return nil, err
		}
		s.Shapes = append(s.Shapes, shape)
	}
	for i, c := range a.Copies {
		s.Copies = append(s.Copies, Copy{Name: c.Name, Called: names.Copy(i), Shape: c.Blank, Mirrored: c.Mirrored, Matrix: c.Matrix})
	}
	for i := range a.Joins {
		s.Fasteners = append(s.Fasteners, fastener(&a.Joins[i]))
	}
	s.measure()
	if plan != nil {
		s.Steps = s.apart(plan)
	}
	return s, nil
}

func fastener(j *panel.JoinPoint) Fastener {
	f := Fastener{Name: j.Name, Join: j.Join, Kind: j.Kind, Diameter: j.Diameter, At: j.At, Axis: j.Axis, Grip: j.Grip, Line: j.Line}
	if j.Line == nil {
		f.Head = headWidth(j)
	}
	for _, m := range j.Members {
		f.Copies = append(f.Copies, m.Copy)
	}
	return f
}

// headWidth is a head's diameter as it is shown: the shop's, else two diameters (common
// practice, no source); a plug weld is as wide as its hole.
func headWidth(j *panel.JoinPoint) float64 {
	switch {
	case j.Head > 0:
		return j.Head
	case len(j.Members) < 2 || j.Axis.Len() == 0:
		return j.Diameter
	}
	return 2 * j.Diameter
}

// measure sets the box of the finished piece.
func (s *Scene) measure() {
	inf := math.Inf(1)
	s.Lo, s.Hi = solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}
	for i := range s.Copies {
		lo, hi := s.box(i)
		s.boxes = append(s.boxes, [2]solid.Vec{lo, hi})
		s.Lo, s.Hi = lower(s.Lo, lo), upper(s.Hi, hi)
	}
	if len(s.Copies) == 0 {
		s.Lo, s.Hi = solid.Vec{}, solid.Vec{}
	}
}

// Cover has the scene's box hold another's too.
func (s *Scene) Cover(o *Scene) {
	if len(o.Copies) > 0 {
		s.Lo, s.Hi = lower(s.Lo, o.Lo), upper(s.Hi, o.Hi)
	}
}

// Box is the upright box of a finished copy's metal.
func (s *Scene) Box(copy int) (lo, hi solid.Vec) { return s.boxes[copy][0], s.boxes[copy][1] }

func (s *Scene) box(copy int) (lo, hi solid.Vec) {
	inf := math.Inf(1)
	lo, hi = solid.Vec{X: inf, Y: inf, Z: inf}, solid.Vec{X: -inf, Y: -inf, Z: -inf}
	c := &s.Copies[copy]
	shape := s.Shapes[c.Shape]
	for _, p := range shape.Solid(shape.Bent(1)).Points {
		q := c.Matrix.Apply(p)
		lo, hi = lower(lo, q), upper(hi, q)
	}
	return lo, hi
}

func lower(a, b solid.Vec) solid.Vec {
	return solid.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
}

func upper(a, b solid.Vec) solid.Vec {
	return solid.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
}
