// Package strength estimates how a piece of bent sheet metal carries loads: how far it sags
// and sways, how much of its metal's yield and of its fasteners' strength is used, when it
// buckles. It divides the unfolded blanks into triangles, folds those up as
// the parts stand, fastens them as the joins do and sets them on the floor. It is an
// estimate, elastic and static: it never says that a piece is safe or conforms to anything.
package strength

import (
	"fmt"

	"perch/parts/panel"
	"perch/parts/shell"
	"perch/parts/shop"
	"perch/parts/solid"
)

// Metal is what a sheet's strength goes by.
type Metal struct {
	shell.Material
	Yield   float64 // MPa
	Density float64 // kg/m³
}

// Fastener is the strength of one fastener, N: in shear and in being pulled apart. Zero
// where it is not known.
type Fastener struct {
	Shear, Pull float64
}

// Model says how the joints are taken. How a rivet is modelled moves the answer by more than
// anything else, so both ends are worth asking: what is real lies between.
type Model uint8

const (
	// Rigid: the sheet under a head is as stiff as the head, and the fastener turns with it.
	Rigid Model = iota
	// Loose: each fastener is a ball joint that gives twice as much, the sheet as it is.
	Loose
	// Solid: fasteners do not give at all, as in models that make them one with the sheets: for
	// comparison with such.
	Solid
)

// Options are what an estimate goes by beside the piece.
type Options struct {
	Side      float64 // length that triangles' sides are to have at most, mm
	Model     Model
	Friction  float64   // of the feet on the floor
	Nodes     int       // that there may be at most; 0 for 60 000
	Memory    int64     // bytes that the factors may take; 0 for any
	Weightful bool      // the piece's own weight loads it
	Supports  []Support // of a piece that hangs; none where it stands
	Metal     func(shop.Stock) (Metal, bool)
	// Through leaves out that sheets press on each other and lean on a wall, for comparison with
	// models that do.
	Through bool
	// Fastener is the strength of one; nil for Typical's.
	Fastener func(*panel.JoinPoint) Fastener
}

// Load is a force on a part, spread over a disc around a place on it.
type Load struct {
	Name   string
	Force  solid.Vec // N, in the world
	Copy   int       // index of Assembly.Copies
	At     solid.Vec // mm, in the world
	Spread float64   // diameter of the disc, mm
}

// Reasons of an Error.
type Reason uint8

const (
	// NoMetal: the metal of a part has no modulus or no yield stress.
	NoMetal Reason = iota
	// NoMesh: a blank can't be divided into triangles.
	NoMesh
	// Unheld: nothing fastens parts to the ones that stand on the floor.
	Unheld
	// OneLine: what stands on the floor stands on one line.
	OneLine
	// NoPlace: a load lies on no metal.
	NoPlace
	// Moves: a part can move freely, as Freedom says.
	Moves
	// Unsettled: no balance was found beyond Part of the load.
	Unsettled
	// Tips: the load tips the piece over.
	Tips
	// TooLarge: the answer needs more nodes or memory than it may take.
	TooLarge
)

// Error is a piece, or a load, of which no estimate can be made.
type Error struct {
	Reason  Reason
	Parts   []string // the copies that it is about
	Load    string
	Freedom int     // of Moves: one of shell's
	Part    float64 // of Unsettled: of the load, 0 to 1
	Err     error   // what a room below said; nil where nothing
}

var reasons = [...]string{
	NoMetal: "the metal's modulus or yield stress is not known", NoMesh: "the blank can't be divided into triangles",
	Unheld:  "nothing fastens it to what stands or hangs",
	OneLine: "it stands on one line", NoPlace: "the load lies on no metal", Moves: "a part can move freely",
	Unsettled: "no balance was found", Tips: "it tips over", TooLarge: "the estimate needs too much",
}

func (r Reason) String() string { return reasons[r] }

func (e *Error) Error() string {
	s := e.Reason.String()
	if len(e.Parts) > 0 {
		s = fmt.Sprintf("%v: %s", e.Parts, s)
	}
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	return s
}

func (e *Error) Unwrap() error { return e.Err }

// Piece is an assembly made ready to be loaded.
type Piece struct {
	assembly  *panel.Assembly
	options   Options
	model     shell.Model
	structure *shell.Structure
	copyOf    []int32 // by node
	triCopy   []int32 // by triangle
	head      []bool  // by triangle: it lies under a head
	patch     []bool  // by triangle: it lies under a head or beside one
	metals    []Metal // by blank
	links     []fixing
	feet      []int     // indices of the model's contacts on the floor
	lean      []float64 // by node: how far metal reaches below it
	placed    []placed
	holds     []Hold // with what is needed to find what they carry
	ground    int32  // the node that supports hold by, where there are any
}

// fixing is what a link of the model stands for.
type fixing struct {
	join     int // index of Assembly.Joins
	strength Fastener
}

// placed is a copy's own part of the nodes and triangles.
type placed struct {
	copy     int
	from, to int // nodes
	flat     *divided
	tri      int // first triangle
}
