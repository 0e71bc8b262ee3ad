package plane

// Clip is the part of r in the half-plane.
func Clip(r Region, h HalfPlane) Region { panic("stub") }

// Components splits a region into connected pieces, each an outer loop with its holes.
func (r Region) Components() []Region { panic("stub") }

// Offset grows (d > 0, round joins) or shrinks (d < 0) a region.
func Offset(r Region, d float64) Region { panic("stub") }

// OffsetMiter is Offset with sharp joins up to limit times d.
func OffsetMiter(r Region, d, limit float64) Region { panic("stub") }

// Corner is one point of an outline as drawn.
type Corner struct {
	P       Point
	Round   float64 // radius of the fillet at P, 0 none
	Chamfer float64 // cut back along both edges, 0 none
	Arc     float64 // signed radius of the edge leaving P: minus is hollow; 0 none
	Through *Point  // a point the edge leaving P passes through: an arc
	Edge    string  // name of the edge leaving P, "" none
}

// NamedEdge tells which edges of a loop carry a name.
type NamedEdge struct {
	Name  string
	Edges []int // indices of the loop's edges, in loop order
}

// Polygon builds a counter-clockwise loop.
func Polygon(corners []Corner) (Loop, []NamedEdge, error) { panic("stub") }

// Round fillets all convex corners.
func Round(r Region, radius float64) (Region, error) { panic("stub") }

// Chamfer cuts all convex corners.
func Chamfer(r Region, c float64) (Region, error) { panic("stub") }

// Interval is a stretch of a line, in the line's parameter.
type Interval struct{ From, To float64 }

// Chords are the stretches of the line p + t·dir (dir made unit, t in mm) inside r.
func Chords(r Region, p, dir Point) []Interval { panic("stub") }

// ChordsAt are the stretches of the level line y inside r, in x.
func ChordsAt(r Region, y float64) []Interval { panic("stub") }

// Distance is the least distance between the edges of a and b, and where.
func Distance(a, b Region) (d float64, onA, onB Point) { panic("stub") }

// Flatten replaces arcs by chords no farther than chordTol from them.
func Flatten(l Loop, chordTol float64) []Point { panic("stub") }

// Congruent lists the rigid maps that take a onto b: motions, or with mirrored
// only those that mirror.
func Congruent(a, b Loop, tol float64, mirrored bool) []Affine { panic("stub") }
