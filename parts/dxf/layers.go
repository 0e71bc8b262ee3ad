package dxf

import (
	"math"

	"github.com/yofu/dxf/color"
	"github.com/yofu/dxf/drawing"
	"github.com/yofu/dxf/table"
)

// Layers are named for what the shop does with the lines on them.
const (
	LayerOutside  = "OUTSIDE"   // the blank's outline, cut last
	LayerInside   = "INSIDE"    // holes and openings, cut first
	LayerFoldUp   = "FOLD_UP"   // middle of a bend towards the viewer
	LayerFoldDown = "FOLD_DOWN" // middle of a bend away from the viewer
	LayerMark     = "MARK"      // scribed: beads, lines, places to drill or tack
	LayerLabel    = "LABEL"     // what the blank is; not for the machine
)

// LayerType is how a layer is drawn.
type LayerType struct {
	Name  string
	Color int    // the format's number
	Line  string // name of the line type
}

// Layers of a blank's drawing.
var Layers = []LayerType{
	{LayerOutside, White, LineWhole},
	{LayerInside, Cyan, LineWhole},
	{LayerFoldUp, Green, LineFoldUp},
	{LayerFoldDown, Magenta, LineFoldDown},
	{LayerMark, Yellow, LineWhole},
	{LayerLabel, Blue, LineWhole},
}

// The format's numbers of colours.
const (
	Yellow  = 2
	Green   = 3
	Cyan    = 4
	Blue    = 5
	Magenta = 6
	White   = 7 // black on a white ground
	Grey    = 8
)

// LineType is how a line is stroked.
type LineType struct {
	Name, Told string
	Strokes    []float64 // mm: strokes, and gaps below 0, in turn; none: whole
}

// Length is how long it is before it repeats.
func (l LineType) Length() float64 {
	var sum float64
	for _, s := range l.Strokes {
		sum += math.Abs(s)
	}
	return sum
}

// Line types by name: the format's own whole one, and one for each way a fold goes.
const (
	LineWhole    = "Continuous"
	LineFoldUp   = LayerFoldUp
	LineFoldDown = LayerFoldDown
)

// LineTypes of a drawing. Folds can be told apart without colours.
var LineTypes = []LineType{
	{LineWhole, "", nil},
	{LineFoldUp, "A long stroke and a short one: a fold towards the viewer", []float64{14, -3, 4, -3}},
	{LineFoldDown, "Strokes of one length: a fold away from the viewer", []float64{6, -4}},
}

// Lettering is the text style of a drawing. Its font is named as the format names a
// plain stroke font; every reader has one for it.
const (
	Lettering = "LETTERS"
	Font      = "txt"
)

// ownTables puts our line types, layers and lettering in place of those that the
// library gives every drawing, and notes layers and lettering in f.
func (f *frame) ownTables(d *drawing.Drawing) {
	tables := d.Sections[drawing.TABLES].(table.Tables)
	lines, layers, styles := tables[1], tables[2], tables[3]
	lines.Clear()
	lines.Add(table.NewLineType("ByLayer", "")) // which the format asks for
	lines.Add(table.NewLineType("ByBlock", ""))
	line := map[string]*table.LineType{}
	for _, l := range LineTypes {
		line[l.Name] = table.NewLineType(l.Name, l.Told, l.Strokes...)
		lines.Add(line[l.Name])
	}
	layers.Clear()
	f.layers = map[string]*table.Layer{}
	for _, l := range append([]LayerType{{"0", White, LineWhole}}, Layers...) { // the format asks for 0
		own := table.NewLayer(l.Name, color.ColorNumber(l.Color), line[l.Line])
		own.SetPlotStyle(d.PlotStyle)
		layers.Add(own)
		f.layers[l.Name] = own
	}
	styles.Clear()
	f.lettering = table.NewStyle(Lettering)
	f.lettering.FontName, f.lettering.LastHeightUsed = Font, labelHeights[0]
	styles.Add(f.lettering)
}
