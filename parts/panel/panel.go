// Package panel makes bent parts: faces joined by folds. It trims each face by
// its bends, sets reliefs and corner treatment, unfolds the part to one flat
// blank with exact allowances, refolds it to space, and recognises blanks that
// are alike or mirror images. It knows nothing of the language, of whole pieces
// of furniture or of output files.
package panel

import (
	"iter"

	"perch/parts/bend"
	"perch/parts/plane"
	"perch/parts/shop"
	"perch/parts/solid"
)

// Panel is a bent part as drawn: what Unfold starts from.
type Panel struct {
	Name  string
	Stock shop.Stock
	Faces []Face
	Folds []Fold
	Seams []Seam
}

// Face is one flat of a panel, drawn on its mold surface before any trimming.
// Its metal lies behind the drawn surface, from z = 0 to z = −thickness of Frame.
type Face struct {
	Name    string
	Frame   solid.Frame  // in the world
	Outline plane.Region // in Frame's x, y; one outer loop
	Cuts    []Cut
	Marks   []Mark
	Hung    bool // on an edge: Frame's x runs along the fold, as the design's u does
}

// Cut is a named opening or, where it crosses the outline, a notch.
type Cut struct {
	Name   string
	Region plane.Region // in the face's frame
}

// MarkKind says what a mark is.
type MarkKind uint8

const (
	MarkLine MarkKind = iota // scribed line
	MarkBead                 // centre line of a rolled bead, Width wide
	MarkText                 // Text, Height high, its baseline starting at At, along Dir
)

// Mark is something shown on the blank and not cut.
type Mark struct {
	Name   string
	Kind   MarkKind
	Path   plane.Loop // MarkLine, MarkBead
	Closed bool       // Path closes on itself
	Width  float64
	Text   string
	At     plane.Point
	Dir    plane.Point // unit vector of the baseline
	Height float64
}

// Relief is the treatment of a fold's end that is not at the blank's edge.
type Relief uint8

const (
	ReliefAuto   Relief = iota // round where two folds meet at a corner, square at other ends
	ReliefRound                // circle
	ReliefSquare               // rectangular notch
	ReliefSlit                 // one kerf wide
	ReliefNone
)

// Fold hangs face B on face A. Angle and direction follow from the frames: Down
// folds B away from the viewer of the drawn side.
type Fold struct {
	Name       string
	A, B       int     // indices of Faces
	Radius     float64 // inside, mm
	K          float64 // neutral-axis factor
	Relief     Relief
	ReliefSize float64 // diameter or width, 0 for the rule's own
	// Angle and Down are set for a hung face whose angle is stated (they must agree
	// with the frames, and decide for angles above 150°, where frames are parallel
	// or meet far away); Angle 0 takes both from the frames.
	Angle float64
	Down  bool
}

// SeamKind is how two neighbouring faces meet that no fold joins.
type SeamKind uint8

const (
	SeamOpen   SeamKind = iota // a clear gap
	SeamClosed                 // edges touch
	SeamLapped                 // one face passes behind the other by Lap
)

// Seam treats the ends of two faces whose planes meet in a corner line.
type Seam struct {
	Name string
	A, B int
	Kind SeamKind
	Gap  float64 // clear, mm, for SeamOpen
	Lap  float64 // mm, for SeamLapped
}

// Flat is an unfolded panel. Flat space: z = 0, seen from the drawn side.
type Flat struct {
	Panel  *Panel // with a lapped seam a copy: each tab is a face and a fold more
	Root   int    // index of the root face
	Outer  plane.Loop
	Inner  []plane.Loop
	Faces  []FlatFace // same indices as Panel.Faces
	Tabs   []Tab      // of lapped seams
	Folds  []FlatFold // same indices as Panel.Folds
	Cuts   []FlatCut
	Marks  []FlatMark
	Points []Point // set by joins, in flat coordinates

	inner *plane.Places // of Inner, as it was unfolded; nil of a flat that was not
}

// FlatFace is a face after trimming, in the flat.
type FlatFace struct {
	Name    string
	Loop    plane.Loop   // trimmed outline in flat coordinates, reliefs and notches taken off, holes not
	Trimmed plane.Region // the same in the face's own frame, holes taken out: the metal that can touch another part
	Bounds  plane.Box    // of Trimmed
	Frame   solid.Frame  // flat coordinates to part space: the root's is the identity
	// ToFlat takes the face's own frame coordinates to flat coordinates (rigid).
	ToFlat plane.Affine
}

// Tab is a face that belongs to another: what a wall goes on in behind its neighbour
// at a lapped seam.
type Tab struct{ Face, Of int }

// Pieces are the flats that a face of the panel is made of: itself, then its tabs.
func (f *Flat) Pieces(face int) iter.Seq[int] {
	return func(yield func(int) bool) {
		if !yield(face) {
			return
		}
		for _, t := range f.Tabs {
			if t.Of == face && !yield(t.Face) {
				return
			}
		}
	}
}

// FaceName is what a face is called where people speak of it: a tab by its wall's name.
func (f *Flat) FaceName(face int) string {
	for _, t := range f.Tabs {
		if t.Face == face {
			face = t.Of
		}
	}
	return f.Faces[face].Name
}

// FlatFold is a bend in the flat.
type FlatFold struct {
	Name               string
	A, B               int
	From, To           plane.Point    // middle line of the allowance strip; face A lies left of From→To
	Loop               plane.Loop     // the strip
	TangentA           [2]plane.Point // where the strip meets face A
	TangentB           [2]plane.Point
	Sight              [2]plane.Point // leaf brake's sight line
	Bend               bend.Bend
	Down               bool
	Relieved           [2]bool // a relief ends it at From, at To
	SetBackA, SetBackB float64
	Deviation          float64 // of the straight strip ends from the true cut, mm
}

// FlatCut is an opening of the blank by name (for holes: the hole list).
type FlatCut struct {
	Name  string
	Face  int
	Loop  plane.Loop
	Notch bool // it crosses the outline of the blank
}

// FlatMark is a mark in flat coordinates.
type FlatMark struct {
	Mark
	Face int
}

// PointKind says what is to be made at a Point.
type PointKind string

const (
	Hole  PointKind = "hole"
	Drill PointKind = "drill" // too small for the cutter: centre mark, drilled
	Tack  PointKind = "tack"
	Plug  PointKind = "plug"
	Weld  PointKind = "weld"
)

// When says when a hole is made.
type When string

const (
	Before  When = "before"   // in the flat, before anything is bent
	Locate  When = "locate"   // in the flat too, in an inner sheet: this hole puts two parts in their places
	InPlace When = "in_place" // drilled through the outer sheet's hole, when the bent parts are clamped together
)

// Point is a fastening place on a face.
type Point struct {
	Name     string
	For      string // the join that it belongs to; "" where no statement made it
	Face     int
	At       plane.Point // flat coordinates
	Diameter float64     // of the hole; length for a tack
	Kind     PointKind
	Dir      plane.Point // unit, along a tack or weld; zero otherwise
	In       plane.Point // unit, into the metal, of a tack or weld on the blank's edge; zero otherwise
	When     When        // of a hole; "" is Before
	Bare     bool        // of a hole drilled in place: the flat has not even a mark there
}
