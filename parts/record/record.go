// Package record writes down what a build came to, for other programs: build.json,
// from which every part can be folded up again, and the cut list, a table for the
// shop. It measures and quantises; it decides nothing and reads no files.
package record

import _ "embed"

// Format and Version head every record.
const (
	Format  = "perch-build"
	Version = 1
)

// Schema is the JSON Schema (draft 2020-12) of a record.
//
//go:embed record.schema.json
var Schema []byte

// File is a record as encoding/json reads it. Lengths mm, angles degrees, areas mm².
type File struct {
	Format   string            `json:"format"`
	Version  int               `json:"version"`
	Design   string            `json:"design"`
	Size     string            `json:"size"`
	Revision string            `json:"revision"` // as the design states it; empty where it states none
	Layers   map[string]string `json:"layers"`   // what a drawing's layer holds → its name
	Values   []Value           `json:"values"`
	Blanks   []Blank           `json:"blanks"`
	Copies   []Copy            `json:"copies"`
	Joins    []Join            `json:"joins"`
}

// Vertex is x, y and the bulge of the edge that starts there.
type Vertex [3]float64

// Value is a solved value and the statement that gave it.
type Value struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
	From  string  `json:"from"`
	Where string  `json:"where"`
}

// Blank is one shape to be cut.
type Blank struct {
	Name      string     `json:"name"`
	Count     int        `json:"count"`
	File      string     `json:"file"`
	Stock     Stock      `json:"stock"`
	Outer     []Vertex   `json:"outer"`
	Inner     [][]Vertex `json:"inner"`
	Size      [2]float64 `json:"size"`
	Area      float64    `json:"area"`
	CutLength float64    `json:"cut_length"`
	MassKg    float64    `json:"mass_kg"`
	Faces     []Face     `json:"faces"`
	Folds     []Fold     `json:"folds"`
	Points    []Point    `json:"points"`
	Nicks     []Nick     `json:"nicks"`
	Like      []Like     `json:"like,omitempty"`
}

// Nick is how a fold's end, or all of it, is told on the metal.
type Nick struct {
	Kind  string       `json:"kind"` // nick, punch, scribe or none
	Fold  string       `json:"fold"`
	At    [2]float64   `json:"at"`
	To    *[2]float64  `json:"to,omitempty"`    // of a scribed line: its other end
	Depth float64      `json:"depth,omitempty"` // of a nick in the metal, from At
	Vee   [][2]float64 `json:"vee,omitempty"`   // of a nick: mouth, tip and mouth as they are drawn
	Why   string       `json:"why,omitempty"`   // why there is no nick
}

// Like is another blank that this one is easily taken for, turned over or not, and what
// is different on this one.
type Like struct {
	Blank   string   `json:"blank"`
	Over    bool     `json:"turned_over"`
	Differs []string `json:"differs"`
}

// Stock is the sheet that a blank is cut from.
type Stock struct {
	Name      string  `json:"name"`
	Material  string  `json:"material"`
	Thickness float64 `json:"thickness"`
	Density   float64 `json:"density_kg_m3"`
}

// Face is a flat of a bent part: Frame takes its points of the blank to part space.
type Face struct {
	Name  string   `json:"name"`
	Root  bool     `json:"root"`
	Loop  []Vertex `json:"loop"`
	Frame Frame    `json:"frame"`
}

// Frame takes (x, y) to Origin + x·X + y·Y.
type Frame struct {
	Origin [3]float64 `json:"origin"`
	X      [3]float64 `json:"x"`
	Y      [3]float64 `json:"y"`
}

// Fold is a bend; Faces[0] is nearer the root and lies left of From→To.
type Fold struct {
	Name      string        `json:"name"`
	Faces     [2]string     `json:"faces"`
	From      [2]float64    `json:"from"`
	To        [2]float64    `json:"to"`
	Angle     float64       `json:"angle"`
	Radius    float64       `json:"radius"`
	K         float64       `json:"k"`
	Allowance float64       `json:"allowance"`
	Direction string        `json:"direction"` // up or down
	Loop      []Vertex      `json:"loop"`
	Sight     [2][2]float64 `json:"sight"`
}

// Point is a fastening place of a blank. When, of a hole alone, is before (in the flat),
// locate (in the flat too, in an inner sheet, to put two parts in their places) or in_place
// (drilled through the outer sheet when the bent parts are clamped together: the flat has
// no loop for it); For is the join that it belongs to, where a design's statement made it.
type Point struct {
	Name     string     `json:"name"`
	Face     string     `json:"face"`
	At       [2]float64 `json:"at"`
	Diameter float64    `json:"diameter"`
	Kind     string     `json:"kind"`
	When     string     `json:"when,omitempty"`
	For      string     `json:"for,omitempty"`
}

// Copy is a placed part: Matrix, row major, takes part space to the world.
type Copy struct {
	Name     string      `json:"name"`
	Blank    string      `json:"blank"`
	Mirrored bool        `json:"mirrored"`
	Loose    bool        `json:"loose,omitempty"`
	Matrix   [16]float64 `json:"matrix"`
}

// Join is one fastener, its members from the outermost in.
type Join struct {
	Kind     string         `json:"kind"`
	Diameter float64        `json:"diameter"`
	At       [3]float64     `json:"at"`
	Axis     [3]float64     `json:"axis"`
	Grip     float64        `json:"grip"`
	Line     *[2][3]float64 `json:"line,omitempty"`
	Members  []Member       `json:"members"`

	Closing      string  `json:"closing,omitempty"`   // of a rivet: pulled, cold, hot or welded
	Tail         string  `json:"tail,omitempty"`      // of a hammered rivet: round or countersunk
	HeadSide     string  `json:"head_side,omitempty"` // of a rivet or bolt: outer or inner; its head lies at At
	HeadDiameter float64 `json:"head_diameter,omitempty"`
	Length       float64 `json:"length,omitempty"` // of the shank, as it is stocked
	CutTo        float64 `json:"cut_to,omitempty"` // to which a longer one is cut down
	Reach        *Reach  `json:"reach,omitempty"`
}

// Reach is the room that tools need to set a fastener, at its head and at its tail.
type Reach struct {
	Head *Room `json:"head,omitempty"`
	Tail *Room `json:"tail,omitempty"`
}

// Room is a cylinder about the fastener's axis, from From to Length mm off the sheet.
type Room struct {
	Radius float64 `json:"radius"`
	From   float64 `json:"from,omitempty"`
	Length float64 `json:"length"`
}

// Member is one sheet of a fastened stack.
type Member struct {
	Copy  string `json:"copy"`
	Point string `json:"point"`
}
