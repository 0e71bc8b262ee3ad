package paper

// Ink is a colour, by parts of 255. The zero Ink is black.
type Ink struct{ R, G, B uint8 }

// Inks. What one tells stands beside it as a shape or a word too: paper is printed black.
var (
	Black = Ink{}
	White = Ink{255, 255, 255}
	Grey  = Ink{90, 90, 90}    // of what is said by the way
	Pale  = Ink{236, 236, 236} // behind text
	Up    = Ink{0, 92, 76}     // bent towards the viewer
	Down  = Ink{150, 52, 14}   // bent away
)

// Pen draws lines. Widths are those of ISO 128-2: 0.5 for what is seen, half of it for
// all else; dashes are in widths of that standard, rounded to be told apart at 0.25.
type Pen struct {
	Width float64
	Dash  []float64 // lengths on, off, …; nil: solid
	Ink   Ink
}

// Pens.
var (
	Visible = Pen{Width: 0.5}
	Thin    = Pen{Width: 0.25}
	Hidden  = Pen{Width: 0.25, Dash: []float64{3, 1}}
	Chain   = Pen{Width: 0.25, Dash: []float64{6, 1, 1, 1}}       // of middles and symmetry
	Double  = Pen{Width: 0.25, Dash: []float64{6, 1, 1, 1, 1, 1}} // chain with two dots: what may lie there
)

// In is the pen with an ink.
func (p Pen) In(ink Ink) Pen { p.Ink = ink; return p }
