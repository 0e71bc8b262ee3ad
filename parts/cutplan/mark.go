package cutplan

import (
	"math"

	"perch/parts/dxf"
	"perch/parts/lettering"
	"perch/parts/plane"
	"perch/solver/elementary"
)

// MarkKind says what a mark is for.
type MarkKind uint8

const (
	Scribed  MarkKind = iota // a line, a bead's middle, a place to drill, tack or weld
	Lettered                 // text
	FoldUp                   // middle of a bend towards whoever looks at the sheet
	FoldDown                 // and away from him
)

// Mark is something on a blank that is not cut.
type Mark struct {
	Kind    MarkKind
	Path    plane.Loop // of all but text
	Closed  bool       // Path closes on itself
	Text    string
	At, Dir plane.Point // text's baseline starts at At and runs along Dir, a unit vector
	// AtEnd has the baseline end at At: the blank is turned over, and text is never
	// written backwards.
	AtEnd  bool
	Height float64 // of text's capitals
	Asked  bool    // a fold's middle is to be scribed, whatever the table's profile says
}

// layer is the mark's in a drawing.
func (m *Mark) layer() string {
	switch m.Kind {
	case FoldUp:
		return dxf.LayerFoldUp
	case FoldDown:
		return dxf.LayerFoldDown
	}
	return dxf.LayerMark
}

// fold tells whether the mark is a fold's middle.
func (m *Mark) fold() bool { return m.Kind == FoldUp || m.Kind == FoldDown }

// start is where text's baseline starts.
func (m *Mark) start() plane.Point {
	if m.AtEnd {
		return m.At.Sub(m.Dir.Scale(lettering.Width(m.Text, m.Height)))
	}
	return m.At
}

// degrees is text's direction, counter-clockwise.
func (m *Mark) degrees() float64 { return elementary.Atan2(m.Dir.Y, m.Dir.X) * 180 / math.Pi }

// Lines are the paths that a scribe follows.
func (m *Mark) Lines() [][]plane.Edge {
	if m.Kind != Lettered {
		edges := edgesOf(m.Path)
		if !m.Closed && len(edges) > 0 {
			edges = edges[:len(edges)-1]
		}
		return [][]plane.Edge{edges}
	}
	var out [][]plane.Edge
	for _, s := range lettering.Strokes(m.Text, m.Height, m.start(), m.Dir) {
		var line []plane.Edge
		for i := range len(s) - 1 {
			line = append(line, plane.Edge{From: s[i], To: s[i+1]})
		}
		out = append(out, line)
	}
	return out
}

// marks are those of a part that the plan holds.
func (p *Plan) marks(part int) []Mark {
	if !p.Holds(part) {
		return nil
	}
	return p.Sheet.Parts[part].Marks
}

// crosses are the two strokes that mark a place to drill.
func (d *Drill) crosses() [][]plane.Edge {
	x, y := plane.Point{X: drillMark}, plane.Point{Y: drillMark}
	return [][]plane.Edge{{{From: d.At.Sub(x), To: d.At.Add(x)}}, {{From: d.At.Sub(y), To: d.At.Add(y)}}}
}

// scribed are the paths that the profile's table marks on a part, none where it cannot
// mark or where the plan goes on behind a pierce: then they are marked already.
func (p *Plan) scribed(part int, prof *Profile) [][]plane.Edge {
	if prof == nil || prof.MarkOn == "" || p.First > 1 {
		return nil
	}
	var out [][]plane.Edge
	for _, m := range p.marks(part) {
		if !m.fold() || prof.MarkFolds || m.Asked {
			out = append(out, m.Lines()...)
		}
	}
	for _, d := range p.Drills {
		if d.Part == part {
			out = append(out, d.crosses()...)
		}
	}
	return out
}
