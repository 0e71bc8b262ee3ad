// Package shop holds what a workshop has and can do, and the file that says so:
// materials and gauges, sheets in stock, cutter, brake, drill and bead roller, rivets
// and bolts, the test bends that were measured there, and which neutral axis it takes
// for a bend. The mathematics of a bend is the room bend's; this one draws nothing and
// judges no part.
package shop

import (
	"perch/parts/bend"
	"perch/parts/measure"
)

// Shop is what a workshop has and can do. Lengths in mm, angles in radians. The
// zero Shop has nothing; start from Default or Load.
type Shop struct {
	Name      string
	Currency  string        // of prices; "" when none is told
	Ruler     measure.Ruler // that sizes on paper are read off by
	Method    bend.Method   // to find K; "" is DIN 6935
	K         float64       // for Method Stated
	Measured  []Measured
	Materials []Material
	Sheets    []Sheet
	Cutter    Cutter
	Brake     Brake
	Roller    Roller
	Drill     Drill
	Fit       Fit
	Papers    Papers
	Written   Written
	Joining   Joining
	Tolerance Tolerance
	Rivets    []Rivet      // blind ones, thinnest first
	Solid     []SolidRivet // thinnest first
	Bolts     []Bolt       // thinnest first
	Tools     Tools
	Table     *Table // the cutter's controller; nil when none is told
}

// Material is a sheet metal by its facts.
type Material struct {
	Name      string
	Density   float64    // kg/m³
	Gauge     string     // gauge system; "" when sheet is not sold by gauge
	Group     bend.Group // for Machinery's Handbook's formula
	Modulus   float64    // of elasticity, MPa
	Yield     float64    // MPa, for the springback estimate only
	MinRadius float64    // least inside radius, in thicknesses
	Zinc      bool       // coated with zinc: fumes at the weld
	Source    string     // where the numbers are from
}

// Sheet is a sheet size that the shop buys.
type Sheet struct {
	Material  string
	Thickness float64
	Width     float64
	Length    float64
	Price     float64 // each, in the shop's currency; 0 when not told
	Count     int     // in stock; 0: as many as it takes
}

// Cutter is the machine that cuts blanks.
type Cutter struct {
	Kind         string         // in the trade's words: plasma, laser, water jet
	Drawings     measure.System // unit of the drawings it reads
	Kerf         float64        // width of the cut
	MinHole      float64        // least round hole
	HoleSheets   float64        // … and in thicknesses
	HoleKerfs    float64        // … and in kerfs
	MinWeb       float64        // least metal between two cuts
	WebSheets    float64        // … and in thicknesses
	CornerExtra  float64        // least inside corner radius above half a kerf
	Tolerance    float64        // ± of a cut edge
	MaxThickness float64        // thickest sheet it cuts
	Width        float64        // bed
	Length       float64
}

// RoundHole is the least hole the cutter leaves round in a sheet of thickness t.
func (c Cutter) RoundHole(t float64) float64 {
	return max(float64(c.HoleSheets*t), float64(c.HoleKerfs*c.Kerf), c.MinHole)
}

// Web is the least metal between two cuts in a sheet of thickness t.
func (c Cutter) Web(t float64) float64 { return max(float64(c.WebSheets*t), c.MinWeb) }

// CornerRadius is the least inside corner radius.
func (c Cutter) CornerRadius() float64 { return float64(c.Kerf/2) + c.CornerExtra }

// Brake kinds.
const (
	BrakeLeaf = "leaf"  // a leaf or finger brake: the flange is clamped and swung
	BrakeVDie = "v_die" // a punch into a V die
)

// How folds are told on the metal.
const (
	MarksNicks  = "nicks"  // a V in the outline at each end
	MarksScribe = "scribe" // lines for an engraver
	MarksPunch  = "punch"  // centre-punch marks
	MarksNone   = "none"
)

// Brake is the machine that bends.
type Brake struct {
	Kind         string
	Thickness    float64   // rated mild steel t0 …
	Length       float64   // … over this length L0
	Over         float64   // thickest sheet at any length, in rated thicknesses
	Opening      float64   // of the V die, in thicknesses
	Openings     []float64 // of the dies there are, ascending; empty: any
	HemThickness float64   // thickest hem closed by hand
	Marks        string    // how the line that it works to is told on a blank
	NickWidth    float64   // of a nick at the edge
	NickDepth    float64   // of a nick in the metal

	// The sections of a leaf brake, x from the held side's tangent line to the back, z up
	// from the sheet's lower face: what parts/brake holds a part against.
	Fingers       []float64  // widths on hand; none: one bar over the whole length
	FingerGap     float64    // widest gap between two neighbours
	FrontAngle    float64    // most that a flange turns before it lies on the finger's front, rad
	FingerNeck    float64    // where the finger's front goes straight up
	FingerHeel    float64    // depth of its foot
	FingerHeight  float64    // from the sheet to the clamp beam
	NoseRadius    float64    // of its edge; 0: as each bend asks, fingers or bars being changed
	LeafWidth     float64    // of the leaf's edge along the sheet
	LeafHeight    float64    // how far it reaches down
	BedDepth      float64    // from its front edge to the back
	Beam          [2]float64 // the clamp beam's front and back
	Lift          float64    // how far the clamp opens
	BetweenFrames float64    // the whole piece passes there; 0: ten more than the length
	HoldMin       float64    // least flat that is held well
	MoveMin       float64    // least flat that the leaf takes along

	// The tools of a V die press.
	Punch       string  // straight, or a gooseneck beside a straight one
	PunchAngle  float64 // between its faces, rad: it bends to that angle and no farther
	PunchHeight float64 // from its edge to the ram
	PunchWidth  float64 // of its body
	Throat      float64 // how far a gooseneck's body stands back
	RamWidth    float64 // of the ram and what holds the punch in it
	Stroke      float64 // how far the ram goes up from the sheet
	DieWidth    float64 // of the die's body beside its opening, each side
	DieHeight   float64 // from its top to the bed
}

// Punches of a V die press.
const (
	PunchStraight  = "straight"
	PunchGooseneck = "gooseneck"
)

// Frames is the width between the brake's side frames.
func (b Brake) Frames() float64 {
	if b.BetweenFrames > 0 {
		return b.BetweenFrames
	}
	return b.Length + 10
}

// Roller is the bead roller.
type Roller struct {
	Throat    float64 // reach in from the sheet's edge
	MinCorner float64 // least corner radius of a bead's path
}

// Drill is the drill that makes the holes the cutter can't.
type Drill struct {
	Min, Max float64   // diameters
	Sizes    []float64 // of the drills that there are, ascending; empty: any
}

// Papers is how the shop prints its pages.
type Papers struct {
	Sheet      string // a paper's name: A4, Letter or A3
	Projection string // of views beside each other: first or third angle
}

// Projections of views: ISO 5456-2.
const (
	FirstAngle = "first"
	ThirdAngle = "third"
)

// Fit is the clearance left where parts meet.
type Fit struct {
	Radius  float64 // a part into a bend's radius
	Sliding float64
	Paint   float64 // for each painted face
}

// Which holes of sheets that are fastened together are made in the flat.
const (
	MatchedAuto   = "auto"   // the outer sheet's, and of each two parts one that locates them, where a hand can pin it
	MatchedLocate = "locate" // the outer sheet's, and of each two parts one that locates them
	MatchedOuter  = "outer"  // the outer sheet's alone
	MatchedAll    = "all"    // all of them
)

// What puts parts in their places while holes are drilled in place.
const (
	LocatedHoles  = "holes"  // pins through the locating holes
	LocatedTacks  = "tacks"  // parts are tacked together first
	LocatedClamps = "clamps" // clamps alone, by the edges and centre marks
)

// Matchings and Locatings are those words, as a file may write them.
var (
	Matchings = []string{MatchedAuto, MatchedLocate, MatchedOuter, MatchedAll}
	Locatings = []string{LocatedHoles, LocatedTacks, LocatedClamps}
)

// Joining is how parts are put together.
type Joining struct {
	Matched string // of Matchings
	Located string // of Locatings
	Centres bool   // a light mark shows where a hole is drilled in place
}

// Tolerance is how far real metal is off: each ± holds of 95 in 100 along one way (two
// standard deviations). That of a cut is the cutter's.
type Tolerance struct {
	Angle   float64 // ± of a bend, radians
	Line    float64 // ± of either end of a bend's line
	Drilled float64 // ± of a hole that is marked and drilled by hand
	Table   float64 // ± of the flat table that feet are levelled on
	Contact float64 // stiffness of sheets against each other at one of three points round a fastener, N/mm
	Pin     float64 // of a pin in two holes, N/mm
	Aim     float64 // of a hand that draws sheets to their marks and edges at a fastener, N/mm
	Hand    float64 // force, N, that a hand puts a pin in with
	Drift   float64 // and with a drift and hammer
}

// Material returns the material of that name.
func (s *Shop) Material(name string) (Material, bool) {
	for _, m := range s.Materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// SheetsOf returns the sheet sizes of a material and thickness, as they are listed.
func (s *Shop) SheetsOf(material string, thickness float64) []Sheet {
	var sheets []Sheet
	for _, sh := range s.Sheets {
		if sh.Material == material && sh.Thickness-thickness <= MeasuredThicknessTol &&
			thickness-sh.Thickness <= MeasuredThicknessTol {
			sheets = append(sheets, sh)
		}
	}
	return sheets
}

// GaugeThickness returns the thickness, in mm, of a gauge of one of the shop's
// materials, by the material's own gauge system.
func (s *Shop) GaugeThickness(material string, gauge int) (float64, error) {
	m, ok := s.Material(material)
	if !ok {
		return 0, s.unknownMaterial(material)
	}
	return m.gaugeThickness(gauge)
}
